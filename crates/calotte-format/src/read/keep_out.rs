//! `[[keep_out]]`: volumes that moving parts keep clear of.

use std::io::Cursor;

use calotte::brief::{KeepOut, KeepOutShape};
use nalgebra::Vector3;

use super::LoadFile;
use super::check::Checker;
use super::fields::Fields;
use super::source::short;

/// Most triangles of a file.
const TRIANGLES_MAX: usize = 2_000_000;

impl Checker<'_> {
    /// `[[keep_out]]`, all of them.
    pub(super) fn keep_outs(&mut self, fields: &Fields, load: LoadFile) -> Option<Vec<KeepOut>> {
        let tables = fields.tables("keep_out");
        let centre = fields
            .table("centre")
            .and_then(|centre| centre.vector("position_mm"));
        if let Some(first) = tables.first()
            && !fields.written("layers")
        {
            self.object(
                first,
                "name",
                None,
                "[[keep_out]] is given without [layers]: no part has a place to keep clear with",
            )
            .hint = "give [layers], and [joints.bearing] for bosses and pins".to_string();
        }
        let mut found: Vec<KeepOut> = Vec::new();
        let mut sound = !fields.refused.contains(&"keep_out");
        for (index, table) in tables.iter().enumerate() {
            let name = table.text("name").unwrap_or_default();
            let taken = |other: &Fields| other.text("name") == Some(name);
            if tables[..index].iter().any(taken) {
                let message = format!("two keep-outs are called \"{}\"", short(name));
                self.object(table, "name", None, message).hint =
                    "results name them; give each its own name".to_string();
            }
            match centre.and_then(|centre| self.keep_out(table, centre, load)) {
                Some(keep_out) => found.push(keep_out),
                None => sound = false,
            }
        }
        sound.then_some(found)
    }

    fn keep_out(
        &mut self,
        fields: &Fields,
        centre: Vector3<f64>,
        load: LoadFile,
    ) -> Option<KeepOut> {
        let name = fields.text("name")?.to_string();
        if name.trim().is_empty() {
            self.object(fields, "name", None, "the keep-out has no name");
            return None;
        }
        if !fields.refused.is_empty() {
            return None;
        }
        let position = fields.vector("position_mm").unwrap_or(centre);
        let shape = match fields.text("shape")? {
            "sphere" => KeepOutShape::Sphere {
                centre: position,
                radius: fields.number("radius_mm")?,
            },
            "cylinder" => {
                let (from, to) = (fields.vector("from_mm")?, fields.vector("to_mm")?);
                if from == to {
                    self.object(fields, "to_mm", None, "the cylinder has no length")
                        .hint = "give two different ends, or shape = \"sphere\"".to_string();
                    return None;
                }
                KeepOutShape::Cylinder {
                    from,
                    to,
                    radius: fields.number("radius_mm")?,
                }
            }
            "box" => KeepOutShape::Box {
                centre: position,
                size: fields.vector("size_mm")?,
            },
            "half-space" => KeepOutShape::HalfSpace {
                normal: calotte::sphere::unit(&fields.vector("normal")?)?,
                at: fields.vector("at_mm")?,
            },
            _ => self.triangles(fields, position, load)?,
        };
        Some(KeepOut {
            name,
            shape,
            tool_may_touch: fields.flag("tool_may_touch")?,
        })
    }

    fn triangles(
        &mut self,
        fields: &Fields,
        position: Vector3<f64>,
        load: LoadFile,
    ) -> Option<KeepOutShape> {
        let file = fields.text("file")?;
        let scale = match fields.text("unit")? {
            "m" => 1.0,
            "inch" => 25.4e-3,
            _ => 1e-3,
        };
        let read = load(file).and_then(|bytes| {
            stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|error| error.to_string())
        });
        let mesh = match read {
            Ok(mesh) => mesh,
            Err(why) => {
                let message = format!("{}: {why}", short(file));
                let problem = self.object(fields, "file", None, message);
                problem.allowed = "a file of triangles, STL, text or binary".to_string();
                problem.hint = "check the name in `file`".to_string();
                return None;
            }
        };
        if mesh.faces.is_empty() || mesh.faces.len() > TRIANGLES_MAX {
            let message = format!("{} holds {} triangles", short(file), mesh.faces.len());
            self.object(fields, "file", None, message).allowed =
                format!("1 to {TRIANGLES_MAX} triangles");
            return None;
        }
        let vertices: Vec<Vector3<f64>> = mesh
            .vertices
            .iter()
            .map(|vertex| {
                let v: [f32; 3] = (*vertex).into();
                position + Vector3::from(v.map(f64::from)) * scale
            })
            .collect();
        if vertices.iter().any(|v| !v.iter().all(|c| c.is_finite())) {
            let message = format!("{} holds a corner that is no finite number", short(file));
            self.object(fields, "file", None, message);
            return None;
        }
        let triangles = mesh.faces.iter().map(|face| face.vertices).collect();
        Some(KeepOutShape::Mesh {
            vertices,
            triangles,
        })
    }
}
