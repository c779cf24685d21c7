//! Points and single pieces against keep-outs.

use calotte::brief::{KeepOut, KeepOutShape};
use calotte::built::{Core, Piece, Profile};
use calotte::sphere::Direction;
use calotte::surroundings::{
    DEPTH_BOUND, DISTANCE_BOUND, MESH_DEPTH_BOUND, MeshError, Obstacle, PieceShape, Scratch,
    ShapeError, Window, piece_distance,
};
use nalgebra::{Rotation3, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::cloud::{CLOUD_STEP, box_mesh, outside_distance, visit_surface};

type Point = Vector3<f64>;

fn obstacle(shape: &KeepOutShape) -> Obstacle {
    Obstacle::new(&keep_out(shape)).unwrap()
}

fn keep_out(shape: &KeepOutShape) -> KeepOut {
    KeepOut {
        name: "block".to_string(),
        shape: shape.clone(),
        tool_may_touch: false,
    }
}

fn distance(piece: &Piece, centre: &Point, shape: &KeepOutShape) -> f64 {
    let distance = piece_distance(
        &PieceShape::new(piece),
        centre,
        &obstacle(shape),
        Window::EXACT,
        &mut Scratch::default(),
    );
    let bound = DISTANCE_BOUND.max(-DEPTH_BOUND * distance.most);
    assert!(distance.least <= distance.most && distance.most <= distance.least + bound);
    distance.least
}

fn straight(core: Core, half_width: f64, inner: f64, outer: f64) -> Piece {
    Piece {
        core,
        profile: Profile::Straight,
        half_width,
        inner,
        outer,
        void: None,
    }
}

fn direction(random: &mut ChaCha8Rng) -> Point {
    loop {
        let p = Point::new(
            random.random_range(-1.0..1.0),
            random.random_range(-1.0..1.0),
            random.random_range(-1.0..1.0),
        );
        if p.norm() > 0.1 && p.norm() < 1.0 {
            return p.normalize();
        }
    }
}

/// A bar of 12 × 6 mm at 150 mm along the equator, its arc symmetric about x.
fn bar() -> Piece {
    let end = |angle: f64| Point::new(angle.cos(), angle.sin(), 0.0);
    straight(Core::Arc(end(-0.2), end(0.2)), 0.006, 0.147, 0.153)
}

#[test]
fn ball_and_plane_by_hand() {
    let ball = |centre: Point, radius: f64| KeepOutShape::Sphere { centre, radius };
    let plane = |normal: Point, at: Point| KeepOutShape::HalfSpace { normal, at };
    let piece = bar();
    let rim = (0.147f64 * 0.147 - 0.006 * 0.006).sqrt();
    for (shape, expected) in [
        // About the remote centre: the inner face.
        (ball(Point::zeros(), 0.1), 0.047),
        // Beyond the outer face, in line with the middle of the bar.
        (ball(Point::x() * 0.3, 0.1), 0.047),
        // Beside the bar's plane side.
        (ball(Point::new(0.15, 0.0, 0.05), 0.01), 0.034),
        // Middle inside the bar: minus the radius.
        (ball(Point::x() * 0.15, 0.01), -0.01),
        // A plane outside: its distance less the outer radius.
        (plane(-Point::x(), Point::x() * 0.2), 0.047),
        // A plane parallel to the side.
        (plane(Point::z() * 3.0, Point::z() * -0.1), 0.094),
        // A plane seen from inside: the inner rim's corner at the bar's rounded end.
        (
            plane(Point::x(), Point::zeros()),
            rim * 0.2f64.cos() - 0.006 * 0.2f64.sin(),
        ),
    ] {
        let got = distance(&piece, &Point::zeros(), &shape);
        assert!(
            (got - expected).abs() < 1e-12,
            "{shape:?}: {got} {expected}"
        );
    }
}

#[test]
fn box_and_cylinder_by_hand() {
    let piece = bar();
    let block = |centre: Point| KeepOutShape::Box {
        centre,
        size: Point::new(0.02, 0.2, 0.02),
    };
    let post = |x: f64| KeepOutShape::Cylinder {
        from: Point::new(x, 0.0, -0.3),
        to: Point::new(x, 0.0, 0.3),
        radius: 0.01,
    };
    for (shape, expected) in [
        (block(Point::new(0.18, 0.0, 0.0)), 0.017),
        (block(Point::new(0.15, 0.0, 0.03)), 0.014),
        // Overlap: the bar's middle lies 7 mm inside the near face at least.
        (post(0.2), 0.037),
        (
            post(0.05),
            0.147f64.powi(2).mul_add(1.0, -0.006f64.powi(2)).sqrt() - 0.06,
        ),
    ] {
        let got = distance(&piece, &Point::zeros(), &shape);
        assert!(
            got <= expected + 1e-12 && got >= expected - DISTANCE_BOUND,
            "{shape:?}: {got} {expected}"
        );
    }
    // Depth: a post of 10 mm whose axis pierces the bar is entered by its radius, as far
    // as a depth is told.
    let depth = distance(&piece, &Point::zeros(), &post(0.15));
    assert!(
        (-0.01 * (1.0 + DEPTH_BOUND)..=-0.01).contains(&depth),
        "{depth}"
    );
}

/// Own clouds of 0.05 mm on the surfaces of random pieces against every shape.
#[test]
fn random_pieces_keep_the_distance_of_their_clouds() {
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let mut nearest: f64 = f64::INFINITY;
    let (mut pairs, mut apart) = (0, 0);
    for index in 0..24 {
        let inner = random.random_range(0.03..0.2);
        let outer = inner + random.random_range(0.002..0.012);
        let w = random.random_range(0.002..0.01);
        let from = direction(&mut random);
        let core = if index % 3 == 0 {
            Core::Direction(from)
        } else {
            let turn = Rotation3::new(direction(&mut random) * random.random_range(0.1..1.5));
            Core::Arc(from, turn * from)
        };
        let piece = straight(core, w, inner, outer);
        let centre = direction(&mut random) * 0.05;
        // Shapes near the piece: about a point a little off its core.
        let at = centre
            + from * random.random_range(0.6..1.5) * inner
            + direction(&mut random) * random.random_range(0.02..0.06);
        let size = |random: &mut ChaCha8Rng| random.random_range(0.002..0.03);
        let shapes = [
            KeepOutShape::Sphere {
                centre: at,
                radius: size(&mut random),
            },
            KeepOutShape::Box {
                centre: at,
                size: Point::new(size(&mut random), size(&mut random), size(&mut random)),
            },
            KeepOutShape::Cylinder {
                from: at,
                to: at + direction(&mut random) * 0.05,
                radius: size(&mut random),
            },
            KeepOutShape::HalfSpace {
                normal: direction(&mut random),
                at,
            },
        ];
        let mut cloud = [f64::INFINITY; 4];
        visit_surface(&piece, |p| {
            for (least, shape) in cloud.iter_mut().zip(&shapes) {
                *least = least.min(outside_distance(shape, &(centre + p)));
            }
        });
        for (shape, least) in shapes.iter().zip(cloud) {
            pairs += 1;
            let got = distance(&piece, &centre, shape);
            if least <= CLOUD_STEP {
                assert!(got < CLOUD_STEP, "{index} {shape:?}: {got} {least}");
                continue;
            }
            apart += 1;
            nearest = nearest.min(least);
            // No point of the piece is farther than half a diagonal from its cloud.
            assert!(got <= least + 1e-12, "{index} {shape:?}: {got} {least}");
            assert!(
                got >= least - DISTANCE_BOUND - 0.71 * CLOUD_STEP,
                "{index} {shape:?}: {got} {least}"
            );
            // With a distance that is enough, the verdict is the same.
            for enough in [0.5 * least, 0.999 * least - DISTANCE_BOUND, 1.001 * least] {
                for window in [Window::below(enough), Window::whether(enough)] {
                    let early = piece_distance(
                        &PieceShape::new(&piece),
                        &centre,
                        &obstacle(shape),
                        window,
                        &mut Scratch::default(),
                    );
                    assert_eq!(early.least >= enough, got >= enough, "{window:?} {early:?}");
                    assert!(early.most >= got, "{window:?} {early:?}");
                    let settled = window.little.is_some() && early.most < enough;
                    assert!(settled || early.least <= least, "{window:?} {early:?}");
                }
            }
        }
    }
    assert!(nearest < 0.03, "shapes were meant to be near: {nearest}");
    assert!(apart > pairs / 2, "{apart} of {pairs} pairs lie apart");
}

#[test]
fn a_round_piece_is_its_line_less_its_half_width() {
    let end = |angle: f64| Point::new(angle.cos(), angle.sin(), 0.0);
    let tube = Piece {
        profile: Profile::Round,
        ..straight(Core::Arc(end(-0.2), end(0.2)), 0.004, 0.146, 0.154)
    };
    let block = KeepOutShape::Box {
        centre: Point::new(0.15, 0.0, 0.05),
        size: Point::new(0.02, 0.02, 0.02),
    };
    let got = distance(&tube, &Point::zeros(), &block);
    assert!((got - 0.036).abs() <= DISTANCE_BOUND, "{got}");
    let ball = KeepOutShape::Sphere {
        centre: Point::zeros(),
        radius: 0.1,
    };
    assert!((distance(&tube, &Point::zeros(), &ball) - 0.046).abs() < 1e-12);
    let plane = KeepOutShape::HalfSpace {
        normal: Point::z(),
        at: Point::z() * -0.1,
    };
    assert!((distance(&tube, &Point::zeros(), &plane) - 0.096).abs() < 1e-12);
}

#[test]
fn a_tool_wider_than_its_tip_is_near_is_solid_to_the_centre() {
    let tool = straight(Core::Direction(Point::z()), 0.01, 0.002, 0.1);
    let plane = |normal: Point, at: Point| KeepOutShape::HalfSpace { normal, at };
    let behind = distance(
        &tool,
        &Point::zeros(),
        &plane(Point::z(), Point::z() * -0.05),
    );
    assert!((behind - 0.04).abs() < 1e-12, "{behind}");
    let beside = distance(
        &tool,
        &Point::zeros(),
        &plane(Point::x(), Point::x() * -0.05),
    );
    assert!((beside - 0.04).abs() < 1e-12, "{beside}");
}

#[test]
fn mesh_of_a_box_is_the_box() {
    let (centre, size) = (Point::new(0.1, 0.05, -0.02), Point::new(0.08, 0.05, 0.1));
    let aligned = obstacle(&KeepOutShape::Box { centre, size });
    let mut random = ChaCha8Rng::seed_from_u64(5);
    for divisions in [1, 7] {
        let shape = box_mesh(&centre, &size, divisions);
        let mesh = obstacle(&shape);
        for _ in 0..2000 {
            let p = centre + direction(&mut random) * random.random_range(0.0..0.15);
            let (a, b) = (aligned.signed_distance(&p), mesh.signed_distance(&p));
            assert!((a - b).abs() < 1e-12, "{p:?}: {a} {b}");
        }
        for _ in 0..60 {
            let from = direction(&mut random);
            let to = Rotation3::new(direction(&mut random) * 0.7) * from;
            let piece = straight(Core::Arc(from, to), 0.006, 0.1, 0.108);
            let place = direction(&mut random) * 0.1;
            let scratch = &mut Scratch::default();
            let shape = PieceShape::new(&piece);
            let a = piece_distance(&shape, &place, &aligned, Window::EXACT, scratch).least;
            let b = piece_distance(&shape, &place, &mesh, Window::EXACT, scratch).least;
            if a > 0.0 {
                assert!((a - b).abs() <= DISTANCE_BOUND, "{a} {b}");
            } else {
                assert!(
                    b <= a * (1.0 - DEPTH_BOUND) + DISTANCE_BOUND
                        && b >= a * (1.0 + DEPTH_BOUND) - MESH_DEPTH_BOUND,
                    "{a} {b}"
                );
            }
        }
    }
}

#[test]
fn degenerate_keep_outs_are_refused_or_meant() {
    let refused = |shape: &KeepOutShape| Obstacle::new(&keep_out(shape)).unwrap_err();
    let mesh = |vertices: Vec<Point>, triangles: Vec<[usize; 3]>| KeepOutShape::Mesh {
        vertices,
        triangles,
    };
    let reason = |shape: &KeepOutShape| match refused(shape) {
        ShapeError::Mesh { reason, .. } => reason,
        other => panic!("{other}"),
    };
    assert_eq!(reason(&mesh(vec![], vec![])), MeshError::Empty);
    let KeepOutShape::Mesh {
        vertices,
        triangles,
    } = box_mesh(&Point::zeros(), &Point::repeat(0.1), 2)
    else {
        unreachable!()
    };
    let mut bad = vertices.clone();
    bad[3].y = f64::NAN;
    assert_eq!(
        reason(&mesh(bad, triangles.clone())),
        MeshError::NotFinite(3)
    );
    let open = triangles[1..].to_vec();
    assert!(matches!(
        reason(&mesh(vertices.clone(), open)),
        MeshError::NotClosed { edges: 3, .. }
    ));
    let inward = triangles.iter().map(|[a, b, c]| [*a, *c, *b]).collect();
    assert!(matches!(
        reason(&mesh(vertices.clone(), inward)),
        MeshError::Inward(v) if (v + 0.001).abs() < 1e-12
    ));
    let missing = vec![[0, 1, 999]];
    assert!(matches!(
        reason(&mesh(vertices, missing)),
        MeshError::NoSuchCorner { corner: 999, .. }
    ));
    assert!(matches!(
        refused(&KeepOutShape::HalfSpace {
            normal: Point::zeros(),
            at: Point::zeros()
        }),
        ShapeError::NoDirection { .. }
    ));
    // A box of size zero is a point, and distances to it are those of the point.
    let here = Direction {
        polar: 0.5,
        azimuth: 1.0,
    }
    .vector();
    let point = KeepOutShape::Box {
        centre: here * 0.12,
        size: Point::zeros(),
    };
    let pin = straight(Core::Direction(here), 0.004, 0.13, 0.14);
    let got = distance(&pin, &Point::zeros(), &point);
    assert!((got - 0.01).abs() <= DISTANCE_BOUND, "{got}");
}
