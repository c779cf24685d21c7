//! Parts as drawn against those that `calotte parts` writes, and against the pose.

use std::path::Path;
use std::sync::Arc;

use calotte_cad::{PartOptions, part_files};
use nalgebra::{Matrix3, Vector3};
use serde_json::value::RawValue;

use super::*;

/// A scissor linkage of so many equal stages, 90° a branch, invented.
fn design(stages: usize, layers: &str) -> Box<RawValue> {
    let arcs = vec![format!("{}", 90.0 / (2 * stages) as f64); stages].join(", ");
    let text = format!(
        r#"
        [linkage]
        family = "scissor-linkage"
        proximal_arcs_deg = [{arcs}]
        distal_arcs_deg = [{arcs}]
        joint_radius_mm = 160
        [section]
        shape = "rectangle"
        tangential_mm = 16
        radial_mm = 12
        [material]
        name = "aluminium 6061-T6"
        [joints.bearing]
        name = "624"
        [tool]
        tip_radius_mm = 100
        mass_kg = 0.5
        envelope_diameter_mm = 30
        {layers}
        "#
    );
    let keys: serde_json::Value = toml::from_str(&text).unwrap();
    RawValue::from_string(keys.to_string()).unwrap()
}

fn ready(stages: usize, layers: &str) -> Arc<Prepared> {
    prepared(&design(stages, layers), None, false, Path::new(".")).unwrap()
}

const TWO: &str = "[layers]\narrangement = \"two\"";
const NESTED: &str = "[layers]\narrangement = \"nested\"";

/// Corners of a part's triangles, mm, read back in double precision.
fn mesh_in_mm(part: &PartShape) -> Mesh {
    Mesh {
        vertices: part
            .positions_mm
            .chunks_exact(3)
            .map(|p| Vector3::new(p[0].into(), p[1].into(), p[2].into()))
            .collect(),
        triangles: part
            .triangles
            .chunks_exact(3)
            .map(|t| [t[0], t[1], t[2]])
            .collect(),
    }
}

#[test]
fn without_layers_nothing_is_built_and_the_answer_says_so() {
    let found = answer(&ready(2, "")).unwrap();
    assert!(found.parts.is_empty() && found.bodies.is_empty());
    assert_eq!(found.layers, 0);
    assert!(found.reason.unwrap().contains("no [layers]"));
}

/// The files of `calotte parts` at the same fineness come from the same solids by the
/// same library, but are grouped, turned and summed there.
#[test]
fn meshes_are_closed_and_as_large_as_the_files_of_parts() {
    for (stages, layers) in [(1, TWO), (2, TWO), (2, NESTED), (4, TWO)] {
        let ready = ready(stages, layers);
        let found = answer(&ready).unwrap();
        assert_eq!(found.reason, None);
        let options = PartOptions {
            mesh: fineness(ready.given().joint_radius),
            ..PartOptions::default()
        };
        let files = part_files(&ready.model.built, &options).unwrap();
        let mut counted = 0;
        for file in &files {
            for (place, name) in file.solids.iter().enumerate() {
                let part = found.parts.iter().find(|part| part.name == *name).unwrap();
                let expected = file.volume * 1e9;
                // The file is written for the first solid. The others are turned to
                // it: single precision, 1.5e-5 mm here, shows in spacers of 0.5 mm.
                let allowed = if place == 0 { 1e-6 } else { 1e-4 };
                let volume = mesh_in_mm(part).volume();
                assert!(
                    (volume / expected - 1.0).abs() < allowed,
                    "{name}: {volume} {expected}"
                );
                counted += 1;
            }
        }
        // Housing and tool are rooms, not parts to be made.
        let rooms = found
            .parts
            .iter()
            .filter(|part| matches!(part.kind, PartKind::Housing | PartKind::Tool));
        assert_eq!(counted + rooms.count(), found.parts.len());
        for part in &found.parts {
            let mesh = mesh_in_mm(part);
            mesh.check()
                .unwrap_or_else(|fault| panic!("{}: {fault}", part.name));
            let norms = mesh.vertices.iter().map(|vertex| vertex.norm());
            let [low, high] = norms.fold([f64::INFINITY, 0.0], |[low, high], norm| {
                [f64::min(low, norm), f64::max(high, norm)]
            });
            let [inner, outer] = part.radii_mm;
            // Faces of spheres are cut by their facets, no further than the tolerance.
            assert!(high <= outer + 1e-3 && low >= inner - 1e-3, "{}", part.name);
            assert!(high > outer - 0.5 && low < inner + 0.5, "{}", part.name);
        }
    }
}

