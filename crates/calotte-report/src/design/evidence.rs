//! What stands behind each requirement of the chosen design: who set it, what was assumed,
//! which shipped checks its formula passes, what was measured.

use calotte::analysis::Row;
use calotte::design::{Design, JointProperties, Support};
use calotte::quantity::{Need, Over, Quantity};
use calotte::stock::Material;
use calotte::stock::material::CREEP_SOURCE;
use calotte_document::design::{Evidence, MeasuredEvidence};
use calotte_format::words;

use crate::html::{Block, Cell, Column, Table};

use super::found::Found;

/// What is printed where a brief does not say who set a limit.
pub const NO_SOURCE: &str = "brief, no source given";

/// One entry for each requirement, in the order of the rows.
pub fn evidence(found: &Found) -> Vec<Evidence> {
    let rows = found.analysis.rows.iter();
    rows.map(|row| of_row(found, row)).collect()
}

fn of_row(found: &Found, row: &Row) -> Evidence {
    let quantity = row.quantity;
    let factor = quantity.unit().factor();
    let shown = |value: f64| Some(value * factor).filter(|value| value.is_finite());
    let boundary = boundary(found, quantity);
    let set_by = match row.needed.or(boundary) {
        Some(_) => set_by(found, quantity),
        None => None,
    };
    Evidence {
        quantity: quantity.name(),
        load: row.load.clone(),
        set_by,
        unit: quantity.unit().symbol().to_string(),
        required: row.needed.and_then(shown),
        bounds_the_range: boundary.and_then(shown),
        predicted: row.got.as_ref().ok().copied().and_then(shown),
        range: row.band.map(|band| band.map(|end| end * factor)),
        assumptions: assumptions(&found.design, quantity, !found.brief.value.loads.is_empty()),
        checks: quantity
            .checks()
            .iter()
            .map(|id| (*id).to_string())
            .collect(),
        measured: measured(found, quantity),
    }
}

/// The limit by which a quantity bounds the working range, SI; `None` where it does not.
fn boundary(found: &Found, quantity: Quantity) -> Option<f64> {
    let mut boundaries = found.analysis.boundaries.iter();
    let own = boundaries.find(|(other, _)| *other == quantity);
    own.map(|(_, limit)| *limit)
}

/// Who set a limit, as the brief says; of walls that the brief limits by their process alone,
/// what that is usual for. `None` where nobody is named.
fn set_by(found: &Found, quantity: Quantity) -> Option<String> {
    let brief = &found.brief.value;
    if let Some(source) = brief.limit_sources.get(quantity) {
        return Some(source.to_string());
    }
    let of_process = matches!(quantity, Quantity::Wall | Quantity::Land);
    let process = brief
        .choice
        .process
        .filter(|_| of_process && brief.limits.get(quantity).is_none())?;
    Some(format!(
        "usual for {} parts ({})",
        process.word(),
        process.limits().source
    ))
}

/// What the value of a quantity takes for granted of a design, by what it is computed from:
/// the table of quantities says over what it is taken and what must be described for it.
///
/// - `loads`: whether any load case is given.
pub fn assumptions(design: &Design, quantity: Quantity, loads: bool) -> Vec<String> {
    let mut all = Vec::new();
    match quantity.facts().over {
        Over::WorkingRange => {
            all.push("arcs, joints and drives rigid, exact and without play".to_string());
            if !design.is_built() {
                all.push("bars pass through one another: no [layers] are given".to_string());
            }
        }
        Over::Directions => {
            all.push(
                "all sizes and angles exact, as the design gives them: no manufacturing tolerances"
                    .to_string(),
            );
            match quantity.needs(Need::Joints) {
                true => all.extend(elastic(design)),
                false => {
                    all.push("by equilibrium of rigid bodies; no friction, no cables".to_string())
                }
            }
        }
        Over::Linkage => match quantity {
            Quantity::Wall | Quantity::Land => all.push(format!(
                "sizes without tolerances; bars {}",
                design.material.process.word()
            )),
            Quantity::MovingMass => {
                all.push("sizes as the design gives them, without tolerances".to_string());
                all.push(masses(design));
            }
            _ => {}
        },
    }
    if quantity.is_per_load() || quantity.needs(Need::AnyLoad) && loads {
        all.push("loads static, of the size, place and direction that is stated".to_string());
    }
    if quantity.needs(Need::Weight) {
        all.push("weight acts along −z of the world".to_string());
        all.push(masses(design));
        all.push(match design.tool.mass {
            Some(_) => "mass and centre of mass of the tool as stated".to_string(),
            None => "the tool without mass: none is given".to_string(),
        });
    }
    if quantity.needs(Need::ToolMass) && quantity.needs(Need::Joints) {
        all.extend(creep(design));
    }
    if quantity.needs(Need::Fibres) {
        all.push(format!(
            "yield strength of {}; static loads, no notches, no fatigue",
            materials(design)
        ));
    }
    if quantity.needs(Need::BearingRating) {
        all.push("static ratings as the bearing table or the brief gives them".to_string());
    }
    all
}

