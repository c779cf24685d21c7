//! Stiffness of one bearing: at the load that acts, under preload, and as a typical band.

use std::f64::consts::PI;

use super::ball_set::{BallPlacement, BallSet, greatest_ball_count};
use super::bearing::{Bearing, BearingKind, StiffnessAt, TYPICAL_LOADS};
use super::bearing_table::shipped_row;
use super::bushing::Layer;
use super::error::{MachineElementError, not_negative, positive};
use crate::uncertain::Uncertain;

/// Internal play of ISO 5753's normal group over its middle, least and greatest.
const PLAY_SPREAD: [f64; 2] = [0.25, 1.75];
/// Ball diameter over difference of the diameters: mean of the shipped table, whose
/// rows lie between 0.23 and 0.34.
const BALL_SHARE: f64 = 0.28;
/// Half of the angle that balls fill when the rings are put together, rad: 93°.
const FILLING_HALF_ANGLE: f64 = 93.0 / 180.0 * PI;
/// ISO 76: factor f0 of deep groove ball bearings at D/pitch = 0, 0.01, …, 0.40, N/mm²
/// (from memory).
const STATIC_RATING_FACTORS: [f64; 41] = [
    14.7, 14.9, 15.1, 15.3, 15.5, 15.7, 15.9, 16.1, 16.3, 16.5, 16.4, 16.1, 15.9, 15.6, 15.4, 15.2,
    14.9, 14.7, 14.4, 14.2, 14.0, 13.7, 13.5, 13.2, 13.0, 12.8, 12.5, 12.3, 12.1, 11.8, 11.6, 11.4,
    11.2, 10.9, 10.7, 10.5, 10.3, 10.0, 9.8, 9.6, 9.4,
];

/// f0 of C0 = f0 z D², Pa, between the rows of the table by straight lines.
pub(crate) fn static_rating_factor(ball_over_pitch: f64) -> f64 {
    let last = STATIC_RATING_FACTORS.len() - 1;
    let place = (100.0 * ball_over_pitch).clamp(0.0, last as f64);
    let row = (place.floor() as usize).min(last - 1);
    let part = place - row as f64;
    let [low, high] = [STATIC_RATING_FACTORS[row], STATIC_RATING_FACTORS[row + 1]];
    1e6 * (low + part * (high - low))
}

impl Bearing {
    /// The balls of this bearing: those of the shipped table for a shipped designation of
    /// the same bore and outer diameter, otherwise an estimate from its sizes.
    ///
    /// # Errors
    /// [`MachineElementError`] for a bushing, for sizes that are none, or for a static
    /// rating that does not go with the sizes.
    ///
    /// # Theory
    /// Estimate: ball diameter 0.28 (outer diameter − bore), pitch half way between the
    /// two, number of balls from the static rating by ISO 76, or, where it is not known,
    /// as many as can be filled in (186° of the pitch circle, common practice, no source).
    pub fn ball_set(&self) -> Result<BallSet, MachineElementError> {
        if self.kind == BearingKind::Bushing {
            return Err(MachineElementError::NoBalls {
                name: self.name.clone(),
            });
        }
        let bore = positive("bore", self.bore, "m")?;
        let outer = positive("outer diameter", self.outer_diameter, "m")?;
        let wall = positive("outer diameter less bore", outer - bore, "m")?;
        let play = not_negative("radial play", self.radial_play, "m")?;
        if let Some(row) = shipped_row(&self.name)
            && (row.bore, row.outer_diameter) == (bore, outer)
        {
            return Ok(row.ball_set(play));
        }
        let (ball, pitch) = (BALL_SHARE * wall, 0.5 * (bore + outer));
        let count = self.estimated_ball_count(ball, pitch)?;
        Ok(BallSet::steel(count, ball, pitch, play))
    }

    fn estimated_ball_count(&self, ball: f64, pitch: f64) -> Result<usize, MachineElementError> {
        let greatest = greatest_ball_count(ball, pitch);
        let Some(rating) = self.static_rating else {
            let filled = 1.0 + FILLING_HALF_ANGLE / (ball / pitch).asin();
            return Ok((filled as usize).clamp(3, greatest.max(3)));
        };
        let of_one = static_rating_factor(ball / pitch) * ball * ball;
        let count = (rating / of_one).round();
        if count >= 3.0 && count <= greatest as f64 {
            Ok(count as usize)
        } else {
            Err(MachineElementError::StaticRatingImplausible {
                name: self.name.clone(),
                rating,
                least: 2.5 * of_one,
                greatest: (greatest as f64 + 0.5) * of_one,
            })
        }
    }

