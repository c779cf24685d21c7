//! `calotte compare` and the page say of a design what `calotte analyse` says, under the same
//! brief, number by number.

mod common;

use std::fs;
use std::path::Path;

use common::{calotte, folder_with, json};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

/// A design with a brief that asks something of it; invented.
struct Case {
    design: Value,
    brief: String,
    /// Whether parts move among keep-outs.
    among: bool,
}

/// Of every third design parts are built in layers and move beside a post and above a table;
/// the briefs differ in region, loads and limits.
fn cases(seed: u64, count: usize) -> Vec<Case> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    (0..count).map(|index| case(&mut random, index)).collect()
}

fn case(random: &mut ChaCha8Rng, index: usize) -> Case {
    let mut number = |from: f64, to: f64| random.random_range(from..to);
    let among = index.is_multiple_of(3);
    let mut design = json!({
        "title": "invented",
        "section": { "shape": "rectangle", "tangential_mm": number(12.0, 18.0), "radial_mm": 10 },
        "material": { "name": "aluminium 6061-T6" },
        "tool": { "tip_radius_mm": 100, "mass_kg": 0.5, "centre_of_mass_radius_mm": 150 },
    });
    design["linkage"] = match index % 3 {
        0 => json!({
            "family": "scissor-linkage",
            "proximal_arcs_deg": [number(40.0, 46.0)],
            "distal_arcs_deg": [number(40.0, 46.0)],
            "bends_deg": [],
            "joint_radius_mm": 140,
        }),
        1 => json!({
            "family": "two-arc-arm",
            "arcs_deg": [number(40.0, 70.0), number(40.0, 70.0)],
            "joint_radius_mm": 150,
        }),
        _ => json!({
            "family": "scissor-linkage",
            "proximal_arcs_deg": [number(20.0, 28.0), number(20.0, 28.0)],
            "distal_arcs_deg": [number(22.0, 30.0), number(22.0, 30.0)],
            "bends_deg": [number(-10.0, 30.0)],
            "joint_radius_mm": 160,
        }),
    };
    if among {
        design["joints"] = json!({ "bearing": { "name": "6800" } });
        design["layers"] = json!({ "arrangement": "two" });
    } else {
        let tilt = number(300.0, 900.0);
        design["joints"] = json!({
            "axial_n_per_m": number(2e6, 6e6),
            "radial_n_per_m": 6e6,
            "tilt_nm_per_rad": { "value": tilt, "from": 0.8 * tilt, "to": 1.2 * tilt },
        });
    }
    if index % 4 == 1 {
        design["drive"] = json!([{ "stiffness_nm_per_rad": number(500.0, 3000.0) }]);
    }
    let mut brief = format!(
        r#"title = "invented"
[region]
shape = "cap"
half_angle_deg = {:.1}
coverage_min = 0.4
[tool]
mass_kg = 0.5
centre_of_mass_radius_mm = 150
tip_radius_mm = 100
[limits]
contact_deflection_mm = {:.2}
sag_mm = 1
lci_min = 0.05
transmission_angle_min_deg = {:.1}
tool_roll_range_deg = {:.1}
[[load]]
name = "press"
on = "tip"
force_n = {{ radial = {:.2} }}
[[load]]
name = "side"
on = "tip"
force_n = {{ size = {:.2}, direction = "any tangential" }}
"#,
        number(35.0, 80.0),
        number(0.05, 0.8),
        number(12.0, 22.0),
        number(20.0, 90.0),
        number(3.0, 9.0),
        number(1.0, 4.0),
    );
    if design["linkage"]["family"] == "two-arc-arm" {
        brief = brief
            .lines()
            .filter(|line| !line.starts_with("transmission"))
            .map(|line| format!("{line}\n"))
            .collect();
    }
    if among {
        let aside = number(200.0, 300.0);
        brief += &format!(
            r#"[[keep_out]]
name = "post"
shape = "cylinder"
from_mm = [{aside:.1}, 0, -300]
to_mm = [{aside:.1}, 0, {:.1}]
radius_mm = 30
[[keep_out]]
name = "table"
shape = "half-space"
normal = [0, 0, 1]
at_mm = [0, 0, -120]
[layers]
arrangement = "two"
[joints.bearing]
name = "6800"
"#,
            number(0.0, 200.0)
        );
    }
    Case {
        design,
        brief,
        among,
    }
}

