//! `calotte compare`: designs side by side, and a measured prototype among them
//! (`measured`).

mod measured;

use calotte::analysis::{Analysis, AnalysisOptions, Requirements, Row, RowKind, analyse};
use calotte::brief::Brief;
use calotte::design::{Design, Family};
use calotte_format::found::FitRead;
use calotte_format::results::analysis_json;
use serde_json::{Value, json};

use crate::Verdict;
use crate::arguments::CompareOptions;
use crate::commands::design::next::{as_found, fit_of};
use crate::failure::Failure;
use crate::inputs::{self, Input, provenance};
use crate::{put, put_line};
use calotte_format::words;
use measured::{Measured, Role};

/// One design.
struct Column {
    name: String,
    design: Input<Design>,
    analysis: Analysis,
    /// What measuring says of it, where a prototype was measured.
    measured: Option<Measured>,
}

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
        columns.push(column(path.display().to_string(), design, brief.as_ref())?);
    }
    let fit = options.measured.as_deref().zip(columns.first());
    let fit = fit
        .map(|(path, first)| fit_of(path, &first.design))
        .transpose()?;
    if let Some(fit) = &fit {
        columns = with_prototype(columns, fit, brief.as_ref())?;
    }
    if options.json {
        print_json(&columns, brief.as_ref(), fit.as_ref());
    } else {
        put!("{}", text(&columns, fit.as_ref()));
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
    let requirements = requirements(&design.value, brief);
    let analysis =
        analyse(&design.value, &requirements, &AnalysisOptions::default()).map_err(|error| {
            Failure::new(format!("{name}: {error}"))
                .hint("check the angles, sizes and releases in that file")
        })?;
    Ok(Column {
        name,
        design,
        analysis,
        measured: None,
    })
}

/// The columns with the prototype as it was found behind the first, which promised it.
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
            &requirements,
        )?);
        next.name.push_str(", predicted");
    }
    prototype.measured = Some(Measured::of_prototype(&design, &fit.value, &requirements)?);
    first.measured = Some(Measured::of_design(&design, &fit.value));
    first.name.push_str(", predicted");
    let mut all = vec![first, prototype];
    all.append(&mut rest);
    Ok(all)
}

fn print_json(columns: &[Column], brief: Option<&Input<Brief>>, fit: Option<&Input<FitRead>>) {
    let designs: Vec<Value> = columns
        .iter()
        .map(|column| {
            let mut object = analysis_json(&column.design.value, &column.analysis);
            object.remove("configurations");
            object.remove("rings");
            object.insert("file".to_string(), json!(column.design.path));
            if let (Some(measured), Some(fit)) = (&column.measured, fit) {
                object.insert("measuring".to_string(), measured.json(&fit.value));
            }
            Value::Object(object)
        })
        .collect();
    let mut inputs: Vec<(&str, &std::path::Path, &str)> = columns
        .iter()
        .filter(|c| {
            c.measured
                .as_ref()
                .is_none_or(|m| m.role == Role::Predicted)
        })
        .map(|c| ("design", c.design.path.as_path(), c.design.sha256.as_str()))
        .collect();
    if let Some(fit) = fit {
        inputs.push(("fit", fit.path.as_path(), fit.sha256.as_str()));
    }
    if let Some(brief) = brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    put_line!(
        "{:#}",
        json!({ "designs": designs, "run": provenance(&inputs, json!({}), &[]) })
    );
}

/// Columns beside each other in 80 characters; more designs follow below.
const COLUMNS_MAX: usize = 4;

/// Width of the terminal.
const WIDTH: usize = 80;

/// Longest name of a line.
const NAME_MAX: usize = 29;

/// One line of the table.
struct Line {
    /// Name with the unit of its values.
    name: String,
    /// What the brief asks for; empty without.
    needed: String,
    /// One text for each design.
    texts: Vec<String>,
    /// Greater is better; `None` where a design has no value.
    scores: Vec<Option<f64>>,
    /// Whether the values are taken over what each design covers.
    over_covered: bool,
}

impl Line {
    /// A line in which no design is better than another.
    fn plain(name: &str, columns: &[Column], text: impl Fn(&Column) -> String) -> Self {
        Self {
            name: name.to_string(),
            needed: String::new(),
            texts: columns.iter().map(text).collect(),
            scores: vec![None; columns.len()],
            over_covered: false,
        }
    }

