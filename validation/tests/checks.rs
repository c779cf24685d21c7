//! All checks hold, their names are unique, and a wrong reference is noticed everywhere.

use std::collections::BTreeSet;

use calotte_document::safety::Safety;
use calotte_document::verified::ChecksDocument;
use calotte_validation::{Check, Kind, document, markdown, run_all, text_table};

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
fn names_are_unique_and_every_kind_says_where_it_comes_from() {
    let checks = run_all();
    let ids: BTreeSet<&str> = checks.iter().map(|check| check.id.as_str()).collect();
    assert_eq!(ids.len(), checks.len());
    for check in &checks {
        let prefix = match check.kind {
            Kind::Published => "",
            Kind::Derived => "derived: ",
            Kind::FromMemory => "from memory: ",
        };
        let rest = check.source.strip_prefix(prefix);
        assert!(rest.is_some_and(|rest| rest.len() > 10), "{}", check.id);
        assert!(!check.unit.is_empty() && !check.quantity.is_empty());
    }
    for kind in [Kind::Published, Kind::Derived, Kind::FromMemory] {
        assert!(checks.iter().any(|check| check.kind == kind));
    }
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
