//! The next prototype: what a built one was, what measuring identified of it, what of it stays.

use std::path::Path;

use calotte::brief::{Brief, Kept};
use calotte::design::Design;
use calotte::family::parameters::Capability;
use calotte::search::{KeptError, as_measured, narrowed};
use calotte_report::found::{FitRead, read_fit};
use calotte_report::input::Input;
use calotte_report::prototype::{Prototype, as_found};

use crate::arguments::DesignOptions;
use crate::failure::Failure;
use crate::files::{read_text, sha256};
use crate::inputs;

/// The prototype that the options name; `None` without one.
pub fn prototype(options: &DesignOptions) -> Result<Option<Prototype>, Failure> {
    let Some(path) = &options.from else {
        return Ok(None);
    };
    let design = inputs::design_offering(path, Capability::Search)?;
    let mut kept = kept_parts(&options.keep, &design.value)?;
    let fit = options
        .use_fit
        .as_deref()
        .map(|path| fit_of(path, &design))
        .transpose()?;
    let found = match &fit {
        Some(fit) => as_found(&design.value, &fit.value)?,
        None => design.value.clone(),
    };
    kept.design = found;
    Ok(Some(Prototype { kept, design, fit }))
}

/// Reads the fit of a design.
pub fn fit_of(path: &Path, design: &Input<Design>) -> Result<Input<FitRead>, Failure> {
    let text = read_text(path)?;
    let value = read_fit(&text, &design.value).map_err(|error| {
        Failure::new(format!("{} {}", path.display(), error.message)).hint(&error.hint)
    })?;
    if value.design_sha256 != design.sha256 {
        return Err(Failure::new(format!(
            "{} is the fit of another design, or {} has changed since it was measured\n  the fit's design has SHA-256 {}, this one {}",
            path.display(),
            design.path.display(),
            value.design_sha256,
            design.sha256
        ))
        .hint(format!(
            "fit the measurements beside this design: calotte measure fit {} POINTS --out DIR",
            design.path.display()
        )));
    }
    Ok(Input {
        value,
        path: path.to_path_buf(),
        sha256: sha256(text.as_bytes()),
        text,
    })
}

/// What `--keep` names of a design.
fn kept_parts(names: &[String], design: &Design) -> Result<Kept, Failure> {
    let mut kept = Kept {
        design: design.clone(),
        ground: false,
        base: false,
        bars: Vec::new(),
        space: None,
    };
    for name in names {
        match name.trim() {
            "ground" => kept.ground = true,
            "base" => (kept.ground, kept.base) = (true, true),
            bars => kept.bars.extend(bars_of(bars).ok_or_else(|| {
                Failure::new(format!(
                    "--keep {name}: no part is called so\n  allowed: ground (mount and drives), base (ground and base bars), bars:N, bars:N-M, separated by commas; bars are counted from 1 at the base bars outward"
                ))
                .hint("--keep base,bars:1-2")
            })?),
        }
    }
    kept.bars.sort_unstable();
    kept.bars.dedup();
    Ok(kept)
}

/// Numbers of `bars:1-2` or `bars:3`.
fn bars_of(name: &str) -> Option<Vec<usize>> {
    let numbers = name.strip_prefix("bars:")?;
    let (from, to) = numbers.split_once('-').unwrap_or((numbers, numbers));
    let [from, to] = [from, to].map(|number| number.trim().parse::<usize>().ok());
    let (from, to) = (from?, to?);
    (from >= 1 && from <= to && to <= BARS_MAX).then(|| (from..=to).collect())
}

/// No linkage here has more bars in a branch.
const BARS_MAX: usize = 100;

/// The brief that measuring and the kept parts leave.
pub fn narrowed_brief(prototype: &Prototype, brief: &Input<Brief>) -> Result<Brief, Failure> {
    let told = prototype.fit.as_ref().map(|fit| &fit.value.told_by_weights);
    let measured = match told {
        Some(told) => as_measured(&brief.value, &prototype.kept.design, told),
        None => brief.value.clone(),
    };
    narrowed(&measured, &prototype.kept).map_err(|error| {
        let prototype = prototype.design.path.display();
        match calotte_format::refused_to_keep(&error, &brief.text) {
            Some(error) => Failure::format(&error, &brief.path),
            // What --keep names is in no file.
            None => Failure::new(format!("{error}\n  prototype: {prototype}")).hint(match error {
                KeptError::NotYet(_) => "keep its base alone, or nothing of it",
                _ => "name with --keep only parts that the prototype has",
            }),
        }
    })
}