    /// Tangent stiffness across the axis at a radial load in N, with the bearing's own
    /// internal play, N/m; 0 without load.
    ///
    /// Ball bearing: Hertz contacts and Stribeck's distribution, the load on a ball.
    /// Bushing: elastic layer whose stiffness at 20 N is `radial.value`.
    ///
    /// # Errors
    /// [`MachineElementError`] for a negative load, or as [`Bearing::ball_set`].
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{Bearing, MachineElementError};
    /// let mut bearing = Bearing::shipped("608").unwrap();
    /// let with_play = bearing.radial_stiffness_at(20.0)?;
    /// bearing.radial_play = 0.0;
    /// let without = bearing.radial_stiffness_at(20.0)?;
    /// assert!((without - 19_516e3).abs() < 1e3 && with_play < without);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn radial_stiffness_at(&self, load: f64) -> Result<f64, MachineElementError> {
        match self.kind {
            BearingKind::Ball => {
                let state = self
                    .ball_set()?
                    .under_radial_load(load, BallPlacement::OnBall)?;
                Ok(state.stiffness)
            }
            BearingKind::Bushing => {
                let [_, load_of_value, _] = TYPICAL_LOADS;
                Layer::of_stiffness(self.radial.value, load_of_value, self.radial_play)?
                    .stiffness_at(load)
            }
        }
    }

    /// Tangent stiffness along the axis at an axial load in N, N/m.
    ///
    /// Ball bearing: Hertz contacts at the contact angle that follows from the internal
    /// play and the load. Bushing: its flange's, `axial.value`, at any load.
    ///
    /// # Errors
    /// As [`Bearing::radial_stiffness_at`]; also for a play that the grooves do not allow.
    pub fn axial_stiffness_at(&self, load: f64) -> Result<f64, MachineElementError> {
        match self.kind {
            BearingKind::Ball => Ok(self.ball_set()?.under_axial_load(load)?.axial_stiffness),
            BearingKind::Bushing => {
                not_negative("axial load", load, "N")?;
                Ok(self.axial.value)
            }
        }
    }

    /// The same bearing with the stiffness it has at these loads, without a band.
    ///
    /// # Errors
    /// As [`Bearing::radial_stiffness_at`] and [`Bearing::axial_stiffness_at`].
    pub fn at_load(&self, radial: f64, axial: f64) -> Result<Bearing, MachineElementError> {
        Ok(Bearing {
            radial: Uncertain::exact(self.radial_stiffness_at(radial)?),
            axial: Uncertain::exact(self.axial_stiffness_at(axial)?),
            stiffness_at: StiffnessAt::Load { radial, axial },
            ..self.clone()
        })
    }

    /// The same ball bearing under an axial preload in N: both stiffnesses without a
    /// band, and no play left.
    ///
    /// It holds as long as the loads that act leave part of the preload.
    ///
    /// # Errors
    /// [`MachineElementError`] for a bushing, a preload that is not above 0, or as
    /// [`Bearing::ball_set`].
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{Bearing, MachineElementError};
    /// let bearing = Bearing::shipped("624").unwrap();
    /// let preloaded = bearing.preloaded(10.0)?;
    /// assert_eq!(preloaded.radial_play, 0.0);
    /// assert!(preloaded.radial.value > bearing.radial.low);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn preloaded(&self, preload: f64) -> Result<Bearing, MachineElementError> {
        let preload = positive("preload", preload, "N")?;
        let state = self.ball_set()?.under_axial_load(preload)?;
        Ok(Bearing {
            radial: Uncertain::exact(state.radial_stiffness),
            axial: Uncertain::exact(state.axial_stiffness),
            radial_play: 0.0,
            axial_play: 0.0,
            stiffness_at: StiffnessAt::Preload {
                axial: preload,
                play_before: [self.radial_play, self.axial_play],
            },
            ..self.clone()
        })
    }

    /// This bearing with its stiffness computed for the load another's was computed for;
    /// unchanged where the other's is stated or typical.
    ///
    /// # Errors
    /// As [`Bearing::preloaded`] and [`Bearing::at_load`].
    pub fn loaded_like(&self, other: &Bearing) -> Result<Bearing, MachineElementError> {
        match other.stiffness_at {
            StiffnessAt::Stated => Ok(self.clone()),
            StiffnessAt::Preload { axial, .. } => self.preloaded(axial),
            StiffnessAt::Load { radial, axial } => self.at_load(radial, axial),
        }
    }

    /// The same ball bearing with the typical band of stiffness in both directions.
    ///
    /// Radial: at 20 N without play; from 5 N with the bearing's play to 50 N without.
    /// Axial: at 20 N with the bearing's play; from 5 N with a quarter of it to 50 N with
    /// 1.75 of it, as ISO 5753's normal group spreads.
    ///
    /// # Errors
    /// As [`Bearing::ball_set`]; also for a play that the grooves do not allow.
    pub fn with_typical_stiffness(&self) -> Result<Bearing, MachineElementError> {
        let balls = self.ball_set()?;
        let radial = |load: f64, play_share: f64| {
            let radial_play = play_share * balls.radial_play;
            let set = BallSet {
                radial_play,
                ..balls.clone()
            };
            let state = set.under_radial_load(load, BallPlacement::OnBall)?;
            Ok::<f64, MachineElementError>(state.stiffness)
        };
        let axial = |load: f64, play_share: f64| {
            let radial_play = play_share * balls.radial_play;
            let set = BallSet {
                radial_play,
                ..balls.clone()
            };
            Ok::<f64, MachineElementError>(set.under_axial_load(load)?.axial_stiffness)
        };
        let [least, usual, greatest] = TYPICAL_LOADS;
        let [tight, loose] = PLAY_SPREAD;
        Ok(Bearing {
            radial: Uncertain::band(
                radial(usual, 0.0)?,
                radial(least, 1.0)?,
                radial(greatest, 0.0)?,
            ),
            axial: Uncertain::band(
                axial(usual, 1.0)?,
                axial(least, tight)?,
                axial(greatest, loose)?,
            ),
            ..self.clone()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stock::shipped_bearings;

    /// ISO 76: C0 = f0 z D² (N, mm). The typical ratings must follow from the balls
    /// within the 15 % by which makers differ; they do within 6 %.
    #[test]
    fn balls_give_the_static_rating() {
        for row in shipped_bearings() {
            let pitch = 0.5 * (row.bore + row.outer_diameter);
            let ball = row.ball_diameter;
            let factor = static_rating_factor(ball / pitch);
            let rating = factor * row.ball_count as f64 * ball * ball;
            let share = rating / row.static_rating;
            assert!((share - 1.0).abs() < 0.06, "{}: {share}", row.designation);
        }
    }

    fn own(static_rating: Option<f64>) -> Bearing {
        Bearing {
            name: "own".to_string(),
            static_rating,
            ..Bearing::shipped("608").unwrap()
        }
    }

    /// E13: seven balls of 3.969 mm on 15 mm at 20 and 50 N.
    #[test]
    fn the_typical_band_of_608_is_known() {
        let band = Bearing::shipped("608").unwrap().radial;
        assert!((band.value - 19_516e3).abs() < 1e3);
        assert!((band.high - 26_487e3).abs() < 1e3);
        // Two balls less carry at 5 N: below the 12294 N/mm without play.
        assert!(band.low < 12_294e3 && band.low > 8_000e3);
    }

    /// The estimate from sizes and rating lies near the balls of the table: 7.4 → 7 balls
    /// of 3.92 mm for 608, and its stiffness within 5 %.
    #[test]
    fn estimated_balls_are_near_the_table() {
        let balls = own(Some(1370.0)).ball_set().unwrap();
        assert_eq!(balls.ball_count, 7);
        assert!((balls.ball_diameter - 3.92e-3).abs() < 1e-12);
        let unknown = own(None).ball_set().unwrap();
        assert_eq!(unknown.ball_count, 7);
        let ratio = own(None).radial_stiffness_at(20.0).unwrap()
            / Bearing::shipped("608")
                .unwrap()
                .radial_stiffness_at(20.0)
                .unwrap();
        assert!((ratio - 1.0).abs() < 0.05);
    }

    #[test]
    fn a_rating_that_does_not_go_with_the_sizes_is_named() {
        for rating in [13.7, 137_000.0, -5.0, f64::NAN] {
            let error = own(Some(rating)).ball_set().unwrap_err();
            assert!(
                matches!(error, MachineElementError::StaticRatingImplausible { .. }),
                "{rating}"
            );
        }
    }

    #[test]
    fn stiffness_at_a_load_lies_in_the_band_and_grows() {
        for name in ["623", "624", "688", "6800"] {
            let bearing = Bearing::shipped(name).unwrap();
            let mut last = 0.0;
            for load in TYPICAL_LOADS {
                let radial = bearing.radial_stiffness_at(load).unwrap();
                assert!(radial > last, "{name}");
                assert!(radial >= bearing.radial.low && radial <= bearing.radial.high);
                last = radial;
                let axial = bearing.axial_stiffness_at(load).unwrap();
                assert!(axial >= bearing.axial.low && axial <= bearing.axial.high);
            }
            let at = bearing.at_load(20.0, 20.0).unwrap();
            assert_eq!(at.axial.value, bearing.axial.value);
            assert!(!at.radial.is_band());
        }
    }

    #[test]
    fn bad_sizes_and_loads_are_errors() {
        let bearing = Bearing::shipped("624").unwrap();
        assert_eq!(bearing.radial_stiffness_at(0.0), Ok(0.0));
        for load in [-1.0, f64::NAN, f64::INFINITY] {
            assert!(bearing.radial_stiffness_at(load).is_err());
            assert!(bearing.axial_stiffness_at(load).is_err());
            assert!(bearing.preloaded(load).is_err());
        }
        assert!(bearing.preloaded(0.0).is_err());
        for (bore, outer) in [(0.0, 13e-3), (14e-3, 13e-3), (f64::NAN, 13e-3)] {
            let odd = Bearing {
                bore,
                outer_diameter: outer,
                ..bearing.clone()
            };
            assert!(odd.with_typical_stiffness().is_err());
        }
    }

    #[test]
    fn a_bore_of_almost_nothing_still_gives_an_answer_or_an_error() {
        let odd = Bearing {
            bore: 1e-12,
            ..own(None)
        };
        assert!(odd.ball_set().unwrap().validate().is_ok());
    }
}