    /// A line of numbers of which the greatest is best.
    fn greatest(
        name: &str,
        columns: &[Column],
        value: impl Fn(&Column) -> Option<f64>,
        text: impl Fn(f64) -> String,
        without: &str,
    ) -> Self {
        let values: Vec<Option<f64>> = columns.iter().map(value).collect();
        Self {
            name: name.to_string(),
            needed: String::new(),
            texts: values
                .iter()
                .map(|v| v.map_or(without.to_string(), &text))
                .collect(),
            scores: values,
            over_covered: true,
        }
    }
}

fn letter(index: usize) -> char {
    (b'A' + (index % 26) as u8) as char
}

/// The whole text: what the letters stand for, the table, the verdict.
fn text(columns: &[Column], fit: Option<&Input<FitRead>>) -> String {
    let mut text = String::new();
    for (index, column) in columns.iter().enumerate() {
        text.push_str(&format!("{}  {}\n", letter(index), column.name));
        let design = &column.design.value;
        let words = format!(
            "{}, {}, {}",
            words::linkage(design),
            words::section(&design.section),
            design.material.name
        );
        for line in words::wrapped(&words, WIDTH - 4) {
            text.push_str(&format!("   {line}\n"));
        }
    }
    let lines = lines(columns, fit);
    let all: Vec<usize> = (0..columns.len()).collect();
    for part in all.chunks(COLUMNS_MAX) {
        text.push('\n');
        text.push_str(&table(&lines, part, columns));
    }
    let mut legend = Vec::new();
    // A promise and what was found of it are no rivals.
    if fit.is_none() {
        legend.push("*: best of the row");
    }
    if columns.iter().any(|c| !c.analysis.met()) {
        legend.push("✗: below what the brief needs, or no value");
    }
    text.push_str(&format!("{}\n", legend.join("    ")));
    if let Some(fit) = fit {
        text.push_str(&verdict_of_fit(&fit.value));
    }
    if fit.is_none() && covers_alike(columns).contains(&false) {
        let note = format!(
            "What is the worst over the covered part compares only between designs that cover within {COVERAGE_SLACK} of the most; the others get no mark there."
        );
        for line in words::wrapped(&note, WIDTH - 1) {
            text.push_str(&format!("{line}\n"));
        }
    }
    text.push_str(&verdict(columns));
    text
}

fn table(lines: &[Line], part: &[usize], columns: &[Column]) -> String {
    let name_width = lines
        .iter()
        .map(|line| line.name.chars().count())
        .max()
        .unwrap_or(0)
        .min(NAME_MAX);
    let needed_width = match lines.iter().map(|l| l.needed.chars().count()).max() {
        None | Some(0) => 0,
        Some(longest) => longest.max(6) + 1,
    };
    let width = ((WIDTH - 1 - name_width - needed_width) / part.len()).clamp(8, 18);
    let needed_head = if needed_width > 0 { "needed" } else { "" };
    let heads: String = part
        .iter()
        .map(|i| {
            let role = columns[*i].measured.as_ref().map(|_| match i {
                0 => " predicted",
                1 => " measured",
                _ => " next",
            });
            let head = format!("{}{}", letter(*i), role.unwrap_or_default());
            format!("{head:>width$} ", width = width - 1)
        })
        .collect();
    let head = format!("{:<name_width$}{needed_head:>needed_width$}{heads}", "");
    let mut text = format!("{}\n", head.trim_end());
    for line in lines {
        let best = best(line);
        let cells: String = part
            .iter()
            .map(|i| {
                let mark = if best == Some(*i) { '*' } else { ' ' };
                format!("{:>width$}{mark}", line.texts[*i], width = width - 1)
            })
            .collect();
        let row = format!(
            "{:<name_width$}{:>needed_width$}{cells}",
            shortened(&line.name),
            line.needed
        );
        text.push_str(&format!("{}\n", row.trim_end()));
    }
    text
}

/// A name that fits its column.
fn shortened(name: &str) -> String {
    if name.chars().count() <= NAME_MAX {
        return name.to_string();
    }
    let kept: String = name.chars().take(NAME_MAX - 1).collect();
    format!("{kept}…")
}

/// Position of the best score, if what is printed differs from all others.
fn best(line: &Line) -> Option<usize> {
    let known: Vec<(usize, f64)> = line
        .scores
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.map(|s| (i, s)))
        .collect();
    let (index, _) = known.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let apart = known
        .iter()
        .all(|(i, _)| *i == index || line.texts[*i] != line.texts[index]);
    (known.len() > 1 && apart).then_some(index)
}

