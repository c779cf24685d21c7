//! The prototype that a design follows or is compared with: what it was, what measuring told
//! of it, what of it stays.

use calotte::analysis::{Analysis, Requirements};
use calotte::brief::{Brief, Kept};
use calotte::design::{Design, JointProperties};
use calotte::kinematics::{Kinematics, Margins};
use calotte::measurement::weights::WeightParameter;
use calotte::measurement::{
    PhysicalModel, PointingError, calibrated, pointing_error, readings_over, values_of_next,
};
use calotte::search::is_kept;
use calotte::uncertain::Corner;
use calotte_document::comparison::PointingErrorDocument;
use calotte_document::design::{Follows, MeasuredValue};
use calotte_format::units::{degrees, radians};
use calotte_format::words;

use crate::error::ReportError;
use crate::found::{FitRead, weight_in_unit, weight_name_with_unit};
use crate::input::{Input, file_name};
use crate::results::direction_document;
use crate::sides::{Mean, words_of};

/// A built prototype with what stays of it.
pub struct Prototype {
    /// Its design.
    pub design: Input<Design>,
    /// What measuring told; `None` without.
    pub fit: Option<Input<FitRead>>,
    /// What stays; its design is the prototype as measured.
    pub kept: Kept,
}

/// A design as it was found.
pub fn as_found(design: &Design, fit: &FitRead) -> Result<Design, ReportError> {
    let model = model_of(design)?;
    Ok(calotte_format::tidied(&calibrated(
        design,
        &model,
        &fit.values,
        &fit.told_by_weights,
    )))
}

fn model_of(design: &Design) -> Result<PhysicalModel, ReportError> {
    PhysicalModel::new(&design.at_corner(Corner::Nominal))
        .map_err(|error| ReportError::new(error.to_string()))
}

/// Steps over the working range for the pointing error, degrees of the first and the second
/// mechanism angle: those of the table of corrections.
pub const STEPS_DEG: [f64; 2] = [15.0, 5.0];

/// Where pointing errors are looked at.
#[derive(Debug, Clone, Copy)]
pub struct Over {
    /// Ends of the working range's second mechanism angle, rad.
    pub within: [f64; 2],
    /// Margins kept in it.
    pub margins: Margins,
}

impl Over {
    /// The working range of an analysis with the margins of its elastic part; `None` without
    /// a working range.
    pub fn of(analysis: &Analysis, requirements: &Requirements) -> Option<Self> {
        let range = analysis.working_range.as_ref()?;
        Some(Self {
            within: range.second,
            margins: requirements.elastic_margins,
        })
    }
}

/// The pointing error of a next prototype with the kept parts as they were found and all
/// others as designed, over the working range; `None` where nothing was measured.
pub fn pointing_of_next(
    design: &Design,
    prototype: &Design,
    fit: &FitRead,
    kept: &Kept,
    over: Option<Over>,
) -> Result<Option<PointingError>, ReportError> {
    let (next, found) = (model_of(design)?, model_of(prototype)?);
    let values = values_of_next(
        &next,
        &found,
        &fit.values,
        |body| is_kept(kept, body),
        kept.ground,
    );
    pointing(design, &next, &values, over)
}

/// The pointing error of the prototype as it was found.
pub fn pointing_found(
    design: &Design,
    fit: &FitRead,
    over: Option<Over>,
) -> Result<Option<PointingError>, ReportError> {
    pointing(design, &model_of(design)?, &fit.values, over)
}

fn pointing(
    design: &Design,
    model: &PhysicalModel,
    values: &[f64],
    over: Option<Over>,
) -> Result<Option<PointingError>, ReportError> {
    let Some(over) = over else {
        return Ok(None);
    };
    let readings = readings_over(design, over.within, over.margins, STEPS_DEG.map(radians))
        .map_err(|error| ReportError::new(error.to_string()))?;
    Ok(pointing_error(model, values, readings))
}

impl Prototype {
    /// Bodies that stay, by name.
    fn bodies(&self) -> Vec<String> {
        let Ok(kinematics) = Kinematics::new(&self.design.value) else {
            return Vec::new();
        };
        let bodies = kinematics.linkage.bodies.iter();
        bodies
            .filter(|body| is_kept(&self.kept, &body.name))
            .map(|body| body.name.clone())
            .collect()
    }

    /// What weights told, in words.
    fn told_words(&self) -> Vec<String> {
        let fit = self.fit.as_ref();
        let told = fit.map_or(&[][..], |fit| fit.value.told_by_weights.as_slice());
        told.iter()
            .map(|one| {
                let value = weight_in_unit(one.parameter, one.value);
                let error = weight_in_unit(one.parameter, one.standard_error);
                format!(
                    "{} {} ± {}",
                    weight_name_with_unit(one.parameter),
                    words::number(value, 3),
                    words::number(error, 3)
                )
            })
            .collect()
    }

