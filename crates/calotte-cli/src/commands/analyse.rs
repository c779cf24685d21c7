//! `calotte analyse`: everything about one design.

use calotte::analysis::point::configuration_result;
use calotte::analysis::{
    Analysis, AnalysisOptions, ConfigurationResult, Model, Requirements, analyse,
};
use calotte::brief::Brief;
use calotte::built::{Built, PlacedParts};
use calotte::design::Design;
use calotte::elasticity::virtual_joints::{Comparison, compare};
use calotte::interference::{Clearing, PairDistance};
use calotte::kinematics::{Pose, inverse};
use calotte::sphere::Direction;
use calotte::uncertain::Corner;
use calotte_format::units::{degrees, radians};
use calotte_report::results::{
    analysis_json, comparison_json, configuration_json, direction_json, distances_json, parts_json,
};
use serde_json::{Map, Value, json};

use super::build_options::{
    layer_choices, layers_json, print_layers, print_releases, releases, releases_json,
};
use crate::Verdict;
use crate::arguments::AnalyseOptions;
use crate::failure::Failure;
use crate::inputs::{self, Input, provenance};
use crate::summary::{Heading, summary};
use crate::{put, put_line, say};
use calotte_format::words;

/// Analyses a design and prints text or JSON.
pub fn run(options: &AnalyseOptions) -> Result<Verdict, Failure> {
    let design = inputs::design(&options.design)?;
    let brief = options
        .brief
        .as_deref()
        .map(inputs::brief_to_judge)
        .transpose()?;
    let requirements = match &brief {
        Some(brief) => Requirements::from_brief(&brief.value),
        None => Requirements::without_brief(&design.value),
    };
    let warnings = brief
        .as_ref()
        .map(|brief| differences(&design.value, &brief.value))
        .unwrap_or_default();
    let analysis = analyse(&design.value, &requirements, &AnalysisOptions::default())
        .map_err(|error| build_failure(&error.to_string(), &design))?;
    let model = Model::new(&design.value.at_corner(Corner::Nominal))
        .map_err(|error| build_failure(&error.to_string(), &design))?;
    for warning in &warnings {
        say!("warning: {warning}");
    }
    let asked = asked(options, &design.value, &analysis, &model)?;
    let nominal = design.value.at_corner(Corner::Nominal);
    let layers = options
        .layers
        .then(|| layer_choices(&nominal, &requirements, &analysis))
        .transpose()
        .map_err(|error| {
            Failure::new(error)
                .hint("--layers needs a design with [layers] that reaches the region")
        })?;
    let released = options
        .releases
        .then(|| releases(&nominal, &requirements))
        .transpose()
        .map_err(|error| Failure::new(error).hint("leave --releases out"))?;
    if options.json {
        let mut extra = Map::new();
        if let Some((_, choices)) = &layers {
            extra.insert("arrangements".into(), layers_json(choices));
        }
        if let Some(report) = &released {
            extra.insert("releases".into(), releases_json(report));
        }
        print_json(&design, brief.as_ref(), &analysis, &asked, &warnings, extra);
    } else {
        print_text(&design.value, brief.as_ref(), &analysis, &asked);
        if let Some((_, choices)) = &layers {
            print_layers(&nominal, choices);
        }
        if let Some(report) = &released {
            print_releases(report);
        }
    }
    Ok(match &asked {
        Asked::Region => verdict(&analysis),
        Asked::Configuration(..) => Verdict::Met,
        Asked::Unreachable { .. } => Verdict::NotMet,
    })
}

/// What the command line asks for.
enum Asked {
    Region,
    Configuration(Box<Single>),
    Unreachable {
        wanted: Direction,
        nearest: Option<(Direction, f64, Box<ConfigurationResult>)>,
    },
}

/// Everything about one configuration.
struct Single {
    result: ConfigurationResult,
    /// The virtual joint model's answer, rigid joints and no layers in both.
    opinion: Option<Comparison>,
    /// Centre lines of the parts, if the design says what is built.
    parts: Option<PlacedParts>,
    /// The parts.
    built: Option<Built>,
    /// Distances of all pairs of parts that pass each other.
    distances: Option<Vec<PairDistance>>,
}

fn verdict(analysis: &Analysis) -> Verdict {
    if analysis.met() {
        Verdict::Met
    } else {
        Verdict::NotMet
    }
}

