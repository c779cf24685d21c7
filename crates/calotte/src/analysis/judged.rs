//! Where a design is looked at, its rows there, and their bands: what the whole analysis and
//! whoever asks for the limits alone share.

use rayon::prelude::*;

use crate::brief::LoadCase;
use crate::elasticity::ElasticityError;
use crate::kinematics::WorkingRange;
use crate::kinematics::conditioning::ConditioningSummary;
use crate::quantity::Quantity;
use crate::sphere::Region;
use crate::subject::{Model, Subject};

use super::around::Around;
use super::bands::{Ends, Questions, add_bands};
use super::between::{Refined, nearest_to_singular, refined};
use super::judge::Found;
use super::options::{AnalysisError, AnalysisOptions};
use super::precision::{Solved, fewest};
use super::requirements::Requirements;
use super::ring::{Envelope, RingResult, needs_no_samples, solve_ring_over};
use super::ring_grid::{Covered, RingPlace};
use super::roll::RollRange;
use super::rows::Row;
use super::values::{Reached, Source, around, source};

/// Where a design is looked at, for it and for others that move alike.
pub(super) struct Look<'a> {
    covered: Covered<'a>,
    grid: Vec<RingPlace>,
    seeds: Vec<f64>,
    /// Azimuths on rings between those of the grid: only what is the same all around has its
    /// worst azimuths found.
    samples: usize,
    keep_outs: Option<&'a Around<'a>>,
    loads: &'a [LoadCase],
}

impl<'a> Look<'a> {
    pub(super) fn new(
        model: &'a Model,
        range: &'a WorkingRange,
        region: &'a Region,
        requirements: &'a Requirements,
        options: &AnalysisOptions,
        keep_outs: Option<&'a Around<'a>>,
    ) -> Self {
        let covered = Covered::new(&model.kinematics, range, region);
        let mut grid = covered.grid(options.rings, options.around);
        if let Some(keep_outs) = keep_outs {
            grid.par_iter_mut()
                .for_each(|place| keep_outs.keep_clear(model, place));
        }
        grid.retain(RingPlace::has_directions);
        let mut seeds: Vec<f64> = covered
            .second()
            .map(|second| nearest_to_singular(&model.kinematics, second))
            .unwrap_or_default();
        // The required arcs change their form here.
        let breaks = region.polar_breaks();
        seeds.extend(
            breaks
                .iter()
                .flat_map(|polar| [polar - BESIDE, polar + BESIDE]),
        );
        let inside = |polar: &f64| {
            covered
                .polar()
                .is_some_and(|[lo, hi]| lo < *polar && *polar < hi)
        };
        seeds.retain(inside);
        Self {
            covered,
            grid,
            seeds,
            samples: samples(model, &requirements.loads, options),
            keep_outs,
            loads: &requirements.loads,
        }
    }

    /// The same under other load cases.
    pub(super) fn under(
        self,
        model: &Model,
        loads: &'a [LoadCase],
        options: &AnalysisOptions,
    ) -> Self {
        Self {
            samples: samples(model, loads, options),
            loads,
            ..self
        }
    }

    fn ring(
        &self,
        model: &Model,
        place: &RingPlace,
        envelope: Envelope,
    ) -> Result<RingResult, ElasticityError> {
        solve_ring_over(model, place, self.loads, envelope)
    }

    /// Solves the rings of the grid, and between them those that may be worse.
    pub(super) fn solve(
        &self,
        model: &Model,
        envelope: Envelope,
    ) -> Result<Refined, ElasticityError> {
        let solved: Vec<_> = self
            .grid
            .par_iter()
            .map(|place| self.ring(model, place, envelope))
            .collect();
        let solved = Solved::of(solved)?;
        let (few_digits, grid) = (solved.few_digits, solved.rings);
        if self.covered.polar().is_none() {
            return Ok(Refined {
                rings: grid,
                left: 0.0,
                few_digits,
            });
        }
        let at = |polar: f64| {
            let mut place = self.covered.at(polar, self.samples)?;
            if let Some(keep_outs) = self.keep_outs {
                keep_outs.keep_clear(model, &mut place);
            }
            let ring = place
                .has_directions()
                .then(|| self.ring(model, &place, envelope));
            ring?.ok()
        };
        let mut refined = refined(grid, &at, &self.seeds, &|ring| {
            badness(model, ring, self.loads.len())
        });
        refined.few_digits = fewest(few_digits, &refined.rings);
        Ok(refined)
    }
}

