//! `[section]` and the sections of a choice.

use calotte::stock::Section;

use super::check::Checker;
use super::fields::Fields;

/// Most sections a choice may hold.
const SECTIONS_MAX: usize = 10_000;

impl Checker<'_> {
    /// `[section]`.
    pub(super) fn section(&mut self, fields: &Fields) -> Option<Section> {
        let shape = fields.text("shape")?;
        if fields.refused.contains(&"wall_mm") {
            return None;
        }
        let number = |name: &str| fields.number(name);
        let or_infinite = |name: &str| {
            let refused = fields.refused.contains(&name);
            (!refused).then(|| fields.number(name).unwrap_or(f64::INFINITY))
        };
        let section = match shape {
            "rectangle" => {
                let (tangential, radial) = (number("tangential_mm")?, number("radial_mm")?);
                match number("wall_mm") {
                    None => Section::Rectangle { tangential, radial },
                    Some(wall) => Section::RectangleTube {
                        tangential,
                        radial,
                        wall,
                    },
                }
            }
            "tube" => Section::Tube {
                outer_diameter: number("outer_diameter_mm")?,
                inner_diameter: number("inner_diameter_mm")?,
            },
            "rod" => Section::Rod {
                diameter: number("diameter_mm")?,
            },
            _ => Section::Custom {
                axial: number("axial_n")?,
                bending_in_plane: number("bending_in_plane_nm2")?,
                bending_out_of_plane: number("bending_out_of_plane_nm2")?,
                torsional: number("torsional_nm2")?,
                shear_in_plane: or_infinite("shear_in_plane_n")?,
                shear_out_of_plane: or_infinite("shear_out_of_plane_n")?,
                mass_per_length: number("mass_per_length_kg_m")?,
                radial: number("radial_mm")?,
                tangential: number("tangential_mm")?,
            },
        };
        self.hollow(fields, &section)?;
        Some(section)
    }

    /// Refuses a wall or an inner diameter that leaves no hollow.
    fn hollow(&mut self, fields: &Fields, section: &Section) -> Option<()> {
        if section.validate().is_ok() {
            return Some(());
        }
        let (name, message, hint) = match section {
            Section::RectangleTube { .. } => (
                "wall_mm",
                "the wall leaves no hollow",
                "a wall is below half of the smaller size; leave `wall_mm` out for a solid rectangle",
            ),
            Section::Tube { .. } => (
                "inner_diameter_mm",
                "the inner diameter is not below the outer",
                "for a solid round write shape = \"rod\" with diameter_mm",
            ),
            _ => (
                "shape",
                "no section can have these sizes",
                "check the sizes",
            ),
        };
        self.object(fields, name, None, message).hint = hint.to_string();
        None
    }

    /// The sections of `[choice.section]`: every combination of the sizes, the
    /// first size of the table of keys changing slowest. Sizes that make no
    /// section are left out.
    pub(super) fn sections(&mut self, fields: &Fields) -> Option<Vec<Section>> {
        let shape = fields.text("shape")?;
        if fields.refused.contains(&"wall_mm") {
            return None;
        }
        let sizes: Vec<&[f64]> = match shape {
            "rectangle" => {
                let mut sizes = vec![
                    fields.numbers("tangential_mm")?,
                    fields.numbers("radial_mm")?,
                ];
                sizes.extend(fields.numbers("wall_mm"));
                sizes
            }
            "tube" => vec![
                fields.numbers("outer_diameter_mm")?,
                fields.numbers("inner_diameter_mm")?,
            ],
            _ => vec![fields.numbers("diameter_mm")?],
        };
        let count = sizes.iter().map(|list| list.len() as f64).product::<f64>();
        if count > SECTIONS_MAX as f64 {
            let problem = self.object(
                fields,
                "shape",
                None,
                format!("the sizes make {count} sections"),
            );
            problem.allowed = format!("at most {SECTIONS_MAX} combinations of sizes");
            problem.hint = "take larger steps or shorter lists".to_string();
            return None;
        }
        let sections: Vec<Section> = combinations(&sizes)
            .iter()
            .map(|sizes| section_of(shape, sizes))
            .filter(|section| section.validate().is_ok())
            .collect();
        if sections.is_empty() {
            let problem = self.object(fields, "shape", None, "none of the sizes makes a section");
            problem.allowed =
                "a wall below half of the smaller size, an inner diameter below the outer"
                    .to_string();
            problem.hint = "widen the sizes".to_string();
            return None;
        }
        Some(sections)
    }
}

/// The section of a shape with sizes in the order of the table of keys.
fn section_of(shape: &str, sizes: &[f64]) -> Section {
    match (shape, sizes) {
        ("rectangle", [tangential, radial]) => Section::Rectangle {
            tangential: *tangential,
            radial: *radial,
        },
        ("rectangle", [tangential, radial, wall]) => Section::RectangleTube {
            tangential: *tangential,
            radial: *radial,
            wall: *wall,
        },
        ("tube", [outer_diameter, inner_diameter]) => Section::Tube {
            outer_diameter: *outer_diameter,
            inner_diameter: *inner_diameter,
        },
        (_, sizes) => Section::Rod {
            diameter: sizes.first().copied().unwrap_or(0.0),
        },
    }
}

/// Every combination of one entry of each list, the first list changing slowest.
fn combinations(lists: &[&[f64]]) -> Vec<Vec<f64>> {
    lists.iter().fold(vec![Vec::new()], |begun, list| {
        begun
            .iter()
            .flat_map(|begun| {
                list.iter().map(|entry| {
                    let mut longer = begun.clone();
                    longer.push(*entry);
                    longer
                })
            })
            .collect()
    })
}
