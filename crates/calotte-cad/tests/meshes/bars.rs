//! Bars of every profile: 100 random ones, and those whose shells can be counted.

use std::f64::consts::FRAC_PI_2;

use calotte::built::{Core, Piece, Profile, Solid, Void};
use calotte_cad::{MeshOptions, mesh_of};
use nalgebra::{Matrix3, Rotation3, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::random::{bar, random_bar};
use crate::reference;
use crate::{euler_characteristic, shells};

/// What a mesh's volume may differ from the solid's, and what the reference adds to it.
const VOLUME: f64 = 0.005;

fn error(solid: &Solid, options: &MeshOptions, exact: f64) -> f64 {
    mesh_of(solid, options).unwrap().volume() / exact - 1.0
}

/// Bosses of equal or greater width, lower, as high or higher than the bar, holes and
/// voids, bends, one and two arcs: closed and oriented (`mesh_of` checks it and so does
/// the loop), volume within 0.5 % of the union counted point by point. In the last one
/// three changes of the outline lie within 0.1 µm.
#[test]
fn random_bars_are_sound_and_as_large_as_their_pieces() {
    for seed in (0..100).chain([3277]) {
        let solid = random_bar(seed);
        let mesh = mesh_of(&solid, &MeshOptions::default()).unwrap();
        mesh.check().unwrap();
        let exact = reference::volume(&solid, 60_000);
        let error = mesh.volume() / exact - 1.0;
        assert!(error.abs() < VOLUME, "seed {seed}: {error}");
    }
}

/// A facet's middle has the solid below it and none above, within twice the tolerance:
/// next to an outline facets of a sphere reach farther than inside. In grooves
/// narrower than that the point above lies in the wall across; such facets may make up
/// 0.1 % of the surface.
#[test]
fn facets_follow_the_faces() {
    let options = MeshOptions::default();
    for seed in 0..30 {
        let solid = random_bar(seed);
        let mesh = mesh_of(&solid, &options).unwrap();
        let (mut surface, mut astray) = (0.0, 0.0);
        for triangle in &mesh.triangles {
            let [a, b, c] = mesh.corners(*triangle);
            let normal = (b - a).cross(&(c - a));
            let middle = (a + b + c) / 3.0;
            let step = normal.normalize() * (2.0 * options.chord_tolerance);
            let (below, above) = (middle - step, middle + step);
            surface += normal.norm();
            if !reference::in_solid(&solid, &below) || reference::in_solid(&solid, &above) {
                astray += normal.norm();
            }
        }
        assert!(
            astray < 1e-3 * surface,
            "seed {seed}: {astray} of {surface}"
        );
    }
}

/// A second way to the volume: plain random points in the box about the mesh.
#[test]
fn volume_by_random_points() {
    for seed in [2, 9, 13, 42, 76] {
        let solid = random_bar(seed);
        let mesh = mesh_of(&solid, &MeshOptions::default()).unwrap();
        // A box along the first arc's plane is fuller than one along the axes.
        let Core::Arc(from, to) = solid.pieces[0].core else {
            panic!("a bar begins with an arc");
        };
        let middle = (from + to).normalize();
        let normal = from.cross(&to).normalize();
        let frame = Matrix3::from_columns(&[middle, normal.cross(&middle), normal]);
        let turned = Rotation3::from_matrix_unchecked(frame.transpose());
        let [low, high] = mesh.moved(&turned, &Vector3::zeros()).bounds();
        let size = high - low;
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let count = 3_000_000;
        let inside = (0..count)
            .filter(|_| {
                let share = Vector3::from_fn(|_, _| rng.random::<f64>());
                reference::in_solid(&solid, &(frame * (low + size.component_mul(&share))))
            })
            .count();
        let share = inside as f64 / f64::from(count);
        let counted = share * size.product();
        let deviation = ((1.0 - share) / (share * f64::from(count))).sqrt();
        let error = mesh.volume() / counted - 1.0;
        assert!(
            error.abs() < VOLUME + 4.0 * deviation,
            "seed {seed}: {error} ± {deviation}"
        );
        assert!(deviation < 0.006, "seed {seed}: {deviation}");
    }
}

/// The error falls with the tolerance, order 1 (order 2 in the size of the facets),
/// against closed forms: a straight bar, a rod, and an arc hollow from end to end.
#[test]
fn volume_converges_in_proportion_to_the_tolerance() {
    let (from, to) = (Vector3::x(), Vector3::y());
    let pi = std::f64::consts::PI;
    let piece = |profile, half_width, inner, outer, void| Solid {
        pieces: vec![Piece {
            core: Core::Arc(from, to),
            profile,
            half_width,
            inner,
            outer,
            void,
        }],
        ..bar(
            &[from],
            Profile::Straight,
            0.15,
            [0.01; 2],
            None,
            [0.01; 2],
            None,
        )
    };
    let straight =
        0.012 * 0.008 * 0.15 * FRAC_PI_2 + reference::ring_volume(0.006, 0.0, 0.146, 0.154);
    let torus = |w: f64| pi * w * w * 0.15 * FRAC_PI_2 + 4.0 / 3.0 * pi * w * w * w;
    let hollow = Void {
        half_width: 0.003,
        height: 0.006,
    };
    let cases = [
        (
            piece(Profile::Straight, 0.006, 0.146, 0.154, None),
            straight,
        ),
        (
            piece(Profile::Round, 0.005, 0.145, 0.155, None),
            torus(0.005),
        ),
        (
            piece(Profile::Round, 0.005, 0.145, 0.155, Some(hollow)),
            torus(0.005) - torus(0.003),
        ),
    ];
    for (index, (solid, exact)) in cases.iter().enumerate() {
        let errors = [4e-5, 1e-5, 2.5e-6, 6.25e-7].map(|chord_tolerance| {
            let options = MeshOptions {
                chord_tolerance,
                round_sides: 8,
            };
            error(solid, &options, *exact).abs()
        });
        // Each tolerance is a quarter of the last.
        for pair in errors.windows(2) {
            assert!(pair[1] < pair[0] / 3.0, "case {index}: {errors:?}");
        }
        assert!(errors[3] < 2e-4, "case {index}: {errors:?}");
    }
}

/// Shells and handles of bars whose bosses are at least as high as the bar and wide
/// enough to keep the voids of neighbouring arcs apart: 2 − 2·holes + 2·cavities.
#[test]
fn euler_characteristic_is_that_of_the_part() {
    let stations = [
        Vector3::x(),
        Vector3::new(0.6, 0.8, 0.0),
        Vector3::new(0.3, 0.7, 0.6).normalize(),
    ];
    for profile in [Profile::Straight, Profile::Round] {
        for count in [2, 3] {
            for hollow in [false, true] {
                for hole in [None, Some(0.008)] {
                    for boss in [[0.014, 0.010], [0.014, 0.016], [0.010, 0.010]] {
                        let void = hollow.then_some(Void {
                            half_width: 0.003,
                            height: 0.006,
                        });
                        let solid = bar(
                            &stations[..count],
                            profile,
                            0.15,
                            [0.010; 2],
                            void,
                            boss,
                            hole,
                        );
                        let mesh = mesh_of(&solid, &MeshOptions::default()).unwrap();
                        let holes = if hole.is_some() { count as i64 } else { 0 };
                        let cavities = if hollow { count as i64 - 1 } else { 0 };
                        let name = format!("{profile:?} {count} {hollow} {hole:?} {boss:?}");
                        let expected = 2 - 2 * holes + 2 * cavities;
                        assert_eq!(euler_characteristic(&mesh), expected, "{name}");
                        assert_eq!(shells(&mesh) as i64, 1 + cavities, "{name}");
                    }
                }
            }
        }
    }
}

/// A tube whose bosses are lower than its void: the void runs past them, above and below,
/// and every hole opens into it four times. Counting rooms (outside, the void's stretches,
/// above and below each boss) and the openings between them gives 9 handles for three
/// bosses: 17 openings, 9 rooms, 17 − 9 + 1.
#[test]
fn void_past_low_bosses() {
    let stations = [
        Vector3::x(),
        Vector3::new(0.6, 0.8, 0.0),
        Vector3::new(0.1, 0.7, 0.6).normalize(),
    ];
    let void = Some(Void {
        half_width: 0.006,
        height: 0.012,
    });
    let solid = bar(
        &stations,
        Profile::Round,
        0.15,
        [0.016; 2],
        void,
        [0.022, 0.010],
        Some(0.008),
    );
    let mesh = mesh_of(&solid, &MeshOptions::default()).unwrap();
    assert_eq!(euler_characteristic(&mesh), 2 - 2 * 9);
    assert_eq!(shells(&mesh), 1);
}

/// Arcs so short that their bosses overlap along part or all of their height, where two
/// rounds part at a radius between their faces.
#[test]
fn short_arcs_with_overlapping_bosses() {
    let mut passages = 0;
    for step in 0..40 {
        let arc = 0.10 + 0.0015 * f64::from(step);
        let stations = [Vector3::x(), Vector3::new(arc.cos(), arc.sin(), 0.0)];
        for profile in [Profile::Straight, Profile::Round] {
            let solid = bar(
                &stations,
                profile,
                0.10,
                [0.008; 2],
                None,
                [0.012, 0.030],
                Some(0.005),
            );
            let mesh = mesh_of(&solid, &MeshOptions::default()).unwrap();
            let exact = reference::volume(&solid, 30_000);
            let error = mesh.volume() / exact - 1.0;
            assert!(error.abs() < VOLUME, "{arc} {profile:?}: {error}");
            // Where the rounds part below the bar they leave a passage under it.
            let parting = 0.006 / (0.5 * arc).sin();
            let passage = parting > 0.085 && parting < 0.096;
            passages += usize::from(passage);
            let expected = if passage { -4 } else { -2 };
            assert_eq!(euler_characteristic(&mesh), expected, "{arc} {profile:?}");
        }
    }
    assert!((10..60).contains(&passages), "{passages}");
}

/// The same numbers give the same mesh.
#[test]
fn meshes_repeat() {
    for seed in [3, 7] {
        let once = mesh_of(&random_bar(seed), &MeshOptions::default()).unwrap();
        let again = mesh_of(&random_bar(seed), &MeshOptions::default()).unwrap();
        assert_eq!(once, again);
    }
}
