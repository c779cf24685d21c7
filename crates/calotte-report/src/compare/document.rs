//! A comparison as one JSON object.

use calotte::brief::Brief;
use serde_json::{Value, json};

use super::column::Column;
use super::measured::Role;
use crate::found::FitRead;
use crate::input::{Input, provenance};
use crate::results::analysis_json;

/// All designs with the run.
pub fn document(
    columns: &[Column],
    brief: Option<&Input<Brief>>,
    fit: Option<&Input<FitRead>>,
) -> Value {
    let designs: Vec<Value> = columns
        .iter()
        .map(|column| {
            let mut object = analysis_json(&column.design.value, &column.analysis);
            object.remove("configurations");
            object.remove("rings");
            object.insert("file".to_string(), json!(column.design.path));
            if let (Some(measured), Some(fit)) = (&column.measured, fit) {
                object.insert("measuring".to_string(), measured.json(&fit.value));
            }
            Value::Object(object)
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
    json!({ "designs": designs, "run": provenance(&inputs, json!({}), &[]) })
}
