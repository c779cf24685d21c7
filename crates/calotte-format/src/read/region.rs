//! `[region]` and `[[exclude]]`.

use std::f64::consts::PI;

use calotte::sphere::polygon::Polygon;
use calotte::sphere::{Direction, Exclusion, Region, RegionError, Shape, unit};
use nalgebra::{Matrix3, Vector3};

use super::LoadFile;
use super::check::Checker;
use super::fields::Fields;
use super::source::short;
use crate::units::Unit;

/// Most directions of a file of points.
const POINTS_MAX: usize = 100_000;

impl Checker<'_> {
    /// The region with its zones taken out; refuses one that is empty.
    pub(super) fn region(&mut self, fields: &Fields, load_file: LoadFile) -> Option<Region> {
        let region_fields = fields.table("region");
        let shape = region_fields.and_then(|region| self.shape(region, load_file));
        let excluded = self.exclusions(fields);
        let region = Region {
            shape: shape?,
            excluded: excluded?,
        };
        if !holds_a_probe(&region) && region.validate().is_err() {
            self.empty_region(fields, &region);
            return None;
        }
        Some(region)
    }

    /// Refuses a region of no directions.
    fn empty_region(&mut self, fields: &Fields, region: &Region) {
        if let Some(table) = fields.table("region")
            && region.excluded.is_empty()
        {
            let message = "the region is too small: less than a billionth of a steradian";
            self.object(table, "shape", None, message).hint =
                "widen it, or name single directions with shape = \"points\"".to_string();
            return;
        }
        let message = "the region is empty: its excluded zones leave no direction";
        let problem = self.object(fields, "exclude", None, message);
        problem.allowed = "zones that leave part of the region".to_string();
        problem.hint = "take smaller zones, or leave one out".to_string();
    }

    fn shape(&mut self, fields: &Fields, load_file: LoadFile) -> Option<Shape> {
        match fields.text("shape")? {
            "cap" => Some(Shape::Cap {
                axis: self.unit_axis(fields)?,
                half_angle: fields.number("half_angle_deg")?,
            }),
            "band" => self.band_shape(fields),
            "polygon" => self.polygon(fields),
            _ => self.points(fields, load_file),
        }
    }

    fn band_shape(&mut self, fields: &Fields) -> Option<Shape> {
        let axis = self.unit_axis(fields)?;
        let polar_from = fields.number("polar_from_deg")?;
        let polar_to = fields.number("polar_to_deg")?;
        if polar_from >= polar_to {
            let [from, to] = [polar_from, polar_to].map(|si| Unit::Degree.write(si));
            let message =
                format!("the band is upside down: polar from {from}° is not below polar to {to}°");
            self.object(fields, "polar_from_deg", None, message).hint =
                "polar_from_deg is the angle nearer to the axis".to_string();
            return None;
        }
        Some(Shape::Band {
            axis,
            polar_from,
            polar_to,
        })
    }

    /// The rotation whose columns are the region's x, y and z in the world.
    fn region_frame(&mut self, fields: &Fields) -> Option<Matrix3<f64>> {
        let (axis, reference) = self.axis_and_reference(fields)?;
        let z = unit(&axis)?;
        let x = unit(&(reference - z * z.dot(&reference)))?;
        Some(Matrix3::from_columns(&[x, z.cross(&x), z]))
    }

    fn polygon(&mut self, fields: &Fields) -> Option<Shape> {
        let frame = self.region_frame(fields);
        let pairs = fields.pairs("vertices_deg")?;
        let vertices = directions(&frame?, pairs);
        match Polygon::new(vertices) {
            Ok(polygon) => Some(Shape::Polygon(polygon)),
            Err(error) => {
                let (item, message) = match error {
                    RegionError::RepeatedVertex(number) => (
                        Some(number - 1),
                        format!("vertex {number} repeats its neighbour"),
                    ),
                    RegionError::CrossingEdges(first, second) => (
                        Some(first - 1),
                        format!("the edges after vertex {first} and vertex {second} cross"),
                    ),
                    RegionError::PolygonTooWide => (
                        None,
                        "the polygon does not fit into a hemisphere".to_string(),
                    ),
                    other => (None, other.to_string()),
                };
                self.object(fields, "vertices_deg", item, message);
                None
            }
        }
    }

    fn points(&mut self, fields: &Fields, load_file: LoadFile) -> Option<Shape> {
        let frame = self.region_frame(fields);
        let both = "points_deg = [[polar, azimuth], …] or file = \"points.csv\"";
        let pairs = match (fields.written("points_deg"), fields.written("file")) {
            (true, true) => {
                let problem = self.object(
                    fields,
                    "file",
                    None,
                    "points are given in the brief and in a file",
                );
                problem.allowed = both.to_string();
                problem.hint = "keep one of the two".to_string();
                return None;
            }
            (false, false) => {
                let problem = self.object(fields, "points_deg", None, "the region has no points");
                problem.allowed = both.to_string();
                problem.hint = "write points_deg = [[20, 0], [70, 40]] or name a file".to_string();
                return None;
            }
            (true, false) => fields.pairs("points_deg")?.to_vec(),
            (false, true) => self.points_of_file(fields, load_file)?,
        };
        Some(Shape::Points(directions(&frame?, &pairs)))
    }

    fn points_of_file(&mut self, fields: &Fields, load_file: LoadFile) -> Option<Vec<[f64; 2]>> {
        let file = fields.text("file")?;
        let text = load_file(file).and_then(|bytes| {
            String::from_utf8(bytes).map_err(|_| format!("{} is not text", short(file)))
        });
        let read = text
            .map_err(|why| (why, "check the name in `file`".to_string()))
            .and_then(|text| {
                points_of(&text).map_err(|(line, why)| {
                    (
                        format!("{}, line {line}: {why}", short(file)),
                        "after the header come lines such as 20,0: polar angle from the axis, azimuth"
                            .to_string(),
                    )
                })
            });
        match read {
            Ok(points) => Some(points),
            Err((message, hint)) => {
                let problem = self.object(fields, "file", None, message);
                problem.allowed =
                    "a CSV file with the header polar_deg,azimuth_deg, polar 0° to 180°, azimuth -360° to 360°"
                        .to_string();
                problem.hint = hint;
                None
            }
        }
    }

    fn exclusions(&mut self, fields: &Fields) -> Option<Vec<Exclusion>> {
        if fields.refused.contains(&"exclude") {
            return None;
        }
        fields
            .tables("exclude")
            .iter()
            .map(|zone| {
                Some(Exclusion {
                    axis: self.unit_axis(zone)?,
                    half_angle: zone.number("half_angle_deg")?,
                    why: zone.text("why")?.to_string(),
                })
            })
            .collect()
    }
}