fn file_text(design: &Value) -> String {
    let table: toml::Table = serde_json::from_value(design.clone()).expect("a table");
    toml::to_string(&table).expect("TOML")
}

/// What `calotte analyse --brief --json` says of a design of the folder.
fn analysed(folder: &Path, design: &str) -> Value {
    let asked = ["analyse", design, "--brief", "brief.toml", "--json"];
    let output = calotte(folder, &asked);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
    json(&output)
}

/// Counts the numbers that are the same in both, and fails where anything is not.
fn same(path: &str, one: &Value, other: &Value) -> usize {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) => {
            let keys: Vec<&String> = a.keys().collect();
            assert_eq!(keys, b.keys().collect::<Vec<_>>(), "{path}");
            a.iter()
                .map(|(key, value)| same(&format!("{path}.{key}"), value, &b[key]))
                .sum()
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            let pairs = a.iter().zip(b).enumerate();
            pairs
                .map(|(index, (a, b))| same(&format!("{path}[{index}]"), a, b))
                .sum()
        }
        (Value::Number(a), Value::Number(b)) => {
            let [a, b] = [a, b].map(|number| number.as_f64().expect("a number"));
            let apart = (a - b).abs();
            // A direction a rounding before azimuth 0 has 360° but for that.
            let turns = ["azimuth", "roll_deg", "passive_deg"];
            let apart = if turns.iter().any(|key| path.contains(key)) {
                apart.min((apart - 360.0).abs())
            } else {
                apart
            };
            assert!(
                apart <= 1e-9 * a.abs().max(b.abs()) + 1e-12,
                "{path}: {a} and {b}"
            );
            1
        }
        _ => {
            assert_eq!(one, other, "{path}");
            0
        }
    }
}

/// Without what a comparison leaves out or adds.
fn without(document: &Value, keys: &[&str]) -> Value {
    let mut document = document.clone();
    let map = document.as_object_mut().expect("an object");
    map.retain(|key, _| !keys.contains(&key.as_str()));
    document
}

#[test]
fn a_comparison_says_what_the_analysis_of_each_design_says() {
    let (mut numbers, mut among) = (0, 0);
    let all = cases(81, 9);
    for (index, compared) in all.chunks(3).enumerate() {
        // Of the first of them, the post stands in the brief.
        let brief = &compared[[0, 0, 2][index]].brief;
        let place = folder_with(&[("brief.toml", brief)]);
        let names = ["0.toml", "1.toml", "2.toml"];
        for (name, case) in names.iter().zip(compared) {
            fs::write(place.path().join(name), file_text(&case.design)).expect("a file");
        }
        let mut asked = vec!["compare"];
        asked.extend(names);
        asked.extend(["--brief", "brief.toml", "--json"]);
        let output = calotte(place.path(), &asked);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
        let document = json(&output);
        for (column, name) in document["designs"].as_array().unwrap().iter().zip(names) {
            let alone = analysed(place.path(), name);
            among += usize::from(!alone["surroundings"].is_null());
            let left_out = ["configurations", "rings", "run", "safety"];
            let own = without(column, &["file", "measuring"]);
            numbers += same(name, &own, &without(&alone, &left_out));
        }
    }
    assert!(numbers > 1000, "{numbers} numbers compared");
    assert!(among >= 2, "{among} designs among keep-outs");
}

#[cfg(all(feature = "page", unix))]
mod page {
    use super::*;
    use std::io::{BufRead, BufReader, Read, Write};
    use std::net::TcpStream;
    use std::process::{Child, Command, Stdio};

