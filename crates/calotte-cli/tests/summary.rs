//! Each line of the one-screen summary is a claim: its numbers are those of the document.

mod common;

use std::path::Path;

use common::{calotte, json};
use serde_json::Value;

const EXAMPLES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
const LABEL: usize = 18;

/// The summary and the document of one design of the examples, invented.
fn both(design: &str, brief: Option<&str>) -> (Vec<String>, Value) {
    let mut arguments = vec!["analyse", design];
    arguments.extend(brief.iter().flat_map(|brief| ["--brief", brief]));
    let printed = calotte(Path::new(EXAMPLES), &arguments);
    let text = String::from_utf8(printed.stdout).expect("text");
    arguments.push("--json");
    let document = json(&calotte(Path::new(EXAMPLES), &arguments));
    (text.lines().map(str::to_owned).collect(), document)
}

fn head_arm() -> (Vec<String>, Value) {
    both("head-dome/bench/design.toml", Some("head-dome/brief.toml"))
}

/// The text behind a label, over all its lines.
fn behind(lines: &[String], label: &str) -> String {
    let label = format!("{label:<LABEL$}");
    let first = lines.iter().position(|line| line.starts_with(&label));
    let first = first.unwrap_or_else(|| panic!("no {label} in\n{}", lines.join("\n")));
    let more = lines[first + 1..].iter();
    let more = more.take_while(|line| line.starts_with(&format!("{:LABEL$}", "")));
    let texts = std::iter::once(&lines[first]).chain(more);
    let texts: Vec<String> = texts
        .map(|line| {
            line.chars()
                .skip(LABEL)
                .collect::<String>()
                .trim()
                .to_owned()
        })
        .collect();
    texts.join(" ")
}

/// A row of the table: limit, predicted, range and place, cut at their columns.
fn row(lines: &[String], name: &str) -> [String; 4] {
    let line = lines
        .iter()
        .find(|line| {
            let cells: String = line.chars().skip(1).collect();
            // The whole name, and not the start of a longer one.
            let rest = cells.strip_prefix(name);
            rest.is_some_and(|rest| rest.starts_with("  ") || rest.starts_with(" –"))
        })
        .unwrap_or_else(|| panic!("no row {name} in\n{}", lines.join("\n")));
    let characters: Vec<char> = line.chars().collect();
    [24..33, 33..44, 44..60, 60..80].map(|columns| {
        let end = columns.end.min(characters.len());
        let cell = characters.get(columns.start..end).unwrap_or(&[]);
        cell.iter().collect::<String>().trim().to_owned()
    })
}

fn number(text: &str) -> f64 {
    let digits: String = text
        .chars()
        .map(|one| if one == '−' { '-' } else { one })
        .filter(|one| one.is_ascii_digit() || ['.', '-', 'e'].contains(one))
        .collect();
    digits
        .parse()
        .unwrap_or_else(|error| panic!("{text:?}: {error}"))
}

/// Whether a printed number is the document's to its last printed digit.
fn agrees(printed: &str, value: f64) -> bool {
    let places = printed.split_once('.').map_or(0, |(_, rest)| {
        rest.chars().take_while(char::is_ascii_digit).count()
    });
    (number(printed) - value).abs() <= 0.501 * 10f64.powi(-(places as i32))
}

/// The value of a row of the document, its unit in the key.
fn value<'a>(row: &'a Value, key: &str) -> &'a Value {
    let row = row.as_object().expect("a row");
    let found = row.iter().find(|(name, _)| {
        let of_band = ["band_met", "band_inputs"].contains(&name.as_str());
        *name == key || name.starts_with(&format!("{key}_")) && !of_band
    });
    found.map_or(&Value::Null, |(_, value)| value)
}

