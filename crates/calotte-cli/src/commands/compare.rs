//! `calotte compare`: designs side by side.

use calotte::analysis::{Analysis, AnalysisOptions, Requirements, RowKind, analyse};
use calotte::brief::Brief;
use calotte::design::Design;
use calotte_format::results::analysis_json;
use serde_json::{Value, json};

use crate::Verdict;
use crate::arguments::CompareOptions;
use crate::failure::Failure;
use crate::inputs::{self, Input, provenance};
use crate::words;
use crate::{put, put_line};

/// One column.
struct Column {
    name: String,
    design: Input<Design>,
    analysis: Analysis,
}

/// Runs the command; not met if one design misses a limit of the brief.
pub fn run(options: &CompareOptions) -> Result<Verdict, Failure> {
    if options.designs.len() < 2 {
        return Err(Failure::new("compare needs at least two designs")
            .hint("calotte compare a/design.toml b/design.toml"));
    }
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    let mut columns = Vec::new();
    for path in &options.designs {
        let design = inputs::design(path)?;
        let requirements = match &brief {
            Some(brief) => Requirements::from_brief(&brief.value),
            None => Requirements::without_brief(&design.value),
        };
        let analysis = analyse(&design.value, &requirements, &AnalysisOptions::default()).map_err(
            |error| {
                Failure::new(format!("{}: {error}", path.display()))
                    .hint("check the angles, sizes and releases in that file")
            },
        )?;
        columns.push(Column {
            name: path.display().to_string(),
            design,
            analysis,
        });
    }
    if options.json {
        print_json(&columns, brief.as_ref());
    } else {
        put!("{}", table(&columns));
    }
    let missed: Vec<&str> = columns
        .iter()
        .filter(|c| !c.analysis.met())
        .map(|c| c.name.as_str())
        .collect();
    if missed.is_empty() {
        return Ok(Verdict::Met);
    }
    if !options.json {
        put_line!("not met by {}", missed.join(", "));
    }
    Ok(Verdict::NotMet)
}

fn print_json(columns: &[Column], brief: Option<&Input<Brief>>) {
    let designs: Vec<Value> = columns
        .iter()
        .map(|column| {
            let mut object = analysis_json(&column.design.value, &column.analysis);
            object.remove("configurations");
            object.remove("rings");
            Value::Object(object)
        })
        .collect();
    let mut inputs: Vec<(&str, &std::path::Path, &str)> = columns
        .iter()
        .map(|c| ("design", c.design.path.as_path(), c.design.sha256.as_str()))
        .collect();
    if let Some(brief) = brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    put_line!(
        "{:#}",
        json!({ "designs": designs, "run": provenance(&inputs, json!({}), &[]) })
    );
}

/// One line of the table: name, texts, and values where one is best.
struct Line {
    name: String,
    texts: Vec<String>,
    /// Greater is better; `None` where no value.
    scores: Vec<Option<f64>>,
}

fn table(columns: &[Column]) -> String {
    let width = (78usize.saturating_sub(20) / columns.len()).clamp(10, 28);
    let mut text = String::new();
    for (index, column) in columns.iter().enumerate() {
        let letter = (b'A' + (index % 26) as u8) as char;
        text.push_str(&format!("{letter}  {}\n", column.name));
        for line in words::wrapped(&words::linkage(&column.design.value), 76) {
            text.push_str(&format!("   {line}\n"));
        }
    }
    let heads: String = (0..columns.len())
        .map(|i| format!("{:>width$}", (b'A' + (i % 26) as u8) as char))
        .collect();
    text.push_str(&format!("{:<20}{heads}\n", ""));
    for line in lines(columns) {
        let best = best(&line.scores);
        let cells: String = line
            .texts
            .iter()
            .enumerate()
            .map(|(i, t)| {
                let mark = if best == Some(i) { "*" } else { "" };
                format!("{:>width$}", format!("{t}{mark}"))
            })
            .collect();
        let name: String = line.name.chars().take(19).collect();
        text.push_str(&format!("{name:<20}{cells}\n"));
    }
    text.push_str("*: the best of the row\n");
    text
}

/// Position of the best score, if the scores differ.
fn best(scores: &[Option<f64>]) -> Option<usize> {
    let known: Vec<(usize, f64)> = scores
        .iter()
        .enumerate()
        .filter_map(|(i, s)| s.map(|s| (i, s)))
        .collect();
    let (index, top) = known.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let apart = known
        .iter()
        .all(|(i, s)| *i == index || (top - s).abs() > 1e-9 * top.abs());
    (known.len() > 1 && apart).then_some(index)
}

fn lines(columns: &[Column]) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut plain = |name: &str, of: &dyn Fn(&Column) -> String| {
        lines.push(Line {
            name: name.to_string(),
            texts: columns.iter().map(of).collect(),
            scores: vec![None; columns.len()],
        });
    };
    plain("Radius", &|c| {
        format!("{} mm", words::three(c.design.value.joint_radius * 1e3))
    });
    plain("Section", &|c| words::section(&c.design.value.section));
    plain("Drive layout", &|c| {
        words::drive_layout(&c.design.value).to_string()
    });
    plain("Reach", &|c| match &c.analysis.working_range {
        Some(range) => format!(
            "{} to {}",
            words::angle(range.polar_min()),
            words::angle(range.polar_max())
        ),
        None => "none".to_string(),
    });
    plain("Joints", &|c| {
        c.analysis
            .mobility
            .map_or("–".to_string(), |m| m.joints.to_string())
    });
    plain("Type 1 margin", &|c| {
        c.analysis
            .singularity
            .as_ref()
            .map_or("–".to_string(), |s| words::angle(s.type_one_distance))
    });
    plain("Type 2 margin", &|c| {
        c.analysis
            .singularity
            .as_ref()
            .and_then(|s| s.transmission)
            .map_or("none".to_string(), |t| words::angle(t.0))
    });
    let mut kinds: Vec<RowKind> = Vec::new();
    for column in columns {
        for row in &column.analysis.rows {
            if !kinds.contains(&row.kind) {
                kinds.push(row.kind.clone());
            }
        }
    }
    for kind in kinds {
        let row_of = |c: &Column| c.analysis.rows.iter().find(|r| r.kind == kind).cloned();
        lines.push(Line {
            name: words::row_name(&kind),
            texts: columns
                .iter()
                .map(|c| match row_of(c) {
                    Some(row) => match &row.got {
                        Ok(value) => {
                            let mark = if row.met() == Some(false) { "✗" } else { "" };
                            format!("{mark}{}", words::row_value(&kind, *value))
                        }
                        Err(_) => "–".to_string(),
                    },
                    None => "–".to_string(),
                })
                .collect(),
            scores: columns
                .iter()
                .map(|c| {
                    let value = row_of(c)?.got.ok()?;
                    Some(if kind.at_least() { value } else { -value })
                })
                .collect(),
        });
    }
    lines
}