    /// A page that is served, and ended with the test.
    struct Page {
        child: Child,
        host: String,
        token: String,
    }

    impl Page {
        fn start(folder: &Path) -> Self {
            let mut child = Command::new(env!("CARGO_BIN_EXE_calotte"))
                .current_dir(folder)
                .args(["page", "--no-open"])
                .stdout(Stdio::piped())
                .stderr(Stdio::null())
                .spawn()
                .expect("the binary runs");
            let mut line = String::new();
            let stdout = child.stdout.as_mut().expect("a stdout");
            BufReader::new(stdout)
                .read_line(&mut line)
                .expect("an address");
            let address = line.trim().strip_prefix("open http://").expect("`open`");
            let (host, token) = address.split_once("/?token=").expect("a token");
            Self {
                host: host.to_string(),
                token: token.to_string(),
                child,
            }
        }

        fn post(&self, target: &str, body: &Value) -> Value {
            let body = body.to_string();
            let mut stream = TcpStream::connect(&self.host).expect("a connection");
            let request = format!(
                "POST /api/{target} HTTP/1.1\r\nHost: {}\r\nx-calotte-token: {}\r\nContent-Type: application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
                self.host,
                self.token,
                body.len()
            );
            stream.write_all(request.as_bytes()).expect("a request");
            let mut text = String::new();
            stream.read_to_string(&mut text).expect("an answer");
            assert!(text.starts_with("HTTP/1.1 200"), "{target}: {text}");
            let (_, answer) = text.split_once("\r\n\r\n").expect("a body");
            serde_json::from_str(answer).expect("JSON")
        }
    }

    impl Drop for Page {
        fn drop(&mut self) {
            // It may have ended already.
            let _ = self.child.kill();
            let _ = self.child.wait();
        }
    }

    /// Rows by what they are of: the page shows those with a limit first.
    fn by_name(rows: &[Value]) -> Vec<(String, &Value)> {
        let mut rows: Vec<(String, &Value)> = rows
            .iter()
            .map(|row| (format!("{} {}", row["quantity"], row["load"]), row))
            .collect();
        rows.sort_by(|a, b| a.0.cmp(&b.0));
        rows
    }

