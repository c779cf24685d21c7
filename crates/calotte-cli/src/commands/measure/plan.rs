//! `calotte measure plan`: what to measure on the prototype, as files to fill in and a sheet.

use calotte::measurement::{PlanOptions as Settings, PlannedWeights};
use calotte_format::units::degrees;
use calotte_format::words;
use calotte_report::found::{PLAN_CAUTIONS, Planned, in_unit, name_with_unit, plan_json, planned};
use serde_json::Value;

use super::sheet;
use crate::Verdict;
use crate::arguments::PlanOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::{put_line, say};

/// Plans and writes.
pub fn run(options: &PlanOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    let cannot = |error: String| {
        Failure::new(error).hint(format!(
            "look at [drives] and sizes of {}",
            options.design.display()
        ))
    };
    let settings = Settings {
        count: options.count,
        repeated: options.repeated,
        times: options.times,
        noise: options.noise_mm * 1e-3,
        ..Settings::default()
    };
    let found = planned(&design.value, &settings, options.gauge_mm * 1e-3)
        .map_err(|error| cannot(error.to_string()))?;
    if let Some(target) = &options.out {
        let mut folder = ResultsFolder::prepare(target, options.force)?;
        folder.add(
            "points.csv",
            found.points_csv().map_err(|e| cannot(e.to_string()))?,
        );
        folder.add(
            "weights.csv",
            found.weights_csv().map_err(|e| cannot(e.to_string()))?,
        );
        folder.add(
            "sheet.html",
            sheet::html(&found.nominal, &found.model, &found.made, &found.weights)?,
        );
        folder.finish()?;
        say!("written: {}", target.display());
    }
    if options.json {
        put_line!("{:#}", Value::Object(plan_json(&found)));
    } else {
        print(&found);
    }
    Ok(Verdict::Met)
}

fn print(found: &Planned) {
    let (model, made) = (&found.model, &found.made);
    put_line!(
        "Points     {} rows, joints move {} degrees in all",
        made.configurations.len(),
        words::number(degrees(made.motion), 0)
    );
    put_line!(
        "Tells      least singular value {} of the noise; grid {}, random {} (median of {})",
        words::three(made.least_singular_value),
        words::three(made.of_grid),
        words::three(found.median_random()),
        made.of_random.len()
    );
    put_line!("{:<28}{:>20}", "Told by the points", "± expected error");
    for (index, error) in &made.told {
        let described = &model.parameters[*index];
        put_line!(
            "  {:<26}{:>20}",
            name_with_unit(described),
            words::number(in_unit(described, *error), 4)
        );
    }
    let not: Vec<String> = made
        .not_told
        .iter()
        .map(|index| name_with_unit(&model.parameters[*index]))
        .collect();
    wrapped("Not told", &not.join(", "));
    for one in &found.weights {
        wrapped("Weights", &hung(one));
    }
    for caution in PLAN_CAUTIONS {
        wrapped("CAUTION", caution);
    }
}

/// Text behind a heading, wrapped.
fn wrapped(heading: &str, text: &str) {
    for (index, line) in words::wrapped(text, 69).into_iter().enumerate() {
        put_line!("{:<10} {line}", if index == 0 { heading } else { "" });
    }
}

/// One configuration with its weights, in words.
fn hung(one: &PlannedWeights) -> String {
    let masses: Vec<String> = one.masses.iter().map(|m| words::three(*m)).collect();
    format!(
        "polar {}, {}: {} kg; {} µm/N, smallest {} times the gauge's noise, safety {}",
        words::angle(one.polar),
        sheet::pull_words(&one.pull),
        if masses.is_empty() {
            "none that is safe".to_string()
        } else {
            masses.join(", ")
        },
        words::three(one.per_newton * 1e6),
        words::three(one.signal),
        one.safety.map_or("not known".to_string(), words::three)
    )
}
