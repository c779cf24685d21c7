//! A plan that keeps to a brief: where configurations lie, what that costs, and what is said of
//! it.

use calotte::analysis::Requirements;
use calotte::brief::Brief;
use calotte::design::Design;
use calotte::measurement::PlanOptions;
use calotte::subject::Subject;
use calotte::surroundings::Surroundings;
use calotte_format::units::radians;
use calotte_report::found::{Planned, plan_document, planned};
use calotte_report::measure::{plan_text, sheet};

const DESIGN: &str = r#"title = "built"
[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [24, 24]
distal_arcs_deg = [24, 24]
joint_radius_mm = 160
[section]
shape = "rectangle"
tangential_mm = 16
radial_mm = 12
[material]
name = "aluminium 6061-T6"
[joints.bearing]
name = "624"
[layers]
arrangement = "two"
[tool]
tip_radius_mm = 100
mass_kg = 0.5
envelope_diameter_mm = 30
"#;

const BRIEF: &str = r#"title = "built"
[region]
shape = "cap"
half_angle_deg = 70
coverage_min = 0.1
[tool]
mass_kg = 0.5
tip_radius_mm = 100
[space]
joint_radius_mm = 160
[limits]
transmission_angle_min_deg = 25
[choice]
families = ["scissor-linkage"]
[joints.bearing]
name = "624"
[layers]
arrangement = "two"
"#;

/// A keep-out to either side of the arm: beyond a polar angle of about 50° only a sector of the
/// azimuth is free.
const SIDES: &str = r#"
[[keep_out]]
name = "left wall"
shape = "box"
position_mm = [0, -270, 40]
size_mm = [800, 400, 140]
[[keep_out]]
name = "right wall"
shape = "box"
position_mm = [0, 270, 40]
size_mm = [800, 400, 140]
[[keep_out]]
name = "back"
shape = "box"
position_mm = [-270, 0, 40]
size_mm = [400, 800, 140]
"#;

fn design(text: &str) -> Design {
    calotte_format::read_design(text).unwrap()
}

fn brief(text: &str) -> Brief {
    let load = |_: &str| Err("no file".to_string());
    calotte_format::read_brief_to_judge(text, &load).unwrap()
}

fn plan(design: &Design, brief: Option<&Brief>) -> Planned {
    planned(design, brief, &PlanOptions::default(), 5e-6).unwrap()
}

/// How many rows come nearer to the keep-outs than allowed, point out of the region, or have
/// less transmission angle than asked for.
fn rows_not_allowed(design: &Design, brief: &Brief, found: &Planned) -> [usize; 2] {
    let requirements = Requirements::from_brief(brief);
    let margins = requirements.margins;
    let subject = Subject::new(design, &requirements.region, margins, margins).unwrap();
    let around = Surroundings::new(
        &subject.design,
        subject.kinematics(),
        &subject.built,
        requirements.obstacles().unwrap(),
        requirements.allowance,
    );
    let range = subject.range().unwrap().unwrap();
    let (mut blocked, mut beyond) = (0, 0);
    for row in &found.made.configurations {
        let pose = subject.kinematics().forward(row.readings).unwrap();
        blocked += usize::from(!around.is_clear(pose.mechanism).unwrap());
        // Readings are rounded to a thousandth of a degree.
        let far = radians(2e-3);
        let inside = |ends: [f64; 2], value: f64| ends[0] - far <= value && value <= ends[1] + far;
        let polar = pose.direction.polar;
        beyond += usize::from(!inside(range.second, pose.mechanism[1]) || polar > radians(70.002));
    }
    [blocked, beyond]
}

#[test]
fn rows_keep_to_a_narrow_sector() {
    let design = design(DESIGN);
    let text = format!("{BRIEF}{SIDES}");
    let narrow = brief(&text);
    let found = plan(&design, Some(&narrow));
    let [blocked, beyond] = rows_not_allowed(&design, &narrow, &found);
    assert_eq!([blocked, beyond], [0, 0]);
    let document = plan_document(&found);
    let cost = document.narrow_range.unwrap();
    assert!(cost.by_brief && !cost.by_drives);
    // Without the brief rows do lie where its walls are.
    let free = plan(&design, None);
    let [blocked, _] = rows_not_allowed(&design, &narrow, &free);
    assert!(blocked > 10, "{blocked}");
    assert_eq!(plan_document(&free).narrow_range, None);
    // Where all that is free lies between walls, straight ways across them are named.
    assert!(!document.rows_not_straight.is_empty());
    let words = plan_text(&found);
    assert!(
        words.contains("the brief narrows where the tool is measured"),
        "{words}"
    );
    assert!(words.contains("too near a keep-out before rows"), "{words}");
    for line in words.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(sheet(&found).unwrap().contains("keep-out"));
}

#[test]
fn a_brief_without_room_is_an_error_and_one_not_looked_at_a_warning() {
    let built = design(DESIGN);
    let everywhere = "\n[[keep_out]]\nname = \"room\"\nshape = \"sphere\"\nradius_mm = 600\n";
    let full = brief(&format!("{BRIEF}{everywhere}"));
    let error = planned(&built, Some(&full), &PlanOptions::default(), 5e-6).unwrap_err();
    assert!(
        error.to_string().contains("keeps clear of its keep-outs"),
        "{error}"
    );
    // Without layers nobody knows where parts are.
    let bare = DESIGN
        .replace("[layers]\narrangement = \"two\"\n", "")
        .replace(
            "[joints.bearing]\nname = \"624\"\n",
            "[joints]\naxial_n_per_m = 3e6\nradial_n_per_m = 6e6\ntilt_nm_per_rad = 300\n",
        )
        .replace("envelope_diameter_mm = 30\n", "");
    let heavier = bare.replace("mass_kg = 0.5", "mass_kg = 0.7");
    let found = plan(&design(&heavier), Some(&full));
    let all = found.warnings.join("\n");
    assert!(
        all.contains("tool mass: the design has 0.700 kg, the brief 0.500 kg"),
        "{all}"
    );
    assert!(all.contains("not looked at"), "{all}");
    assert_eq!(plan_document(&found).warnings, found.warnings);
}

/// Weights go by the brief's forces and limits; what is not held is said at its row.
#[test]
fn weights_keep_to_the_brief_and_warn() {
    let design = design(DESIGN);
    let load = "\n[[load]]\nname = \"press\"\non = \"tip\"\nforce_n = { radial = 8 }\n";
    let limits = |more: &str| BRIEF.replace("[choice]", &format!("{more}\n[choice]")) + load;
    let found = plan(
        &design,
        Some(&brief(&limits("load_holding_torque_nm = 1000"))),
    );
    // 8 N hang 0.816 kg.
    let masses = found.weights.iter().flat_map(|one| &one.masses);
    let heaviest = masses.fold(0.0f64, |most, mass| most.max(*mass));
    assert!((0.4..=8.0 / 9.80665).contains(&heaviest), "{heaviest}");
    let words = plan_text(&found).replace("\n           ", " ");
    assert!(
        words.contains("all weights stay within the 1000 N·m"),
        "{words}"
    );
    let weak = plan(
        &design,
        Some(&brief(&limits("load_holding_torque_nm = 0.05"))),
    );
    let document = plan_document(&weak);
    let not_held: usize = document
        .weights
        .iter()
        .map(|one| one.masses_not_held_kg.len())
        .sum();
    assert!(not_held > 0);
    for one in &document.weights {
        for (mass, torque) in one.masses_kg.iter().zip(&one.torque_nm) {
            let over = torque.iter().any(|one| one.abs() > 0.05);
            assert_eq!(over, one.masses_not_held_kg.contains(mass));
        }
        for (mass, parts) in one.masses_kg.iter().zip(&one.pieces_kg) {
            assert!((parts.iter().sum::<f64>() - mass).abs() < 1e-9);
        }
    }
    let words = plan_text(&weak).replace("\n           ", " ");
    assert!(words.contains("MORE THAN IS HELD, 0.050 N·m"), "{words}");
    assert!(words.contains("WARNING: some weights need more"), "{words}");
    for line in plan_text(&weak).lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let page = sheet(&weak).unwrap();
    assert_eq!(page.matches("NOT HELD").count() > 0, not_held > 0);
    assert!(page.contains("gauge +") && page.matches("<figure>").count() == weak.weights.len());
    // Without a statement the torques are there all the same.
    let unsaid = plan(&design, None);
    assert!(
        plan_text(&unsaid)
            .replace("\n           ", " ")
            .contains("no holding torque is stated")
    );
    let csv = unsaid.weights_csv().unwrap();
    let heading = csv.lines().find(|line| !line.starts_with('#')).unwrap();
    assert!(
        heading.contains(",torque_left_nm,torque_right_nm,displacement_mm"),
        "{heading}"
    );
    // Both sides of each level pull.
    for three in plan_document(&unsaid).weights.chunks(3) {
        let sum = (0..3).map(|k| (three[1].pull[k] + three[2].pull[k]).abs());
        assert!(sum.fold(0.0, f64::max) < 1e-12);
    }
}

/// Filled in as the design itself would answer, the weights agree with it.
#[test]
fn weights_filled_in_as_expected_agree() {
    let design = design(DESIGN);
    let csv = plan(&design, None).weights_csv().unwrap();
    let filled: Vec<String> = csv
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            match cells.get(11) {
                Some(expected) if !line.starts_with('#') && cells[0].parse::<f64>().is_ok() => {
                    format!("{line}{expected}")
                }
                _ => line.to_string(),
            }
        })
        .collect();
    let found =
        calotte_report::found::found_weights(filled.join("\n").as_bytes(), &design, &[]).unwrap();
    assert!(found.read.refused.is_empty(), "{:?}", found.read.refused);
    assert!(found.judged.agrees, "{:?}", found.judged);
    assert!(found.fit.outliers.is_empty());
    // Readings are written with four decimals of a millimetre.
    assert!(found.fit.after.rms < 2e-7, "{}", found.fit.after.rms);
}
