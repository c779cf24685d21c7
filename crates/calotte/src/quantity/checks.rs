//! Which shipped checks stand behind each quantity: ids of rows of `calotte verify`.
//!
//! They check the formulas that a quantity is made of, not the design at hand. A test of the
//! checks makes sure that every quantity has one and that all of them are there.

use super::table::Quantity;

impl Quantity {
    /// Ids of the checks behind it.
    pub const fn checks(self) -> &'static [&'static str] {
        match self {
            Quantity::Coverage => &["D01-2", "D02", "D04", "L14-from", "L14-to"],
            Quantity::Gci => &["G04-30-GCI", "L10", "L13", "L15-opening"],
            Quantity::GciReached => &["G03-area", "G05-3-area"],
            Quantity::LciMin => &["G04-30-minimum", "S15-60-LCI", "L05-1", "S22-closed-LCI"],
            Quantity::Reach => &["S13-reach", "L14-to", "S07-reach"],
            Quantity::Stiffness => &["F02-60-joints-2", "F02-60-rigid-2", "C02-3-rr"],
            Quantity::StiffnessMean
            | Quantity::StiffnessGeometricMean
            | Quantity::StiffnessTrace
            | Quantity::Isotropy => &["F01-2-polar", "F01-2-azimuth", "F01-2-radial"],
            Quantity::StiffnessPolar => &["F01-2-polar", "T04-polar"],
            Quantity::StiffnessAzimuth => &["F01-2-azimuth", "F04-20", "T04-azimuth"],
            Quantity::StiffnessRadial => &["F01-2-radial", "T04-radial"],
            Quantity::ContactDeflection => {
                &["F01-2-polar-radial", "T04-polar-radial", "B2-springs-rr"]
            }
            Quantity::Sag => &["C14", "F01-2-polar", "M01"],
            Quantity::CentreShift => &["F05-worst", "F05-3"],
            Quantity::ToolTilt => &["F05-1", "F05-2", "C02-3-Rz-Rz"],
            Quantity::SagCentreShift | Quantity::SagToolTilt => &["F05-3", "C14", "M01"],
            Quantity::MovingMass => &["M01"],
            Quantity::LoadHoldingTorque => &["T14-0", "S13-det"],
            Quantity::ContactStiffness => &["F01-2-radial", "T04-radial"],
            Quantity::HoldingTorque => &["T14-0", "T14-60", "T14-90"],
            Quantity::SafetyFactor => &["C10-2", "C13-4-in", "E17-bending"],
            Quantity::BearingStaticSafety => &["E06-axial", "E06-safety"],
            Quantity::TransmissionAngle => &["L20", "S05-chi"],
            Quantity::ToolRollRange => &["S24-range", "S24-minimum"],
            Quantity::Wall => &["W01"],
            Quantity::Land => &["W02"],
            Quantity::Joints => &["K10-2-10", "K06-2-count"],
        }
    }
}
