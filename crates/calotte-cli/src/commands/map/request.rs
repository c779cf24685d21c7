//! What a map is asked for, read from the command line.

use calotte::analysis::Requirements;
use calotte::analysis::map::{MapQuantity, MapTask, Variable};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte_format::units::{Unit, degrees, radians};

use crate::arguments::MapOptions;
use crate::failure::Failure;

/// Most cells a map may have.
const CELLS_MAX: usize = 40_000;

/// One axis: its variable with values in SI.
#[derive(Debug, Clone)]
pub struct AxisValues {
    /// The variable.
    pub variable: Variable,
    /// Values, SI, ascending.
    pub values: Vec<f64>,
}

impl AxisValues {
    /// The values as the command line writes them.
    pub fn shown(&self) -> Vec<f64> {
        self.values
            .iter()
            .map(|value| to_shown(self.variable, *value))
            .collect()
    }
}

/// A whole request.
pub struct Request {
    /// Along the figure.
    pub x: AxisValues,
    /// Up the figure.
    pub y: AxisValues,
    /// Other numbers that are changed for the whole map, SI.
    pub set: Vec<(Variable, f64)>,
    /// What each cell computes.
    pub task: MapTask,
    /// Lines of equal reach, rad.
    pub lines: Vec<f64>,
    /// Settings in words, for captions.
    pub settings: Vec<(String, String)>,
}

/// Unit of a variable on the command line.
fn unit(variable: Variable) -> Unit {
    match variable {
        Variable::Stages => Unit::One,
        Variable::Arc
        | Variable::TotalArc
        | Variable::Bend
        | Variable::FirstArc
        | Variable::SecondArc
        | Variable::Polar => Unit::Degree,
        Variable::JointRadius
        | Variable::TipRadius
        | Variable::Tangential
        | Variable::Radial
        | Variable::Diameter
        | Variable::BossDiameter => Unit::Millimetre,
        Variable::JointAxial | Variable::JointRadial | Variable::JointTilt => Unit::One,
    }
}

/// A value in SI as the command line writes it.
pub fn to_shown(variable: Variable, value: f64) -> f64 {
    unit(variable).from_si(value)
}

/// Least and greatest value a variable takes, as the command line writes it.
fn allowed(variable: Variable) -> (f64, f64) {
    match variable {
        Variable::Stages => (1.0, calotte::kinematics::STAGES_MAX as f64),
        Variable::Arc | Variable::FirstArc | Variable::SecondArc => (0.1, 179.9),
        Variable::TotalArc => (0.2, 5000.0),
        Variable::Bend => (-179.0, 179.0),
        Variable::Polar => (0.0, 180.0),
        Variable::BossDiameter => (0.0, 1e4),
        Variable::JointAxial | Variable::JointRadial | Variable::JointTilt => (1e-6, 1e15),
        _ => (1e-3, 1e5),
    }
}

fn variable(word: &str) -> Result<Variable, Failure> {
    let names: Vec<&str> = Variable::ALL.iter().map(|(_, name)| *name).collect();
    Variable::ALL
        .iter()
        .find(|(_, name)| *name == word || *name == format!("{word}_deg"))
        .map(|(variable, _)| *variable)
        .ok_or_else(|| unknown("variable", word, &names))
}

fn unknown(kind: &str, word: &str, names: &[&str]) -> Failure {
    let nearest = names
        .iter()
        .max_by(|a, b| strsim::jaro_winkler(a, word).total_cmp(&strsim::jaro_winkler(b, word)))
        .copied()
        .unwrap_or_default();
    Failure::new(format!(
        "unknown {kind} `{word}`\n  allowed: {}",
        names.join(", ")
    ))
    .hint(format!("write {nearest}"))
}

