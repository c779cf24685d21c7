//! The whole analysis of a design: needed against got.

use axum::Json;
use axum::extract::State;
use calotte::analysis::values::{around, shown_at_angle};
use calotte::analysis::{Analysis, AnalysisOptions, NamedPair, RingResult, Row, analyse_subject};
use calotte::kinematics::WorkingRange;
use calotte::quantity::Quantity;
use calotte_format::safety::Safety;
use calotte_format::units::{degrees, millimetres};
use calotte_format::words;
use calotte_report::cautions::{cautions_of, singular_words};
use calotte_report::results::{joint_loads, requirement_document};
use calotte_report::safety;

use crate::server::{ApiError, AppState, Body, compute};

use super::linkage::index;
use super::prepared::{Prepared, cannot, prepared};
use super::wire::{
    AnalysisAnswer, ClearingShape, CurveFigure, CurveShape, Judged, PairShape, RequirementRow,
    RingRow,
};

/// The analysis of a design, as `calotte analyse` makes it.
pub(crate) async fn analysis(
    State(state): State<AppState>,
    Body(asked): Body<Judged>,
) -> Result<Json<AnalysisAnswer>, ApiError> {
    let folder = state.folder().to_owned();
    compute(&state, asked, move |asked| {
        let ready = prepared(&asked.design, asked.brief.as_deref(), false, &folder)?;
        let (found, ideal) = rayon::join(
            || {
                let options = AnalysisOptions::default();
                analyse_subject(&ready.subject, &ready.requirements, &options)
            },
            || ideal(&ready),
        );
        let found = found.map_err(|error| cannot(&error))?;
        Ok(Json(answer(&ready, &found, ideal.as_ref())))
    })
    .await?
}

/// The ideal linkage of a built design, without its bands; `None` where nothing is built
/// or the ideal has no answer.
fn ideal(ready: &Prepared) -> Option<Analysis> {
    let options = AnalysisOptions {
        bands: false,
        proof: false,
        ..AnalysisOptions::default()
    };
    let design = ready.given();
    let ideal = design.is_built().then(|| design.ideal())?;
    let subject = ready.subject.beside(ideal).ok()?;
    analyse_subject(&subject, &ready.requirements, &options).ok()
}

fn answer(ready: &Prepared, found: &Analysis, ideal: Option<&Analysis>) -> AnalysisAnswer {
    let beside = |row: &Row| -> Option<&Row> {
        let rows = &ideal?.rows;
        rows.iter().find(|ideal| ideal.is_like(row))
    };
    let required = found.rows.iter().filter(|row| row.needed.is_some());
    let rest = found.rows.iter().filter(|row| row.needed.is_none());
    let nothing_required = found.rows.iter().all(|row| row.needed.is_none());
    AnalysisAnswer {
        met: (!nothing_required).then(|| found.met()),
        verdict: found.verdict().words().to_string(),
        rows: required
            .chain(rest)
            .map(|row| requirement(row, beside(row)))
            .collect(),
        singular_words: singular_words(found),
        cautions: cautions_of(ready.given(), found),
        safety: safety::document(Safety::of(ready.given(), ready.people_near)),
        rings: found.rings.iter().map(ring).collect(),
        figures: figures(ready, found),
        loads: ready.loads().iter().map(|load| load.name.clone()).collect(),
        joint_loads: joint_loads(found),
        softest_polar_deg: softest(found).map(|ring| degrees(ring.polar)),
        ideal_causes: ideal.and_then(softest).map(|ring| ring.energy_shares),
        clearing: clearing(ready, found),
    }
}

/// The ring where the least stiffness lies.
fn softest(found: &Analysis) -> Option<&RingResult> {
    found
        .rings
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least))
}

/// How many of the nearest pairs are told.
const NEAREST_PAIRS: usize = 6;

