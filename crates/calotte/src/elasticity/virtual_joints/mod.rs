//! Virtual joints: the second opinion on the elastic structure.
//!
//! Every arc between two joints is rigid and carries springs at one place; the
//! loops close in space, and the tool gives way by the motions that closure
//! leaves. It shares with the reference ([`super::structure`]) the constants of
//! the section and, for the check of assembly, the arc's end compliance;
//! assembly and solution are its own. Joints are rigid and drives locked: joint
//! stiffness, holding stiffness of the drives and what the base stands on are
//! left out, released directions are kept. Parts: `springs` (what an arc
//! carries), `loops` (spanning tree and closure), `dense` (their algebra),
//! [`comparison`] (beside the reference and the hand estimate, in words).

pub mod comparison;
mod dense;
mod loops;
mod springs;

use nalgebra::{DMatrix, Matrix6, Matrix6xX, SMatrix, Vector3};
use thiserror::Error;

use crate::design::Design;
use crate::linkage::{Configuration, Linkage};
use crate::number::shown::degrees;
use crate::sphere::LocalFrame;

use super::arc::BarStiffness;
use super::error::ElasticityError;

pub use comparison::{
    ASSEMBLY_TOLERANCE, Comparison, ComparisonRow, Entry, TipEntries, compare, hand_estimate,
};

/// What stands for the elasticity of an arc.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VirtualJointModel {
    /// Three torsional springs at the middle of the arc's flexible length
    /// l = R·φ: about the normal of the arc's plane, k = E·I_n/l; about the
    /// radial direction, k = E·I_r/l; along the arc, k = G·J/l (I_n for bending
    /// in the plane, I_r out of it).
    MidArcSprings,
    /// A full 6×6 spring at the arc's end, the arc's exact end compliance: the
    /// check of assembly, equal to the structure with rigid joints.
    EndOfArcSprings,
    /// The hand estimate (common practice, no source): one torsional spring per
    /// arc where it leaves its inner joint, about the normal of the arc's plane.
    /// Its constant k = (R·sin φ)²/C_rr gives the arc clamped there its radial
    /// end deflection under a radial force at the end, by bending in the arc's
    /// plane alone. Bending out of the plane and torsion have no spring, so the
    /// matrix's azimuth row and column are no estimate of anything; read it
    /// through [`hand_estimate`], which says so.
    HandEstimate,
}

/// Why the virtual joint model gives no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum VirtualJointError {
    /// No flexible arc is left, or the linkage can move with its drives held.
    #[error(transparent)]
    Elasticity(#[from] ElasticityError),
    /// A station hangs on nothing.
    #[error("{body}, station {station}: no arc or joint ties it to the ground")]
    NotTied {
        /// Name of the body.
        body: String,
        /// Station, from 1.
        station: usize,
    },
    /// The arc's compliance is no positive number.
    #[error(
        "{body}: compliance of its arc of {} is not positive; check the section's stiffnesses and the arc angle",
        degrees(.angle)
    )]
    ArcCompliance {
        /// Name of the body.
        body: String,
        /// Flexible angle of the arc, rad.
        angle: f64,
    },
}

/// Jacobian of the tool tip by active joints and by springs.
#[derive(Debug, Clone, PartialEq)]
pub struct SpringJacobian {
    /// Motion of the tip by the active joint angles with all springs at rest,
    /// 6×2, rows [u; φ], local frame (polar, azimuth, radial), m and rad per rad.
    pub drives: SMatrix<f64, 6, 2>,
    /// Motion of the tip by the independent motions of springs and passive
    /// joints that closure leaves, drives locked, 6×k, rows as above: J N. The
    /// motions are scaled to a strain energy of half their squared amounts.
    pub springs: Matrix6xX<f64>,
    /// Springs, one for each direction that yields.
    pub spring_count: usize,
    /// Passive joints, and released directions of any joint.
    pub passive_count: usize,
    /// Independent loops, six closure rows each.
    pub loop_count: usize,
}

impl SpringJacobian {
    /// Compliance at the tool tip, 6×6, SI, rows [u; φ], columns [F; M], local
    /// frame: C = J N (Nₛᵀ diag(k) Nₛ)⁻¹ Nᵀ Jᵀ, whose middle factor is the
    /// identity in the motions used here.
    pub fn compliance(&self) -> Matrix6<f64> {
        let mut compliance = Matrix6::zeros();
        for column in self.springs.column_iter() {
            compliance += column * column.transpose();
        }
        compliance
    }
}

