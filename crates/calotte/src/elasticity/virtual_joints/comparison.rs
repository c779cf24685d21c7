//! The reference, the virtual joints and the hand estimate side by side.

use nalgebra::{Matrix6, Vector6};

use crate::design::Design;
use crate::elasticity::error::ElasticityError;
use crate::elasticity::structure::Structure;
use crate::linkage::{Configuration, Linkage};
use crate::sphere::LocalFrame;

use super::springs::bending_only;
use super::{
    VirtualJointError, VirtualJointModel, spring_jacobian_of_bars, virtual_joint_compliance,
};

/// How near full springs at the arcs' ends come to the reference when both are right, 1.
pub const ASSEMBLY_TOLERANCE: f64 = 1e-8;

/// Entry of the tip's force–displacement block that is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry {
    /// Polar displacement under a polar force.
    Polar,
    /// Azimuth displacement under an azimuth force.
    Azimuth,
    /// Radial displacement under a radial force.
    Radial,
    /// Polar displacement under a radial force, and the other way round.
    PolarRadial,
}

impl Entry {
    /// All entries in the order of a table.
    pub const ALL: [Entry; 4] = [
        Entry::Polar,
        Entry::Azimuth,
        Entry::Radial,
        Entry::PolarRadial,
    ];

    /// The entry's name as results print it.
    pub fn name(self) -> &'static str {
        match self {
            Entry::Polar => "polar",
            Entry::Azimuth => "azimuth",
            Entry::Radial => "radial",
            Entry::PolarRadial => "polar-radial",
        }
    }

    /// The entry of a 6×6 compliance in the local frame, m/N.
    pub fn of(self, compliance: &Matrix6<f64>) -> f64 {
        match self {
            Entry::Polar => compliance[(0, 0)],
            Entry::Azimuth => compliance[(1, 1)],
            Entry::Radial => compliance[(2, 2)],
            Entry::PolarRadial => compliance[(0, 2)],
        }
    }
}

/// Compliances at the tool tip that the hand estimate speaks of, m/N, local frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TipEntries {
    /// Polar displacement under a polar force.
    pub polar: f64,
    /// Azimuth displacement under an azimuth force; `None` is "not represented".
    pub azimuth: Option<f64>,
    /// Radial displacement under a radial force.
    pub radial: f64,
    /// Polar displacement under a radial force.
    pub polar_radial: f64,
}

impl TipEntries {
    /// One of them; `None` is "not represented".
    pub fn entry(&self, entry: Entry) -> Option<f64> {
        match entry {
            Entry::Polar => Some(self.polar),
            Entry::Azimuth => self.azimuth,
            Entry::Radial => Some(self.radial),
            Entry::PolarRadial => Some(self.polar_radial),
        }
    }
}

/// One entry by every model, m/N.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ComparisonRow {
    /// Which entry.
    pub entry: Entry,
    /// By the structure with rigid joints, locked drives and rigid base.
    pub reference: f64,
    /// By three springs at the middle of every arc.
    pub virtual_joints: f64,
    /// By one spring per arc; `None` is "not represented".
    pub hand_estimate: Option<f64>,
    /// By the reference without shear and axial deformation of the bars.
    pub without_shear_and_axial: f64,
    /// Virtual joints less reference, over the reference, 1; negative on the
    /// first three entries is too stiff. `None` where the reference is nought
    /// beside its neighbours.
    pub virtual_joints_difference: Option<f64>,
    /// Hand estimate less reference, over the reference, 1; `None` as above, or
    /// where nothing is represented.
    pub hand_estimate_difference: Option<f64>,
}

impl ComparisonRow {
    /// How much stiffer than the reference the virtual joints are in this
    /// direction, 1: ratio of the stiffnesses 1/C less 1. `None` for the
    /// polar-radial entry, which is no stiffness, and where they do not yield.
    pub fn virtual_joints_too_stiff(&self) -> Option<f64> {
        too_stiff(self.entry, self.virtual_joints_difference)
    }

