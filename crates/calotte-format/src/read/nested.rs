//! Words, and tables within tables.

use toml::Spanned;
use toml::de::DeValue;

use super::check::{At, Checker};
use super::fields::Value;
use super::source::short;
use super::suggest::nearest;
use super::value::{Checked, spans};
use crate::keys::words::Vocabulary;
use crate::keys::{Count, Table};

impl Checker<'_> {
    /// A word that can be used now; `entry` counts it in a list, from 0.
    pub(super) fn word(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        vocabulary: &Vocabulary,
        entry: Option<usize>,
    ) -> Option<String> {
        let Some(word) = node.get_ref().as_str() else {
            let says = match entry {
                Some(index) => format!("entry {} of `{}` is", index + 1, at.key.name),
                None => format!("`{}` is", at.key.name),
            };
            self.wrong_type(at, node, node.span(), &says, "a text in quotes");
            return None;
        };
        let names = vocabulary.names();
        if names.iter().any(|name| name == word) {
            return Some(word.to_string());
        }
        let later = (vocabulary.words)()
            .into_iter()
            .find(|known| known.name == word);
        if let Some(meanwhile) = later.and_then(|known| known.not_yet) {
            let message = format!("{} \"{word}\" is not available yet", vocabulary.item);
            self.refuse(at, node.span(), message).hint = meanwhile.to_string();
            return None;
        }
        let written = self.source.shown(&node.span());
        let message = format!("unknown {} {written}", vocabulary.item);
        let problem = self.refuse(at, node.span(), message);
        if let Some(close) = nearest(word, &names) {
            problem.hint = format!("write \"{close}\"");
        }
        None
    }

    pub(super) fn words(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        vocabulary: &Vocabulary,
        least: usize,
    ) -> Option<Checked> {
        let count = Count {
            least,
            most: 100,
            item: vocabulary.item,
        };
        let list = self.list(at, node, &count)?;
        let mut words: Vec<String> = Vec::new();
        for (index, entry) in list.iter().enumerate() {
            let Some(word) = self.word(at, entry, vocabulary, Some(index)) else {
                continue;
            };
            if words.contains(&word) {
                let message = format!("{} \"{word}\" is given twice", vocabulary.item);
                self.refuse(at, entry.span(), message).hint = "keep it once".to_string();
            } else {
                words.push(word);
            }
        }
        (words.len() == list.len()).then(|| (Value::Words(words), spans(list)))
    }

    pub(super) fn texts(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        count: &Count,
    ) -> Option<Checked> {
        let list = self.list(at, node, count)?;
        let mut texts: Vec<String> = Vec::new();
        for (index, entry) in list.iter().enumerate() {
            let Some(text) = entry.get_ref().as_str() else {
                let says = format!("entry {} of `{}` is", index + 1, at.key.name);
                self.wrong_type(at, entry, entry.span(), &says, "a text in quotes");
                continue;
            };
            if texts.iter().any(|other| other == text) {
                let message = format!("{} \"{}\" is given twice", count.item, short(text));
                self.refuse(at, entry.span(), message).hint = "keep it once".to_string();
            } else {
                texts.push(text.to_string());
            }
        }
        (texts.len() == list.len()).then(|| (Value::Words(texts), spans(list)))
    }

    pub(super) fn inner_table(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        spec: &'static Table,
    ) -> Option<Checked> {
        let Some(table) = node.get_ref().as_table() else {
            let single = matches!(node.get_ref(), DeValue::Array(list)
                if list.iter().all(|entry| entry.get_ref().is_table()));
            if single {
                let message = format!("`{}` is given as a list of tables", at.key.name);
                self.refuse(at, node.span(), message).hint = format!(
                    "there is one only: write [{}] in single brackets, once",
                    at.path
                );
                return None;
            }
            return self.not_a(at, node, "a table");
        };
        let fields = self.table(table, node.span(), spec, &at.path);
        Some((Value::Table(fields), Vec::new()))
    }

    pub(super) fn inner_tables(
        &mut self,
        at: &At,
        node: &Spanned<DeValue<'_>>,
        spec: &'static Table,
    ) -> Option<Checked> {
        const TABLES_MAX: usize = 64;
        let DeValue::Array(list) = node.get_ref() else {
            if node.get_ref().is_table() {
                let message = format!("`{}` is given as one table", at.key.name);
                self.refuse(at, node.span(), message).hint = format!(
                    "there can be several: write [[{}]] in double brackets",
                    at.path
                );
                return None;
            }
            return self.not_a(at, node, "a list of tables");
        };
        if list.len() > TABLES_MAX {
            let message = format!("`{}` has {} entries", at.key.name, list.len());
            self.refuse(at, node.span(), message).allowed = format!("at most {TABLES_MAX}");
            return None;
        }
        let mut tables = Vec::new();
        for (index, entry) in list.iter().enumerate() {
            let Some(table) = entry.get_ref().as_table() else {
                let says = format!("entry {} of `{}` is", index + 1, at.key.name);
                self.wrong_type(at, entry, entry.span(), &says, "a table");
                continue;
            };
            let path = format!("{}[{}]", at.path, index + 1);
            tables.push(self.table(table, entry.span(), spec, &path));
        }
        (tables.len() == list.len()).then(|| (Value::Tables(tables), spans(list)))
    }
}
