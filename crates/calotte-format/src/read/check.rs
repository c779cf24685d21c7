//! The walk through a file beside the table of keys.

use std::collections::BTreeMap;
use std::ops::Range as Span;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::fields::{Entry, Fields};
use super::source::Source;
use crate::keys::{Key, Kind, Need, Table, When};
use crate::problem::{FormatError, Problem};

/// The two files that can be told apart by their keys.
#[derive(Debug, Clone, Copy)]
pub(crate) struct FileKind {
    /// What the file is called in messages.
    pub(crate) name: &'static str,
    /// Its keys.
    pub(crate) table: &'static Table,
    /// What the other file is called.
    pub(crate) other_name: &'static str,
    /// The other file's keys, for files that were mixed up.
    pub(crate) other: &'static Table,
}

/// Checks a file and collects its problems.
#[derive(Debug)]
pub(crate) struct Checker<'t> {
    pub(super) source: Source<'t>,
    pub(super) file: FileKind,
    problems: Vec<Problem>,
    /// Where a default is being read: the place its key would stand.
    default_at: Option<Span<usize>>,
}

/// A key with its place, while its value is checked.
#[derive(Debug, Clone)]
pub(super) struct At {
    /// The key.
    pub(super) key: &'static Key,
    /// The key with the tables it lies in.
    pub(super) path: String,
    /// Span of the whole value, or of the header of a table.
    pub(super) span: Span<usize>,
    /// The value as written; empty for a table under a header.
    pub(super) shown: String,
}

impl<'t> Checker<'t> {
    /// A checker of a text with the problems its syntax has already.
    pub(crate) fn new(text: &'t str, file: FileKind, problems: Vec<Problem>) -> Self {
        Self {
            source: Source::new(text),
            file,
            problems,
            default_at: None,
        }
    }

    /// Checks the whole file.
    pub(crate) fn file(&mut self, node: &DeTable<'_>) -> Fields {
        self.table(node, 0..0, self.file.table, "")
    }

    /// What was built, or the problems in the order of the file.
    pub(crate) fn finish<T>(mut self, built: Option<T>) -> Result<T, FormatError> {
        self.problems
            .sort_by_key(|problem| (problem.line, problem.column));
        match built {
            Some(built) if self.problems.is_empty() => Ok(built),
            _ => {
                debug_assert!(!self.problems.is_empty(), "nothing built and no problem");
                if self.problems.is_empty() {
                    self.raise(String::new(), 0..0, "the file could not be read");
                }
                Err(FormatError {
                    problems: self.problems,
                })
            }
        }
    }

    /// Whether nothing is wrong so far.
    pub(super) fn sound(&self) -> bool {
        self.problems.is_empty()
    }

    /// What is wrong with a file that was read before.
    pub(super) fn into_error(self) -> FormatError {
        FormatError {
            problems: self.problems,
        }
    }

    /// Records a problem at a span; the caller completes it.
    pub(super) fn raise(
        &mut self,
        key: String,
        span: Span<usize>,
        message: impl Into<String>,
    ) -> &mut Problem {
        let place = self.source.place(span.start);
        let problem = Problem {
            line: place.line,
            column: place.column,
            key,
            value: String::new(),
            message: message.into(),
            allowed: String::new(),
            hint: String::new(),
        };
        debug_assert!(
            self.default_at.is_none(),
            "a default is refused: {problem:?}"
        );
        self.problems.push(problem);
        let last = self.problems.len() - 1;
        &mut self.problems[last]
    }

    /// A value as written; empty for tables under a header, which are not
    /// written behind an equals sign.
    pub(super) fn shown(&self, node: &Spanned<DeValue<'_>>) -> String {
        let shown = self.source.shown(&node.span());
        let under_header = match node.get_ref() {
            DeValue::Table(_) => !shown.starts_with('{'),
            DeValue::Array(list) => {
                shown.starts_with("[[")
                    && list.iter().all(|entry| entry.get_ref().is_table())
                    && !list.is_empty()
            }
            _ => false,
        };
        if under_header { String::new() } else { shown }
    }

