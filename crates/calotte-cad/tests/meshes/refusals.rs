//! Solids that have no mesh: an error that says why, and no panic.

use calotte::built::{Core, Profile, Solid, Void};
use calotte_cad::{MeshError, MeshOptions, mesh_of};
use nalgebra::Vector3;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::random::{bar, random_bar};

fn good() -> Solid {
    let stations = [Vector3::x(), Vector3::new(0.6, 0.8, 0.0)];
    let void = Void {
        half_width: 0.003,
        height: 0.005,
    };
    let sizes = ([0.010, 0.008], [0.014, 0.012]);
    bar(
        &stations,
        Profile::Straight,
        0.15,
        sizes.0,
        Some(void),
        sizes.1,
        Some(0.008),
    )
}

fn refused(change: impl FnOnce(&mut Solid)) -> MeshError {
    let mut solid = good();
    change(&mut solid);
    mesh_of(&solid, &MeshOptions::default()).expect_err("a spoilt solid has no mesh")
}

#[test]
fn each_fault_has_its_error() {
    mesh_of(&good(), &MeshOptions::default()).unwrap();
    let error = refused(|solid| solid.pieces.clear());
    assert!(matches!(error, MeshError::NoPieces { .. }));
    for value in [f64::NAN, f64::INFINITY] {
        let error = refused(|solid| solid.pieces[1].half_width = value);
        assert!(
            matches!(error, MeshError::NotFinite { piece: 1, .. }),
            "{error}"
        );
        let error = refused(|solid| solid.holes[1].axis.y = value);
        assert!(
            matches!(error, MeshError::NotFinite { piece: 1, .. }),
            "{error}"
        );
        let error = refused(|solid| solid.pieces[0].void.as_mut().unwrap().height = value);
        assert!(
            matches!(error, MeshError::NotFinite { piece: 0, .. }),
            "{error}"
        );
    }
    let error = refused(|solid| solid.pieces[0].core = Core::Arc(Vector3::x(), Vector3::x()));
    assert!(
        matches!(error, MeshError::ArcAngle { angle: 0.0, .. }),
        "{error}"
    );
    let error = refused(|solid| solid.pieces[0].core = Core::Arc(Vector3::x(), -Vector3::x()));
    assert!(matches!(error, MeshError::ArcAngle { .. }), "{error}");
    let error = refused(|solid| solid.pieces[2].core = Core::Direction(Vector3::x() * 1.01));
    assert!(
        matches!(error, MeshError::NotUnit { piece: 2, .. }),
        "{error}"
    );
    let error = refused(|solid| solid.pieces[0].outer = solid.pieces[0].inner);
    assert!(matches!(error, MeshError::Faces { .. }), "{error}");
    let error = refused(|solid| solid.pieces[0].inner = -0.1);
    assert!(matches!(error, MeshError::Faces { .. }), "{error}");
    let error = refused(|solid| solid.pieces[2].half_width = 0.2);
    assert!(matches!(error, MeshError::HalfWidth { .. }), "{error}");
    let error = refused(|solid| solid.pieces[2].half_width = 0.0);
    assert!(matches!(error, MeshError::HalfWidth { .. }), "{error}");
    let error = refused(|solid| solid.pieces[0].profile = Profile::Round);
    assert!(matches!(error, MeshError::RoundHeight { .. }), "{error}");
    let error = refused(|solid| solid.pieces[0].void.as_mut().unwrap().half_width = 0.005);
    assert!(matches!(error, MeshError::Void { .. }), "{error}");
    for diameter in [0.014, 0.02, 0.0, -1.0] {
        let error = refused(|solid| solid.holes[0].diameter = diameter);
        assert!(matches!(error, MeshError::Hole { hole: 0, .. }), "{error}");
        assert!(error.to_string().contains("bar-left-1"), "{error}");
    }
    let error = refused(|solid| solid.holes[0].axis = Vector3::z());
    assert!(
        matches!(error, MeshError::Hole { greatest: 0.0, .. }),
        "{error}"
    );
}

#[test]
fn options_are_checked() {
    for chord_tolerance in [0.0, -1e-5, f64::NAN, 1e-9, 1.0] {
        let options = MeshOptions {
            chord_tolerance,
            ..MeshOptions::default()
        };
        let error = mesh_of(&good(), &options).expect_err("bad options");
        assert!(matches!(error, MeshError::Tolerance { .. }), "{error}");
    }
    for round_sides in [0, 7, 5000] {
        let options = MeshOptions {
            round_sides,
            ..MeshOptions::default()
        };
        let error = mesh_of(&good(), &options).expect_err("bad options");
        assert!(matches!(error, MeshError::RoundSides { .. }), "{error}");
    }
}

/// Arcs all about the centre leave no chart.
#[test]
fn the_whole_sphere_is_refused() {
    let third = 2.0 * std::f64::consts::PI / 3.0;
    let at = |angle: f64| Vector3::new(angle.cos(), angle.sin(), 0.0);
    let ring: Vec<_> = (0..=3).map(|k| at(third * f64::from(k))).collect();
    let sizes = ([0.0898, 0.01], [0.0898, 0.01]);
    let solid = bar(&ring, Profile::Straight, 0.05, sizes.0, None, sizes.1, None);
    let error = mesh_of(&solid, &MeshOptions::default()).err();
    assert!(
        matches!(error, Some(MeshError::WholeSphere { .. })),
        "{error:?}"
    );
}

/// Any number of a solid replaced by another: a sound mesh or an error, never a panic.
#[test]
fn spoilt_numbers_do_not_panic() {
    let values = [
        0.0,
        -0.0,
        1e-300,
        1e-12,
        1e-7,
        0.003,
        0.005,
        0.15,
        1e9,
        f64::NAN,
        f64::MAX,
    ];
    let mut rng = ChaCha8Rng::seed_from_u64(7);
    let (mut sound, mut refused) = (0, 0);
    for seed in 0..300 {
        let mut solid = random_bar(seed);
        let piece = rng.random_range(0..solid.pieces.len());
        let value = values[rng.random_range(0..values.len())];
        let piece = &mut solid.pieces[piece];
        match rng.random_range(0..5) {
            0 => piece.half_width = value,
            1 => piece.inner = value,
            2 => piece.outer = value,
            3 => match (&mut piece.core, &mut piece.void) {
                (_, Some(void)) => void.height = value,
                (Core::Arc(from, to), None) => *to = (*from + Vector3::y() * value).normalize(),
                (Core::Direction(axis), None) => axis.x = value,
            },
            _ => {
                for hole in &mut solid.holes {
                    hole.diameter = value;
                }
            }
        }
        let coarse = MeshOptions {
            chord_tolerance: 1e-4,
            round_sides: 16,
        };
        match mesh_of(&solid, &coarse) {
            Ok(mesh) => {
                mesh.check().unwrap();
                sound += 1;
            }
            Err(_) => refused += 1,
        }
    }
    assert!(sound > 10 && refused > 100, "{sound} {refused}");
}