/// The materials of bars and pins with their sources.
fn materials(design: &Design) -> String {
    let named = |material: &Material| format!("{} ({})", material.name, material.source);
    let bars = named(&design.material);
    match &design.joints.parts {
        Some(parts) if parts.pin.material.name != design.material.name => {
            format!("{bars} and of the pins' {}", named(&parts.pin.material))
        }
        _ => bars,
    }
}

/// What masses are made of.
fn masses(design: &Design) -> String {
    let no_drives = design.drives.each.iter().all(|drive| drive.mass.is_none());
    format!(
        "density of {}; no screws, cables{} covers",
        materials(design),
        if no_drives { ", drives or" } else { " or" }
    )
}

/// What deformations take for granted.
fn elastic(design: &Design) -> Vec<String> {
    let material = &design.material;
    let mut all = vec![
        "small deformations, bars by curved-beam theory; the tool rigid from its carrier to the tip, bosses rigid within their zones".to_string(),
        format!("moduli of {} ({})", material.name, material.source),
    ];
    for joints in design.each_joints() {
        let told = of_joints(joints).into_iter();
        let new: Vec<String> = told.filter(|text| !all.contains(text)).collect();
        all.extend(new);
    }
    if let Some(rigid) = words::rigid_drives(design) {
        all.push(format!("{rigid} taken as rigid"));
    }
    match &design.mount.support {
        None => all.push("ground taken as rigid".to_string()),
        Some(Support::Column { material, .. }) => all.push(format!(
            "moduli of {} ({}) for the column",
            material.name, material.source
        )),
        Some(Support::Springs { .. }) => {
            all.push("stiffness of the ground as the brief or design states it".to_string());
        }
    }
    if let Some(parts) = &design.joints.parts {
        let pins = &parts.pin.material;
        all.push(format!(
            "moduli of {} ({}) for the pins",
            pins.name, pins.source
        ));
    }
    all
}

/// What the deformation of joints of one kind takes for granted.
fn of_joints(joints: &JointProperties) -> [String; 2] {
    let millimetres = |metres: f64| words::three(1e3 * metres);
    let bosses = format!("bosses of {} mm", millimetres(joints.boss_diameter));
    let stiffness = match (&joints.parts, &joints.stiffness) {
        (Some(parts), _) => format!(
            "joints by bearings {}, preloaded: no play, though the bearing has some; its stiffness the same whatever the load",
            parts.bearing.name
        ),
        (None, Some(_)) => {
            "joint stiffness as the brief or design states it, without play".to_string()
        }
        (None, None) => "joints taken as rigid".to_string(),
    };
    let sizes = match &joints.parts {
        Some(parts) => format!(
            "bearing spacing of {} mm, pins of {} mm with a bore of {} mm and {bosses}: fixed, no range is looked at",
            millimetres(parts.pair_spacing),
            millimetres(parts.pin.diameter),
            millimetres(parts.pin.bore),
        ),
        None => format!("{bosses}: fixed, no range is looked at"),
    };
    [stiffness, sizes]
}

/// How bars that carry a weight for long creep; `None` where they do not.
fn creep(design: &Design) -> Option<String> {
    let material = &design.material;
    let creep = material.creep;
    if !creep.is_band() && creep.value == 1.0 {
        return None;
    }
    let shipped = Material::shipped(&material.name);
    let source = match shipped.is_some_and(|shipped| shipped.creep == creep) {
        true => CREEP_SOURCE,
        false => "as the brief or design gives it",
    };
    Some(format!(
        "creep multiplies the bars' deformation by {} to {} in time ({source})",
        words::number(creep.low, 1),
        words::number(creep.high, 1)
    ))
}

