//! Results as JSON objects: the unit is in every name, "no value" is null with
//! a reason beside it.

use calotte::analysis::{Analysis, ConfigurationResult, NamedPair, Row, StiffnessScalars};
use calotte::built::{Built, PlacedParts};
use calotte::design::Design;
use calotte::elasticity::ValidityNote;
use calotte::elasticity::virtual_joints::Comparison;
use calotte::interference::PairDistance;
use calotte::kinematics::WorkingRange;
use calotte::sphere::Direction;
use nalgebra::Vector3;
use serde_json::{Map, Value, json};

use calotte_format::units::degrees;
use calotte_format::words;

/// A direction by polar and azimuth, degrees.
pub fn direction_json(direction: Direction) -> Value {
    json!({ "polar": degrees(direction.polar), "azimuth": degrees(direction.azimuth) })
}

/// The agreed object of one analysis, without what the caller adds about the run.
pub fn analysis_json(design: &Design, analysis: &Analysis) -> Map<String, Value> {
    let mut object = Map::new();
    object.insert("title".into(), json!(design.title));
    object.insert("family".into(), json!(design.family.name()));
    object.insert("met".into(), json!(analysis.met()));
    object.insert("reach".into(), reach_json(analysis));
    object.insert("conditioning".into(), conditioning_json(design, analysis));
    object.insert("singularity".into(), singularity_json(analysis));
    object.insert(
        "ideal_least_stiffness_n_per_mm".into(),
        json!(analysis.ideal_least_stiffness().map(|k| k / 1e3)),
    );
    object.insert("clearing".into(), clearing_json(analysis));
    object.insert("surroundings".into(), surroundings_json(analysis));
    object.insert("mobility".into(), mobility_json(analysis));
    object.insert(
        "requirements".into(),
        analysis
            .rows
            .iter()
            .map(|row| row_json(row, analysis.ideal_value(row)))
            .collect(),
    );
    object.insert("stiffness".into(), stiffness_json(analysis));
    object.insert(
        "second_opinion_at_worst".into(),
        analysis
            .second_opinion
            .as_ref()
            .map_or(Value::Null, comparison_json),
    );
    object.insert("moving_mass_kg".into(), json!(analysis.moving_mass));
    object.insert(
        "joint_loads_max".into(),
        analysis
            .joint_loads
            .iter()
            .map(|(name, load)| {
                json!({
                    "joint": name,
                    "axial_n": load.axial,
                    "radial_n": load.radial,
                    "tilt_nm": load.tilt,
                })
            })
            .collect(),
    );
    object.insert("validity".into(), validity_json(analysis));
    object.insert(
        "grid".into(),
        json!({
            "rings": analysis.rings.len(),
            "directions": analysis.rings.iter().map(|r| r.points.len()).sum::<usize>(),
            "listed_configurations": analysis.configurations.len(),
        }),
    );
    object.insert("rings".into(), rings_json(analysis));
    object.insert(
        "configurations".into(),
        analysis
            .configurations
            .iter()
            .map(configuration_json)
            .collect(),
    );
    object
}

fn reach_json(analysis: &Analysis) -> Value {
    let fraction = analysis.conditioning.coverage.fraction;
    match &analysis.working_range {
        Some(range) => {
            let mut object = range_json(range);
            object.insert("coverage_fraction".into(), json!(fraction));
            Value::Object(object)
        }
        None => json!({
            "polar_min_deg": null,
            "polar_max_deg": null,
            "reason": "no configuration has the required margins",
            "coverage_fraction": fraction,
        }),
    }
}

fn range_json(range: &WorkingRange) -> Map<String, Value> {
    let mut object = Map::new();
    object.insert("polar_min_deg".into(), json!(degrees(range.polar_min())));
    object.insert("polar_max_deg".into(), json!(degrees(range.polar_max())));
    object.insert(
        "second_mechanism_angle_deg".into(),
        json!(range.second.map(degrees)),
    );
    object.insert(
        "limited_by".into(),
        json!(range.limits.map(|limit| limit.words())),
    );
    object
}

fn conditioning_json(design: &Design, analysis: &Analysis) -> Value {
    let summary = &analysis.conditioning;
    let layout = words::layout_key(design.family.family_name(), Some(design.drives.layout));
    json!({
        "gci": summary.gci,
        "gci_reached": summary.gci_reached,
        "gci_joint_weight": summary.gci_joint_weight,
        "lci_min": summary.lci_min,
        "lci_min_polar_deg": degrees(summary.lci_min_polar),
        "weight": "area",
        "drive_layout": layout,
        "drive_ratio": design.drives.ratio,
    })
}

