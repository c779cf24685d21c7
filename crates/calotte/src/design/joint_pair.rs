//! Two bearings on one pin: the stiffness of the joint they make and its free play.

use super::{JointParts, JointStiffness, MeasuredJoints};
use crate::stock::{
    BearingKind, MachineElementError, clearance_tilt, not_negative, positive, positive_band,
};
use crate::uncertain::Uncertain;

/// How far the play of a joint lets it move without load, either way from its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairPlay {
    /// Across the joint's axis, m: half of the play of bearing and seat together.
    pub radial: f64,
    /// Along the joint's axis, m.
    pub axial: f64,
    /// About any axis across the joint's own, rad, where it does not move aside.
    pub tilt: f64,
}

impl JointParts {
    /// Stiffness of the bearing pair, each bearing in series with its seat; the pin is not
    /// in it.
    ///
    /// # Errors
    /// [`MachineElementError`] for a spacing or a stiffness that is not above 0; only the
    /// axial stiffness of a bushing without flange may be 0, and then the joint's is.
    ///
    /// # Theory
    /// k_rad = 2k_r; k_tilt = k_r L²/2, as each bearing moves by φL/2; k_ax = k_a where one
    /// bearing locates, 2k_a where both do; 1/k of bearing and seat add. Low ends of all
    /// bands make the low end, high ends the high end. Measured factors multiply the nominal
    /// values and bring their own bands.
    ///
    /// # Example
    /// ```
    /// # use calotte::Uncertain;
    /// # use calotte::design::{ClampedIn, JointParts, MeasuredJoints, Pin};
    /// # use calotte::stock::Material;
    /// # use calotte::stock::{Bearing, MachineElementError};
    /// let mut bearing = Bearing::shipped("624").unwrap();
    /// bearing.radial = Uncertain::exact(8e6);
    /// bearing.axial = Uncertain::exact(1e6);
    /// let parts = JointParts {
    ///     bearing,
    ///     pair_spacing: 10e-3,
    ///     both_locate: true,
    ///     seat: None,
    ///     pin: Pin {
    ///         diameter: 4e-3,
    ///         bore: 0.0,
    ///         material: Material::shipped("aluminium 6061-T6").unwrap(),
    ///         clamped_in: ClampedIn::Inner,
    ///     },
    ///     measured: MeasuredJoints::AS_DESIGNED,
    /// };
    /// let pair = parts.pair_stiffness()?;
    /// assert!((pair.radial.value - 16e6).abs() < 1e-6);
    /// assert!((pair.tilt.value - 400.0).abs() < 1e-9);
    /// assert!((pair.axial.value - 2e6).abs() < 1e-6);
    /// # Ok::<(), MachineElementError>(())
    /// ```
    pub fn pair_stiffness(&self) -> Result<JointStiffness, MachineElementError> {
        let spacing = positive("bearing spacing", self.pair_spacing, "m")?;
        let mut radial =
            positive_band("radial stiffness of a bearing", &self.bearing.radial, "N/m")?;
        let mut axial = self.bearing.axial;
        let free = self.bearing.kind == BearingKind::Bushing && axial == Uncertain::exact(0.0);
        if !free {
            positive_band("axial stiffness of a bearing", &axial, "N/m")?;
        }
        if let Some(seat) = &self.seat {
            let seat_radial = positive_band("radial stiffness of a seat", &seat.radial, "N/m")?;
            let seat_axial = positive_band("axial stiffness of a seat", &seat.axial, "N/m")?;
            radial = in_series(&radial, &seat_radial);
            axial = in_series(&axial, &seat_axial);
        }
        let locating = if self.both_locate { 2.0 } else { 1.0 };
        let factors = MeasuredJoints {
            radial: positive_band("measured factor of a joint", &self.measured.radial, "1")?,
            tilt: positive_band("measured factor of a joint", &self.measured.tilt, "1")?,
        };
        Ok(JointStiffness {
            axial: as_measured(&axial.scaled(locating), &factors.radial),
            radial: as_measured(&radial.scaled(2.0), &factors.radial),
            tilt: as_measured(&radial.scaled(0.5 * spacing * spacing), &factors.tilt),
        })
    }

    /// Free play of the joint without load.
    ///
    /// A preloaded pair of ball bearings (both locate) has no internal play left; the play
    /// of seats and the radial play of bushings stay.
    ///
    /// # Errors
    /// [`MachineElementError`] for a spacing that is not above 0 or a negative play.
    pub fn play(&self) -> Result<PairPlay, MachineElementError> {
        let bearing = &self.bearing;
        let own = not_negative("radial play of a bearing", bearing.radial_play, "m")?;
        let along = not_negative("axial play of a bearing", bearing.axial_play, "m")?;
        let seat = match &self.seat {
            Some(seat) => not_negative("play of a seat", seat.play, "m")?,
            None => 0.0,
        };
        let preloaded = self.both_locate && bearing.kind == BearingKind::Ball;
        let own = if preloaded { 0.0 } else { own };
        let radial = 0.5 * (own + seat);
        Ok(PairPlay {
            radial,
            axial: if self.both_locate { 0.0 } else { 0.5 * along },
            tilt: clearance_tilt(radial, self.pair_spacing)?,
        })
    }
}

/// A stiffness with its measured factor, which was found against the nominal value and
/// whose band replaces the stiffness's own.
fn as_measured(stiffness: &Uncertain, factor: &Uncertain) -> Uncertain {
    if *factor == Uncertain::exact(1.0) {
        *stiffness
    } else {
        factor.scaled(stiffness.value)
    }
}