/// Coverage that may be missing against the most for a design to compare in what is
/// the worst over the covered part (a rule of this program).
const COVERAGE_SLACK: f64 = 0.05;

/// Whether each design covers about as much as the one that covers most.
fn covers_alike(columns: &[Column]) -> Vec<bool> {
    let covered = |c: &Column| c.analysis.conditioning.coverage.fraction;
    let most = columns.iter().map(covered).fold(0.0, f64::max);
    columns
        .iter()
        .map(|c| covered(c) >= most - COVERAGE_SLACK)
        .collect()
}

/// Which designs meet the brief, and what the others miss.
fn verdict(columns: &[Column]) -> String {
    let asked = columns
        .iter()
        .any(|c| c.analysis.rows.iter().any(|row| row.needed.is_some()));
    if !asked {
        return "Nothing is required: give --brief BRIEF to judge the designs.\n".to_string();
    }
    let mut text = String::new();
    for (index, column) in columns.iter().enumerate() {
        let missed: Vec<String> = column
            .analysis
            .rows
            .iter()
            .filter(|row| row.met() == Some(false))
            .map(missed_words)
            .collect();
        let said = if missed.is_empty() {
            "MET".to_string()
        } else {
            format!("NOT MET: {}", missed.join("; "))
        };
        for (place, line) in words::wrapped(&said, WIDTH - 4).iter().enumerate() {
            let head = if place == 0 { letter(index) } else { ' ' };
            text.push_str(&format!("{head}  {line}\n"));
        }
    }
    text
}

/// A missed requirement, with the reason where it has no value.
fn missed_words(row: &Row) -> String {
    let mut name = words::row_name(&row.kind);
    // Indices keep their capitals, load names their own letters.
    if !matches!(
        row.kind,
        RowKind::Gci | RowKind::LciMin | RowKind::ContactDeflection(_)
    ) {
        name = name.to_lowercase();
    }
    match &row.got {
        Ok(_) => name,
        Err(reason) => format!("{name} ({reason})"),
    }
}

/// What measuring said of the prototype.
fn verdict_of_fit(fit: &FitRead) -> String {
    let mut text = String::new();
    for (what, said) in ["points", "weights"].iter().zip(&fit.verdicts) {
        for (place, line) in words::wrapped(said, WIDTH - 11).iter().enumerate() {
            let head = if place == 0 { what } else { "" };
            text.push_str(&format!("{head:<9}{line}\n"));
        }
    }
    text
}

fn lines(columns: &[Column], fit: Option<&Input<FitRead>>) -> Vec<Line> {
    let mut lines = shape_lines(columns);
    let mut kinds: Vec<RowKind> = Vec::new();
    for row in columns.iter().flat_map(|c| &c.analysis.rows) {
        if !kinds.contains(&row.kind) {
            kinds.push(row.kind.clone());
        }
    }
    kinds.sort_by_key(order);
    for kind in kinds {
        let placed = matches!(
            kind,
            RowKind::Stiffness | RowKind::ContactDeflection(_) | RowKind::LciMin
        );
        lines.push(judged(columns, &kind));
        if placed {
            lines.push(Line::plain("  at polar", columns, |column| {
                row_of(column, &kind)
                    .filter(|row| row.got.is_ok())
                    .and_then(|row| row.worst_at)
                    .map_or("–".to_string(), |place| words::angle(place.polar))
            }));
        }
        if kind == RowKind::Gci {
            lines.push(Line::greatest(
                "GCI, part reached",
                columns,
                |c| Some(c.analysis.conditioning.gci_reached),
                |v| words::number(v, 3),
                "–",
            ));
        }
    }
    lines.extend(singularity_lines(columns));
    if let Some(fit) = fit {
        lines.extend(measured::lines(columns, fit));
        for line in &mut lines {
            line.scores = vec![None; columns.len()];
        }
        return lines;
    }
    let alike = covers_alike(columns);
    for line in lines.iter_mut().filter(|line| line.over_covered) {
        for (score, alike) in line.scores.iter_mut().zip(&alike) {
            *score = score.filter(|_| *alike);
        }
    }
    lines
}

/// The order of the lines: reach, index, stiffness, weight.
fn order(kind: &RowKind) -> usize {
    match kind {
        RowKind::Coverage => 0,
        RowKind::Gci => 1,
        RowKind::LciMin => 2,
        RowKind::Stiffness => 3,
        RowKind::ContactDeflection(_) => 4,
        RowKind::Sag => 5,
        RowKind::HoldingTorque => 6,
        RowKind::Safety => 7,
        RowKind::BearingSafety => 8,
        RowKind::MovingMass => 9,
        RowKind::TransmissionAngle => 10,
    }
}

