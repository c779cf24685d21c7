//! What a real linkage does to the sensor: the closed form with every bar's own arcs, zeros,
//! scales, backlash, axes that miss each other, and the sensor's place.
//!
//! Written over plain numbers and gradients alike, so that derivatives by all parameters
//! come from the same lines. Derived in `docs/theory/measurement.md`.

use nalgebra::{Matrix2, Vector3};
use thiserror::Error;

use crate::design::{Design, DriveLayout, Family, ToolCarrier};
use crate::family::meridian::STAGES_MAX;
use crate::kinematics::Kinematics;
use crate::linkage::LinkageError;
use crate::number::jet::Scalar;

use super::gradient::Gradient;
use super::vector::{
    V, about_x, about_y, about_z, add, away, constant, cross, direction, dot, sub, times,
};

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
    /// An error of a size that workshops leave, SI (common practice, no source); sets the
    /// scale by which parameters are compared.
    pub typical: f64,
    /// What it describes.
    pub cause: Cause,
}

/// A design that has no closed form here.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ModelError {
    /// The linkage cannot be built.
    #[error(transparent)]
    Linkage(#[from] LinkageError),
    /// The tool turns on its carrier.
    #[error(
        "the tool's own roll of {0} rad on its carrier has no meaning for a sensor's place; set it to 0"
    )]
    Roll(f64),
}

const ARC_TYPICAL: f64 = 0.2 / 180.0 * std::f64::consts::PI;
const ZERO_TYPICAL: f64 = 0.5 / 180.0 * std::f64::consts::PI;
const BACKLASH_TYPICAL: f64 = 0.1 / 180.0 * std::f64::consts::PI;
const SCALE_TYPICAL: f64 = 1e-3;
const OFFSET_TYPICAL: f64 = 0.3e-3;
const SENSOR_TYPICAL: f64 = 1e-3;

