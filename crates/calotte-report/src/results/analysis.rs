//! One design over the required region.

use std::collections::BTreeMap;

use calotte::analysis::ring::{CaseResult, PointResult, RingResult};
use calotte::analysis::{Analysis, IndexUnderLoad, LoadedIndex, Row};
use calotte::built::Wall;
use calotte::design::Design;
use calotte::elasticity::virtual_joints::Comparison;
use calotte::quantity::Quantity;
use calotte_document::analysis as document;
use calotte_document::analysis::RequirementValue;
use calotte_document::common::EnergyShares;
use calotte_document::opinion::{CrossCheck, CrossCheckEntry};
use calotte_format::inputs::{key_of, written};
use calotte_format::units::degrees;
use calotte_format::words;

use super::built::{clearing_document, surroundings_document};
use super::common::{direction_document, scalars};
use super::configuration::configuration_document;
use super::differing::differing_document;
use crate::cautions::cautions_of;
use crate::notes::notes_words;
use crate::supports::typical_document;

/// The agreed document of one analysis, without what the caller adds about the run.
pub fn analysis_document(design: &Design, analysis: &Analysis) -> document::Analysis {
    document::Analysis {
        title: design.title.clone(),
        family: design.family.name().to_string(),
        met: analysis.met(),
        verdict: analysis.verdict().words().to_string(),
        cautions: cautions_of(design, analysis),
        reach: reach(analysis),
        boundaries: boundaries(analysis),
        conditioning: conditioning(design, analysis),
        conditioning_under_load: analysis.under_load.iter().map(under_load).collect(),
        singularity: singularity(analysis),
        ideal_minimum_stiffness_n_per_mm: analysis.ideal_least_stiffness().map(|k| k / 1e3),
        clearing: clearing_document(analysis),
        surroundings: surroundings_document(analysis),
        mobility: mobility(analysis),
        requirements: analysis
            .rows
            .iter()
            .map(|row| requirement_document(row, analysis.ideal_value(row)))
            .collect(),
        base_axis: base_axis(design),
        tool_roll: analysis.tool_roll.map(|found| document::ToolRoll {
            minimum_deg: degrees(found.roll[0]),
            maximum_deg: degrees(found.roll[1]),
            samples: found.samples,
        }),
        with_typical_supports: typical_document(analysis),
        thin_walls: analysis.thin_walls.iter().map(thin_wall).collect(),
        stiffness: stiffness(analysis),
        cross_check_at_worst: analysis.cross_check.as_ref().map(comparison_document),
        moving_mass_kg: analysis.moving_mass,
        differing: differing_document(design),
        joint_loads_max: joint_loads(analysis),
        validity: document::Validity {
            notes: notes_words(&analysis.notes),
            geometric_over_elastic_stiffness: analysis.geometric_ratio,
            loads_too_large_for_linear_model: analysis.geometric_ratio > 0.05,
        },
        grid: document::Grid {
            rings: analysis.polar_angles(),
            directions: analysis.rings.iter().map(|r| r.directions().count()).sum(),
            listed_configurations: analysis.configurations.len(),
            exact_over_azimuth: analysis.exact_around,
            between_polar_angles_at_most: analysis.between_rings,
        },
        rings: Some(analysis.rings.iter().map(|r| ring(analysis, r)).collect()),
        configurations: Some(
            analysis
                .configurations
                .iter()
                .map(configuration_document)
                .collect(),
        ),
    }
}

fn base_axis(design: &Design) -> document::BaseAxis {
    let axis = design.mount.axis.normalize();
    document::BaseAxis {
        world: axis.into(),
        from_vertical_deg: degrees(axis.xy().norm().atan2(axis.z.abs())),
    }
}

fn thin_wall(wall: &Wall) -> document::ThinWall {
    document::ThinWall {
        part: wall.part.clone(),
        place: wall.words(),
        thickness_mm: 1e3 * wall.thickness,
        usual_minimum_mm: 1e3 * wall.usual_minimum(),
        process: wall.process.word().to_string(),
        source: wall.process.limits().source.to_string(),
        change: wall.keys().to_string(),
    }
}

