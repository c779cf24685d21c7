//! Files that are right: what is read from them.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};
use std::fs;
use std::path::Path;

use calotte::brief::{Brief, Directions, FamilyName, LoadPlace, LoadVector, Range, Sought};
use calotte::design::{
    Design, Drive, DriveLayout, EachFamily, Family, FiveBar, RidesOn, ScissorLinkage, Support,
    ToolCarrier, TwoArcArm,
};
use calotte::quantity::Quantity;
use calotte::sphere::Shape;
use calotte::stock::{Material, Section};
use calotte::uncertain::Uncertain;
use calotte_format::{
    FormatError, brief_template, read_brief, read_brief_to_judge, read_design, text_of,
};
use nalgebra::Vector3;

fn valid(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/valid")
        .join(name);
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn brief_of(text: &str) -> Result<Brief, FormatError> {
    read_brief(text, &|name| Ok(valid(name).into_bytes()))
}

fn brief(name: &str) -> Brief {
    brief_of(&valid(name)).unwrap_or_else(|error| panic!("{}", error.in_file(name)))
}

/// What a scissor linkage is described by.
struct Scissor;

impl<'f> EachFamily<'f> for Scissor {
    type Answer = &'f ScissorLinkage;
    fn scissor_linkage(self, scissor: &'f ScissorLinkage) -> Self::Answer {
        scissor
    }
    fn two_arc_arm(self, arm: &'f TwoArcArm) -> Self::Answer {
        panic!("{arm:?}")
    }
    fn five_bar(self, five_bar: &'f FiveBar) -> Self::Answer {
        panic!("{five_bar:?}")
    }
}

fn scissor_of(design: &Design) -> &ScissorLinkage {
    design.family.each(Scissor)
}

fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-15 * wanted.abs()
}

#[test]
fn a_scissor_linkage_is_read_in_si() {
    let design = read_design(&valid("scissor.toml")).unwrap();
    let scissor = scissor_of(&design);
    assert!(near(scissor.proximal_arcs[0], 23.5 * PI / 180.0));
    assert!(near(scissor.distal_arcs[1], PI / 6.0));
    assert!(near(scissor.bends[0], -PI / 40.0));
    assert_eq!(scissor.assembly_modes, [1, -1]);
    assert_eq!(design.joint_radius, 0.15);
    assert_eq!(
        design.section,
        Section::RectangleTube {
            tangential: 0.012,
            radial: 0.006,
            wall: 0.0015
        }
    );
    let stiffness = design.joints.stiffness.unwrap();
    assert_eq!(stiffness.axial, Uncertain::band(3e6, 1.5e6, 6e6));
    assert_eq!(stiffness.radial, Uncertain::exact(6e6));
    assert_eq!(design.joints.boss_diameter, 0.016);
    assert_eq!(design.joints.mass, 0.02);
    let releases: Vec<_> = design
        .joints
        .releases
        .iter()
        .map(|release| (release.joint.as_str(), release.axial, release.tilt))
        .collect();
    assert_eq!(
        releases,
        [("side-left-1", true, false), ("side-right-1", true, true)]
    );
    assert_eq!(design.drives.layout, DriveLayout::SwingAndOpening);
    assert_eq!(design.drives.ratio, [1.0, -2.5]);
    assert!(near(
        design.drives.range.second.unwrap()[1],
        170.0 * PI / 180.0
    ));
    let [swing, opening] = &design.drives.each;
    assert_eq!(swing.stiffness, Some(Uncertain::exact(200.0)));
    assert_eq!((&swing.mass, &swing.rides_on), (&None, &RidesOn::Joint));
    assert_eq!(
        opening.stiffness,
        Some(Uncertain::band(150.0, 100.0, 300.0))
    );
    assert_eq!(opening.mass, Some(Uncertain::exact(0.4)));
    assert_eq!(opening.rides_on, RidesOn::Bar("base-right".to_string()));
    assert_eq!(design.tool.carried_by, ToolCarrier::Bisector);
    assert_eq!(design.tool.mass, Some(Uncertain::band(0.8, 0.7, 1.0)));
    assert_eq!(design.tool.grip_radius, Some(0.19));
    assert_eq!(design.tool.roll, -FRAC_PI_2);
    assert_eq!(design.mount.position, Vector3::new(0.0, 0.0254, 0.3));
    let Some(Support::Column {
        at_radius, length, ..
    }) = design.mount.support
    else {
        panic!("no column");
    };
    assert_eq!((at_radius, length), (0.15, 0.4));
}

