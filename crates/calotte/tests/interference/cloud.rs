//! Distance of two solids by clouds of surface points, independent of the library: it
//! knows a solid only by the definition of its pieces and shares no code with it.

use calotte::built::{Core, Piece, Profile, Solid};
use nalgebra::{Rotation3, Vector3};

type V = Vector3<f64>;

/// A part of a solid's surface over the unit square.
enum Patch {
    /// Along an arc: start, along, normal; length, and which face.
    Band {
        frame: [V; 3],
        length: f64,
        face: Face,
        piece: Piece,
    },
    /// About a direction with two directions across.
    Cap {
        frame: [V; 3],
        face: Face,
        piece: Piece,
    },
}

#[derive(Clone, Copy)]
enum Face {
    Inner,
    Outer,
    Side(f64),
    Tube,
}

impl Patch {
    /// Which parameters turn full circle, so that 0 and 1 are one place.
    fn turns(&self) -> [bool; 2] {
        match self {
            Patch::Band { face, .. } => [false, matches!(face, Face::Tube)],
            Patch::Cap { .. } => [true, false],
        }
    }

    /// A surface point at parameters in [0, 1].
    fn point(&self, u: f64, v: f64) -> V {
        match self {
            Patch::Band {
                frame: [start, along, normal],
                length,
                face,
                piece,
            } => {
                let angle = u * length;
                let radial = start * angle.cos() + along * angle.sin();
                let at = |radius: f64, across: f64| {
                    radial * (radius * radius - across * across).max(0.0).sqrt() + normal * across
                };
                let w = piece.half_width;
                match face {
                    Face::Inner => at(piece.inner, w * (2.0 * v - 1.0)),
                    Face::Outer => at(piece.outer, w * (2.0 * v - 1.0)),
                    Face::Side(sign) => at(piece.inner + v * (piece.outer - piece.inner), w * sign),
                    Face::Tube => {
                        let turn = std::f64::consts::TAU * v;
                        radial * (0.5 * (piece.inner + piece.outer) + w * turn.cos())
                            + normal * (w * turn.sin())
                    }
                }
            }
            Patch::Cap {
                frame: [axis, first, second],
                face,
                piece,
            } => {
                let turn = std::f64::consts::TAU * u;
                let across = first * turn.cos() + second * turn.sin();
                let w = piece.half_width;
                let at = |radius: f64, off: f64| {
                    axis * (radius * radius - off * off).max(0.0).sqrt() + across * off
                };
                match face {
                    Face::Inner => at(piece.inner, w * v),
                    Face::Outer => at(piece.outer, w * v),
                    Face::Side(_) => at(piece.inner + v * (piece.outer - piece.inner), w),
                    Face::Tube => {
                        let polar = std::f64::consts::PI * v;
                        axis * (0.5 * (piece.inner + piece.outer) + w * polar.cos())
                            + across * (w * polar.sin())
                    }
                }
            }
        }
    }
}

fn frame_about(axis: V) -> [V; 3] {
    let helper = if axis.z.abs() < 0.7 { V::z() } else { V::x() };
    let first = axis.cross(&helper).normalize();
    [axis, first, axis.cross(&first)]
}

fn patches(solid: &Solid, rotation: &Rotation3<f64>) -> Vec<Patch> {
    let mut list = Vec::new();
    for piece in &solid.pieces {
        let round = piece.profile == Profile::Round;
        let faces: &[Face] = if round {
            &[Face::Tube]
        } else {
            &[Face::Inner, Face::Outer, Face::Side(1.0), Face::Side(-1.0)]
        };
        let ends = match piece.core {
            Core::Direction(u) => vec![rotation * u],
            Core::Arc(a, b) => {
                let (a, b) = (rotation * a, rotation * b);
                let normal = a.cross(&b).normalize();
                let length = a.dot(&b).clamp(-1.0, 1.0).acos();
                for face in faces {
                    list.push(Patch::Band {
                        frame: [a, normal.cross(&a), normal],
                        length,
                        face: *face,
                        piece: *piece,
                    });
                }
                vec![a, b]
            }
        };
        for end in ends {
            // One side face is all of a cylinder.
            for face in &faces[..faces.len().min(3)] {
                list.push(Patch::Cap {
                    frame: frame_about(end),
                    face: *face,
                    piece: *piece,
                });
            }
        }
    }
    list
}