#[test]
fn every_row_shows_the_numbers_of_the_document() {
    let names = [
        ("coverage", "Coverage"),
        ("contact_deflection", "Deflection, press"),
        ("sag", "Sag by own weight"),
        ("centre_shift", "Centre shift, press"),
        ("sag_centre_shift", "Centre shift by weight"),
        ("load_holding_torque", "Holding torque, press"),
        ("safety_factor_yield", "Safety factor, yield"),
        ("lci_min", "Minimum LCI"),
        ("transmission_angle", "Transmission angle"),
        ("moving_mass", "Moving mass"),
        ("holding_torque", "Holding torque"),
        ("gci", "GCI (area)"),
        ("minimum_translational_stiffness", "Minimum stiffness"),
    ];
    let (lines, document) = head_arm();
    for (quantity, name) in names {
        let of = document["requirements"].as_array().expect("rows").iter();
        let found: Vec<&Value> = of
            .filter(|one| one["quantity"] == quantity)
            .filter(|one| one["load"].is_null() || one["load"] == "press")
            .collect();
        let [found] = found[..] else {
            panic!("{quantity}: {} rows", found.len());
        };
        let [limit, predicted, range, place] = row(&lines, name);
        let required = value(found, "required").as_f64();
        assert_eq!(limit == "–", required.is_none(), "{name}");
        if let Some(required) = required {
            assert!(agrees(&limit, required), "{name}: {limit} and {required}");
            let sign = if found["sense"] == "at least" {
                '≥'
            } else {
                '≤'
            };
            assert!(limit.starts_with(sign), "{name}: {limit}");
        }
        let exact = value(found, "predicted").as_f64().expect("a value");
        assert!(agrees(&predicted, exact), "{name}: {predicted} and {exact}");
        match value(found, "band").as_array() {
            Some(band) => {
                let (low, high) = range.split_once(" to ").expect("low to high");
                assert!(agrees(low, band[0].as_f64().unwrap()), "{name}: {low}");
                assert!(agrees(high, band[1].as_f64().unwrap()), "{name}: {high}");
            }
            None => assert_eq!(range, "–", "{name}"),
        }
        if let Some(polar) = found["worst_at_deg"]["polar"].as_f64()
            && quantity != "coverage"
        {
            let shown = place.strip_prefix("polar ").expect("a place");
            let shown = shown.split(['°', ';']).next().expect("an angle");
            assert!(agrees(shown, polar), "{name}: {place} and {polar}");
        }
    }
}

#[test]
fn the_lines_below_the_table_are_those_of_the_document() {
    let (lines, document) = head_arm();
    let range = behind(&lines, "Working range");
    let (low, high) = range
        .strip_prefix("polar ")
        .and_then(|range| range.split_once(") to "))
        .expect("polar low (why) to high (why)");
    let [low, high] = [low, high].map(|end| end.split('°').next().expect("an angle"));
    let (_, ends) = range.split_once("; its ends: ").expect("what lies beyond");
    let beyond = &document["singularity"]["working_range"];
    for (after, key) in [
        ("type 1 ", "type_1_distance_deg"),
        ("type 2 ", "type_2_distance_second_mechanism_angle_deg"),
        ("transmission angle ", "transmission_angle_min_deg"),
    ] {
        let (_, said) = ends.split_once(after).expect(after);
        let said = said.split_once('°').expect("an angle").0;
        assert!(agrees(said, beyond[key].as_f64().expect(key)), "{ends}");
    }
    let reach = &document["reach"];
    assert!(
        agrees(low, reach["polar_min_deg"].as_f64().unwrap()),
        "{range}"
    );
    assert!(
        agrees(high, reach["polar_max_deg"].as_f64().unwrap()),
        "{range}"
    );

    let shares = behind(&lines, "Compliance");
    for part in ["arcs", "joints"] {
        let words: Vec<&str> = shares.split([' ', ',']).collect();
        let at = words.iter().position(|word| *word == part).expect("a part");
        let exact = &document["stiffness"]["energy_shares_at_worst"][part];
        assert!(
            agrees(words[at + 1], 100.0 * exact.as_f64().unwrap()),
            "{shares}"
        );
    }

    let loads = behind(&lines, "Joint loads");
    for (key, begin) in [
        ("radial_n", "maximum radial "),
        ("tilt_nm", "maximum moment "),
    ] {
        let most = document["joint_loads_max"]
            .as_array()
            .expect("joints")
            .iter()
            .max_by(|a, b| a[key].as_f64().partial_cmp(&b[key].as_f64()).unwrap())
            .expect("a joint");
        let text = loads.split(begin).nth(1).expect("a load");
        assert!(
            agrees(text.split(' ').next().unwrap(), most[key].as_f64().unwrap()),
            "{loads}"
        );
        let joint = text.split(['(', ')']).nth(1).expect("a joint");
        assert_eq!(joint, most["joint"], "{loads}");
    }

    let proved = document["singularity"]["free_between_samples"].as_bool();
    let said = behind(&lines, "Singularities").contains("proved by interval arithmetic");
    assert_eq!(Some(said), proved, "{}", document["singularity"]);
}

