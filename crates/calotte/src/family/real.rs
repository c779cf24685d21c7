//! What a real linkage does to the sensor: the closed form with every bar's own arcs, zeros,
//! scales, backlash, axes that miss each other, and the sensor's place.
//!
//! Written over plain numbers and gradients alike, so that derivatives by all parameters
//! come from the same lines. Derived in `docs/theory/measurement.md`.

use nalgebra::{Matrix2, Vector3};
use thiserror::Error;

use crate::design::Design;
use crate::linkage::LinkageError;
use crate::number::gradient::Gradient;
use crate::number::jet::Scalar;
use crate::number::shown::degrees;
use crate::number::vector::V;

pub use super::deviation::{Cause, Measure, Parameter, spread};
use super::deviation::{List, RealTool, tolerance};
use super::parameters::{Capability, Kind, NotAvailable};
use super::scissor_linkage::RealScissor;
use super::two_arc_arm::RealArm;

/// A design that has no closed form here.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ModelError {
    /// The linkage cannot be built.
    #[error(transparent)]
    Linkage(#[from] LinkageError),
    /// The family is not measured yet.
    #[error(transparent)]
    NotAvailable(#[from] NotAvailable),
    /// The tool turns on its carrier.
    #[error(
        "the tool's own roll of {} on its carrier has no meaning for a sensor's place; set it to 0",
        degrees(.0)
    )]
    Roll(f64),
}

/// The closed form of a design with all its parameters.
#[derive(Debug, Clone)]
pub struct PhysicalModel {
    /// Parameters in the order of every list of values.
    pub parameters: Vec<Parameter>,
    /// Names of the active joints, in order.
    pub active_names: [&'static str; 2],
    mechanism_from_active: Matrix2<f64>,
    bars: RealBars,
    tool: RealTool,
    places: Places,
}

/// The bars of each family.
#[derive(Debug, Clone)]
enum RealBars {
    Scissor(RealScissor),
    Arm(RealArm),
}

/// Where the parameters that every family has stand in the list.
#[derive(Debug, Clone, Copy, Default)]
struct Places {
    zeros: [usize; 2],
    scales: [usize; 2],
    backlash: [usize; 2],
}

impl PhysicalModel {
    /// The closed form of a design.
    ///
    /// # Errors
    /// [`ModelError`] for a design that cannot be built.
    pub fn new(design: &Design) -> Result<Self, ModelError> {
        design.family.offers(Capability::Measurement)?;
        super::build(design)?;
        if design.tool.roll != 0.0 {
            return Err(ModelError::Roll(design.tool.roll));
        }
        let mut list = List::default();
        let mut places = Places::default();
        let active_names = design.family.active_names(design.drives.layout);
        let mechanism_names = design.family.mechanism_names();
        for (index, name) in mechanism_names.into_iter().enumerate() {
            let cause = Cause::Zero(name);
            places.zeros[index] = list.push(
                format!("{name}.zero"),
                Measure::Angle,
                0.0,
                tolerance::ZERO,
                cause,
            );
        }
        for (index, name) in active_names.into_iter().enumerate() {
            let cause = Cause::Scale(name);
            places.scales[index] = list.push(
                format!("{name}.scale"),
                Measure::Factor,
                1.0,
                tolerance::SCALE,
                cause,
            );
        }
        for (index, name) in active_names.into_iter().enumerate() {
            let cause = Cause::Backlash(name);
            let name = format!("{name}.backlash");
            places.backlash[index] =
                list.push(name, Measure::Angle, 0.0, tolerance::BACKLASH, cause);
        }
        let bars = match &design.family.kind {
            Kind::ScissorLinkage(scissor) => {
                RealBars::Scissor(RealScissor::new(scissor, design, &mut list))
            }
            Kind::TwoArcArm(arm) => RealBars::Arm(RealArm::new(arm, &mut list)),
            Kind::FiveBar(_) => {
                return Err(NotAvailable {
                    family: design.family.family_name(),
                    what: Capability::Measurement,
                }
                .into());
            }
        };
        let sensor = list.parameters.len();
        for (name, nominal) in [
            ("radius", design.tool.tip_radius),
            ("along", 0.0),
            ("across", 0.0),
        ] {
            list.push(
                format!("sensor.{name}"),
                Measure::Length,
                nominal,
                tolerance::SENSOR,
                Cause::Sensor,
            );
        }
        Ok(Self {
            parameters: list.parameters,
            active_names,
            mechanism_from_active: design.family.mechanism_from_active(&design.drives),
            bars,
            tool: RealTool {
                bracket: design.tool.bracket_arc,
                sensor,
            },
            places,
        })
    }

    /// The design's own values.
    pub fn nominal(&self) -> Vec<f64> {
        self.parameters.iter().map(|p| p.nominal).collect()
    }

    /// Position of a parameter of this name.
    pub fn index_of(&self, name: &str) -> Option<usize> {
        self.parameters.iter().position(|p| p.name == name)
    }

    /// Position of the zero that no tracker of unknown pose can tell: the swing's or base's.
    pub fn unobservable_zero(&self) -> usize {
        self.places.zeros[0]
    }

    /// Positions of the sensor's offsets along and across.
    pub fn sensor_offsets(&self) -> [usize; 2] {
        [self.tool.sensor + 1, self.tool.sensor + 2]
    }

    /// Position of the sensor's radius.
    pub fn sensor_radius(&self) -> usize {
        self.tool.sensor
    }

    /// Where the sensor is, m, base frame; `None` where the bars do not close.
    ///
    /// # Arguments
    /// - `readings`: of the active joints, rad.
    /// - `approach`: +1 or −1 as each reading grew or shrank before it was taken, else 0.
    /// - `values`: of all parameters, in their order, SI.
    pub fn sensor(
        &self,
        readings: [f64; 2],
        approach: [f64; 2],
        values: &[f64],
    ) -> Option<Vector3<f64>> {
        self.place(readings, approach, values).map(Vector3::from)
    }

    /// Where the sensor is, with its derivatives by some parameters.
    ///
    /// # Arguments
    /// - `free`: positions of up to `N` parameters, derivatives in the same order.
    pub fn sensor_with_gradient<const N: usize>(
        &self,
        readings: [f64; 2],
        approach: [f64; 2],
        values: &[f64],
        free: &[usize],
    ) -> Option<[Gradient<N>; 3]> {
        let mut numbers: Vec<Gradient<N>> = values.iter().map(|v| Gradient::constant(*v)).collect();
        for (slot, index) in free.iter().enumerate().take(N) {
            numbers[*index] = Gradient::parameter(values[*index], slot);
        }
        let place = self.place(readings, approach, &numbers)?;
        place
            .iter()
            .all(|c| c.value.is_finite() && c.by.iter().all(|d| d.is_finite()))
            .then_some(place)
    }

    fn place<T: Scalar>(&self, readings: [f64; 2], approach: [f64; 2], p: &[T]) -> Option<V<T>> {
        let at = &self.places;
        let active = [0, 1].map(|i| {
            let turned = p[at.scales[i]] * T::constant(readings[i]);
            turned - p[at.backlash[i]] * T::constant(0.5 * approach[i])
        });
        let m = &self.mechanism_from_active;
        let mechanism = [0, 1].map(|i| {
            active[0] * T::constant(m[(i, 0)]) + active[1] * T::constant(m[(i, 1)]) + p[at.zeros[i]]
        });
        match &self.bars {
            RealBars::Scissor(bars) => bars.sensor(&self.tool, mechanism, p),
            RealBars::Arm(bars) => Some(bars.sensor(&self.tool, mechanism, p)),
        }
    }
}