    /// The curve of a figure of the page.
    fn curve<'a>(answer: &'a Value, choice: &str) -> &'a [Value] {
        let figures = answer["figures"].as_array().unwrap();
        let figure = figures.iter().find(|figure| figure["choice"] == choice);
        let figure = figure.unwrap_or_else(|| panic!("a figure {choice}"));
        figure["curves"][0]["values"].as_array().unwrap()
    }

    fn scaled(value: &Value, factor: f64) -> Value {
        value.as_f64().map_or(Value::Null, |v| json!(v * factor))
    }

    #[test]
    fn the_page_says_what_the_analysis_says() {
        let place = folder_with(&[]);
        let page = Page::start(place.path());
        let (mut numbers, mut among, mut poses) = (0, 0, 0);
        for (index, case) in cases(82, 6).into_iter().enumerate() {
            fs::write(place.path().join("brief.toml"), &case.brief).expect("a file");
            let text = file_text(&case.design);
            fs::write(place.path().join("design.toml"), text).expect("a file");
            let alone = analysed(place.path(), "design.toml");
            let asked = json!({ "design": case.design, "brief": case.brief });
            let answer = page.post("analysis", &asked);
            among += usize::from(case.among && !alone["surroundings"].is_null());

            let rows: Vec<Value> = answer["rows"]
                .as_array()
                .unwrap()
                .iter()
                .map(|row| row["requirement"].clone())
                .collect();
            let (shown, own) = (
                by_name(&rows),
                by_name(alone["requirements"].as_array().unwrap()),
            );
            assert_eq!(shown.len(), own.len(), "{index}");
            for ((name, shown), (other, own)) in shown.into_iter().zip(own) {
                assert_eq!(name, other, "{index}");
                numbers += same(&format!("{index} {name}"), shown, own);
            }
            // The numbers that are drawn are those of the same row.
            for row in answer["rows"].as_array().unwrap() {
                let requirement = row["requirement"].as_object().unwrap();
                let with_unit = requirement.iter().find(|(key, _)| {
                    key.starts_with("predicted") && !key.starts_with("predicted_words")
                });
                let (key, predicted) = with_unit.expect("a prediction");
                numbers += same(&format!("{index} {key}"), &row["predicted"], predicted);
            }
            for [shown, own] in [
                ["met", "met"],
                ["verdict", "verdict"],
                ["joint_loads", "joint_loads_max"],
            ] {
                numbers += same(&format!("{index} {own}"), &answer[shown], &alone[own]);
            }
            if !alone["stiffness"].is_null() {
                let own = &alone["stiffness"]["worst_polar_deg"];
                numbers += same("softest", &answer["softest_polar_deg"], own);
            }

            let rings = alone["rings"].as_array().unwrap();
            let at = format!("{index} rings");
            assert_eq!(answer["rings"].as_array().unwrap().len(), rings.len());
            for (place, own) in rings.iter().enumerate() {
                let ring = &answer["rings"][place];
                numbers += same(&at, &ring["polar_deg"], &own["polar_deg"]);
                numbers += same(&at, &ring["causes"], &own["energy_shares"]);
                let stiffness = scaled(&own["stiffness"]["minimum_n_per_m"], 1e-3);
                numbers += same(&at, &curve(&answer, "minimum stiffness")[place], &stiffness);
                numbers += same(&at, &curve(&answer, "LCI")[place], &own["lci"]);
                numbers += same(&at, &curve(&answer, "sag")[place], &own["sag_max_mm"]);
            }
            if let Some(polar) = answer["clearing"]["polar_deg"].as_array() {
                let reach = &alone["reach"];
                let own = json!([reach["polar_min_deg"], reach["polar_max_deg"]]);
                numbers += same("clearing", &json!(polar), &own);
            }

            let configurations = alone["configurations"].as_array().unwrap();
            for own in configurations.iter().step_by(configurations.len() / 3 + 1) {
                let mut asked = asked.clone();
                asked["to"] = json!({ "joints-deg": own["joints_deg"] });
                let pose = page.post("pose", &asked);
                numbers += same(&format!("{index} pose"), &pose["configuration"], own);
                poses += 1;
            }
            roll_over_the_dome(&page, &asked, &alone);
        }
        assert!(numbers > 2000, "{numbers} numbers compared");
        assert!(among >= 2, "{among} designs among keep-outs");
        assert!(poses >= 10, "{poses} poses");
    }

    /// The roll over the dome lies between the ends that the analysis tells, and takes nearly
    /// all of its range.
    fn roll_over_the_dome(page: &Page, asked: &Value, alone: &Value) {
        let mut asked = asked.clone();
        asked["quantity"] = json!({ "word": "tool-roll", "load": null });
        asked["rings"] = json!(90);
        asked["around"] = json!(8);
        let dome = page.post("dome", &asked);
        let Some(low) = dome["low"].as_f64() else {
            assert!(alone["tool_roll"].is_null());
            return;
        };
        let high = dome["high"].as_f64().unwrap();
        let ends = ["minimum_deg", "maximum_deg"].map(|key| alone["tool_roll"][key].as_f64());
        let [least, greatest] = ends.map(|end| end.expect("an end"));
        // The covered part begins 1e-9 of its width inside its edges; its edge is a node here.
        let inside = [least - 1e-5, greatest + 1e-5];
        assert!(
            inside[0] <= low && high <= inside[1],
            "{low} {high} of {inside:?}"
        );
        let share = (high - low) / (greatest - least);
        assert!(share > 0.8, "{low} {high} of {least} {greatest}");
    }
}
