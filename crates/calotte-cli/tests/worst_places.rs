//! Worst values and ranges of small invented cases, as the command line prints them.

mod common;

use common::{calotte, folder_with, json};
use serde_json::Value;

/// A scissor linkage on a level base axis; the zero of azimuth is where `reference` points.
fn level(reference: &str) -> String {
    format!(
        r#"[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [24, 24]
distal_arcs_deg = [24, 24]
bends_deg = [0]
joint_radius_mm = 150
[section]
shape = "rectangle"
tangential_mm = 12
radial_mm = 6
[material]
name = "aluminium 6061-T6"
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 300
[drives]
layout = "swing-and-opening"
[tool]
mass_kg = 0.8
centre_of_mass_radius_mm = 165
[mount]
axis = [1, 0, 0]
reference = {reference}
"#
    )
}

/// Its distal arcs of the second stage pass each other's line by 0.24° within the region.
const DIP: &str = r#"
linkage = { family = "scissor-linkage", proximal_arcs_deg = [30, 24], distal_arcs_deg = [35, 30], bends_deg = [119.190469], joint_radius_mm = 150 }
section = { shape = "rectangle", tangential_mm = 12, radial_mm = 6 }
material = { name = "aluminium 6061-T6" }
joints = { axial_n_per_m = 3e6, radial_n_per_m = 6e6, tilt_nm_per_rad = 300 }
drives = { layout = "two-bars" }
tool = { tip_radius_mm = 100 }
"#;

const DIP_BRIEF: &str = r#"
region = { shape = "band", polar_from_deg = 15, polar_to_deg = 60, coverage_min = 0.1 }
tool = { tip_radius_mm = 100 }
limits = { transmission_angle_min_deg = 0.24 }
[[load]]
name = "azimuth"
on = "tip"
force_n = { azimuth = 1 }
"#;

/// Tool and linkage balance each other; the density of the one and the mass of the other are
/// uncertain. `{density}` and `{mass}` are put in.
const COUNTERWEIGHT: &str = r#"
linkage = { family = "scissor-linkage", proximal_arcs_deg = [24, 24], distal_arcs_deg = [24, 24], bends_deg = [0], joint_radius_mm = 150 }
section = { shape = "rectangle", tangential_mm = 20, radial_mm = 16 }
joints = { axial_n_per_m = 3e6, radial_n_per_m = 6e6, tilt_nm_per_rad = 300, boss_diameter_mm = 18, mass_kg = 0.03 }
drives = { layout = "swing-and-opening" }
mount = { axis = [1, 0, 0] }
material = { name = "aluminium 6061-T6", youngs_modulus_gpa = 68.9, shear_modulus_gpa = 26, density_kg_m3 = {density}, yield_mpa = {yield} }
tool = { mass_kg = {mass}, centre_of_mass_radius_mm = -90, tip_radius_mm = 100 }
"#;

fn counterweight(density: &str, mass: &str, yields: &str) -> String {
    COUNTERWEIGHT
        .replace("{density}", density)
        .replace("{mass}", mass)
        .replace("{yield}", yields)
}

fn cap(limits: &str) -> String {
    format!(
        r#"
region = {{ shape = "cap", axis = [1, 0, 0], half_angle_deg = 80, coverage_min = 0.5 }}
tool = {{ mass_kg = 0.8, centre_of_mass_radius_mm = -90, tip_radius_mm = 100 }}
{limits}
"#
    )
}

fn analysed(design: &str, brief: Option<&str>) -> Value {
    let folder = folder_with(&[("design.toml", design), ("brief.toml", brief.unwrap_or(""))]);
    let mut arguments = vec!["analyse", "design.toml", "--json"];
    if brief.is_some() {
        arguments.extend(["--brief", "brief.toml"]);
    }
    json(&calotte(folder.path(), &arguments))
}

fn row<'a>(document: &'a Value, quantity: &str) -> &'a Value {
    let rows = document["requirements"].as_array().expect("rows");
    rows.iter()
        .find(|row| row["quantity"] == quantity)
        .expect("the row")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn turning_the_zero_of_azimuth_changes_no_value() {
    let [one, other] = ["[0, 1, 0]", "[0, 0.9659258262890683, 0.25881904510252074]"]
        .map(|reference| analysed(&level(reference), None));
    let rows = one["requirements"].as_array().expect("rows").iter();
    for (a, b) in rows.zip(other["requirements"].as_array().expect("rows")) {
        let values = a.as_object().expect("a row").iter();
        for (key, a) in values.filter(|(key, _)| key.starts_with("predicted")) {
            let (Some(a), Some(b)) = (a.as_f64(), b[key].as_f64()) else {
                continue;
            };
            // An angle of 1e-10° on a singular end is nothing.
            assert!((a - b).abs() <= 1e-9 * a.abs() + 1e-9, "{key}: {a} {b}");
        }
    }
    assert!((number(&row(&one, "sag")["predicted_mm"]) - 1.714).abs() < 1e-3);
    assert!((number(&row(&one, "holding_torque")["predicted_nm"]) - 1.3856).abs() < 1e-4);
    assert_eq!(one["grid"]["exact_over_azimuth"], true);
}

