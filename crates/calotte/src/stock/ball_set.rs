//! The balls of a bearing between their races: load on each, displacement of the
//! ring and tangent stiffness under radial load and under axial load.
//!
//! Stribeck's distribution with the internal play as it is; rings rigid but for the
//! contacts, steady (no centrifugal load). `docs/theory/machine-elements.md`.

use std::f64::consts::{PI, TAU};

use super::contact::{ElasticConstants, PointContact, Race};
use super::error::{MachineElementError, not_negative, positive};

/// Iterations that halve or better; more than double precision can use.
const ITERATIONS_MAX: usize = 200;

/// Balls, races and play of a deep groove ball bearing.
#[derive(Debug, Clone, PartialEq)]
pub struct BallSet {
    /// Number of balls.
    pub ball_count: usize,
    /// Ball diameter, m.
    pub ball_diameter: f64,
    /// Diameter of the circle of ball centres, m.
    pub pitch_diameter: f64,
    /// Groove radius of the inner race over ball diameter.
    pub inner_osculation: f64,
    /// Groove radius of the outer race over ball diameter.
    pub outer_osculation: f64,
    /// Internal play across the axis, difference of the diameters, m.
    pub radial_play: f64,
    /// Elastic constants of balls and races.
    pub steel: ElasticConstants,
}

/// Where the radial load points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BallPlacement {
    /// At a ball.
    OnBall,
    /// Half way between two balls.
    BetweenBalls,
}

/// A bearing under a radial load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RadialState {
    /// Displacement of the ring from the centred place, half the play included, m.
    pub displacement: f64,
    /// Load on the ball that carries most, N.
    pub ball_load_max: f64,
    /// Number of balls that carry.
    pub loaded_balls: usize,
    /// Tangent stiffness along the load, N/m.
    pub stiffness: f64,
}

/// A bearing under an axial load; all balls carry alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxialState {
    /// Displacement of the ring from where all balls just touch, m.
    pub displacement: f64,
    /// Contact angle under the load, rad.
    pub contact_angle: f64,
    /// Load on each ball, N.
    pub ball_load: f64,
    /// Tangent stiffness along the axis, N/m.
    pub axial_stiffness: f64,
    /// Tangent stiffness across the axis while the axial load acts, N/m.
    pub radial_stiffness: f64,
}

impl BallSet {
    /// A set of bearing steel with both osculations 0.52.
    pub fn steel(
        ball_count: usize,
        ball_diameter: f64,
        pitch_diameter: f64,
        radial_play: f64,
    ) -> Self {
        Self {
            ball_count,
            ball_diameter,
            pitch_diameter,
            inner_osculation: 0.52,
            outer_osculation: 0.52,
            radial_play,
            steel: ElasticConstants::BEARING_STEEL,
        }
    }

    /// Checks sizes, number and play.
    ///
    /// # Errors
    /// [`MachineElementError`] with the value and its limit.
    pub fn validate(&self) -> Result<(), MachineElementError> {
        let diameter = positive("ball diameter", self.ball_diameter, "m")?;
        let pitch = positive("pitch diameter", self.pitch_diameter, "m")?;
        not_negative("radial play", self.radial_play, "m")?;
        let greatest = greatest_ball_count(diameter, pitch);
        if self.ball_count < 3 || self.ball_count > greatest {
            return Err(MachineElementError::BallsDoNotFit {
                count: self.ball_count,
                diameter,
                pitch,
                greatest,
            });
        }
        Ok(())
    }

