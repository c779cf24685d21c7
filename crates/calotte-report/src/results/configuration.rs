//! One configuration.

use calotte::analysis::{ConfigurationResult, StiffnessScalars};
use calotte_document::configuration::ConfigurationDocument;
use calotte_format::units::degrees;

use super::common::{direction_document, scalars};
use crate::notes::few_digits_words;

/// One configuration of the agreed list.
pub fn configuration_document(result: &ConfigurationResult) -> ConfigurationDocument {
    let compliance = result.compliance.as_ref();
    ConfigurationDocument {
        joints_deg: result.active.map(degrees),
        direction_deg: direction_document(result.direction),
        passive_deg: result
            .passive
            .iter()
            .map(|(name, angle)| (name.clone(), degrees(*angle)))
            .collect(),
        roll_deg: degrees(result.roll),
        lci: result.lci,
        transmission_angle_deg: result.transmission.map(|(angle, _)| degrees(angle)),
        compliance: compliance.ok().map(|matrix| {
            matrix
                .row_iter()
                .map(|row| row.iter().copied().collect())
                .collect()
        }),
        compliance_reason: compliance.err().cloned(),
        precision: result.few_digits.as_ref().map(few_digits_words),
        stiffness: compliance
            .ok()
            .map(|matrix| scalars(&StiffnessScalars::of(matrix))),
        holding_torque_nm: result.holding_torque.as_ref().ok().copied(),
        holding_torque_reason: result.holding_torque.as_ref().err().cloned(),
        cross_check: None,
        parts: None,
        clearing: None,
    }
}