/// Azimuths on a ring where its worst ones are not found by equations; 0 where they are.
fn samples(model: &Model, loads: &[LoadCase], options: &AnalysisOptions) -> usize {
    match needs_no_samples(model, loads) {
        true => 0,
        false => options.around,
    }
}

/// How far from a break of the region its rings lie, rad.
const BESIDE: f64 = 1e-7;

/// How bad a ring is by every row of directions: the value, or one over it where more is better.
fn badness(model: &Model, ring: &RingResult, loads: usize) -> Vec<f64> {
    let rows = Quantity::ROWS.into_iter().filter(|quantity| {
        matches!(
            source(*quantity),
            Source::Compliance(_) | Source::Direction(_)
        )
    });
    rows.flat_map(|quantity| {
        let cases = if quantity.is_per_load() {
            (0..loads).map(Some).collect()
        } else {
            vec![None]
        };
        cases.into_iter().map(move |load| {
            let value = around(quantity, model, ring, load);
            value.map_or(0.0, |value| {
                if quantity.more_is_better() {
                    1.0 / value
                } else {
                    value
                }
            })
        })
    })
    .collect()
}

/// The rows of a design that reaches a range, solved over its rings.
pub(super) fn rows(
    requirements: &Requirements,
    summary: &ConditioningSummary,
    range: Option<&WorkingRange>,
    region: &Region,
    model: &Model,
    rings: &[RingResult],
) -> Vec<Row> {
    let required = range.and_then(|range| Covered::new(&model.kinematics, range, region).second());
    let reached = Reached {
        kinematics: &model.kinematics,
        range,
        required,
        roll: required.and_then(|second| RollRange::along(&model.kinematics, second)),
        reach: None,
        cells: None,
        coverage: summary.coverage.fraction,
        summary: range.map(|_| summary),
    };
    let found = Found {
        requirements,
        model,
        reached,
        rings,
    };
    found.rows()
}

/// Coverage among the keep-outs: what is certainly clear counts.
pub(super) fn judge_among(remaining: [f64; 2], taken: &[(String, f64)], rows: &mut [Row]) {
    let Some(row) = rows
        .iter_mut()
        .find(|row| row.quantity == Quantity::Coverage)
    else {
        return;
    };
    row.got = Ok(remaining[0]);
    let most = taken
        .iter()
        .filter(|(_, share)| *share > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((name, _)) = most {
        row.note = format!("{name} takes most; {}", row.note);
    }
}

/// Notes the bands of the rows, over the rings of the nominal values.
pub(super) fn note_bands(
    subject: &Subject,
    look: &Look<'_>,
    requirements: &Requirements,
    rings: &[RingResult],
    rows: &mut [Row],
    which: Ends,
) -> Result<(), AnalysisError> {
    let by_equations = look.samples == 0;
    let places: Vec<RingPlace> = rings
        .iter()
        .map(|ring| {
            let mut place = ring.place();
            if by_equations && !place.arcs.is_empty() {
                place.azimuths.clear();
            }
            place
        })
        .collect();
    let questions = Questions {
        everywhere: &|model| {
            let places = places.par_iter();
            places
                .map(|place| look.ring(model, place, Envelope::OfSamples).ok())
                .collect()
        },
        at: &|model, place| {
            look.ring(model, places.get(place)?, Envelope::OfSamples)
                .ok()
        },
        rows: &|other| {
            let model = other.model()?;
            let rings = look.solve(model, Envelope::OfSamples)?.rings;
            let summary = ConditioningSummary::of_nothing(subject.region());
            Ok(self::rows(
                requirements,
                &summary,
                None,
                subject.region(),
                model,
                &rings,
            ))
        },
    };
    add_bands(subject, &questions, &requirements.loads, rows, which)
}
