//! SPDX licence expressions, as `Cargo.toml` files carry them: `MIT OR Apache-2.0`,
//! `(MIT OR Apache-2.0) AND Unicode-3.0`, and the older `MIT/Apache-2.0`.
//!
//! Grammar: SPDX Specification 2.3, Annex D; `AND` binds tighter than `OR`, `WITH`
//! belongs to the identifier before it. The slash is cargo's former way to write `OR`.

/// A parsed licence expression.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LicenceExpression {
    /// One licence, with its exception if it has one (`Apache-2.0 WITH LLVM-exception`).
    Licence(String),
    /// All of these hold at once.
    All(Vec<LicenceExpression>),
    /// The user chooses one of these.
    Any(Vec<LicenceExpression>),
}

impl LicenceExpression {
    /// Reads an expression; the error says what is wrong with it.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut reader = Reader {
            words: words(text),
            at: 0,
        };
        let expression = reader.any()?;
        match reader.next() {
            None => Ok(expression),
            Some(word) => Err(format!("`{word}` is not expected there")),
        }
    }

    /// Whether some choice that the expression offers needs accepted licences only.
    pub fn is_accepted(&self, accepted: &dyn Fn(&str) -> bool) -> bool {
        match self {
            Self::Licence(name) => accepted(name),
            Self::All(parts) => parts.iter().all(|part| part.is_accepted(accepted)),
            Self::Any(parts) => parts.iter().any(|part| part.is_accepted(accepted)),
        }
    }
}

/// Splits an expression into identifiers, operators and parentheses.
fn words(text: &str) -> Vec<String> {
    let spaced = text
        .replace('/', " OR ")
        .replace('(', " ( ")
        .replace(')', " ) ");
    spaced.split_whitespace().map(str::to_owned).collect()
}

/// Recursive descent over the words.
struct Reader {
    words: Vec<String>,
    at: usize,
}

impl Reader {
    fn next(&mut self) -> Option<String> {
        let word = self.words.get(self.at).cloned();
        self.at += 1;
        word
    }

    /// Takes the next word if it is this operator, in upper or lower case.
    fn takes(&mut self, operator: &str) -> bool {
        let found = self
            .words
            .get(self.at)
            .is_some_and(|word| word.eq_ignore_ascii_case(operator));
        self.at += usize::from(found);
        found
    }

    fn any(&mut self) -> Result<LicenceExpression, String> {
        let mut parts = vec![self.all()?];
        while self.takes("OR") {
            parts.push(self.all()?);
        }
        Ok(one_or(parts, LicenceExpression::Any))
    }

    fn all(&mut self) -> Result<LicenceExpression, String> {
        let mut parts = vec![self.one()?];
        while self.takes("AND") {
            parts.push(self.one()?);
        }
        Ok(one_or(parts, LicenceExpression::All))
    }

    fn one(&mut self) -> Result<LicenceExpression, String> {
        if self.takes("(") {
            let inner = self.any()?;
            return if self.takes(")") {
                Ok(inner)
            } else {
                Err("a `)` is missing".to_owned())
            };
        }
        let mut name = self.identifier()?;
        if self.takes("WITH") {
            name = format!("{name} WITH {}", self.identifier()?);
        }
        Ok(LicenceExpression::Licence(name))
    }

    fn identifier(&mut self) -> Result<String, String> {
        let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '+' | ':');
        let operator = |word: &str| {
            ["AND", "OR", "WITH"]
                .iter()
                .any(|operator| word.eq_ignore_ascii_case(operator))
        };
        match self.next() {
            Some(word) if word.chars().all(allowed) && !operator(&word) => Ok(word),
            Some(word) => Err(format!("`{word}` is not a licence identifier")),
            None => Err("a licence identifier is missing at the end".to_owned()),
        }
    }
}

/// The only part itself, or all of them joined.
fn one_or(
    mut parts: Vec<LicenceExpression>,
    join: fn(Vec<LicenceExpression>) -> LicenceExpression,
) -> LicenceExpression {
    if parts.len() == 1 {
        parts.remove(0)
    } else {
        join(parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn accepted(text: &str, licences: &[&str]) -> bool {
        LicenceExpression::parse(text)
            .unwrap()
            .is_accepted(&|name| licences.contains(&name))
    }

    #[test]
    fn one_of_a_choice_is_enough() {
        for text in [
            "MIT OR Apache-2.0",
            "MIT/Apache-2.0",
            "MIT / Apache-2.0",
            "GPL-3.0-only OR MIT",
        ] {
            assert!(accepted(text, &["MIT"]), "{text}");
            assert!(!accepted(text, &["ISC"]), "{text}");
        }
    }

    #[test]
    fn every_part_of_an_and_is_needed() {
        let text = "(MIT OR Apache-2.0) AND Unicode-3.0";
        assert!(accepted(text, &["MIT", "Unicode-3.0"]));
        assert!(!accepted(text, &["MIT", "Apache-2.0"]));
        assert!(!accepted(text, &["Unicode-3.0"]));
    }

    #[test]
    fn and_binds_tighter_than_or() {
        let text = "MIT OR Apache-2.0 AND GPL-3.0-only";
        assert!(accepted(text, &["MIT"]));
        assert!(!accepted(text, &["Apache-2.0"]));
        assert!(!accepted(
            "(MIT OR Apache-2.0) AND GPL-3.0-only",
            &["MIT", "Apache-2.0"]
        ));
    }

    #[test]
    fn an_exception_is_part_of_its_licence() {
        let text = "Apache-2.0 WITH LLVM-exception OR MIT";
        assert!(accepted(text, &["MIT"]));
        assert!(accepted(text, &["Apache-2.0 WITH LLVM-exception"]));
        assert!(!accepted(text, &["Apache-2.0"]));
    }

    #[test]
    fn malformed_expressions_are_refused() {
        for text in [
            "",
            "MIT OR",
            "(MIT",
            "MIT)",
            "MIT Apache-2.0",
            "OR MIT",
            "see LICENSE",
            "MIT WITH",
        ] {
            assert!(LicenceExpression::parse(text).is_err(), "{text}");
        }
    }
}
