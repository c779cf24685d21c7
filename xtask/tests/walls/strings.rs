//! The strings of a Rust file, with their lines.

use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::{self, Visit};

use super::tree::at;

/// The strings of one file, those of unit tests left out; documentation and names of
/// fields, which become help, descriptions and keys in some crates, only if asked for.
pub fn of(file: &Path, text: &str, documentation: bool) -> Vec<(usize, String)> {
    let mut strings = Strings {
        found: Vec::new(),
        documentation,
    };
    strings.visit_file(&syn::parse_file(text).unwrap_or_else(|error| {
        panic!("{}: {error}", at(file, error.span().start().line));
    }));
    strings.found
}

struct Strings {
    found: Vec<(usize, String)>,
    documentation: bool,
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
        if attribute.path().is_ident("doc") {
            if self.documentation {
                visit::visit_attribute(self, attribute);
            }
        } else if let syn::Meta::List(list) = &attribute.meta {
            self.of_tokens(list.tokens.clone());
        }
    }

    fn visit_field(&mut self, field: &'ast syn::Field) {
        if self.documentation
            && let Some(name) = &field.ident
        {
            self.found
                .push((name.span().start().line, name.to_string()));
        }
        visit::visit_field(self, field);
    }

    fn visit_macro(&mut self, call: &'ast syn::Macro) {
        self.of_tokens(call.tokens.clone());
    }

    fn visit_lit_str(&mut self, string: &'ast syn::LitStr) {
        self.found
            .push((string.span().start().line, string.value()));
    }
}
