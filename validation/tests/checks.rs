//! All checks hold, their names are unique, and a wrong reference is noticed everywhere.

use std::collections::BTreeSet;
use std::path::Path;

use calotte::quantity::Quantity;
use calotte_document::safety::Safety;
use calotte_document::verified::ChecksDocument;
use calotte_validation::{Check, Kind, Source, document, markdown, run_all, text_table};

#[test]
fn every_check_holds() {
    let checks = run_all();
    let failing: Vec<&Check> = checks.iter().filter(|check| !check.holds()).collect();
    assert!(failing.is_empty(), "{}", report(&failing));
    assert!(checks.len() >= 40, "only {} checks", checks.len());
}

fn report(failing: &[&Check]) -> String {
    failing
        .iter()
        .map(|check| {
            format!(
                "{} {}: reference {} computed {} tolerance {}\n",
                check.id, check.quantity, check.reference, check.computed, check.tolerance
            )
        })
        .collect()
}

#[test]
fn names_are_unique_and_every_kind_is_there() {
    let checks = run_all();
    let ids: BTreeSet<&str> = checks.iter().map(|check| check.id.as_str()).collect();
    assert_eq!(ids.len(), checks.len());
    for check in &checks {
        assert!(!check.unit.is_empty() && !check.quantity.is_empty());
    }
    for kind in Kind::ALL {
        assert!(checks.iter().any(|check| check.source.kind() == kind));
    }
}

/// The root of the repository.
fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
}

/// What is wrong with a source: a publication that cannot be looked up, a file that is not there.
fn fault(source: &Source) -> Option<String> {
    let vague = |text: &str| text.trim().len() < 3;
    let numbered = |text: &str| text.chars().any(|c| c.is_ascii_digit());
    match *source {
        Source::Published {
            author,
            title,
            edition_or_year,
            place,
            ..
        } => [
            (vague(author), "no author"),
            (vague(title), "no title"),
            (!numbered(edition_or_year), "no edition or year"),
            (
                !["p. ", "pp. ", "Table ", "Tables "]
                    .iter()
                    .any(|word| place.starts_with(word))
                    || !numbered(place),
                "no table or page",
            ),
        ]
        .into_iter()
        .find_map(|(wrong, what)| wrong.then(|| what.to_string())),
        Source::Derived { file, method } => {
            let kind = file.ends_with(".py") || file.ends_with(".rs");
            if !kind || !root().join(file).is_file() {
                Some(format!("{file} is no program of this repository"))
            } else {
                vague(method).then(|| "no method".to_string())
            }
        }
        Source::Memory { what } | Source::CommonPractice { what } => {
            vague(what).then(|| "says nothing".to_string())
        }
    }
}

#[test]
fn every_quantity_has_checks_that_are_there() {
    let checks = run_all();
    let ids: BTreeSet<&str> = checks.iter().map(|check| check.id.as_str()).collect();
    for quantity in Quantity::ALL {
        let behind = quantity.checks();
        assert!(!behind.is_empty(), "{quantity:?} has no check");
        for id in behind {
            assert!(ids.contains(id), "{quantity:?}: there is no check {id}");
        }
    }
}

#[test]
fn every_source_can_be_looked_up_or_says_that_it_cannot() {
    for check in run_all() {
        assert_eq!(fault(&check.source), None, "{}", check.id);
    }
}

