//! The directions a tool must reach: shapes, excluded zones, areas.
//!
//! A region answers one question exactly: which azimuths about the base axis
//! belong to it at a given polar angle. Coverage and means over the region are
//! then one-dimensional integrals over the polar angle, split where that set
//! of azimuths changes its form.

use std::f64::consts::{PI, TAU};

use nalgebra::{Matrix3, Vector3};

use super::direction::{Direction, any_perpendicular, arc_between, unit};
use super::enclosing::smallest_cap_axis;
use super::error::RegionError;
use super::interval::AzimuthSet;
use super::polygon::Polygon;
use super::quadrature::integrate_pieces;

/// Directions needed, in a stated frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// The shape before zones are taken out.
    pub shape: Shape,
    /// Zones taken out of it.
    pub excluded: Vec<Exclusion>,
}

/// The shape of a region.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// All directions within an angle of an axis.
    Cap {
        /// Unit axis.
        axis: Vector3<f64>,
        /// Half-angle, rad, in (0, π].
        half_angle: f64,
    },
    /// All directions between two angles from an axis.
    Band {
        /// Unit axis.
        axis: Vector3<f64>,
        /// Inner angle, rad.
        polar_from: f64,
        /// Outer angle, rad.
        polar_to: f64,
    },
    /// The inside of a polygon of great-circle edges.
    Polygon(Polygon),
    /// Single directions, unit vectors, equal weights.
    Points(Vec<Vector3<f64>>),
}

/// A cap taken out of the region, with the reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Exclusion {
    /// Unit axis.
    pub axis: Vector3<f64>,
    /// Half-angle, rad.
    pub half_angle: f64,
    /// Why it is not needed.
    pub why: String,
}

/// A circle on the sphere: axis and angle from it.
type Circle = (Vector3<f64>, f64);

impl Region {
    /// A cap without excluded zones.
    pub fn cap(axis: Vector3<f64>, half_angle: f64) -> Self {
        Self {
            shape: Shape::Cap { axis, half_angle },
            excluded: Vec::new(),
        }
    }

    /// The same region seen in another frame: every vector turned by `rotation`.
    pub fn rotated(&self, rotation: &Matrix3<f64>) -> Self {
        let shape = match &self.shape {
            Shape::Cap { axis, half_angle } => Shape::Cap {
                axis: rotation * axis,
                half_angle: *half_angle,
            },
            Shape::Band {
                axis,
                polar_from,
                polar_to,
            } => Shape::Band {
                axis: rotation * axis,
                polar_from: *polar_from,
                polar_to: *polar_to,
            },
            Shape::Polygon(polygon) => Shape::Polygon(polygon.rotated(rotation)),
            Shape::Points(points) => Shape::Points(points.iter().map(|p| rotation * p).collect()),
        };
        let excluded = self
            .excluded
            .iter()
            .map(|zone| Exclusion {
                axis: rotation * zone.axis,
                half_angle: zone.half_angle,
                why: zone.why.clone(),
            })
            .collect();
        Self { shape, excluded }
    }

    /// Whether a direction belongs to the region.
    pub fn contains(&self, direction: &Vector3<f64>) -> bool {
        let inside = match &self.shape {
            Shape::Cap { axis, half_angle } => arc_between(axis, direction) <= *half_angle,
            Shape::Band {
                axis,
                polar_from,
                polar_to,
            } => {
                let polar = arc_between(axis, direction);
                *polar_from <= polar && polar <= *polar_to
            }
            Shape::Polygon(polygon) => polygon.contains(direction),
            Shape::Points(points) => points.iter().any(|p| arc_between(p, direction) < 1e-9),
        };
        inside && !self.is_excluded(direction)
    }

    /// Whether a direction lies in an excluded zone.
    pub fn is_excluded(&self, direction: &Vector3<f64>) -> bool {
        self.excluded
            .iter()
            .any(|zone| arc_between(&zone.axis, direction) < zone.half_angle)
    }

    /// The single directions of a region of points that are not excluded; empty for other shapes.
    pub fn points(&self) -> Vec<Vector3<f64>> {
        match &self.shape {
            Shape::Points(points) => points
                .iter()
                .filter(|p| !self.is_excluded(p))
                .copied()
                .collect(),
            _ => Vec::new(),
        }
    }

    /// Whether the region is a set of single directions.
    pub fn is_points(&self) -> bool {
        matches!(self.shape, Shape::Points(_))
    }

