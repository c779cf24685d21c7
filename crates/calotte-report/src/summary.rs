//! The one-screen summary: 80 columns.

use calotte::analysis::{Analysis, Row, WayInReport};
use calotte::design::Design;
use calotte::quantity::Quantity;
use calotte::stock::StiffnessAt;

use crate::cautions::{self, cautions_of, singular_words};
use calotte_format::words;
use nalgebra::Vector3;

/// What stands before the chosen design.
pub const CHOICE: &str = "Choice";
/// What stands before the governing limits.
pub const BINDS: &str = "Binds";

/// What the summary shows besides the analysis.
pub struct Heading {
    /// Title of the brief or design.
    pub title: String,
    /// Whether people are near the instrument.
    pub people_near: bool,
    /// Time taken, as minutes and seconds; empty to leave it out.
    pub elapsed: String,
    /// What was beaten, in words; empty without a search.
    pub beaten: Vec<String>,
    /// The prototype that this one follows, in words; empty without.
    pub follows: Vec<String>,
    /// Best number of stages with rigid joints and with these, if looked at.
    pub best_stages: Option<(usize, usize)>,
    /// What to do next.
    pub next: String,
}

/// The summary as text.
pub fn summary(design: &Design, analysis: &Analysis, heading: &Heading) -> String {
    let cautions = cautions_of(analysis);
    let mut lines = vec![title_line(analysis, heading, cautions.len())];
    lines.extend(labelled(CHOICE, &chosen_words(design)));
    for beaten in &heading.beaten {
        lines.extend(labelled("", beaten));
    }
    for (place, follows) in heading.follows.iter().enumerate() {
        lines.extend(labelled(if place == 0 { "Follows" } else { "" }, follows));
    }
    lines.push(format!(
        "{:<27} {:>8} {:>10} {:>7}  {}",
        "", "needed", "got", "margin", "worst at"
    ));
    for row in shown_rows(analysis) {
        lines.extend(row_lines(row, analysis));
    }
    if let Some(text) = ideal_words(analysis) {
        lines.extend(labelled("Ideal", &text));
    }
    lines.extend(compliance_lines(analysis, heading));
    if let Some(text) = joint_words(analysis) {
        lines.extend(labelled("Joints", &text));
    }
    if let Some(text) = bearing_words(design, analysis) {
        lines.extend(labelled("Bearings", &text));
    }
    if let Some(text) = clearing_words(analysis) {
        lines.extend(labelled("Layers", &text));
    }
    if let Some(text) = surroundings_words(analysis) {
        lines.extend(labelled("Around", &text));
    }
    lines.extend(labelled("Singular", &singular_words(analysis)));
    if let Some(binds) = binding_words(analysis) {
        lines.extend(labelled(BINDS, &binds));
    }
    for caution in &cautions {
        lines.extend(labelled("CAUTION", caution));
    }
    lines.extend(labelled("Always", cautions::LINE));
    if heading.people_near {
        lines.extend(labelled("", cautions::PEOPLE_LINE));
    }
    if !heading.next.is_empty() {
        lines.extend(labelled("Next", &heading.next));
    }
    lines.join("\n") + "\n"
}

fn title_line(analysis: &Analysis, heading: &Heading, cautions: usize) -> String {
    let verdict = if analysis.rows.iter().all(|row| row.needed.is_none()) {
        "nothing required".to_string()
    } else if analysis.met() {
        "MET".to_string()
    } else {
        "NOT MET".to_string()
    };
    let cautions = match cautions {
        0 => String::new(),
        1 => ", 1 caution".to_string(),
        n => format!(", {n} cautions"),
    };
    let right = format!("{verdict}{cautions}  {}", heading.elapsed);
    let right = right.trim_end();
    let title: String = heading
        .title
        .chars()
        .take(78 - right.chars().count())
        .collect();
    let gap = 80usize.saturating_sub(title.chars().count() + right.chars().count());
    format!("{title}{}{right}", " ".repeat(gap.max(2)))
}

