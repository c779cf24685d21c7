//! A design as a JSON object: the keys of a design file, with the same units.
//!
//! The object is written out as TOML and read by the one reader of design files, so that
//! whoever sends it is told the same problems in the same words.

use std::fmt;

use calotte::design::Design;
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use toml::Value;

use super::syntax::one_problem;
use super::{TEXT_MAX, design, source::Place};
use crate::problem::{FormatError, Problem};

/// Reads a design from the text of a JSON object.
///
/// A key that is null counts as left out. Lines and columns of problems are places of
/// the text where it is no JSON; those of a key's problems mean nothing.
pub(super) fn read_design(text: &str) -> Result<Design, FormatError> {
    if text.len() > TEXT_MAX {
        return Err(one_problem(
            Place { line: 1, column: 1 },
            &format!("the object has {} bytes", text.len()),
            &format!("at most {TEXT_MAX} bytes"),
            "a design is a few kilobytes",
        ));
    }
    let Object(table) = serde_json::from_str(text).map_err(|error| not_json(&error))?;
    let written = toml::to_string(&table).map_err(|error| {
        one_problem(
            Place { line: 1, column: 1 },
            &format!("the object cannot be written as a design: {error}"),
            "the keys of a design file",
            "see `calotte schema design`",
        )
    })?;
    design::read(&written)
}

fn not_json(error: &serde_json::Error) -> FormatError {
    let place = Place {
        line: error.line().max(1),
        column: error.column().max(1),
    };
    let text = error.to_string();
    // The place stands beside the message.
    let message = text
        .rsplit_once(" at line ")
        .map_or(text.as_str(), |(m, _)| m);
    let (lead, hint) = match error.classify() {
        serde_json::error::Category::Data => (
            "",
            "send one object of the keys of a design file, each key once, lists without null",
        ),
        _ => (
            "not JSON: ",
            "send one object such as {\"linkage\": {…}, \"section\": {…}, …}; NaN and Infinity are no JSON",
        ),
    };
    let mut refused = one_problem(place, &format!("{lead}{message}"), "", hint);
    if let Some(Problem { allowed, .. }) = refused.problems.first_mut() {
        *allowed = "one JSON object".to_string();
    }
    refused
}

/// An object of keys.
struct Object(toml::Table);

impl<'de> Deserialize<'de> for Object {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        match from.deserialize_any(AsToml)? {
            Some(Value::Table(table)) => Ok(Object(table)),
            _ => Err(de::Error::custom("a design is an object of keys")),
        }
    }
}

/// A value as TOML has it; `None` is null.
struct Item(Option<Value>);

impl<'de> Deserialize<'de> for Item {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(AsToml).map(Item)
    }
}

struct AsToml;

impl<'de> Visitor<'de> for AsToml {
    type Value = Option<Value>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value of a design")
    }

    fn visit_unit<E>(self) -> Result<Self::Value, E> {
        Ok(None)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Self::Value, E> {
        Ok(Some(Value::Boolean(value)))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Self::Value, E> {
        Ok(Some(Value::Integer(value)))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Self::Value, E> {
        // TOML has whole numbers of 63 bits; beyond them a number is a decimal one.
        Ok(Some(match i64::try_from(value) {
            Ok(whole) => Value::Integer(whole),
            Err(_) => Value::Float(value as f64),
        }))
    }

    fn visit_f64<E>(self, value: f64) -> Result<Self::Value, E> {
        Ok(Some(Value::Float(value)))
    }

    fn visit_str<E>(self, value: &str) -> Result<Self::Value, E> {
        Ok(Some(Value::String(value.to_string())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Self::Value, A::Error> {
        let mut list = Vec::new();
        while let Some(Item(item)) = items.next_element()? {
            list.push(item.ok_or_else(|| de::Error::custom("null stands in a list"))?);
        }
        Ok(Some(Value::Array(list)))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut keys: A) -> Result<Self::Value, A::Error> {
        let mut table = toml::Table::new();
        let mut seen = std::collections::BTreeSet::new();
        while let Some(key) = keys.next_key::<String>()? {
            let Item(value) = keys.next_value()?;
            if !seen.insert(key.clone()) {
                return Err(de::Error::custom(format!("`{key}` is given twice")));
            }
            if let Some(value) = value {
                table.insert(key, value);
            }
        }
        Ok(Some(Value::Table(table)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ARM: &str = r#"{"linkage": {"family": "two-arc-arm", "arcs_deg": [70, 55.1], "joint_radius_mm": 150},
        "section": {"shape": "rectangle", "tangential_mm": 12, "radial_mm": 6},
        "material": {"name": "aluminium 6061-T6"}, "joints": {"rigid": true}, "title": null}"#;

    /// The object and the file say the same.
    #[test]
    fn an_object_reads_as_its_file() {
        let file = "[linkage]\nfamily = \"two-arc-arm\"\narcs_deg = [70, 55.1]\njoint_radius_mm = 150\n\
            [section]\nshape = \"rectangle\"\ntangential_mm = 12\nradial_mm = 6\n\
            [material]\nname = \"aluminium 6061-T6\"\n[joints]\nrigid = true\n";
        assert_eq!(read_design(ARM).unwrap(), design::read(file).unwrap());
    }

    /// Every decimal number arrives as it does from a file, to the last bit.
    #[test]
    fn numbers_keep_every_bit() {
        for index in 1..2000_u32 {
            let radius = 100.0 + f64::from(index) * 0.071_234_567_891_23;
            let text = ARM.replace("150", &format!("{radius:?}"));
            let read = read_design(&text).unwrap().joint_radius;
            let file = calotte_of_file(radius);
            assert_eq!(read.to_bits(), file.to_bits(), "{radius:?}");
        }
    }

    fn calotte_of_file(radius: f64) -> f64 {
        crate::units::Unit::Millimetre.to_si(radius)
    }

    #[test]
    fn what_is_no_design_is_refused_with_a_way_out() {
        for (text, words) in [
            ("", "not JSON"),
            ("{", "not JSON"),
            ("[1, 2]", "a design is an object of keys"),
            ("null", "a design is an object of keys"),
            (r#"{"a": NaN}"#, "not JSON"),
            (r#"{"a": 1e999}"#, "not JSON"),
            (r#"{"title": "a", "title": "b"}"#, "`title` is given twice"),
            (r#"{"title": null, "title": "b"}"#, "`title` is given twice"),
            (
                r#"{"linkage": {"arcs_deg": [70, null]}}"#,
                "null stands in a list",
            ),
            (r#"{"linkag": {}}"#, "linkag"),
            (r#"{"title": "\u0000"}"#, ""),
        ] {
            let error = read_design(text).unwrap_err();
            let first = &error.problems[0];
            assert!(
                error.problems.iter().any(|p| p.message.contains(words)),
                "{text}: {error}"
            );
            assert!(!first.hint.is_empty(), "{text}");
        }
        let deep = "{\"a\":".repeat(400) + "1" + &"}".repeat(400);
        assert!(read_design(&deep).is_err());
        assert!(read_design(&format!("{{\"a\": \"{}\"}}", "x".repeat(TEXT_MAX))).is_err());
    }
}