/// Compliance at the tool tip by virtual joints, 6×6, SI, rows [u; φ], columns
/// [F; M], local frame (polar, azimuth, radial); drives locked, joints rigid.
///
/// In a scissor linkage in the middle of its reach the mid-arc springs come
/// close in the radial direction and are 7 to 50 % too stiff in polar and
/// azimuth; [`compare`] shows by how much at a given configuration.
///
/// # Arguments
/// - `design`: sizes, section and material; its joint stiffness, holding
///   stiffness of the drives and support are left out.
/// - `linkage`: the bodies and joints of `design`.
/// - `configuration`: one rotation per body, closed.
/// - `frame`: local frame at the tool, base frame.
/// - `model`: what stands for an arc.
///
/// # Errors
/// [`VirtualJointError`]; with [`ElasticityError::Singular`] in it at a type 2
/// singularity.
///
/// # Theory
/// See [`spring_jacobian`].
///
/// # Example
/// ```
/// # use calotte::design::*;
/// # use calotte::stock::{Material, Section};
/// # use calotte::elasticity::virtual_joints::{VirtualJointModel, virtual_joint_compliance};
/// # use calotte::kinematics::Kinematics;
/// # let degree = std::f64::consts::PI / 180.0;
/// # let design = Design {
/// #     title: String::new(),
/// #     family: Family::scissor_linkage(ScissorLinkage::uniform(2, 23.5 * degree)),
/// #     joint_radius: 0.15,
/// #     section: Section::Rectangle { tangential: 0.012, radial: 0.006 },
/// #     material: Material::shipped("aluminium 6061-T6").ok_or("not shipped")?,
/// #     short_bars: None,
/// #     own: Default::default(),
/// #     joints: JointProperties {
/// #         stiffness: None, parts: None, boss_diameter: 0.0, mass: 0.0, releases: vec![],
/// #     },
/// #     layers: None,
/// #     drives: Drives {
/// #         layout: DriveLayout::TwoBars, ratio: [1.0, 1.0],
/// #         range: DriveRange::default(), each: Default::default(),
/// #     },
/// #     tool: Tool {
/// #         carried_by: ToolCarrier::Left, tip_radius: 0.15, mass: None,
/// #         centre_of_mass_radius: 0.15, grip_radius: None, bracket_arc: 0.0, roll: 0.0, envelope: None,
/// #     },
/// #     mount: Mount::default(),
/// # };
/// // `design`: two stages of 23.5°, aluminium bars of 12 × 6 mm at 150 mm; opening 100°.
/// let kinematics = Kinematics::new(&design)?;
/// let pose = kinematics.forward_from_mechanism([0.0, 100.0 * degree])?;
/// let compliance = virtual_joint_compliance(
///     &design,
///     &kinematics.linkage,
///     &pose.configuration,
///     &pose.frame,
///     VirtualJointModel::MidArcSprings,
/// )?;
/// assert!((compliance[(0, 0)] - 22.7605e-6).abs() < 1e-10); // m/N
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn virtual_joint_compliance(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
    model: VirtualJointModel,
) -> Result<Matrix6<f64>, VirtualJointError> {
    Ok(spring_jacobian(design, linkage, configuration, frame, model)?.compliance())
}

/// Jacobian of the tool tip by active joints and springs, [J_drive, J N].
///
/// Arguments and errors as for [`virtual_joint_compliance`].
///
/// # Theory
/// Unknowns are spring motions s and passive joint angles p, as twists at the
/// remote centre: a hinge of axis x through point P is (P × x, x). Each loop
/// closes in space, six rows: Lₛ s + L_p p = 0. Tool twist along the chain that
/// carries the tool: t = Jₛ s + J_p p. With N a basis of the null space of
/// [Lₛ L_p], J N is the Jacobian by springs. Springs are measured in √k·s, so
/// that strain energy is half their squared norm, and lengths over the joint
/// radius. With the springs at rest the drives q move the passive joints by
/// L_p p = −L_q q. Redundant loops only repeat rows.
pub fn spring_jacobian(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
    model: VirtualJointModel,
) -> Result<SpringJacobian, VirtualJointError> {
    spring_jacobian_of_bars(design, linkage, configuration, frame, model, &|bar| *bar)
}

/// [`spring_jacobian`] with what becomes of the design's bars in their place.
fn spring_jacobian_of_bars(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
    model: VirtualJointModel,
    bar: &dyn Fn(&BarStiffness) -> BarStiffness,
) -> Result<SpringJacobian, VirtualJointError> {
    let chains = loops::chains(design, linkage, configuration, model, bar)?;
    let (springs, passive) = (chains.spring_count, chains.passive_count);
    let moving = springs + passive;
    let free = dense::null_space(&chains.closure.columns(0, moving).into_owned());
    // A motion that works no spring is one the linkage makes with its drives held.
    let unit_energy =
        dense::orthonormal_in_rows(&free, springs).ok_or(ElasticityError::Singular)?;
    let tip = configuration.rotations[linkage.tool.body]
        * (linkage.tool.direction * design.tool.tip_radius);
    let to_tip = tip_from_centre(&tip, design.joint_radius, frame);
    let by_springs = to_tip * (chains.tool.columns(0, moving) * unit_energy);
    let by_driven = chains.tool.columns(moving, 2)
        + chains.tool.columns(springs, passive) * passive_by_driven(&chains)?;
    let by_driven = SMatrix::<f64, 6, 2>::from_fn(|row, column| by_driven[(row, column)]);
    Ok(SpringJacobian {
        drives: to_tip * by_driven * linkage.driven_from_active,
        springs: by_springs * chains.spring_scale,
        spring_count: springs,
        passive_count: passive,
        loop_count: chains.closure.nrows() / 6,
    })
}

/// Passive joint angles by the driven joints' angles with the springs at rest.
fn passive_by_driven(chains: &loops::Chains) -> Result<DMatrix<f64>, ElasticityError> {
    let (springs, passive) = (chains.spring_count, chains.passive_count);
    let by_passive = chains.closure.columns(springs, passive).into_owned();
    let by_driven = chains.closure.columns(springs + passive, 2).into_owned();
    dense::least_squares(&by_passive, &-by_driven).ok_or(ElasticityError::Singular)
}

/// Motion [u; φ] of the tip in the local frame from a twist at the remote
/// centre, base frame, with velocities over the joint radius, 6×6.
fn tip_from_centre(tip: &Vector3<f64>, radius: f64, frame: &LocalFrame) -> Matrix6<f64> {
    let to_local = frame.rotation().transpose();
    let mut map = Matrix6::zeros();
    map.fixed_view_mut::<3, 3>(0, 0)
        .copy_from(&(to_local * radius));
    // u = v + ω × tip = v − tip × ω.
    map.fixed_view_mut::<3, 3>(0, 3)
        .copy_from(&(-to_local * tip.cross_matrix()));
    map.fixed_view_mut::<3, 3>(3, 3).copy_from(&to_local);
    map
}
