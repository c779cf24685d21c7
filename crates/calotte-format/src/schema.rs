//! JSON Schemas of the files, made from the table of keys.
//!
//! Editors that know the schema of a TOML file complete its keys, show their
//! meaning and mark what is not allowed. What concerns several keys together,
//! such as lists of equal length, only the reader checks.

use serde_json::{Map, Value, json};

use crate::keys::brief::BRIEF;
use crate::keys::design::DESIGN;
use crate::keys::{Count, Key, Kind, Need, Quantity, Table};

/// JSON Schema (draft 2020-12) of a brief.
pub fn schema_brief() -> Value {
    schema("Brief of calotte: what is required", &BRIEF)
}

/// JSON Schema (draft 2020-12) of a design.
pub fn schema_design() -> Value {
    schema("Design of calotte: one linkage, complete", &DESIGN)
}

fn schema(title: &str, table: &'static Table) -> Value {
    let mut schema = table_schema(table);
    let file = Map::from_iter([
        (
            "$schema".to_string(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        ),
        ("title".to_string(), json!(title)),
    ]);
    extend(&mut schema, file);
    schema
}

fn extend(schema: &mut Value, more: Map<String, Value>) {
    if let Value::Object(object) = schema {
        object.extend(more);
    }
}

/// The schema of a table.
fn table_schema(table: &'static Table) -> Value {
    let keys: Vec<&Key> = table
        .keys
        .iter()
        .filter(|key| !matches!(key.kind, Kind::NotYet))
        .collect();
    let properties: Map<String, Value> = keys
        .iter()
        .map(|key| (key.name.to_string(), key_schema(key)))
        .collect();
    let required: Vec<&str> = keys
        .iter()
        .filter(|key| key.when.is_none() && matches!(key.need, Need::Required))
        .map(|key| key.name)
        .collect();
    let mut schema = json!({
        "type": "object",
        "description": table.meaning,
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        extend(
            &mut schema,
            Map::from_iter([("required".to_string(), json!(required))]),
        );
    }
    let conditions = conditions(&keys);
    if !conditions.is_empty() {
        extend(
            &mut schema,
            Map::from_iter([("allOf".to_string(), json!(conditions))]),
        );
    }
    schema
}

/// For every word that decides on other keys: which are required, which have no place.
fn conditions(keys: &[&Key]) -> Vec<Value> {
    let mut conditions = Vec::new();
    for deciding in keys {
        let Kind::Word(vocabulary) = &deciding.kind else {
            continue;
        };
        for word in vocabulary.names() {
            let decided = keys.iter().filter_map(|key| {
                let when = key.when.filter(|when| when.key == deciding.name)?;
                Some((key, when.words.contains(&word.as_str())))
            });
            let (own, others): (Vec<_>, Vec<_>) = decided.partition(|(_, belongs)| *belongs);
            let required: Vec<&str> = own
                .iter()
                .filter(|(key, _)| matches!(key.need, Need::Required))
                .map(|(key, _)| key.name)
                .collect();
            let barred: Map<String, Value> = others
                .iter()
                .map(|(key, _)| (key.name.to_string(), Value::Bool(false)))
                .collect();
            if own.is_empty() && others.is_empty() {
                continue;
            }
            conditions.push(json!({
                "if": { "properties": { deciding.name: { "const": word } }, "required": [deciding.name] },
                "then": { "required": required, "properties": barred },
            }));
        }
    }
    conditions
}

/// The schema of a key, with its meaning, default and example.
fn key_schema(key: &Key) -> Value {
    let mut schema = kind_schema(&key.kind);
    let mut more = Map::new();
    let unit = key.kind.unit().symbol();
    let unit = if unit.is_empty() {
        String::new()
    } else {
        format!(" [{unit}]")
    };
    let absent = match key.need {
        Need::Optional(absent) => format!(" Without it: {absent}."),
        _ => String::new(),
    };
    let meaning = format!("{}{unit}.{absent}", capital(key.meaning));
    more.insert("description".to_string(), json!(meaning));
    if let Need::Default(default) = key.need {
        more.insert("default".to_string(), from_toml(default));
    }
    more.insert("examples".to_string(), json!([from_toml(key.example)]));
    extend(&mut schema, more);
    schema
}

fn kind_schema(kind: &Kind) -> Value {
    match kind {
        Kind::Number(quantity) => number(quantity),
        Kind::Band(quantity) => {
            let number = number(quantity);
            json!({ "anyOf": [number, parts(&[("value", &number), ("from", &number), ("to", &number)], 3)] })
        }
        Kind::Range { quantity, .. } => json!({ "anyOf": [number(quantity), range(quantity)] }),
        Kind::Sizes { quantity, .. } => json!({ "anyOf": [
            number(quantity),
            { "type": "array", "items": number(quantity), "minItems": 1, "maxItems": 1000 },
            range(quantity),
        ] }),
        Kind::Numbers { quantity, count } => list(number(quantity), count),
        Kind::Limits(quantity) => triple(number(quantity), 2),
        Kind::Pairs {
            first,
            second,
            count,
            ..
        } => list(
            json!({
                "type": "array",
                "prefixItems": [number(first), number(second)],
                "minItems": 2,
                "maxItems": 2,
            }),
            count,
        ),
        Kind::Wholes {
            low,
            high,
            count,
            not_zero,
            distinct,
        } => {
            let mut whole = json!({ "type": "integer", "minimum": low, "maximum": high });
            if *not_zero {
                extend(&mut whole, not_zero_schema());
            }
            let mut list = list(whole, count);
            if *distinct {
                extend(
                    &mut list,
                    Map::from_iter([("uniqueItems".to_string(), json!(true))]),
                );
            }
            list
        }
        Kind::Vector(quantity) => triple(number(quantity), 3),
        Kind::Direction => triple(json!({ "type": "number" }), 3),
        Kind::Word(vocabulary) => json!({ "type": "string", "enum": vocabulary.names() }),
        Kind::Words { vocabulary, least } => json!({
            "type": "array",
            "items": { "type": "string", "enum": vocabulary.names() },
            "minItems": least,
            "uniqueItems": true,
        }),
        Kind::Text => json!({ "type": "string" }),
        Kind::Texts(count) => json!({
            "type": "array",
            "items": { "type": "string" },
            "minItems": count.least,
            "maxItems": count.most,
            "uniqueItems": true,
        }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Table(table) => table_schema(table),
        Kind::Tables(table) => json!({ "type": "array", "items": table_schema(table) }),
        Kind::NotYet => json!(false),
    }
}

/// A number that a quantity allows.
fn number(quantity: &Quantity) -> Value {
    let low = if quantity.low_allowed {
        "minimum"
    } else {
        "exclusiveMinimum"
    };
    let high = if quantity.high_allowed {
        "maximum"
    } else {
        "exclusiveMaximum"
    };
    let mut schema = json!({ "type": "number", low: quantity.low, high: quantity.high });
    if quantity.not_zero {
        extend(&mut schema, not_zero_schema());
    }
    schema
}

fn not_zero_schema() -> Map<String, Value> {
    Map::from_iter([("not".to_string(), json!({ "const": 0 }))])
}

/// A table of numbers of which the first ones must be there.
fn parts(parts: &[(&str, &Value)], required: usize) -> Value {
    let properties: Map<String, Value> = parts
        .iter()
        .map(|(name, schema)| ((*name).to_string(), (*schema).clone()))
        .collect();
    let required: Vec<&str> = parts.iter().take(required).map(|(name, _)| *name).collect();
    json!({
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn range(quantity: &Quantity) -> Value {
    let number = number(quantity);
    let step = json!({ "type": "number", "exclusiveMinimum": 0 });
    parts(&[("from", &number), ("to", &number), ("step", &step)], 2)
}

fn list(items: Value, count: &Count) -> Value {
    json!({ "type": "array", "items": items, "minItems": count.least, "maxItems": count.most })
}

fn triple(items: Value, count: usize) -> Value {
    json!({ "type": "array", "items": items, "minItems": count, "maxItems": count })
}

/// A TOML value as JSON.
fn from_toml(text: &str) -> Value {
    let table: Option<toml::Table> = toml::from_str(&format!("value = {text}")).ok();
    let value = table.and_then(|mut table| table.remove("value"));
    debug_assert!(value.is_some(), "{text} is no TOML value");
    json!(value)
}

/// The text with a capital in front.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) if first != '`' => first.to_uppercase().chain(letters).collect(),
        _ => text.to_string(),
    }
}