    /// Azimuths about the frame's z axis that belong to the region at a polar
    /// angle, rad. Empty for a region of points.
    pub fn azimuths_at(&self, polar: f64) -> AzimuthSet {
        let mut set = match &self.shape {
            Shape::Cap { axis, half_angle } => cap_azimuths(axis, *half_angle, polar),
            Shape::Band {
                axis,
                polar_from,
                polar_to,
            } => cap_azimuths(axis, *polar_to, polar).difference(&cap_azimuths(
                axis,
                *polar_from,
                polar,
            )),
            Shape::Polygon(polygon) => polygon_azimuths(polygon, polar),
            Shape::Points(_) => AzimuthSet::empty(),
        };
        for zone in &self.excluded {
            set = set.difference(&cap_azimuths(&zone.axis, zone.half_angle, polar));
        }
        set
    }

    /// Polar angles in (0, π) at which the set of azimuths changes its form,
    /// ascending: the ends of every boundary circle and the crossings of any two.
    pub fn polar_breaks(&self) -> Vec<f64> {
        let circles = self.boundary_circles();
        let mut breaks = Vec::new();
        for (axis, angle) in &circles {
            let polar = Direction::of(axis).polar;
            breaks.push((polar - angle).abs());
            let far = polar + angle;
            breaks.push(if far > PI { TAU - far } else { far });
        }
        for (index, first) in circles.iter().enumerate() {
            for second in &circles[index + 1..] {
                breaks.extend(circle_crossings(first, second).map(|p| Direction::of(&p).polar));
            }
        }
        if let Shape::Polygon(polygon) = &self.shape {
            breaks.extend(polygon.vertices().iter().map(|v| Direction::of(v).polar));
        }
        breaks.retain(|b| *b > 0.0 && *b < PI);
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        breaks
    }

    /// Area, sr; for a region of points their number.
    pub fn area(&self) -> f64 {
        if self.is_points() {
            return self.points().len() as f64;
        }
        integrate_pieces(0.0, PI, &self.polar_breaks(), |polar| {
            self.azimuths_at(polar).measure() * polar.sin()
        })
    }

    /// Least and greatest polar angle of the region about the frame's z axis, rad.
    ///
    /// # Errors
    /// [`RegionError::Empty`] if nothing is left.
    pub fn polar_extent(&self) -> Result<[f64; 2], RegionError> {
        if self.is_points() {
            let polars: Vec<f64> = self
                .points()
                .iter()
                .map(|p| Direction::of(p).polar)
                .collect();
            return match (
                polars.iter().copied().reduce(f64::min),
                polars.iter().copied().reduce(f64::max),
            ) {
                (Some(lo), Some(hi)) => Ok([lo, hi]),
                _ => Err(RegionError::Empty),
            };
        }
        let mut ends = vec![0.0];
        ends.extend(self.polar_breaks());
        ends.push(PI);
        let mut extent: Option<[f64; 2]> = None;
        for pair in ends.windows(2) {
            let middle = 0.5 * (pair[0] + pair[1]);
            if pair[1] - pair[0] > 1e-12 && !self.azimuths_at(middle).is_empty() {
                extent = Some(match extent {
                    None => [pair[0], pair[1]],
                    Some([lo, _]) => [lo, pair[1]],
                });
            }
        }
        extent.ok_or(RegionError::Empty)
    }

    /// The region's own axis: that of the smallest cap that holds its shape, whatever is taken
    /// out of it. Directions all around the sphere have none; their mean stands for it.
    pub fn axis(&self) -> Vector3<f64> {
        let of = |directions: &[Vector3<f64>]| {
            smallest_cap_axis(directions)
                .or_else(|| unit(&directions.iter().sum::<Vector3<f64>>()))
                .unwrap_or_else(Vector3::z)
        };
        match &self.shape {
            Shape::Cap { axis, .. } | Shape::Band { axis, .. } => *axis,
            Shape::Polygon(polygon) => polygon.axis(),
            Shape::Points(points) => of(points),
        }
    }

    /// Refuses a region that holds nothing.
    ///
    /// # Errors
    /// [`RegionError::Empty`].
    pub fn validate(&self) -> Result<(), RegionError> {
        if self.area() > 1e-9 {
            Ok(())
        } else {
            Err(RegionError::Empty)
        }
    }

    fn boundary_circles(&self) -> Vec<Circle> {
        let mut circles: Vec<Circle> = match &self.shape {
            Shape::Cap { axis, half_angle } => vec![(*axis, *half_angle)],
            Shape::Band {
                axis,
                polar_from,
                polar_to,
            } => vec![(*axis, *polar_from), (*axis, *polar_to)],
            Shape::Polygon(polygon) => polygon_edges(polygon)
                .filter_map(|(a, b)| super::direction::unit(&a.cross(&b)))
                .map(|normal| (normal, 0.5 * PI))
                .collect(),
            Shape::Points(_) => Vec::new(),
        };
        circles.extend(self.excluded.iter().map(|z| (z.axis, z.half_angle)));
        circles
    }
}

