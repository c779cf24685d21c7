//! The table of keys against the reader: nothing in it may contradict itself.

use toml::de::DeValue;

use super::check::{At, Checker, FileKind};
use crate::keys::brief::BRIEF;
use crate::keys::design::DESIGN;
use crate::keys::{Key, Kind, Need, Table};
use crate::units::Unit;

/// Every key of a file, with the tables it lies in.
fn keys_of(table: &'static Table, path: &str, found: &mut Vec<(String, &'static Key)>) {
    for key in table.keys {
        let path = format!("{path}.{}", key.name);
        if let Kind::Table(inner) | Kind::Tables(inner) = key.kind {
            keys_of(inner, &path, found);
        }
        found.push((path, key));
    }
}

fn all_keys() -> Vec<(String, &'static Key)> {
    let mut found = Vec::new();
    keys_of(&BRIEF, "brief", &mut found);
    keys_of(&DESIGN, "design", &mut found);
    found
}

/// Problems of a value of a key.
fn problems(key: &'static Key, text: &'static str) -> Option<String> {
    let node = match DeValue::parse(text) {
        Ok(node) => node,
        Err(error) => return Some(error.to_string()),
    };
    let file = FileKind {
        name: "brief",
        table: &BRIEF,
        other_name: "design",
        other: &DESIGN,
    };
    let mut checker = Checker::new(text, file, Vec::new());
    let at = At {
        key,
        path: key.name.to_string(),
        span: 0..text.len(),
        shown: text.to_string(),
    };
    let value = checker.value(&at, &node);
    checker.finish(value).err().map(|error| error.to_string())
}

#[test]
fn every_example_and_default_is_allowed() {
    for (path, key) in all_keys() {
        if matches!(key.kind, Kind::NotYet) {
            continue;
        }
        assert_eq!(problems(key, key.example), None, "example of {path}");
        if let Need::Default(default) = key.need {
            assert_eq!(problems(key, default), None, "default of {path}");
        }
    }
}

#[test]
fn every_key_says_what_it_means_and_ends_with_its_unit() {
    for (path, key) in all_keys() {
        assert!(key.meaning.len() > 3, "{path} has no meaning");
        assert!(
            !key.hint().is_empty() && !key.allowed().is_empty(),
            "{path}"
        );
        let unit = key.kind.unit();
        // Parts of a table whose own key has the unit.
        let in_unit_table = path.contains(".range_deg.")
            || path.contains(".force_n.")
            || path.contains(".moment_nm.");
        if unit != Unit::One && !in_unit_table {
            assert_ne!(key.base(), key.name, "{path} does not end with {unit:?}");
        }
        if matches!(key.kind, Kind::NotYet) {
            assert!(
                !key.advice.is_empty(),
                "{path} says not what to do meanwhile"
            );
        }
    }
}

#[test]
fn conditions_name_words_of_a_required_key() {
    for (path, key) in all_keys() {
        let Some(when) = key.when else { continue };
        let siblings = all_keys();
        let table = path
            .strip_suffix(key.name)
            .expect("a path ends with its key");
        let deciding = siblings
            .iter()
            .find(|(other, _)| *other == format!("{table}{}", when.key))
            .unwrap_or_else(|| panic!("{path} depends on {}, which is not there", when.key));
        assert!(matches!(deciding.1.need, Need::Required), "{path}");
        let Kind::Word(vocabulary) = deciding.1.kind else {
            panic!("{path} depends on {}, which is no word", when.key);
        };
        for word in when.words {
            assert!(
                vocabulary.names().contains(&(*word).to_string()),
                "{path}: {word}"
            );
        }
    }
}

#[test]
fn keys_are_not_listed_twice() {
    let mut names: Vec<String> = all_keys().into_iter().map(|(path, _)| path).collect();
    let count = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), count);
}

#[test]
fn the_joint_axis_is_explained_where_it_is_most_often_mistaken() {
    for (path, key) in all_keys() {
        if path.ends_with("joints.axial_n_per_m") {
            assert!(
                key.meaning
                    .contains("along the joint's own axis, which is radial to the sphere")
            );
        }
    }
}
