//! What angles alone reach, in microseconds: working range, coverage and GCI from samples.
//!
//! A search looks at hundreds of thousands of angles, of which few reach the region. The exact
//! way isolates every end of a range and integrates between them; here the same functions are
//! taken at samples, ends are drawn in by bisection to a hundredth of a degree, and areas come
//! from a table made once. Coverage meets the exact one to 3e-3, GCI to 8e-3, as its peak may
//! lie between samples (`tests/explore.rs`). Limits of the first mechanism angle are left out,
//! so that what is covered here is never less than what is covered truly, but for that error.

use std::f64::consts::PI;

use crate::design::DriveRange;
use crate::sphere::Region;
use crate::sphere::quadrature::integrate_pieces;

use super::jacobian::local_conditioning_index;
use super::working_range::{Judgement, Margins, search_span};
use crate::family::meridian::Meridian;

/// Samples of the second mechanism angle over its whole span.
const SAMPLES: usize = 96;
/// Halvings of the distance between two samples that an end lies between.
const HALVINGS: usize = 10;
/// Polar angles of the table of areas, over half a turn.
const TABLE: usize = 720;

/// Areas of a region in the base frame, for screening.
#[derive(Debug, Clone)]
pub struct Screen {
    /// Area of the region up to each polar angle of the table, sr (or number of points).
    below: Vec<f64>,
    margins: Margins,
    drive_range: DriveRange,
}

/// What angles reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screened {
    /// Covered share of the region's area.
    pub coverage: f64,
    /// Area-weighted mean LCI over the region, unreached directions counted 0.
    pub gci: f64,
    /// Ends of the working range that covers most, rad of the second mechanism angle.
    pub second: [f64; 2],
}

impl Screen {
    /// Prepares a region.
    ///
    /// # Arguments
    /// - `region`: directions needed, base frame.
    /// - `margins`: those of reach.
    pub fn new(region: &Region, margins: Margins, drive_range: DriveRange) -> Self {
        let step = PI / TABLE as f64;
        let mut below = vec![0.0; TABLE + 1];
        if region.is_points() {
            for point in region.points() {
                let polar = crate::sphere::Direction::of(&point).polar;
                let place = ((polar / step).ceil() as usize).min(TABLE);
                below[place..].iter_mut().for_each(|sum| *sum += 1.0);
            }
        } else {
            let breaks = region.polar_breaks();
            for place in 0..TABLE {
                let [from, to] = [place, place + 1].map(|place| place as f64 * step);
                let area = integrate_pieces(from, to, &breaks, |polar| {
                    region.azimuths_at(polar).measure() * polar.sin()
                });
                below[place + 1] = below[place] + area;
            }
        }
        Self {
            below,
            margins,
            drive_range,
        }
    }

    fn area_below(&self, polar: f64) -> f64 {
        let place = (polar / PI * TABLE as f64).clamp(0.0, TABLE as f64);
        let whole = (place as usize).min(TABLE - 1);
        let rest = place - whole as f64;
        self.below[whole] + rest * (self.below[whole + 1] - self.below[whole])
    }

    /// What a linkage of these angles reaches; `None` without a working range.
    pub fn look(&self, meridian: &Meridian) -> Option<Screened> {
        let all = self.below[TABLE];
        if all <= 0.0 {
            return None;
        }
        let [from, to] = search_span(meridian, &self.drive_range);
        let at = |place: usize| from + (to - from) * (place as f64 + 0.5) / SAMPLES as f64;
        let states: Vec<(f64, f64, f64, Judgement)> = (0..SAMPLES)
            .map(|place| {
                let x = at(place);
                let state = meridian.state(x);
                let judged = Judgement::of_state(meridian, &self.margins, &state);
                let lci = if judged.good {
                    local_conditioning_index(&meridian.jacobian_of(&state))
                } else {
                    0.0
                };
                (x, state.signed_polar().abs(), lci, judged)
            })
            .collect();
        let mut best: Option<Screened> = None;
        let mut place = 0;
        while place < SAMPLES {
            if !states[place].3.good {
                place += 1;
                continue;
            }
            let start = place;
            let mode = states[start].3;
            while place + 1 < SAMPLES && states[place + 1].3.same_mode(&mode) {
                place += 1;
            }
            let end = |good: f64, bad: f64| {
                let (mut good, mut bad) = (good, bad);
                for _ in 0..HALVINGS {
                    let middle = 0.5 * (good + bad);
                    let judged =
                        Judgement::of_state(meridian, &self.margins, &meridian.state(middle));
                    if judged.same_mode(&mode) {
                        good = middle;
                    } else {
                        bad = middle;
                    }
                }
                let state = meridian.state(good);
                let lci = local_conditioning_index(&meridian.jacobian_of(&state));
                (good, state.signed_polar().abs(), lci)
            };
            let low = end(
                states[start].0,
                if start == 0 {
                    from
                } else {
                    states[start - 1].0
                },
            );
            let high = end(
                states[place].0,
                if place + 1 == SAMPLES {
                    to
                } else {
                    states[place + 1].0
                },
            );
            let inner = states[start..=place]
                .iter()
                .map(|one| (one.0, one.1, one.2));
            let points = std::iter::once(low)
                .chain(inner)
                .chain(std::iter::once(high));
            let (mut covered, mut weighted) = (0.0, 0.0);
            let mut last: Option<(f64, f64)> = None;
            for (_, polar, lci) in points {
                let below = self.area_below(polar);
                if let Some((before, lci_before)) = last {
                    let area = (below - before).abs();
                    covered += area;
                    weighted += 0.5 * area * (lci + lci_before);
                }
                last = Some((below, lci));
            }
            let found = Screened {
                coverage: (covered / all).min(1.0),
                gci: weighted / all,
                second: [low.0, high.0],
            };
            if best.is_none_or(|known| found.coverage > known.coverage) {
                best = Some(found);
            }
            place += 1;
        }
        best
    }
}
