//! The one-screen summary: 80 columns.

use calotte::analysis::requirements::DEFAULT_TRANSMISSION_ANGLE;
use calotte::analysis::ring::RingResult;
use calotte::analysis::{Analysis, NamedPair, Row, WayInReport};
use calotte::design::Design;
use calotte::kinematics::WorkingRange;
use calotte::quantity::Quantity;
use calotte::sphere::Direction;
use calotte::stock::StiffnessAt;

use crate::cautions::{hangs_on, limitations_of, range_margins_words, singular_words, walls_of};
use crate::supports::{taken_as_rigid, typical_words};
use crate::verdict::{self, only_nominal};
use calotte_format::safety::Safety;
use calotte_format::words;
use nalgebra::Vector3;

/// What stands before the chosen design.
pub const SELECTED: &str = "Selected";
/// What stands before the governing limits.
pub const GOVERNING: &str = "Governing limits";
/// What stands before the alternatives that a search rejected.
pub const REJECTED: &str = "Not chosen";

/// Columns of the label; the text has the rest of 80.
const LABEL: usize = 18;
/// Columns before the last one of the table, where a row is worst.
const PLACE: usize = 60;

/// What the summary shows besides the analysis.
pub struct Heading {
    /// Title of the brief or design.
    pub title: String,
    /// Whether people are near the instrument.
    pub people_near: bool,
    /// Time taken, as minutes and seconds; empty to leave it out.
    pub elapsed: String,
    /// What was rejected, in words; empty without a search.
    pub rejected: Vec<String>,
    /// What is told of a search besides, each with its label.
    pub explained: Vec<(&'static str, String)>,
    /// The prototype that this one is based on, in words; empty without.
    pub follows: Vec<String>,
    /// Best number of stages with rigid joints and with these, if looked at.
    pub best_stages: Option<(usize, usize)>,
    /// What to do next.
    pub next: String,
}

/// The summary as text.
pub fn summary(design: &Design, analysis: &Analysis, heading: &Heading) -> String {
    let limitations = limitations_of(analysis);
    let mut lines = vec![title_line(heading)];
    lines.extend(labelled(
        "Result",
        &result_words(design, analysis, limitations.len()),
    ));
    lines.extend(labelled(SELECTED, &chosen_words(design)));
    for (place, follows) in heading.follows.iter().enumerate() {
        let label = if place == 0 { "Prototype" } else { "" };
        lines.extend(labelled(label, follows));
    }
    lines.push(format!(
        " {:<23} {:>8} {:>10} {:<15}{}",
        "Requirement", "Limit", "Predicted", "Uncertainty", "Worst place"
    ));
    for row in shown_rows(analysis) {
        lines.extend(row_lines(row, analysis));
    }
    let built = [
        (GOVERNING, binding_words(analysis)),
        ("Working range", range_words(analysis)),
        ("Singularities", Some(singular_words(analysis))),
        ("Contact", contact_words(analysis)),
        ("Under load", under_load_words(analysis)),
        ("Base axis", Some(base_axis_line(design))),
        ("Tool roll", roll_words(analysis)),
        ("Compliance", compliance_words(analysis)),
        ("Stages", stages_words(heading)),
        ("Joint loads", joint_words(analysis)),
        ("Bearings", bearing_words(design, analysis)),
        ("Layers", clearing_words(analysis)),
        ("Surroundings", surroundings_words(analysis)),
        ("Ideal linkage", ideal_words(analysis)),
        ("Assumed", Some(assumed_words(design))),
        ("Typical supports", typical_words(design, analysis)),
    ];
    for (label, text) in built {
        lines.extend(text.iter().flat_map(|text| labelled(label, text)));
    }
    for rejected in &heading.rejected {
        lines.extend(labelled(REJECTED, rejected));
    }
    let mut before = "";
    for (label, text) in &heading.explained {
        lines.extend(labelled(if *label == before { "" } else { label }, text));
        before = label;
    }
    for row in analysis.rows.iter().filter(|row| only_nominal(row)) {
        let name = words::row_name(row).to_lowercase();
        let text = format!("{name}: {}", hangs_on(row));
        lines.extend(labelled("Uncertainty", &text));
    }
    for text in &walls_of(analysis) {
        lines.extend(labelled("Thin wall", text));
    }
    for text in &limitations {
        lines.extend(labelled("Model limitation", text));
    }
    lines.extend(labelled(
        "Safety",
        &Safety::of(design, heading.people_near).short(),
    ));
    if !heading.next.is_empty() {
        lines.extend(labelled("Next", &heading.next));
    }
    lines.join("\n") + "\n"
}

/// The title, and the time taken at the right.
fn title_line(heading: &Heading) -> String {
    let elapsed = match heading.elapsed.as_str() {
        "" => String::new(),
        elapsed => format!("run time {elapsed}"),
    };
    let right = elapsed.chars().count();
    let title: String = heading.title.chars().take(78 - right).collect();
    let gap = 80usize.saturating_sub(title.chars().count() + right);
    format!("{title}{}{elapsed}", " ".repeat(gap.max(2)))
        .trim_end()
        .to_string()
}

/// Whether the limits are met, at nominal values and over the stated uncertainty.
fn result_words(design: &Design, analysis: &Analysis, limitations: usize) -> String {
    let name = |row: &Row| words::row_name(row).to_lowercase();
    let mut text = verdict::printed(design, analysis, &name);
    text.push_str(&match limitations {
        0 => String::new(),
        1 => "; 1 model limitation".to_string(),
        n => format!("; {n} model limitations"),
    });
    text
}

/// The design in one line: linkage, radius, section, material, drives and what is built.
pub fn chosen_words(design: &Design) -> String {
    let mut text = format!(
        "{}, radius {} mm, section {}, {}, {}, {}",
        words::linkage(design),
        words::three(design.joint_radius * 1e3),
        words::sections(design),
        design.material.name,
        driven_words(design),
        base_axis_words(design)
    );
    if let Some(joints) = words::own_joints(design) {
        text.push_str(&format!(", joints: {joints}"));
    } else if let Some(parts) = &design.joints.parts {
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

/// What drives the linkage.
fn driven_words(design: &Design) -> String {
    let layout = words::drive_layout(design).replace('-', " ");
    format!("driven by {layout}")
}

/// How the base axis stands against gravity.
fn base_axis_words(design: &Design) -> String {
    let axis = design.mount.axis;
    let tilt = axis.xy().norm().atan2(axis.z.abs());
    if tilt > 1e-9 {
        format!("base axis {} from vertical", words::angle(tilt))
    } else {
        "base axis vertical".to_string()
    }
}

/// Where the base axis points, and how it stands against gravity.
fn base_axis_line(design: &Design) -> String {
    let axis = design.mount.axis.normalize();
    let parts = axis.iter().map(|part| words::number(*part, 3));
    let parts: Vec<String> = parts.collect();
    let said = base_axis_words(design);
    let stands = said.strip_prefix("base axis ").unwrap_or(&said);
    format!("({}) in the world, {stands}", parts.join(", "))
}

/// How far the tool rolls over the region.
fn roll_words(analysis: &Analysis) -> Option<String> {
    let found = analysis.tool_roll.as_ref()?;
    let [low, high] = found.roll;
    Some(format!(
        "{} to {} against the meridian over the covered region, a range of {} (sampled at {} configurations{})",
        words::angle(low),
        words::angle(high),
        words::angle(high - low),
        found.samples,
        // Poses in no order have nothing between them.
        if analysis.cells.is_some() {
            ""
        } else {
            ", ends refined between them"
        }
    ))
}

/// A label and text wrapped to the rest.
fn labelled(label: &str, text: &str) -> Vec<String> {
    words::wrapped(text, 80 - LABEL)
        .into_iter()
        .enumerate()
        .map(|(index, line)| format!("{:<LABEL$}{line}", if index == 0 { label } else { "" }))
        .collect()
}

/// Rows with a limit first, in their order, then what is worth knowing.
fn shown_rows(analysis: &Analysis) -> Vec<&Row> {
    let required = analysis.rows.iter().filter(|row| row.needed.is_some());
    let rest = analysis
        .rows
        .iter()
        .filter(|row| row.needed.is_none() && row.got.is_ok() && !row.quantity.facts().aside);
    required.chain(rest).collect()
}

fn row_lines(row: &Row, analysis: &Analysis) -> Vec<String> {
    let sign = if row.at_least() { "≥" } else { "≤" };
    let (needed, got) = match (row.needed, &row.got) {
        (Some(needed), Ok(got)) if row.met_at_nominal() == Some(false) => {
            let [got, needed] = words::apart(row.quantity, [*got, needed]);
            let number = needed.split(' ').next().unwrap_or_default();
            (format!("{sign} {number}"), got)
        }
        (needed, got) => (
            needed.map_or("–".to_string(), |needed| {
                format!("{sign} {}", words::without_unit(row.quantity, needed))
            }),
            got.as_ref().map_or("no value".to_string(), |got| {
                words::value_of(row.quantity, *got)
            }),
        ),
    };
    let mark = match (row.met_at_nominal(), row.band_met()) {
        (Some(false), _) => "✗",
        (Some(true), Some(false)) => "!",
        _ => " ",
    };
    let name = fitted(&words::row_name(row), 23);
    let range = words::range_ends(row).map_or("–".to_string(), |[low, high]| {
        let high = high.split(' ').next().unwrap_or_default();
        format!("{low} to {high}")
    });
    let mut tail = row_tail(row, analysis);
    let head = format!("{mark}{name:<23} {needed:>8} {got:>10} {range:<15}");
    let mut lines = Vec::new();
    let room = 80usize.saturating_sub(head.chars().count());
    let first = take_words(&mut tail, room);
    lines.push(format!("{head}{first}").trim_end().to_string());
    while !tail.is_empty() {
        let next = take_words(&mut tail, 80 - PLACE);
        // A word longer than the column stands alone on its line.
        let next = if next.is_empty() {
            std::mem::take(&mut tail)
        } else {
            next
        };
        lines.push(format!("{:<PLACE$}{next}", ""));
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

/// Where the row is worst and what governs there.
fn row_tail(row: &Row, analysis: &Analysis) -> String {
    if row.quantity == Quantity::Coverage {
        let cells = analysis.cells.as_ref();
        return cells.map_or(String::new(), |cells| {
            format!("sampled ±{:.3}", cells.summary.coverage_error)
        });
    }
    let mut parts = Vec::new();
    if let Err(reason) = &row.got {
        parts.push(reason.to_string());
    }
    if row.quantity == Quantity::MovingMass {
        parts.push("without tool".to_string());
    }
    if let Some(direction) = row.worst_at {
        let with_azimuth =
            analysis.cells.is_some() || row.quantity == Quantity::Sag && direction.azimuth != 0.0;
        parts.push(words::place(direction, with_azimuth));
    }
    let governed = [
        Quantity::HoldingTorque,
        Quantity::LoadHoldingTorque,
        Quantity::TransmissionAngle,
    ]
    .contains(&row.quantity);
    if governed && !row.note.is_empty() {
        parts.push(row.note.clone());
    }
    parts.join("; ")
}

/// What is said of a tool that has run round beyond 180°; empty where it has not.
pub fn turned_words(range: &WorkingRange) -> String {
    range.turned_beyond().map_or(String::new(), |[from, to]| {
        format!(
            ", run round beyond 180°: counted on from the base axis {} to {}",
            words::angle(from),
            words::angle(to)
        )
    })
}

/// The working range in polar angle, with what ends it and the limits that bound it.
fn range_words(analysis: &Analysis) -> Option<String> {
    let mut text = match (&analysis.cells, &analysis.working_range) {
        (Some(cells), _) => format!(
            "polar {} to {}",
            words::angle(cells.polar[0]),
            words::angle(cells.polar[1])
        ),
        (None, Some(range)) => {
            let inner = range.inner_end();
            format!(
                "polar {} ({}) to {} ({})",
                words::angle(range.polar_min()),
                range.limits[inner].words(),
                words::angle(range.polar_max()),
                range.limits[1 - inner].words()
            ) + &turned_words(range)
        }
        (None, None) => return None,
    };
    let bounds: Vec<String> = analysis
        .boundaries
        .iter()
        .map(|(quantity, limit)| {
            format!(
                "{} ≥ {}{}",
                words::within(&words::name_of(*quantity, None)),
                words::value_of(*quantity, *limit),
                match analysis.row(*quantity) {
                    Some(_) => "",
                    None => " (this linkage has none)",
                }
            )
        })
        .collect();
    if !bounds.is_empty() {
        text.push_str(&format!(
            "; the brief bounds it by {}",
            bounds.join(" and ")
        ));
    }
    if let Some(report) = &analysis.singularity {
        text.push_str(&format!(
            "; its ends: {}",
            range_margins_words(&report.range)
        ));
    }
    if let Some([low, high]) = analysis.elastic_polar {
        text.push_str(&format!(
            "; stiffness, deflection, torque and strength over polar {} to {}, where the transmission angle is at least {}",
            words::angle(low),
            words::angle(high),
            words::angle(DEFAULT_TRANSMISSION_ANGLE)
        ));
    }
    Some(text)
}

/// How loads change the conditioning.
fn under_load_words(analysis: &Analysis) -> Option<String> {
    let number = |value: f64| words::number(value, 4);
    let lines: Vec<String> = analysis
        .under_load
        .iter()
        .map(|found| {
            let name = &found.load;
            match (&found.exact, &found.virtual_joints) {
                (Err(reason), _) => format!("{name}: no conditioning index ({reason})"),
                (Ok(exact), other) => format!(
                    "{name} ({}): GCI {}, minimum LCI {}{}",
                    found.fixed_in,
                    number(exact.gci),
                    number(exact.lci_min),
                    other.as_ref().map_or(String::new(), |other| format!(
                        " (virtual joints {}, {})",
                        number(other.gci),
                        number(other.lci_min)
                    ))
                ),
            }
        })
        .collect();
    let rigid = &analysis.conditioning;
    (!lines.is_empty()).then(|| {
        format!(
            "{}; without load GCI {}, minimum LCI {}",
            lines.join("; "),
            number(rigid.gci),
            number(rigid.lci_min)
        )
    })
}

/// By how much contact rises where the body comes nearer.
fn contact_words(analysis: &Analysis) -> Option<String> {
    let radial = |ring: &&RingResult| ring.stiffness.radial;
    let by_size = |a: &&RingResult, b: &&RingResult| radial(a).total_cmp(&radial(b));
    let rings = || analysis.rings.iter();
    let [low, high] = [rings().min_by(by_size)?, rings().max_by(by_size)?].map(|ring| {
        let own_azimuth = analysis.cells.as_ref().and(ring.points.first());
        let at = Direction {
            polar: ring.polar,
            azimuth: own_azimuth.map_or(0.0, |point| point.azimuth),
        };
        format!(
            "{} N ({})",
            words::without_unit(Quantity::ContactStiffness, radial(&ring)),
            words::place(at, own_azimuth.is_some())
        )
    });
    Some(format!(
        "if the body that the tip touches moves 1 mm towards the tool, the contact force on it rises by {low} to {high}; drives held, no friction"
    ))
}

/// Which kind of part deforms how much where stiffness is minimum.
fn compliance_words(analysis: &Analysis) -> Option<String> {
    let ring = analysis
        .rings
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least))?;
    let mut shares: Vec<(&str, f64)> = ["arcs", "joints", "pins", "drives", "base"]
        .into_iter()
        .zip(ring.energy_shares)
        .filter(|(_, share)| *share > 0.0)
        .collect();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    let shares: Vec<String> = shares
        .iter()
        .map(|(part, share)| format!("{part} {} %", words::number(100.0 * share, 0)))
        .collect();
    Some(format!(
        "{} of the deflection, where stiffness is minimum",
        shares.join(", ")
    ))
}

/// Which number of stages would be stiffest.
fn stages_words(heading: &Heading) -> Option<String> {
    let (rigid, real) = heading.best_stages?;
    Some(format!(
        "{real} would be stiffest at equal reach with these joints, {rigid} with rigid joints; other limits are not judged there"
    ))
}

/// What the numbers rest on and leave out.
fn assumed_words(design: &Design) -> String {
    let mut assumed = Vec::new();
    if design.joints.stiffness.is_none() {
        assumed.push("joints taken as rigid".to_string());
    }
    if let Some(supports) = taken_as_rigid(design) {
        assumed.push(format!("{supports} taken as rigid"));
    }
    assumed.push("joints taken as preloaded, without play".to_string());
    format!(
        "{}; friction and manufacturing deviations are not modelled",
        assumed.join(", ")
    )
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
    (!values.is_empty()).then(|| {
        format!(
            "with rigid joints and all bars on one sphere: {}",
            values.join("; ")
        )
    })
}

/// What layers, bosses and pins leave of the motion.
pub fn clearing_words(analysis: &Analysis) -> Option<String> {
    let clearing = analysis.clearing.as_ref()?;
    let mut text = format!("{} layers", clearing.layers);
    let range = analysis.working_range.as_ref();
    if let (Some(ideal), Some(range)) = (&clearing.ideal, range) {
        text.push_str(&format!(
            ": polar {} to {} (ideal linkage {} to {})",
            words::angle(range.polar_min()),
            words::angle(range.polar_max()),
            words::angle(ideal.polar_min()),
            words::angle(ideal.polar_max())
        ));
    }
    for end in clearing.ends.iter().flatten() {
        let at = end.polar.map(words::angle).unwrap_or_default();
        text.push_str(&format!(
            "; limited at {at} by {} and {}",
            end.names[0], end.names[1]
        ));
    }
    // Pairs at the ends of the range sit on their clearance by construction, and layers
    // keep their radial distance whatever the bars do.
    let ends = || clearing.ends.iter().flatten();
    let at_end = |pair: &NamedPair| ends().any(|end| end.names == pair.names);
    let moves = |pair: &&NamedPair| pair.second.is_some();
    let mut pairs = clearing.least.iter();
    if let Some(pair) = pairs.clone().filter(moves).find(|pair| !at_end(pair)) {
        text.push_str(&format!(
            "; next-closest pair {} and {}, {} mm apart",
            pair.names[0],
            pair.names[1],
            words::number(pair.distance * 1e3, 2)
        ));
        let mut left_out = Vec::new();
        if pairs.any(|other| !moves(&other) && other.distance < pair.distance) {
            left_out.push("pairs whose distance no motion changes, such as neighbouring layers");
        }
        if ends().next().is_some() {
            left_out.push("the pairs that end the range");
        }
        if !left_out.is_empty() {
            text.push_str(&format!(", after {}", left_out.join(" and ")));
        }
    }
    Some(text)
}

/// What keep-outs leave, the room the motion takes, and the stowed position.
pub fn surroundings_words(analysis: &Analysis) -> Option<String> {
    let found = analysis.surroundings.as_ref()?;
    let taken: Vec<String> = found
        .taken
        .iter()
        .map(|(name, share)| format!("{name} {} %", words::number(100.0 * share, 1)))
        .collect();
    let mut text = format!("coverage lost to {}", taken.join(", "));
    if let Some(room) = &found.swept {
        text.push_str(&format!(
            "; swept radius {} mm about the centre",
            words::number(room.outer_radius * 1e3, 0)
        ));
    }
    text.push_str(&match &found.park {
        None => "; no stowed position is clear".to_string(),
        Some(park) => format!(
            "; clear stowed position within {} of the base axis{}",
            words::angle(park.cap),
            if park.all_joined {
                ", whole region reachable from it"
            } else {
                ", but not all clear directions are reachable from it"
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

/// The straight insertion of the stowed instrument.
fn way_words(way: &WayInReport) -> String {
    let direction = |way: &Vector3<f64>| {
        let parts: Vec<String> = way
            .iter()
            .map(|part| calotte_format::map_request::names::number(*part))
            .collect();
        format!("({})", parts.join(", "))
    };
    let mut text = format!("insertion along {} is ", direction(&way.direction));
    match &way.meets {
        None => text.push_str("clear"),
        Some(met) => {
            text.push_str(&match (&met.part, met.remaining) {
                (Some(part), Some(remaining)) => format!(
                    "blocked: {part} meets {} {} mm before its place",
                    met.keep_out,
                    words::number(remaining * 1e3, 0)
                ),
                _ => format!("blocked: it leads out of {}", met.keep_out),
            });
            text.push_str(&match &way.free_instead {
                Some(other) => format!("; clear along {}", direction(other)),
                None => "; no clear insertion was found".to_string(),
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
            "maximum radial {} N ({radial_name}), maximum moment {} N·m ({tilt_name})",
            words::three(radial.radial),
            words::three(tilt.tilt)
        )
    })
}

/// What the most loaded bearing carries across its axis, and its stiffness there beside
/// the one taken; `None` without bearings or where the model has no answer.
fn bearing_words(design: &Design, analysis: &Analysis) -> Option<String> {
    let rule = design.joints.parts.as_ref()?;
    // Each joint has the bearings of its level.
    let linkage = calotte::family::build(design).ok()?;
    let of_joint = |name: &str| {
        let joint = linkage.joints.iter().find(|joint| joint.name == name);
        let parts = joint.and_then(|joint| joint.properties(design).parts.as_ref());
        parts.unwrap_or(rule)
    };
    let (name, load, parts) = analysis
        .joint_loads
        .iter()
        .map(|(name, load)| {
            let parts = of_joint(name);
            (
                name,
                0.5 * load.radial + load.tilt / parts.pair_spacing,
                parts,
            )
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let bearing = &parts.bearing;
    let there = bearing.radial_stiffness_at(load).ok()?;
    let newton_per_micrometre = |value: f64| words::three(value * 1e-6);
    let taken = match bearing.stiffness_at {
        StiffnessAt::Stated if bearing.radial.low < bearing.radial.high => format!(
            "{} N/µm ({} to {})",
            newton_per_micrometre(bearing.radial.value),
            newton_per_micrometre(bearing.radial.low),
            newton_per_micrometre(bearing.radial.high)
        ),
        StiffnessAt::Stated => format!("{} N/µm", newton_per_micrometre(bearing.radial.value)),
        StiffnessAt::Preload { axial, .. } => format!(
            "{} N/µm under {} N preload",
            newton_per_micrometre(bearing.radial.value),
            words::three(axial)
        ),
        StiffnessAt::Load { radial, .. } => format!(
            "{} N/µm at {} N",
            newton_per_micrometre(bearing.radial.value),
            words::three(radial)
        ),
    };
    (load > 0.0).then(|| {
        format!(
            "radial stiffness assumed: {taken}; at the maximum radial load on one bearing, {} N ({name}), a {} has {} N/µm",
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
        .map(|(_, row)| {
            let margin = words::row_margin(row).unwrap_or_default();
            format!("{} (margin {margin})", words::row_name(row).to_lowercase())
        })
        .collect();
    (!named.is_empty()).then(|| named.join(" and "))
}
