//! The JSON Schemas and the reference against the reader.
//!
//! The small checker below knows the keywords that the schemas use and fails
//! on any other, so a schema cannot grow past it unnoticed.

use std::fs;
use std::path::{Path, PathBuf};

use calotte_format::{
    brief_template, read_brief, read_design, reference_markdown, schema_brief, schema_design,
};
use serde_json::Value;

/// Where a value does not fit its schema; empty if it does.
fn misfits(schema: &Value, value: &Value, path: &str) -> Vec<String> {
    if let Value::Bool(allowed) = schema {
        return if *allowed {
            Vec::new()
        } else {
            vec![format!("{path}: not allowed")]
        };
    }
    let mut found = Vec::new();
    for (keyword, rule) in schema.as_object().expect("a schema is an object") {
        found.extend(misfits_of(schema, keyword, rule, value, path));
    }
    found
}

fn misfits_of(
    schema: &Value,
    keyword: &str,
    rule: &Value,
    value: &Value,
    path: &str,
) -> Vec<String> {
    let fail = |broken: bool| {
        if broken {
            vec![format!("{path}: {keyword} {rule}")]
        } else {
            Vec::new()
        }
    };
    let number = value.as_f64();
    let limit = rule.as_f64().unwrap_or(f64::NAN);
    let length = value.as_array().map(|list| list.len() as f64);
    match keyword {
        "$schema" | "title" | "description" | "default" | "examples" => Vec::new(),
        "if" | "then" => condition(schema, keyword, value, path),
        "type" => fail(!is_of_type(value, rule.as_str().unwrap_or(""))),
        "enum" => fail(!rule.as_array().is_some_and(|words| words.contains(value))),
        "const" => fail(rule != value && (rule.as_f64() != number || number.is_none())),
        "minimum" => fail(number.is_some_and(|number| number < limit)),
        "maximum" => fail(number.is_some_and(|number| number > limit)),
        "exclusiveMinimum" => fail(number.is_some_and(|number| number <= limit)),
        "exclusiveMaximum" => fail(number.is_some_and(|number| number >= limit)),
        "minItems" => fail(length.is_some_and(|length| length < limit)),
        "maxItems" => fail(length.is_some_and(|length| length > limit)),
        "uniqueItems" => {
            let list = value.as_array().cloned().unwrap_or_default();
            let twice = |(index, entry): (usize, &Value)| list[..index].contains(entry);
            fail(list.iter().enumerate().any(twice))
        }
        "not" => fail(misfits(rule, value, path).is_empty()),
        "anyOf" => {
            let schemas = rule.as_array().expect("a list of schemas");
            fail(
                schemas
                    .iter()
                    .all(|schema| !misfits(schema, value, path).is_empty()),
            )
        }
        "allOf" => {
            let schemas = rule.as_array().expect("a list of schemas");
            schemas
                .iter()
                .flat_map(|schema| misfits(schema, value, path))
                .collect()
        }
        "items" => {
            let list = value.as_array().into_iter().flatten();
            list.flat_map(|entry| misfits(rule, entry, path)).collect()
        }
        "prefixItems" => {
            let schemas = rule.as_array().into_iter().flatten();
            let list = value.as_array().into_iter().flatten();
            schemas
                .zip(list)
                .flat_map(|(schema, entry)| misfits(schema, entry, path))
                .collect()
        }
        "required" => {
            let names = rule
                .as_array()
                .into_iter()
                .flatten()
                .filter_map(Value::as_str);
            let missing = |name: &&str| value.is_object() && value.get(name).is_none();
            names
                .filter(missing)
                .map(|name| format!("{path}: {name} is missing"))
                .collect()
        }
        "properties" => {
            let properties = rule.as_object().into_iter().flatten();
            properties
                .filter_map(|(name, schema)| Some((name, schema, value.get(name)?)))
                .flat_map(|(name, schema, value)| misfits(schema, value, &format!("{path}.{name}")))
                .collect()
        }
        "additionalProperties" => {
            let known = schema["properties"].as_object();
            let keys = value
                .as_object()
                .into_iter()
                .flatten()
                .map(|(name, _)| name);
            keys.filter(|name| known.is_none_or(|known| !known.contains_key(*name)))
                .map(|name| format!("{path}: unknown {name}"))
                .collect()
        }
        other => panic!("the checker does not know the keyword {other}"),
    }
}

