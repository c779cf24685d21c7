//! What an unknown key was meant to be.

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::check::{Checker, condition, join, keys_here, table_name};
use super::fields::Fields;
use super::number::written;
use crate::keys::{Key, Kind, Table};
use crate::units::Unit;

/// Similarity from which a word counts as a slip of another.
const SIMILAR: f64 = 0.6;

/// Letters from which a word that differs by one is a slip.
const SLIP_FROM: usize = 6;

/// Units that people write and these files do not, with what one of them is in
/// a unit of the files.
const OTHER_UNITS: [(&str, Unit, f64); 21] = [
    ("m", Unit::Millimetre, 1000.0),
    ("cm", Unit::Millimetre, 10.0),
    ("um", Unit::Millimetre, 1e-3),
    ("inch", Unit::Millimetre, 25.4),
    ("in", Unit::Millimetre, 25.4),
    ("rad", Unit::Degree, 57.295_779_513_082_32),
    ("degrees", Unit::Degree, 1.0),
    ("g", Unit::Kilogram, 1e-3),
    ("kn", Unit::Newton, 1000.0),
    ("mn", Unit::Newton, 1e-3),
    ("nmm", Unit::NewtonMetre, 1e-3),
    ("ncm", Unit::NewtonMetre, 1e-2),
    ("n_per_mm", Unit::NewtonPerMetre, 1000.0),
    ("n_per_um", Unit::NewtonPerMetre, 1e6),
    (
        "nm_per_deg",
        Unit::NewtonMetrePerRadian,
        57.295_779_513_082_32,
    ),
    ("g_cm3", Unit::KilogramPerCubicMetre, 1000.0),
    ("kg_per_m3", Unit::KilogramPerCubicMetre, 1.0),
    ("gpa", Unit::Megapascal, 1000.0),
    ("mpa", Unit::Gigapascal, 1e-3),
    ("pa", Unit::Gigapascal, 1e-9),
    ("pa", Unit::Megapascal, 1e-6),
];

/// Keys that were called otherwise: the former name, the name now.
const RENAMED: [(&str, &str); 1] = [("way_in", "insertion_direction")];

/// Keys that are written elsewhere and otherwise now: the table, the former name, what to write.
const MOVED: [(&str, &str, &str); 1] = [(
    "drives",
    "holding_nm_per_rad",
    "`holding_nm_per_rad` is now `stiffness_nm_per_rad` of [[drive]]: write it there, once for both drives or with `joint` for each",
)];

/// The word nearest to another, if any is near.
pub(super) fn nearest(word: &str, names: &[String]) -> Option<String> {
    let word = word.to_lowercase();
    names
        .iter()
        .map(|name| (similarity(&word, &name.to_lowercase()), name))
        .filter(|(score, _)| *score >= SIMILAR)
        .max_by(|(first, _), (second, _)| first.total_cmp(second))
        .map(|(_, name)| name.clone())
}

/// How near a word is to a name or to the name's first part, 0 to 1.
fn similarity(word: &str, name: &str) -> f64 {
    let whole = strsim::normalized_damerau_levenshtein(word, name);
    let part = name.split(['-', '_', ' ']).next().unwrap_or(name);
    let begun = if part.len() >= 4 {
        0.9 * strsim::normalized_damerau_levenshtein(word, part)
    } else {
        0.0
    };
    let within = if word.len() >= 3 && name.contains(word) {
        SIMILAR
    } else {
        0.0
    };
    whole.max(begun).max(within)
}

