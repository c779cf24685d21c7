//! An analysis as one JSON object.

use calotte::analysis::Analysis;
use calotte::brief::Brief;
use calotte::design::Design;
use calotte_format::units::degrees;
use serde_json::{Map, Value, json};

use super::asked::Asked;
use crate::input::{Input, provenance};
use crate::results::{
    analysis_json, comparison_json, configuration_json, direction_json, distances_json, parts_json,
};

/// The analysis with what was asked, for programs.
pub fn document(
    design: &Input<Design>,
    brief: Option<&Input<Brief>>,
    analysis: &Analysis,
    asked: &Asked,
    warnings: &[String],
    extra: Map<String, Value>,
) -> Value {
    let mut object = analysis_json(&design.value, analysis);
    object.extend(extra);
    match asked {
        Asked::Region => {}
        Asked::Configuration(single) => {
            let mut configuration = configuration_json(&single.result);
            if let Some(object) = configuration.as_object_mut() {
                if let Some(opinion) = &single.opinion {
                    object.insert("second_opinion".into(), comparison_json(opinion));
                }
                if let Some(parts) = &single.parts {
                    object.insert("parts".into(), parts_json(&design.value, parts));
                }
                if let (Some(built), Some(distances)) = (&single.built, &single.distances) {
                    object.insert("clearing".into(), distances_json(built, distances));
                }
            }
            object.insert("configurations".into(), json!([configuration]));
            object.remove("rings");
        }
        Asked::Unreachable { wanted, nearest } => {
            object.insert("direction_deg".into(), direction_json(*wanted));
            object.insert("reachable".into(), json!(false));
            let nearest = match nearest {
                Some((direction, distance, result)) => json!({
                    "polar": degrees(direction.polar),
                    "azimuth": degrees(direction.azimuth),
                    "distance_deg": degrees(*distance),
                    "joints_deg": result.active.map(degrees),
                }),
                None => Value::Null,
            };
            if nearest.is_null() {
                object.insert(
                    "nearest_reason".into(),
                    json!("no configuration has the required margins"),
                );
            }
            object.insert("nearest".into(), nearest);
            object.insert("configurations".into(), json!([]));
            object.remove("rings");
        }
    }
    let mut inputs = vec![("design", design.path.as_path(), design.sha256.as_str())];
    if let Some(brief) = brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    let options = json!({
        "rings": analysis.options.rings,
        "azimuths_a_ring": analysis.options.around,
        "bands": analysis.options.bands,
        "region": if brief.is_some() { "from the brief" } else { "cap of 90° about the base axis" },
    });
    object.insert("run".into(), provenance(&inputs, options, warnings));
    Value::Object(object)
}
