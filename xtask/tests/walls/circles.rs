//! Circles of sibling modules.
//!
//! The nodes of a folder are its child modules, each with all that lies below it, and
//! the items of the folder's own text (`mod.rs`, `lib.rs`, `main.rs` or the file beside
//! the folder) one by one: a type that the children share and a function that calls the
//! children are two things, but what a child reads of its folder must not need that
//! child. A circle is a group of nodes with a module in it in which each one reads, in
//! the end, itself.

use std::collections::BTreeMap;

use petgraph::algo::tarjan_scc;
use petgraph::graphmap::DiGraphMap;

use super::edges::Edge;
use super::tree::Tree;

/// A child module, or an item of the folder's own text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Node<'a> {
    Module(usize),
    Item(&'a str),
    /// The folder's `use` declarations and `impl` blocks; nobody reads them.
    Unnamed,
}

type Pairs<'a> = BTreeMap<(Node<'a>, Node<'a>), &'a Edge>;

/// The circles of a tree, each as text: its modules and one place for each edge.
pub fn circles(tree: &Tree, edges: &[Edge]) -> Vec<String> {
    let mut folders: BTreeMap<usize, Pairs> = BTreeMap::new();
    for edge in edges {
        let folder = nearest_common(tree, edge.from, edge.to);
        let pair = (
            node(tree, folder, edge.from, edge.from_item.as_deref()),
            node(tree, folder, edge.to, edge.to_item.as_deref()),
        );
        folders
            .entry(folder)
            .or_default()
            .entry(pair)
            .or_insert(edge);
    }
    let mut texts = Vec::new();
    for (folder, pairs) in &folders {
        let graph: DiGraphMap<Node, ()> = DiGraphMap::from_edges(pairs.keys());
        for mut group in tarjan_scc(&graph) {
            let a_module = group.iter().any(|node| matches!(node, Node::Module(_)));
            if group.len() > 1 && a_module {
                group.sort_unstable();
                texts.push(text(tree, *folder, &group, pairs));
            }
        }
    }
    texts
}

fn text(tree: &Tree, folder: usize, group: &[Node], pairs: &Pairs) -> String {
    let name = |node: &Node| match node {
        Node::Module(module) => tree.name(*module),
        Node::Item(item) => format!("`{item}` of {} itself", tree.name(folder)),
        Node::Unnamed => format!("{} itself", tree.name(folder)),
    };
    let names: Vec<String> = group.iter().map(name).collect();
    let mut lines = vec![format!(
        "{} modules of {} ({}) read one another in a circle: {}",
        group.len(),
        tree.name(folder),
        tree.modules[folder].file.display(),
        names.join(", ")
    )];
    for ((from, to), edge) in pairs {
        if group.contains(from) && group.contains(to) {
            lines.push(format!(
                "  {}: {} reads {} by `{}`",
                edge.place,
                name(from),
                name(to),
                edge.path
            ));
        }
    }
    lines.push(
        "  What to do: move what both need into a module of its own below both, or to where it \
         is used."
            .to_string(),
    );
    lines.join("\n")
}

/// The innermost module around both.
fn nearest_common(tree: &Tree, first: usize, second: usize) -> usize {
    let mut folder = first;
    while !tree.is_around(folder, second) {
        folder = tree.modules[folder]
            .parent
            .expect("the root is around everything");
    }
    folder
}

/// The child of a folder in which a module lies, or the item of the folder itself.
fn node<'a>(tree: &Tree, folder: usize, mut module: usize, item: Option<&'a str>) -> Node<'a> {
    if module == folder {
        return item.map_or(Node::Unnamed, Node::Item);
    }
    while tree.modules[module].parent != Some(folder) {
        module = tree.modules[module]
            .parent
            .expect("it lies below the folder");
    }
    Node::Module(module)
}
