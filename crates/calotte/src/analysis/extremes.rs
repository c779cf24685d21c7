//! At which azimuths of a ring something is worst.
//!
//! Turning the whole linkage turns weight and loads in its frame: every displacement, torque
//! and resultant is constant + cosine·cos ψ + sine·sin ψ, known from three azimuths. Torques
//! are greatest in closed form, norms and the stress of flat sections by the quartic of their
//! second harmonic; equivalent loads of bearings, pins and round sections, which add norms up,
//! are bracketed ([`crate::number::turning`]).

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{SVector, Vector2, Vector6};

use crate::elasticity::tool_line::{shift_map, turn_map};

use crate::number::turning::{
    Greatest, Turning, greatest_convex, greatest_linear, greatest_square,
};
use crate::subject::Model;

use super::case_response::at_section;
use super::joint_loads::JointLoad;

/// What is known at one azimuth, each first by weight alone, then by each load case; all but
/// the tip's motion is by weight and load case together.
pub(super) struct Resultants {
    /// Motions of the tip.
    pub(super) tips: Vec<Vector6<f64>>,
    /// Torques of the drives.
    pub(super) torques: Vec<Vector2<f64>>,
    /// Section resultants.
    pub(super) sections: Vec<Vec<Vector6<f64>>>,
    /// Forces of the joints.
    pub(super) joints: Vec<Vec<Vector6<f64>>>,
}

/// How far from the first the three azimuths lie at which [`Resultants`] are taken, rad.
pub(super) const TURNS: [f64; 3] = [0.0, PI, FRAC_PI_2];

/// What turns, from its values at [`TURNS`].
fn turning<const N: usize>([here, opposite, quarter]: [&SVector<f64, N>; 3]) -> Turning<N> {
    let constant = (here + opposite) * 0.5;
    Turning {
        constant,
        cosine: (here - opposite) * 0.5,
        sine: quarter - constant,
    }
}

/// Resultants of a ring, all around.
pub(super) struct AllAround<'a> {
    model: &'a Model,
    at: [Resultants; 3],
    arcs: &'a [[f64; 2]],
}

impl<'a> AllAround<'a> {
    /// From the resultants at [`TURNS`]; arcs (rad) count from the first of them.
    pub(super) fn new(model: &'a Model, at: [Resultants; 3], arcs: &'a [[f64; 2]]) -> Self {
        Self { model, at, arcs }
    }

    /// Azimuths at which one of the quantities is worst, from the first one, rad.
    pub(super) fn worst(&self) -> Vec<f64> {
        let mut found: Vec<Greatest> = Vec::new();
        found.extend(self.torques());
        found.extend(self.tips());
        found.extend([self.bars(), self.pins(), self.bearings()]);
        let mut angles: Vec<f64> = found.iter().filter_map(|one| one.angle).collect();
        angles.sort_by(f64::total_cmp);
        angles.dedup();
        angles
    }

    fn torques(&self) -> impl Iterator<Item = Greatest> {
        (0..self.at[0].torques.len()).flat_map(|index| {
            let torque = turning(self.at.each_ref().map(|at| &at.torques[index]));
            [0, 1].map(|drive| {
                let mut greatest = Greatest::NOTHING;
                let one = torque.map(|torque| SVector::<f64, 1>::new(torque[drive]));
                greatest_linear(&one, self.arcs, &mut greatest);
                greatest
            })
        })
    }

    /// Of every motion of the tip: its displacement, and shift and tilt of the tool's line.
    fn tips(&self) -> impl Iterator<Item = Greatest> {
        let (shift, turn) = (shift_map(self.model.structure.tip_radius()), turn_map());
        (0..self.at[0].tips.len()).flat_map(move |index| {
            let tip = turning(self.at.each_ref().map(|at| &at.tips[index]));
            let mut greatest = [Greatest::NOTHING; 3];
            let displacement = tip.map(|tip| tip.fixed_rows::<3>(0).into_owned());
            greatest_square(&displacement, self.arcs, &mut greatest[0]);
            greatest_square(&tip.map(|tip| shift * tip), self.arcs, &mut greatest[1]);
            greatest_square(&tip.map(|tip| turn * tip), self.arcs, &mut greatest[2]);
            greatest
        })
    }

    fn bars(&self) -> Greatest {
        let mut greatest = Greatest::above(0.0);
        let Some(stress) = &self.model.stress else {
            return greatest;
        };
        for (load, sections) in self.at[0].sections.iter().enumerate() {
            for section in 0..sections.len() {
                let resultants = self.at.each_ref().map(|at| &at.sections[load][section]);
                let model = at_section(stress, section);
                model.greatest_around(&turning(resultants), self.arcs, &mut greatest);
            }
        }
        greatest
    }

    fn pins(&self) -> Greatest {
        let strength = self.model.joint_strength.as_ref();
        self.of_joints(strength.map(|strength| {
            move |joint: usize, force: &Vector6<f64>| strength.pin_stress(joint, force)
        }))
    }

    fn bearings(&self) -> Greatest {
        let strength = self.model.joint_strength.as_ref();
        let known = strength.filter(|strength| strength.knows_rating());
        self.of_joints(known.map(|strength| {
            move |joint: usize, force: &Vector6<f64>| strength.rated_load(joint, force)
        }))
    }

    fn of_joints(&self, measure: Option<impl Fn(usize, &Vector6<f64>) -> f64>) -> Greatest {
        let mut greatest = Greatest::above(0.0);
        if let Some(measure) = measure {
            for (joint, force) in self.joint_forces() {
                let of_one = |force: &Vector6<f64>| measure(joint, force);
                greatest_convex(&force, self.arcs, &mut greatest, of_one);
            }
        }
        greatest
    }

    /// The force of every joint under every load, with the joint's index.
    fn joint_forces(&self) -> impl Iterator<Item = (usize, Turning<6>)> {
        let loads = self.at[0].joints.iter().enumerate();
        loads.flat_map(move |(load, forces)| {
            (0..forces.len()).map(move |joint| {
                let at = self.at.each_ref().map(|at| &at.joints[load][joint]);
                (joint, turning(at))
            })
        })
    }

    /// Widens the envelope of joint loads, taken at the bearings.
    pub(super) fn widen(&self, envelope: &mut [JointLoad]) {
        for (joint, force) in self.joint_forces() {
            let strength = self.model.joint_strength.as_ref();
            let force = force.map(|force| {
                strength.map_or(*force, |strength| strength.at_bearings(joint, force))
            });
            let before = envelope[joint];
            let (mut axial, mut radial, mut tilt) = (
                Greatest::above(before.axial),
                Greatest::above(before.radial),
                Greatest::above(before.tilt),
            );
            let along = force.map(|force| SVector::<f64, 1>::new(force[0]));
            greatest_linear(&along, self.arcs, &mut axial);
            let across = force.map(|force| Vector2::new(force[1], force[2]));
            greatest_square(&across, self.arcs, &mut radial);
            let tilting = force.map(|force| Vector2::new(force[4], force[5]));
            greatest_square(&tilting, self.arcs, &mut tilt);
            envelope[joint] = JointLoad {
                axial: axial.value,
                radial: radial.value,
                tilt: tilt.value,
            };
        }
    }
}
