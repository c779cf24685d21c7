//! The volume of a solid from the words that define its pieces, in Cartesian
//! coordinates and without anything of the mesher (derived).

use std::f64::consts::PI;

use calotte::built::{Core, Piece, Profile, Solid};
use nalgebra::Vector3;

/// Whether a point lies in a piece: "all points p with inner ≤ |p| ≤ outer whose
/// distance from the core's ray (for an arc: from its plane, along its length; from its
/// end rays, beyond) is at most the half width"; round: "all points within the half
/// width of the core's line at the middle radius".
pub fn in_piece(core: &Core, profile: Profile, sizes: [f64; 3], p: &Vector3<f64>) -> bool {
    let [half_width, inner, outer] = sizes;
    let middle = 0.5 * (inner + outer);
    let from_end = |end: &Vector3<f64>| match profile {
        Profile::Straight => {
            let along = p.dot(end);
            if along < 0.0 {
                f64::INFINITY
            } else {
                (p - end * along).norm()
            }
        }
        Profile::Round => (p - end * middle).norm(),
    };
    let near = match core {
        Core::Direction(axis) => from_end(axis) <= half_width,
        Core::Arc(a, b) => {
            let n = a.cross(b).normalize();
            if n.cross(a).dot(p) >= 0.0 && b.cross(&n).dot(p) >= 0.0 {
                let z = p.dot(&n);
                match profile {
                    Profile::Straight => z.abs() <= half_width,
                    Profile::Round => ((p - n * z).norm() - middle).hypot(z) <= half_width,
                }
            } else {
                from_end(a) <= half_width || from_end(b) <= half_width
            }
        }
    };
    near && (profile == Profile::Round || (inner..=outer).contains(&p.norm()))
}

fn piece_contains(piece: &Piece, p: &Vector3<f64>) -> bool {
    let sizes = [piece.half_width, piece.inner, piece.outer];
    in_piece(&piece.core, piece.profile, sizes, p)
}

/// Whether a hole or a void takes a point away: voids end at the rounds.
fn taken_away(solid: &Solid, p: &Vector3<f64>) -> bool {
    let in_hole = solid.holes.iter().any(|hole| {
        let along = p.dot(&hole.axis);
        along > 0.0 && (p - hole.axis * along).norm() < 0.5 * hole.diameter
    });
    let in_round = || {
        solid
            .pieces
            .iter()
            .any(|piece| matches!(piece.core, Core::Direction(_)) && piece_contains(piece, p))
    };
    let in_void = || {
        solid.pieces.iter().any(|piece| {
            piece.void.is_some_and(|void| {
                let middle = piece.middle();
                let faces = [middle - 0.5 * void.height, middle + 0.5 * void.height];
                let sizes = [void.half_width, faces[0], faces[1]];
                in_piece(&piece.core, piece.profile, sizes, p)
            })
        })
    };
    in_hole || (in_void() && !in_round())
}

/// Whether a point lies in a solid.
pub fn in_solid(solid: &Solid, p: &Vector3<f64>) -> bool {
    solid.pieces.iter().any(|piece| piece_contains(piece, p)) && !taken_away(solid, p)
}

/// Points of the unit cube that fill it evenly: multiples of the powers of the root of
/// x⁴ = x + 1 (additive recurrence).
fn even_points(count: usize) -> impl Iterator<Item = [f64; 3]> {
    const ROOT: f64 = 1.220_744_084_605_759_5;
    (0..count)
        .map(|index| [1, 2, 3].map(|power| (0.5 + (index + 1) as f64 * ROOT.powi(-power)).fract()))
}

/// Points of a piece with the volume each stands for.
fn points_of(piece: &Piece, count: usize) -> Vec<(Vector3<f64>, f64)> {
    match &piece.core {
        Core::Direction(axis) => {
            let across = helper(axis);
            round_points(piece, axis, &across, 2.0 * PI, count)
        }
        Core::Arc(a, b) => {
            let n = a.cross(b).normalize();
            let mut points = arc_points(piece, a, &n, a.angle(b), count);
            points.extend(round_points(piece, a, &n, PI, count / 4));
            points.extend(round_points(piece, b, &-n, PI, count / 4));
            points
        }
    }
}

/// Along an arc: turned about n; straight: s ds dz at even z and s²; round: a disc.
fn arc_points(
    piece: &Piece,
    a: &Vector3<f64>,
    n: &Vector3<f64>,
    angle: f64,
    count: usize,
) -> Vec<(Vector3<f64>, f64)> {
    let (w, middle) = (piece.half_width, piece.middle());
    even_points(count)
        .map(|[u, v, q]| {
            let (s, z, weight) = match piece.profile {
                Profile::Straight => {
                    let z = w * (2.0 * v - 1.0);
                    let (low, high) = (piece.inner.powi(2), piece.outer.powi(2));
                    let s = (low + q * (high - low) - z * z).sqrt();
                    (s, z, angle * w * (high - low))
                }
                Profile::Round => {
                    let (x, z) = disc(w, v, q, 2.0 * PI);
                    (middle + x, z, angle * PI * w * w * (middle + x))
                }
            };
            let turned = a * (u * angle).cos() + n.cross(a) * (u * angle).sin();
            (turned * s + n * z, weight / count as f64)
        })
        .collect()
}