    /// Whether the virtual joints lie in their usual band: radial within 15 %,
    /// polar and azimuth 7 to 50 % too stiff. `None` for the polar-radial entry.
    ///
    /// The band is that of two and three stages in the middle of their reach.
    /// With bars opened wide, at small polar angles, polar stiffness is
    /// overstated by far more (66 to 161 % at 30° for 1 to 6 stages of 94° in
    /// all, aluminium of 12 × 6 mm at 150 mm), near full reach by less.
    pub fn as_expected(&self) -> Option<bool> {
        let too_stiff = self.virtual_joints_too_stiff()?;
        match self.entry {
            Entry::Polar | Entry::Azimuth => Some((0.07..=0.50).contains(&too_stiff)),
            Entry::Radial => Some(self.virtual_joints_difference?.abs() <= 0.15),
            Entry::PolarRadial => None,
        }
    }
}

/// Ratio of stiffnesses less 1 from a relative difference of compliances;
/// `None` for what is no stiffness and for a model without any compliance.
fn too_stiff(entry: Entry, difference: Option<f64>) -> Option<f64> {
    let ratio = 1.0 + difference?;
    (entry != Entry::PolarRadial && ratio > 1e-9).then(|| 1.0 / ratio - 1.0)
}

/// The models side by side at one configuration.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// One row per entry, in the order of [`Entry::ALL`].
    pub rows: [ComparisonRow; 4],
    /// Check of assembly: greatest difference of the full 6×6 springs from the
    /// reference, over √(Cᵢᵢ Cⱼⱼ), 1; above [`ASSEMBLY_TOLERANCE`] the assembly
    /// is wrong or the configuration next to singular.
    pub assembly_difference: f64,
    /// What the numbers say, in words.
    pub explanation: String,
}

impl Comparison {
    /// The row of an entry.
    pub fn row(&self, entry: Entry) -> &ComparisonRow {
        let index = match entry {
            Entry::Polar => 0,
            Entry::Azimuth => 1,
            Entry::Radial => 2,
            Entry::PolarRadial => 3,
        };
        &self.rows[index]
    }
}

/// The single-spring hand estimate at the tool tip, m/N (common practice, no
/// source): it represents polar and radial; azimuth is not represented, since
/// no arc can bend out of its plane or twist.
///
/// Arguments and errors as for [`virtual_joint_compliance`]; the spring is
/// defined at [`VirtualJointModel::HandEstimate`].
pub fn hand_estimate(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
) -> Result<TipEntries, VirtualJointError> {
    let compliance = virtual_joint_compliance(
        design,
        linkage,
        configuration,
        frame,
        VirtualJointModel::HandEstimate,
    )?;
    Ok(TipEntries {
        polar: Entry::Polar.of(&compliance),
        azimuth: None,
        radial: Entry::Radial.of(&compliance),
        polar_radial: Entry::PolarRadial.of(&compliance),
    })
}

/// Sets the virtual joints and the hand estimate beside the reference.
///
/// The reference is the structure of the same design with rigid joints, locked
/// drives and rigid base, so that only the model of the arcs differs; releases
/// and bosses are those of the design.
///
/// # Arguments
/// As for [`virtual_joint_compliance`].
///
/// # Errors
/// [`VirtualJointError`] of any of the models.
pub fn compare(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
) -> Result<Comparison, VirtualJointError> {
    let by = |model| virtual_joint_compliance(design, linkage, configuration, frame, model);
    let reference = rigid_joint_compliance(design, linkage, configuration, frame)?;
    let virtual_joints = by(VirtualJointModel::MidArcSprings)?;
    let assembled = by(VirtualJointModel::EndOfArcSprings)?;
    let hand = hand_estimate(design, linkage, configuration, frame)?;
    let bending = spring_jacobian_of_bars(
        design,
        linkage,
        configuration,
        frame,
        VirtualJointModel::EndOfArcSprings,
        &|bar| bending_only(bar, design.joint_radius),
    )?
    .compliance();
    // A coupling of round-off has no meaningful ratio.
    let floor = 1e-9 * (reference[(0, 0)] * reference[(2, 2)]).sqrt();
    let rows = Entry::ALL.map(|entry| {
        let exact = entry.of(&reference);
        let relative = |value: f64| (exact.abs() > floor).then(|| (value - exact) / exact);
        ComparisonRow {
            entry,
            reference: exact,
            virtual_joints: entry.of(&virtual_joints),
            hand_estimate: hand.entry(entry),
            without_shear_and_axial: entry.of(&bending),
            virtual_joints_difference: relative(entry.of(&virtual_joints)),
            hand_estimate_difference: hand.entry(entry).and_then(relative),
        }
    });
    let assembly_difference = scaled_difference(&assembled, &reference);
    Ok(Comparison {
        explanation: explain(&rows, assembly_difference, design.family.stages().is_some()),
        rows,
        assembly_difference,
    })
}

