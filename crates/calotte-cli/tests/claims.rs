//! Sentences of a results folder that a sceptical reader would test, tested.

mod common;

use std::fs;
use std::sync::LazyLock;

use common::{calotte, folder_with, json};
use serde_json::Value;
use tempfile::TempDir;

/// The built casting gauge of the examples (invented data), narrowed to one combination.
fn brief() -> String {
    let whole = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../examples/casting-gauge/built.toml"
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