#[test]
fn the_result_says_met_only_where_it_is() {
    let (lines, document) = head_arm();
    let result = behind(&lines, "Result");
    let rows = document["requirements"].as_array().expect("rows");
    let met = rows.iter().all(|row| row["met"] != false);
    assert_eq!(result.starts_with("MET"), met, "{result}");
    let failed: Vec<&Value> = rows.iter().filter(|row| row["met"] == false).collect();
    assert_eq!(
        lines.iter().filter(|line| line.starts_with('✗')).count(),
        failed.len(),
        "{}",
        lines.join("\n")
    );
    let over_ranges: Vec<bool> = rows
        .iter()
        .filter_map(|row| row["band_met"].as_bool())
        .collect();
    assert!(!over_ranges.is_empty(), "no row has a range");
    assert_eq!(
        result.starts_with("MET over the stated uncertainty"),
        met && over_ranges.iter().all(|met| *met),
        "{result}"
    );
    let limitations = lines
        .iter()
        .filter(|line| line.starts_with("Model limitation"))
        .count();
    assert_eq!(
        result.contains(&format!("{limitations} model limitation")),
        limitations > 0
    );

    // Without a brief nothing is judged.
    let (lines, _) = both("head-dome/bench/design.toml", None);
    assert!(behind(&lines, "Result").starts_with("no limits given"));
}

/// Joints and material are uncertain here, and the mass that is limited depends on neither.
#[test]
fn a_limit_that_no_uncertain_number_changes_is_said_to_be_one() {
    let design = std::fs::read_to_string(format!("{EXAMPLES}/head-dome/bench/design.toml"));
    let brief = std::fs::read_to_string(format!("{EXAMPLES}/head-dome/brief.toml"));
    let (design, brief) = (design.expect("a design"), brief.expect("a brief"));
    let (before, limits) = brief.split_once("[limits]").expect("limits");
    let (_, after) = limits.split_once("[choice]").expect("a choice");
    let brief = format!("{before}[limits]\nmoving_mass_kg = 1.5\n[choice]{after}");
    let place = common::folder_with(&[("design.toml", &design), ("brief.toml", &brief)]);
    let of = ["analyse", "design.toml", "--brief", "brief.toml"];
    let text = calotte(place.path(), &of);
    let printed = String::from_utf8(text.stdout).expect("text");
    let lines: Vec<String> = printed.lines().map(str::to_owned).collect();
    let result = behind(&lines, "Result");
    assert!(
        result.starts_with("MET; what is stated as uncertain changes no limited value"),
        "{result}"
    );
}

