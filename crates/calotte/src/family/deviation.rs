//! The parameters in which a real linkage differs from its design.

use crate::number::jet::Scalar;
use crate::number::vector::{V, add, cross, sub, times};

/// Unit of a parameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// rad.
    Angle,
    /// m.
    Length,
    /// 1.
    Factor,
}

/// What kind of error a parameter describes; what of one part goes together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cause {
    /// How the sensor sits on the tool.
    Sensor,
    /// Zero of a mechanism angle, by name.
    Zero(&'static str),
    /// Scale of a drive's reading, by name.
    Scale(&'static str),
    /// Backlash of a drive, by name.
    Backlash(&'static str),
    /// A bar's arcs and bend, by the bar's name.
    Bar(String),
    /// The base axes do not lie in one line, or do not meet the centre.
    BaseAxes,
}

/// One parameter of a real linkage.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// Name without unit, such as `bar-left-1.first_arc`.
    pub name: String,
    /// Its unit.
    pub measure: Measure,
    /// Value of the design, SI.
    pub nominal: f64,
    /// Tolerance of workshops, SI (common practice, no source); sets the scale by which
    /// parameters are compared.
    pub typical: f64,
    /// What it describes.
    pub cause: Cause,
}

/// How a part differs from its drawing, in tolerances (common practice, no source): nearly
/// always about within tolerance, and now and then made or mounted wrong; either is a normal
/// distribution.
pub mod spread {
    /// Standard deviation that an estimate allows parts for which nothing speaks: one
    /// tolerance, so that its error is rather too great than too small.
    pub const ALLOWED: f64 = 1.0;
    /// Standard deviation of parts of which a verdict says that they are within tolerance: 95 %
    /// lie within ± one tolerance.
    pub const WITHIN: f64 = 0.5;
    /// Standard deviation of a faulty part.
    pub const FAULTY: f64 = 4.0;
    /// Share of parts that are faulty.
    pub const FAULTY_SHARE: f64 = 0.05;
}

/// Tolerances of what a real linkage may differ in, SI (common practice, no source).
pub(super) mod tolerance {
    const DEGREE: f64 = std::f64::consts::PI / 180.0;
    /// Arcs, bends and the tilt of a base axis.
    pub(in crate::family) const ARC: f64 = 0.2 * DEGREE;
    /// Zero of a mechanism angle.
    pub(in crate::family) const ZERO: f64 = 0.5 * DEGREE;
    /// Backlash of a drive.
    pub(in crate::family) const BACKLASH: f64 = 0.1 * DEGREE;
    /// Scale of a drive's reading.
    pub(in crate::family) const SCALE: f64 = 1e-3;
    /// How far a base axis lies beside its place.
    pub(in crate::family) const OFFSET: f64 = 0.3e-3;
    /// Where the sensor sits.
    pub(in crate::family) const SENSOR: f64 = 1e-3;
}

/// Parameters gathered one after the other.
#[derive(Default)]
pub(crate) struct List {
    pub(super) parameters: Vec<Parameter>,
}

impl List {
    pub(super) fn push(
        &mut self,
        name: String,
        measure: Measure,
        nominal: f64,
        typical: f64,
        cause: Cause,
    ) -> usize {
        self.parameters.push(Parameter {
            name,
            measure,
            nominal,
            typical,
            cause,
        });
        self.parameters.len() - 1
    }

    /// How far a base axis lies beside its place.
    pub(super) fn axis_offset(&mut self, name: &str) -> usize {
        let name = format!("axis.{name}");
        self.push(
            name,
            Measure::Length,
            0.0,
            tolerance::OFFSET,
            Cause::BaseAxes,
        )
    }

    /// An angle, with the error that workshops leave arcs.
    pub(super) fn angle(&mut self, name: String, nominal: f64, cause: Cause) -> usize {
        self.push(name, Measure::Angle, nominal, tolerance::ARC, cause)
    }
}

/// What stands beyond the last arc's end.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RealTool {
    pub(super) bracket: f64,
    /// Where the sensor's radius stands in the list; along and across follow.
    pub(super) sensor: usize,
}

impl RealTool {
    /// The sensor beyond the last arc's end.
    pub(super) fn on_tool<T: Scalar>(&self, end: V<T>, along: V<T>, p: &[T]) -> V<T> {
        let (s, c) = self.bracket.sin_cos();
        let (s, c) = (T::constant(s), T::constant(c));
        let radial = add(times(end, c), times(along, s));
        let along = sub(times(along, c), times(end, s));
        let sensor = self.sensor;
        add(
            add(times(radial, p[sensor]), times(along, p[sensor + 1])),
            times(cross(radial, along), p[sensor + 2]),
        )
    }
}