/// Young's modulus alone keeps the table's Poisson's ratio, its band included.
#[test]
fn a_shipped_material_keeps_its_poisson_ratio() {
    let material = read_design(&valid("scissor.toml")).unwrap().material;
    let shipped = Material::shipped("PA12 laser-sintered").unwrap();
    assert_eq!(
        material.youngs_modulus,
        Uncertain::band(1.7e9, 1.4e9, 1.9e9)
    );
    assert!((material.poisson_ratio() - shipped.poisson_ratio()).abs() < 1e-12);
    let ratio = shipped.shear_modulus.value / shipped.youngs_modulus.value;
    assert!(near(material.shear_modulus.low, 1.4e9 * ratio));
    assert_eq!(material.density, shipped.density);
    assert_eq!(material.source, "as given");
    let plain = read_design(&valid("arm.toml")).unwrap().material;
    assert_eq!(Some(plain), Material::shipped("stainless steel 304"));
}

#[test]
fn the_fewest_keys_of_a_design_give_the_stated_defaults() {
    let design = read_design(&valid("arm.toml")).unwrap();
    assert_eq!(design.title, "untitled");
    assert_eq!(design.joints.stiffness, None);
    assert_eq!(
        (design.joints.boss_diameter, design.joints.mass),
        (0.0, 0.0)
    );
    assert_eq!(design.drives.layout, DriveLayout::TwoBars);
    assert_eq!(design.drives.ratio, [1.0, 1.0]);
    assert_eq!(design.drives.range.first, None);
    assert_eq!(design.drives.each, [Drive::default(), Drive::default()]);
    assert_eq!(design.tool.carried_by, ToolCarrier::Left);
    assert_eq!(design.tool.tip_radius, 0.2);
    assert_eq!(design.tool.centre_of_mass_radius, 0.2);
    assert_eq!((design.tool.bracket_arc, design.tool.roll), (0.0, 0.0));
    assert_eq!((design.tool.mass, design.tool.grip_radius), (None, None));
    assert_eq!(design.mount, calotte::design::Mount::default());
}

#[test]
fn custom_sections_springs_and_other_ways_to_write_numbers() {
    let design = read_design(&valid("custom_section.toml")).unwrap();
    assert_eq!(design.family.family_name(), FamilyName::TWO_ARC_ARM);
    let arcs = design.family.branch_arcs();
    assert!(near(arcs[0], PI / 3.0) && near(arcs[1], 55.0 * PI / 180.0));
    assert_eq!(design.joint_radius, 0.2);
    let Section::Custom {
        shear_in_plane,
        shear_out_of_plane,
        mass_per_length,
        ..
    } = design.section
    else {
        panic!("{:?}", design.section);
    };
    assert_eq!((shear_in_plane, mass_per_length), (1.5e6, 0.2));
    assert_eq!(shear_out_of_plane, f64::INFINITY);
    assert!(near(design.drives.range.first.unwrap()[0], -FRAC_PI_2));
    // The axis is x, so azimuth 0 is at y unless the file says otherwise.
    assert_eq!(design.mount.reference, Vector3::y());
    let Some(Support::Springs {
        at_radius, lateral, ..
    }) = design.mount.support
    else {
        panic!("no springs");
    };
    assert_eq!(at_radius, -0.05);
    assert_eq!(lateral, Uncertain::band(5e6, 4e6, 5e6));
}

