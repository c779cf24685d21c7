//! The modules of one compiled root (a library, a program, a test) as a tree, each with
//! what it defines, imports and names by path.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use super::names::{self, Import, Names, PathUse};

/// A module; inline modules are modules of their own here, and belong to their file.
pub struct Module {
    /// Names from the root down; empty for the root.
    pub path: Vec<String>,
    /// The file it is written in.
    pub file: PathBuf,
    /// Whether it is written inside the file of its parent.
    pub inline: bool,
    /// The module around it.
    pub parent: Option<usize>,
    /// The modules in it.
    pub children: Vec<usize>,
    /// Names it defines, modules left out.
    pub items: HashSet<String>,
    /// Its `use` declarations, one a name.
    pub imports: Vec<Import>,
    /// The paths in everything else.
    pub paths: Vec<PathUse>,
}

/// All modules of one root; the first is the root itself.
pub struct Tree {
    /// The modules.
    pub modules: Vec<Module>,
}

impl Tree {
    /// Reads the root file and every file its `mod` declarations lead to.
    pub fn read(root: &Path) -> Result<Self, String> {
        let mut tree = Self {
            modules: Vec::new(),
        };
        let folder = root.parent().unwrap_or(Path::new("")).to_path_buf();
        tree.read_file(root, &folder, Vec::new(), None)?;
        Ok(tree)
    }

    /// Reads one file; `folder` is where files of its child modules lie.
    fn read_file(
        &mut self,
        file: &Path,
        folder: &Path,
        path: Vec<String>,
        parent: Option<usize>,
    ) -> Result<usize, String> {
        let text = std::fs::read_to_string(file)
            .map_err(|error| format!("{}: cannot be read: {error}", file.display()))?;
        let syntax = syn::parse_file(&text)
            .map_err(|error| format!("{}: {error}", at(file, error.span().start().line)))?;
        self.add(
            names::of_items(&syntax.items),
            file,
            folder,
            path,
            parent,
            false,
        )
    }

    fn add(
        &mut self,
        names: Names,
        file: &Path,
        folder: &Path,
        path: Vec<String>,
        parent: Option<usize>,
        inline: bool,
    ) -> Result<usize, String> {
        let index = self.modules.len();
        self.modules.push(Module {
            path: path.clone(),
            file: file.to_path_buf(),
            inline,
            parent,
            children: Vec::new(),
            items: names.items,
            imports: names.imports,
            paths: names.paths,
        });
        for child in names.modules {
            let mut child_path = path.clone();
            child_path.push(child.name.clone());
            let added = match child.inside {
                Some(inside) => {
                    let folder = folder.join(&child.name);
                    self.add(*inside, file, &folder, child_path, Some(index), true)?
                }
                None => {
                    let beside = |at: &str| file.parent().unwrap_or(Path::new("")).join(at);
                    // A file named by hand stands like a `mod.rs`: its children lie beside it.
                    let found = match &child.file {
                        Some(named) => beside(named),
                        None => [
                            folder.join(format!("{}.rs", child.name)),
                            folder.join(&child.name).join("mod.rs"),
                        ]
                        .into_iter()
                        .find(|candidate| candidate.exists())
                        .ok_or_else(|| {
                            format!("{}: no file for `mod {}`", at(file, child.line), child.name)
                        })?,
                    };
                    let own = found.parent().unwrap_or(Path::new("")).to_path_buf();
                    let stands_in_folder =
                        child.file.is_some() || found.file_name().is_some_and(|n| n == "mod.rs");
                    let folder = if stands_in_folder {
                        own
                    } else {
                        own.join(&child.name)
                    };
                    self.read_file(&found, &folder, child_path, Some(index))?
                }
            };
            self.modules[index].children.push(added);
        }
        Ok(index)
    }

    /// The module whose file a module is written in.
    pub fn file_module(&self, mut module: usize) -> usize {
        while self.modules[module].inline {
            module = self.modules[module]
                .parent
                .expect("an inline module has a parent");
        }
        module
    }

    /// Whether `above` is `below` or a module around it.
    pub fn is_around(&self, above: usize, below: usize) -> bool {
        self.modules[below]
            .path
            .starts_with(&self.modules[above].path)
    }

    /// The child of this name.
    pub fn child(&self, module: usize, name: &str) -> Option<usize> {
        let children = &self.modules[module].children;
        children.iter().copied().find(|child| {
            self.modules[*child]
                .path
                .last()
                .is_some_and(|last| last == name)
        })
    }

    /// The name of a module in messages.
    pub fn name(&self, module: usize) -> String {
        match self.modules[module].path.as_slice() {
            [] => "the root".to_string(),
            path => format!("`{}`", path.join("::")),
        }
    }
}

/// `file:line`.
pub fn at(file: &Path, line: usize) -> String {
    format!("{}:{line}", file.display())
}