/// Two stiffnesses one after the other, end by end; 0 stays 0.
fn in_series(first: &Uncertain, second: &Uncertain) -> Uncertain {
    let join = |a: f64, b: f64| if a == 0.0 { 0.0 } else { a / (a / b + 1.0) };
    Uncertain::band(
        join(first.value, second.value),
        join(first.low, second.low),
        join(first.high, second.high),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{ClampedIn, Pin, Seat};
    use crate::stock::Bearing;
    use crate::stock::Material;
    use crate::uncertain::Corner;

    fn parts(seat: Option<Seat>) -> JointParts {
        let mut bearing = Bearing::shipped("624").unwrap();
        bearing.radial = Uncertain::band(8e6, 5e6, 12e6);
        bearing.axial = Uncertain::band(2e6, 1e6, 3e6);
        bearing.radial_play = 8e-6;
        bearing.axial_play = 60e-6;
        JointParts {
            bearing,
            pair_spacing: 10e-3,
            both_locate: false,
            seat,
            pin: Pin {
                diameter: 4e-3,
                bore: 0.0,
                material: Material::shipped("aluminium 6061-T6").unwrap(),
                clamped_in: ClampedIn::Inner,
            },
            measured: MeasuredJoints::AS_DESIGNED,
        }
    }

    fn seat() -> Seat {
        Seat {
            radial: Uncertain::band(8e6, 5e6, 12e6),
            axial: Uncertain::band(2e6, 1e6, 3e6),
            play: 12e-6,
        }
    }

    /// A seat as stiff as the bearing halves everything, at both ends of the band.
    #[test]
    fn a_seat_comes_in_series() {
        let (bare, seated) = (parts(None), parts(Some(seat())));
        let (bare, seated) = (
            bare.pair_stiffness().unwrap(),
            seated.pair_stiffness().unwrap(),
        );
        for corner in [Corner::Nominal, Corner::Soft, Corner::Stiff] {
            for (one, half) in [
                (bare.radial, seated.radial),
                (bare.axial, seated.axial),
                (bare.tilt, seated.tilt),
            ] {
                assert!((half.resisting(corner) / one.resisting(corner) - 0.5).abs() < 1e-12);
            }
        }
        assert_eq!(bare.radial.low, 10e6);
        assert_eq!(bare.axial.high, 3e6);
        assert!((bare.tilt.value - 400.0).abs() < 1e-9);
    }

    /// Fixing the parts at a corner first, or the pair's stiffness afterwards, is the same.
    #[test]
    fn corners_of_parts_are_corners_of_the_pair() {
        let whole = parts(Some(seat()));
        let pair = whole.pair_stiffness().unwrap();
        for corner in [Corner::Soft, Corner::Stiff] {
            let mut fixed = whole.clone();
            fixed.bearing = whole.bearing.at_corner(corner);
            let exact = |band: Uncertain| Uncertain::exact(band.resisting(corner));
            fixed.seat = Some(Seat {
                radial: exact(seat().radial),
                axial: exact(seat().axial),
                play: 0.0,
            });
            let of_fixed = fixed.pair_stiffness().unwrap();
            assert_eq!(of_fixed.tilt.value, pair.tilt.resisting(corner));
            assert_eq!(of_fixed.axial.value, pair.axial.resisting(corner));
        }
    }

    /// 8 + 12 µm of play: ±10 µm across, ±2 mrad over 10 mm, ±30 µm along.
    #[test]
    fn play_by_hand() {
        let mut loose = parts(Some(seat()));
        let play = loose.play().unwrap();
        assert!((play.radial - 10e-6).abs() < 1e-15);
        assert!((play.tilt - 2e-3).abs() < 1e-12);
        assert!((play.axial - 30e-6).abs() < 1e-15);
        loose.both_locate = true;
        let play = loose.play().unwrap();
        assert!((play.radial - 6e-6).abs() < 1e-15);
        assert_eq!(play.axial, 0.0);
        loose.bearing.kind = BearingKind::Bushing;
        assert!((loose.play().unwrap().radial - 10e-6).abs() < 1e-15);
    }

    #[test]
    fn bad_parts_are_errors() {
        let with = |change: fn(&mut JointParts)| {
            let mut changed = parts(Some(seat()));
            change(&mut changed);
            changed
        };
        for bad in [
            with(|p| p.pair_spacing = 0.0),
            with(|p| p.pair_spacing = f64::NAN),
            with(|p| p.bearing.radial = Uncertain::exact(0.0)),
            with(|p| p.bearing.axial = Uncertain::exact(0.0)),
            with(|p| p.bearing.radial = Uncertain::exact(f64::INFINITY)),
            with(|p| p.seat.as_mut().unwrap().radial = Uncertain::exact(-1.0)),
        ] {
            assert!(bad.pair_stiffness().is_err());
        }
        for bad in [
            with(|p| p.pair_spacing = 0.0),
            with(|p| p.bearing.radial_play = -1e-6),
            with(|p| p.seat.as_mut().unwrap().play = f64::NAN),
        ] {
            assert!(bad.play().is_err());
        }
        let free = with(|p| {
            p.bearing.kind = BearingKind::Bushing;
            p.bearing.axial = Uncertain::exact(0.0);
        });
        assert_eq!(free.pair_stiffness().unwrap().axial.value, 0.0);
        assert!(clearance_tilt(1e-6, 0.0).is_err() && clearance_tilt(-1e-6, 1.0).is_err());
    }
}