#[test]
fn layers_and_joints_are_named() {
    let ready = ready(2, NESTED);
    let found = answer(&ready).unwrap();
    let of_kind = |kind| found.parts.iter().filter(move |part| part.kind == kind);
    assert_eq!(found.layers, 6);
    let mut layers: Vec<Option<u32>> = of_kind(PartKind::Bar).map(|part| part.layer).collect();
    layers.sort_unstable();
    assert_eq!(layers, (0..6).map(Some).collect::<Vec<_>>());
    for pin in of_kind(PartKind::Pin) {
        // A pin reaches over both bars of its joint.
        let radii = pin
            .between
            .unwrap()
            .map(|body| found.bodies[body as usize].radius_mm);
        assert!(pin.radii_mm[0] < radii[0].min(radii[1]));
        assert!(pin.radii_mm[1] > radii[0].max(radii[1]));
        let joint = pin.joint.as_deref().unwrap();
        assert_eq!(pin.name, format!("{joint} pin"));
    }
    assert_eq!(of_kind(PartKind::Shaft).count(), 2);
}

/// A pin is meshed in the frame of the bar it is clamped in; the pose's rotation of
/// that bar must bring it onto the joint as the other bar's rotation places it.
#[test]
fn rotations_of_the_pose_bring_pins_onto_the_other_bars_stations() {
    for (stages, layers) in [(1, TWO), (2, NESTED), (3, TWO)] {
        let ready = ready(stages, layers);
        let found = answer(&ready).unwrap();
        let linkage = &ready.model.kinematics.linkage;
        let [low, high] = ready.range.as_ref().unwrap().second;
        for share in [0.2, 0.7] {
            let second = low + share * (high - low);
            let pose = ready
                .model
                .kinematics
                .forward_from_mechanism([0.4, second])
                .unwrap();
            let rotations: Vec<Matrix3<f64>> = pose
                .configuration
                .rotations
                .iter()
                .map(|rotation| {
                    Matrix3::from_row_slice(&super::super::linkage::row_by_row(rotation.matrix()))
                })
                .collect();
            let mut pins = 0;
            for part in found.parts.iter().filter(|part| part.kind == PartKind::Pin) {
                let vertices = mesh_in_mm(part).vertices;
                let sum: Vector3<f64> = vertices.iter().sum();
                let axis = rotations[part.body as usize] * sum.normalize();
                let joint = linkage
                    .joints
                    .iter()
                    .find(|joint| Some(joint.name.as_str()) == part.joint.as_deref())
                    .unwrap();
                for place in [joint.first, joint.second] {
                    let station = linkage.bodies[place.body].stations[place.station];
                    let there = rotations[place.body] * station;
                    assert!((axis - there).norm() < 1e-5, "{}", part.name);
                }
                pins += 1;
            }
            assert_eq!(pins, 3 * stages);
        }
    }
}

#[test]
fn the_same_design_gives_the_same_bytes_for_any_number_of_threads() {
    let ready = ready(2, NESTED);
    let with = |threads| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| written(&ready).unwrap())
    };
    let one = with(1);
    assert_eq!(one, with(4));
    // What is kept is what would be made anew.
    let kept = ready.parts.get_or_init(|| written(&ready)).clone().unwrap();
    assert_eq!(kept, one);
}

#[test]
fn a_design_of_four_stages_is_small_enough_to_send() {
    let begun = std::time::Instant::now();
    let ready = ready(4, TWO);
    let prepared_in = begun.elapsed();
    let begun = std::time::Instant::now();
    let json = written(&ready).unwrap();
    let found = answer(&ready).unwrap();
    let triangles: usize = found
        .parts
        .iter()
        .map(|part| part.triangles.len() / 3)
        .sum();
    println!(
        "four stages: {} parts, {triangles} triangles, {} kB, {:.1} ms (made ready in {:.1} ms)",
        found.parts.len(),
        json.len() / 1000,
        begun.elapsed().as_secs_f64() * 1e3 / 2.0,
        prepared_in.as_secs_f64() * 1e3
    );
    assert!(json.len() < 4_000_000, "{}", json.len());
}