fn reach(analysis: &Analysis) -> document::Reach {
    let coverage_fraction = analysis.conditioning.coverage.fraction;
    if let Some(cells) = &analysis.cells {
        return document::Reach::Sampled(Box::new(document::SampledReach {
            polar_min_deg: degrees(cells.polar[0]),
            polar_max_deg: degrees(cells.polar[1]),
            coverage_fraction,
            sampled: document::Cells {
                cell_deg: degrees(cells.cell),
                cells: cells.summary.cells,
                coverage_error: cells.summary.coverage_error,
                gci_error: cells.summary.gci_error,
                separate_parts: cells.parts,
            },
        }));
    }
    match &analysis.working_range {
        Some(range) => document::Reach::Range(document::ReachedRange {
            polar_min_deg: degrees(range.polar_min()),
            polar_max_deg: degrees(range.polar_max()),
            turned_beyond_180_deg: range.turned_beyond().map(|turned| turned.map(degrees)),
            second_mechanism_angle_deg: range.second.map(degrees),
            limited_by: [0, 1].map(|end| range.limits[end].words()),
            coverage_fraction,
        }),
        None => document::Reach::None(document::NoRange {
            polar_min_deg: None,
            polar_max_deg: None,
            reason: "no configuration has the required margins".to_string(),
            coverage_fraction,
        }),
    }
}

/// The limits that bound the working range, with their units.
fn boundaries(analysis: &Analysis) -> BTreeMap<String, f64> {
    let with_unit = |(quantity, limit): &(Quantity, f64)| {
        let scale = quantity.unit().factor();
        (quantity.unit().after(&quantity.name()), limit * scale)
    };
    analysis.boundaries.iter().map(with_unit).collect()
}

fn conditioning(design: &Design, analysis: &Analysis) -> document::Conditioning {
    let summary = &analysis.conditioning;
    let layout = words::layout_key(design.family.family_name(), Some(design.drives.layout));
    document::Conditioning {
        gci: summary.gci,
        gci_reached: summary.gci_reached,
        gci_joint_weight: summary.gci_joint_weight,
        lci_min: summary.lci_min,
        lci_min_polar_deg: degrees(summary.lci_min_polar),
        lci_min_azimuth_deg: analysis
            .cells
            .as_ref()
            .filter(|cells| cells.summary.cells > 0)
            .map(|cells| degrees(cells.summary.lci_min_at.azimuth)),
        weight: "area".to_string(),
        drive_layout: layout.to_string(),
        drive_ratio: design.drives.ratio,
    }
}

fn under_load(found: &IndexUnderLoad) -> document::UnderLoad {
    let index = |index: &Result<LoadedIndex, String>| document::IndexUnderLoad {
        gci: index.as_ref().ok().map(|index| index.gci),
        lci_min: index.as_ref().ok().map(|index| index.lci_min),
        lci_min_at_deg: index
            .as_ref()
            .ok()
            .map(|index| direction_document(index.lci_min_at)),
        reason: index.as_ref().err().cloned(),
    };
    document::UnderLoad {
        load: found.load.clone(),
        direction: found.fixed_in.to_string(),
        structure: index(&found.exact),
        virtual_joints: index(&found.virtual_joints),
    }
}