/// What the designs are, and what they reach.
fn shape_lines(columns: &[Column]) -> Vec<Line> {
    let scissor = |column: &Column| match &column.design.value.family {
        Family::ScissorLinkage(scissor) => Some(scissor.clone()),
        Family::TwoArcArm(_) => None,
    };
    vec![
        Line::plain("Family", columns, |c| {
            match &c.design.value.family {
                Family::ScissorLinkage(_) => "scissor",
                Family::TwoArcArm(_) => "arm",
            }
            .to_string()
        }),
        Line::plain("Stages", columns, |c| {
            scissor(c).map_or("–".to_string(), |s| s.stages().to_string())
        }),
        Line::plain("Arcs of a branch", columns, |c| {
            scissor(c).map_or(2, |s| 2 * s.stages()).to_string()
        }),
        Line::plain("Sum of its arcs", columns, |c| {
            words::angle(match &c.design.value.family {
                Family::ScissorLinkage(s) => {
                    s.proximal_arcs.iter().chain(&s.distal_arcs).sum::<f64>()
                }
                Family::TwoArcArm(arm) => arm.arcs.iter().sum::<f64>(),
            })
        }),
        Line::plain("Joint radius, mm", columns, |c| {
            words::three(c.design.value.joint_radius * 1e3)
        }),
        Line::plain("Joints", columns, |c| {
            match c.design.value.joints.stiffness {
                Some(_) => "elastic",
                None => "rigid",
            }
            .to_string()
        }),
        Line::plain("Drive layout", columns, |c| {
            // The long names do not fit a column.
            match words::drive_layout(&c.design.value) {
                "swing-and-opening" => "swing-open",
                "base and elbow" => "base, elbow",
                other => other,
            }
            .to_string()
        }),
        Line::plain("Reach, polar", columns, |c| {
            match &c.analysis.working_range {
                Some(range) => format!(
                    "{}–{}",
                    words::angle(range.polar_min()).trim_end_matches('°'),
                    words::angle(range.polar_max())
                ),
                None => "none".to_string(),
            }
        }),
    ]
}

fn row_of<'a>(column: &'a Column, kind: &RowKind) -> Option<&'a Row> {
    column.analysis.rows.iter().find(|row| row.kind == *kind)
}

/// A requirement over the designs, its unit beside its name.
fn judged(columns: &[Column], kind: &RowKind) -> Line {
    let unit = match kind {
        RowKind::ContactDeflection(_) | RowKind::Sag => ", mm",
        RowKind::MovingMass => ", kg",
        RowKind::HoldingTorque => ", N·m",
        RowKind::Stiffness => ", N/mm",
        _ => "",
    };
    let needed = columns
        .iter()
        .find_map(|column| row_of(column, kind)?.needed)
        .map(|needed| {
            let sign = if kind.at_least() { "≥" } else { "≤" };
            format!("{sign} {}", words::without_unit(kind, needed))
        });
    let text = |column: &Column| match row_of(column, kind) {
        Some(row) => {
            let mark = if row.met() == Some(false) { "✗ " } else { "" };
            let value = match &row.got {
                Ok(value) => words::without_unit(kind, *value),
                Err(_) => "–".to_string(),
            };
            format!("{mark}{value}")
        }
        None => "–".to_string(),
    };
    Line {
        name: format!("{}{unit}", words::row_name(kind)),
        needed: needed.unwrap_or_default(),
        texts: columns.iter().map(text).collect(),
        scores: columns
            .iter()
            .map(|column| {
                let value = row_of(column, kind)?.got.clone().ok()?;
                Some(if kind.at_least() { value } else { -value })
            })
            .collect(),
        over_covered: !matches!(kind, RowKind::Coverage | RowKind::Gci | RowKind::MovingMass),
    }
}

/// How far the working ranges keep from singularities.
fn singularity_lines(columns: &[Column]) -> Vec<Line> {
    let singularity = |column: &Column| column.analysis.singularity.clone();
    vec![
        Line::greatest(
            "Type 1 margin, tool",
            columns,
            |c| singularity(c).map(|s| s.type_one_distance),
            words::angle,
            "–",
        ),
        Line::greatest(
            "Type 2 margin, second angle",
            columns,
            |c| singularity(c).and_then(|s| s.type_two_distance),
            words::angle,
            "none near",
        ),
    ]
}
