//! Sentences of the verdict, each against what it says: the fit, the document, the model.

use calotte::measurement::{Cause, Outcome, Remedy, Standing, Watch};
use calotte_report::found::{
    FoundPoints, FoundWeights, controller_words, fit_document, found_points, found_weights,
    next_words, of_standing, open_words, part_words, verdict_words, weights_scope_words,
    weights_verdict_words,
};
use calotte_report::measure::fit_text;

const DESIGN: &str = include_str!("../../../examples/head-dome/bench/design.toml");
const POINTS: &[u8] = include_bytes!("../../../examples/head-dome/bench/points.csv");
const WEIGHTS: &[u8] = include_bytes!("../../../examples/head-dome/bench/weights.csv");
const TWO_FAULTS: &[u8] = include_bytes!("../../../examples/head-dome/bench-two-faults/points.csv");

fn found(points: &[u8]) -> FoundPoints {
    let design = calotte_format::read_design(DESIGN).unwrap();
    found_points(points, &design, &[], false, Watch::NOBODY).unwrap()
}

fn weights(hold: &[&str]) -> FoundWeights {
    let design = calotte_format::read_design(DESIGN).unwrap();
    let hold: Vec<String> = hold.iter().map(ToString::to_string).collect();
    found_weights(WEIGHTS, &design, &hold).unwrap()
}

/// The text below a heading, on one line.
fn below(text: &str, heading: &str) -> String {
    let mut lines = text.lines().skip_while(|line| !line.starts_with(heading));
    let first = lines.next().unwrap_or_default();
    let rest = lines.take_while(|line| line.starts_with("           "));
    let mut all = vec![first[heading.len().min(first.len())..].trim()];
    all.extend(rest.map(str::trim));
    all.join(" ")
}

fn words(found: &FoundPoints) -> String {
    let of = &found.prototype;
    verdict_words(&of.model, &of.fit, &of.judged)
}