#[test]
fn a_whole_brief_is_read_in_si() {
    let brief = brief("brief_full.toml");
    assert!(!brief.people_near);
    assert_eq!(brief.coverage_min, 0.98);
    assert_eq!(brief.centre, Vector3::new(0.01, 0.0, -0.02));
    let radii = Range {
        from: 0.14,
        to: 0.19,
        step: 0.01,
    };
    assert_eq!(brief.joint_radius, radii);
    assert_eq!(brief.tool.centre_of_mass_radius, 0.1);
    assert_eq!(brief.loads[0].loads[0].on, LoadPlace::Tip);
    assert_eq!(
        brief.loads[0].loads[0].force,
        LoadVector::Local(Vector3::new(0.0, 0.0, 8.0))
    );
    let bar = LoadPlace::Bar {
        name: "bar-left-1".to_string(),
        fraction: 0.25,
    };
    assert_eq!(brief.loads[1].loads[0].on, bar);
    assert_eq!(
        brief.loads[1].loads[0].force,
        LoadVector::World(Vector3::new(0.0, 0.0, -5.0))
    );
    assert_eq!(
        brief.loads[1].loads[0].moment,
        LoadVector::Local(Vector3::new(0.2, -0.1, 0.0))
    );
    assert_eq!(brief.limits.get(Quantity::ContactDeflection), Some(0.5e-3));
    assert!(near(
        brief.limits.get(Quantity::TransmissionAngle).unwrap(),
        PI / 9.0
    ));
    assert_eq!(brief.limits.get(Quantity::Gci), Some(0.4));
    let choice = &brief.choice;
    assert_eq!(choice.families, [FamilyName::SCISSOR_LINKAGE]);
    assert_eq!(choice.stages, [2, 3]);
    assert_eq!(choice.arc.values().len(), 1);
    assert_eq!(choice.bend.values().len(), 13);
    assert_eq!(choice.arm_arc.values().len(), 15);
    assert_eq!(choice.mount_tilt, [0.0, FRAC_PI_2]);
    assert!(near(choice.mount_tilt_towards, PI / 6.0));
    let objectives: Vec<_> = brief
        .objectives
        .iter()
        .map(|objective| (objective.quantity, objective.maximise))
        .collect();
    let wanted = [
        (Quantity::Stiffness, true),
        (Quantity::Coverage, true),
        (Quantity::MovingMass, false),
        (Quantity::Sag, false),
    ];
    assert_eq!(objectives, wanted);
}

/// A region between the probes is found by its area, however narrow.
#[test]
fn narrow_regions_are_regions_and_empty_ones_are_not() {
    let text = |polar_to: &str| {
        valid("brief_small.toml")
            .replace("polar_to_deg = 75", &format!("polar_to_deg = {polar_to}"))
    };
    assert!(brief_of(&text("20.000001")).is_ok());
    let error = brief_of(&text("20.000000001")).unwrap_err();
    assert!(error.problems[0].message.contains("too small"), "{error}");
}

/// Directions that are sought, loads that act together and limits of one load by its name.
#[test]
fn loads_of_any_direction_act_together_and_have_limits_of_their_own() {
    let text = valid("brief_full.toml").replace(
        "[limits]",
        "[[load]]\nname = \"hand\"\non = \"grip\"\n\
         force_n = { size = 15, direction = \"any inward\" }\n\
         [[together]]\nname = \"both\"\nloads = [\"hand\", \"press\"]\n\
         [limits]\nload = [{ name = \"both\", centre_shift_mm = 0.3 }]",
    );
    let brief = brief_of(&text).unwrap();
    let names: Vec<&str> = brief.loads.iter().map(|case| case.name.as_str()).collect();
    assert_eq!(names, ["press", "push on a bar", "hand", "both"]);
    let hand = &brief.loads[2].loads[0];
    let sought = Sought {
        size: 15.0,
        directions: Directions::Inward,
    };
    assert_eq!(hand.force, LoadVector::Any(sought));
    assert_eq!(hand.on, LoadPlace::Grip);
    let press = &brief.loads[0].loads[0];
    assert_eq!(brief.loads[3].loads, [hand.clone(), press.clone()]);
    let own = |case: usize| brief.loads[case].limits.get(Quantity::CentreShift);
    assert_eq!([0, 1, 2, 3].map(own), [None, None, None, Some(0.3e-3)]);
    for (words, wanted) in [
        ("any", Directions::All),
        ("any tangential", Directions::Tangential),
    ] {
        let brief = brief_of(&text.replace("any inward", words)).unwrap();
        let LoadVector::Any(sought) = brief.loads[2].loads[0].force else {
            panic!("{words}");
        };
        assert_eq!(sought.directions, wanted);
    }
}