fn singularity_json(analysis: &Analysis) -> Value {
    let Some(report) = &analysis.singularity else {
        return json!({ "type_1_distance_deg": null, "reason": "no working range" });
    };
    let transmission = report.transmission;
    json!({
        "type_1_distance_deg": degrees(report.type_one_distance),
        "type_1_kind": report.type_one_kind.words(),
        "type_2_distance_second_mechanism_angle_deg": report.type_two_distance.map(degrees),
        "transmission_angle_min_deg": transmission.map(|t| degrees(t.0)),
        "transmission_angle_min_stage": transmission.map(|t| t.1),
        "transmission_angle_min_polar_deg": transmission.map(|t| degrees(t.2)),
        "transmission_angle_lower_bound_deg": report.transmission_bound.map(degrees),
        "transmission_reason": if transmission.is_none() { json!("the family has no type 2 singularity") } else { Value::Null },
        "free_between_samples": report.proved_free,
        "bound": "interval arithmetic over the second mechanism angle, strictly inside the range",
        "proof_evaluations": report.proof_evaluations,
    })
}

fn mobility_json(analysis: &Analysis) -> Value {
    match &analysis.mobility {
        Some(m) => json!({
            "by_rank": m.by_rank,
            "by_counting": m.by_counting,
            "in_space_by_counting": m.in_space,
            "in_space_by_rank": m.in_space_by_rank,
            "redundant_constraints_in_space": m.redundant,
            "bodies": m.bodies,
            "joints": m.joints,
        }),
        None => json!({ "by_rank": null, "reason": "no configuration to take it at" }),
    }
}

/// One requirement row, beside the value of the ideal linkage where there is one.
pub fn row_json(row: &Row, ideal: Option<f64>) -> Value {
    let scale = row.quantity.unit().factor();
    let with_unit = |prefix: &str| row.quantity.unit().after(prefix);
    let mut object = Map::new();
    object.insert("quantity".into(), json!(row.quantity.name()));
    if let Some(load) = &row.load {
        object.insert("load".into(), json!(load));
    }
    object.insert(
        "sense".into(),
        json!(if row.at_least() {
            "at least"
        } else {
            "at most"
        }),
    );
    object.insert(
        with_unit("needed"),
        json!(row.needed.map(|value| value * scale)),
    );
    match &row.got {
        Ok(value) => {
            object.insert(with_unit("got"), finite(*value * scale));
        }
        Err(reason) => {
            object.insert(with_unit("got"), Value::Null);
            object.insert("reason".into(), json!(reason));
        }
    }
    if let Some(ideal) = ideal {
        object.insert(with_unit("ideal"), finite(ideal * scale));
    }
    if let Some(band) = row.band {
        object.insert(with_unit("band"), json!(band.map(|value| value * scale)));
    }
    object.insert("met".into(), json!(row.met()));
    object.insert("band_met".into(), json!(row.band_met()));
    object.insert("relative_margin".into(), json!(row.relative_margin()));
    object.insert(
        "worst_at_deg".into(),
        row.worst_at.map_or(Value::Null, direction_json),
    );
    object.insert("note".into(), json!(row.note));
    Value::Object(object)
}

fn finite(value: f64) -> Value {
    if value.is_finite() {
        json!(value)
    } else {
        Value::Null
    }
}

/// The scalars of a compliance, N/m.
pub fn scalars_json(scalars: &StiffnessScalars) -> Value {
    json!({
        "least_n_per_m": scalars.least,
        "greatest_n_per_m": scalars.greatest,
        "mean_n_per_m": scalars.mean,
        "geometric_mean_n_per_m": scalars.geometric_mean,
        "trace_n_per_m": scalars.trace,
        "polar_n_per_m": scalars.polar,
        "azimuth_n_per_m": scalars.azimuth,
        "radial_n_per_m": scalars.radial,
        "tangential_isotropy": scalars.isotropy,
        "softest_direction": scalars.softest,
    })
}

fn stiffness_json(analysis: &Analysis) -> Value {
    let softest = analysis
        .rings
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least));
    match softest {
        Some(ring) => json!({
            "worst_polar_deg": degrees(ring.polar),
            "at_worst": scalars_json(&ring.stiffness),
            "energy_shares_at_worst": {
                "arcs": ring.energy_shares[0],
                "joints": ring.energy_shares[1],
                "pins": ring.energy_shares[2],
                "drives": ring.energy_shares[3],
                "base": ring.energy_shares[4],
            },
        }),
        None => json!({ "at_worst": null, "reason": "no covered direction has an elastic answer" }),
    }
}

/// The virtual joint model and the hand estimate beside the reference, m/N.
pub fn comparison_json(comparison: &Comparison) -> Value {
    let rows: Vec<Value> = comparison
        .rows
        .iter()
        .map(|row| {
            json!({
                "entry": row.entry.name(),
                "reference_rigid_joints_m_per_n": row.reference,
                "virtual_joints_m_per_n": row.virtual_joints,
                "virtual_joints_relative_difference": row.virtual_joints_difference,
                "hand_estimate_m_per_n": row.hand_estimate,
                "hand_estimate_reason": if row.hand_estimate.is_none() { json!("not represented") } else { Value::Null },
                "hand_estimate_relative_difference": row.hand_estimate_difference,
            })
        })
        .collect();
    json!({
        "entries": rows,
        "assembly_difference": comparison.assembly_difference,
        "explanation": comparison.explanation,
    })
}

