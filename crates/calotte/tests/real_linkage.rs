//! Real linkages, with errors of their own in every bar: the nominal one is the design, and
//! derivatives are those of differences.
#![allow(missing_docs)]

mod common;

use calotte::design::{Design, DriveLayout, Family, ScissorLinkage, ToolCarrier};
use calotte::kinematics::Kinematics;
use calotte::measurement::PhysicalModel;

use common::design;

fn designs() -> Vec<Design> {
    let mut all = vec![design(Family::two_arc_arm([0.8, 0.7]))];
    for stages in 1..=3 {
        for layout in [DriveLayout::TwoBars, DriveLayout::SwingAndOpening] {
            for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
                let mut scissor = ScissorLinkage::uniform(stages, 1.2 / stages as f64);
                scissor.bends.fill(0.3);
                scissor.distal_arcs[0] += 0.05;
                let mut design = design(Family::scissor_linkage(scissor));
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
            let active = kinematics.active_from_mechanism(mechanism);
            let found = model.sensor(active, [0.0; 2], &model.nominal()).unwrap();
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