/// Names of bars are those that results print; a slip of one is no new name.
#[test]
fn loads_act_on_bars_by_their_names() {
    let text = valid("brief_full.toml");
    for name in ["base-left", "bar-right-12", "second-arc"] {
        let brief = brief_of(&text.replace("bar-left-1", name)).unwrap();
        assert!(
            matches!(&brief.loads[1].loads[0].on, LoadPlace::Bar { name: found, .. } if found == name)
        );
    }
    for name in [
        "bar-lfet-1",
        "bar-left-",
        "bar-left-0",
        "bar-left-+1",
        "bar-left-01",
        "base",
        "",
    ] {
        let error = brief_of(&text.replace("bar-left-1", name)).unwrap_err();
        assert_eq!(error.problems.len(), 1, "{name}: {error}");
        assert_eq!(error.problems[0].key, "load[2].on");
    }
}

/// Every combination that is a tube, the outer diameter changing slowest:
/// (10, 8), (12, 8), (12, 10), (14, 8), (14, 10), (14, 12).
#[test]
fn sections_come_in_the_stated_order() {
    let sizes: Vec<(f64, f64)> = brief("brief_full.toml")
        .choice
        .sections
        .iter()
        .map(|section| match section {
            Section::Tube {
                outer_diameter,
                inner_diameter,
            } => (*outer_diameter, *inner_diameter),
            other => panic!("{other:?}"),
        })
        .collect();
    let wanted = [
        (0.010, 0.008),
        (0.012, 0.008),
        (0.012, 0.010),
        (0.014, 0.008),
        (0.014, 0.010),
        (0.014, 0.012),
    ];
    assert_eq!(sizes, wanted);
}

#[test]
fn directions_are_taken_about_the_axis_from_the_reference() {
    let region = brief("brief_full.toml").region;
    let Shape::Polygon(polygon) = &region.shape else {
        panic!("{:?}", region.shape);
    };
    // Axis z, reference y: azimuth 0 lies towards y, azimuth 90° towards -x.
    let (sine, cosine) = (20.0 * PI / 180.0).sin_cos();
    assert!((polygon.vertices()[0] - Vector3::new(0.0, sine, cosine)).norm() < 1e-15);
    assert!(polygon.vertices()[1].x < 0.0);
    assert!(near(region.excluded[0].axis.y, 0.5f64.sqrt()));
    assert_eq!(region.excluded[0].why, "clamp in the way");

    let points = brief("brief_points.toml").region.points();
    assert_eq!(points.len(), 3);
    let (sine, cosine) = (-40.5 * PI / 180.0).sin_cos();
    assert!((points[2] - Vector3::new(cosine, sine, 0.0)).norm() < 1e-15);
}

