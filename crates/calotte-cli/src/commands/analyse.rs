//! `calotte analyse`: everything about one design.

use calotte::analysis::point::configuration_result;
use calotte::analysis::releases::{ReleaseOptions, release_report};
use calotte::analysis::{Analysis, AnalysisError, AnalysisOptions, Requirements, analyse_subject};
use calotte::family::parameters::Capability;
use calotte::kinematics::{CellRange, KinematicsError, Workspace, inverse};
use calotte::sphere::Direction;
use calotte::subject::{Model, Subject};
use calotte_format::units::radians;
use calotte_report::analyse::{
    Asked, Choices, configuration, differences, document, layer_choices, layers_document,
    layers_text, releases_document, releases_text, text,
};

use crate::Verdict;
use crate::arguments::AnalyseOptions;
use crate::failure::Failure;
use crate::inputs;
use crate::terminal;
use crate::{put, say};

/// Analyses a design and prints text or JSON.
pub fn run(options: &AnalyseOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    for (asked, what) in [
        (options.layers, Capability::Layers),
        (options.releases, Capability::Releases),
    ] {
        if asked {
            inputs::offers(&design, what)?;
        }
    }
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    inputs::offers_what_is_asked(&design, brief.as_ref())?;
    let requirements = match &brief {
        Some(brief) => Requirements::from_brief(&brief.value),
        None => Requirements::without_brief(&design.value),
    };
    let warnings = brief
        .as_ref()
        .map(|brief| differences(&design.value, &brief.value))
        .unwrap_or_default();
    let cannot = |error: AnalysisError| inputs::refused(&error, &design, brief.as_ref());
    let subject = requirements
        .subject(&design.value)
        .map_err(|error| cannot(error.into()))?;
    let model = subject.model().map_err(|error| cannot(error.into()))?;
    let analysis =
        analyse_subject(&subject, &requirements, &AnalysisOptions::default()).map_err(cannot)?;
    for warning in &warnings {
        say!("warning: {warning}");
    }
    let asked = asked(options, &subject, &requirements, model)?;
    let nominal = &subject.design;
    let layers = options
        .layers
        .then(|| layer_choices(&subject))
        .transpose()
        .map_err(|error| {
            Failure::new(error).hint(if nominal.own.is_empty() {
                "--layers needs a design with [layers] that reaches the region"
            } else {
                "write arrangement = \"given\" with the layer of each bar in of_bars"
            })
        })?;
    let released = options
        .releases
        .then(|| release_report(nominal, &requirements, &ReleaseOptions::default()))
        .transpose()
        .map_err(|error| Failure::new(error).hint("leave --releases out"))?;
    if options.json {
        let choices = Choices {
            arrangements: layers.as_ref().map(|(_, choices)| layers_document(choices)),
            releases: released.as_ref().map(releases_document),
        };
        let document = document(
            &design,
            brief.as_ref(),
            &analysis,
            &asked,
            &warnings,
            choices,
        );
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
    } else {
        let judged = brief.as_ref().map(|brief| &brief.value);
        put!("{}", text(&design.value, judged, &analysis, &asked));
        if let Some((_, choices)) = &layers {
            put!("{}", layers_text(nominal, choices));
        }
        if let Some(report) = &released {
            put!("{}", releases_text(report));
        }
    }
    Ok(match &asked {
        Asked::Region => verdict(&analysis),
        Asked::Configuration(..) => Verdict::Met,
        Asked::Unreachable { .. } => Verdict::NotMet,
    })
}

fn verdict(analysis: &Analysis) -> Verdict {
    if analysis.met() {
        Verdict::Met
    } else {
        Verdict::NotMet
    }
}

/// Two numbers separated by a comma.
fn pair(text: &str, option: &str) -> Result<[f64; 2], Failure> {
    let numbers: Vec<f64> = text
        .split(',')
        .filter_map(|part| part.trim().parse().ok())
        .filter(|value: &f64| value.is_finite())
        .collect();
    if numbers.len() == 2 && text.split(',').count() == 2 {
        Ok([numbers[0], numbers[1]])
    } else {
        Err(Failure::new(format!(
            "{option} {text}: two numbers in degrees are expected"
        ))
        .hint(format!("write {option} 60,0")))
    }
}

fn asked(
    options: &AnalyseOptions,
    subject: &Subject,
    requirements: &Requirements,
    model: &Model,
) -> Result<Asked, Failure> {
    let by_cells = Workspace::of(subject.kinematics()).map(|workspace| {
        let drive_range = subject.motion.drive_range();
        let range = workspace.range(drive_range, &requirements.margins, subject.region());
        (workspace, range)
    });
    if let Some(text) = &options.joints {
        let active = pair(text, "--joints")?.map(radians);
        let in_range = by_cells.as_ref().map(|(workspace, range)| {
            // Of two assemblies that of the range.
            let stand = workspace.forward(active, range.as_ref());
            let stand = stand.ok_or(KinematicsError::NoClosure { active })?;
            Ok(stand.pose)
        });
        let pose = in_range.unwrap_or_else(|| model.kinematics.forward(active));
        let pose = pose.map_err(|error| {
            Failure::new(error).hint("the working range is printed by `calotte analyse DESIGN`")
        })?;
        return Ok(configuration(subject, model, &pose));
    }
    let Some(text) = &options.direction else {
        return Ok(Asked::Region);
    };
    let [polar, azimuth] = pair(text, "--direction")?;
    if !(0.0..=180.0).contains(&polar) {
        return Err(Failure::new(format!(
            "--direction {text}: polar {polar}° is outside 0° to 180°"
        ))
        .hint("polar is measured from the base axis; azimuth takes any angle"));
    }
    let wanted = Direction {
        polar: radians(polar),
        azimuth: calotte::sphere::direction::wrap_positive(radians(azimuth)),
    };
    if let Some((workspace, range)) = &by_cells {
        return Ok(asked_by_cells(
            workspace,
            range.as_ref(),
            subject,
            model,
            wanted,
        ));
    }
    let Some(range) = subject.range().ok().flatten() else {
        return Ok(Asked::Unreachable {
            wanted,
            nearest: None,
        });
    };
    Ok(match inverse(&model.kinematics, range, wanted) {
        Ok(pose) => configuration(subject, model, &pose),
        Err(unreachable) => Asked::Unreachable {
            wanted,
            nearest: Some((
                unreachable.nearest,
                unreachable.distance,
                Box::new(configuration_result(model, &unreachable.pose)),
            )),
        },
    })
}

/// The answer for a direction, of what turns about no fixed axis.
fn asked_by_cells(
    workspace: &Workspace,
    range: Option<&CellRange>,
    subject: &Subject,
    model: &Model,
    wanted: Direction,
) -> Asked {
    let Some(range) = range else {
        return Asked::Unreachable {
            wanted,
            nearest: None,
        };
    };
    match workspace.within(range, wanted) {
        Some(stand) => configuration(subject, model, &stand.pose),
        None => Asked::Unreachable {
            wanted,
            nearest: workspace.nearest(range, wanted).map(|(stand, distance)| {
                (
                    stand.pose.direction,
                    distance,
                    Box::new(configuration_result(model, &stand.pose)),
                )
            }),
        },
    }
}
