//! Sentences of a results folder that a sceptical reader would test, tested.

mod common;

use std::fs;
use std::sync::LazyLock;

use common::{calotte, folder_with, json};
use serde_json::Value;
use tempfile::TempDir;

/// A built casting gauge (invented data) whose every combination is gone through, narrowed to one combination.
fn brief() -> String {
    let whole = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/briefs/casting-gauge-built.toml"
    );
    let mut text = fs::read_to_string(whole).expect("the example");
    for (from, to) in [
        (
            r#"["scissor-linkage", "two-arc-arm"]"#,
            r#"["scissor-linkage"]"#,
        ),
        ("stages = [1, 2, 3]", "stages = [1]"),
        ("{ from = 12, to = 50, step = 1 }", "38"),
        ("{ from = 0, to = 60, step = 20 }", "0"),
        ("arm_arc_deg = { from = 30, to = 80, step = 5 }\n", ""),
        (r#""aluminium 6061-T6", "#, ""),
        (r#"bearings = ["6800", "6900"]"#, r#"bearings = ["6900"]"#),
        (r#"["two", "nested"]"#, r#"["two"]"#),
        ("[16, 20]", "[20]"),
        ("{ from = 220, to = 260, step = 20 }", "220"),
    ] {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    text
}

/// What one search gives.
struct Results {
    folder: TempDir,
    printed: String,
    page: String,
    document: Value,
}

static RESULTS: LazyLock<Results> = LazyLock::new(|| {
    let folder = folder_with(&[("brief.toml", &brief())]);
    let output = calotte(folder.path(), &["design", "brief.toml"]);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let read = |name: &str| {
        let path = folder.path().join("results").join(name);
        fs::read_to_string(path).expect("a file")
    };
    let (page, document) = (read("summary.html"), read("results.json"));
    let printed = String::from_utf8(output.stdout).expect("text");
    Results {
        printed: printed.split_whitespace().collect::<Vec<_>>().join(" "),
        page: text_of(&page),
        document: serde_json::from_str(&document).expect("JSON"),
        folder,
    }
});

/// The words of a page without marks.
fn text_of(page: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for letter in page.chars() {
        match letter {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            _ if !inside => text.push(letter),
            _ => {}
        }
    }
    let plain = text
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
        .replace(['\u{a0}', '\u{202f}'], " ");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words after the first and up to the second.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let (_, rest) = text
        .split_once(from)
        .unwrap_or_else(|| panic!("no {from:?} in {text}"));
    rest.split_once(to)
        .unwrap_or_else(|| panic!("no {to:?} after {from:?}: {rest}"))
        .0
}

fn number(text: &str) -> f64 {
    let plain = text.trim().replace('−', "-");
    plain
        .trim_end_matches('°')
        .parse()
        .unwrap_or_else(|error| panic!("{text:?}: {error}"))
}

fn row<'a>(document: &'a Value, quantity: &str) -> &'a Value {
    let mut rows = document["requirements"].as_array().expect("rows").iter();
    rows.find(|row| row["quantity"] == quantity)
        .unwrap_or_else(|| panic!("no {quantity}"))
}

/// The chosen design with numbers put in, judged by the brief.
fn judged(numbers: &[(String, f64)]) -> Value {
    let results = &*RESULTS;
    let path = results.folder.path().join("results/design.toml");
    let text = fs::read_to_string(path).expect("a design");
    let mut design: toml::Table = text.parse().expect("TOML");
    for (key, value) in numbers {
        let mut parts: Vec<&str> = key.split('.').collect();
        let last = parts.pop().expect("a key");
        let table = parts.into_iter().fold(&mut design, |table, part| {
            table[part].as_table_mut().expect("a table")
        });
        assert!(table.contains_key(last), "{key}");
        table.insert(last.to_string(), (*value).into());
    }
    let place = folder_with(&[
        ("design.toml", &design.to_string()),
        ("brief.toml", &brief()),
    ]);
    json(&calotte(
        place.path(),
        &["analyse", "design.toml", "--brief", "brief.toml", "--json"],
    ))
}

#[test]
fn what_a_limit_is_said_to_hang_on_decides_it() {
    let results = &*RESULTS;
    for (name, quantity) in [
        ("deflection, stylus", "contact_deflection"),
        ("sag by own weight", "sag"),
    ] {
        let of = row(&results.document, quantity);
        let said = between(&results.printed, &format!("Uncertainty {name}: "), ")");
        assert!(said.starts_with("it holds, all other uncertain numbers at their worst, if the radial stiffness of a bearing is shown to be at least "), "{said}");
        let least = number(between(said, "at least ", " N/µm"));
        let stated = between(said, "stated ", " (joints.bearing.radial_n_per_m");
        let (low, high) = stated.split_once(" to ").expect("two ends");
        assert!(number(low) < least && least < number(high), "{said}");
        assert!(results.page.contains(&format!("at least {least:?} N/µm")));
        // A claim about this one number: no other suffices.
        assert!(!said.contains("or if"));
        let bad = of["band_inputs"][1].as_array().expect("the worst end");
        let at = |radial: f64| {
            let inputs: Vec<(String, f64)> = bad
                .iter()
                .map(|input| {
                    let key = input["key"].as_str().expect("a key").to_string();
                    let value = input["value"].as_f64().expect("a number");
                    match key.ends_with("bearing.radial_n_per_m") {
                        true => (key, radial),
                        false => (key, value),
                    }
                })
                .collect();
            row(&judged(&inputs), quantity)["met"].clone()
        };
        assert_eq!(at(1e6 * least), true, "{said}");
        assert_eq!(at(0.98e6 * least), false, "{said}");
        let found = &of["each_suffices"];
        assert_eq!(found.as_array().expect("a list").len(), 1);
        assert_eq!(found[0]["key"], "joints.bearing.radial_n_per_m");
        assert_eq!(at(found[0]["from"].as_f64().expect("a number")), true);
    }
    assert!(!results.printed.contains("measure a bar and a joint"));
}

/// Everything that stands on a line of the evidence table, by the name of the quantity.
fn evidence<'a>(quantity: &str) -> &'a Value {
    let mut entries = RESULTS.document["evidence"]
        .as_array()
        .expect("evidence")
        .iter();
    entries
        .find(|entry| entry["quantity"] == quantity)
        .unwrap_or_else(|| panic!("no {quantity}"))
}

fn assumed(entry: &Value, words: &str) -> bool {
    let mut texts = entry["assumptions"].as_array().expect("a list").iter();
    texts.any(|text| text.as_str().expect("text").contains(words))
}

/// The value of a row, whatever its unit.
fn predicted(row: &Value) -> Option<f64> {
    let mut fields = row.as_object().expect("a row").iter();
    let (_, value) = fields.find(|(name, _)| name.starts_with("predicted"))?;
    value.as_f64()
}

#[test]
fn limits_that_hold_on_rigid_supports_alone_are_said_beside_the_verdict() {
    let results = &*RESULTS;
    let typical = &results.document["with_typical_supports"];
    let missed: Vec<&Value> = typical["rows"]
        .as_array()
        .expect("rows")
        .iter()
        .filter(|typical| typical["met_at_nominal"] == false)
        .filter(|typical| {
            let quantity = typical["quantity"].as_str().expect("a name");
            row(&results.document, quantity)["met_at_nominal"] == true
        })
        .collect();
    let [missed] = missed[..] else {
        panic!("{missed:?}");
    };
    assert_eq!(missed["quantity"], "contact_deflection");
    let said = "with typical drives and ground in place of rigid, at nominal values missed: deflection, stylus";
    assert!(results.printed.contains(said), "{}", results.printed);
    assert!(results.page.contains(said), "{}", results.page);
    let cautions = results.document["cautions"].as_array().expect("cautions");
    let about: Vec<&str> = cautions
        .iter()
        .filter_map(Value::as_str)
        .filter(|caution| caution.contains("in place of drives and ground taken as rigid"))
        .collect();
    let [about] = about[..] else {
        panic!("{cautions:?}");
    };
    assert!(
        about.starts_with("deflection, stylus: 0.153 mm, which misses ≤ 0.150"),
        "{about}"
    );
    assert!(results.page.contains(about), "{about}");
    // The same by a design that gives these drives and this ground.
    let place = folder_with(&[
        (
            "design.toml",
            &format!(
                "{}\n[mount.springs]\naxial_n_per_m = 1e6\nlateral_n_per_m = 1e6\ntilt_nm_per_rad = 1e4\ntwist_nm_per_rad = 1e4\n[[drive]]\nstiffness_nm_per_rad = 1000\n",
                fs::read_to_string(results.folder.path().join("results/design.toml"))
                    .expect("a design")
            ),
        ),
        ("brief.toml", &brief()),
    ]);
    let arguments = ["analyse", "design.toml", "--brief", "brief.toml"];
    let given = json(&calotte(
        place.path(),
        &[&arguments[..], &["--json"]].concat(),
    ));
    let own = predicted(row(&given, "contact_deflection")).expect("a value");
    let typical = missed["predicted_mm"].as_f64().expect("a value");
    assert!((own / typical - 1.0).abs() < 1e-9, "{own} {typical}");
    assert_eq!(given["with_typical_supports"], Value::Null);
    let printed = calotte(place.path(), &arguments).stdout;
    assert!(!String::from_utf8_lossy(&printed).contains("in place of rigid"));
}

#[test]
fn what_bounds_the_range_is_no_row_without_a_limit() {
    for (quantity, bound) in [("lci_min", 0.25), ("transmission_angle", 15.0)] {
        let entry = evidence(quantity);
        assert_eq!(entry["required"], Value::Null);
        let found = entry["bounds_the_range"].as_f64().expect("a bound");
        assert!((found - bound).abs() < 1e-9, "{found}");
        // Where it bounds the range nothing reached has less.
        let least = predicted(row(&RESULTS.document, quantity)).expect("a value");
        assert!(least > bound - 1e-9);
    }
    assert_eq!(evidence("gci")["bounds_the_range"], Value::Null);
    let table = between(&RESULTS.page, "Who set each limit", "Assumption 1:");
    for said in [
        "Minimum LCI brief, no source given ≥ 0.250 bounds the range; 0.250",
        "Transmission angle brief, no source given ≥ 15° bounds the range; ",
        "Sag by own weight brief, no source given ≤ 1.00 mm; ",
        "GCI (area) no limit; ",
    ] {
        assert!(table.contains(said), "no {said:?} in {table}");
    }
}

/// What a value changes with is among what it is said to assume.
#[test]
fn each_value_names_what_it_is_computed_from() {
    let changed = |key: &str, value: f64| judged(&[(key.to_string(), value)]);
    // Base and region are turned together: weight alone comes from elsewhere.
    let tilted = |axis: [f64; 3]| {
        let path = RESULTS.folder.path().join("results/design.toml");
        let text = fs::read_to_string(path).expect("a design");
        let [x, y, z] = axis;
        let turn = |text: &str| {
            let turned = text.replace("axis = [0, 0, 1]", &format!("axis = [{x}, {y}, {z}]"));
            assert_ne!(text, turned);
            turned
        };
        analysed(&turn(&text), &turn(&brief()))
    };
    let text = fs::read_to_string(RESULTS.folder.path().join("results/design.toml"));
    let text = text.expect("a design");
    let harder = brief().replace("radial = 1.5", "radial = 1.7");
    let sideways = brief().replace("radial = 1.5", "radial = 1.5, azimuth = 0.4");
    let cases: [(&str, Value, bool); 17] = [
        (
            "moduli of carbon",
            changed("material.youngs_modulus_gpa", 58.0),
            false,
        ),
        (
            "moduli of carbon",
            changed("material.shear_modulus_gpa", 22.6),
            false,
        ),
        (
            "moduli of stainless steel 304",
            changed("joints.pin.material.youngs_modulus_gpa", 196.0),
            false,
        ),
        (
            "density of carbon",
            changed("material.density_kg_m3", 1590.0),
            true,
        ),
        (
            "pins' stainless steel 304",
            changed("joints.pin.material.density_kg_m3", 7950.0),
            false,
        ),
        (
            "yield strength of",
            changed("joints.pin.material.yield_mpa", 206.0),
            true,
        ),
        (
            "joints by bearings 6900",
            changed("joints.bearing.radial_n_per_m", 2.2e7),
            false,
        ),
        (
            "joints by bearings 6900",
            changed("joints.bearing.axial_n_per_m", 7.3e6),
            false,
        ),
        (
            "bearing spacing of 7.00 mm",
            changed("joints.bearing.spacing_mm", 7.2),
            false,
        ),
        (
            "pins of 10.0 mm with a bore of 0 mm",
            changed("joints.pin.bore_mm", 2.0),
            false,
        ),
        (
            "bosses of 27.0 mm",
            changed("joints.boss_diameter_mm", 27.5),
            false,
        ),
        (
            "mass and centre of mass of the tool",
            changed("tool.mass_kg", 0.36),
            true,
        ),
        (
            "static ratings",
            changed("joints.bearing.static_rating_n", 1280.0),
            true,
        ),
        ("weight acts along −z", tilted([0.0, 0.3, 1.0]), false),
        ("loads static", analysed(&text, &harder), false),
        ("loads static", analysed(&text, &sideways), false),
        (
            "taken as rigid",
            analysed(
                &format!("{text}\n[[drive]]\nstiffness_nm_per_rad = 1000\n"),
                &brief(),
            ),
            false,
        ),
    ];
    for (words, document, all_change) in cases {
        let rows = document["requirements"].as_array().expect("rows");
        let mut changes = 0;
        for of in rows {
            let quantity = of["quantity"].as_str().expect("a name");
            // What is reached assumes more than a list of numbers.
            let of_range = [
                "coverage",
                "gci",
                "lci_min",
                "transmission_angle",
                "tool_roll_range",
            ];
            let own = row(&RESULTS.document, quantity);
            let [before, after] = [own, of].map(|row| predicted(row).unwrap_or(0.0));
            let differs = (after / before - 1.0).abs() > 1e-7;
            let entry = evidence(quantity);
            // Sizes change masses and the statics of rigid bodies too.
            let of_sizes = ["bosses", "bearing spacing", "pins of"];
            let of_size = of_sizes.iter().any(|size| words.starts_with(size));
            let rigid = !assumed(entry, "small deformations") && assumed(entry, "tolerances");
            if differs && !of_range.contains(&quantity) {
                let named = assumed(entry, words) || of_size && rigid;
                assert!(named, "{quantity} {words} {entry}");
                changes += 1;
            } else if all_change && assumed(entry, words) {
                panic!("{quantity} does not change with what it names: {words}");
            }
        }
        assert!(changes > 0, "{words}");
    }
    for quantity in [
        "contact_deflection",
        "bearing_static_safety",
        "holding_torque",
    ] {
        assert!(assumed(evidence(quantity), "no manufacturing tolerances"));
    }
}

fn analysed(design: &str, brief: &str) -> Value {
    let place = folder_with(&[("design.toml", design), ("brief.toml", brief)]);
    json(&calotte(
        place.path(),
        &["analyse", "design.toml", "--brief", "brief.toml", "--json"],
    ))
}

#[test]
fn the_next_closest_pair_comes_after_what_is_left_out() {
    let said = between(&RESULTS.printed, "next-closest pair ", "Surroundings");
    let (names, rest) = said.split_once(", ").expect("names");
    let (first, second) = names.split_once(" and ").expect("two");
    let distance = number(rest.split_once(" mm apart").expect("a distance").0);
    assert!(
        said.contains("after pairs whose distance no motion changes"),
        "{said}"
    );
    assert!(!said.contains("end the range"), "{said}");
    let nearest = RESULTS.document["clearing"]["nearest"]
        .as_array()
        .expect("pairs");
    assert!(nearest.len() > 5);
    for pair in nearest {
        let own = pair["distance_mm"].as_f64().expect("a distance");
        let named = pair["first"] == first && pair["second"] == second;
        let stays = pair["second_mechanism_angle_deg"].is_null();
        assert!(own > distance - 0.006 || stays, "{pair}");
        assert!(!named || (own - distance).abs() < 0.006);
    }
}

#[test]
fn distances_to_singularities_begin_where_coverage_ends() {
    let document = &RESULTS.document;
    let beyond = number(between(
        &RESULTS.printed,
        "beyond the covered part of the required region type 1 (the tool loses a motion) after ",
        " more",
    ));
    let end = document["reach"]["polar_max_deg"]
        .as_f64()
        .expect("an angle");
    assert!(end < 70.0, "the region's own end would do: {end}");
    // Derived: a scissor of one stage of two arcs of 38° reaches 76° in line.
    assert!((end + beyond - 76.0).abs() < 0.06, "{end} {beyond}");
    assert!(
        RESULTS
            .page
            .contains("polar angle beyond the covered part of the required region")
    );
}

#[test]
fn what_takes_no_share_is_said_to_be_rigid() {
    let said = "No share falls on: drives (taken as rigid), base (taken as rigid).";
    assert_eq!(RESULTS.page.matches(said).count(), 3, "{said}");
    assert!(
        RESULTS.page.contains(
            "No requirement is judged by either of them: the differences are their errors"
        )
    );
}

#[test]
fn contact_force_is_said_to_rise_where_it_does() {
    let said = between(
        &RESULTS.printed,
        "contact force on it rises by ",
        "; drives held",
    );
    let (low, high) = said.split_once(" to ").expect("two ends");
    let rings = RESULTS.document["rings"].as_array().expect("rings");
    let radial = |ring: &Value| {
        ring["stiffness"]["radial_n_per_m"]
            .as_f64()
            .expect("a number")
    };
    let by_size = |a: &&Value, b: &&Value| radial(a).total_cmp(&radial(b));
    for (said, ring) in [
        (low, rings.iter().min_by(by_size).expect("a ring")),
        (high, rings.iter().max_by(by_size).expect("a ring")),
    ] {
        let (force, place) = said.split_once(" N (polar ").expect("a place");
        assert!((number(force) - radial(ring) / 1e3).abs() < 0.06, "{said}");
        let polar = ring["polar_deg"].as_f64().expect("an angle");
        assert!(
            (number(place.trim_end_matches(')')) - polar).abs() < 0.06,
            "{said}"
        );
    }
    assert!(RESULTS.page.contains(
        "polar 15°; rise of the contact force on a body that moves 1 mm towards the tool"
    ));
}

#[test]
fn a_load_that_adds_nothing_to_the_holding_torque_is_said_to() {
    let note = |document: &Value| {
        let loaded = row(document, "load_holding_torque");
        let by_weight = predicted(row(document, "holding_torque")).expect("a torque");
        let with_load = predicted(loaded).expect("a torque");
        let note = loaded["note"].as_str().expect("a note").to_string();
        (note, (with_load / by_weight - 1.0).abs() < 1e-9)
    };
    let (said, same) = note(&RESULTS.document);
    assert!(
        same && said.ends_with("the load adds none, its line meets the centre"),
        "{said}"
    );
    assert!(
        RESULTS
            .printed
            .contains("the load adds none, its line meets the centre")
    );
    let text = fs::read_to_string(RESULTS.folder.path().join("results/design.toml"));
    let sideways = brief().replace("radial = 1.5", "radial = 1.5, polar = 0.4");
    let (said, same) = note(&analysed(&text.expect("a design"), &sideways));
    assert!(!same && !said.contains("adds none"), "{said}");
}

#[test]
fn margins_are_those_of_the_value_that_is_judged() {
    let figure = fs::read_to_string(RESULTS.folder.path().join("results/plots/margins.svg"))
        .expect("a figure");
    let governing = between(&RESULTS.printed, "Governing limits ", "Working range");
    let margin = between(governing, "deflection, stylus (margin ", ")");
    assert!(figure.contains(&format!(">{margin}<")), "{margin} {figure}");
    let worst = row(&RESULTS.document, "contact_deflection")["band_mm"][1].as_f64();
    let worst = format!("{:.3} mm at the worse end", worst.expect("an end"));
    assert!(figure.contains(&worst), "{worst}");
}