fn condition(schema: &Value, keyword: &str, value: &Value, path: &str) -> Vec<String> {
    let applies = misfits(&schema["if"], value, path).is_empty();
    if keyword == "then" && applies {
        misfits(&schema["then"], value, path)
    } else {
        Vec::new()
    }
}

fn is_of_type(value: &Value, name: &str) -> bool {
    match name {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
        other => panic!("the checker does not know the type {other}"),
    }
}

/// A TOML text as JSON; `None` where it holds what JSON cannot, or does not parse.
fn json(text: &str) -> Option<Value> {
    let table: toml::Table = toml::from_str(text).ok()?;
    serde_json::to_value(table).ok()
}

fn files(folder: &str) -> Vec<(String, String)> {
    let folder: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "toml")
        })
        .collect();
    files.sort();
    files
        .into_iter()
        .map(|path| {
            let name = path
                .file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read_to_string(&path).expect("a text"))
        })
        .collect()
}

#[test]
fn right_files_fit_their_schema() {
    let (brief, design) = (schema_brief(), schema_design());
    let template = json(brief_template()).expect("the template is TOML");
    assert_eq!(misfits(&brief, &template, "template"), Vec::<String>::new());
    let files = files("valid");
    assert!(files.len() >= 6);
    for (name, text) in files {
        let schema = if name.starts_with("brief") {
            &brief
        } else {
            &design
        };
        let value = json(&text).expect("TOML");
        assert_eq!(misfits(schema, &value, &name), Vec::<String>::new());
    }
}

/// What a schema cannot say, since it concerns several keys together, a
/// direction, or another file; everything else that the reader refuses, the
/// schema refuses too.
const BEYOND_A_SCHEMA: [&str; 93] = [
    "brief_band_upside_down",
    "brief_bearing_without_rating",
    "brief_bearings_missing",
    "brief_boss_too_large",
    "brief_contact_without_load",
    "brief_drive_of_some",
    "brief_drive_without_candidate",
    "brief_exclude_all",
    "brief_joints_missing",
    "brief_layers_given",
    "brief_limits_load_name",
    "brief_limits_load_nothing",
    "brief_limits_load_twice",
    "brief_load_any_and_component",
    "brief_load_any_twice",
    "brief_load_at_tip",
    "brief_load_name_twice",
    "brief_load_on_slip",
    "brief_load_size_alone",
    "brief_load_size_missing",
    "brief_load_world_and_local",
    "brief_load_zero",
    "brief_objectives_both_ways",
    "brief_objectives_one",
    "brief_points_file_angle",
    "brief_points_file_header",
    "brief_points_file_missing",
    "brief_points_file_text",
    "brief_points_none",
    "brief_points_twice",
    "brief_polygon_crossing",
    "brief_polygon_repeated",
    "brief_polygon_wide",
    "brief_range_upside_down",
    "brief_reference_parallel",
    "brief_sag_without_tool_mass",
    "brief_section_none",
    "brief_section_too_many",
    "brief_step_tiny",
    "brief_title_steers",
    "brief_together_any_twice",
    "brief_together_name",
    "brief_transmission_without_loops",
    "design_assembly_modes_count",
    "design_axis_zero",
    "design_band_upside_down",
    "design_bar_nothing",
    "design_bar_one_arc",
    "design_bar_twice",
    "design_bar_unknown",
    "design_bearing_unknown",
    "design_bends_count",
    "design_boss_too_large",
    "design_drive_of_another_family",
    "design_drive_rides_beside",
    "design_drive_rides_without_mass",
    "design_drive_twice",
    "design_five_bar_arcs",
    "design_five_bar_follower",
    "design_joints_mixed",
    "design_layers_do_not_fit",
    "design_layers_fewest",
    "design_layers_joint",
    "design_lists_unequal",
    "design_load_alone",
    "design_material_unknown",
    "design_own_bar_unknown",
    "design_own_bearing_alone",
    "design_own_boss_small",
    "design_own_level_half",
    "design_own_level_twice",
    "design_own_level_unknown",
    "design_own_nothing",
    "design_own_pin_thick",
    "design_own_stiffness_beside_bearings",
    "design_own_stiffness_of_rigid",
    "design_pin",
    "design_preload_and_load",
    "design_preload_of_bushing",
    "design_preload_stated",
    "design_range_of_other_family",
    "design_range_upside_down",
    "design_reference_parallel",
    "design_release_of_nothing",
    "design_release_twice",
    "design_rigid_and_stiff",
    "design_seat_alone",
    "design_section_wall",
    "design_shafts",
    "design_springs_and_column",
    "design_stiffness_missing",
    "design_tube_inner",
    "design_value_outside_band",
];

