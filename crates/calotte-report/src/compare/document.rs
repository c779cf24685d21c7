//! A comparison for programs.

use calotte::brief::Brief;
use calotte_document::analysis::Analysis;
use calotte_document::comparison::{ComparedDesign, ComparisonDocument};
use calotte_document::run::NoOptions;

use super::column::{Column, safety_of};
use super::measured::Role;
use crate::found::FitRead;
use crate::input::{Input, provenance};
use crate::results::analysis_document;
use crate::safety;

/// All designs with the run.
pub fn document(
    columns: &[Column],
    brief: Option<&Input<Brief>>,
    fit: Option<&Input<FitRead>>,
) -> ComparisonDocument {
    let designs = columns
        .iter()
        .map(|column| ComparedDesign {
            analysis: Analysis {
                configurations: None,
                rings: None,
                ..analysis_document(&column.design.value, &column.analysis)
            },
            file: column.design.path.to_string_lossy().to_string(),
            measuring: column
                .measured
                .as_ref()
                .zip(fit)
                .map(|(measured, fit)| measured.document(&fit.value)),
        })
        .collect();
    let mut inputs: Vec<(&str, &std::path::Path, &str)> = columns
        .iter()
        .filter(|c| {
            c.measured
                .as_ref()
                .is_none_or(|m| m.role == Role::Predicted)
        })
        .map(|c| ("design", c.design.path.as_path(), c.design.sha256.as_str()))
        .collect();
    if let Some(fit) = fit {
        inputs.push(("fit", fit.path.as_path(), fit.sha256.as_str()));
    }
    if let Some(brief) = brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    ComparisonDocument {
        designs,
        run: provenance(&inputs, NoOptions {}, &[]),
        safety: safety::document(safety_of(
            columns,
            brief.is_none_or(|brief| brief.value.people_near),
        )),
    }
}
