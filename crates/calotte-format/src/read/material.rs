//! `[material]`: a shipped name, values given, or both.

use calotte::Uncertain;
use calotte::stock::{Material, Process, shipped_materials};

use super::check::Checker;
use super::fields::Fields;
use super::source::short;
use super::suggest::nearest;

/// The values of a material.
const VALUES: [&str; 4] = [
    "youngs_modulus_gpa",
    "shear_modulus_gpa",
    "density_kg_m3",
    "yield_mpa",
];

/// Source of values that a file gives without saying where they come from.
const AS_GIVEN: &str = "as given";

impl Checker<'_> {
    /// `[material]`.
    pub(super) fn material(&mut self, fields: &Fields) -> Option<Material> {
        let name = fields.text("name")?;
        let optional = ["process", "creep_factor"];
        if VALUES
            .iter()
            .chain(&optional)
            .any(|value| fields.refused.contains(value))
        {
            return None;
        }
        let [youngs, shear, density, yields] = VALUES.map(|value| fields.band(value));
        let process = fields.text("process").and_then(Process::of_word);
        let creep = fields.band("creep_factor");
        let Some(shipped) = Material::shipped(name) else {
            let (Some(youngs_modulus), Some(shear_modulus), Some(density), Some(yield_strength)) =
                (youngs, shear, density, yields)
            else {
                self.material_unknown(fields, name);
                return None;
            };
            return Some(Material {
                name: name.to_string(),
                youngs_modulus,
                shear_modulus,
                density,
                yield_strength,
                source: fields.text("source").unwrap_or(AS_GIVEN).to_string(),
                process: process.unwrap_or(Process::Milled),
                creep: creep.unwrap_or(Uncertain::exact(1.0)),
            });
        };
        let ratio = shipped.shear_modulus.value / shipped.youngs_modulus.value;
        let mut material = Material {
            youngs_modulus: youngs.unwrap_or(shipped.youngs_modulus),
            shear_modulus: match (youngs, shear) {
                (_, Some(shear)) => shear,
                (Some(youngs), None) => youngs.scaled(ratio),
                (None, None) => shipped.shear_modulus,
            },
            density: density.unwrap_or(shipped.density),
            yield_strength: yields.unwrap_or(shipped.yield_strength),
            creep: creep.unwrap_or(shipped.creep),
            ..shipped.clone()
        };
        let source = fields.text("source");
        if material != shipped {
            material.source = AS_GIVEN.to_string();
        }
        // How it is made is no constant that a source stands behind.
        material.process = process.unwrap_or(shipped.process);
        if let Some(source) = source {
            material.source = source.to_string();
        }
        Some(material)
    }

    /// A name that the table does not hold, without all values.
    fn material_unknown(&mut self, fields: &Fields, name: &str) {
        let missing: Vec<&str> = VALUES
            .into_iter()
            .filter(|value| !fields.given(value))
            .collect();
        let names: Vec<String> = shipped_materials().into_iter().map(|m| m.name).collect();
        let close = nearest(name, &names);
        let message = format!(
            "material \"{}\" is not in the shipped table, and {} {} missing",
            short(name),
            missing.join(", "),
            if missing.len() == 1 { "is" } else { "are" }
        );
        let problem = self.object(fields, "name", None, message);
        problem.allowed = format!(
            "{}, or any name with all four values",
            crate::keys::describe::quoted(&names)
        );
        problem.hint = match close {
            Some(close) => format!("write \"{close}\", or give {}", missing.join(", ")),
            None => format!("give {}", missing.join(", ")),
        };
    }
}

/// The source that a material gets when its values are read back without one.
pub(crate) fn implied_source(material: &Material) -> String {
    let Some(shipped) = Material::shipped(&material.name) else {
        return AS_GIVEN.to_string();
    };
    let same = Material {
        source: shipped.source.clone(),
        process: shipped.process,
        ..material.clone()
    };
    if same == shipped {
        shipped.source
    } else {
        AS_GIVEN.to_string()
    }
}