#[test]
fn a_dip_between_two_polar_angles_is_found() {
    let document = analysed(DIP, Some(DIP_BRIEF));
    let stiffness =
        number(&row(&document, "minimum_translational_stiffness")["predicted_n_per_mm"]);
    assert!(stiffness <= 0.0448, "{stiffness}");
    let deflection = number(&row(&document, "contact_deflection")["predicted_mm"]);
    assert!(deflection >= 22.3, "{deflection}");
    let left = number(&document["grid"]["between_polar_angles_at_most"]);
    assert!((0.0..=1e-3).contains(&left), "{left}");
}

#[test]
fn worst_angles_and_distances_are_those_of_the_required_region() {
    let document = analysed(DIP, Some(DIP_BRIEF));
    let singularity = &document["singularity"];
    // The range ends at 74.8° where the limit is; the region ends at 60°.
    let range = &singularity["working_range"];
    assert!((number(&range["transmission_angle_min_deg"]) - 0.24).abs() < 1e-6);
    let polar = number(&singularity["transmission_angle_min_polar_deg"]);
    assert!((15.0..=60.0).contains(&polar), "{polar}");
    let least = number(&singularity["transmission_angle_min_deg"]);
    assert!(least >= number(&range["transmission_angle_min_deg"]));
    let row = row(&document, "transmission_angle");
    assert_eq!(
        row["predicted_deg"],
        singularity["transmission_angle_min_deg"]
    );
    let beyond = number(&singularity["type_1_distance_deg"]);
    assert!(beyond > number(&range["type_1_distance_deg"]));
}

#[test]
fn without_a_transmission_limit_elastic_values_keep_20_degrees() {
    let design = counterweight("2700", "0.8", "276");
    let limited = analysed(
        &design,
        Some(&cap("limits = { transmission_angle_min_deg = 20 }")),
    );
    let free = analysed(&design, Some(&cap("")));
    for (quantity, key) in [
        ("minimum_translational_stiffness", "predicted_n_per_mm"),
        ("sag", "predicted_mm"),
        ("holding_torque", "predicted_nm"),
    ] {
        assert_eq!(
            row(&limited, quantity)[key],
            row(&free, quantity)[key],
            "{quantity}"
        );
    }
    assert!(
        number(&row(&free, "coverage")["predicted"])
            > number(&row(&limited, "coverage")["predicted"])
    );
    let folder = folder_with(&[("design.toml", &design), ("brief.toml", &cap(""))]);
    let printed = calotte(
        folder.path(),
        &["analyse", "design.toml", "--brief", "brief.toml"],
    );
    let text = String::from_utf8(printed.stdout).expect("text");
    let words: Vec<&str> = text.split_whitespace().collect();
    let said = "over polar 17.7° to 94.7°, where the transmission angle is at least 20°";
    assert!(words.join(" ").contains(said), "{text}");
}

/// Both ends of every range are what `analyse` finds for the inputs named.
#[test]
fn each_end_of_a_range_comes_with_its_inputs() {
    let brief = cap("limits = { transmission_angle_min_deg = 20 }");
    let band =
        |value: f64, from: f64, to: f64| format!("{{ value = {value}, from = {from}, to = {to} }}");
    let design = counterweight(
        &band(2700.0, 2000.0, 3500.0),
        &band(0.8, 0.6, 1.0),
        &band(276.0, 240.0, 276.0),
    );
    let document = analysed(&design, Some(&brief));
    let torque = row(&document, "holding_torque");
    assert!(number(&torque["band_nm"][1]) >= 0.420, "{torque}");
    let rows = document["requirements"].as_array().expect("rows").iter();
    let mut ranged = Vec::new();
    for found in rows.filter(|row| row["band_inputs"].is_array()) {
        let fields = found.as_object().expect("a row");
        let (key, band) = fields
            .iter()
            .find(|(key, _)| {
                key.starts_with("band") && !["band_inputs", "band_met"].contains(&key.as_str())
            })
            .expect("a band");
        let predicted = key.replace("band", "predicted");
        for end in 0..2 {
            let value = |key: &str| {
                let inputs = found["band_inputs"][end].as_array().expect("inputs").iter();
                let input = inputs.into_iter().find(|input| input["key"] == key);
                number(&input.expect("the input")["value"]).to_string()
            };
            let there = counterweight(
                &value("material.density_kg_m3"),
                &value("tool.mass_kg"),
                &value("material.yield_mpa"),
            );
            let there = there.replacen(
                "linkage = { ",
                &format!(
                    "linkage = {{ short_bar_stiffness_factor = {}, ",
                    value("linkage.short_bar_stiffness_factor")
                ),
                1,
            );
            assert!(there.contains("short_bar_stiffness_factor"), "{there}");
            let there = analysed(&there, Some(&brief));
            let there =
                number(&row(&there, found["quantity"].as_str().expect("a name"))[&predicted]);
            assert!(
                (there / number(&band[end]) - 1.0).abs() < 1e-9,
                "{key} {end}: {there} {band}"
            );
        }
        ranged.push(found["quantity"].as_str().expect("a name"));
    }
    let wanted = [
        "sag",
        "sag_centre_shift",
        "holding_torque",
        "safety_factor_yield",
        "moving_mass",
        "minimum_translational_stiffness",
    ];
    for quantity in wanted {
        assert!(ranged.contains(&quantity), "{quantity}: {ranged:?}");
    }
}