fn polygon_edges(polygon: &Polygon) -> impl Iterator<Item = (Vector3<f64>, Vector3<f64>)> + '_ {
    let vertices = polygon.vertices();
    (0..vertices.len()).map(move |i| (vertices[i], vertices[(i + 1) % vertices.len()]))
}

/// Azimuths at a polar angle within a half-angle of an axis.
fn cap_azimuths(axis: &Vector3<f64>, half_angle: f64, polar: f64) -> AzimuthSet {
    let centre = Direction::of(axis);
    let across = polar.sin() * centre.polar.sin();
    let along = polar.cos() * centre.polar.cos();
    let needed = half_angle.cos() - along;
    if across.abs() < 1e-15 {
        // The circle of latitude lies wholly at one angle from the axis.
        return if arc_on_axis(centre.polar, polar) <= half_angle {
            AzimuthSet::full()
        } else {
            AzimuthSet::empty()
        };
    }
    let cosine = needed / across;
    if cosine <= -1.0 {
        AzimuthSet::full()
    } else if cosine >= 1.0 {
        AzimuthSet::empty()
    } else {
        AzimuthSet::around(centre.azimuth, cosine.acos())
    }
}

fn arc_on_axis(axis_polar: f64, polar: f64) -> f64 {
    (axis_polar - polar).abs()
}

/// Azimuths at a polar angle inside a polygon: crossings with every edge's
/// great circle split the circle of latitude, one test point decides each part.
fn polygon_azimuths(polygon: &Polygon, polar: f64) -> AzimuthSet {
    let mut ends: Vec<f64> = vec![0.0, TAU];
    for (a, b) in polygon_edges(polygon) {
        if let Some(normal) = super::direction::unit(&a.cross(&b)) {
            for interval in cap_azimuths(&normal, 0.5 * PI, polar).intervals() {
                ends.extend_from_slice(interval);
            }
        }
    }
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| (*a - *b).abs() < 1e-13);
    let mut set = AzimuthSet::empty();
    for pair in ends.windows(2) {
        let middle = Direction {
            polar,
            azimuth: 0.5 * (pair[0] + pair[1]),
        };
        if polygon.contains(&middle.vector()) {
            set = set
                .complement()
                .difference(&AzimuthSet::between(pair[0], pair[1]))
                .complement();
        }
    }
    set
}

/// The points shared by two circles on the sphere, none, one or two.
fn circle_crossings(
    (first_axis, first_angle): &Circle,
    (second_axis, second_angle): &Circle,
) -> impl Iterator<Item = Vector3<f64>> {
    let dot = first_axis.dot(second_axis);
    let scale = 1.0 - dot * dot;
    let mut points = Vec::new();
    if scale > 1e-14 {
        let (c1, c2) = (first_angle.cos(), second_angle.cos());
        let along =
            first_axis * ((c1 - c2 * dot) / scale) + second_axis * ((c2 - c1 * dot) / scale);
        let rest = 1.0 - along.norm_squared();
        if rest >= 0.0 {
            let across = first_axis.cross(second_axis) * (rest / scale).sqrt();
            points.push(along + across);
            points.push(along - across);
        }
    }
    points.into_iter()
}