/// The design in one line: linkage, radius, section, material, drives and what is built.
pub fn chosen_words(design: &Design) -> String {
    let mut text = format!(
        "{}, R {} mm, {}, {}, {}",
        words::linkage(design),
        words::three(design.joint_radius * 1e3),
        words::section(&design.section),
        design.material.name,
        words::drive_layout(design)
    );
    if let Some(parts) = &design.joints.parts {
        text.push_str(&format!(
            ", bearing {}, pin {} mm",
            parts.bearing.name,
            words::three(parts.pin.diameter * 1e3)
        ));
    }
    if let Some(layers) = &design.layers {
        text.push_str(&format!(
            ", layers {}",
            words::arrangement(&layers.arrangement)
        ));
    }
    text
}

/// A label of ten columns and text wrapped to the rest.
fn labelled(label: &str, text: &str) -> Vec<String> {
    words::wrapped(text, 69)
        .into_iter()
        .enumerate()
        .map(|(index, line)| format!("{:<10} {line}", if index == 0 { label } else { "" }))
        .collect()
}

/// Rows with a limit first, in their order, then what is worth knowing.
fn shown_rows(analysis: &Analysis) -> Vec<&Row> {
    let required = analysis.rows.iter().filter(|row| row.needed.is_some());
    let rest = analysis
        .rows
        .iter()
        .filter(|row| row.needed.is_none() && row.got.is_ok());
    required.chain(rest).collect()
}

fn row_lines(row: &Row, analysis: &Analysis) -> Vec<String> {
    let needed = row.needed.map_or(String::new(), |value| {
        let sign = if row.at_least() { "≥" } else { "≤" };
        format!("{sign} {}", words::without_unit(row.quantity, value))
    });
    let got = match &row.got {
        Ok(value) => words::value_of(row.quantity, *value),
        Err(_) => "no value".to_string(),
    };
    let margin = words::row_margin(row).unwrap_or_default();
    let mark = if row.met() == Some(false) { "✗" } else { " " };
    let name = fitted(&words::row_name(row), 26);
    let mut tail = row_tail(row, analysis);
    let head = format!("{mark}{name:<26} {needed:>8} {got:>10} {margin:>7}  ");
    let mut lines = Vec::new();
    let room = 80usize.saturating_sub(head.chars().count());
    let first = take_words(&mut tail, room);
    lines.push(format!("{head}{first}").trim_end().to_string());
    while !tail.is_empty() {
        let next = take_words(&mut tail, 80 - 56);
        // A word longer than the column stands alone on its line.
        let next = if next.is_empty() {
            std::mem::take(&mut tail)
        } else {
            next
        };
        lines.push(format!("{:<56}{next}", ""));
    }
    lines
}

/// The text cut to a width, with a mark where it was cut.
fn fitted(text: &str, width: usize) -> String {
    if text.chars().count() <= width {
        return text.to_string();
    }
    let cut: String = text.chars().take(width - 1).collect();
    format!("{cut}…")
}

/// Takes whole words that fit into `room` columns off the front; one that fits nowhere is cut.
fn take_words(text: &mut String, room: usize) -> String {
    let mut taken = String::new();
    let mut rest: Vec<&str> = text.split_whitespace().collect();
    while let Some(word) = rest.first() {
        let length = taken.chars().count() + usize::from(!taken.is_empty()) + word.chars().count();
        if length > room {
            break;
        }
        if !taken.is_empty() {
            taken.push(' ');
        }
        taken.push_str(word);
        rest.remove(0);
    }
    *text = rest.join(" ");
    taken
}

/// Where the row is worst, what governs, and the spread of its band: what fits
/// beside the numbers; the whole stands in the results.
fn row_tail(row: &Row, analysis: &Analysis) -> String {
    if row.quantity == Quantity::Coverage {
        if let Some(cells) = &analysis.cells {
            return format!(
                "reach {} to {}, sampled ±{:.3}",
                words::angle(cells.polar[0]),
                words::angle(cells.polar[1]),
                cells.summary.coverage_error
            );
        }
        return match &analysis.working_range {
            Some(range) => format!(
                "reach {} to {}",
                words::angle(range.polar_min()),
                words::angle(range.polar_max())
            ),
            None => "no working range".to_string(),
        };
    }
    let mut parts = Vec::new();
    if let Err(reason) = &row.got {
        parts.push(reason.to_string());
    }
    if let Some(direction) = row.worst_at {
        let with_azimuth =
            analysis.cells.is_some() || row.quantity == Quantity::Sag && direction.azimuth != 0.0;
        parts.push(words::place(direction, with_azimuth));
    }
    let governed = [Quantity::HoldingTorque, Quantity::TransmissionAngle].contains(&row.quantity);
    if governed && !row.note.is_empty() {
        parts.push(row.note.clone());
    }
    if let Some([low, high]) = row.band {
        parts.push(format!(
            "{}…{}",
            words::without_unit(row.quantity, low),
            words::without_unit(row.quantity, high)
        ));
    }
    parts.join("; ")
}

