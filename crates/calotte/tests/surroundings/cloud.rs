//! Brute force: clouds of points on the surface of a piece, and plain signed
//! distances of points, written here from the definitions alone.

use calotte::brief::KeepOutShape;
use calotte::built::{Core, Piece, Profile};
use nalgebra::Vector3;

type Point = Vector3<f64>;

/// Distance between neighbouring points of a cloud, m.
pub const CLOUD_STEP: f64 = 5e-5;

fn steps(length: f64) -> usize {
    (length / CLOUD_STEP).ceil().max(1.0) as usize
}

fn spread(from: f64, to: f64, size: f64) -> impl Iterator<Item = f64> {
    let count = steps(size);
    (0..=count).map(move |i| from + (to - from) * i as f64 / count as f64)
}

/// Distance of a point from the core as built parts define it.
pub fn distance_from_core(core: &Core, point: &Point) -> f64 {
    let to_ray = |u: &Point| {
        if point.dot(u) > 0.0 {
            point.cross(u).norm()
        } else {
            point.norm()
        }
    };
    match core {
        Core::Direction(u) => to_ray(u),
        Core::Arc(from, to) => {
            let normal = from.cross(to).normalize();
            let within = normal.cross(from).dot(point) >= 0.0
                && to.cross(&normal).dot(point) >= 0.0
                && (from + to).dot(point) > 0.0;
            if within {
                point.dot(&normal).abs()
            } else {
                to_ray(from).min(to_ray(to))
            }
        }
    }
}

/// Calls `visit` with every point of the cloud on a straight piece's surface.
pub fn visit_surface(piece: &Piece, mut visit: impl FnMut(Point)) {
    assert_eq!(piece.profile, Profile::Straight);
    let w = piece.half_width;
    let mut checked = |p: Point| {
        debug_assert!(distance_from_core(&piece.core, &p) <= w + 1e-9);
        debug_assert!(p.norm() >= piece.inner - 1e-9 && p.norm() <= piece.outer + 1e-9);
        visit(p);
    };
    match piece.core {
        Core::Direction(u) => round(piece, &u, &mut checked),
        Core::Arc(from, to) => {
            round(piece, &from, &mut checked);
            round(piece, &to, &mut checked);
            let normal = from.cross(&to).normalize();
            let ahead = normal.cross(&from);
            let arc = from.dot(&to).clamp(-1.0, 1.0).acos();
            for angle in spread(0.0, arc, arc * piece.outer) {
                let along = from * angle.cos() + ahead * angle.sin();
                for r in [piece.inner, piece.outer] {
                    for z in spread(-w, w, 2.0 * w) {
                        checked(along * (r * r - z * z).sqrt() + normal * z);
                    }
                }
                for z in [-w, w] {
                    for r in spread(piece.inner, piece.outer, piece.outer - piece.inner) {
                        checked(along * (r * r - z * z).sqrt() + normal * z);
                    }
                }
            }
        }
    }
}

fn round(piece: &Piece, u: &Point, visit: &mut impl FnMut(Point)) {
    let w = piece.half_width;
    let helper = if u.x.abs() < 0.6 {
        Point::x()
    } else {
        Point::y()
    };
    let e = u.cross(&helper).normalize();
    let f = u.cross(&e);
    let full = std::f64::consts::TAU;
    let at = |t: f64, angle: f64, r: f64| {
        (e * angle.cos() + f * angle.sin()) * t + u * (r * r - t * t).sqrt()
    };
    for t in spread(0.0, w, w) {
        for angle in spread(0.0, full, full * t) {
            for r in [piece.inner, piece.outer] {
                visit(at(t, angle, r));
            }
        }
    }
    for angle in spread(0.0, full, full * w) {
        for r in spread(piece.inner, piece.outer, piece.outer - piece.inner) {
            visit(at(w, angle, r));
        }
    }
}

/// Distance of a point outside a keep-out from it, by its definition.
pub fn outside_distance(shape: &KeepOutShape, p: &Point) -> f64 {
    match shape {
        KeepOutShape::Sphere { centre, radius } => (p - centre).norm() - radius,
        KeepOutShape::HalfSpace { normal, at } => (p - at).dot(normal) / normal.norm(),
        KeepOutShape::Box { centre, size } => {
            let q = (p - centre).abs() - size * 0.5;
            Point::new(q.x.max(0.0), q.y.max(0.0), q.z.max(0.0)).norm()
        }
        KeepOutShape::Cylinder { from, to, radius } => {
            let axis = (to - from).normalize();
            let along = (p - from).dot(&axis);
            let beyond = (-along).max(along - (to - from).norm()).max(0.0);
            let past = ((p - from).cross(&axis).norm() - radius).max(0.0);
            beyond.hypot(past)
        }
        KeepOutShape::Mesh { .. } => panic!("meshes are checked otherwise"),
    }
}

/// Corners and triangles of a box, each side divided `divisions` times, facing outward.
pub fn box_mesh(centre: &Point, size: &Point, divisions: usize) -> KeepOutShape {
    let mut vertices = Vec::new();
    let mut triangles = Vec::new();
    for axis in 0..3 {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        for side in [-1.0, 1.0] {
            let first = vertices.len();
            for i in 0..=divisions {
                for j in 0..=divisions {
                    let mut unit = Point::zeros();
                    unit[axis] = side;
                    unit[u] = 2.0 * i as f64 / divisions as f64 - 1.0;
                    unit[v] = 2.0 * j as f64 / divisions as f64 - 1.0;
                    vertices.push(centre + unit.component_mul(size) * 0.5);
                }
            }
            let at = |i: usize, j: usize| first + i * (divisions + 1) + j;
            for i in 0..divisions {
                for j in 0..divisions {
                    let quad = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
                    let [a, b, c, d] = if side > 0.0 {
                        quad
                    } else {
                        [quad[0], quad[3], quad[2], quad[1]]
                    };
                    triangles.push([a, b, c]);
                    triangles.push([a, c, d]);
                }
            }
        }
    }
    KeepOutShape::Mesh {
        vertices,
        triangles,
    }
}

/// Corners and triangles of a ball of `rings` rings of latitude, facing outward.
pub fn ball_mesh(centre: &Point, radius: f64, rings: usize) -> KeepOutShape {
    let (pi, around) = (std::f64::consts::PI, 2 * rings);
    let mut vertices = vec![centre + Point::z() * radius];
    for ring in 1..rings {
        for place in 0..around {
            let polar = pi * ring as f64 / rings as f64;
            let azimuth = 2.0 * pi * place as f64 / around as f64;
            let (sine, cosine) = polar.sin_cos();
            let up = Point::new(sine * azimuth.cos(), sine * azimuth.sin(), cosine);
            vertices.push(centre + up * radius);
        }
    }
    let last = vertices.len();
    vertices.push(centre - Point::z() * radius);
    let at = |ring: usize, place: usize| 1 + (ring - 1) * around + place % around;
    let mut triangles = Vec::new();
    for place in 0..around {
        triangles.push([0, at(1, place), at(1, place + 1)]);
        triangles.push([last, at(rings - 1, place + 1), at(rings - 1, place)]);
        for ring in 1..rings - 1 {
            let [a, b] = [at(ring, place), at(ring, place + 1)];
            let [c, d] = [at(ring + 1, place), at(ring + 1, place + 1)];
            triangles.push([a, c, d]);
            triangles.push([a, d, b]);
        }
    }
    KeepOutShape::Mesh {
        vertices,
        triangles,
    }
}