/// Whether one of many evenly spread directions lies in the region. The exact
/// area of a polygon with many corners and zones takes seconds, and is needed
/// only where every one of them misses.
fn holds_a_probe(region: &Region) -> bool {
    const PROBES: u32 = 2000;
    let golden_angle = PI * (3.0 - 5.0_f64.sqrt());
    !region.is_points()
        && (0..PROBES).any(|index| {
            let height = 1.0 - (2.0 * f64::from(index) + 1.0) / f64::from(PROBES);
            let direction = Direction {
                polar: height.acos(),
                azimuth: f64::from(index) * golden_angle,
            };
            region.contains(&direction.vector())
        })
}

/// Unit vectors of directions `[polar, azimuth]` in a frame.
fn directions(frame: &Matrix3<f64>, pairs: &[[f64; 2]]) -> Vec<Vector3<f64>> {
    pairs
        .iter()
        .map(|[polar, azimuth]| {
            let direction = Direction {
                polar: *polar,
                azimuth: *azimuth,
            };
            frame * direction.vector()
        })
        .collect()
}

/// Directions of a CSV text, rad; an error gives its line.
fn points_of(text: &str) -> Result<Vec<[f64; 2]>, (usize, String)> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut header_seen = false;
    let mut points = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let fail = |why: String| (index + 1, why);
        let line = line.split('#').next().unwrap_or("").trim();
        if line.is_empty() {
            continue;
        }
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        if !header_seen {
            if cells != ["polar_deg", "azimuth_deg"] {
                return Err(fail("the header is not polar_deg,azimuth_deg".to_string()));
            }
            header_seen = true;
            continue;
        }
        let [polar, azimuth] = cells[..] else {
            return Err(fail(format!("{} columns instead of 2", cells.len())));
        };
        points.push([
            angle(polar, "polar angle", 0.0, 180.0).map_err(fail)?,
            angle(azimuth, "azimuth", -360.0, 360.0).map_err(|why| (index + 1, why))?,
        ]);
        if points.len() > POINTS_MAX {
            return Err((index + 1, format!("more than {POINTS_MAX} points")));
        }
    }
    if points.is_empty() {
        let line = text.lines().count().max(1);
        return Err((line, "the file has no points".to_string()));
    }
    Ok(points)
}

/// An angle of a cell, rad.
fn angle(cell: &str, name: &str, low: f64, high: f64) -> Result<f64, String> {
    let degrees = cell.parse::<f64>().ok().filter(|number| number.is_finite());
    match (degrees, Unit::Degree.read(cell)) {
        (Some(degrees), Some(radians)) if (low..=high).contains(&degrees) => Ok(radians),
        (Some(_), _) => Err(format!("{name} {cell}° is outside {low}° to {high}°")),
        (None, _) => Err(format!("{name} \"{}\" is not a number", short(cell))),
    }
}
