//! What a map is asked for, in the words of the command line.
//!
//! The page sends the same words, so that every figure of a map can name the
//! command that makes it. Parts: [`names`] (labels and units of what is varied and
//! shown), [`settings`] (what stays, in words).

pub mod names;
pub mod settings;

use calotte::analysis::Requirements;
use calotte::analysis::map::{MapError, MapGrid, MapTask, Variable};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::quantity::{Need, Quantity};
use thiserror::Error;

use crate::units::radians;
use settings::settings;

/// Words that cannot be computed.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{message}")]
pub struct RequestError {
    /// What is wrong, with the word and what is allowed.
    pub message: String,
    /// What to try.
    pub hint: String,
}

impl RequestError {
    fn new(message: impl std::fmt::Display) -> Self {
        Self {
            message: message.to_string(),
            hint: String::new(),
        }
    }

    fn hint(mut self, hint: impl std::fmt::Display) -> Self {
        self.hint = hint.to_string();
        self
    }
}

/// The words of a request, as the options of `calotte map`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MapWords {
    /// How messages name the design.
    pub design_name: String,
    /// Variable along the figure with its values: `stages=1..8`.
    pub x: String,
    /// Variable up the figure.
    pub y: String,
    /// Quantities, separated by commas.
    pub show: String,
    /// Lines of equal reach: `reach=94`.
    pub line: Option<String>,
    /// Other numbers changed for the whole map: `total_arc_deg=94`.
    pub set: Vec<String>,
    /// Where elastic quantities are taken: `polar=60`; without it the worst over the region.
    pub at: Option<String>,
    /// Stiffness as k R³/(E I).
    pub dimensionless: bool,
}

/// Most cells a map may have.
const CELLS_MAX: usize = 40_000;

/// Most lines of equal reach that can be told apart.
const LINES_MAX: usize = 4;