/// What is open is what the verdict does not decide, and nothing that it does.
#[test]
fn open_is_what_the_verdict_leaves_open() {
    for points in [POINTS, TWO_FAULTS] {
        let found = found(points);
        let of = &found.prototype;
        let text = fit_text(&found);
        let open = below(&text, "Open");
        let values = below(&text, "Values");
        assert!(!of.judged.certain.is_empty());
        for part in &of.judged.certain {
            assert!(!open.contains(&part_words(part)), "{open}");
        }
        for off in &of.judged.off {
            let described = &of.model.parameters[off.index];
            let certain = of.judged.certain.contains(&described.cause);
            assert_eq!(values.contains(&described.name), !certain, "{values}");
        }
        let besides = of.judged.alternatives.iter().flat_map(|(parts, _)| parts);
        let (question, _) = open.split_once(" not judged").unwrap_or((&open, ""));
        for part in besides {
            assert!(question.contains(&part_words(part)), "{open}");
            assert_eq!(of.judged.standing(&of.model, part), Standing::InQuestion);
        }
        // A fault at certain is listed with its value, whatever the error.
        for off in &of.judged.off {
            let described = &of.model.parameters[off.index];
            if of.judged.certain.contains(&described.cause) {
                let row = format!("\n  {}", described.name);
                assert_eq!(text.matches(&row).count(), 1, "{text}");
            }
        }
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}

/// Where the points decide nothing, everything they speak of is open; where they are of another
/// design nothing is said of parts.
#[test]
fn open_follows_the_outcome() {
    let found = found(TWO_FAULTS);
    let of = &found.prototype;
    let mut judged = of.judged.clone();
    judged.outcome = Outcome::Undecided;
    let open = open_words(&of.model, &judged).join(" ");
    for part in &judged.certain {
        assert!(open.contains(&part_words(part)), "{open}");
    }
    assert!(of_standing(&of.model, &judged, Standing::AtFault).is_empty());
    judged.outcome = Outcome::LackOfFit;
    assert!(open_words(&of.model, &judged)[0].contains("every part"));
    judged.outcome = Outcome::NotOfThisDesign;
    assert!(open_words(&of.model, &judged).is_empty());
}

/// Explanations are alternatives, parts of one are needed together, and the explanation without
/// further parts says that all others are within tolerance.
#[test]
fn alternatives_and_what_belongs_together_are_told_apart() {
    for points in [POINTS, TWO_FAULTS] {
        let found = found(points);
        let said = words(&found);
        assert!(!said.contains("none of these"), "{said}");
        assert!(
            said.contains("one of these, each enough by itself: "),
            "{said}"
        );
        let judged = &found.prototype.judged;
        // Probabilities are those of the explanations themselves.
        for (parts, probability) in &judged.alternatives {
            let share = format!("{:.0} %", 100.0 * probability);
            let names: Vec<String> = parts.iter().map(part_words).collect();
            if parts.is_empty() {
                let (before, _) = said.split_once("all other parts within tolerance").unwrap();
                assert!(before.ends_with(&format!("({share}, ")), "{said}");
            } else {
                let wanted = format!("{} ({share})", names.join(" together with "));
                assert!(said.contains(&wanted), "{wanted}: {said}");
            }
        }
        let several = judged.certain.len() > 1;
        assert_eq!(said.contains("all of these together"), several, "{said}");
        let alone = below(&fit_text(&found), "Alone");
        assert!(alone.contains("shares are not added"), "{alone}");
    }
    // The explanation without further parts: every other part is within tolerance then.
    let found = found(TWO_FAULTS);
    let of = &found.prototype;
    let empty = of
        .judged
        .alternatives
        .iter()
        .any(|(parts, _)| parts.is_empty());
    assert!(empty);
    let certain = &of.judged.certain;
    let alone = of.fit.explanations.iter().find(|one| {
        one.parts.len() == certain.len() && one.parts.iter().all(|p| certain.contains(p))
    });
    for (parameter, value) in of.model.parameters.iter().zip(&alone.unwrap().values) {
        if !certain.contains(&parameter.cause) && parameter.cause != Cause::Sensor {
            let off = (value - parameter.nominal).abs() / parameter.typical;
            assert!(off <= 1.0, "{} {off}", parameter.name);
        }
    }
}

/// The measurement that comes next names both explanations, and they differ there by what it says.
#[test]
fn the_next_measurement_names_what_it_separates() {
    for points in [POINTS, TWO_FAULTS] {
        let found = found(points);
        let of = &found.prototype;
        let next = of.next.as_ref().unwrap();
        let said = next_words(&of.model, &of.fit, &of.judged, next);
        let document = fit_document(&calotte_format::read_design(DESIGN).unwrap(), &found, None);
        let told = document.verdict.measure_next.unwrap();
        assert_eq!(told.separates.len(), 2);
        for (letter, (names, parts)) in ["(A)", "(B)"]
            .iter()
            .zip(told.separates.iter().zip(&next.between))
        {
            let (_, own) = said.split_once(letter).unwrap();
            let own = own.split(" and (B)").next().unwrap();
            let own = own.split(": set").next().unwrap();
            for (name, part) in names.iter().zip(parts) {
                let besides = !of.judged.certain.contains(part);
                assert_eq!(own.contains(name.as_str()), besides, "{said}");
                if let (Cause::Bar(bar), true) = (part, besides) {
                    let side = if bar.contains("left") {
                        "left"
                    } else {
                        "right"
                    };
                    assert!(own.contains(&format!("from the {side} side")), "{said}");
                }
            }
        }
        let both = next.between.clone().map(|parts| {
            let mut all = of.fit.explanations.iter();
            all.find(|one| one.parts == parts).unwrap()
        });
        for side in [[1.0, 1.0], [-1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]] {
            let place = |k: usize| {
                let at = of
                    .model
                    .sensor(next.readings, side, &both[k].values)
                    .unwrap();
                both[k].pose.of(&at)
            };
            // "Coming from either side".
            assert!((place(0) - place(1)).norm() >= next.distance - 1e-12);
        }
    }
}

/// The scale in the verdict, the table, on the controller and in fit.json is one number; entered
/// as it is said, the controller tells the truth, and the wrong way round it does not.
#[test]
fn a_scale_is_one_number_with_its_sense() {
    let found = found(TWO_FAULTS);
    let of = &found.prototype;
    let document = fit_document(&calotte_format::read_design(DESIGN).unwrap(), &found, None);
    let value = document
        .parameters
        .iter()
        .find(|one| one.name == "opening.scale")
        .unwrap()
        .value;
    let number = format!("{value:.5}");
    let controller = controller_words(&of.model, &of.fit, &of.judged);
    let said = controller.join(" ");
    assert!(
        said.contains(&format!("scale of opening {number} ±")),
        "{said}"
    );
    assert!(
        said.contains(&format!("by {number}; a controller")),
        "{said}"
    );
    assert!(
        said.contains("turns less than the controller says"),
        "{said}"
    );
    assert_eq!(document.verdict.controller, controller);
    let text = fit_text(&found);
    assert!(text.contains(&number), "{text}");
    for off in &document.verdict.off {
        let all = document.parameters.iter();
        let one = all.clone().find(|one| one.name == off.name).unwrap();
        assert!(
            (off.by - (one.value - one.nominal)).abs() < 1e-12,
            "{off:?}"
        );
        assert_eq!(off.standard_error, one.standard_error);
    }
    let by = format!("opening.scale −{:.5} ±", 1.0 - value);
    assert!(words(&found).contains(&by), "{}", words(&found));
    // Read off the sentence: "where the reading was A° it is then B°".
    let numbers: Vec<f64> = said
        .split_once("Check: where the reading was ")
        .unwrap()
        .1
        .split(['°', ';'])
        .filter_map(|part| part.rsplit(' ').next()?.parse().ok())
        .collect();
    let [before, then, wrong] = numbers[..3] else {
        panic!("{said}")
    };
    // The place of the joint does not change by an entry: what it then reads, taken at its word,
    // is where the sensor was.
    let index = of.model.index_of("opening.scale").unwrap();
    let mut entered = of.fit.values.clone();
    entered[index] = 1.0;
    let at = |reading: f64, values: &[f64]| {
        let reading = [0.3, reading.to_radians()];
        of.model.sensor(reading, [0.0; 2], values).unwrap()
    };
    let place = at(before, &of.fit.values);
    assert!(
        (at(then, &entered) - place).norm() < 2e-6,
        "{before} {then}"
    );
    assert!((at(wrong, &entered) - place).norm() > 1e-4, "{wrong}");
    // A joint that turns more than it says.
    let mut more = of.fit.clone();
    more.values[index] = 1.012;
    let said = controller_words(&of.model, &more, &of.judged).join(" ");
    assert!(
        said.contains("turns more than the controller says"),
        "{said}"
    );
    assert!(said.contains("by 1.01200; a controller"), "{said}");
}

/// A zero is said with the sense in which the reading has to change.
#[test]
fn a_zero_is_said_with_its_sense() {
    let found = found(TWO_FAULTS);
    let of = &found.prototype;
    let index = of.model.index_of("opening.zero").unwrap();
    let (mut fit, mut judged) = (of.fit.clone(), of.judged.clone());
    judged.certain = vec![Cause::Zero("opening")];
    judged.remedies = vec![Remedy::SetZero("opening".to_string())];
    for (degrees, sense, more) in [
        (0.75, "further than", "more"),
        (-0.75, "less far than", "less"),
    ] {
        fit.values = of.model.nominal();
        fit.values[index] = f64::to_radians(degrees);
        let said = controller_words(&of.model, &fit, &judged).join(" ");
        assert!(
            said.contains(&format!(
                "opening stands 0.7500° {sense} the controller says"
            )),
            "{said}"
        );
        assert!(
            said.contains(&format!("gives 0.7500° {more} at the same place")),
            "{said}"
        );
        // With the reading as said and no zero the sensor is where it was.
        let at = |reading: f64, values: &[f64]| {
            of.model.sensor([0.3, reading], [0.0; 2], values).unwrap()
        };
        let place = at(1.5, &fit.values);
        let entered = at(1.5 + f64::to_radians(degrees), &of.model.nominal());
        assert!((place - entered).norm() < 1e-12);
    }
}

/// Weights say which parts they judge and which not, and a base that would move the tip nearly
/// alike is one that does.
#[test]
fn weights_say_whom_they_judge() {
    let found = weights(&[]);
    let scope = weights_scope_words(&found.fit);
    let (judged, rest) = scope
        .split_once("; taken as designed and not judged: ")
        .unwrap();
    let (held, never) = rest.split_once("; ").unwrap();
    for words in ["the modulus of the bars", "joints", "play", "friction"] {
        assert!(judged.contains(words) && !held.contains(words), "{scope}");
    }
    for words in ["a base that tilts", "the drives"] {
        assert!(held.contains(words) && !judged.contains(words), "{scope}");
    }
    assert!(
        never.contains("arcs, zeros and scales") && never.contains("masses"),
        "{scope}"
    );
    let said = weights_verdict_words(&found.fit, &found.judged);
    let (_, number) = said
        .split_once("base_tilt_compliance_urad_per_nm of about ")
        .unwrap();
    let said_tilt: f64 = number.split(')').next().unwrap().parse().unwrap();
    // With the bars held as designed the fit itself finds such a base, and misses little more.
    let other = weights(&["bar_modulus"]);
    let base = other.fit.parameters.iter();
    let base = base
        .clone()
        .find(|one| one.parameter.name() == "base_tilt_compliance")
        .unwrap();
    let ratio = said_tilt / (base.value * 1e6);
    assert!((0.67..1.5).contains(&ratio), "{said_tilt} {}", base.value);
    assert!(other.fit.noise < 1.2 * found.fit.noise);
    // What is held is not judged.
    let scope = weights_scope_words(&weights(&["play"]).fit);
    let (judged, held) = scope
        .split_once("; taken as designed and not judged: ")
        .unwrap();
    assert!(held.contains("play") && !judged.contains("play"), "{scope}");
}