    /// Records that a value is refused, with what its key allows.
    pub(super) fn refuse(&mut self, at: &At, span: Span<usize>, message: String) -> &mut Problem {
        let problem = self.raise(at.path.clone(), span, message);
        problem.value = at.shown.clone();
        problem.allowed = at.key.allowed();
        problem.hint = at.key.hint();
        problem
    }

    /// Records a problem of a key that passed the first check, or is missing;
    /// `item` is the entry of a list.
    pub(crate) fn object(
        &mut self,
        fields: &Fields,
        name: &str,
        item: Option<usize>,
        message: impl Into<String>,
    ) -> &mut Problem {
        let Some(key) = fields.spec.key(name) else {
            debug_assert!(false, "no key {name} in {}", fields.path);
            return self.raise(String::new(), fields.header.clone(), message);
        };
        let path = join(&fields.path, name);
        let (span, value) = match fields.entries.get(name).filter(|entry| entry.given) {
            Some(entry) => (
                item.and_then(|item| entry.items.get(item))
                    .unwrap_or(&entry.span)
                    .clone(),
                entry.shown.clone(),
            ),
            None => (fields.header.clone(), String::new()),
        };
        let problem = self.raise(path, span, message);
        problem.value = value;
        problem.allowed = key.allowed();
        problem.hint = key.hint();
        problem
    }

    /// Checks a table.
    pub(super) fn table(
        &mut self,
        node: &DeTable<'_>,
        header: Span<usize>,
        spec: &'static Table,
        path: &str,
    ) -> Fields {
        let mut fields = Fields {
            spec,
            path: path.to_string(),
            header: self.default_at.clone().unwrap_or(header),
            refused: Vec::new(),
            entries: BTreeMap::new(),
        };
        let mut written: Vec<_> = node.iter().collect();
        written.sort_by_key(|(key, _)| key.span().start);
        for (name, value) in written {
            match spec.key(name.get_ref()) {
                Some(key) => self.known_key(node, &mut fields, key, name.span(), value),
                // What an unknown key was meant to be is not missing as well.
                None => {
                    let meant = self.unknown_key(node, &fields, name, value);
                    fields.refused.extend(meant);
                }
            }
        }
        for key in spec.keys {
            let present = fields.entries.contains_key(key.name);
            if !present && !fields.refused.contains(&key.name) {
                self.absent_key(node, &mut fields, key);
            }
        }
        fields
    }

    /// Checks a key of the table and keeps its value.
    fn known_key(
        &mut self,
        node: &DeTable<'_>,
        fields: &mut Fields,
        key: &'static Key,
        key_span: Span<usize>,
        value: &Spanned<DeValue<'_>>,
    ) {
        let at = At {
            key,
            path: join(&fields.path, key.name),
            span: value.span(),
            shown: self.shown(value),
        };
        if matches!(key.kind, Kind::NotYet) {
            let problem = self.refuse(
                &at,
                key_span,
                format!("`{}` is not available yet", key.name),
            );
            problem.allowed = String::new();
            fields.refused.push(key.name);
            return;
        }
        if let Some(when) = &key.when
            && condition(when, fields.spec, node) == Some(false)
        {
            self.misplaced_key(node, fields, &at, when, key_span);
            fields.refused.push(key.name);
            return;
        }
        match self.value(&at, value) {
            Some((value, items)) => {
                let fixed = |span: Span<usize>| self.default_at.clone().unwrap_or(span);
                let entry = Entry {
                    value,
                    span: fixed(at.span),
                    shown: at.shown,
                    items: items.into_iter().map(fixed).collect(),
                    given: self.default_at.is_none(),
                };
                fields.entries.insert(key.name, entry);
            }
            None => fields.refused.push(key.name),
        }
    }

    /// A key that belongs to other words of its table only.
    fn misplaced_key(
        &mut self,
        node: &DeTable<'_>,
        fields: &Fields,
        at: &At,
        when: &When,
        key_span: Span<usize>,
    ) {
        let word = node.get(when.key).and_then(|word| word.get_ref().as_str());
        let word = word.unwrap_or_default().to_string();
        let belongs: Vec<String> = when
            .words
            .iter()
            .map(|word| format!("\"{word}\""))
            .collect();
        let keys = keys_here(fields.spec, node);
        let message = format!(
            "`{}` does not belong to {} = \"{word}\"",
            at.key.name, when.key
        );
        let problem = self.refuse(at, key_span, message);
        problem.allowed = format!("keys here: {keys}");
        problem.hint = format!(
            "it belongs to {} = {}; take it out or change `{}`",
            when.key,
            belongs.join(" or "),
            when.key
        );
    }

