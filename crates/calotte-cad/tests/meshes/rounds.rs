//! Pins, rings, and rounds that begin near the remote centre.

use std::f64::consts::PI;

use calotte::built::{Core, Hole, Piece, Profile, Solid, SolidKind};
use calotte_cad::{MeshOptions, mesh_of};
use nalgebra::Vector3;

use crate::reference::ring_volume;
use crate::{euler_characteristic, shells};

fn round(half_width: f64, bore: f64, inner: f64, outer: f64) -> Solid {
    let axis = Vector3::new(0.48, -0.6, 0.64);
    Solid {
        name: "side-left-1 pin".into(),
        kind: SolidKind::Pin,
        body: 1,
        assembled_with: vec![],
        joint: Some(0),
        pieces: vec![Piece {
            core: Core::Direction(axis),
            profile: Profile::Straight,
            half_width,
            inner,
            outer,
            void: None,
        }],
        holes: (bore > 0.0)
            .then_some(Hole {
                axis,
                diameter: 2.0 * bore,
            })
            .into_iter()
            .collect(),
    }
}

#[test]
fn pins_and_rings_have_the_volume_of_their_formula() {
    for (half_width, bore) in [
        (0.002, 0.0),
        (0.002, 0.001),
        (0.0045, 0.004),
        (0.025, 0.011),
    ] {
        for (inner, outer) in [(0.14, 0.17), (0.14, 0.1405), (0.03, 0.3)] {
            let mesh = mesh_of(
                &round(half_width, bore, inner, outer),
                &MeshOptions::default(),
            );
            let mesh = mesh.unwrap();
            let exact = ring_volume(half_width, bore, inner, outer);
            let error = mesh.volume() / exact - 1.0;
            assert!(error.abs() < 0.005, "{half_width} {bore} {inner}: {error}");
            let expected = if bore > 0.0 { 0 } else { 2 };
            assert_eq!(euler_characteristic(&mesh), expected);
            assert_eq!(shells(&mesh), 1);
        }
    }
}

/// Spherical ends: a mesh without points inside its ends would be a straight prism. The
/// ends of a wide round show whether they bulge: the outer one adds what the inner lacks.
#[test]
fn ends_are_spheres() {
    let mesh = mesh_of(&round(0.06, 0.0, 0.08, 0.10), &MeshOptions::default()).unwrap();
    let axis = Vector3::new(0.48, -0.6, 0.64);
    let along = |v: &Vector3<f64>| v.dot(&axis);
    let highest = mesh.vertices.iter().map(along).fold(0.0, f64::max);
    assert!((highest - 0.10).abs() < 2e-4, "{highest}");
    for vertex in &mesh.vertices {
        let across = (vertex - axis * along(vertex)).norm();
        let (r, on_wall) = (vertex.norm(), (across - 0.06).abs() < 1e-12);
        let on_end = (r - 0.08).abs() < 1e-12 || (r - 0.10).abs() < 1e-12;
        assert!(on_wall || on_end, "{vertex:?}");
    }
}

/// A tool that begins nearer to the centre than it is wide ends in the plane across its
/// axis there: half a ball without its middle, then a round.
#[test]
fn rounds_that_begin_at_the_centre() {
    for inner in [0.0, 0.004, 0.0099] {
        let mesh = mesh_of(&round(0.01, 0.0, inner, 0.15), &MeshOptions::default()).unwrap();
        let half_ball = 2.0 / 3.0 * PI * (0.01_f64.powi(3) - inner.powi(3));
        let exact = half_ball + ring_volume(0.01, 0.0, 0.01, 0.15);
        let error = mesh.volume() / exact - 1.0;
        assert!(error.abs() < 0.005, "{inner}: {error}");
        assert_eq!(euler_characteristic(&mesh), 2, "{inner}");
    }
}