/// The closed form of a design with all its parameters.
#[derive(Debug, Clone)]
pub struct PhysicalModel {
    /// Parameters in the order of every list of values.
    pub parameters: Vec<Parameter>,
    /// Names of the two mechanism angles.
    pub mechanism_names: [&'static str; 2],
    /// Names of the active joints, in order.
    pub active_names: [&'static str; 2],
    mechanism_from_active: Matrix2<f64>,
    kind: Kind,
    carrier: ToolCarrier,
    bracket: f64,
    places: Places,
}

#[derive(Debug, Clone)]
enum Kind {
    /// Assembly mode of each stage; whether swing and opening are driven.
    Scissor {
        modes: Vec<f64>,
        swings: bool,
    },
    Arm,
}

/// Where each parameter stands in the list.
#[derive(Debug, Clone, Copy, Default)]
struct Places {
    zeros: [usize; 2],
    scales: [usize; 2],
    backlash: [usize; 2],
    tilt: usize,
    offset: usize,
    sensor: usize,
    /// Base bars' arcs: left, right; the arm's two arcs.
    base: [usize; 2],
    /// First arc, then second arc and bend, of the left and right bar of each stage.
    bars: [[usize; 2]; STAGES_MAX],
}

/// Parameters gathered one after the other.
struct List {
    parameters: Vec<Parameter>,
}

impl List {
    fn push(
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

    fn angle(&mut self, name: String, nominal: f64, cause: Cause) -> usize {
        self.push(name, Measure::Angle, nominal, ARC_TYPICAL, cause)
    }
}

impl PhysicalModel {
    /// The closed form of a design.
    ///
    /// # Errors
    /// [`ModelError`] for a design that cannot be built.
    pub fn new(design: &Design) -> Result<Self, ModelError> {
        let kinematics = Kinematics::new(design)?;
        if design.tool.roll != 0.0 {
            return Err(ModelError::Roll(design.tool.roll));
        }
        let mut list = List {
            parameters: Vec::new(),
        };
        let mut places = Places::default();
        let active_names = kinematics.linkage.active_names;
        let (kind, mechanism_names) = match &design.family {
            Family::ScissorLinkage(scissor) => {
                let swings = design.drives.layout == DriveLayout::SwingAndOpening;
                let modes = scissor.assembly_modes.iter().map(|m| f64::from(*m));
                (
                    Kind::Scissor {
                        modes: modes.collect(),
                        swings,
                    },
                    ["swing", "opening"],
                )
            }
            Family::TwoArcArm(_) => (Kind::Arm, ["base", "elbow"]),
        };
        for (index, name) in mechanism_names.into_iter().enumerate() {
            let cause = Cause::Zero(name);
            places.zeros[index] = list.push(
                format!("{name}.zero"),
                Measure::Angle,
                0.0,
                ZERO_TYPICAL,
                cause,
            );
        }
        for (index, name) in active_names.into_iter().enumerate() {
            let cause = Cause::Scale(name);
            places.scales[index] = list.push(
                format!("{name}.scale"),
                Measure::Factor,
                1.0,
                SCALE_TYPICAL,
                cause,
            );
        }
        for (index, name) in active_names.into_iter().enumerate() {
            let cause = Cause::Backlash(name);
            let name = format!("{name}.backlash");
            places.backlash[index] = list.push(name, Measure::Angle, 0.0, BACKLASH_TYPICAL, cause);
        }
        add_bars(design, &mut list, &mut places);
        add_axes(design, &mut list, &mut places);
        places.sensor = list.parameters.len();
        for (name, nominal) in [
            ("radius", design.tool.tip_radius),
            ("along", 0.0),
            ("across", 0.0),
        ] {
            list.push(
                format!("sensor.{name}"),
                Measure::Length,
                nominal,
                SENSOR_TYPICAL,
                Cause::Sensor,
            );
        }
        Ok(Self {
            parameters: list.parameters,
            mechanism_names,
            active_names,
            mechanism_from_active: kinematics.meridian.mechanism_from_active,
            kind,
            carrier: design.tool.carried_by,
            bracket: design.tool.bracket_arc,
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
        [self.places.sensor + 1, self.places.sensor + 2]
    }

    /// Position of the sensor's radius.
    pub fn sensor_radius(&self) -> usize {
        self.places.sensor
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
        match &self.kind {
            Kind::Scissor { modes, swings } => self.scissor(modes, *swings, mechanism, p),
            Kind::Arm => Some(self.arm(mechanism, p)),
        }
    }

    fn scissor<T: Scalar>(
        &self,
        modes: &[f64],
        swings: bool,
        [swing, opening]: [T; 2],
        p: &[T],
    ) -> Option<V<T>> {
        let at = &self.places;
        let half = opening * T::constant(0.5);
        let turn = if swings { T::constant(0.0) } else { swing };
        let (tilt_x, tilt_y) = (p[at.tilt], p[at.tilt + 1]);
        let tilted = |v: V<T>| about_x(about_y(v, tilt_y), tilt_x);
        let mut left = direction(p[at.base[0]], turn + half);
        let mut right = direction(p[at.base[1]], turn - half);
        if !swings {
            right = tilted(right);
        }
        let mut apex = constant([0.0, 0.0, 1.0]);
        for (stage, mode) in modes.iter().enumerate() {
            let [of_left, of_right] = at.bars[stage];
            apex = meeting(left, p[of_left], right, p[of_right], *mode)?;
            if stage + 1 < modes.len() {
                // Bars cross over: the one from the left goes on to the right side joint.
                let onward = |side: V<T>, bar: usize, sense: f64| {
                    let straight = away(apex, side);
                    let bend = p[bar + 2] * T::constant(sense);
                    let turned = add(
                        times(straight, bend.cosine()),
                        times(cross(apex, straight), bend.sine()),
                    );
                    let arc = p[bar + 1];
                    add(times(apex, arc.cosine()), times(turned, arc.sine()))
                };
                let next = (onward(right, of_right, 1.0), onward(left, of_left, -1.0));
                (left, right) = next;
            }
        }
        let along = match self.carrier {
            ToolCarrier::Left => away(apex, left),
            ToolCarrier::Right => away(apex, right),
            ToolCarrier::Bisector => away(apex, constant([0.0, 0.0, 1.0])),
        };
        let place = self.on_tool(apex, along, p);
        if !swings {
            return Some(place);
        }
        let moved = add(
            tilted(place),
            [p[at.offset], p[at.offset + 1], T::constant(0.0)],
        );
        Some(about_z(moved, swing))
    }

    fn arm<T: Scalar>(&self, [base, elbow]: [T; 2], p: &[T]) -> V<T> {
        let at = &self.places;
        let zero = T::constant(0.0);
        let end = direction(p[at.base[1]], zero);
        let along = about_y(constant([1.0, 0.0, 0.0]), p[at.base[1]]);
        let place = about_y(about_z(self.on_tool(end, along, p), elbow), p[at.base[0]]);
        let moved = add(place, [zero, p[at.offset], zero]);
        about_z(moved, base)
    }

    /// The sensor beyond the last arc's end.
    fn on_tool<T: Scalar>(&self, end: V<T>, along: V<T>, p: &[T]) -> V<T> {
        let (s, c) = self.bracket.sin_cos();
        let (s, c) = (T::constant(s), T::constant(c));
        let radial = add(times(end, c), times(along, s));
        let along = sub(times(along, c), times(end, s));
        let sensor = self.places.sensor;
        add(
            add(times(radial, p[sensor]), times(along, p[sensor + 1])),
            times(cross(radial, along), p[sensor + 2]),
        )
    }
}

/// The direction at given angles from two others, on the side of left × right for mode +1;
/// `None` where the arcs do not reach each other.
fn meeting<T: Scalar>(
    left: V<T>,
    left_arc: T,
    right: V<T>,
    right_arc: T,
    mode: f64,
) -> Option<V<T>> {
    let one = T::constant(1.0);
    let c = dot(left, right);
    let square = one - c * c;
    let (a, b) = (left_arc.cosine(), right_arc.cosine());
    let (along_left, along_right) = ((a - c * b) / square, (b - c * a) / square);
    let rest = one - a * along_left - b * along_right;
    if !rest.surely_positive() || !square.surely_positive() {
        return None;
    }
    let out = (rest / square).square_root() * T::constant(mode);
    Some(add(
        add(times(left, along_left), times(right, along_right)),
        times(cross(left, right), out),
    ))
}

fn add_bars(design: &Design, list: &mut List, places: &mut Places) {
    match &design.family {
        Family::TwoArcArm(arm) => {
            for (index, name) in ["first-arc", "second-arc"].into_iter().enumerate() {
                let cause = Cause::Bar(name.to_string());
                places.base[index] =
                    list.angle(format!("{name}.first_arc"), arm.arcs[index], cause);
            }
        }
        Family::ScissorLinkage(scissor) => {
            for (index, side) in ["left", "right"].into_iter().enumerate() {
                let name = format!("base-{side}");
                let arc = scissor.proximal_arcs[0];
                places.base[index] = list.angle(format!("{name}.first_arc"), arc, Cause::Bar(name));
            }
            for stage in 0..scissor.stages() {
                for (index, side) in ["left", "right"].into_iter().enumerate() {
                    let name = format!("bar-{side}-{}", stage + 1);
                    let cause = || Cause::Bar(name.clone());
                    let first = scissor.distal_arcs[stage];
                    places.bars[stage][index] =
                        list.angle(format!("{name}.first_arc"), first, cause());
                    if stage + 1 < scissor.stages() {
                        let second = scissor.proximal_arcs[stage + 1];
                        list.angle(format!("{name}.second_arc"), second, cause());
                        list.angle(format!("{name}.bend"), scissor.bends[stage], cause());
                    }
                }
            }
        }
    }
}

fn add_axes(design: &Design, list: &mut List, places: &mut Places) {
    let offset = |list: &mut List, name: &str| {
        let name = format!("axis.{name}");
        list.push(name, Measure::Length, 0.0, OFFSET_TYPICAL, Cause::BaseAxes)
    };
    if let Family::TwoArcArm(_) = design.family {
        places.offset = offset(list, "offset");
        return;
    }
    places.tilt = list.angle("axis.tilt_x".to_string(), 0.0, Cause::BaseAxes);
    list.angle("axis.tilt_y".to_string(), 0.0, Cause::BaseAxes);
    if design.drives.layout == DriveLayout::SwingAndOpening {
        places.offset = offset(list, "offset_x");
        offset(list, "offset_y");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::ScissorLinkage;
    use crate::design::sample::two_arc_arm;

    fn designs() -> Vec<Design> {
        let mut all = vec![two_arc_arm([0.8, 0.7])];
        for stages in 1..=3 {
            for layout in [DriveLayout::TwoBars, DriveLayout::SwingAndOpening] {
                for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
                    let mut design = two_arc_arm([1.0, 1.0]);
                    let mut scissor = ScissorLinkage::uniform(stages, 1.2 / stages as f64);
                    scissor.bends.fill(0.3);
                    scissor.distal_arcs[0] += 0.05;
                    design.family = Family::ScissorLinkage(scissor);
                    design.drives.layout = layout;
                    design.drives.ratio = [1.0, -0.5];
                    design.tool.carried_by = carrier;
                    design.tool.bracket_arc = 0.1;
                    all.push(design);
                }
            }
        }
        all
    }

    /// With the design's values the sensor lies where the linkage's own closed form points.
    #[test]
    fn the_nominal_model_is_the_linkage() {
        for design in designs() {
            let model = PhysicalModel::new(&design).unwrap();
            let kinematics = Kinematics::new(&design).unwrap();
            for mechanism in [[0.3, 1.1], [-2.0, 1.9], [1.7, 0.7]] {
                let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
                let active = model.mechanism_from_active.try_inverse().unwrap()
                    * nalgebra::Vector2::from(mechanism);
                let found = model
                    .sensor([active.x, active.y], [0.0; 2], &model.nominal())
                    .unwrap();
                let wanted =
                    kinematics.linkage.tool_direction(&pose.configuration) * design.tool.tip_radius;
                assert!((found - wanted).norm() < 1e-12, "{:?}", design.family);
            }
        }
    }

    /// Derivatives of every parameter against central differences.
    #[test]
    fn gradients_are_those_of_differences() {
        for design in designs() {
            let model = PhysicalModel::new(&design).unwrap();
            let mut values = model.nominal();
            for (index, value) in values.iter_mut().enumerate() {
                *value += 0.7 * model.parameters[index].typical * (index as f64).cos();
            }
            let (readings, approach) = ([0.9, 0.2], [1.0, -1.0]);
            let free: Vec<usize> = (0..values.len()).collect();
            let found = model.sensor_with_gradient::<32>(readings, approach, &values, &free);
            let found = found.unwrap();
            for index in free {
                let step = 1e-6;
                let mut moved = values.clone();
                moved[index] += step;
                let ahead = model.sensor(readings, approach, &moved).unwrap();
                moved[index] -= 2.0 * step;
                let behind = model.sensor(readings, approach, &moved).unwrap();
                for axis in 0..3 {
                    let difference = (ahead[axis] - behind[axis]) / (2.0 * step);
                    let name = &model.parameters[index].name;
                    assert!((found[axis].by[index] - difference).abs() < 1e-8, "{name}");
                }
            }
        }
    }
}
