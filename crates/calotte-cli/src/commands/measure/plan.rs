//! `calotte measure plan`: what to measure on the prototype, as files to fill in and a sheet.

use calotte::brief::LoadPlace;
use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::kinematics::working_range::all_ranges;
use calotte::measurement::{
    Course, PhysicalModel, Plan, PlanOptions as Settings, PlannedWeights, plan, plan_weights,
};
use calotte::uncertain::Corner;
use calotte_format::found::{in_unit, name_with_unit};
use calotte_format::measurement::{
    PlannedPoint, PlannedWeight, template_reading, write_points_template, write_weights_template,
};
use calotte_format::units::degrees;
use calotte_format::words;
use serde_json::{Value, json};

use super::sheet;
use crate::Verdict;
use crate::arguments::PlanOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::put_line;

/// Acceleration that makes a weight of a mass, m/s².
const GRAVITY: f64 = calotte::statics::STANDARD_GRAVITY;

/// Plans and writes.
pub fn run(options: &PlanOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    let nominal = design.value.at_corner(Corner::Nominal);
    let cannot = |error: String| {
        Failure::new(error).hint(format!(
            "look at [drives] and sizes of {}",
            options.design.display()
        ))
    };
    let model = PhysicalModel::new(&nominal).map_err(|error| cannot(error.to_string()))?;
    let settings = Settings {
        count: options.count,
        repeated: options.repeated,
        times: options.times,
        noise: options.noise_mm * 1e-3,
        ..Settings::default()
    };
    let mut made = plan(&nominal, &model, &settings).map_err(|error| cannot(error.to_string()))?;
    // What the operator sets is what the file says, to a thousandth of a degree.
    let values = model.nominal();
    for row in &mut made.configurations {
        row.readings = row.readings.map(template_reading);
        row.expected = model
            .sensor(row.readings, [0.0; 2], &values)
            .unwrap_or(row.expected);
    }
    let kinematics = Kinematics::new(&nominal).map_err(|error| cannot(error.to_string()))?;
    let range = all_ranges(&kinematics, &nominal.drives.range, &settings.margins)
        .into_iter()
        .max_by(|a, b| (a.second[1] - a.second[0]).total_cmp(&(b.second[1] - b.second[0])));
    let weights = match range {
        Some(range) => plan_weights(&nominal, &range, options.gauge_mm * 1e-3)
            .map_err(|error| cannot(error.to_string()))?,
        None => Vec::new(),
    };
    if let Some(target) = &options.out {
        let mut folder = ResultsFolder::prepare(target, options.force)?;
        folder.add(
            "points.csv",
            points(&nominal, &made).map_err(|e| cannot(e.to_string()))?,
        );
        folder.add(
            "weights.csv",
            weights_file(&nominal, &weights).map_err(|e| cannot(e.to_string()))?,
        );
        folder.add(
            "sheet.html",
            sheet::html(&nominal, &model, &made, &weights)?,
        );
        folder.finish()?;
        eprintln!("written: {}", target.display());
    }
    if options.json {
        put_line!("{:#}", document(&model, &made, &weights));
    } else {
        print(&model, &made, &weights);
    }
    Ok(Verdict::Met)
}

fn points(design: &Design, made: &Plan) -> Result<String, calotte::linkage::LinkageError> {
    let planned: Vec<PlannedPoint> = made
        .configurations
        .iter()
        .map(|row| PlannedPoint {
            readings: row.readings,
            expected: row.expected,
            group: row.group.clone(),
        })
        .collect();
    write_points_template(design, &planned)
}