fn validity_json(analysis: &Analysis) -> Value {
    let notes = notes_words(&analysis.notes);
    json!({
        "notes": notes,
        "geometric_over_elastic_stiffness": analysis.geometric_ratio,
        "linear_model_in_doubt": analysis.geometric_ratio > 0.05,
    })
}

/// Validity notes in words; bars of one free length share a sentence.
pub fn notes_words(notes: &[ValidityNote]) -> Vec<String> {
    let mut sentences = Vec::new();
    let mut short: Vec<(String, Vec<&str>, f64)> = Vec::new();
    for note in notes {
        match note {
            ValidityNote::ThickBar { ratio, winkler } => sentences.push(format!(
                "depth over radius is {ratio:.3}, above 0.1: {}",
                if *winkler {
                    "the thick curved-beam form (Winkler) is used in the arc's plane"
                } else {
                    "the thin form is within 0.7 % up to 0.18"
                }
            )),
            ValidityNote::ShortBar {
                body,
                free_length,
                size,
            } => {
                let length = format!("{:.1}", free_length * 1e3);
                match short.iter_mut().find(|(l, _, _)| *l == length) {
                    Some((_, bodies, _)) => bodies.push(body),
                    None => short.push((length, vec![body], size * 1e3)),
                }
            }
        }
    }
    for (length, bodies, size) in short {
        sentences.push(format!(
            "free length {length} mm of {} is under four times the larger section size {size:.1} mm: beam theory not valid there, check as a solid",
            bodies.join(", ")
        ));
    }
    sentences
}

fn rings_json(analysis: &Analysis) -> Value {
    analysis
        .rings
        .iter()
        .map(|ring| {
            let contact = ring
                .points
                .iter()
                .flat_map(|p| p.contact.iter().copied())
                .reduce(f64::max);
            let most = |value: fn(&calotte::analysis::ring::PointResult) -> f64| {
                ring.points.iter().map(value).fold(0.0, f64::max)
            };
            json!({
                "polar_deg": degrees(ring.polar),
                "second_mechanism_angle_deg": degrees(ring.second),
                "lci": ring.lci,
                "transmission_angle_deg": ring.transmission.map(degrees),
                "stiffness": scalars_json(&ring.stiffness),
                "energy_shares": ring.energy_shares,
                "contact_deflection_max_mm": contact.map(|c| c * 1e3),
                "sag_max_mm": most(|p| p.sag.norm()) * 1e3,
                "holding_torque_max_nm": most(|p| p.torque[0].abs().max(p.torque[1].abs())),
                "azimuths": ring.points.len(),
            })
        })
        .collect()
}

fn pair_json(pair: &NamedPair) -> Value {
    json!({
        "first": pair.names[0],
        "second": pair.names[1],
        "distance_mm": pair.distance * 1e3,
        "second_mechanism_angle_deg": pair.second.map(degrees),
        "polar_deg": pair.polar.map(degrees),
    })
}

/// How many of the nearest pairs are printed.
const NEAREST_PAIRS: usize = 12;

/// What layers, bosses and pins leave of the motion; null without layers.
fn clearing_json(analysis: &Analysis) -> Value {
    let Some(clearing) = &analysis.clearing else {
        return Value::Null;
    };
    json!({
        "layers": clearing.layers,
        "clearance_mm": clearing.clearance * 1e3,
        "range_without_parts_deg": clearing.ideal.as_ref().map(|range| {
            json!({
                "second_mechanism_angle": range.second.map(degrees),
                "polar_min": degrees(range.polar_min()),
                "polar_max": degrees(range.polar_max()),
            })
        }),
        "ends": clearing.ends.iter().map(|end| end.as_ref().map(pair_json)).collect::<Vec<_>>(),
        "nearest": clearing.least.iter().take(NEAREST_PAIRS).map(pair_json).collect::<Vec<_>>(),
    })
}