/// A number of a variable, in its unit.
fn value_of(variable: Variable, text: &str, whole: &str) -> Result<f64, Failure> {
    let (from, to) = allowed(variable);
    let name = variable.name();
    let value: f64 = text.trim().parse().map_err(|_| {
        Failure::new(format!("{name}: `{text}` in `{whole}` is no number")).hint(format!(
            "write {name}=8..40, {name}=8..40:0.5 or {name}=8,12,16"
        ))
    })?;
    if !(from..=to).contains(&value) {
        return Err(Failure::new(format!(
            "{name}: {value} in `{whole}` is outside {from} to {to}"
        ))
        .hint("give values within the range"));
    }
    if variable == Variable::Stages && value.fract() != 0.0 {
        return Err(
            Failure::new(format!("{name}: {value} is no whole number")).hint("write stages=1..8")
        );
    }
    Ok(value)
}

/// `name=8..40`, `name=8..40:0.5` or `name=8,12,16`.
fn axis(text: &str, option: &str) -> Result<AxisValues, Failure> {
    let (name, values) = text.split_once('=').ok_or_else(|| {
        Failure::new(format!(
            "{option} {text}: a variable and its values are expected"
        ))
        .hint(format!("write {option} stages=1..8"))
    })?;
    let variable = variable(name.trim())?;
    let mut shown = if let Some((from, rest)) = values.split_once("..") {
        let (to, step) = match rest.split_once(':') {
            Some((to, step)) => (to, step),
            None => (rest, "1"),
        };
        let (from, to) = (
            value_of(variable, from, text)?,
            value_of(variable, to, text)?,
        );
        let step: f64 = step.trim().parse().unwrap_or(f64::NAN);
        if step.is_nan() || step <= 0.0 {
            return Err(
                Failure::new(format!("{option} {text}: the step is not above zero"))
                    .hint(format!("write {option} {name}=8..40:0.5")),
            );
        }
        if from > to {
            return Err(
                Failure::new(format!("{option} {text}: the range runs backwards"))
                    .hint(format!("write {option} {name}={to}..{from}")),
            );
        }
        let count = ((to - from) / step + 1e-9).floor() as usize;
        if count > CELLS_MAX {
            return Err(
                Failure::new(format!("{option} {text}: {count} values")).hint("give a larger step")
            );
        }
        (0..=count).map(|i| from + i as f64 * step).collect()
    } else {
        values
            .split(',')
            .map(|part| value_of(variable, part, text))
            .collect::<Result<Vec<f64>, _>>()?
    };
    shown.sort_by(f64::total_cmp);
    shown.dedup();
    Ok(AxisValues {
        variable,
        values: shown.iter().map(|v| unit(variable).to_si(*v)).collect(),
    })
}

fn single(text: &str, option: &str) -> Result<(Variable, f64), Failure> {
    let axis = axis(text, option)?;
    if axis.values.len() == 1 {
        Ok((axis.variable, axis.values[0]))
    } else {
        Err(
            Failure::new(format!("{option} {text}: one value is expected"))
                .hint(format!("write {option} {}=60", axis.variable.name())),
        )
    }
}