/// Nothing, then weights put on, then taken off again, nothing.
fn weights_file(
    design: &Design,
    planned: &[PlannedWeights],
) -> Result<String, calotte::linkage::LinkageError> {
    let rows: Vec<PlannedWeight> = planned
        .iter()
        .flat_map(|one| {
            let row = |mass: f64, course: Course| PlannedWeight {
                readings: one.readings.map(template_reading),
                mass,
                place: LoadPlace::Tip,
                pull: one.pull,
                axis: one.axis,
                expected: mass * GRAVITY * one.per_newton,
                course,
            };
            let up = std::iter::once(0.0).chain(one.masses.iter().copied());
            let down = one
                .masses
                .iter()
                .rev()
                .skip(1)
                .copied()
                .chain(std::iter::once(0.0));
            let up: Vec<PlannedWeight> = up.map(|mass| row(mass, Course::Loading)).collect();
            let down: Vec<PlannedWeight> = down.map(|mass| row(mass, Course::Unloading)).collect();
            if one.masses.is_empty() {
                Vec::new()
            } else {
                [up, down].concat()
            }
        })
        .collect();
    write_weights_template(design, &rows)
}

/// Median of the random plans.
fn median_random(made: &Plan) -> f64 {
    made.of_random
        .get(made.of_random.len() / 2)
        .copied()
        .unwrap_or(0.0)
}

fn print(model: &PhysicalModel, made: &Plan, weights: &[PlannedWeights]) {
    put_line!(
        "Points     {} rows, joints move {} degrees in all",
        made.configurations.len(),
        words::number(degrees(made.motion), 0)
    );
    put_line!(
        "Tells      least singular value {} of the noise; grid {}, random {} (median of {})",
        words::three(made.least_singular_value),
        words::three(made.of_grid),
        words::three(median_random(made)),
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
    for (index, line) in words::wrapped(&not.join(", "), 69).into_iter().enumerate() {
        put_line!("{:<10} {line}", if index == 0 { "Not told" } else { "" });
    }
    for one in weights {
        let masses: Vec<String> = one.masses.iter().map(|m| words::three(*m)).collect();
        let text = format!(
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
        );
        for (index, line) in words::wrapped(&text, 69).into_iter().enumerate() {
            put_line!("{:<10} {line}", if index == 0 { "Weights" } else { "" });
        }
    }
    for caution in sheet::CAUTIONS {
        for (index, line) in words::wrapped(caution, 69).into_iter().enumerate() {
            put_line!("{:<10} {line}", if index == 0 { "CAUTION" } else { "" });
        }
    }
}

fn document(model: &PhysicalModel, made: &Plan, weights: &[PlannedWeights]) -> Value {
    let rows: Vec<Value> = made
        .configurations
        .iter()
        .map(|row| {
            json!({
                "readings_deg": row.readings.map(degrees),
                "expected_mm": (row.expected * 1e3).as_slice(),
                "group": row.group,
            })
        })
        .collect();
    let told: Vec<Value> = made
        .told
        .iter()
        .map(|(index, error)| {
            let described = &model.parameters[*index];
            json!({ "name": name_with_unit(described), "expected_error": in_unit(described, *error) })
        })
        .collect();
    let hung: Vec<Value> = weights
        .iter()
        .map(|one| {
            json!({
                "readings_deg": one.readings.map(degrees),
                "polar_deg": degrees(one.polar),
                "pull": one.pull.as_slice(),
                "masses_kg": one.masses,
                "gauge_axis": one.axis.as_slice(),
                "displacement_um_per_n": one.per_newton * 1e6,
                "safety_factor_yield": one.safety,
                "signal_to_noise_of_smallest": one.signal,
            })
        })
        .collect();
    json!({
        "rows": rows,
        "least_singular_value": made.least_singular_value,
        "least_singular_value_of_grid": made.of_grid,
        "least_singular_value_of_random": { "median": median_random(made), "plans": made.of_random },
        "told": told,
        "not_told": made.not_told.iter()
            .map(|index| name_with_unit(&model.parameters[*index])).collect::<Vec<_>>(),
        "motion_deg": degrees(made.motion),
        "weights": hung,
        "cautions": sheet::CAUTIONS,
    })
}
