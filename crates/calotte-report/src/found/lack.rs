//! What a fit leaves that is not noise: words and document.

use calotte::measurement::lack_of_fit::{
    LackKind, LackOfFit, LackTest, Movement, Rejected, Untestable, Whole,
};
use calotte::measurement::{PhysicalModel, PointFit};
use calotte_document::measured::{LackDocument, LackTestShape, RejectedShape};
use calotte_format::units::degrees;
use calotte_format::words;

/// What residuals were tested against, in words.
fn kind_words(model: &PhysicalModel, kind: LackKind) -> String {
    match kind {
        LackKind::Drift => "drift with the order of rows".to_string(),
        LackKind::UnevenDrift => "uneven drift with the order of rows".to_string(),
        LackKind::Reading(joint) => format!(
            "reading of {}, once or twice a turn",
            model.active_names[joint]
        ),
        LackKind::Azimuth => "azimuth".to_string(),
        LackKind::Polar => "polar angle".to_string(),
        LackKind::Repeats => "repeats against the fit".to_string(),
    }
}

fn millimetres(value: f64) -> String {
    words::three(value * 1e3)
}

/// What a test that found something says.
fn found_words(model: &PhysicalModel, lack: &LackOfFit, kind: LackKind, effect: f64) -> String {
    match (kind, lack.movement) {
        (LackKind::Drift | LackKind::UnevenDrift, Some(movement)) => movement_words(movement),
        (LackKind::Repeats, _) => format!(
            "repeats agree with each other better than with the fit, which misses them by {} mm more",
            millimetres(effect)
        ),
        (LackKind::Reading(joint), _) => format!(
            "residuals of {} mm follow the reading of {} once or twice a turn, as of an eccentric encoder or joint",
            millimetres(effect),
            model.active_names[joint]
        ),
        (kind, _) => format!(
            "residuals of {} mm follow {}",
            millimetres(effect),
            match kind {
                LackKind::Azimuth => "the azimuth, as of sag on a tilted base",
                LackKind::Polar => "the polar angle, as of sag",
                _ => "the order of rows",
            }
        ),
    }
}

fn movement_words(movement: Movement) -> String {
    match movement {
        Movement::Even { by } => format!(
            "the points drift with the order of rows, {} mm from first to last: was the tracker or the base warm and still?",
            millimetres(by.norm())
        ),
        Movement::Step { after_row, by } => format!(
            "the points jump by {} mm after row {after_row}: was the tracker or the base moved?",
            millimetres(by.norm())
        ),
        Movement::Uneven { rms } => format!(
            "the points move with the order of rows by {} mm (root mean square): were the tracker and the base still?",
            millimetres(rms)
        ),
    }
}

fn rejected_words(model: &PhysicalModel, one: &Rejected) -> String {
    let what = match one.whole {
        Whole::Configuration(readings) => {
            let [a, b] = readings.map(|r| words::number(degrees(r), 1));
            format!("all {} rows at {a}°, {b}°", one.rows.len())
        }
        Whole::Reading { joint, at } => format!(
            "all {} rows at {} {}°",
            one.rows.len(),
            model.active_names[joint],
            words::number(degrees(at), 1)
        ),
    };
    format!("{what} are outliers, which single mistakes are not")
}

/// Everything that was found, the surest first; empty where only noise is left.
pub fn lack_words(model: &PhysicalModel, fit: &PointFit) -> Vec<String> {
    let lack = &fit.lack_of_fit;
    let mut said: Vec<String> = Vec::new();
    for (kind, tested) in lack.found() {
        let text = found_words(model, lack, kind, tested.effect);
        if !said.contains(&text) {
            said.push(text);
        }
    }
    let rejected = lack.rejected.iter().filter(|one| one.found);
    said.extend(rejected.map(|one| rejected_words(model, one)));
    said
}

fn untestable_words(reason: Untestable) -> &'static str {
    match reason {
        Untestable::Confounded => "the parameters and the pose explain all of it as well",
        Untestable::NoRepeats => "no configuration was measured twice",
        Untestable::TooFewRows => "too few rows to know the noise by",
    }
}

/// The tests, for programs.
pub(super) fn lack_document(model: &PhysicalModel, fit: &PointFit) -> LackDocument {
    let lack = &fit.lack_of_fit;
    let test = |test: &LackTest| {
        let tested = test.outcome.ok();
        LackTestShape {
            name: kind_words(model, test.kind),
            statistic: tested.map(|t| t.statistic),
            degrees: tested.map(|t| t.degrees.map(|d| d.is_finite().then_some(d))),
            p_value: tested.map(|t| t.p_value),
            level: tested.map(|t| t.level),
            effect_mm: tested.map(|t| t.effect * 1e3),
            found: tested.is_some_and(|t| t.found),
            not_tested_because: test.outcome.err().map(|r| untestable_words(r).to_string()),
        }
    };
    LackDocument {
        level: lack.family_level,
        minimum_drift_seen_mm: lack.drift_seen.map(|seen| seen * 1e3),
        found: lack.is_found(),
        words: lack_words(model, fit),
        tests: lack.tests.iter().map(test).collect(),
        rejected: lack
            .rejected
            .iter()
            .map(|one| RejectedShape {
                rows: one.rows.clone(),
                group: one.group.clone(),
                by_chance: one.by_chance,
                found: one.found,
                words: rejected_words(model, one),
            })
            .collect(),
        outlier_share: lack.outlier_share,
    }
}
