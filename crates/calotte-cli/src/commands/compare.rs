//! `calotte compare`: designs side by side, and a measured prototype among them.

use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::family::parameters::Capability;
use calotte_report::found::FitRead;

use crate::Verdict;
use crate::arguments::CompareOptions;
use crate::commands::design::next::fit_of;
use crate::failure::Failure;
use crate::inputs;
use crate::put;
use crate::terminal;
use calotte_report::compare::{Column, Measured, document, text};
use calotte_report::input::Input;
use calotte_report::prototype::{Over, as_found};

/// Runs the command; not met if one design misses a limit of the brief.
pub fn run(options: &CompareOptions) -> Result<Verdict, Failure> {
    if options.designs.len() < 2 && options.measured.is_none() {
        return Err(Failure::new("compare needs at least two designs")
            .hint("calotte compare a/design.toml b/design.toml, or one with --measured fit.json"));
    }
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    let mut columns = Vec::new();
    for path in &options.designs {
        let design = inputs::design(path)?;
        if options.measured.is_some() {
            inputs::offers(&design, Capability::Measurement)?;
        }
        columns.push(column(path.display().to_string(), design, brief.as_ref())?);
    }
    let fit = options.measured.as_deref().zip(columns.first());
    let fit = fit
        .map(|(path, first)| fit_of(path, &first.design))
        .transpose()?;
    if let Some(fit) = &fit {
        columns = with_prototype(columns, fit, brief.as_ref())?;
    }
    let people_near = brief.as_ref().is_none_or(|brief| brief.value.people_near);
    if options.json {
        let document = document(&columns, brief.as_ref(), fit.as_ref());
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
    } else {
        put!("{}", text(&columns, fit.as_ref(), people_near));
    }
    Ok(if columns.iter().all(|c| c.analysis.met()) {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}

fn requirements(design: &Design, brief: Option<&Input<Brief>>) -> Requirements {
    match brief {
        Some(brief) => Requirements::from_brief(&brief.value),
        None => Requirements::without_brief(design),
    }
}

/// A design, analysed.
fn column(
    name: String,
    design: Input<Design>,
    brief: Option<&Input<Brief>>,
) -> Result<Column, Failure> {
    inputs::offers_what_is_asked(&design, brief)?;
    let requirements = requirements(&design.value, brief);
    let analysis = analyse(&design.value, &requirements, &AnalysisOptions::default())
        .map_err(|error| inputs::refused(&error, &design, brief))?;
    Ok(Column {
        name,
        design,
        analysis,
        measured: None,
    })
}

/// The columns with the prototype as it was found behind the first, which predicted it.
fn with_prototype(
    mut columns: Vec<Column>,
    fit: &Input<FitRead>,
    brief: Option<&Input<Brief>>,
) -> Result<Vec<Column>, Failure> {
    let mut rest = columns.split_off(1);
    let Some(mut first) = columns.pop() else {
        return Ok(rest);
    };
    let design = first.design.value.clone();
    let found = Input {
        value: as_found(&design, &fit.value)?,
        path: first.design.path.clone(),
        text: first.design.text.clone(),
        sha256: first.design.sha256.clone(),
    };
    let requirements = requirements(&design, brief);
    let name = format!("the same as measured, {}", fit.path.display());
    let mut prototype = column(name, found, brief)?;
    for next in &mut rest {
        next.measured = Some(Measured::of_next(
            &next.design.value,
            &design,
            &prototype.design.value,
            &fit.value,
            Over::of(&next.analysis, &requirements),
        )?);
        next.name.push_str(", predicted");
    }
    prototype.measured = Some(Measured::of_prototype(
        &design,
        &fit.value,
        Over::of(&first.analysis, &requirements),
    )?);
    first.measured = Some(Measured::of_design(&design, &fit.value));
    first.name.push_str(", predicted");
    let mut all = vec![first, prototype];
    all.append(&mut rest);
    Ok(all)
}