/// One axis: its variable with values in SI.
#[derive(Debug, Clone)]
pub struct AxisValues {
    /// The variable.
    pub variable: Variable,
    /// Values, SI, ascending.
    pub values: Vec<f64>,
    /// The values as the command line writes them.
    pub shown: Vec<f64>,
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

fn variable(word: &str) -> Result<Variable, RequestError> {
    let names: Vec<&str> = Variable::ALL.iter().map(|(_, name)| *name).collect();
    Variable::ALL
        .iter()
        .find(|(_, name)| *name == word)
        .map(|(variable, _)| *variable)
        .ok_or_else(|| unknown("variable", word, &names))
}

fn unknown(kind: &str, word: &str, names: &[&str]) -> RequestError {
    let nearest = names
        .iter()
        .max_by(|a, b| strsim::jaro_winkler(a, word).total_cmp(&strsim::jaro_winkler(b, word)))
        .copied()
        .unwrap_or_default();
    RequestError::new(format!(
        "unknown {kind} `{word}`\n  allowed: {}",
        names.join(", ")
    ))
    .hint(format!("write {nearest}"))
}

/// Whether a variable counts something.
fn counts(variable: Variable) -> bool {
    matches!(variable, Variable::Stages | Variable::Layers)
}

/// A number of a variable, in its unit.
fn value_of(variable: Variable, text: &str, whole: &str) -> Result<f64, RequestError> {
    let (from, to) = names::allowed(variable);
    let name = variable.name();
    let value: f64 = text.trim().parse().map_err(|_| {
        RequestError::new(format!("{name}: `{text}` in `{whole}` is not a number")).hint(format!(
            "write {name}=8..40, {name}=8..40:0.5 or {name}=8,12,16"
        ))
    })?;
    if !(from..=to).contains(&value) {
        return Err(RequestError::new(format!(
            "{name}: {value} in `{whole}` is outside {from} to {to}"
        ))
        .hint(format!("give values from {from} to {to}")));
    }
    if counts(variable) && value.fract() != 0.0 {
        return Err(
            RequestError::new(format!("{name}: {value} is no whole number"))
                .hint(format!("write {name}=2..6")),
        );
    }
    Ok(value)
}

/// `name=8..40`, `name=8..40:0.5` or `name=8,12,16`.
fn axis(text: &str, option: &str) -> Result<AxisValues, RequestError> {
    let (name, values) = text.split_once('=').ok_or_else(|| {
        RequestError::new(format!(
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
        if !(step > 0.0 && step.is_finite()) {
            return Err(RequestError::new(format!(
                "{option} {text}: the step is not a number above zero"
            ))
            .hint(format!("write {option} {name}={from}..{to}:0.5")));
        }
        if from > to {
            return Err(
                RequestError::new(format!("{option} {text}: the range runs backwards"))
                    .hint(format!("write {option} {name}={to}..{from}")),
            );
        }
        if counts(variable) && step.fract() != 0.0 {
            return Err(
                RequestError::new(format!("{option} {text}: {name} go in whole steps"))
                    .hint(format!("write {option} {name}={from}..{to}")),
            );
        }
        let count = ((to - from) / step + 1e-9).floor() as usize;
        if count > CELLS_MAX {
            return Err(
                RequestError::new(format!("{option} {text}: {count} values"))
                    .hint("give a larger step"),
            );
        }
        (0..=count).map(|i| tidy(from + i as f64 * step)).collect()
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
        values: shown
            .iter()
            .map(|value| names::unit(variable).to_si(*value))
            .collect(),
        shown,
    })
}

/// A value without the last digits that repeated addition leaves.
fn tidy(value: f64) -> f64 {
    format!("{value:.9}").parse().unwrap_or(value)
}

/// One variable with its value in SI: `total_arc_deg=94`.
///
/// # Errors
/// [`RequestError`] for an unknown variable, no number, several, or one out of range.
pub fn single(text: &str, option: &str) -> Result<(Variable, f64), RequestError> {
    let axis = axis(text, option)?;
    if axis.values.len() == 1 {
        Ok((axis.variable, axis.values[0]))
    } else {
        Err(
            RequestError::new(format!("{option} {text}: one value is expected"))
                .hint(format!("write {option} {}=60", axis.variable.name())),
        )
    }
}

impl Request {
    /// Reads the words of the command line for a design.
    pub fn read(
        options: &MapWords,
        design: &Design,
        brief: Option<&Brief>,
    ) -> Result<Self, RequestError> {
        let (x, y) = (axis(&options.x, "--x")?, axis(&options.y, "--y")?);
        let cells = x.values.len() * y.values.len();
        if cells > CELLS_MAX {
            return Err(
                RequestError::new(format!("{cells} cells are more than {CELLS_MAX}"))
                    .hint("give larger steps"),
            );
        }
        let set = options
            .set
            .iter()
            .map(|text| single(text, "--set"))
            .collect::<Result<Vec<_>, _>>()?;
        refuse_clashes(&x, &y, &set)?;
        refuse_foreign(options, design, &x, &y, &set)?;
        let at_polar = at_polar(options, &x, &y, &set)?;
        let quantities = quantities(&options.show)?;
        let weighing = quantities.iter().find(|one| one.needs(Need::ToolMass));
        if let (Some(quantity), None) = (weighing, &design.tool.mass) {
            return Err(RequestError::new(format!(
                "--show {}: {} gives the tool no mass",
                quantity.word(),
                options.design_name
            ))
            .hint("write mass_kg in [tool]"));
        }
        let requirements = match brief {
            Some(brief) => Requirements::from_brief(brief),
            None => Requirements::without_brief(design),
        };
        let loaded = quantities.iter().find(|one| one.is_per_load());
        if let (Some(quantity), true) = (loaded, requirements.loads.is_empty()) {
            let word = quantity.word();
            let message = format!("--show {word}: there is no load case");
            return Err(
                RequestError::new(message).hint("give --brief with a brief that has a [[load]]")
            );
        }
        let mut request = Self {
            x,
            y,
            set,
            task: MapTask {
                requirements,
                quantities,
                at_polar,
                dimensionless: options.dimensionless,
            },
            lines: lines(options.line.as_deref())?,
            settings: Vec::new(),
        };
        request.settings = settings(&request, design);
        Ok(request)
    }

    /// The grid of the request over a design.
    pub fn grid<'a>(&'a self, design: &'a Design) -> MapGrid<'a> {
        MapGrid {
            base: design,
            set: &self.set,
            x: (self.x.variable, &self.x.values),
            y: (self.y.variable, &self.y.values),
            task: &self.task,
        }
    }

    /// Whether elastic quantities are taken at given polar angles, not over the region.
    pub fn at_polar_angles(&self) -> bool {
        self.task.at_polar.is_some() || self.varies(Variable::Polar)
    }

    /// Whether a variable is on an axis or set.
    pub fn varies(&self, variable: Variable) -> bool {
        self.changed().any(|(v, _)| v == variable)
    }

    /// All variables that are given, with their first value, SI.
    fn changed(&self) -> impl Iterator<Item = (Variable, f64)> + '_ {
        [&self.x, &self.y]
            .into_iter()
            .map(|axis| (axis.variable, axis.values[0]))
            .chain(self.set.iter().copied())
    }
}

/// Refuses a variable given twice, or two that set the same angles.
fn refuse_clashes(
    x: &AxisValues,
    y: &AxisValues,
    set: &[(Variable, f64)],
) -> Result<(), RequestError> {
    let mut given = vec![("--x", x.variable), ("--y", y.variable)];
    given.extend(set.iter().map(|(variable, _)| ("--set", *variable)));
    for (index, (option, variable)) in given.iter().enumerate() {
        for (other_option, other) in &given[..index] {
            if variable == other {
                return Err(RequestError::new(format!(
                    "{other_option} and {option} are both {}",
                    variable.name()
                ))
                .hint("give different variables"));
            }
            if variable.clashes_with(*other) {
                return Err(RequestError::new(format!(
                    "{other_option} {} and {option} {} set the same arcs",
                    other.name(),
                    variable.name()
                ))
                .hint("give one of them"));
            }
        }
    }
    Ok(())
}

/// Refuses a variable that the design does not have.
fn refuse_foreign(
    options: &MapWords,
    design: &Design,
    x: &AxisValues,
    y: &AxisValues,
    set: &[(Variable, f64)],
) -> Result<(), RequestError> {
    let refused = |error: MapError| {
        let has: Vec<&str> = Variable::ALL
            .iter()
            .filter(|(variable, _)| variable.check(design).is_ok())
            .map(|(_, name)| *name)
            .collect();
        RequestError::new(format!("{}: {error}", options.design_name))
            .hint(format!("this design has: {}", has.join(", ")))
    };
    let mut changes = set.to_vec();
    for axis in [x, y] {
        // The last number of stages is the greatest: what it lacks, all lack.
        changes.extend(axis.values.last().map(|value| (axis.variable, *value)));
    }
    let mut changed = design.clone();
    Variable::apply_all(&mut changed, &changes).map_err(refused)?;
    changes
        .iter()
        .try_for_each(|(variable, _)| variable.check(&changed))
        .map_err(refused)
}

/// `--at polar=60`.
fn at_polar(
    options: &MapWords,
    x: &AxisValues,
    y: &AxisValues,
    set: &[(Variable, f64)],
) -> Result<Option<f64>, RequestError> {
    let given = set
        .iter()
        .find(|(variable, _)| *variable == Variable::Polar);
    let Some(text) = &options.at else {
        return Ok(given.map(|(_, value)| *value));
    };
    let (variable, value) = single(text, "--at")?;
    if variable != Variable::Polar {
        return Err(
            RequestError::new(format!("--at {text}: only polar can be given"))
                .hint("write --at polar=60"),
        );
    }
    if given.is_some() || [x, y].iter().any(|axis| axis.variable == Variable::Polar) {
        return Err(
            RequestError::new(format!("--at {text}: polar is given a second time"))
                .hint("leave --at out"),
        );
    }
    Ok(Some(value))
}

/// The quantities of `--show`, each once.
fn quantities(text: &str) -> Result<Vec<Quantity>, RequestError> {
    let names = Quantity::MAPS.map(Quantity::word);
    let mut found = Vec::new();
    for word in text.split(',').map(str::trim) {
        let quantity = Quantity::MAPS
            .iter()
            .find(|quantity| quantity.word() == word)
            .ok_or_else(|| unknown("quantity", word, &names))?;
        if !found.contains(quantity) {
            found.push(*quantity);
        }
    }
    Ok(found)
}

/// `reach=94` or `reach=80,94`.
fn lines(text: Option<&str>) -> Result<Vec<f64>, RequestError> {
    let Some(text) = text else {
        return Ok(Vec::new());
    };
    let bad = || {
        RequestError::new(format!("--line {text}: a line of equal reach is expected"))
            .hint("write --line reach=94 or --line reach=80,94")
    };
    let values = text.strip_prefix("reach=").ok_or_else(bad)?;
    let levels: Result<Vec<f64>, RequestError> = values
        .split(',')
        .map(|part| {
            part.trim()
                .parse::<f64>()
                .ok()
                .filter(|v| (0.0..=180.0).contains(v))
                .map(radians)
                .ok_or_else(bad)
        })
        .collect();
    let mut levels = levels?;
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    if levels.len() > LINES_MAX {
        return Err(
            RequestError::new(format!("--line {text}: {} lines", levels.len()))
                .hint(format!("give at most {LINES_MAX}")),
        );
    }
    Ok(levels)
}