    /// K of load on a ball = K · approach of the rings^1.5, both races in series, N/m^1.5.
    ///
    /// # Arguments
    /// - `contact_angle`: rad; 0 under radial load.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes that are none.
    ///
    /// # Theory
    /// K = (K_inner^−⅔ + K_outer^−⅔)^−³ᐟ².
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{BallSet, MachineElementError};
    /// // Seven balls of 3.969 mm on 15 mm: 205608 N/mm^1.5.
    /// let constant = BallSet::steel(7, 3.969e-3, 15e-3, 0.0).load_constant(0.0)?;
    /// assert!((constant / 10f64.powf(4.5) - 205_608.4).abs() < 0.1);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn load_constant(&self, contact_angle: f64) -> Result<f64, MachineElementError> {
        self.validate()?;
        let ratio = self.ball_diameter * contact_angle.cos() / self.pitch_diameter;
        let constant = |race, osculation| {
            let contact = PointContact::ball_on_race(
                race,
                self.ball_diameter,
                ratio,
                osculation,
                &self.steel,
            )?;
            Ok(contact.load_constant())
        };
        let inner: f64 = constant(Race::Inner, self.inner_osculation)?;
        let outer: f64 = constant(Race::Outer, self.outer_osculation)?;
        Ok((inner.powf(-2.0 / 3.0) + outer.powf(-2.0 / 3.0)).powf(-1.5))
    }

    /// Distance of the two groove centres when the ball just touches both, m:
    /// A = (f_i + f_o − 1) D.
    fn groove_distance(&self) -> f64 {
        (self.inner_osculation + self.outer_osculation - 1.0) * self.ball_diameter
    }

    /// Contact angle without load, from the play: cos α₀ = 1 − play/2A, rad.
    ///
    /// # Errors
    /// [`MachineElementError`] for sizes that are none, or for a play that the grooves
    /// do not allow.
    pub fn free_contact_angle(&self) -> Result<f64, MachineElementError> {
        self.validate()?;
        let distance = positive(
            "distance of the groove centres",
            self.groove_distance(),
            "m",
        )?;
        let greatest = 2.0 * distance;
        if self.radial_play > greatest {
            return Err(MachineElementError::OutOfRange {
                quantity: "radial play",
                value: self.radial_play,
                least: 0.0,
                greatest,
                unit: "m",
            });
        }
        // 1 − cos α = 2 sin²(α/2) keeps the digits of a small play.
        Ok(2.0 * (0.25 * self.radial_play / distance).sqrt().asin())
    }

    /// Internal play along the axis, from end to end, m: 2 A sin α₀.
    ///
    /// # Errors
    /// As [`BallSet::free_contact_angle`].
    pub fn axial_play(&self) -> Result<f64, MachineElementError> {
        Ok(2.0 * self.groove_distance() * self.free_contact_angle()?.sin())
    }

    /// Displacement, greatest ball load and tangent stiffness under a radial load in N.
    ///
    /// # Errors
    /// [`MachineElementError`] for a negative load or sizes that are none.
    ///
    /// # Theory
    /// Stribeck: ball j at ψⱼ from the load is squeezed by δ cos ψⱼ − play/2 and gives
    /// K times its 1.5th power; the sum of the components along the load equals it.
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::{BallPlacement, BallSet, MachineElementError};
    /// let balls = BallSet::steel(7, 3.969e-3, 15e-3, 0.0);
    /// let state = balls.under_radial_load(20.0, BallPlacement::OnBall)?;
    /// // 1.537 µm, 19516 N/mm, 0.62 of the load on the first ball.
    /// assert!((state.displacement - 1.53723e-6).abs() < 1e-11);
    /// assert!((state.stiffness - 19_516e3).abs() < 1e3);
    /// assert!((state.ball_load_max / 20.0 - 0.6196).abs() < 1e-4);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn under_radial_load(
        &self,
        load: f64,
        placement: BallPlacement,
    ) -> Result<RadialState, MachineElementError> {
        let load = not_negative("radial load", load, "N")?;
        let constant = self.load_constant(0.0)?;
        let slack = 0.5 * self.radial_play;
        let cosines = self.cosines(placement);
        // Load and tangent stiffness at a displacement.
        let response = |displacement: f64| {
            let (mut force, mut stiffness) = (0.0, 0.0);
            for cosine in &cosines {
                let squeeze = (displacement * cosine - slack).max(0.0);
                force += constant * squeeze.powf(1.5) * cosine;
                stiffness += 1.5 * constant * squeeze.sqrt() * cosine * cosine;
            }
            [force, stiffness]
        };
        // The first ball alone would need this much: an upper bound.
        let nearest = cosines[0];
        let upper = (slack + (load / (constant * nearest)).powf(2.0 / 3.0)) / nearest;
        let displacement = solve(response, load, [slack / nearest, upper]);
        let squeeze_max = (displacement * nearest - slack).max(0.0);
        Ok(RadialState {
            displacement,
            ball_load_max: constant * squeeze_max.powf(1.5),
            loaded_balls: cosines
                .iter()
                .filter(|cosine| displacement * **cosine > slack)
                .count(),
            stiffness: response(displacement)[1],
        })
    }

    /// Cosines of the balls' angles from the load, greatest first.
    fn cosines(&self, placement: BallPlacement) -> Vec<f64> {
        let offset = match placement {
            BallPlacement::OnBall => 0.0,
            BallPlacement::BetweenBalls => 0.5,
        };
        let step = TAU / self.ball_count as f64;
        (0..self.ball_count)
            .map(|ball| ((ball as f64 + offset) * step).cos())
            .collect()
    }

    /// Displacement, contact angle, ball load and both tangent stiffnesses under an
    /// axial load in N; for a preloaded bearing the load is the preload.
    ///
    /// # Errors
    /// [`MachineElementError`] for a negative load, sizes that are none, or a play that
    /// the grooves do not allow.
    ///
    /// # Theory
    /// The groove centres, A apart where the balls just touch, move to
    /// s = √((A cos α₀)² + (A sin α₀ + δ)²); each ball carries K (s − A)^1.5 along them.
    /// The tangent stiffnesses hold the change of the contact angle.
    pub fn under_axial_load(&self, load: f64) -> Result<AxialState, MachineElementError> {
        let load = not_negative("axial load", load, "N")?;
        let free_angle = self.free_contact_angle()?;
        let constant = self.load_constant(free_angle)?;
        let distance = self.groove_distance();
        let (sine, cosine) = free_angle.sin_cos();
        let count = self.ball_count as f64;
        let state = |displacement: f64| {
            let (across, along) = (distance * cosine, distance * sine + displacement);
            let length = across.hypot(along);
            // s − A without the difference of nearly equal lengths.
            let stretch =
                displacement * (displacement + 2.0 * distance * sine) / (length + distance);
            let ball_load = constant * stretch.powf(1.5);
            let along_line = 1.5 * constant * stretch.sqrt();
            let turning = ball_load / length;
            let (sin, cos) = (along / length, across / length);
            AxialState {
                displacement,
                contact_angle: sin.atan2(cos),
                ball_load,
                axial_stiffness: count * (along_line * sin * sin + turning * cos * cos),
                radial_stiffness: 0.5 * count * (along_line * cos * cos + turning * sin * sin),
            }
        };
        let response = |displacement: f64| {
            let at = state(displacement);
            [
                count * at.ball_load * at.contact_angle.sin(),
                at.axial_stiffness,
            ]
        };
        let mut upper = distance;
        while response(upper)[0] < load {
            upper *= 2.0;
        }
        Ok(state(solve(response, load, [0.0, upper])))
    }
}

