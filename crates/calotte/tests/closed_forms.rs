//! The closed forms over the bars' angles too: derivatives by every arc and bend, and
//! enclosures over whole boxes of designs.
#![allow(missing_docs)]

mod common;

use calotte::design::{Design, DriveLayout, ToolCarrier};
use calotte::family::meridian::{Meridian, MeridianState};
use calotte::number::enclosure::Enclosure;
use calotte::number::gradient::Gradient;
use calotte::number::jet::Scalar;

use common::{arm, scissor};

/// Most angles of the designs here.
const ANGLES: usize = 8;

fn designs() -> Vec<Design> {
    let mut bracket = scissor(&[24.0, 21.0], &[26.0, 22.0], &[14.0]);
    bracket.tool.bracket_arc = 0.15;
    let mut right = scissor(&[24.0], &[31.0], &[]);
    right.tool.carried_by = ToolCarrier::Right;
    right.tool.bracket_arc = -0.1;
    right.drives.layout = DriveLayout::SwingAndOpening;
    let mut extended = arm(50.0, 40.0);
    extended.tool.bracket_arc = 0.2;
    vec![bracket, right, extended, arm(30.0, 55.0)]
}

/// Polar angle, offset and their slopes by the second mechanism angle.
fn values<T: Scalar>(state: &MeridianState<T>) -> [T; 4] {
    [
        state.polar.value,
        state.offset.value,
        state.polar.first,
        state.offset.first,
    ]
}

#[test]
fn derivatives_by_every_angle_are_those_of_differences() {
    for design in designs() {
        let angles = design.family.angles();
        assert!(angles.len() <= ANGLES);
        let gradients: Vec<Gradient<ANGLES>> = (0..angles.len())
            .map(|i| Gradient::parameter(angles[i], i))
            .collect();
        let over = Meridian::over(&design, &gradients).unwrap();
        for second in [0.5, 1.1, 1.6] {
            let found = values(&over.state_over(Gradient::constant(second)));
            let plain = values(&Meridian::of(&design).unwrap().state(second));
            for (place, value) in found.iter().enumerate() {
                // Gradients divide by way of the inverse, which rounds once more.
                let apart = (value.value - plain[place]).abs();
                assert!(apart < 1e-14 * (1.0 + plain[place].abs()));
            }
            for index in 0..angles.len() {
                let step = 1e-6;
                let at = |by: f64| {
                    let mut moved = design.clone();
                    *moved.family.angles_mut()[index] += by;
                    values(&Meridian::of(&moved).unwrap().state(second))
                };
                let (ahead, behind) = (at(step), at(-step));
                for (place, value) in found.iter().enumerate() {
                    let slope = (ahead[place] - behind[place]) / (2.0 * step);
                    let difference = (value.by[index] - slope).abs();
                    assert!(
                        difference < 1e-7 * (1.0 + slope.abs()),
                        "angle {index}, value {place} at {second}: {} and {slope}",
                        value.by[index]
                    );
                }
            }
        }
    }
}

#[test]
fn enclosures_over_boxes_of_designs_hold_every_design_inside() {
    let half_width = 0.3 * common::DEGREE;
    for design in designs() {
        let angles = design.family.angles();
        let boxed: Vec<Enclosure> = angles
            .iter()
            .map(|angle| Enclosure::new(angle - half_width, angle + half_width))
            .collect();
        let over = Meridian::over(&design, &boxed).unwrap();
        for second in [0.6, 1.2] {
            let state = over.state_over(Enclosure::new(second - 0.01, second + 0.01));
            assert!(state.closes && !state.breaks);
            let found = values(&state);
            assert!(found[0].width() < 0.4, "an enclosure that says nothing");
            let mut reached = [(f64::INFINITY, f64::NEG_INFINITY); 4];
            for corner in 0..1 << angles.len() {
                let mut inside = design.clone();
                for (index, angle) in inside.family.angles_mut().into_iter().enumerate() {
                    let sign = if corner >> index & 1 == 1 { 1.0 } else { -1.0 };
                    *angle += sign * half_width;
                }
                let meridian = Meridian::of(&inside).unwrap();
                for by in [-0.01, 0.0, 0.01] {
                    let plain = values(&meridian.state(second + by));
                    for place in 0..4 {
                        let (lo, hi) = (found[place].lo, found[place].hi);
                        let value = plain[place];
                        assert!(lo <= value && value <= hi, "{place}: {value} in {lo}…{hi}");
                        let (least, most) = reached[place];
                        reached[place] = (least.min(value), most.max(value));
                    }
                }
            }
            // Not so wide that anything would be held.
            let spread = reached[0].1 - reached[0].0;
            assert!(spread > 0.1 * found[0].width());
        }
    }
}
