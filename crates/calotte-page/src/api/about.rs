//! What does not depend on any design: materials, words, cautions.

use axum::Json;
use calotte::analysis::map::Variable;
use calotte::brief::FamilyName;
use calotte::quantity::Quantity;
use calotte::stock::shipped_materials;
use calotte_format::map_request::names;
use calotte_format::safety::{FIRST, Safety};
use calotte_report::safety;

use super::design_answer::design_table;
use super::wire::{AboutAnswer, ColourRow, MaterialRow, QuantityRow, VariableRow};

/// Materials, words and cautions.
pub(crate) async fn about() -> Json<AboutAnswer> {
    Json(AboutAnswer {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        materials: materials(),
        first: FIRST.to_owned(),
        safety: safety::document(Safety::general()),
        variables: Variable::ALL
            .iter()
            .map(|(variable, word)| {
                let (least, greatest) = names::allowed(*variable);
                VariableRow {
                    word: (*word).to_owned(),
                    label: names::label(*variable).to_owned(),
                    unit: names::unit(*variable).symbol().to_owned(),
                    least,
                    greatest,
                }
            })
            .collect(),
        quantities: Quantity::MAPS.map(quantity_row).to_vec(),
        colours: Quantity::COLOURS
            .into_iter()
            .filter_map(|quantity| {
                let facts = quantity.facts();
                let colour = facts.colour?;
                let curve = facts.curves.last().filter(|_| !quantity.is_per_load());
                Some(ColourRow {
                    word: colour.word.to_owned(),
                    choice: colour.choice.to_owned(),
                    per_load: quantity.is_per_load(),
                    curve: curve.map(|curve| curve.choice.to_owned()),
                })
            })
            .collect(),
        brief_template: calotte_format::brief_template().to_owned(),
    })
}

/// A quantity of a map with its label and unit.
pub(super) fn quantity_row(quantity: Quantity) -> QuantityRow {
    let shown = names::quantity(quantity, false);
    QuantityRow {
        word: quantity.word().to_owned(),
        label: shown.label.to_owned(),
        unit: shown.unit.to_owned(),
    }
}

/// The materials shipped, each as the table a design file would hold.
fn materials() -> Vec<MaterialRow> {
    shipped_materials()
        .iter()
        .filter_map(|material| {
            Some(MaterialRow {
                name: material.name.clone(),
                table: design_table(&smallest(&material.name))?
                    .get("material")?
                    .clone(),
            })
        })
        .collect()
}

/// The smallest design of a material: a carrier to have tables written out by the one
/// writer of design files.
fn smallest(material: &str) -> String {
    format!(
        r#"
linkage = {{ family = "{family}", arcs_deg = [60, 60], joint_radius_mm = 150 }}
section = {{ shape = "rod", diameter_mm = 8 }}
joints = {{ rigid = true }}
tool = {{ tip_radius_mm = 150 }}

[material]
name = {material:?}
"#,
        family = FamilyName::TWO_ARC_ARM.name()
    )
}

#[cfg(test)]
mod tests {
    #[test]
    fn every_material_shipped_has_its_table() {
        let rows = super::materials();
        assert_eq!(rows.len(), calotte::stock::shipped_materials().len());
        for row in rows {
            assert_eq!(row.table["name"], row.name.as_str());
            assert!(
                row.table["youngs_modulus_gpa"].is_number()
                    || row.table["youngs_modulus_gpa"].is_object()
            );
        }
    }
}