/// Greatest number of balls whose centres are at least one diameter apart.
pub(crate) fn greatest_ball_count(ball_diameter: f64, pitch_diameter: f64) -> usize {
    let ratio = ball_diameter / pitch_diameter;
    if ratio >= 1.0 {
        return 0;
    }
    (PI / ratio.asin() * (1.0 + 1e-12)).floor() as usize
}

/// Where a function that grows from 0 reaches a value: Newton's steps, halved where they leave the bracket.
fn solve(response: impl Fn(f64) -> [f64; 2], target: f64, [mut low, mut high]: [f64; 2]) -> f64 {
    if target <= 0.0 {
        return low;
    }
    let mut place = high;
    for _ in 0..ITERATIONS_MAX {
        let [value, slope] = response(place);
        if value > target {
            high = place;
        } else {
            low = place;
        }
        let newton = place - (value - target) / slope;
        let next = if newton > low && newton < high {
            newton
        } else {
            0.5 * (low + high)
        };
        if (next - place).abs() <= 1e-15 * place.abs() || next == low || next == high {
            return next;
        }
        place = next;
    }
    place
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLACEMENTS: [BallPlacement; 2] = [BallPlacement::OnBall, BallPlacement::BetweenBalls];

    fn set(play: f64) -> BallSet {
        BallSet::steel(7, 3.969e-3, 15e-3, play)
    }

    /// One ball in line: Q = F and δ = play/2 + (F/K)^⅔, as long as the neighbours are free.
    #[test]
    fn with_much_play_one_ball_carries_all() {
        let balls = set(40e-6);
        let state = balls.under_radial_load(5.0, BallPlacement::OnBall).unwrap();
        let elastic = (5.0 / balls.load_constant(0.0).unwrap()).powf(2.0 / 3.0);
        assert_eq!(state.loaded_balls, 1);
        assert!((state.ball_load_max - 5.0).abs() < 1e-9);
        assert!((state.displacement - 20e-6 - elastic).abs() < 1e-15);
        assert!((state.stiffness / (1.5 * 5.0 / elastic) - 1.0).abs() < 1e-9);
        let two = balls
            .under_radial_load(5.0, BallPlacement::BetweenBalls)
            .unwrap();
        assert_eq!(two.loaded_balls, 2);
        assert!((two.ball_load_max * 2.0 * (PI / 7.0).cos() - 5.0).abs() < 1e-9);
    }

    /// Without play displacement goes with load^⅔, so the tangent is 1.5 of the secant.
    #[test]
    fn without_play_the_power_law_holds() {
        for placement in PLACEMENTS {
            let state = set(0.0).under_radial_load(30.0, placement).unwrap();
            let secant = 30.0 / state.displacement;
            assert!((state.stiffness / secant - 1.5).abs() < 1e-9);
        }
    }

    /// Tangent stiffness against central differences of the displacement.
    #[test]
    fn tangent_is_the_derivative() {
        let step = 1e-3;
        for placement in PLACEMENTS {
            let at = |load: f64| set(7.5e-6).under_radial_load(load, placement).unwrap();
            let difference = at(20.0 + step).displacement - at(20.0 - step).displacement;
            assert!((2.0 * step / difference / at(20.0).stiffness - 1.0).abs() < 1e-6);
        }
        for play in [0.0, 7.5e-6] {
            let at = |load: f64| set(play).under_axial_load(load).unwrap();
            let difference = at(20.0 + step).displacement - at(20.0 - step).displacement;
            assert!((2.0 * step / difference / at(20.0).axial_stiffness - 1.0).abs() < 1e-6);
        }
    }

    /// Equilibrium along the axis, and the well-known form
    /// Fa/(z K A^1.5) = sin α (cos α₀/cos α − 1)^1.5.
    #[test]
    fn axial_load_is_in_equilibrium() {
        let balls = set(7.5e-6);
        let state = balls.under_axial_load(20.0).unwrap();
        assert!((7.0 * state.ball_load * state.contact_angle.sin() - 20.0).abs() < 1e-9);
        let free = balls.free_contact_angle().unwrap();
        assert!(state.contact_angle > free);
        let stretch = free.cos() / state.contact_angle.cos() - 1.0;
        let constant = balls.load_constant(free).unwrap();
        let force = 7.0
            * constant
            * balls.groove_distance().powf(1.5)
            * state.contact_angle.sin()
            * stretch.powf(1.5);
        assert!((force - 20.0).abs() < 1e-8);
    }

    /// Radial stiffness under preload against the force of a small sideways move,
    /// summed ball by ball.
    #[test]
    fn radial_stiffness_under_preload_is_the_derivative() {
        let balls = set(7.5e-6);
        let state = balls.under_axial_load(20.0).unwrap();
        let free = balls.free_contact_angle().unwrap();
        let constant = balls.load_constant(free).unwrap();
        let distance = balls.groove_distance();
        let along = distance * free.sin() + state.displacement;
        let force = |shift: f64| {
            (0..7)
                .map(|ball| {
                    let cosine = (TAU * f64::from(ball) / 7.0).cos();
                    let across = distance * free.cos() + shift * cosine;
                    let length = across.hypot(along);
                    constant * (length - distance).powf(1.5) * across / length * cosine
                })
                .sum::<f64>()
        };
        let slope = (force(1e-9) - force(-1e-9)) / 2e-9;
        assert!((state.radial_stiffness / slope - 1.0).abs() < 1e-5);
    }

    /// Play 10 µm, A = 0.04 · 4 mm: cos α₀ = 0.96875, axial play 0.0794 mm.
    #[test]
    fn play_gives_angle_and_axial_play() {
        let balls = BallSet::steel(7, 4e-3, 15e-3, 10e-6);
        let angle = balls.free_contact_angle().unwrap();
        assert!((angle.cos() - 0.96875).abs() < 1e-12);
        let by_hand = (4.0 * 0.16e-3 * 10e-6 - 1e-10_f64).sqrt();
        assert!((balls.axial_play().unwrap() - by_hand).abs() < 1e-15);
        assert_eq!(set(0.0).axial_play().unwrap(), 0.0);
    }

    #[test]
    fn no_load_gives_no_stiffness_and_bad_input_an_error() {
        let state = set(0.0)
            .under_radial_load(0.0, BallPlacement::OnBall)
            .unwrap();
        assert_eq!((state.displacement, state.stiffness), (0.0, 0.0));
        let loose = set(8e-6)
            .under_radial_load(0.0, BallPlacement::OnBall)
            .unwrap();
        assert!((loose.displacement - 4e-6).abs() < 1e-18);
        for play in [0.0, 8e-6] {
            let axial = set(play).under_axial_load(0.0).unwrap();
            assert!(axial.displacement.abs() < 1e-18 && axial.ball_load == 0.0);
        }
        for load in [-1.0, f64::NAN, f64::INFINITY] {
            assert!(set(0.0).under_axial_load(load).is_err());
            assert!(
                set(0.0)
                    .under_radial_load(load, BallPlacement::OnBall)
                    .is_err()
            );
        }
        assert!(set(1e-3).under_axial_load(1.0).is_err());
        assert!(set(-1e-6).load_constant(0.0).is_err());
        for count in [0, 2, 12, usize::MAX] {
            let balls = BallSet::steel(count, 3.969e-3, 15e-3, 0.0);
            assert!(matches!(
                balls.validate(),
                Err(MachineElementError::BallsDoNotFit { greatest: 11, .. })
            ));
        }
        assert!(BallSet::steel(7, 0.0, 15e-3, 0.0).validate().is_err());
        assert!(BallSet::steel(7, 20e-3, 15e-3, 0.0).validate().is_err());
        assert!(BallSet::steel(7, 3e-3, f64::NAN, 0.0).validate().is_err());
    }
}