#[test]
fn broken_files_do_not_fit_their_schema() {
    let (brief, design) = (schema_brief(), schema_design());
    let mut fitting = Vec::new();
    for (name, text) in files("broken") {
        let schema = if name.starts_with("brief") {
            &brief
        } else {
            &design
        };
        // What is no TOML, NaN or infinite has no JSON to check.
        if let Some(value) = json(&text)
            && ![
                "design_mass_nan",
                "design_radius_infinite",
                "design_number_too_large",
            ]
            .contains(&name.as_str())
            && misfits(schema, &value, &name).is_empty()
        {
            fitting.push(name);
        }
    }
    assert_eq!(fitting, BEYOND_A_SCHEMA);
}

#[test]
fn the_schemas_describe_every_key() {
    for schema in [schema_brief(), schema_design()] {
        assert_eq!(
            schema["$schema"],
            "https://json-schema.org/draft/2020-12/schema"
        );
        described(&schema);
    }
}

fn described(schema: &Value) {
    let Some(properties) = schema["properties"].as_object() else {
        return;
    };
    assert_eq!(schema["additionalProperties"], false);
    for (name, property) in properties {
        let description = property["description"].as_str().unwrap_or("");
        assert!(description.len() > 4, "{name} is not described");
        assert!(!property["examples"][0].is_null(), "{name} has no example");
        described(property);
        described(&property["items"]);
    }
}

#[test]
fn the_reference_names_what_the_schemas_name() {
    let reference = reference_markdown();
    let mut names = Vec::new();
    for schema in [schema_brief(), schema_design()] {
        collect(&schema, &mut names);
    }
    assert!(names.len() > 100);
    for name in names {
        assert!(
            reference.contains(&format!("| `{name}` |")),
            "{name} is not in the reference"
        );
    }
    for line in reference.lines().filter(|line| line.starts_with("| `")) {
        assert_eq!(line.replace("\\|", "").matches('|').count(), 5, "{line}");
    }
}

fn collect(schema: &Value, names: &mut Vec<String>) {
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        names.push(name.clone());
        collect(property, names);
        collect(&property["items"], names);
    }
}

/// The defaults that the schemas state, given outright, change nothing.
#[test]
fn stated_defaults_are_the_defaults() {
    let top = |schema: &Value, text: &str| {
        let mut table: toml::Table = toml::from_str(text).expect("TOML");
        fill(schema, &mut table);
        toml::to_string(&table).expect("TOML")
    };
    let design = "[linkage]\nfamily = \"two-arc-arm\"\narcs_deg = [70, 55]\njoint_radius_mm = 200\n\
                  [section]\nshape = \"rod\"\ndiameter_mm = 10\n[material]\nname = \"PEEK\"\n\
                  [joints]\nrigid = true\n[drives]\n[tool]\n[mount]\n";
    let filled = top(&schema_design(), design);
    assert!(filled.len() > design.len());
    assert_eq!(read_design(&filled).unwrap(), read_design(design).unwrap());
    let brief = "[region]\nshape = \"cap\"\nhalf_angle_deg = 60\n[[exclude]]\nhalf_angle_deg = 5\n\
                 [tool]\n[centre]\n[space]\n[limits]\n[choice]\n[joints]\nrigid = true\n";
    let no_file = |name: &str| Err(name.to_string());
    let filled = top(&schema_brief(), brief);
    assert!(filled.len() > brief.len());
    assert_eq!(
        read_brief(&filled, &no_file).unwrap(),
        read_brief(brief, &no_file).unwrap()
    );
}

/// Puts the stated defaults into the tables that are there.
fn fill(schema: &Value, table: &mut toml::Table) {
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        match table.get_mut(name) {
            Some(toml::Value::Table(inner)) => fill(property, inner),
            Some(toml::Value::Array(list)) => {
                for entry in list.iter_mut().filter_map(toml::Value::as_table_mut) {
                    fill(&property["items"], entry);
                }
            }
            Some(_) => {}
            None => {
                if let Some(default) = property.get("default") {
                    let value = toml::Value::try_from(default).expect("a TOML value");
                    table.insert(name.clone(), value);
                }
            }
        }
    }
}
