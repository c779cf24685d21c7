//! The virtual joint model: its values, and with full springs those of the structure (V01–V03).

use calotte::elasticity::virtual_joints::{Entry, VirtualJointModel, virtual_joint_compliance};
use calotte::kinematics::{Kinematics, Pose};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, uniform};
use crate::scissor_elasticity::TIP;

const MODEL: Source = Source::derived(
    file::FRAMES,
    "loops closed in space with three springs in the middle of each arc",
);
const HAND: Source = Source::derived(
    file::FRAMES,
    "loops closed in space with one spring per arc where it leaves its inner joint; that estimate is common practice without a source",
);
const STRUCTURE: Source = Source::derived(
    file::FRAMES,
    "tip compliance of exact arcs (F01), which full springs at the arcs' ends must give again",
);

/// Kinematics and pose of equal stages at the first half-angle; degrees.
fn posed(stages: usize, arc: f64, half_angle: f64) -> Option<(Kinematics, Pose)> {
    let kinematics = Kinematics::new(&uniform(stages, arc)).ok()?;
    let mechanism = [0.4, 2.0 * half_angle * DEGREE];
    let pose = kinematics.forward_from_mechanism(mechanism).ok()?;
    Some((kinematics, pose))
}

/// The four entries of a model in the order of [`Entry::ALL`], µm/N.
fn entries(stages: usize, arc: f64, half_angle: f64, model: VirtualJointModel) -> [f64; 4] {
    posed(stages, arc, half_angle)
        .and_then(|(kinematics, pose)| {
            virtual_joint_compliance(
                &uniform(stages, arc),
                &kinematics.linkage,
                &pose.configuration,
                &pose.frame,
                model,
            )
            .ok()
        })
        .map_or([f64::NAN; 4], |c| {
            Entry::ALL.map(|entry| entry.of(&c) * 1e6)
        })
}

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = Vec::new();
    for (source, id, name, model, values) in [
        (
            &MODEL,
            "V01",
            "three springs per arc, 2 stages, α = 50°",
            VirtualJointModel::MidArcSprings,
            [22.7605, 8.8604, 56.5904, -28.1445],
        ),
        (
            &HAND,
            "V02",
            "one spring per arc, 2 stages, α = 50°",
            VirtualJointModel::HandEstimate,
            [9.5838, 0.0, 16.0513, -12.1088],
        ),
    ] {
        let found = entries(2, 23.5, 50.0, model);
        for ((entry, reference), value) in Entry::ALL.iter().zip(values).zip(found) {
            let entry = entry.name();
            checks.push(source.check(
                format!("{id}-{entry}"),
                format!("{name}: {entry}"),
                "µm/N",
                [reference, value],
                Tolerance::Absolute(5e-5),
            ));
        }
    }
    for (stages, arc, half_angle, values) in TIP {
        let found = entries(stages, arc, half_angle, VirtualJointModel::EndOfArcSprings);
        for ((entry, reference), value) in Entry::ALL.iter().zip(values).zip(found) {
            let entry = entry.name();
            checks.push(STRUCTURE.check(
                format!("V03-{stages}-{entry}"),
                format!("full springs at arc ends, {stages} stages: {entry}"),
                "µm/N",
                [reference, value],
                Tolerance::Absolute(5e-6),
            ));
        }
    }
    checks
}