    /// Fills in a default, or records that a key is missing.
    fn absent_key(&mut self, node: &DeTable<'_>, fields: &mut Fields, key: &'static Key) {
        let applies = key
            .when
            .as_ref()
            .is_none_or(|when| condition(when, fields.spec, node) == Some(true));
        if !applies {
            return;
        }
        match key.need {
            Need::Optional(_) => {}
            Need::Default(text) => {
                if let Some(entry) = self.default_entry(fields, key, text) {
                    fields.entries.insert(key.name, entry);
                }
            }
            Need::Required => self.missing_key(fields, key),
        }
    }

    /// Records that a key is missing.
    fn missing_key(&mut self, fields: &Fields, key: &'static Key) {
        let message = match key.kind {
            Kind::Table(_) if fields.path.is_empty() => {
                format!("the table [{}] is missing", key.name)
            }
            _ => format!("`{}` is missing in {}", key.name, table_name(&fields.path)),
        };
        let problem = self.raise(join(&fields.path, key.name), fields.header.clone(), message);
        problem.allowed = match key.kind {
            Kind::Table(inner) => format!("a table of the keys {}", all_keys(inner)),
            _ => key.allowed(),
        };
        problem.hint = format!("write {} = {}: {}", key.name, key.example, key.meaning);
    }

    /// The default of a key, checked like any value.
    fn default_entry(
        &mut self,
        fields: &Fields,
        key: &'static Key,
        text: &'static str,
    ) -> Option<Entry> {
        let parsed = DeValue::parse(text);
        debug_assert!(parsed.is_ok(), "default of {} does not parse", key.name);
        let node = parsed.ok()?;
        let at = At {
            key,
            path: join(&fields.path, key.name),
            span: fields.header.clone(),
            shown: String::new(),
        };
        let outer = self.default_at.replace(fields.header.clone());
        let value = self.value(&at, &node);
        self.default_at = outer;
        let (value, _) = value?;
        Some(Entry {
            value,
            span: fields.header.clone(),
            shown: String::new(),
            items: Vec::new(),
            given: false,
        })
    }
}

/// Whether a condition holds; `None` where the other key has no word that says so.
pub(super) fn condition(when: &When, spec: &Table, node: &DeTable<'_>) -> Option<bool> {
    let word = node.get(when.key)?.get_ref().as_str()?;
    let Kind::Word(vocabulary) = spec.key(when.key)?.kind else {
        return None;
    };
    if !vocabulary.names().iter().any(|name| name == word) {
        return None;
    }
    Some(when.words.contains(&word))
}

/// All keys that a table can have.
fn all_keys(spec: &Table) -> String {
    keys_here(spec, &DeTable::new())
}

/// The keys that a table can have, given the words it has.
pub(super) fn keys_here(spec: &Table, node: &DeTable<'_>) -> String {
    let names: Vec<&str> = spec
        .keys
        .iter()
        .filter(|key| !matches!(key.kind, Kind::NotYet))
        .filter(|key| {
            key.when
                .as_ref()
                .is_none_or(|when| condition(when, spec, node) != Some(false))
        })
        .map(|key| key.name)
        .collect();
    names.join(", ")
}

/// A key with the tables it lies in.
pub(super) fn join(path: &str, name: &str) -> String {
    if path.is_empty() {
        name.to_string()
    } else {
        format!("{path}.{name}")
    }
}

/// What a table is called in messages: `[region]`, `[[load]] 2`.
pub(super) fn table_name(path: &str) -> String {
    if path.is_empty() {
        return "the file".to_string();
    }
    match path.split_once('[') {
        None => format!("[{path}]"),
        Some((outer, rest)) => {
            let (number, inner) = rest.split_once(']').unwrap_or((rest, ""));
            let name = format!("[[{outer}]] {number}");
            match inner.strip_prefix('.') {
                Some(inner) => format!("`{inner}` of {name}"),
                None => name,
            }
        }
    }
}