/// The same design by limits beside 0.276 mm nominal, 0.326 mm at the worst end of what is stated
/// and 0.450 mm where short bars are as soft as solids of such bars were.
#[test]
fn a_limit_between_nominal_and_worst_end_is_met_at_nominal_values_only() {
    let design = std::fs::read_to_string(format!("{EXAMPLES}/head-dome/bench/design.toml"));
    let brief = std::fs::read_to_string(format!("{EXAMPLES}/head-dome/brief.toml"));
    let (design, brief) = (design.expect("a design"), brief.expect("a brief"));
    let limit = "contact_deflection_mm = 0.5";
    assert!(brief.contains(limit), "{brief}");
    for (limits, status, verdict, said) in [
        (
            "contact_deflection_mm = 0.46",
            0,
            "met over the stated uncertainty",
            "MET over the stated uncertainty",
        ),
        (
            "contact_deflection_mm = 0.33",
            1,
            "outside the model's validity",
            "OUTSIDE THE MODEL'S VALIDITY: the stiffness of short bars, which beam theory does not give, decides on: deflection, press",
        ),
        (
            "contact_deflection_mm = 0.3",
            1,
            "met at nominal values only",
            "MET AT NOMINAL VALUES ONLY; not over the stated uncertainty: deflection, press",
        ),
        (
            "judge = \"nominal\"\ncontact_deflection_mm = 0.3",
            0,
            "met at nominal values only",
            "MET AT NOMINAL VALUES ONLY, as the brief asks; not over the stated",
        ),
        (
            "judge = \"nominal\"\ncontact_deflection_mm = 0.25",
            1,
            "not met",
            "NOT MET: deflection, press",
        ),
        (
            "contact_deflection_mm = 0.25",
            1,
            "not met",
            "NOT MET: deflection, press",
        ),
    ] {
        let place = common::folder_with(&[
            ("design.toml", &design),
            ("brief.toml", &brief.replace(limit, limits)),
        ]);
        let of = ["analyse", "design.toml", "--brief", "brief.toml"];
        let text = calotte(place.path(), &of);
        assert_eq!(text.status.code(), Some(status), "{limits}");
        let printed = String::from_utf8(text.stdout).expect("text");
        let lines: Vec<String> = printed.lines().map(str::to_owned).collect();
        let result = behind(&lines, "Result");
        assert!(result.starts_with(said), "{limits}: {result}");
        let document = calotte(place.path(), &[&of[..], &["--json"]].concat());
        assert_eq!(document.status.code(), Some(status), "{limits}");
        let document = common::json(&document);
        assert_eq!(document["verdict"], verdict, "{limits}");
        assert_eq!(document["met"], status == 0, "{limits}");
        // What bounds the working range is no requirement that is met.
        assert_eq!(document["boundaries"]["lci_min"], 0.2, "{limits}");
        let rows = document["requirements"].as_array().expect("rows");
        let bounds = rows.iter().filter(|row| {
            ["lci_min", "transmission_angle"]
                .iter()
                .any(|name| row["quantity"] == *name)
        });
        assert!(bounds.clone().count() == 2, "{rows:?}");
        assert!(
            bounds.into_iter().all(|row| row["met"].is_null()),
            "{rows:?}"
        );
    }
}

#[test]
fn what_is_not_modelled_is_what_the_design_leaves_out() {
    let (lines, _) = head_arm();
    let said = behind(&lines, "Assumed");
    assert!(
        said.starts_with(
            "drives and ground taken as rigid, joints taken as preloaded, without play"
        ),
        "{said}"
    );
    let text = std::fs::read_to_string(format!("{EXAMPLES}/head-dome/bench/design.toml")).unwrap();
    let place = common::folder_with(&[(
        "design.toml",
        &text.replace(
            "[drives]\n",
            "[[drive]]\nstiffness_nm_per_rad = 500\n\n[drives]\n",
        ),
    )]);
    let output = calotte(place.path(), &["analyse", "design.toml"]);
    let printed = String::from_utf8(output.stdout).expect("text");
    let lines: Vec<String> = printed.lines().map(str::to_owned).collect();
    let said = behind(&lines, "Assumed");
    assert!(
        said.starts_with("ground taken as rigid, joints taken as preloaded"),
        "{said}"
    );
}

