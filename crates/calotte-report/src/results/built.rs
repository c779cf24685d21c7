//! What is built, and what it keeps clear of.

use calotte::analysis::{Analysis, NamedPair};
use calotte::built::{Built, PlacedParts};
use calotte::design::Design;
use calotte::interference::PairDistance;
use calotte_document::built::{
    ArcLine, BarLines, Clearing, FreeRange, Meeting, NearKeepOut, NearPair, Park, PartDistance,
    Parts, PinLine, Surroundings, SweptRoom, TakenShare, ToolLine, WayIn,
};
use calotte_document::common::Triple;
use calotte_format::units::degrees;
use nalgebra::Vector3;

/// How many of the nearest pairs are printed.
const NEAREST_PAIRS: usize = 12;

fn pair(pair: &NamedPair) -> NearPair {
    let [first, second] = pair.names.clone();
    NearPair {
        first,
        second,
        distance_mm: pair.distance * 1e3,
        second_mechanism_angle_deg: pair.second.map(degrees),
        polar_deg: pair.polar.map(degrees),
    }
}

/// What layers, bosses and pins leave of the motion; `None` without layers.
pub(super) fn clearing_document(analysis: &Analysis) -> Option<Clearing> {
    let clearing = analysis.clearing.as_ref()?;
    Some(Clearing {
        layers: clearing.layers,
        clearance_mm: clearing.clearance * 1e3,
        range_without_parts_deg: clearing.ideal.as_ref().map(|range| FreeRange {
            second_mechanism_angle: range.second.map(degrees),
            polar_min: degrees(range.polar_min()),
            polar_max: degrees(range.polar_max()),
        }),
        ends: [0, 1].map(|end| clearing.ends[end].as_ref().map(pair)),
        nearest: clearing
            .least
            .iter()
            .take(NEAREST_PAIRS)
            .map(pair)
            .collect(),
    })
}

fn millimetres(v: &Vector3<f64>) -> Triple {
    (v * 1e3).into()
}

/// What keep-outs leave; `None` without any.
pub(super) fn surroundings_document(analysis: &Analysis) -> Option<Surroundings> {
    let found = analysis.surroundings.as_ref()?;
    Some(Surroundings {
        coverage_fraction: found.remaining[0],
        coverage_fraction_undecided: found.remaining[1] - found.remaining[0],
        coverage_lost: found
            .taken
            .iter()
            .map(|(name, share)| TakenShare {
                keep_out: name.clone(),
                fraction: *share,
            })
            .collect(),
        swept: found.swept.as_ref().map(|room| SweptRoom {
            outer_radius_mm: room.outer_radius * 1e3,
            radius_from_base_axis_mm: room.axis_radius * 1e3,
            low_mm: millimetres(&room.low),
            high_mm: millimetres(&room.high),
        }),
        stowed: found.park.as_ref().map(|park| Park {
            mechanism_deg: park.mechanism.map(degrees),
            cap_deg: degrees(park.cap),
            nearest: park
                .nearest
                .as_ref()
                .map(|(part, keep_out, distance)| NearKeepOut {
                    part: part.clone(),
                    keep_out: keep_out.clone(),
                    distance_mm: distance * 1e3,
                }),
            all_directions_joined: park.all_joined,
            insertion: park.way_in.as_ref().map(|way| WayIn {
                direction: way.direction.into(),
                free: way.meets.is_none(),
                meets: way.meets.as_ref().map(|met| Meeting {
                    part: met.part.clone(),
                    keep_out: met.keep_out.clone(),
                    remaining_mm: met.remaining.map(|remaining| remaining * 1e3),
                }),
                free_instead: way.free_instead.map(Into::into),
            }),
        }),
    })
}

/// Centre lines of the parts at one configuration, mm, base frame.
pub fn parts_document(design: &Design, parts: &PlacedParts) -> Parts {
    let bars = parts
        .bars
        .iter()
        .map(|bar| BarLines {
            name: bar.name.clone(),
            radius_mm: bar.radius * 1e3,
            arcs: bar
                .arcs
                .iter()
                .zip(&bar.rigid)
                .map(|([from, to], rigid)| ArcLine {
                    from_mm: millimetres(from),
                    to_mm: millimetres(to),
                    rigid_mm: rigid.map(|length| length * 1e3),
                })
                .collect(),
        })
        .collect();
    let pins = parts
        .pins
        .iter()
        .map(|pin| PinLine {
            joint: pin.joint.clone(),
            clamped_in: pin.clamped_in.clone(),
            bearings_in: pin.bearings_in.clone(),
            from_mm: millimetres(&pin.from),
            to_mm: millimetres(&pin.to),
            diameter_mm: pin.diameters[0] * 1e3,
            bore_mm: pin.diameters[1] * 1e3,
            driven: pin.driven,
        })
        .collect();
    Parts {
        boss_diameter_mm: design.joints.boss_diameter * 1e3,
        bars,
        pins,
        tool: ToolLine {
            carried_by: parts.tool_carried_by.clone(),
            tip_mm: millimetres(&parts.tool_tip),
            direction: parts.tool_direction.into(),
        },
    }
}

/// Distances of pairs of parts by name, mm; negative where they pass through one another.
pub fn distances_document(built: &Built, distances: &[PairDistance]) -> Vec<PartDistance> {
    distances
        .iter()
        .map(|pair| {
            let [first, second] = pair.solids.map(|index| built.solids[index].name.clone());
            PartDistance {
                first,
                second,
                distance_mm: pair.distance * 1e3,
            }
        })
        .collect()
}
