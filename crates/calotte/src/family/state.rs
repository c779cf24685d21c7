//! Where the tool points for one value of the second mechanism angle.

use crate::number::jet::Jet;
use crate::sphere::direction::wrap_signed;

/// Most stages a scissor linkage may have.
pub const STAGES_MAX: usize = 16;

/// Where the tool points for one value of the second mechanism angle.
#[derive(Debug, Clone, Copy)]
pub struct MeridianState<T> {
    /// Polar angle of the tool direction as the sum of what the stages turn, rad; negative
    /// beyond the base axis, and beyond π where the stages turn as far.
    pub polar: Jet<T>,
    /// Azimuth of the tool direction beyond the first mechanism angle, rad.
    pub offset: Jet<T>,
    /// Signed polar angles of the apexes after each stage, rad; meaningful up to `stages`.
    pub apexes: [Jet<T>; STAGES_MAX],
    /// Distal half-angles α′ of the stages, rad; meaningful up to `stages`.
    pub distal_half_angles: [Jet<T>; STAGES_MAX],
    /// Number of stages; zero for the two-arc arm.
    pub stages: usize,
    /// Whether every stage surely closes.
    pub closes: bool,
    /// Whether some stage surely does not close.
    pub breaks: bool,
}

impl MeridianState<f64> {
    /// Polar angle of the tool direction with the side of the base axis it lies on, rad, in
    /// (−π, π]; negative beyond the axis. The sum of arcs that `polar` is may be any number of
    /// turns.
    pub fn signed_polar(&self) -> f64 {
        wrap_signed(self.polar.value)
    }

    /// The tool's own polar angle, rad, in [0, π]: the one of [`Direction`] and of all that is
    /// printed.
    ///
    /// [`Direction`]: crate::sphere::Direction
    pub fn polar_angle(&self) -> f64 {
        self.signed_polar().abs()
    }

    /// Azimuth of the tool direction less the first mechanism angle, rad, for the tool's own
    /// polar angle: half a turn more than `offset` beyond the base axis.
    pub fn azimuth_ahead(&self) -> f64 {
        let turned = if self.signed_polar() < 0.0 {
            std::f64::consts::PI
        } else {
            0.0
        };
        self.offset.value + turned
    }
}