impl Checker<'_> {
    /// Records an unknown key; returns the key it was meant to be, if one is near.
    pub(super) fn unknown_key(
        &mut self,
        node: &DeTable<'_>,
        fields: &Fields,
        name: &Spanned<DeString<'_>>,
        value: &Spanned<DeValue<'_>>,
    ) -> Option<&'static str> {
        let written_name = name.get_ref().as_ref();
        let spec = fields.spec;
        let (hint, meant) = self.hint_for(spec, node, written_name, value.get_ref());
        let shown = self.shown(value);
        let key = self.source.shown(&name.span());
        let message = format!("unknown key `{key}` in {}", table_name(&fields.path));
        let path = join(&fields.path, &key);
        let allowed = format!("keys here: {}", keys_here(spec, node));
        let problem = self.raise(path, name.span(), message);
        problem.value = shown;
        problem.allowed = allowed;
        problem.hint = hint;
        meant
    }

    /// What to write instead of an unknown key, and the key meant.
    fn hint_for(
        &self,
        spec: &'static Table,
        node: &DeTable<'_>,
        name: &str,
        value: &DeValue<'_>,
    ) -> (String, Option<&'static str>) {
        let moved = MOVED.iter().find(|(table, former, _)| {
            let of_file = self.file.table.key(table).map(|key| key.kind);
            matches!(of_file, Some(Kind::Table(inner)) if std::ptr::eq(inner, spec))
                && *former == name
        });
        if let Some((.., hint)) = moved {
            return ((*hint).to_string(), None);
        }
        if let Some(key) = renamed(spec, name) {
            let hint = format!("`{name}` is now called `{}`: write that", key.name);
            return (hint, Some(key.name));
        }
        if let Some((key, converted)) = in_another_unit(spec, name, value) {
            let hint = match converted {
                Some(number) => format!("write {} = {number}", key.name),
                None => format!("write `{}`, in {}", key.name, key.kind.unit().symbol()),
            };
            return (hint, Some(key.name));
        }
        let mut candidates = usable(spec);
        // A key that does not belong here, such as another family's, is not meant.
        candidates.retain(|key| {
            let when = key.when.as_ref();
            when.is_none_or(|when| condition(when, spec, node) != Some(false))
        });
        // A letter more or less is a slip, whatever has that very name elsewhere; at the top it
        // may be the other file's table.
        let at_top = std::ptr::eq(spec, self.file.table);
        let slip = |key: &&&'static Key| {
            !at_top && name.len() >= SLIP_FROM && strsim::damerau_levenshtein(key.name, name) == 1
        };
        if let Some(key) = candidates.iter().find(slip) {
            let hint = format!("write `{}`: {}", key.name, key.meaning);
            return (hint, Some(key.name));
        }
        if let Some(place) = self.elsewhere(spec, name, value.is_table()) {
            return (place, None);
        }
        match by_parts(&candidates, name)[..] {
            [] => {}
            [key] => {
                let hint = format!("write `{}`: {}", key.name, key.meaning);
                return (hint, Some(key.name));
            }
            ref several => {
                let names: Vec<String> = several
                    .iter()
                    .map(|key| format!("`{}`", key.name))
                    .collect();
                return (format!("write {}", names.join(" or ")), None);
            }
        }
        let names: Vec<String> = candidates.iter().map(|key| key.name.to_string()).collect();
        match nearest(name, &names) {
            Some(close) => {
                let key = spec.key(&close);
                let meaning = key.map_or("", |key| key.meaning);
                (
                    format!("write `{close}`: {meaning}"),
                    key.map(|key| key.name),
                )
            }
            None => (
                "take it out, or put a # before it to keep it as a remark".to_string(),
                None,
            ),
        }
    }

    /// Where else the very same key belongs; a table at the top of the file
    /// most often means that the file is the other one.
    fn elsewhere(&self, spec: &'static Table, name: &str, is_table: bool) -> Option<String> {
        let at_top = std::ptr::eq(spec, self.file.table);
        let of_other_file = at_top && self.file.other.key(name).is_some();
        let mut places = Vec::new();
        find_tables(self.file.table, "", name, &mut places);
        if of_other_file && (is_table || places.is_empty()) {
            return Some(format!(
                "`{name}` belongs in a {}; this file is read as a {}",
                self.file.other_name, self.file.name
            ));
        }
        let places: Vec<String> = places
            .iter()
            .map(|path| match path.as_str() {
                "" => "at the top of the file, before the first [table]".to_string(),
                path => format!("in {path}"),
            })
            .collect();
        (!places.is_empty()).then(|| format!("`{name}` belongs {}", places.join(" or ")))
    }
}

/// The key that a former name stands for, where this table has it.
fn renamed(spec: &'static Table, name: &str) -> Option<&'static Key> {
    let (_, now) = RENAMED.iter().find(|(former, _)| *former == name)?;
    spec.key(now)
}

/// Keys of a table that can be written now.
fn usable(spec: &'static Table) -> Vec<&'static Key> {
    let keys = spec.keys.iter();
    keys.filter(|key| !matches!(key.kind, Kind::NotYet))
        .collect()
}

/// The key of the same name in another unit or without one, and the number in
/// the key's own unit where the other unit is known.
fn in_another_unit(
    spec: &'static Table,
    name: &str,
    value: &DeValue<'_>,
) -> Option<(&'static Key, Option<String>)> {
    usable(spec).into_iter().find_map(|key| {
        let rest = name.strip_prefix(key.base())?;
        let unit = key.kind.unit();
        if unit == Unit::One {
            return None;
        }
        if rest.is_empty() {
            return Some((key, None));
        }
        let suffix = rest.strip_prefix('_')?;
        let (_, _, factor) = OTHER_UNITS
            .iter()
            .find(|(other, of, _)| *other == suffix && *of == unit)?;
        let number = written(value)
            .map(|number| number.value * factor)
            .filter(|number| number.is_finite());
        Some((key, number.map(|number| tidy(unit, number))))
    })
}

/// A converted number without the dust of the conversion.
fn tidy(unit: Unit, number: f64) -> String {
    let text = format!("{number:.11e}");
    unit.write(unit.to_si(text.parse().unwrap_or(number)))
}

/// The keys whose words hold all words of an unknown one.
fn by_parts(candidates: &[&'static Key], name: &str) -> Vec<&'static Key> {
    let parts = |name: &'static str| name.split('_');
    let wanted: Vec<&str> = name
        .split(['_', '-'])
        .filter(|part| !part.is_empty())
        .collect();
    if wanted.iter().map(|part| part.len()).sum::<usize>() < 3 {
        return Vec::new();
    }
    candidates
        .iter()
        .filter(|key| {
            wanted
                .iter()
                .all(|part| parts(key.name).any(|own| own == *part))
        })
        .copied()
        .collect()
}

/// The tables of a file that have a key of this name.
fn find_tables(table: &'static Table, path: &str, name: &str, places: &mut Vec<String>) {
    if table
        .key(name)
        .is_some_and(|key| !matches!(key.kind, Kind::NotYet))
    {
        places.push(path.to_string());
    }
    for key in table.keys {
        match key.kind {
            Kind::Table(inner) => {
                find_tables(
                    inner,
                    &format!("[{}]", inner_path(path, key.name)),
                    name,
                    places,
                );
            }
            Kind::Tables(inner) => {
                find_tables(
                    inner,
                    &format!("[[{}]]", inner_path(path, key.name)),
                    name,
                    places,
                );
            }
            _ => {}
        }
    }
}

/// The path of a table within another, without brackets.
fn inner_path(path: &str, name: &str) -> String {
    let outer = path.trim_matches(['[', ']']);
    join(outer, name)
}
