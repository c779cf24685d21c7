//! One configuration: what the agreed result of an analysis lists.

use nalgebra::{Matrix2, Matrix3, Matrix6};

use crate::elasticity::{FewDigits, SolvedStructure};
use crate::kinematics::Pose;
use crate::kinematics::conditioning::local_conditioning_index;
use crate::kinematics::working_range::transmission_at;
use crate::sphere::Direction;
use crate::subject::Model;

/// Everything about one configuration.
#[derive(Debug, Clone, PartialEq)]
pub struct ConfigurationResult {
    /// Active joint angles, rad, after the drive ratios.
    pub active: [f64; 2],
    /// Tool direction in the base frame.
    pub direction: Direction,
    /// Interior angle at every joint no drive sets, rad, by name.
    pub passive: Vec<(String, f64)>,
    /// Roll of the tool body, rad.
    pub roll: f64,
    /// Local conditioning index.
    pub lci: f64,
    /// Least transmission angle, rad, with its stage (from 1) where there are stages; `None`
    /// where no type 2 singularity exists.
    pub transmission: Option<(f64, Option<usize>)>,
    /// Compliance at the tip, 6×6, local frame, or why there is none.
    pub compliance: Result<Matrix6<f64>, String>,
    /// How many digits of it are sure, where they are not enough.
    pub few_digits: Option<FewDigits>,
    /// Torque each drive gives against weight, N·m, or why there is none.
    pub holding_torque: Result<[f64; 2], String>,
}

/// Stiffness as scalars, all in N/m but the isotropy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StiffnessScalars {
    /// Least translational stiffness: 1 over the greatest eigenvalue of the
    /// force–displacement block.
    pub least: f64,
    /// Greatest translational stiffness.
    pub greatest: f64,
    /// Mean of the three principal stiffnesses.
    pub mean: f64,
    /// Geometric mean of the three principal stiffnesses.
    pub geometric_mean: f64,
    /// 3 over the trace of the block: harmonic mean.
    pub trace: f64,
    /// 1/C in the polar, azimuth and radial direction, all else free.
    pub polar: f64,
    /// As `polar`, along azimuth.
    pub azimuth: f64,
    /// As `polar`, radially.
    pub radial: f64,
    /// λ_min/λ_max of the tangential 2×2 block.
    pub isotropy: f64,
    /// Softest direction, unit, local frame (polar, azimuth, radial).
    pub softest: [f64; 3],
}

impl StiffnessScalars {
    /// Scalars of a 6×6 compliance, local frame.
    pub fn of(compliance: &Matrix6<f64>) -> Self {
        let block: Matrix3<f64> = compliance.fixed_view::<3, 3>(0, 0).into_owned();
        let eigen = block.symmetric_eigen();
        let (mut worst, mut best) = (0, 0);
        for k in 1..3 {
            if eigen.eigenvalues[k] > eigen.eigenvalues[worst] {
                worst = k;
            }
            if eigen.eigenvalues[k] < eigen.eigenvalues[best] {
                best = k;
            }
        }
        let principal = eigen.eigenvalues.map(|value| 1.0 / value);
        let tangential: Matrix2<f64> = compliance.fixed_view::<2, 2>(0, 0).into_owned();
        let tangential = tangential.symmetric_eigenvalues();
        let column = eigen.eigenvectors.column(worst);
        // One sign for a direction that has two: its largest part is positive.
        let largest = column.iamax();
        let sign = if column[largest] < 0.0 { -1.0 } else { 1.0 };
        Self {
            least: principal[worst],
            greatest: principal[best],
            mean: principal.sum() / 3.0,
            geometric_mean: principal.product().cbrt(),
            trace: 3.0 / block.trace(),
            polar: 1.0 / compliance[(0, 0)],
            azimuth: 1.0 / compliance[(1, 1)],
            radial: 1.0 / compliance[(2, 2)],
            isotropy: tangential.min() / tangential.max(),
            softest: [sign * column[0], sign * column[1], sign * column[2]],
        }
    }
}

/// The full result at a pose.
pub fn configuration_result(model: &Model, pose: &Pose) -> ConfigurationResult {
    let linkage = &model.kinematics.linkage;
    let passive = linkage
        .passive_joints()
        .map(|(_, joint)| {
            (
                joint.name.clone(),
                linkage.joint_angle(joint, &pose.configuration),
            )
        })
        .collect();
    let solved = model.structure.solve(&pose.configuration, &pose.frame);
    let few_digits = solved.as_ref().ok().and_then(SolvedStructure::few_digits);
    let compliance = solved
        .map(|solved| solved.tip_compliance())
        .map_err(|error| error.to_string());
    let holding_torque = if model.holding.moving_mass() + model.holding.tool_mass() > 0.0 {
        model
            .holding
            .torque_map(linkage, &pose.configuration)
            .map(|map| {
                let torque = map * model.gravity_in_base;
                [torque[0], torque[1]]
            })
            .map_err(|error| error.to_string())
    } else {
        Err("no mass is given".to_string())
    };
    ConfigurationResult {
        active: pose.active,
        direction: pose.direction,
        passive,
        roll: pose.roll,
        lci: local_conditioning_index(&pose.jacobian),
        transmission: transmission_at(&model.kinematics, pose),
        compliance,
        few_digits,
        holding_torque,
    }
}