#[test]
fn a_source_that_cannot_be_looked_up_is_noticed() {
    let published = Source::Published {
        author: "A. Writer",
        title: "A book",
        edition_or_year: "2nd ed. 1971",
        place: "p. 12",
        note: "",
    };
    assert_eq!(fault(&published), None);
    let with = |change: fn(&mut [&'static str; 4])| {
        let mut fields = ["A. Writer", "A book", "2nd ed. 1971", "p. 12"];
        change(&mut fields);
        let [author, title, edition_or_year, place] = fields;
        fault(&Source::Published {
            author,
            title,
            edition_or_year,
            place,
            note: "",
        })
    };
    assert_eq!(with(|f| f[0] = "").as_deref(), Some("no author"));
    assert_eq!(with(|f| f[1] = " ").as_deref(), Some("no title"));
    assert_eq!(
        with(|f| f[2] = "new").as_deref(),
        Some("no edition or year")
    );
    assert_eq!(
        with(|f| f[3] = "a manual").as_deref(),
        Some("no table or page")
    );
    assert_eq!(
        with(|f| f[3] = "Table of it").as_deref(),
        Some("no table or page")
    );
    for file in ["oracles/derived_nowhere.py", "README.md", "oracles", ""] {
        let method = "by hand";
        assert!(fault(&Source::Derived { file, method }).is_some(), "{file}");
    }
    assert!(fault(&Source::Memory { what: "" }).is_some());
}

/// No tolerance is so wide that another answer passes: nothing at all, the opposite sign, a
/// third more or less. Where the reference is zero, one in the unit of the quantity must fail.
#[test]
fn no_tolerance_lets_another_answer_through() {
    for check in run_all() {
        let reference = check.reference;
        let others = if reference == 0.0 {
            vec![1.0, -1.0]
        } else {
            vec![
                0.0,
                -reference,
                2.0 / 3.0 * reference,
                4.0 / 3.0 * reference,
            ]
        };
        for computed in others {
            let other = Check {
                computed,
                ..check.clone()
            };
            assert!(!other.holds(), "{} holds for {computed}", check.id);
        }
    }
}

/// A check holds up to its tolerance and not beyond, and never without a value.
#[test]
fn a_check_holds_up_to_its_tolerance() {
    let check = run_all().swap_remove(0);
    let holds = |computed: f64, tolerance: f64| {
        let check = Check {
            reference: 2.0,
            computed,
            tolerance,
            ..check.clone()
        };
        check.holds()
    };
    assert!(holds(2.0, 0.0) && holds(2.25, 0.25) && holds(1.75, 0.25));
    assert!(!holds(2.0 + 1e-15, 0.0) && !holds(2.26, 0.25) && !holds(1.74, 0.25));
    for none in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(!holds(none, 1e9), "{none}");
    }
}

#[test]
fn a_wrong_reference_is_reported_in_all_three_forms() {
    let mut checks = run_all();
    assert!(text_table(&checks).contains("all hold"));
    assert!(!markdown(&checks).contains("fails"));
    let place = checks.iter().position(|check| check.id == "C03-theory");
    let place = place.unwrap();
    checks[place].reference = 2.7;
    let text = text_table(&checks);
    assert!(text.contains("FAILS") && text.contains("1 fail"));
    assert!(text.contains("reference 2.7, computed 2.649"));
    assert!(text.contains("Timoshenko, Strength of Materials"));
    assert!(markdown(&checks).contains("**fails**"));
    assert!(!document(&checks, Safety::default()).checks[place].holds);
    checks[place].computed = f64::NAN;
    let row = &document(&checks, Safety::default()).checks[place];
    assert_eq!((row.computed, row.difference), (None, None));
    assert!(text_table(&checks).contains("no value"));
}

#[test]
fn the_page_is_the_same_every_time_and_forgives_the_last_digit() {
    let checks = run_all();
    let page = markdown(&checks);
    assert_same_lines(&page, &markdown(&run_all()));
    let mut nudged = checks.clone();
    for check in nudged.iter_mut().filter(|check| check.tolerance > 0.0) {
        // More than another platform's library may round otherwise.
        check.computed += (1e-13 * check.computed.abs()).min(0.01 * check.tolerance);
    }
    assert_same_lines(&page, &markdown(&nudged));
    for check in &checks {
        assert!(page.contains(&format!("| {} |", check.id.replace('|', "\\|"))));
    }
}

fn assert_same_lines(first: &str, second: &str) {
    for (a, b) in first.lines().zip(second.lines()) {
        assert_eq!(a, b);
    }
    assert_eq!(first.lines().count(), second.lines().count());
}

#[test]
fn the_terminal_table_fits_80_columns() {
    let mut checks = run_all();
    assert!(!text_table(&checks).contains('…'), "a quantity is cut off");
    checks[0].reference = 1.0;
    for line in text_table(&checks).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn the_document_is_read_back_as_it_was_written() {
    let mut checks = run_all();
    checks[0].computed = f64::NAN;
    let written = calotte_document::json(&document(&checks, Safety::default()));
    let read: ChecksDocument = serde_json::from_value(written.clone()).unwrap();
    assert_eq!(calotte_document::json(&read), written);
    assert_eq!(read.checks.len(), checks.len());
    for (row, check) in read.checks.iter().zip(&checks).skip(1) {
        assert_eq!(row.computed, Some(check.computed), "{}", check.id);
    }
}