/// Whether a point lies in a solid, by the definition of its pieces.
fn inside(solid: &Solid, rotation: &Rotation3<f64>, point: &V) -> bool {
    let from_ray = |u: &V| {
        let along = point.dot(u);
        if along > 0.0 {
            (point - u * along).norm()
        } else {
            point.norm()
        }
    };
    let from_arc = |a: &V, b: &V| {
        let normal = a.cross(b).normalize();
        let flat = point - normal * point.dot(&normal);
        let within = a.cross(&flat).dot(&normal) >= 0.0 && flat.cross(b).dot(&normal) >= 0.0;
        if within {
            point.dot(&normal).abs()
        } else {
            from_ray(a).min(from_ray(b))
        }
    };
    solid.pieces.iter().any(|piece| {
        let radius = point.norm();
        let middle = 0.5 * (piece.inner + piece.outer);
        match (piece.profile, piece.core) {
            (Profile::Straight, core) => {
                let off = match core {
                    Core::Direction(u) => from_ray(&(rotation * u)),
                    Core::Arc(a, b) => from_arc(&(rotation * a), &(rotation * b)),
                };
                radius >= piece.inner && radius <= piece.outer && off <= piece.half_width
            }
            (Profile::Round, Core::Direction(u)) => {
                (point - rotation * u * middle).norm() <= piece.half_width
            }
            (Profile::Round, Core::Arc(a, b)) => {
                let (a, b) = (rotation * a, rotation * b);
                let normal = a.cross(&b).normalize();
                let flat = point - normal * point.dot(&normal);
                let within =
                    a.cross(&flat).dot(&normal) >= 0.0 && flat.cross(&b).dot(&normal) >= 0.0;
                let nearest = if within {
                    flat.normalize() * middle
                } else if (point - a).norm() < (point - b).norm() {
                    a * middle
                } else {
                    b * middle
                };
                (point - nearest).norm() <= piece.half_width
            }
        }
    })
}

/// Samples along a patch's sides at first.
const COARSE: usize = 11;
/// Nearest pairs of patches that are refined.
const REFINED: usize = 40;

/// Distance of the surfaces by clouds refined about their nearest points until their
/// spacing is below 0.005 mm, and whether a point of one lies in the other.
pub fn cloud_distance(solids: [&Solid; 2], rotations: [&Rotation3<f64>; 2]) -> (f64, bool) {
    let lists = [
        patches(solids[0], rotations[0]),
        patches(solids[1], rotations[1]),
    ];
    let grid = |patch: &Patch| -> Vec<(f64, f64, V)> {
        let step = |i: usize| i as f64 / (COARSE - 1) as f64;
        (0..COARSE * COARSE)
            .map(|k| (step(k / COARSE), step(k % COARSE)))
            .map(|(u, v)| (u, v, patch.point(u, v)))
            .collect()
    };
    let clouds = lists
        .each_ref()
        .map(|list| list.iter().map(grid).collect::<Vec<_>>());
    let mut overlap = false;
    for (own, other) in [(0, 1), (1, 0)] {
        overlap |= clouds[own]
            .iter()
            .flatten()
            .any(|(_, _, point)| inside(solids[other], rotations[other], point));
    }
    let mut nearest = Vec::new();
    for (i, first) in clouds[0].iter().enumerate() {
        for (j, second) in clouds[1].iter().enumerate() {
            let mut best = (f64::INFINITY, [0.0; 4]);
            for (u, v, point) in first {
                for (s, t, other) in second {
                    let square = (point - other).norm_squared();
                    if square < best.0 {
                        best = (square, [*u, *v, *s, *t]);
                    }
                }
            }
            nearest.push((best.0, i, j, best.1));
        }
    }
    nearest.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut least = f64::INFINITY;
    for (square, i, j, at) in nearest.into_iter().take(REFINED) {
        least = least
            .min(square.sqrt())
            .min(refine(&lists[0][i], &lists[1][j], at));
    }
    (least, overlap)
}

/// Moves and shrinks windows about the nearest two points.
fn refine(first: &Patch, second: &Patch, mut at: [f64; 4]) -> f64 {
    const SIDE: usize = 5;
    let mut window = 1.0 / (COARSE - 1) as f64;
    let mut least = f64::INFINITY;
    // Patches measure at most about 0.2 m along a side.
    while window * 0.2 > 2e-6 {
        let around = |centre: f64, k: usize, turns: bool| {
            let at = centre + window * (k as f64 / (SIDE - 1) as f64 * 2.0 - 1.0);
            if turns { at } else { at.clamp(0.0, 1.0) }
        };
        let grid = |patch: &Patch, u: f64, v: f64| -> Vec<(f64, f64, V)> {
            let [turns, also] = patch.turns();
            (0..SIDE * SIDE)
                .map(|k| (around(u, k / SIDE, turns), around(v, k % SIDE, also)))
                .map(|(u, v)| (u, v, patch.point(u, v)))
                .collect()
        };
        let (a, b) = (grid(first, at[0], at[1]), grid(second, at[2], at[3]));
        let mut best = (f64::INFINITY, at);
        for (u, v, point) in &a {
            for (s, t, other) in &b {
                let square = (point - other).norm_squared();
                if square < best.0 {
                    best = (square, [*u, *v, *s, *t]);
                }
            }
        }
        // Narrower only where no neighbour is nearer, so that long valleys are followed.
        if best.0.sqrt() < least - 1e-8 {
            least = best.0.sqrt();
            at = best.1;
        } else {
            window *= 0.5;
        }
    }
    least
}
