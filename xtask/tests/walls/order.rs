//! The order of the modules of `calotte`, as the table in ARCHITECTURE.md gives it.

use super::edges::Edge;
use super::tree::Tree;

/// The line above the table.
const HEADING: &str = "Inside `crates/calotte`";

/// Paths of modules in the order of the table, such as `sphere` or `family::parameters`.
///
/// # Errors
/// In words, where the table is not found.
pub fn read(architecture: &str) -> Result<Vec<String>, String> {
    let mut lines = architecture
        .lines()
        .skip_while(|line| !line.starts_with(HEADING))
        .skip_while(|line| !line.starts_with("| ---"))
        .skip(1)
        .take_while(|line| line.starts_with('|'))
        .peekable();
    if lines.peek().is_none() {
        return Err(format!(
            "ARCHITECTURE.md has no table of modules below a line that begins with {HEADING:?}"
        ));
    }
    let mut order = Vec::new();
    for line in lines {
        let cell = line.split('|').nth(1).unwrap_or_default();
        // Names stand between backticks: every second piece.
        order.extend(cell.split('`').skip(1).step_by(2).map(str::to_string));
    }
    Ok(order)
}

/// Modules without a row and rows without a module, in words.
pub fn differences(tree: &Tree, order: &[String]) -> Vec<String> {
    let mut texts = Vec::new();
    for child in &tree.modules[0].children {
        if !tree.modules[*child].inline && rank(tree, *child, order).is_none() {
            texts.push(format!(
                "module {} of calotte has no row in ARCHITECTURE.md's table of modules: add it \
                 below everything it reads",
                tree.name(*child)
            ));
        }
    }
    for row in order {
        if !tree
            .modules
            .iter()
            .any(|module| module.path.join("::") == *row)
        {
            texts.push(format!(
                "ARCHITECTURE.md's table of modules has a row `{row}`, and calotte no such module"
            ));
        }
    }
    texts
}

/// Edges to a module that stands lower in the table, each as text.
pub fn upward(tree: &Tree, edges: &[Edge], order: &[String]) -> Vec<String> {
    let mut texts = Vec::new();
    for edge in edges {
        let (Some(from), Some(to)) = (rank(tree, edge.from, order), rank(tree, edge.to, order))
        else {
            continue;
        };
        if to > from {
            texts.push(format!(
                "{}: `{}` reads `{}` by `{}`, which the table in ARCHITECTURE.md lists after it\n  \
                 What to do: move what is read down to `{}` or below, or the reader up.",
                edge.place, order[from], order[to], edge.path, order[from]
            ));
        }
    }
    texts
}

/// Place of a module in the order: of the longest row it lies in.
fn rank(tree: &Tree, module: usize, order: &[String]) -> Option<usize> {
    let path = &tree.modules[module].path;
    (1..=path.len()).rev().find_map(|length| {
        let name = path[..length].join("::");
        order.iter().position(|row| *row == name)
    })
}
