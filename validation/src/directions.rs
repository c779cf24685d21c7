//! Areas and means over caps, bands and polygons of directions.

use calotte::sphere::Region;
use calotte::sphere::polygon::Polygon;
use calotte::sphere::region::Shape;
use nalgebra::Vector3;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::DEGREE;

const CAP: Source = Source::derived(file::SPHERE, "integral of 2π sin θ over the polar angle");
const ZONE: Source = Source::derived(
    file::SPHERE,
    "integral of 2π sin θ between the polar angles",
);
const OCTANT: Source = Source::derived(
    file::SPHERE,
    "an eighth of the integral of 2π sin θ over the sphere",
);
const LHUILIER: Source = Source::derived(
    file::SPHERE,
    "sum of the angles by the cosine rule, less π, of the triangle of sides 50°, 60° and 70°",
);

pub(crate) fn checks() -> Vec<Check> {
    let tilted = Vector3::new(1.0, 2.0, 2.0).normalize();
    let octant = Polygon::new(vec![Vector3::x(), Vector3::y(), Vector3::z()]);
    let band = Shape::Band {
        axis: tilted,
        polar_from: 30.0 * DEGREE,
        polar_to: 60.0 * DEGREE,
    };
    let area = |shape: Shape| {
        Region {
            shape,
            excluded: Vec::new(),
        }
        .area()
    };
    let cap = |axis| Region::cap(axis, 60.0 * DEGREE).area();
    let polygon = |p: Result<Polygon, _>| p.map_or(f64::NAN, |p| area(Shape::Polygon(p)));
    [
        (
            &CAP,
            "D01-1",
            "cap of 60°, base axis",
            3.141592653589793,
            cap(Vector3::z()),
        ),
        (
            &CAP,
            "D01-2",
            "cap of 60°, tilted",
            3.141592653589793,
            cap(tilted),
        ),
        (
            &ZONE,
            "D02",
            "band 30° to 60°, tilted",
            2.29980543911286,
            area(band),
        ),
        (
            &OCTANT,
            "D03",
            "octant as a polygon",
            1.5707963267948966,
            polygon(octant),
        ),
        (
            &LHUILIER,
            "D04",
            "polygon of sides 50/60/70°",
            0.5215638270245845,
            polygon(Polygon::new(triangle())),
        ),
    ]
    .into_iter()
    .map(|(source, id, what, reference, value)| {
        source.check(
            id,
            format!("area: {what}"),
            "sr",
            [reference, value],
            Tolerance::Relative(1e-9),
        )
    })
    .collect()
}

/// Vertices of a triangle of sides 50°, 60° and 70°, turned away from the axes.
fn triangle() -> Vec<Vector3<f64>> {
    let [a, b, c] = [50.0 * DEGREE, 60.0 * DEGREE, 70.0 * DEGREE];
    // C on z; b and a are its neighbours' distances; the angle between them by the cosine rule.
    let angle = ((c.cos() - a.cos() * b.cos()) / (a.sin() * b.sin())).acos();
    let turn = nalgebra::Rotation3::from_euler_angles(0.4, 0.3, 0.2);
    vec![
        turn * Vector3::z(),
        turn * Vector3::new(b.sin(), 0.0, b.cos()),
        turn * Vector3::new(a.sin() * angle.cos(), a.sin() * angle.sin(), a.cos()),
    ]
}