/// The softest that pulling on the prototype showed; a stiffness is the one quantity that
/// weights measure.
fn measured(found: &Found, quantity: Quantity) -> Option<MeasuredEvidence> {
    if quantity != Quantity::Stiffness {
        return None;
    }
    let (prototype, _) = found.next.as_ref()?;
    let stations = &prototype.fit.as_ref()?.value.stations;
    let pulls = stations.iter().filter_map(|station| station.measured);
    let [value, error] = pulls.min_by(|a, b| a[0].total_cmp(&b[0]))?;
    let factor = quantity.unit().factor();
    Some(MeasuredEvidence {
        value: value * factor,
        standard_error: error * factor,
        what: "the softest pull on the prototype that this design is based on".to_string(),
    })
}

/// The table of summary.html, and the assumptions under it, each named once.
pub fn blocks(found: &Found) -> Vec<Block> {
    let evidence = evidence(found);
    let mut told: Vec<String> = Vec::new();
    let mut rows = Vec::new();
    for (entry, row) in evidence.iter().zip(&found.analysis.rows) {
        let numbers = entry.assumptions.iter().map(|text| {
            let known = told.iter().position(|other| other == text);
            let place = known.unwrap_or_else(|| {
                told.push(text.clone());
                told.len() - 1
            });
            (place + 1).to_string()
        });
        let assumed = numbers.collect::<Vec<_>>().join(", ");
        rows.push(cells(entry, row, assumed));
    }
    let numbered = told.iter().enumerate();
    vec![
        Block::Table(Table {
            caption: "Who set each limit, what its prediction assumes (numbers below), and which shipped checks its formulas pass: ids of rows of calotte verify, which check the formulas and not this design.".to_string(),
            columns: ["Requirement", "Set by", "Required; predicted; range", "Assumes", "Checks", "Measured"]
                .map(Column::text)
                .to_vec(),
            rows,
            emphasised: None,
        }),
        Block::List(
            numbered
                .map(|(place, text)| format!("Assumption {}: {text}.", place + 1))
                .collect(),
        ),
    ]
}

fn cells(entry: &Evidence, row: &Row, assumed: String) -> Vec<Cell> {
    // A number and its unit stay on one line.
    let whole = |value: String| value.replace(' ', "\u{a0}");
    let sign = if row.at_least() { "≥" } else { "≤" };
    let [limit, value] = words::limit_and_value(row);
    let bound = entry.bounds_the_range.map(|bound| {
        let bound = words::value_of(row.quantity, bound / row.quantity.unit().factor());
        format!("{} bounds the range", whole(format!("{sign} {bound}")))
    });
    let mut values = vec![match (limit, bound) {
        (Some(limit), _) => whole(format!("{sign} {limit}")),
        (None, Some(bound)) => bound,
        (None, None) => "no limit".to_string(),
    }];
    values.push(match &row.got {
        Ok(_) => whole(value.unwrap_or_default()),
        Err(reason) => format!("no value ({reason})"),
    });
    values.extend(words::range_ends(row).map(|[low, high]| whole(format!("{low} … {high}"))));
    // A brief that says nothing of coverage asks for all of it.
    let usual = row.quantity == Quantity::Coverage && row.needed == Some(1.0);
    let set_by = match row.needed.or(entry.bounds_the_range) {
        Some(_) => entry.set_by.clone().unwrap_or_else(|| match usual {
            true => format!("{NO_SOURCE}, or 1 where it says nothing"),
            false => NO_SOURCE.to_string(),
        }),
        None => String::new(),
    };
    vec![
        Cell::Text(words::row_name(row)),
        Cell::Text(set_by),
        Cell::Text(values.join("; ")),
        Cell::Text(assumed),
        Cell::Text(entry.checks.join(", ")),
        Cell::Text(entry.measured.as_ref().map_or(String::new(), |measured| {
            let [value, error] = [measured.value, measured.standard_error].map(words::three);
            format!("{value} ± {error} {}: {}", entry.unit, measured.what)
        })),
    ]
}