fn singularity(analysis: &Analysis) -> document::Singularity {
    if let Some(cells) = &analysis.cells {
        let summary = &cells.summary;
        return document::Singularity::Sampled(Box::new(document::SampledMargins {
            type_1_distance_deg: summary.type_one.map(|t| degrees(t.0)),
            type_1_at_deg: summary.type_one.map(|t| direction_document(t.1)),
            type_1_kind: "a chain in line".to_string(),
            transmission_angle_min_deg: summary.transmission.map(|t| degrees(t.0)),
            transmission_angle_min_at_deg: summary.transmission.map(|t| direction_document(t.1)),
            bound: "sampled in cells of directions; nothing between the samples is proved"
                .to_string(),
        }));
    }
    let Some(report) = &analysis.singularity else {
        return document::Singularity::None(document::NoSingularity {
            type_1_distance_deg: None,
            reason: "no working range".to_string(),
        });
    };
    let (required, range) = (&report.required, &report.range);
    let transmission = required.transmission;
    document::Singularity::Margins(Box::new(document::SingularityMargins {
        type_1_distance_deg: degrees(required.type_one_distance),
        type_1_kind: required.type_one_kind.words(),
        type_2_distance_second_mechanism_angle_deg: required.type_two_distance.map(degrees),
        transmission_angle_min_deg: transmission.map(|t| degrees(t.0)),
        transmission_angle_min_stage: transmission.map(|t| t.1),
        transmission_angle_min_polar_deg: transmission.map(|t| degrees(t.2)),
        transmission_angle_lower_bound_deg: report.transmission_bound.map(degrees),
        working_range: document::WorkingRangeMargins {
            type_1_distance_deg: degrees(range.type_one_distance),
            type_2_distance_second_mechanism_angle_deg: range.type_two_distance.map(degrees),
            transmission_angle_min_deg: range.transmission.map(|t| degrees(t.0)),
        },
        transmission_reason: transmission
            .is_none()
            .then(|| "the family has no type 2 singularity".to_string()),
        free_between_samples: report.proved_free,
        bound: "interval arithmetic over the second mechanism angle, strictly inside the range"
            .to_string(),
        proof_evaluations: report.proof_evaluations,
    }))
}

fn mobility(analysis: &Analysis) -> document::Mobility {
    match &analysis.mobility {
        Some(m) => document::Mobility::Counted(document::Freedoms {
            by_rank: m.by_rank,
            by_counting: m.by_counting,
            in_space_by_counting: m.in_space,
            in_space_by_rank: m.in_space_by_rank,
            redundant_constraints_in_space: m.redundant,
            bodies: m.bodies,
            joints: m.joints,
        }),
        None => document::Mobility::None(document::NoFreedoms {
            by_rank: None,
            reason: "no configuration to take it at".to_string(),
        }),
    }
}

/// One requirement row, beside the value of the ideal linkage where there is one.
/// The greatest load on each joint.
pub fn joint_loads(analysis: &Analysis) -> Vec<document::JointLoad> {
    let loads = analysis.joint_loads.iter();
    loads
        .map(|(name, load)| document::JointLoad {
            joint: name.clone(),
            axial_n: load.axial,
            radial_n: load.radial,
            tilt_nm: load.tilt,
        })
        .collect()
}

/// A requirement; `ideal` is what the ideal linkage has, SI.
pub fn requirement_document(row: &Row, ideal: Option<f64>) -> document::Requirement {
    let scale = row.quantity.unit().factor();
    let with_unit = |prefix: &str| row.quantity.unit().after(prefix);
    // A number that is not finite is no value.
    let shown = |value: f64| Some(value * scale).filter(|value| value.is_finite());
    let mut values = BTreeMap::new();
    let mut add = |prefix: &str, value| values.insert(with_unit(prefix), value);
    add(
        "required",
        RequirementValue::One(row.needed.and_then(shown)),
    );
    let got = row.got.as_ref().ok().copied().and_then(shown);
    add("predicted", RequirementValue::One(got));
    if let Some(ideal) = ideal {
        add("ideal", RequirementValue::One(shown(ideal)));
    }
    if let Some(ends) = row.over_region {
        add("over_region", RequirementValue::Band(ends.map(shown)));
    }
    if let Some(band) = row.band {
        add("band", RequirementValue::Band(band.map(shown)));
    }
    document::Requirement {
        quantity: row.quantity.name().to_string(),
        load: row.load.clone(),
        sense: if row.at_least() {
            "at least"
        } else {
            "at most"
        }
        .to_string(),
        values,
        reason: row.got.as_ref().err().map(ToString::to_string),
        met: row.met(),
        met_at_nominal: row.met_at_nominal(),
        band_met: row.band_met(),
        band_inputs: row.band_inputs.as_ref().map(|ends| {
            ends.each_ref().map(|inputs| {
                let inputs = inputs.iter();
                inputs
                    .map(|(input, value)| document::InputValue {
                        key: key_of(*input).0,
                        value: written(*input, *value),
                    })
                    .collect()
            })
        }),
        hangs_on_short_bars: row.hangs_on_short_bars(),
        each_alone: row
            .alone
            .iter()
            .map(|alone| document::AloneValue {
                key: key_of(alone.input).0,
                value: written(alone.input, alone.at),
                predicted: alone.value * row.quantity.unit().factor(),
                met: row.met_with(alone) == Some(true),
            })
            .collect(),
        each_suffices: row
            .suffices
            .iter()
            .map(|one| document::Sufficient {
                key: key_of(one.input).0,
                from: written(one.input, one.from),
                to: written(one.input, one.to),
            })
            .collect(),
        relative_margin: row.relative_margin().filter(|margin| margin.is_finite()),
        worst_at_deg: row.worst_at.map(direction_document),
        note: row.note.clone(),
    }
}

