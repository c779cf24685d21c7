//! What every figure of a design carries: the settings it was made with.

use calotte::brief::{Directions, LoadCase, LoadPlace, LoadVector};
use calotte::sphere::{Region, Shape};
use calotte_format::words;
use calotte_plot::plot::{Figure, Plot};

use crate::design::found::Found;

/// What every caption says.
fn settings(found: &Found, grid: &str) -> Vec<(String, String)> {
    let design = &found.design;
    let brief = &found.brief.value;
    let pair = |name: &str, value: String| (name.to_string(), value);
    let mut settings = vec![
        pair("chosen design", words::linkage(design)),
        pair("drive layout", words::drive_layout(design).to_string()),
        pair(
            "radius",
            format!("{} mm", words::three(design.joint_radius * 1e3)),
        ),
        pair("section", words::sections(design)),
        pair("material", design.material.name.clone()),
        pair("region", region_words(&brief.region)),
    ];
    if let Some(joints) = words::own_joints(design) {
        settings.push(pair("joints", joints));
    }
    if !brief.loads.is_empty() {
        let loads: Vec<String> = brief.loads.iter().map(load_words).collect();
        settings.push(pair("loads", loads.join(", ")));
    }
    settings.push(pair("grid", grid.to_string()));
    settings.push(pair(
        "made by",
        format!("calotte {}", env!("CARGO_PKG_VERSION")),
    ));
    settings
}

/// The settings of a figure in one sentence.
pub fn settings_words(figure: &Figure) -> String {
    let listed: Vec<String> = figure
        .settings
        .iter()
        .map(|(name, value)| format!("{name} {value}"))
        .collect();
    format!("Settings: {}.", listed.join("; "))
}

/// The region as the brief gives it, world frame.
fn region_words(region: &Region) -> String {
    let axis = |vector: &nalgebra::Vector3<f64>| {
        let short = |v: &f64| {
            let text = words::number(*v, 2);
            text.strip_suffix(".00").unwrap_or(&text).to_string()
        };
        let parts: Vec<String> = vector.iter().map(short).collect();
        format!("axis ({})", parts.join(", "))
    };
    let mut text = match &region.shape {
        Shape::Cap {
            axis: a,
            half_angle,
        } => format!(
            "cap of {} half-angle, {}",
            words::angle(*half_angle),
            axis(a)
        ),
        Shape::Band {
            axis: a,
            polar_from,
            polar_to,
        } => format!(
            "band from {} to {}, {}",
            words::angle(*polar_from),
            words::angle(*polar_to),
            axis(a)
        ),
        Shape::Polygon(polygon) => format!("polygon of {} corners", polygon.vertices().len()),
        Shape::Points(points) => format!("{} single directions", points.len()),
    };
    for zone in &region.excluded {
        text.push_str(&format!(
            ", without {} about {}",
            words::angle(zone.half_angle),
            axis(&zone.axis)
        ));
    }
    text
}

/// A load case with what acts and where.
fn load_words(load: &LoadCase) -> String {
    let acts = load.loads.iter().map(|load| {
        let place = match &load.on {
            LoadPlace::Tip => "tip".to_string(),
            LoadPlace::Grip => "grip".to_string(),
            LoadPlace::Bar { name, .. } => name.clone(),
        };
        let mut parts = vec![format!("on {place}")];
        parts.extend(vector_words(&load.force, "N"));
        parts.extend(vector_words(&load.moment, "N·m"));
        parts.join(", ")
    });
    let acts: Vec<String> = acts.collect();
    format!("{} ({})", load.name, acts.join("; together with "))
}

fn vector_words(vector: &LoadVector, unit: &str) -> Vec<String> {
    let (values, names) = match vector {
        LoadVector::Local(v) => (v, ["polar", "azimuth", "radial"]),
        LoadVector::World(v) => (v, ["along world x", "along world y", "along world z"]),
        LoadVector::Any(sought) => {
            let direction = match sought.directions {
                Directions::All => "in any direction",
                Directions::Tangential => "in any direction across the tool",
                Directions::Inward => "in any direction across the tool or inward",
            };
            return vec![format!("{} {unit} {direction}", words::three(sought.size))];
        }
    };
    values
        .iter()
        .zip(names)
        .filter(|(value, _)| **value != 0.0)
        .map(|(value, name)| format!("{} {unit} {name}", words::three(*value)))
        .collect()
}

/// Grid of the analysis in words.
pub(super) fn analysis_grid(found: &Found) -> String {
    let options = &found.analysis.options;
    format!(
        "{} polar angles × about {} azimuths",
        options.rings, options.around
    )
}

/// A figure with what every caption says.
pub(super) fn figure(
    found: &Found,
    title: &str,
    caption: String,
    grid: &str,
    plot: Plot,
) -> Figure {
    Figure {
        title: title.to_string(),
        caption,
        settings: settings(found, grid),
        plot,
    }
}
