//! Which module reads which: every path resolved to the module that defines what it names.

use std::collections::HashSet;

use super::tree::{Tree, at};

/// One module reads another, or one item of a module another item of it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Edge {
    /// The module that reads; a module of a file.
    pub from: usize,
    /// Which of its items does; `None` for a `use` and an `impl`, which nobody names.
    pub from_item: Option<String>,
    /// The module that is read; a module of a file.
    pub to: usize,
    /// Which of its items is read; `None` for the module as a whole.
    pub to_item: Option<String>,
    /// `file:line`.
    pub place: String,
    /// The path as written.
    pub path: String,
}

/// What a path leads to.
struct Found {
    /// The module that defines the named item, or the named module itself.
    module: usize,
    /// The item; `None` where the path names a module.
    item: Option<String>,
    /// Modules that only show what another one defines, passed on the way.
    through: Vec<usize>,
}

impl Found {
    fn at(module: usize, item: Option<&String>) -> Self {
        Self {
            module,
            item: item.cloned(),
            through: Vec::new(),
        }
    }
}

/// Imports that lead to imports are followed this far.
const DEPTH_MAX: usize = 16;

/// Every edge between the files of a tree and between the items of one file.
///
/// What a module merely shows of its own children is looked through: the module's own
/// text does not read it.
pub fn edges(tree: &Tree) -> Vec<Edge> {
    let mut edges = Edges {
        tree,
        seen: HashSet::new(),
        list: Vec::new(),
    };
    for (index, module) in tree.modules.iter().enumerate() {
        for import in &module.imports {
            // A module that is named, or all of it, is read by the paths that use it; so
            // is, item by item, what a folder's own text imports from its children.
            if let Some(found) = resolve(tree, index, &import.path, 0)
                && found.item.is_some()
                && !tree.is_around(index, found.module)
            {
                edges.add(index, None, &found, import.line, &import.path);
            }
        }
        for used in &module.paths {
            // One name alone is a value or a type, never a module: a variable of its name.
            if let Some(found) = resolve(tree, index, &used.path, 0)
                && (found.item.is_some() || used.path.len() > 1)
            {
                edges.add(index, used.item.as_ref(), &found, used.line, &used.path);
            }
        }
    }
    edges.list
}

struct Edges<'a> {
    tree: &'a Tree,
    seen: HashSet<Edge>,
    list: Vec<Edge>,
}

impl Edges<'_> {
    /// Adds the edge to what was found, and to what was passed on the way but for the
    /// modules around the reader.
    fn add(
        &mut self,
        from: usize,
        item: Option<&String>,
        found: &Found,
        line: usize,
        path: &[String],
    ) {
        let tree = self.tree;
        let hubs = found
            .through
            .iter()
            .filter(|hub| !tree.is_around(**hub, from));
        let targets = hubs
            .map(|hub| (*hub, None))
            .chain([(found.module, found.item.clone())]);
        for (to, to_item) in targets {
            let edge = Edge {
                from: tree.file_module(from),
                from_item: item.cloned(),
                to: tree.file_module(to),
                to_item,
                place: at(&tree.modules[from].file, line),
                path: path.join("::"),
            };
            if self.seen.insert(edge.clone()) {
                self.list.push(edge);
            }
        }
    }
}

/// What a path means in a module; `None` for what another crate or the prelude defines.
fn resolve(tree: &Tree, module: usize, path: &[String], depth: usize) -> Option<Found> {
    if depth > DEPTH_MAX {
        return None;
    }
    let (first, rest) = path.split_first()?;
    match first.as_str() {
        "crate" => walk(tree, 0, rest, depth),
        "self" => walk(tree, module, rest, depth),
        "super" => walk(tree, tree.modules[module].parent?, rest, depth),
        _ => find(tree, module, path, depth),
    }
}

/// Follows a path that begins inside a module; `super` may go on.
fn walk(tree: &Tree, module: usize, path: &[String], depth: usize) -> Option<Found> {
    match path.split_first() {
        None => Some(Found::at(module, None)),
        Some((first, rest)) if first == "super" => {
            walk(tree, tree.modules[module].parent?, rest, depth)
        }
        // A name that only a macro makes still lies in this module.
        Some((first, _)) => {
            find(tree, module, path, depth).or_else(|| Some(Found::at(module, Some(first))))
        }
    }
}

/// Looks the first name of a path up in a module: its children, its items, its imports.
fn find(tree: &Tree, module: usize, path: &[String], depth: usize) -> Option<Found> {
    let (first, rest) = path.split_first()?;
    if let Some(child) = tree.child(module, first) {
        return walk(tree, child, rest, depth);
    }
    let here = &tree.modules[module];
    if here.items.contains(first) {
        return Some(Found::at(module, Some(first)));
    }
    // The same name may be imported twice, in two functions: the first that is ours counts.
    for import in here
        .imports
        .iter()
        .filter(|import| import.name.as_ref() == Some(first))
    {
        let target: Vec<String> = import.path.iter().chain(rest).cloned().collect();
        if target != path
            && let Some(mut found) = resolve(tree, module, &target, depth + 1)
        {
            found.through.insert(0, module);
            return Some(found);
        }
    }
    for glob in here.imports.iter().filter(|import| import.name.is_none()) {
        // A glob gives only what its module knows; nothing is guessed.
        if let Some(from) = resolve(tree, module, &glob.path, depth + 1)
            && from.item.is_none()
            && from.module != module
            && let Some(mut found) = find(tree, from.module, path, depth + 1)
        {
            found.through.insert(0, module);
            return Some(found);
        }
    }
    None
}