fn stiffness(analysis: &Analysis) -> document::Stiffness {
    let softest = analysis
        .rings
        .iter()
        .min_by(|a, b| a.stiffness.least.total_cmp(&b.stiffness.least));
    match softest {
        Some(ring) => {
            let [arcs, joints, pins, drives, base] = ring.energy_shares;
            document::Stiffness::Worst(Box::new(document::SoftestPlace {
                worst_polar_deg: degrees(ring.polar),
                worst_azimuth_deg: own_azimuth(analysis, ring),
                at_worst: scalars(&ring.stiffness),
                energy_shares_at_worst: EnergyShares {
                    arcs,
                    joints,
                    pins,
                    drives,
                    base,
                },
            }))
        }
        None => document::Stiffness::None(document::NoStiffness {
            at_worst: None,
            reason: "no covered direction has an elastic answer".to_string(),
        }),
    }
}

/// The virtual joint model and the hand estimate beside the reference, m/N.
pub fn comparison_document(comparison: &Comparison) -> CrossCheck {
    let entries = comparison
        .rows
        .iter()
        .map(|row| CrossCheckEntry {
            entry: row.entry.name().to_string(),
            reference_rigid_joints_m_per_n: row.reference,
            virtual_joints_m_per_n: row.virtual_joints,
            virtual_joints_relative_difference: row.virtual_joints_difference,
            hand_estimate_m_per_n: row.hand_estimate,
            hand_estimate_reason: row
                .hand_estimate
                .is_none()
                .then(|| "not represented".to_string()),
            hand_estimate_relative_difference: row.hand_estimate_difference,
        })
        .collect();
    CrossCheck {
        entries,
        assembly_difference: comparison.assembly_difference,
        explanation: comparison.explanation.clone(),
    }
}

/// The azimuth of what was solved for one direction alone, °; `None` of a ring.
fn own_azimuth(analysis: &Analysis, ring: &RingResult) -> Option<f64> {
    let point = ring.points.first().filter(|_| analysis.cells.is_some())?;
    Some(degrees(point.azimuth))
}

fn ring(analysis: &Analysis, ring: &RingResult) -> document::Ring {
    let by_case = |value: fn(&CaseResult) -> f64| {
        let cases = ring.directions().flat_map(|point| &point.cases);
        cases.map(value).reduce(f64::max)
    };
    let most = |value: fn(&PointResult) -> f64| ring.directions().map(value).fold(0.0, f64::max);
    document::Ring {
        polar_deg: degrees(ring.polar),
        azimuth_deg: own_azimuth(analysis, ring),
        second_mechanism_angle_deg: degrees(ring.second),
        lci: ring.lci,
        transmission_angle_deg: ring.transmission.map(degrees),
        stiffness: scalars(&ring.stiffness),
        energy_shares: ring.energy_shares,
        contact_deflection_max_mm: by_case(|case| case.deflection).map(|m| m * 1e3),
        centre_shift_max_mm: by_case(|case| case.centre_shift).map(|m| m * 1e3),
        tool_tilt_max_deg: by_case(|case| case.tilt).map(degrees),
        sag_max_mm: most(|p| p.sag.norm()) * 1e3,
        sag_centre_shift_max_mm: most(|p| p.sag_line.centre_shift()) * 1e3,
        holding_torque_max_nm: most(|p| p.torque[0].abs().max(p.torque[1].abs())),
        azimuths: ring.directions().count(),
    }
}