impl Request {
    /// Reads the words of the command line for a design.
    pub fn read(
        options: &MapOptions,
        design: &Design,
        brief: Option<&Brief>,
    ) -> Result<Self, Failure> {
        let (x, y) = (axis(&options.x, "--x")?, axis(&options.y, "--y")?);
        if x.variable == y.variable {
            return Err(
                Failure::new(format!("--x and --y are both {}", x.variable.name()))
                    .hint("give two different variables"),
            );
        }
        let cells = x.values.len() * y.values.len();
        if cells > CELLS_MAX {
            return Err(
                Failure::new(format!("{cells} cells are more than {CELLS_MAX}"))
                    .hint("give larger steps"),
            );
        }
        let mut set = options
            .set
            .iter()
            .map(|text| single(text, "--set"))
            .collect::<Result<Vec<_>, _>>()?;
        set.retain(|(variable, _)| *variable != x.variable && *variable != y.variable);
        for (variable, value) in set
            .iter()
            .chain([&(x.variable, x.values[0]), &(y.variable, y.values[0])])
        {
            let mut changed = design.clone();
            variable.apply(&mut changed, *value).map_err(|error| {
                Failure::new(format!("{}: {error}", options.design.display()))
                    .hint("choose a variable that this design has")
            })?;
        }
        let mut at_polar = None;
        if let Some(text) = &options.at {
            let (variable, value) = single(text, "--at")?;
            if variable != Variable::Polar {
                return Err(
                    Failure::new(format!("--at {text}: only polar can be given"))
                        .hint("write --at polar=60"),
                );
            }
            at_polar = Some(value);
        }
        let quantities = options
            .show
            .split(',')
            .map(|word| {
                let word = word.trim();
                let names: Vec<&str> = MapQuantity::ALL.iter().map(|(_, name)| *name).collect();
                MapQuantity::ALL
                    .iter()
                    .find(|(_, name)| *name == word)
                    .map(|(quantity, _)| *quantity)
                    .ok_or_else(|| unknown("quantity", word, &names))
            })
            .collect::<Result<Vec<_>, _>>()?;
        let lines = lines(options.line.as_deref())?;
        let requirements = match brief {
            Some(brief) => Requirements::from_brief(brief),
            None => Requirements::without_brief(design),
        };
        let task = MapTask {
            requirements,
            quantities,
            at_polar,
            dimensionless: options.dimensionless,
        };
        let settings = settings(options, design, &set, &task, brief.is_some());
        Ok(Self {
            x,
            y,
            set,
            task,
            lines,
            settings,
        })
    }
}

/// `reach=94` or `reach=80,94`.
fn lines(text: Option<&str>) -> Result<Vec<f64>, Failure> {
    let Some(text) = text else {
        return Ok(Vec::new());
    };
    let bad = || {
        Failure::new(format!("--line {text}: a line of equal reach is expected"))
            .hint("write --line reach=94 or --line reach=80,94")
    };
    let values = text.strip_prefix("reach=").ok_or_else(bad)?;
    values
        .split(',')
        .map(|part| {
            part.trim()
                .parse::<f64>()
                .ok()
                .filter(|v| (0.0..=180.0).contains(v))
                .map(radians)
                .ok_or_else(bad)
        })
        .collect()
}

fn settings(
    options: &MapOptions,
    design: &Design,
    set: &[(Variable, f64)],
    task: &MapTask,
    from_brief: bool,
) -> Vec<(String, String)> {
    let mut settings = vec![
        ("linkage".to_string(), design.family.name().to_string()),
        (
            "drive layout".to_string(),
            crate::words::drive_layout(design).to_string(),
        ),
        (
            "radius".to_string(),
            format!("{} mm", crate::words::three(design.joint_radius * 1e3)),
        ),
        (
            "section".to_string(),
            crate::words::section(&design.section),
        ),
        ("material".to_string(), design.material.name.clone()),
    ];
    if let Some(joints) = &design.joints.stiffness {
        settings.push((
            "joints as given".to_string(),
            format!(
                "{} N/m axial, {} N/m radial, {} N·m/rad tilt",
                joints.axial.value, joints.radial.value, joints.tilt.value
            ),
        ));
    }
    for (variable, value) in set {
        settings.push((
            variable.name().to_string(),
            to_shown(*variable, *value).to_string(),
        ));
    }
    settings.push((
        "elastic quantities".to_string(),
        match (
            task.at_polar,
            options.x.starts_with("polar") || options.y.starts_with("polar"),
        ) {
            (_, true) => "at the polar angle given".to_string(),
            (Some(polar), _) => format!("at polar {}°", degrees(polar)),
            (None, _) => "worst over the covered directions".to_string(),
        },
    ));
    settings.push((
        "region".to_string(),
        if from_brief {
            "from the brief".to_string()
        } else {
            "cap of 90° about the base axis; transmission angle at least 20° for elastic quantities"
                .to_string()
        },
    ));
    if task.dimensionless {
        settings.push((
            "dimensionless".to_string(),
            "stiffness as k R³/(E I), I for bending in the arc's plane".to_string(),
        ));
    }
    settings
}