    /// Where this prototype comes in, for the summary.
    pub fn words(&self, pointing: Option<&PointingError>, tip_radius: f64) -> Vec<String> {
        let mut parts = self.bodies();
        if self.kept.ground {
            parts.push("mount and drives".to_string());
        }
        let kept = if parts.is_empty() {
            "keeps no part".to_string()
        } else {
            format!("keeps {}", parts.join(", "))
        };
        let mut sentences = vec![format!("{}: {kept}", file_name(&self.design.path))];
        if let Some(fit) = &self.fit {
            let told = self.told_words();
            let told = match (told.is_empty(), fit.value.stations.is_empty()) {
                (true, true) => "no weights were hung on it".to_string(),
                (true, false) => "the weights hung on it identified nothing".to_string(),
                (false, _) => told.join(", "),
            };
            sentences.push(format!("as measured ({}): {told}", file_name(&fit.path)));
        }
        if pointing.is_some_and(|pointing| pointing.max == 0.0) {
            sentences.push(
                "the points identified nothing of the parts kept: their pointing error is not known"
                    .to_string(),
            );
        } else if let Some(pointing) = pointing {
            sentences.push(format!(
                "pointing error against its own model {} mm (maximum {}) at the tip until it is calibrated, new parts taken as exact",
                words::three(pointing.rms * tip_radius * 1e3),
                words::three(pointing.max * tip_radius * 1e3)
            ));
        }
        sentences
    }

    /// The options that name it and what stays of it, its files in a folder `prototype`.
    pub fn options(&self) -> String {
        let mut kept: Vec<String> = Vec::new();
        match (self.kept.ground, self.kept.base) {
            (_, true) => kept.push("base".to_string()),
            (true, false) => kept.push("ground".to_string()),
            (false, false) => {}
        }
        kept.extend(self.kept.bars.iter().map(|bar| format!("bars:{bar}")));
        let mut options = format!(" --from prototype/{}", file_name(&self.design.path));
        if !kept.is_empty() {
            options.push_str(&format!(" --keep {}", kept.join(",")));
        }
        if let Some(fit) = &self.fit {
            options.push_str(&format!(" --use prototype/{}", file_name(&fit.path)));
        }
        options
    }

    /// What a user should know before they keep or believe it.
    pub fn cautions(&self, brief: &Brief) -> Vec<String> {
        let differ = self.kept.design.family.side_differences();
        let kept = differ.iter().find(|one| is_kept(&self.kept, &one.bars[0]));
        let most = kept.map(|most| words_of(most, Mean::Next));
        let mut cautions: Vec<String> = most.into_iter().collect();
        let Some(fit) = &self.fit else {
            cautions.push(
                "the prototype is taken as designed: give --use fit.json for what was measured"
                    .to_string(),
            );
            return cautions;
        };
        for name in &fit.value.off {
            let body = name.split('.').next().unwrap_or_default();
            if is_kept(&self.kept, body) {
                cautions.push(format!(
                    "{body} is kept although {name} deviates: it is taken as it was found"
                ));
            }
        }
        let told = |wanted: &[WeightParameter]| {
            let list = &fit.value.told_by_weights;
            list.iter().any(|one| wanted.contains(&one.parameter))
        };
        let joints = [WeightParameter::JointTilt, WeightParameter::JointRadial];
        if told(&joints) && !brief.choice.bearings.is_empty() {
            cautions.push("the measured over the predicted stiffness of the joints is taken for every bearing of [choice]; only the prototype's was measured".to_string());
        }
        let by_numbers =
            |joints: &JointProperties| joints.stiffness.filter(|_| joints.parts.is_none());
        let found = by_numbers(&self.kept.design.joints);
        let asked = brief.joints.as_ref().and_then(by_numbers);
        // Both carry the same factors: they differ where the numbers themselves do.
        if told(&joints)
            && found
                .zip(asked)
                .is_some_and(|(found, asked)| found != asked)
        {
            cautions.push("the brief's joints are others than the prototype's: what was found of those is taken for them as a factor".to_string());
        }
        let own = &self.design.value.material.name;
        let materials = brief.choice.materials.iter().map(|m| m.name.as_str());
        let (same, others): (Vec<&str>, Vec<&str>) = materials.partition(|name| name == own);
        if told(&[WeightParameter::BarModulus]) && !others.is_empty() {
            let others = others.join(", ");
            cautions.push(if same.is_empty() {
                format!(
                    "{own} was measured, the brief offers {others} alone, which is as published"
                )
            } else {
                format!("{own} is taken as measured, {others} as published")
            });
        }
        cautions
    }

    /// For `results.json`.
    pub fn document(&self, pointing: Option<&PointingError>, tip_radius: f64) -> Follows {
        let fit = self.fit.as_ref().map(|fit| &fit.value);
        let told = fit.map_or(&[][..], |fit| fit.told_by_weights.as_slice());
        Follows {
            kept: self.bodies(),
            ground_kept: self.kept.ground,
            measured_by_points: fit.map(|fit| fit.told_by_points.clone()),
            measured_by_weights: told
                .iter()
                .map(|one| MeasuredValue {
                    name: weight_name_with_unit(one.parameter),
                    value: weight_in_unit(one.parameter, one.value),
                    standard_error: weight_in_unit(one.parameter, one.standard_error),
                })
                .collect(),
            pointing_error: pointing.map(|pointing| pointing_document(pointing, tip_radius)),
        }
    }
}

/// A pointing error, at the tip and as an angle.
pub fn pointing_document(pointing: &PointingError, tip_radius: f64) -> PointingErrorDocument {
    PointingErrorDocument {
        configurations: pointing.count,
        rms_mm: pointing.rms * tip_radius * 1e3,
        max_mm: pointing.max * tip_radius * 1e3,
        rms_deg: degrees(pointing.rms),
        max_deg: degrees(pointing.max),
        worst_at_deg: direction_document(pointing.worst_at),
    }
}
