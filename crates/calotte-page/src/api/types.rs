//! Writes the types of the page: `web/src/api/types.ts`.
//!
//! The keys of a design come from its JSON Schema, which is made from the one table of
//! keys; all other types from [`super::wire`]. The file is kept in the repository; the
//! test command regenerates it and fails if it changed.

use serde_json::Value;
use ts_rs::{Config, TS};

use super::wire;
use crate::server::project::shapes;
use calotte_document::{
    analysis, built, common, configuration, differing, fitted, measured, opinion, planned, safety,
    weighed,
};

/// A schema as a TypeScript type.
fn type_of(schema: &Value, indent: usize) -> String {
    let pad = "  ".repeat(indent + 1);
    if let Some(choices) = schema.get("anyOf").or_else(|| schema.get("oneOf")) {
        let mut parts: Vec<String> = Vec::new();
        for choice in choices.as_array().into_iter().flatten() {
            let part = type_of(choice, indent);
            if !parts.contains(&part) {
                parts.push(part);
            }
        }
        return parts.join(" | ");
    }
    if let Some(constant) = schema.get("const") {
        return constant.to_string();
    }
    if let Some(values) = schema.get("enum").and_then(Value::as_array) {
        return values
            .iter()
            .map(Value::to_string)
            .collect::<Vec<_>>()
            .join(" | ");
    }
    match schema.get("type").and_then(Value::as_str) {
        Some("number" | "integer") => "number".to_owned(),
        Some("string") => "string".to_owned(),
        Some("boolean") => "boolean".to_owned(),
        Some("array") => {
            let item = type_of(&schema["items"], indent);
            let ends = ["minItems", "maxItems"].map(|key| schema.get(key).and_then(Value::as_u64));
            match ends {
                [Some(least), Some(most)] if least == most && most <= 4 => {
                    format!("[{}]", vec![item; most as usize].join(", "))
                }
                _ if item.contains('|') => format!("({item})[]"),
                _ => format!("{item}[]"),
            }
        }
        Some("object") => {
            let required: Vec<&str> = schema["required"]
                .as_array()
                .into_iter()
                .flatten()
                .filter_map(Value::as_str)
                .collect();
            let mut text = "{\n".to_owned();
            for (key, of) in schema["properties"].as_object().into_iter().flatten() {
                if key.starts_with('$') {
                    continue;
                }
                let mark = if required.contains(&key.as_str()) {
                    ""
                } else {
                    "?"
                };
                if let Some(words) = of["description"].as_str() {
                    text.push_str(&format!("{pad}/** {words} */\n"));
                }
                text.push_str(&format!("{pad}{key}{mark}: {};\n", type_of(of, indent + 1)));
            }
            text.push_str(&"  ".repeat(indent));
            text.push('}');
            text
        }
        _ => "unknown".to_owned(),
    }
}

/// The whole file.
fn file() -> String {
    let config = Config::new().with_large_int("number");
    let mut text = String::from(
        "// Written by a test of crate calotte-page from the types of the program. Do not edit.\n",
    );
    text.push_str(&format!(
        "\n/** One linkage, complete: the keys of a design file. */\nexport interface DesignFile {}\n",
        type_of(&calotte_format::schema_design(), 0)
    ));
    macro_rules! add {
        ($of:ident: $($name:ident),+ $(,)?) => {
            $(
                if let Some(docs) = <$of::$name as TS>::docs() {
                    text.push('\n');
                    text.push_str(docs.trim_end());
                } else {
                    text.push('\n');
                }
                text.push_str(&format!("\nexport {}\n", <$of::$name as TS>::decl(&config)));
            )+
        };
    }
    add!(wire:
        FileProblem,
        DesignAnswer,
        BriefAnswer,
        MaterialRow,
        AboutAnswer,
        VariableRow,
        QuantityRow,
        ColourRow,
        SectionShape,
        BodyShape,
        JointRole,
        JointShape,
        LinkageAnswer,
        ToolShape,
        PartKind,
        BodyPlace,
        PartShape,
        PartsAnswer,
        NotReached,
        PoseAnswer,
        PoseReply,
        ClosingStage,
        LoadAnswer,
        ArcUnderLoad,
        RequirementRow,
        RingRow,
        CurveShape,
        CurveFigure,
        AnalysisAnswer,
        ClearingShape,
        PairShape,
        CapShape,
        ZoneKind,
        ZoneShape,
        DomeAnswer,
        StagesAnswer,
        StageRow,
        MapAxis,
        MapCell,
        MapPart,
        MapHead,
        MapDone,
        EqualReach,
        CandidateRow,
        CandidateColumn,
        SearchPart,
        SearchDone,
        ChoiceSaid,
        Labelled,
        NearestNeed,
        PlanAnswer,
        FitPart,
        FitAnswer,
        Target,
        LoadAsked,
        DomeQuantity,
        PathQuantity,
        PathAnswer,
    );
    add!(analysis: Requirement, InputValue, AloneValue, Sufficient, JointLoad);
    add!(common: PolarAzimuth, StiffnessDocument, EnergyShares);
    add!(configuration: ConfigurationDocument);
    add!(safety: Safety);
    add!(opinion: CrossCheck, CrossCheckEntry);
    add!(differing: Differing, BarSection, JointAtLevel);
    add!(built: PartDistance, Parts, BarLines, ArcLine, PinLine, ToolLine);
    add!(planned: PlanDocument, PlannedRow, PlannedParameter, PlannedLoad, RandomPlans, PlanOrder, WorseParameter, NarrowRange);
    add!(measured: FitDocument, SphereDocument, RegistrationDocument, AfterFit, PointsVerdict, PointsExplanation, MeasureNext, PointsCombination, LackDocument, LackTestShape, RejectedShape, OffParameter, NeverIdentifiable, MeasuredRow, LocalResidual, HoldOutShape, PointsCause, NamedValue, ResidualZone, RepeatedGroup, OrientationShape, OrientationsFound, OrientationReason, OrientationAngles);
    add!(fitted: CorrelationDocument, FoundParameter, NotSeparable, RefusedRowShape, ResidualNumbers);
    add!(weighed: WeightsDocument, AfterWeights, WeightsVerdict, OffWeight, WeightsCause, GaugeResidual, GaugeReading, LoadCourse, LoadedConfiguration, SeenValue, StiffnessStanding);
    add!(shapes: Listing, Listed, Kind, FileText, Save, Saved, Changed);
    text
}

#[test]
fn the_types_of_the_page_are_those_of_the_program() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("web/src/api/types.ts");
    let fresh = file();
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    if kept != fresh {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &fresh).unwrap();
        panic!("web/src/api/types.ts was stale and has been written anew: commit it");
    }
}