fn clearing(ready: &Prepared, found: &Analysis) -> Option<ClearingShape> {
    let report = found.clearing.as_ref()?;
    let range = found.working_range.as_ref();
    let polar = |range: &WorkingRange| [range.polar_min(), range.polar_max()].map(degrees);
    let ends: Vec<&NamedPair> = report.ends.iter().flatten().collect();
    let nearest = report
        .least
        .iter()
        .filter(|pair| ends.iter().all(|end| end.names != pair.names));
    Some(ClearingShape {
        layers: index(report.layers),
        clearance_mm: millimetres(report.clearance),
        polar_deg: range.map(polar),
        ideal_polar_deg: report.ideal.as_ref().map(polar),
        ends: ends.iter().filter_map(|end| pair(ready, end)).collect(),
        nearest: nearest
            .filter_map(|found| pair(ready, found))
            .take(NEAREST_PAIRS)
            .collect(),
    })
}

/// A pair where it comes nearest; `None` where its distance never changes.
fn pair(ready: &Prepared, pair: &NamedPair) -> Option<PairShape> {
    let first = ready
        .range
        .as_ref()
        .and_then(|range| range.first)
        .map_or(0.0, |[low, high]| 0f64.clamp(low, high));
    let joints = ready
        .model
        .kinematics
        .active_from_mechanism([first, pair.second?]);
    Some(PairShape {
        names: pair.names.clone(),
        distance_mm: millimetres(pair.distance),
        polar_deg: degrees(pair.polar?),
        joints_deg: joints.map(degrees),
    })
}

fn requirement(row: &Row, ideal: Option<&Row>) -> RequirementRow {
    let unit = row.quantity.unit();
    let scale = unit.factor();
    let value = |value: f64| value.is_finite().then_some(value * scale);
    let ideal_got = ideal.and_then(|ideal| ideal.got.as_ref().ok().copied());
    let [limit, predicted] = words::limit_and_value(row);
    RequirementRow {
        requirement: requirement_document(row, ideal_got),
        name: words::row_name(row),
        unit: unit.symbol().to_owned(),
        required: row.needed.and_then(value),
        predicted: row.got.as_ref().ok().copied().and_then(value),
        band: row
            .band
            .and_then(|[low, high]| Some([value(low)?, value(high)?])),
        required_words: limit.unwrap_or_default(),
        predicted_words: predicted.unwrap_or("no value".to_owned()),
        margin_words: words::row_margin(row).unwrap_or_default(),
        ideal: ideal_got.and_then(value),
        ideal_words: ideal_got.map(|got| words::value_of(row.quantity, got)),
    }
}

fn ring(ring: &RingResult) -> RingRow {
    RingRow {
        polar_deg: degrees(ring.polar),
        causes: ring.energy_shares,
    }
}

/// The table's curves along the polar angle.
fn figures(ready: &Prepared, found: &Analysis) -> Vec<CurveFigure> {
    let figures = Quantity::figures().into_iter();
    figures
        .filter_map(|members| {
            let (first, head) = *members.first()?;
            let curves = members.into_iter();
            Some(CurveFigure {
                choice: head.choice.to_owned(),
                label: head.label.to_owned(),
                unit: first.unit().symbol().to_owned(),
                curves: curves
                    .flat_map(|(quantity, curve)| curves_of(ready, found, quantity, curve.name))
                    .collect(),
            })
        })
        .collect()
}

/// The curve of a quantity, or one of each load case.
fn curves_of(
    ready: &Prepared,
    found: &Analysis,
    quantity: Quantity,
    name: &str,
) -> Vec<CurveShape> {
    let factor = quantity.unit().factor();
    let curve = |name: &str, load: Option<usize>| CurveShape {
        name: name.to_owned(),
        values: found
            .rings
            .iter()
            .map(|ring| {
                let value = around(quantity, &ready.model, ring, load)?;
                Some(shown_at_angle(quantity, value, found.tool_roll.as_ref()) * factor)
            })
            .collect(),
    };
    if quantity.is_per_load() {
        let loads = ready.loads().iter().enumerate();
        return loads
            .map(|(index, load)| curve(&load.name, Some(index)))
            .collect();
    }
    vec![curve(name, None)]
}
