//! Names of families in strings.
//!
//! A name of a family outside `family`, the keys and the words is a match on the family
//! that the compiler does not see. Strings of unit tests, examples and checks may name
//! what they are about.

use std::path::Path;

use calotte::brief::FamilyName;
use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};

use super::packages;
use super::tree::at;

/// The names, their words joined by one blank.
fn names() -> [String; FamilyName::ALL.len()] {
    FamilyName::ALL.map(|family| family.name().replace('-', " "))
}

/// Folders and files that may name families, from the root of the workspace.
const MAY_NAME: [&str; 3] = [
    "crates/calotte/src/family/",
    "crates/calotte-format/src/keys/",
    "crates/calotte-format/src/words.rs",
];

/// Every string of the program's sources that names a family, as text.
pub fn found() -> Vec<String> {
    let root = std::fs::canonicalize(packages::root()).expect("the workspace is there");
    let mut texts = Vec::new();
    for file in packages::files() {
        let name = file.strip_prefix(&root).expect("a file of the workspace");
        let program =
            name.starts_with("crates") && name.components().any(|part| part.as_os_str() == "src");
        let for_tests = file.file_stem().is_some_and(|stem| stem == "tests");
        let may = MAY_NAME.iter().any(|place| name.starts_with(place));
        if program && !for_tests && !may {
            let text = std::fs::read_to_string(&file).expect("a file that was listed");
            texts.extend(in_text(name, &text));
        }
    }
    texts
}

/// The strings of one file that name a family.
pub fn in_text(file: &Path, text: &str) -> Vec<String> {
    let names = names();
    let mut strings = Strings::default();
    strings.visit_file(&syn::parse_file(text).unwrap_or_else(|error| {
        panic!("{}: {error}", at(file, error.span().start().line));
    }));
    strings
        .found
        .into_iter()
        .filter_map(|(line, string)| {
            let plain = string.to_lowercase().replace(['-', '_'], " ");
            let name = names.iter().find(|name| plain.contains(*name))?;
            Some(format!(
                "{}: {string:?} names a family, {name}\n  What to do: ask the family (`family.name()`, \
                 or a question it answers), or say it in the words.",
                at(file, line)
            ))
        })
        .collect()
}

/// Strings with their lines, those of unit tests and documentation left out.
#[derive(Default)]
struct Strings {
    found: Vec<(usize, String)>,
}

impl Strings {
    fn of_tokens(&mut self, tokens: TokenStream) {
        for token in tokens {
            match token {
                TokenTree::Group(group) => self.of_tokens(group.stream()),
                TokenTree::Literal(literal) => {
                    if let syn::Lit::Str(string) = syn::Lit::new(literal) {
                        self.visit_lit_str(&string);
                    }
                }
                TokenTree::Ident(_) | TokenTree::Punct(_) => {}
            }
        }
    }
}

fn is_for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("cfg")
            && attribute
                .parse_args::<syn::Path>()
                .is_ok_and(|what| what.is_ident("test"))
    })
}

impl<'ast> Visit<'ast> for Strings {
    fn visit_file(&mut self, file: &'ast syn::File) {
        if !is_for_tests(&file.attrs) {
            visit::visit_file(self, file);
        }
    }

    fn visit_item(&mut self, item: &'ast syn::Item) {
        let attributes = match item {
            syn::Item::Mod(module) => &module.attrs,
            syn::Item::Fn(function) => &function.attrs,
            syn::Item::Impl(block) => &block.attrs,
            syn::Item::Const(constant) => &constant.attrs,
            _ => return visit::visit_item(self, item),
        };
        if !is_for_tests(attributes) {
            visit::visit_item(self, item);
        }
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        // Documentation is an attribute too; errors in words are not.
        if !attribute.path().is_ident("doc")
            && let syn::Meta::List(list) = &attribute.meta
        {
            self.of_tokens(list.tokens.clone());
        }
    }

    fn visit_macro(&mut self, call: &'ast syn::Macro) {
        self.of_tokens(call.tokens.clone());
    }

    fn visit_lit_str(&mut self, string: &'ast syn::LitStr) {
        self.found
            .push((string.span().start().line, string.value()));
    }
}
