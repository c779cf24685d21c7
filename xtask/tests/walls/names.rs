//! What the text of one module defines, imports and names, as the parser reads it.

use std::collections::HashSet;

use proc_macro2::{TokenStream, TokenTree};
use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{Item, UseTree};

/// One name a `use` declaration brings.
pub struct Import {
    /// Under which name; `None` for a glob.
    pub name: Option<String>,
    /// What it names.
    pub path: Vec<String>,
    /// Where.
    pub line: usize,
}

/// A path in an expression, a type, a pattern, an attribute or a macro.
pub struct PathUse {
    /// Its segments.
    pub path: Vec<String>,
    /// The item of the module it stands in; `None` in an `impl`, which nobody names.
    pub item: Option<String>,
    /// Where.
    pub line: usize,
}

/// A `mod` declaration.
pub struct ModDeclaration {
    /// Its name.
    pub name: String,
    /// What it holds, if it is written in place.
    pub inside: Option<Box<Names>>,
    /// The file a `path` attribute names.
    pub file: Option<String>,
    /// Where.
    pub line: usize,
}

/// Everything a module's own text holds.
#[derive(Default)]
pub struct Names {
    /// Names it defines, modules left out.
    pub items: HashSet<String>,
    /// Its `use` declarations, those inside functions too.
    pub imports: Vec<Import>,
    /// Its paths.
    pub paths: Vec<PathUse>,
    /// Its child modules.
    pub modules: Vec<ModDeclaration>,
    /// The item that is being read.
    item: Option<String>,
}

/// Reads the items of one module.
pub fn of_items(items: &[Item]) -> Names {
    let mut names = Names::default();
    for item in items {
        names.item = defined_name(item);
        names.items.extend(names.item.clone());
        names.visit_item(item);
    }
    names
}

fn defined_name(item: &Item) -> Option<String> {
    let ident = match item {
        Item::Const(item) => &item.ident,
        Item::Enum(item) => &item.ident,
        Item::Fn(item) => &item.sig.ident,
        Item::Macro(item) => item.ident.as_ref()?,
        Item::Static(item) => &item.ident,
        Item::Struct(item) => &item.ident,
        Item::Trait(item) => &item.ident,
        Item::TraitAlias(item) => &item.ident,
        Item::Type(item) => &item.ident,
        Item::Union(item) => &item.ident,
        _ => return None,
    };
    Some(ident.to_string())
}

impl<'ast> Visit<'ast> for Names {
    fn visit_item_mod(&mut self, module: &'ast syn::ItemMod) {
        let file = module.attrs.iter().find_map(|attribute| {
            let syn::Meta::NameValue(pair) = &attribute.meta else {
                return None;
            };
            match (&pair.value, pair.path.is_ident("path")) {
                (
                    syn::Expr::Lit(syn::ExprLit {
                        lit: syn::Lit::Str(text),
                        ..
                    }),
                    true,
                ) => Some(text.value()),
                _ => None,
            }
        });
        self.modules.push(ModDeclaration {
            name: module.ident.to_string(),
            inside: module
                .content
                .as_ref()
                .map(|(_, items)| Box::new(of_items(items))),
            file,
            line: module.ident.span().start().line,
        });
    }

    fn visit_item_use(&mut self, declaration: &'ast syn::ItemUse) {
        flatten(&declaration.tree, Vec::new(), &mut self.imports);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        // A leading `::` names another crate.
        if path.leading_colon.is_none() {
            self.paths.push(PathUse {
                path: path.segments.iter().map(|s| s.ident.to_string()).collect(),
                item: self.item.clone(),
                line: path.span().start().line,
            });
        }
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'ast syn::Macro) {
        self.visit_path(&call.path);
        self.add_paths_in(call.tokens.clone());
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        if let syn::Meta::List(list) = &attribute.meta {
            self.add_paths_in(list.tokens.clone());
        }
    }
}

/// One import for each leaf of a `use` tree.
fn flatten(tree: &UseTree, before: Vec<String>, imports: &mut Vec<Import>) {
    let mut path = before;
    let mut leaf = |name: Option<String>, path: Vec<String>, line: usize| {
        imports.push(Import { name, path, line });
    };
    match tree {
        UseTree::Path(step) => {
            path.push(step.ident.to_string());
            flatten(&step.tree, path, imports);
        }
        UseTree::Name(name) if name.ident == "self" => {
            leaf(path.last().cloned(), path, name.ident.span().start().line);
        }
        UseTree::Name(name) => {
            path.push(name.ident.to_string());
            leaf(path.last().cloned(), path, name.ident.span().start().line);
        }
        UseTree::Rename(rename) => {
            if rename.ident != "self" {
                path.push(rename.ident.to_string());
            }
            let line = rename.ident.span().start().line;
            leaf(Some(rename.rename.to_string()), path, line);
        }
        UseTree::Glob(glob) => leaf(None, path, glob.span().start().line),
        UseTree::Group(group) => {
            for tree in &group.items {
                flatten(tree, path.clone(), imports);
            }
        }
    }
}

impl Names {
    /// Adds every run of names joined by `::` in the tokens of a macro, single names too.
    fn add_paths_in(&mut self, tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let is_colon = |index: usize| matches!(tokens.get(index), Some(TokenTree::Punct(mark)) if mark.as_char() == ':');
        let mut index = 0;
        while index < tokens.len() {
            match &tokens[index] {
                TokenTree::Group(group) => self.add_paths_in(group.stream()),
                TokenTree::Ident(first) => {
                    let mut path = vec![first.to_string()];
                    while is_colon(index + 1) && is_colon(index + 2) {
                        let Some(TokenTree::Ident(next)) = tokens.get(index + 3) else {
                            break;
                        };
                        path.push(next.to_string());
                        index += 3;
                    }
                    self.paths.push(PathUse {
                        path,
                        item: self.item.clone(),
                        line: first.span().start().line,
                    });
                }
                TokenTree::Punct(_) | TokenTree::Literal(_) => {}
            }
            index += 1;
        }
    }
}