/// About a direction, over the angles counter-clockwise from `zero`.
fn round_points(
    piece: &Piece,
    axis: &Vector3<f64>,
    zero: &Vector3<f64>,
    turn: f64,
    count: usize,
) -> Vec<(Vector3<f64>, f64)> {
    let (w, middle) = (piece.half_width, piece.middle());
    let quarter = axis.cross(zero);
    even_points(count)
        .map(|[u, v, q]| {
            let (x, y) = disc(w, u, v, turn);
            let square = x * x + y * y;
            let (low, high) = match piece.profile {
                Profile::Straight => (
                    (piece.inner.powi(2) - square).max(0.0).sqrt(),
                    (piece.outer.powi(2) - square).max(0.0).sqrt(),
                ),
                Profile::Round => {
                    let half = (w * w - square).max(0.0).sqrt();
                    (middle - half, middle + half)
                }
            };
            let point = axis * (low + q * (high - low)) + zero * x + quarter * y;
            let area = 0.5 * turn * w * w;
            (point, area * (high - low) / count as f64)
        })
        .collect()
}

/// Even point of a sector of a disc.
fn disc(radius: f64, u: f64, v: f64, turn: f64) -> (f64, f64) {
    let (sine, cosine) = (turn * u).sin_cos();
    let r = radius * v.sqrt();
    (r * cosine, r * sine)
}

pub fn helper(axis: &Vector3<f64>) -> Vector3<f64> {
    let other = if axis.x.abs() < 0.5 {
        Vector3::x()
    } else {
        Vector3::y()
    };
    axis.cross(&other).normalize()
}

/// Volume of the union, m³: every piece filled evenly, each point counted by one over
/// the number of pieces it lies in, if nothing takes it away.
pub fn volume(solid: &Solid, count: usize) -> f64 {
    solid
        .pieces
        .iter()
        .enumerate()
        .flat_map(|(own, piece)| {
            points_of(piece, count).into_iter().map(move |(p, weight)| {
                if taken_away(solid, &p) {
                    return 0.0;
                }
                // Its own piece counts even where rounding puts the point outside.
                let others = solid
                    .pieces
                    .iter()
                    .enumerate()
                    .filter(|(index, other)| *index != own && piece_contains(other, &p))
                    .count();
                weight / (1 + others) as f64
            })
        })
        .sum()
}

/// Volume of a round of radius c between two radii without a bore of radius b:
/// ∫ 2π q (√(outer² − q²) − √(inner² − q²)) dq.
pub fn ring_volume(c: f64, b: f64, inner: f64, outer: f64) -> f64 {
    let part = |r: f64, q: f64| (r * r - q * q).powf(1.5);
    2.0 * PI / 3.0 * (part(outer, b) - part(outer, c) - part(inner, b) + part(inner, c))
}

#[test]
fn even_filling_gives_known_volumes() {
    let rays = [Vector3::x(), Vector3::new(0.6, 0.8, 0.0)];
    let angle = 0.8_f64.asin();
    let piece = |core, profile, half_width, inner, outer| Piece {
        core,
        profile,
        half_width,
        inner,
        outer,
        void: None,
    };
    let solid = |piece: Piece| Solid {
        name: "one".into(),
        kind: calotte::built::SolidKind::Bar,
        body: 1,
        assembled_with: vec![],
        joint: None,
        pieces: vec![piece],
        holes: vec![],
    };
    let arc = Core::Arc(rays[0], rays[1]);
    let cases = [
        // b·h·ρ·φ and one round (Pappus; `docs/theory/built-geometry.md`).
        (
            piece(arc, Profile::Straight, 0.006, 0.146, 0.154),
            0.012 * 0.008 * 0.15 * angle + ring_volume(0.006, 0.0, 0.146, 0.154),
        ),
        // Torus by Pappus and a ball.
        (
            piece(arc, Profile::Round, 0.005, 0.145, 0.155),
            PI * 2.5e-5 * 0.15 * angle + 4.0 / 3.0 * PI * 1.25e-7,
        ),
        (
            piece(Core::Direction(rays[1]), Profile::Straight, 0.01, 0.1, 0.12),
            ring_volume(0.01, 0.0, 0.1, 0.12),
        ),
    ];
    for (piece, exact) in cases {
        let found = volume(&solid(piece), 40_000);
        assert!((found / exact - 1.0).abs() < 2e-4, "{found} for {exact}");
    }
}