/// What keep-outs leave; null without any.
fn surroundings_json(analysis: &Analysis) -> Value {
    let Some(found) = &analysis.surroundings else {
        return Value::Null;
    };
    let millimetres = |v: &Vector3<f64>| (v * 1e3).as_slice().to_vec();
    json!({
        "coverage_fraction": found.remaining[0],
        "coverage_fraction_undecided": found.remaining[1] - found.remaining[0],
        "taken": found.taken.iter().map(|(name, share)| {
            json!({ "keep_out": name, "fraction": share })
        }).collect::<Vec<_>>(),
        "swept": found.swept.as_ref().map(|room| json!({
            "outer_radius_mm": room.outer_radius * 1e3,
            "radius_from_base_axis_mm": room.axis_radius * 1e3,
            "low_mm": millimetres(&room.low),
            "high_mm": millimetres(&room.high),
        })),
        "park": found.park.as_ref().map(|park| json!({
            "mechanism_deg": park.mechanism.map(degrees),
            "cap_deg": degrees(park.cap),
            "nearest": park.nearest.as_ref().map(|(part, keep_out, distance)| json!({
                "part": part, "keep_out": keep_out, "distance_mm": distance * 1e3,
            })),
            "all_directions_joined": park.all_joined,
            "way_in": park.way_in.as_ref().map(|way| json!({
                "direction": way.direction.as_slice(),
                "free": way.meets.is_none(),
                "meets": way.meets.as_ref().map(|met| json!({
                    "part": met.part, "keep_out": met.keep_out,
                    "remaining_mm": met.remaining.map(|remaining| remaining * 1e3),
                })),
                "free_instead": way.free_instead.map(|way| way.as_slice().to_vec()),
            })),
        })),
    })
}

/// Centre lines of the parts at one configuration, mm, base frame.
pub fn parts_json(design: &Design, parts: &PlacedParts) -> Value {
    let point = |p: &Vector3<f64>| (p * 1e3).as_slice().to_vec();
    let bars: Vec<Value> = parts
        .bars
        .iter()
        .map(|bar| {
            let arcs: Vec<Value> = bar
                .arcs
                .iter()
                .zip(&bar.rigid)
                .map(|([from, to], rigid)| {
                    json!({
                        "from_mm": point(from),
                        "to_mm": point(to),
                        "rigid_mm": rigid.map(|length| length * 1e3),
                    })
                })
                .collect();
            json!({ "name": bar.name, "radius_mm": bar.radius * 1e3, "arcs": arcs })
        })
        .collect();
    let pins: Vec<Value> = parts
        .pins
        .iter()
        .map(|pin| {
            json!({
                "joint": pin.joint,
                "clamped_in": pin.clamped_in,
                "bearings_in": pin.bearings_in,
                "from_mm": point(&pin.from),
                "to_mm": point(&pin.to),
                "diameter_mm": pin.diameters[0] * 1e3,
                "bore_mm": pin.diameters[1] * 1e3,
                "driven": pin.driven,
            })
        })
        .collect();
    json!({
        "boss_diameter_mm": design.joints.boss_diameter * 1e3,
        "bars": bars,
        "pins": pins,
        "tool": {
            "carried_by": parts.tool_carried_by,
            "tip_mm": point(&parts.tool_tip),
            "direction": (parts.tool_direction).as_slice(),
        },
    })
}

/// Distances of pairs of parts by name, mm; negative where they pass through one another.
pub fn distances_json(built: &Built, distances: &[PairDistance]) -> Value {
    distances
        .iter()
        .map(|pair| {
            let [first, second] = pair.solids.map(|index| &built.solids[index].name);
            json!({ "first": first, "second": second, "distance_mm": pair.distance * 1e3 })
        })
        .collect()
}

/// One configuration of the agreed list.
pub fn configuration_json(result: &ConfigurationResult) -> Value {
    let passive: Map<String, Value> = result
        .passive
        .iter()
        .map(|(name, angle)| (name.clone(), json!(degrees(*angle))))
        .collect();
    let mut object = Map::new();
    object.insert("joints_deg".into(), json!(result.active.map(degrees)));
    object.insert("direction_deg".into(), direction_json(result.direction));
    object.insert("passive_deg".into(), Value::Object(passive));
    object.insert("roll_deg".into(), json!(degrees(result.roll)));
    object.insert("lci".into(), json!(result.lci));
    object.insert(
        "transmission_angle_deg".into(),
        json!(result.transmission.map(|(angle, _)| degrees(angle))),
    );
    match &result.compliance {
        Ok(matrix) => {
            let rows: Vec<Vec<f64>> = matrix
                .row_iter()
                .map(|row| row.iter().copied().collect())
                .collect();
            object.insert("compliance".into(), json!(rows));
            object.insert(
                "stiffness".into(),
                scalars_json(&StiffnessScalars::of(matrix)),
            );
        }
        Err(reason) => {
            object.insert("compliance".into(), Value::Null);
            object.insert("compliance_reason".into(), json!(reason));
        }
    }
    match &result.holding_torque {
        Ok(torque) => {
            object.insert("holding_torque_nm".into(), json!(torque));
        }
        Err(reason) => {
            object.insert("holding_torque_nm".into(), Value::Null);
            object.insert("holding_torque_reason".into(), json!(reason));
        }
    }
    Value::Object(object)
}