/// The range of roll is that of the configurations listed, and holds what lies between them.
#[test]
fn base_axis_and_tool_roll_are_told() {
    let (lines, document) = head_arm();
    assert!(behind(&lines, "Base axis").starts_with("("));
    let roll = &document["tool_roll"];
    let ends = ["minimum_deg", "maximum_deg"].map(|key| roll[key].as_f64().unwrap());
    let configurations = document["configurations"].as_array().unwrap();
    let rolls: Vec<f64> = configurations
        .iter()
        .map(|one| one["roll_deg"].as_f64().unwrap())
        .collect();
    assert!(rolls.len() > 50);
    let turn = |roll: f64| (0..3).map(move |k| roll + 360.0 * f64::from(k - 1));
    for roll in &rolls {
        let within = turn(*roll).any(|roll| (ends[0] - 1e-6..=ends[1] + 1e-6).contains(&roll));
        assert!(within, "{roll} {ends:?}");
    }
    let near = |end: f64| {
        rolls
            .iter()
            .any(|one| turn(*one).any(|one| (one - end).abs() < 2.0))
    };
    assert!(near(ends[0]) && near(ends[1]), "{ends:?} {rolls:?}");
    let rows = document["requirements"].as_array().unwrap();
    let row = rows.iter().find(|row| row["quantity"] == "tool_roll_range");
    let row = &row.expect("a row of the range");
    let range = row["predicted_deg"].as_f64().unwrap();
    assert!(
        (range - (ends[1] - ends[0])).abs() < 1e-9,
        "{range} {ends:?}"
    );
    assert!(row["required_deg"].is_null() && row["met"].is_null());
    let said = behind(&lines, "Tool roll");
    let told: Vec<&str> = said.split('°').collect();
    assert!(agrees(told[0], ends[0]), "{said}");
    assert!(
        agrees(told[1].split(' ').next_back().unwrap(), ends[1]),
        "{said}"
    );
}

/// What is said of usual drives and a usual ground is what the design with these gives.
#[test]
fn typical_supports_are_told_and_are_what_they_would_give() {
    let (lines, document) = head_arm();
    let said = behind(&lines, "Typical supports");
    assert!(
        said.starts_with("with drives of 1000 N·m/rad, ground of 1000 N/mm and 10000 N·m/rad (common practice, no source) at nominal values: "),
        "{said}"
    );
    let bench = Path::new(EXAMPLES).join("head-dome/bench/design.toml");
    let text = std::fs::read_to_string(bench).unwrap()
        + "\n[[drive]]\nstiffness_nm_per_rad = 1000\n\n[mount.springs]\naxial_n_per_m = 1e6\nlateral_n_per_m = 1e6\ntilt_nm_per_rad = 1e4\ntwist_nm_per_rad = 1e4\n";
    let brief = std::fs::read_to_string(format!("{EXAMPLES}/head-dome/brief.toml")).unwrap();
    let place = common::folder_with(&[("design.toml", &text), ("brief.toml", &brief)]);
    let arguments = ["analyse", "design.toml", "--brief", "brief.toml", "--json"];
    let given = json(&calotte(place.path(), &arguments));
    assert!(given["with_typical_supports"].is_null());
    let typical = &document["with_typical_supports"];
    assert_eq!(typical["source"], "common practice, no source");
    let rows = typical["rows"].as_array().unwrap();
    let of = |document: &Value, like: &Value| {
        let requirements = document["requirements"].as_array().unwrap();
        let found = requirements
            .iter()
            .find(|one| one["quantity"] == like["quantity"] && one.get("load") == like.get("load"));
        found.unwrap().clone()
    };
    let mut told = 0;
    for row in rows {
        let entries = row.as_object().unwrap().iter();
        let (key, value) = entries
            .clone()
            .find(|(key, _)| key.starts_with("predicted"))
            .unwrap();
        let (value, own) = (value.as_f64().unwrap(), of(&given, row));
        let wanted = own[key].as_f64().unwrap();
        assert!((value / wanted - 1.0).abs() < 1e-9, "{row} {own}");
        assert_eq!(row["met_at_nominal"], own["met_at_nominal"], "{row} {own}");
        if row["quantity"] == "sag" {
            let printed = said.split("sag by own weight ").nth(1).unwrap();
            let printed = printed.split(' ').next().unwrap();
            assert!(agrees(printed, value), "{said} {value}");
            told += 1;
        }
        assert!(value != of(&document, row)[key].as_f64().unwrap());
    }
    assert_eq!(told, 1);
    // What misses its limit there is said to.
    let missed = rows.iter().filter(|row| row["met_at_nominal"] == false);
    assert_eq!(said.matches("which misses").count(), missed.count());
}

#[test]
fn the_summary_fits_80_columns() {
    for (design, brief) in [
        ("head-dome/bench/design.toml", Some("head-dome/brief.toml")),
        ("trend-map/design.toml", None),
    ] {
        let (lines, _) = both(design, brief);
        for line in lines {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}