/// The reference with rigid joints, locked drives and rigid base.
fn rigid_joint_compliance(
    design: &Design,
    linkage: &Linkage,
    configuration: &Configuration,
    frame: &LocalFrame,
) -> Result<Matrix6<f64>, ElasticityError> {
    let mut rigid = design.clone();
    rigid.make_joints_rigid();
    rigid.drives.each = Default::default();
    rigid.mount.support = None;
    let structure = Structure::new(&rigid, linkage)?;
    let solved = structure.solve(configuration, frame)?;
    Ok(solved.tip_compliance())
}

/// Greatest |Δᵢⱼ|/√(Cᵢᵢ Cⱼⱼ).
fn scaled_difference(compliance: &Matrix6<f64>, reference: &Matrix6<f64>) -> f64 {
    let scale = Vector6::from_fn(|i, _| reference[(i, i)].sqrt().recip());
    let scale = Matrix6::from_diagonal(&scale);
    (scale * (compliance - reference) * scale).amax()
}

/// What the numbers say, in words.
fn explain(
    rows: &[ComparisonRow; 4],
    assembly_difference: f64,
    more_stages_possible: bool,
) -> String {
    let stiffnesses = &rows[..3];
    let listed = |of: &dyn Fn(&ComparisonRow) -> Option<String>| {
        let parts: Vec<String> = stiffnesses.iter().filter_map(of).collect();
        parts.join(", ")
    };
    let mut sentences = vec![
        format!(
            "Against the reference with rigid joints the virtual joints are {}.",
            listed(&|row| Some(in_words(row.entry, row.virtual_joints_difference?)))
        ),
        format!(
            "They leave out shear and axial deformation of the bars ({} of the reference's compliance) \
             and bending within the span beside the springs: with one spring at its middle a straight \
             cantilever yields L³/4EI where the beam yields L³/3EI.",
            listed(&|row| {
                let share = 1.0 - row.without_shear_and_axial / row.reference;
                Some(format!("{} in {}", percent(share), row.entry.name()))
            })
        ),
    ];
    if more_stages_possible {
        sentences.push(
            "Shear counts for more the shorter the arcs are, so the virtual joints overstate what \
             more stages bring."
                .to_string(),
        );
    }
    let outside = listed(&|row| {
        let name = row.entry.name().to_string();
        (row.as_expected() == Some(false)).then_some(name)
    });
    if !outside.is_empty() {
        sentences.push(format!(
            "Outside the usual band (radial within 15 %, polar and azimuth 7 to 50 % too stiff): \
             {outside}; above it where the bars are opened wide or the arcs are short, below it near \
             full reach."
        ));
    }
    sentences.push(format!(
        "The hand estimate, one spring per arc that bends in its own plane only (common practice, no \
         source), is {}; azimuth is not represented.",
        listed(&|row| Some(in_words(row.entry, row.hand_estimate_difference?)))
    ));
    sentences.push(format!(
        "Check of assembly: with full springs at the arcs' ends the same loops differ from the \
         reference by {assembly_difference:.0e} ({} 1e-8).",
        if assembly_difference <= ASSEMBLY_TOLERANCE {
            "within"
        } else {
            "not within"
        }
    ));
    sentences.push(
        "No requirement is judged by either of them: the differences are their errors, and \
         predictions stand on the reference's theory of beams."
            .to_string(),
    );
    sentences.join(" ")
}

/// A difference of compliance as a difference of stiffness, in words.
fn in_words(entry: Entry, difference: f64) -> String {
    let name = entry.name();
    match too_stiff(entry, Some(difference)) {
        Some(excess) if excess >= 0.0 => format!("{} too stiff in {name}", percent(excess)),
        Some(excess) => format!("{} too soft in {name}", percent(-excess)),
        None => format!("rigid in {name}"),
    }
}

fn percent(share: f64) -> String {
    let value = 100.0 * share;
    if value.abs() < 99.95 {
        format!("{value:.1} %")
    } else {
        format!("{value:.0} %")
    }
}