fn compliance_lines(analysis: &Analysis, heading: &Heading) -> Vec<String> {
    let softest = analysis
        .rings
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least));
    let Some(ring) = softest else {
        return Vec::new();
    };
    let causes = ["arcs", "joints", "pins", "drives", "base"];
    let mut text = causes
        .iter()
        .zip(ring.energy_shares)
        .filter(|(_, share)| *share > 0.0)
        .map(|(cause, share)| format!("{cause} {}", words::number(100.0 * share, 0)))
        .collect::<Vec<_>>()
        .join(" · ");
    text.push_str(" %");
    if let Some((rigid, real)) = heading.best_stages {
        text.push_str(&format!(
            " · best stages at equal reach: rigid joints {rigid}, these joints {real}"
        ));
    }
    labelled("By cause", &text)
}

/// What the linkage would do with rigid joints and all bars on one sphere.
fn ideal_words(analysis: &Analysis) -> Option<String> {
    let values: Vec<String> = shown_rows(analysis)
        .into_iter()
        .filter_map(|row| {
            let ideal = analysis.ideal_value(row)?;
            let shown = words::value_of(row.quantity, ideal);
            let got = row.got.as_ref().ok()?;
            (shown != words::value_of(row.quantity, *got))
                .then(|| format!("{} {shown}", words::row_name(row).to_lowercase()))
        })
        .collect();
    (!values.is_empty()).then(|| format!("linkage would have {}", values.join(" · ")))
}

/// What layers, bosses and pins leave of the motion.
pub fn clearing_words(analysis: &Analysis) -> Option<String> {
    let clearing = analysis.clearing.as_ref()?;
    let mut text = format!("{} layers", clearing.layers);
    let range = analysis.working_range.as_ref();
    if let (Some(ideal), Some(range)) = (&clearing.ideal, range) {
        text.push_str(&format!(
            ": polar {} to {} (ideal {} to {})",
            words::angle(range.polar_min()),
            words::angle(range.polar_max()),
            words::angle(ideal.polar_min()),
            words::angle(ideal.polar_max())
        ));
    }
    for end in clearing.ends.iter().flatten() {
        let at = end.polar.map(words::angle).unwrap_or_default();
        text.push_str(&format!(
            "; ends at {at}: {} and {}",
            end.names[0], end.names[1]
        ));
    }
    // Pairs at the ends of the range sit on their clearance by construction, and layers
    // keep their radial distance whatever the bars do.
    let nearest = clearing.least.iter().find(|pair| {
        pair.second.is_some()
            && clearing
                .ends
                .iter()
                .flatten()
                .all(|end| end.names != pair.names)
    });
    if let Some(pair) = nearest {
        text.push_str(&format!(
            "; nearest else: {} and {}, {} mm",
            pair.names[0],
            pair.names[1],
            words::number(pair.distance * 1e3, 2)
        ));
    }
    Some(text)
}

/// What keep-outs leave, the room the motion takes, and where to park.
pub fn surroundings_words(analysis: &Analysis) -> Option<String> {
    let found = analysis.surroundings.as_ref()?;
    let taken: Vec<String> = found
        .taken
        .iter()
        .map(|(name, share)| format!("{name} takes {} %", words::number(100.0 * share, 1)))
        .collect();
    let mut text = taken.join(", ");
    if let Some(room) = &found.swept {
        text.push_str(&format!(
            "; sweeps a ball of {} mm about the centre",
            words::number(room.outer_radius * 1e3, 0)
        ));
    }
    text.push_str(&match &found.park {
        None => "; no configuration to park in is clear".to_string(),
        Some(park) => format!(
            "; parks within {} of the base axis{}",
            words::angle(park.cap),
            if park.all_joined {
                ", from where all of it is reached freely"
            } else {
                ", but not all clear directions are reached freely from there"
            }
        ),
    });
    let way = found.park.as_ref().and_then(|park| park.way_in.as_ref());
    if let Some(way) = way {
        text.push_str("; ");
        text.push_str(&way_words(way));
    }
    Some(text)
}