/// A small regular polygon of directions about an axis, for outlines.
pub fn circle_outline(axis: &Vector3<f64>, half_angle: f64, count: usize) -> Vec<Vector3<f64>> {
    let u = any_perpendicular(axis);
    let v = axis.cross(&u);
    let (sine, cosine) = half_angle.sin_cos();
    (0..=count)
        .map(|i| {
            let (s, c) = (TAU * i as f64 / count as f64).sin_cos();
            axis * cosine + (u * c + v * s) * sine
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tilted() -> Vector3<f64> {
        Direction {
            polar: 1.1,
            azimuth: 0.7,
        }
        .vector()
    }

    #[test]
    fn cap_area_is_its_formula_wherever_it_lies() {
        for axis in [Vector3::z(), tilted(), -Vector3::z()] {
            for half_angle in [0.2, 1.0, 2.0] {
                let area = Region::cap(axis, half_angle).area();
                let exact = TAU * (1.0 - half_angle.cos());
                assert!((area - exact).abs() < 1e-9 * exact, "{area} {exact}");
            }
        }
    }

    #[test]
    fn excluded_zone_that_crosses_the_edge_takes_only_its_part() {
        // Two caps of equal size whose axes are their radius apart: the same
        // lens is taken out whichever of the two is the region.
        let (a, b) = (Vector3::z(), tilted());
        let region = |shape_axis, zone_axis| Region {
            shape: Shape::Cap {
                axis: shape_axis,
                half_angle: 0.8,
            },
            excluded: vec![Exclusion {
                axis: zone_axis,
                half_angle: 0.8,
                why: String::new(),
            }],
        };
        let (first, second) = (region(a, b).area(), region(b, a).area());
        assert!((first - second).abs() < 1e-9);
        assert!(first < Region::cap(a, 0.8).area() - 0.01);
    }

    #[test]
    fn polygon_area_is_its_spherical_excess() {
        let vertices: Vec<_> = [(0.5, 0.1), (1.2, 0.3), (0.9, 1.4)]
            .iter()
            .map(|(polar, azimuth)| {
                Direction {
                    polar: *polar,
                    azimuth: *azimuth,
                }
                .vector()
            })
            .collect();
        let side = |i: usize, j: usize| arc_between(&vertices[i], &vertices[j]);
        let excess = super::super::triangle::excess_from_sides(side(0, 1), side(1, 2), side(2, 0));
        let region = Region {
            shape: Shape::Polygon(Polygon::new(vertices.clone()).unwrap()),
            excluded: Vec::new(),
        };
        assert!((region.area() - excess).abs() < 1e-9 * excess);
    }

    #[test]
    fn band_upside_down_and_covered_cap_are_empty() {
        let band = Region {
            shape: Shape::Band {
                axis: Vector3::z(),
                polar_from: 1.0,
                polar_to: 0.5,
            },
            excluded: Vec::new(),
        };
        assert_eq!(band.validate(), Err(RegionError::Empty));
    }

    /// What a corner more on an edge, or a point given twice, says again changes nothing.
    #[test]
    fn a_region_said_in_more_words_is_the_same() {
        let corner = |polar: f64, azimuth: f64| Direction { polar, azimuth }.vector();
        let mut vertices = vec![corner(0.45, -0.8), corner(0.5, 0.9), corner(1.1, 0.6)];
        let polygon = |vertices: &[Vector3<f64>]| Region {
            shape: Shape::Polygon(Polygon::new(vertices.to_vec()).unwrap()),
            excluded: Vec::new(),
        };
        let plain = polygon(&vertices);
        let on_edge = |a: usize, b: usize, share: f64| {
            (vertices[a] * (1.0 - share) + vertices[b] * share).normalize()
        };
        let (first, second) = (on_edge(0, 1, 0.2), on_edge(0, 1, 0.7));
        let third = on_edge(2, 0, 0.4);
        vertices.insert(1, first);
        vertices.insert(2, second);
        vertices.push(third);
        assert_eq!(polygon(&vertices), plain);
        vertices.rotate_left(2);
        assert!(arc_between(&polygon(&vertices).axis(), &plain.axis()) < 1e-12);
        // The mean of the corners does move.
        let mean = |vertices: &[Vector3<f64>]| vertices.iter().sum::<Vector3<f64>>().normalize();
        let Shape::Polygon(kept) = &plain.shape else {
            panic!("a polygon");
        };
        assert!(arc_between(&mean(&vertices), &mean(kept.vertices())) > 0.05);
        let points = |points: &[Vector3<f64>]| Region {
            shape: Shape::Points(points.to_vec()),
            excluded: Vec::new(),
        };
        let few = points(kept.vertices());
        assert!(arc_between(&few.axis(), &plain.axis()) < 1e-12);
        assert!(arc_between(&points(&vertices).axis(), &plain.axis()) < 1e-12);
    }

    /// A cap's axis is that of the smallest cap that holds it, so that one rule names all.
    #[test]
    fn outlines_of_a_cap_have_its_axis() {
        // The last repeats the first.
        let outline = circle_outline(&tilted(), 0.6, 12)[..12].to_vec();
        let region = Region {
            shape: Shape::Polygon(Polygon::new(outline).unwrap()),
            excluded: Vec::new(),
        };
        assert!(arc_between(&region.axis(), &tilted()) < 1e-7);
    }

    #[test]
    fn crossing_polygon_is_refused() {
        let corner = |polar: f64, azimuth: f64| Direction { polar, azimuth }.vector();
        let bow = vec![
            corner(0.3, 0.0),
            corner(0.3, 3.0),
            corner(0.3, 1.5),
            corner(0.3, 4.5),
        ];
        assert!(matches!(
            Polygon::new(bow),
            Err(RegionError::CrossingEdges(..))
        ));
    }
}