fn build_failure(message: &str, design: &Input<Design>) -> Failure {
    Failure::new(message).hint(format!(
        "check the angles, sizes and releases in {}",
        design.path.display()
    ))
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

/// One configuration with the second opinion on its compliance.
fn configuration(design: &Design, model: &Model, pose: &Pose) -> Asked {
    let nominal = design.at_corner(Corner::Nominal);
    let opinion = compare(
        // The virtual joint model knows neither pins nor layers.
        &if nominal.is_built() {
            nominal.ideal()
        } else {
            nominal.clone()
        },
        &model.kinematics.linkage,
        &pose.configuration,
        &pose.frame,
    );
    Asked::Configuration(Box::new(Single {
        result: configuration_result(model, pose),
        opinion: opinion.ok(),
        parts: nominal.is_built().then(|| {
            model
                .built
                .placed(&nominal, &model.kinematics.linkage, &pose.configuration)
        }),
        built: nominal.is_built().then(|| model.built.clone()),
        distances: Clearing::new(&nominal, &model.kinematics, &model.built)
            .ok()
            .map(|clearing| clearing.distances_at(&pose.configuration)),
    }))
}

fn asked(
    options: &AnalyseOptions,
    design: &Design,
    analysis: &Analysis,
    model: &Model,
) -> Result<Asked, Failure> {
    if let Some(text) = &options.joints {
        let active = pair(text, "--joints")?.map(radians);
        let pose = model.kinematics.forward(active).map_err(|error| {
            Failure::new(error).hint("the working range is printed by `calotte analyse DESIGN`")
        })?;
        return Ok(configuration(design, model, &pose));
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
    let Some(range) = &analysis.working_range else {
        return Ok(Asked::Unreachable {
            wanted,
            nearest: None,
        });
    };
    Ok(match inverse(&model.kinematics, range, wanted) {
        Ok(pose) => configuration(design, model, &pose),
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

/// Where a design and the brief that judges it differ.
fn differences(design: &Design, brief: &Brief) -> Vec<String> {
    let mut found = Vec::new();
    let mut compare = |name: &str, in_design: Option<f64>, in_brief: Option<f64>, unit: &str| {
        let differ = match (in_design, in_brief) {
            (Some(a), Some(b)) => (a - b).abs() > 1e-9 * a.abs().max(b.abs()),
            (None, None) => false,
            _ => true,
        };
        if differ {
            let text = |value: Option<f64>| {
                value.map_or("nothing".to_string(), |v| {
                    format!("{} {unit}", words::three(v))
                })
            };
            found.push(format!(
                "{name}: the design has {}, the brief {}; the design's is used",
                text(in_design),
                text(in_brief)
            ));
        }
    };
    compare(
        "tool mass",
        design.tool.mass.map(|m| m.value),
        brief.tool.mass.map(|m| m.value),
        "kg",
    );
    compare(
        "tip radius",
        Some(design.tool.tip_radius * 1e3),
        Some(brief.tool.tip_radius * 1e3),
        "mm",
    );
    compare(
        "centre of mass radius",
        Some(design.tool.centre_of_mass_radius * 1e3),
        Some(brief.tool.centre_of_mass_radius * 1e3),
        "mm",
    );
    let radius = design.joint_radius;
    if radius < brief.joint_radius.from - 1e-9 || radius > brief.joint_radius.to + 1e-9 {
        found.push(format!(
            "joint radius: the design has {} mm, outside the brief's {} to {} mm",
            words::three(radius * 1e3),
            words::three(brief.joint_radius.from * 1e3),
            words::three(brief.joint_radius.to * 1e3)
        ));
    }
    found
}

fn print_json(
    design: &Input<Design>,
    brief: Option<&Input<Brief>>,
    analysis: &Analysis,
    asked: &Asked,
    warnings: &[String],
    extra: Map<String, Value>,
) {
    let mut object = analysis_json(&design.value, analysis);
    object.extend(extra);
    match asked {
        Asked::Region => {}
        Asked::Configuration(single) => {
            let mut configuration = configuration_json(&single.result);
            if let Some(object) = configuration.as_object_mut() {
                if let Some(opinion) = &single.opinion {
                    object.insert("second_opinion".into(), comparison_json(opinion));
                }
                if let Some(parts) = &single.parts {
                    object.insert("parts".into(), parts_json(&design.value, parts));
                }
                if let (Some(built), Some(distances)) = (&single.built, &single.distances) {
                    object.insert("clearing".into(), distances_json(built, distances));
                }
            }
            object.insert("configurations".into(), json!([configuration]));
            object.remove("rings");
        }
        Asked::Unreachable { wanted, nearest } => {
            object.insert("direction_deg".into(), direction_json(*wanted));
            object.insert("reachable".into(), json!(false));
            let nearest = match nearest {
                Some((direction, distance, result)) => json!({
                    "polar": degrees(direction.polar),
                    "azimuth": degrees(direction.azimuth),
                    "distance_deg": degrees(*distance),
                    "joints_deg": result.active.map(degrees),
                }),
                None => Value::Null,
            };
            if nearest.is_null() {
                object.insert(
                    "nearest_reason".into(),
                    json!("no configuration has the required margins"),
                );
            }
            object.insert("nearest".into(), nearest);
            object.insert("configurations".into(), json!([]));
            object.remove("rings");
        }
    }
    let mut inputs = vec![("design", design.path.as_path(), design.sha256.as_str())];
    if let Some(brief) = brief {
        inputs.push(("brief", brief.path.as_path(), brief.sha256.as_str()));
    }
    let options = json!({
        "rings": analysis.options.rings,
        "azimuths_a_ring": analysis.options.around,
        "bands": analysis.options.bands,
        "region": if brief.is_some() { "from the brief" } else { "cap of 90° about the base axis" },
    });
    object.insert("run".into(), provenance(&inputs, options, warnings));
    put_line!("{:#}", Value::Object(object));
}

fn print_text(design: &Design, brief: Option<&Input<Brief>>, analysis: &Analysis, asked: &Asked) {
    match asked {
        Asked::Region => {
            let title = if design.title.is_empty() {
                words::linkage(design)
            } else {
                design.title.clone()
            };
            let heading = Heading {
                title,
                people_near: brief.is_none_or(|brief| brief.value.people_near),
                elapsed: String::new(),
                beaten: Vec::new(),
                follows: Vec::new(),
                best_stages: None,
                next: String::new(),
            };
            put!("{}", summary(design, analysis, &heading));
        }
        Asked::Configuration(single) => {
            print_configuration(design, &single.result);
            if let Some(opinion) = &single.opinion {
                print_opinion(opinion);
            }
            if let (Some(built), Some(distances)) = (&single.built, &single.distances) {
                print_nearest(built, distances);
            }
        }
        Asked::Unreachable { wanted, nearest } => {
            put_line!("out of the working range: {}", words::place(*wanted, true));
            if let Some((direction, distance, result)) = nearest {
                put_line!(
                    "nearest: {}, {} away",
                    words::place(*direction, true),
                    words::angle(*distance)
                );
                print_configuration(design, result);
            }
        }
    }
}

/// The pairs of parts that are nearest to each other.
fn print_nearest(built: &Built, distances: &[PairDistance]) {
    let mut sorted: Vec<&PairDistance> = distances.iter().collect();
    sorted.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    for (index, pair) in sorted.iter().take(3).enumerate() {
        let [first, second] = pair.solids.map(|solid| &built.solids[solid].name);
        put_line!(
            "{:<15}{first} and {second}: {} mm",
            if index == 0 { "nearest parts" } else { "" },
            words::number(pair.distance * 1e3, 2)
        );
    }
}

fn print_configuration(design: &Design, result: &ConfigurationResult) {
    put_line!("{}", words::linkage(design));
    let [first, second] = result.active.map(|a| words::number(degrees(a), 3));
    put_line!("joints     {first}°, {second}° (active)");
    put_line!(
        "direction  polar {}°, azimuth {}°, roll {}°",
        words::number(degrees(result.direction.polar), 3),
        words::number(degrees(result.direction.azimuth), 3),
        words::number(degrees(result.roll), 3)
    );
    put!("LCI        {}", words::number(result.lci, 4));
    if let Some((angle, stage)) = result.transmission {
        put!(
            "   transmission angle {} (stage {stage})",
            words::angle(angle)
        );
    }
    put_line!();
    for chunk in result.passive.chunks(3) {
        let texts: Vec<String> = chunk
            .iter()
            .map(|(name, angle)| format!("{name} {}", words::angle(*angle)))
            .collect();
        put_line!("passive    {}", texts.join("   "));
    }
    match &result.compliance {
        Ok(matrix) => {
            put_line!("compliance at the tip, µm/N (polar, azimuth, radial):");
            for row in 0..3 {
                let numbers: Vec<String> = (0..3)
                    .map(|column| format!("{:>12}", words::number(matrix[(row, column)] * 1e6, 4)))
                    .collect();
                put_line!("          {}", numbers.join(" "));
            }
            let scalars = calotte::analysis::StiffnessScalars::of(matrix);
            put_line!(
                "stiffness  least {} N/mm; polar {}, azimuth {}, radial {} N/mm (1/C)",
                words::three(scalars.least / 1e3),
                words::three(scalars.polar / 1e3),
                words::three(scalars.azimuth / 1e3),
                words::three(scalars.radial / 1e3)
            );
        }
        Err(reason) => put_line!("compliance no value: {reason}"),
    }
    match &result.holding_torque {
        Ok([first, second]) => put_line!(
            "holding    {} and {} N·m that the drives give against weight",
            words::three(*first),
            words::three(*second)
        ),
        Err(reason) => put_line!("holding    no value: {reason}"),
    }
}

/// The virtual joint model and the hand estimate beside the reference.
fn print_opinion(opinion: &Comparison) {
    put_line!("second opinion, rigid joints, µm/N:");
    put_line!(
        "          {:<14} {:>10} {:>15} {:>14}",
        "",
        "reference",
        "virtual joints",
        "hand estimate"
    );
    for row in &opinion.rows {
        let hand = row
            .hand_estimate
            .map_or("not represented".to_string(), |value| {
                words::number(value * 1e6, 3)
            });
        put_line!(
            "          {:<14} {:>10} {:>15} {:>15}",
            row.entry.name(),
            words::number(row.reference * 1e6, 3),
            words::number(row.virtual_joints * 1e6, 3),
            hand
        );
    }
    for line in words::wrapped(&opinion.explanation, 70) {
        put_line!("          {line}");
    }
}