/// The straight way in of the parked instrument.
fn way_words(way: &WayInReport) -> String {
    let direction = |way: &Vector3<f64>| {
        let parts: Vec<String> = way
            .iter()
            .map(|part| calotte_format::map_request::names::number(*part))
            .collect();
        format!("({})", parts.join(", "))
    };
    let mut text = format!("parked, it comes in along {} ", direction(&way.direction));
    match &way.meets {
        None => text.push_str("freely"),
        Some(met) => {
            text.push_str(&match (&met.part, met.remaining) {
                (Some(part), Some(remaining)) => format!(
                    "until {part} meets {}, {} mm short of its place",
                    met.keep_out,
                    words::number(remaining * 1e3, 0)
                ),
                _ => format!("out of {}, which is no way", met.keep_out),
            });
            text.push_str(&match &way.free_instead {
                Some(other) => format!("; free along {}", direction(other)),
                None => "; no way in was found".to_string(),
            });
        }
    }
    text
}

/// The most loaded joints, with weight and any one load case.
fn joint_words(analysis: &Analysis) -> Option<String> {
    let most = |value: fn(&calotte::analysis::ring::JointLoad) -> f64| {
        analysis
            .joint_loads
            .iter()
            .max_by(|a, b| value(&a.1).total_cmp(&value(&b.1)))
    };
    let (radial_name, radial) = most(|load| load.radial)?;
    let (tilt_name, tilt) = most(|load| load.tilt)?;
    (radial.radial > 0.0).then(|| {
        format!(
            "maximum across {} N ({radial_name}) · maximum tilt {} N·m ({tilt_name})",
            words::three(radial.radial),
            words::three(tilt.tilt)
        )
    })
}

/// What the most loaded bearing carries across its axis, and its stiffness there beside
/// the one taken; `None` without bearings or where the model has no answer.
fn bearing_words(design: &Design, analysis: &Analysis) -> Option<String> {
    let parts = design.joints.parts.as_ref()?;
    let bearing = &parts.bearing;
    let (name, load) = analysis
        .joint_loads
        .iter()
        .map(|(name, load)| (name, 0.5 * load.radial + load.tilt / parts.pair_spacing))
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let there = bearing.radial_stiffness_at(load).ok()?;
    let newton_per_micrometre = |value: f64| words::three(value * 1e-6);
    let taken = match bearing.stiffness_at {
        StiffnessAt::Stated if bearing.radial.low < bearing.radial.high => format!(
            "taken {}, {}…{}",
            newton_per_micrometre(bearing.radial.value),
            newton_per_micrometre(bearing.radial.low),
            newton_per_micrometre(bearing.radial.high)
        ),
        StiffnessAt::Stated => format!("taken {}", newton_per_micrometre(bearing.radial.value)),
        StiffnessAt::Preload { axial, .. } => format!(
            "taken {} under {} N preload",
            newton_per_micrometre(bearing.radial.value),
            words::three(axial)
        ),
        StiffnessAt::Load { radial, .. } => format!(
            "taken {} at {} N",
            newton_per_micrometre(bearing.radial.value),
            words::three(radial)
        ),
    };
    (load > 0.0).then(|| {
        format!(
            "at most {} N across ({name}), where one {} gives {} N/µm; {taken}",
            words::three(load),
            bearing.name,
            newton_per_micrometre(there)
        )
    })
}

/// The one or two limits with the least relative margin.
pub fn binding_words(analysis: &Analysis) -> Option<String> {
    let mut margins: Vec<(f64, &Row)> = analysis
        .rows
        .iter()
        .filter_map(|row| row.relative_margin().map(|margin| (margin, row)))
        .collect();
    margins.sort_by(|a, b| a.0.total_cmp(&b.0));
    let named: Vec<String> = margins
        .iter()
        .filter(|(margin, _)| *margin < 0.25)
        .take(2)
        .map(|(_, row)| words::row_name(row).to_lowercase())
        .collect();
    (!named.is_empty()).then(|| named.join(" and "))
}