#[test]
fn the_fewest_keys_of_a_brief_give_the_stated_defaults() {
    let brief = brief("brief_small.toml");
    assert!(brief.people_near);
    assert_eq!(brief.coverage_min, 1.0);
    assert_eq!(brief.joint_radius.values(), [0.15]);
    assert_eq!(brief.tool.tip_radius, 0.15);
    assert_eq!(brief.joints, None);
    assert!(brief.loads.is_empty());
    assert_eq!(brief.limits, calotte::brief::Limits::default());
    let choice = &brief.choice;
    assert_eq!(
        choice.families,
        [FamilyName::SCISSOR_LINKAGE, FamilyName::TWO_ARC_ARM]
    );
    assert_eq!(choice.stages, [1, 2, 3, 4]);
    assert_eq!(choice.arc.values().len(), 105);
    assert_eq!(choice.bend.values(), [0.0]);
    assert_eq!(choice.arm_arc.values().len(), 15);
    assert_eq!(choice.materials[0].name, "aluminium 6061-T6");
    let section = Section::Rectangle {
        tangential: 0.012,
        radial: 0.006,
    };
    assert_eq!(choice.sections, [section]);
    assert_eq!(choice.mount_tilt, [0.0]);
    assert_eq!(choice.drive_layouts, [DriveLayout::TwoBars]);
    // Without joints there is no stiffness to weigh.
    let names: Vec<_> = brief.objectives.iter().map(|o| o.quantity.word()).collect();
    assert_eq!(names, ["gci", "moving-mass"]);
    let with_joints = format!("{}\n[joints]\nrigid = true\n", valid("brief_small.toml"));
    let names: Vec<_> = brief_of(&with_joints)
        .unwrap()
        .objectives
        .iter()
        .map(|o| o.quantity.word())
        .collect();
    assert_eq!(names, ["stiffness", "gci", "moving-mass"]);
}

#[test]
fn a_brief_that_judges_a_design_needs_no_joints() {
    let text = format!("{}\n[limits]\nsag_mm = 2\n", valid("brief_small.toml"));
    assert!(brief_of(&text).is_err());
    let brief = read_brief_to_judge(&text, &|name| Err(name.to_string())).unwrap();
    assert_eq!(brief.limits.get(Quantity::Sag), Some(0.002));
}

#[test]
fn the_template_is_a_brief() {
    let brief = brief_of(brief_template()).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(brief.loads.len(), 2);
    assert_eq!(brief.choice.sections.len(), 9);
    assert!(brief.tool.mass.unwrap().is_band());
    assert!(near(brief.region.excluded[0].half_angle, PI / 15.0));
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_change_nothing() {
    let plain = valid("scissor.toml");
    let other = format!("\u{feff}{}", plain.replace('\n', "\r\n"));
    assert_eq!(read_design(&other).unwrap(), read_design(&plain).unwrap());
    let broken = other.replace("joint_radius_mm = 150", "joint_radius_mm = 0");
    let problem = &read_design(&broken).unwrap_err().problems[0];
    assert_eq!((problem.line, problem.column), (9, 19));
}

#[test]
fn bytes_that_are_no_text_are_named() {
    let text = valid("arm.toml").replace("# The", "title = \"Ger\u{e4}t\"\n# The");
    assert!(text_of(text.as_bytes()).is_ok());
    let latin: Vec<u8> = text
        .chars()
        .map(|c| u8::try_from(u32::from(c)).expect("a letter of Latin 1"))
        .collect();
    let error = text_of(&latin).unwrap_err();
    let problem = &error.problems[0];
    assert_eq!((problem.line, problem.column), (1, 13));
    assert!(
        problem.message.contains("byte 12 (value 0xe4"),
        "{}",
        problem.message
    );
    assert!(problem.hint.contains("UTF-8"));
}

#[test]
fn a_text_too_large_is_refused() {
    let text = "# x\n".repeat(300_000);
    let error = read_design(&text).unwrap_err();
    assert!(error.problems[0].message.contains("1200000 bytes"));
}

/// Decimal numbers become the numbers nearest to them, not neighbours.
#[test]
fn decimals_are_converted_exactly() {
    let text = valid("arm.toml")
        .replace("= 200", "= 23.1")
        .replace("[70, 55]", "[90, 45]");
    let design = read_design(&text).unwrap();
    assert_eq!(design.joint_radius, 0.0231);
    assert_eq!(design.family, Family::two_arc_arm([FRAC_PI_2, FRAC_PI_4]));
}
