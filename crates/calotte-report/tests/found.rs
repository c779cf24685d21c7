//! A fit as written is the fit as read back; what is no fit of a design is said.

use calotte::design::Design;
use calotte::measurement::{ToldByWeights, Watch};
use calotte_document::measured::FitDocument;
use calotte_document::run::FitRun;
use calotte_report::found::{fit_document, found_points, found_weights, read_fit};
use calotte_report::input::provenance;
use serde_json::{Value, json};
use std::path::Path;

const DESIGN: &str = include_str!("../../../examples/head-dome/bench/design.toml");
const POINTS: &[u8] = include_bytes!("../../../examples/head-dome/bench/points.csv");
const WEIGHTS: &[u8] = include_bytes!("../../../examples/head-dome/bench/weights.csv");

fn design() -> Design {
    calotte_format::read_design(DESIGN).unwrap()
}

/// The fit of the invented bench campaign, as the program writes it.
fn document() -> Value {
    let design = design();
    let points = found_points(POINTS, &design, &[], false, Watch::NOBODY).unwrap();
    let weights = found_weights(WEIGHTS, &design, &[]).unwrap();
    let mut document = fit_document(&design, &points, Some(&weights));
    let inputs = [("design", Path::new("design.toml"), "abc")];
    let options = FitRun {
        hold: Vec::new(),
        sag: false,
    };
    document.run = Some(provenance(&inputs, options, &[]));
    calotte_document::json(&document)
}

#[test]
fn a_fit_is_read_back_as_it_was_found() {
    let design = design();
    let points = found_points(POINTS, &design, &[], false, Watch::NOBODY).unwrap();
    let weights = found_weights(WEIGHTS, &design, &[]).unwrap();
    let read = read_fit(&document().to_string(), &design).unwrap();
    assert_eq!(read.design_sha256, "abc");
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-12 * (1.0 + b.abs());
    for (read, found) in read.values.iter().zip(&points.prototype.fit.values) {
        assert!(close(*read, *found), "{read} against {found}");
    }
    let told = ToldByWeights::of(&weights.fit, &weights.judged);
    assert_eq!(read.told_by_weights.len(), told.len());
    for (read, found) in read.told_by_weights.iter().zip(&told) {
        assert_eq!(read.parameter, found.parameter);
        assert!(close(read.value, found.value));
        assert!(close(read.standard_error, found.standard_error));
    }
    assert_eq!(read.stations.len(), weights.fit.stations.len());
    for (read, found) in read.stations.iter().zip(&weights.fit.stations) {
        assert_eq!(read.place, found.place);
        assert!(close(read.readings[0], found.readings[0]));
        let (read, found) = (read.measured.unwrap(), found.measured.unwrap());
        assert!(close(read[0] / found.value, 1.0));
        assert!(close(read[1] / found.standard_error, 1.0));
    }
    assert_eq!(
        read.off,
        ["swing.backlash_deg", "base-left.first_arc_deg"].map(str::to_string)
    );
    assert!(read.verdicts[0].contains("take the backlash out of swing"));
    assert!(read.verdicts[1].contains("bar_modulus"));
    // A fit without weights tells nothing of stiffness.
    let mut without = document();
    without["weights"] = Value::Null;
    let read = read_fit(&without.to_string(), &design).unwrap();
    assert!(read.told_by_weights.is_empty() && read.stations.is_empty());
}

#[test]
fn what_is_no_fit_of_a_design_is_said() {
    let design = design();
    let changed = |change: &dyn Fn(&mut Value)| {
        let mut document = document();
        change(&mut document);
        read_fit(&document.to_string(), &design).unwrap_err()
    };
    let said = |change: &dyn Fn(&mut Value), expected: &str| {
        let error = changed(change);
        assert!(error.message.contains(expected), "{}", error.message);
        assert!(!error.hint.is_empty());
    };
    for text in ["", "{}", "[1, 2]", "{\"run\": 3}", "not JSON"] {
        let error = read_fit(text, &design).unwrap_err();
        assert!(error.message.starts_with("is no fit"), "{}", error.message);
    }
    let whole = document().to_string();
    let error = read_fit(&whole[..whole.len() / 2], &design).unwrap_err();
    assert!(error.message.contains("line 1 column"), "{}", error.message);
    said(&|d| d["run"]["program"] = json!("other"), "which design");
    said(&|d| d["run"]["inputs"] = json!([]), "which design");
    said(
        &|d| d["parameters"][3]["name"] = json!("wing.arc_deg"),
        "has no parameter",
    );
    said(
        &|d| {
            let mut extra = d["parameters"][3].clone();
            extra["name"] = json!("wing.arc_deg");
            d["parameters"].as_array_mut().unwrap().push(extra);
        },
        "wing.arc_deg, which this design has not",
    );
    said(
        &|d| {
            let list = d["parameters"].as_array_mut().unwrap();
            let arc = list
                .iter_mut()
                .find(|one| one["name"] == "base-left.first_arc_deg");
            arc.unwrap()["value"] = json!(300.0);
        },
        "is 300, and the design says 21.5",
    );
    said(
        &|d| d["weights"]["parameters"][0]["value"] = json!(-1.0),
        "which no fit gives",
    );
    said(
        &|d| d["weights"]["parameters"][0]["name"] = json!("luck"),
        "weights identify luck",
    );
    said(
        &|d| d["weights"]["configurations"][0]["pull"] = json!([0.0, 0.0, 0.0]),
        "has no length",
    );
    said(
        &|d| {
            let first = d["weights"]["configurations"][0].as_object_mut().unwrap();
            first.remove("swing_deg");
        },
        "has no swing_deg",
    );
}

/// Null for a number that is not finite, or a key that is missing, would not be read back.
#[test]
fn a_fit_is_the_same_document_when_read_back() {
    let document = document();
    let read: FitDocument = serde_json::from_value(document.clone()).unwrap();
    assert_eq!(calotte_document::json(&read), document);
}
