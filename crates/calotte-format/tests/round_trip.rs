//! Whatever design is written reads back as the very same design.

use calotte::Uncertain;
use calotte::design::{
    Design, Drive, DriveLayout, DriveRange, Drives, Elbows, Family, FiveBar, JointProperties,
    JointStiffness, Mount, NamedRelease, OwnJoints, OwnSection, RidesOn, ScissorLinkage, SectionOf,
    Support, Tool, ToolCarrier,
};
use calotte::family::parameters::Capability;
use calotte::measurement::{PhysicalModel, calibrated};
use calotte::stock::{Material, Process, Section, shipped_materials};
use calotte_format::words::steers;
use calotte_format::{read_design, tidied, write_design};
use nalgebra::Vector3;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

/// A number with a band as wide as nothing or up to half of it.
fn uncertain(low: f64, high: f64) -> impl Strategy<Value = Uncertain> {
    (low..high, 0.0..0.5, 0.0..0.5, any::<bool>()).prop_map(
        move |(value, below, above, exact): (f64, f64, f64, bool)| {
            if exact {
                Uncertain::exact(value)
            } else {
                let from = (value * (1.0 - below)).max(low);
                Uncertain::band(value, from, value * (1.0 + above))
            }
        },
    )
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-zA-Z0-9 ]{1,12}",
        "\\PC{0,12}".prop_map(|text| text.replace(steers, " ")),
        Just("a\"b\\c d\'e # = [é]".to_string())
    ]
}

/// What left and right have of an angle: nothing, much apart, or hardly.
fn own() -> impl Strategy<Value = Option<[f64; 2]>> {
    prop_oneof![
        Just(None),
        [0.01..3.1, 0.01..3.1].prop_map(Some),
        (0.01..3.0, 1e-12..1e-3).prop_map(|(left, by)| Some([left, left + by])),
    ]
}

fn scissor() -> impl Strategy<Value = Family> {
    (1usize..=6)
        .prop_flat_map(|stages| {
            (
                vec(0.01..3.1, stages),
                vec(0.01..3.1, stages),
                vec(-3.0..3.0, stages - 1),
                vec(prop_oneof![Just(1i8), Just(-1i8)], stages),
                vec(own(), 3 * stages - 1),
            )
        })
        .prop_map(|(proximal_arcs, distal_arcs, bends, assembly_modes, own)| {
            let mut scissor = ScissorLinkage {
                proximal_arcs,
                distal_arcs,
                bends,
                assembly_modes,
                sides: Default::default(),
            };
            for (angle, own) in scissor.paired_angles().into_iter().zip(own) {
                if let Some(both) = own {
                    scissor.state(angle, both);
                }
            }
            Family::scissor_linkage(scissor)
        })
}

fn family() -> impl Strategy<Value = Family> {
    let arm = [0.01..3.1, 0.01..3.1].prop_map(Family::two_arc_arm);
    let pair = || [0.01..3.1, 0.01..3.1];
    let five_bar = (0.01..3.1, pair(), pair(), 0usize..3).prop_map(
        |(base_arc, proximal_arcs, distal_arcs, mode)| {
            Family::five_bar(FiveBar {
                base_arc,
                proximal_arcs,
                distal_arcs,
                elbows: Elbows::ALL[mode],
            })
        },
    );
    prop_oneof![3 => scissor(), 1 => arm, 1 => five_bar]
}

fn section() -> impl Strategy<Value = Section> {
    let rectangle = (0.001..0.1, 0.001..0.1)
        .prop_map(|(tangential, radial)| Section::Rectangle { tangential, radial });
    let hollow = (0.001..0.1, 0.001..0.1, 0.05..0.45).prop_map(
        |(tangential, radial, share): (f64, f64, f64)| Section::RectangleTube {
            tangential,
            radial,
            wall: share * tangential.min(radial),
        },
    );
    let tube = (0.001..0.1, 0.1..0.9).prop_map(|(outer_diameter, share)| Section::Tube {
        outer_diameter,
        inner_diameter: share * outer_diameter,
    });
    let rod = (0.001..0.1).prop_map(|diameter| Section::Rod { diameter });
    let shear = || prop_oneof![Just(f64::INFINITY), 1e3..1e7];
    let custom = (
        (1e3..1e8, 0.1..1e4, 0.1..1e4, 0.1..1e4),
        (shear(), shear()),
        (0.01..5.0, 0.001..0.1, 0.001..0.1),
    )
        .prop_map(
            |(stiffness, shear, (mass_per_length, radial, tangential))| Section::Custom {
                axial: stiffness.0,
                bending_in_plane: stiffness.1,
                bending_out_of_plane: stiffness.2,
                torsional: stiffness.3,
                shear_in_plane: shear.0,
                shear_out_of_plane: shear.1,
                mass_per_length,
                radial,
                tangential,
            },
        );
    prop_oneof![rectangle, hollow, tube, rod, custom]
}

fn process() -> impl Strategy<Value = Process> {
    (0..Process::ALL.len()).prop_map(|i| Process::ALL[i])
}

fn material() -> impl Strategy<Value = Material> {
    let shipped = (0..shipped_materials().len()).prop_map(|i| shipped_materials()[i].clone());
    let own = (
        text(),
        uncertain(1e8, 5e11),
        uncertain(1e8, 5e11),
        uncertain(100.0, 20_000.0),
        uncertain(1e6, 1e10),
        text(),
        process(),
        uncertain(1.0, 10.0),
    )
        .prop_map(
            |(
                name,
                youngs_modulus,
                shear_modulus,
                density,
                yield_strength,
                source,
                process,
                creep,
            )| {
                Material {
                    name,
                    youngs_modulus,
                    shear_modulus,
                    density,
                    yield_strength,
                    source,
                    process,
                    creep,
                }
            },
        );
    let changed = (
        shipped.clone(),
        uncertain(1e8, 5e11),
        process(),
        uncertain(1.0, 10.0),
    )
        .prop_map(|(shipped, youngs_modulus, process, creep)| Material {
            youngs_modulus,
            process,
            creep,
            ..shipped
        });
    prop_oneof![shipped, own, changed]
}

fn joints() -> impl Strategy<Value = JointProperties> {
    let stiffness = (
        uncertain(1e3, 1e9),
        uncertain(1e3, 1e9),
        uncertain(0.1, 1e6),
    )
        .prop_map(|(axial, radial, tilt)| JointStiffness {
            axial,
            radial,
            tilt,
        });
    // A boss must leave something of the shortest arc (0.01 rad of 0.05 m).
    let boss = prop_oneof![Just(0.0), 0.0..4.9e-4];
    let releases =
        prop::collection::btree_map("[a-z]{1,8}-[0-9]", (any::<bool>(), any::<bool>()), 0..3)
            .prop_map(|releases| {
                releases
                    .into_iter()
                    .map(|(joint, (axial, tilt))| NamedRelease { joint, axial, tilt })
                    .collect()
            });
    (option::of(stiffness), boss, 0.0..0.5, releases).prop_map(
        |(stiffness, boss_diameter, mass, releases)| JointProperties {
            stiffness,
            parts: None,
            boss_diameter,
            mass,
            releases,
        },
    )
}

/// Sections of levels (`true`) and bars by number, and joints of levels.
type Different = (Vec<(usize, bool, Section)>, Vec<(usize, JointProperties)>);

/// What differs: sections of levels and bars, joints of levels; those that a design has none
/// of are taken out where it is made.
fn differing() -> impl Strategy<Value = Different> {
    let level = || 0..4_usize;
    (
        vec((level(), any::<bool>(), section()), 0..4),
        vec((level(), joints()), 0..3),
    )
}

/// The design with what of it it can have: each bar and level once, joints as the rule's.
fn differ(
    mut design: Design,
    sections: Vec<(usize, bool, Section)>,
    joints: Vec<(usize, JointProperties)>,
) -> Option<Design> {
    let linkage = calotte::family::build(&design).ok()?;
    let bars: Vec<String> = linkage.bars().map(|(_, bar)| bar.name.clone()).collect();
    let own = &mut design.own;
    for (index, is_level, section) in sections {
        let of = match is_level {
            true => SectionOf::Level(index % (linkage.last_level() + 1)),
            false => SectionOf::Bar(bars[index % bars.len()].clone()),
        };
        if own.sections.iter().all(|one| one.of != of) {
            own.sections.push(OwnSection { of, section });
        }
    }
    // As a file lists them: levels, then bars.
    own.sections
        .sort_by_key(|own| matches!(own.of, SectionOf::Bar(_)));
    for (level, mut joints) in joints {
        let level = level % (linkage.last_level() + 1);
        joints.releases.clear();
        let like = joints.stiffness.is_some() == design.joints.stiffness.is_some();
        if like && own.joints.iter().all(|one| one.level != level) {
            own.joints.push(OwnJoints { level, joints });
        }
    }
    Some(design)
}

fn limits() -> impl Strategy<Value = Option<[f64; 2]>> {
    option::of((-6.0..0.0, 0.001..6.0).prop_map(|(lower, upper)| [lower, upper]))
}

fn drive() -> impl Strategy<Value = Drive> {
    (
        option::of(uncertain(0.1, 1e6)),
        option::of((uncertain(0.0, 100.0), any::<bool>())),
    )
        .prop_map(|(stiffness, mass)| Drive {
            stiffness,
            mass: mass.map(|(mass, _)| mass),
            rides_on: match mass {
                Some((_, true)) => RidesOn::Base,
                _ => RidesOn::Joint,
            },
        })
}

fn drives() -> impl Strategy<Value = Drives> {
    let ratio = || prop_oneof![Just(1.0), 0.01..50.0, -50.0..-0.01];
    (
        prop_oneof![
            Just(DriveLayout::TwoBars),
            Just(DriveLayout::SwingAndOpening)
        ],
        [ratio(), ratio()],
        limits(),
        limits(),
        [drive(), drive()],
    )
        .prop_map(|(layout, ratio, first, second, each)| Drives {
            layout,
            ratio,
            range: DriveRange { first, second },
            each,
        })
}

fn tool() -> impl Strategy<Value = Tool> {
    (
        prop_oneof![
            Just(ToolCarrier::Left),
            Just(ToolCarrier::Right),
            Just(ToolCarrier::Bisector)
        ],
        0.0..2.0,
        option::of(uncertain(0.0, 100.0)),
        -2.0..2.0,
        option::of(-2.0..2.0),
        -PI + 1e-3..PI - 1e-3,
        -TAU..TAU,
    )
        .prop_map(
            |(
                carried_by,
                tip_radius,
                mass,
                centre_of_mass_radius,
                grip_radius,
                bracket_arc,
                roll,
            )| Tool {
                carried_by,
                tip_radius,
                mass,
                centre_of_mass_radius,
                grip_radius,
                bracket_arc,
                roll,
                envelope: None,
            },
        )
}

fn vector(size: f64) -> impl Strategy<Value = Vector3<f64>> {
    [-size..size, -size..size, -size..size].prop_map(|[x, y, z]| Vector3::new(x, y, z))
}

fn support() -> impl Strategy<Value = Support> {
    let springs = (
        -1.0..1.0,
        uncertain(1e3, 1e9),
        uncertain(1e3, 1e9),
        uncertain(0.1, 1e6),
        uncertain(0.1, 1e6),
    )
        .prop_map(
            |(at_radius, axial, lateral, tilt, twist)| Support::Springs {
                at_radius,
                axial,
                lateral,
                tilt,
                twist,
            },
        );
    let column = (-1.0..1.0, vector(1.0), 0.01..5.0, section(), material()).prop_map(
        |(at_radius, direction, length, section, material)| Support::Column {
            at_radius,
            direction,
            length,
            section,
            material,
        },
    );
    prop_oneof![springs, column]
}

fn mount() -> impl Strategy<Value = Mount> {
    (vector(2.0), vector(2.0), vector(3.0), option::of(support()))
        .prop_filter(
            "axis and reference across each other",
            |(axis, reference, _, _)| axis.cross(reference).norm() > 1e-3,
        )
        .prop_map(|(axis, reference, position, support)| Mount {
            axis,
            reference,
            position,
            support,
        })
}

fn design() -> impl Strategy<Value = Design> {
    (
        (text(), family(), 0.05..1.0, section(), material()),
        (joints(), drives(), tool(), mount()),
        differing(),
    )
        .prop_filter_map(
            "can be built",
            |(
                (title, family, joint_radius, section, material),
                (joints, drives, mut tool, mount),
                (sections, of_levels),
            )| {
                if tool.carried_by == ToolCarrier::Bisector
                    && family.offers(Capability::Follower).is_err()
                {
                    tool.carried_by = ToolCarrier::Right;
                }
                let design = Design {
                    title,
                    family,
                    joint_radius,
                    section,
                    material,
                    short_bars: None,
                    own: Default::default(),
                    joints,
                    layers: None,
                    drives,
                    tool,
                    mount,
                };
                differ(design, sections, of_levels)
            },
        )
        .prop_filter_map("can be built", buildable)
}

/// The design with its releases at joints that it has; nothing where it cannot be built, which
/// reading refuses.
fn buildable(mut design: Design) -> Option<Design> {
    let releases = std::mem::take(&mut design.joints.releases);
    let linkage = calotte::family::build(&design).ok()?;
    let joints = linkage.joints.iter().map(|joint| joint.name.clone());
    design.joints.releases = releases
        .into_iter()
        .zip(joints)
        .map(|(release, joint)| NamedRelease { joint, ..release })
        .collect();
    let linkage = calotte::family::build(&design).ok()?;
    let made = calotte::elasticity::Structure::new(&design, &linkage);
    made.is_ok().then_some(design)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_written_design_reads_back_equal(design in design(), comment in text()) {
        let text = write_design(&design, &comment);
        match read_design(&text) {
            Ok(read) => prop_assert_eq!(read, design, "{}", text),
            Err(error) => prop_assert!(false, "{}\n{}", error, text),
        }
    }

    /// Tidying moves no number by more than rounding, and what is tidy stays.
    #[test]
    fn tidying_moves_nothing_that_matters(design in design()) {
        let once = tidied(&design);
        prop_assert_eq!(&tidied(&once), &once);
        prop_assert!((once.joint_radius - design.joint_radius).abs() <= 1e-15 * design.joint_radius);
        prop_assert_eq!(read_design(&write_design(&once, "")).ok(), Some(once));
    }
}

#[test]
fn angles_that_a_search_steps_to_are_written_as_people_write_them() {
    let mut design = read_design(include_str!("valid/scissor.toml")).unwrap();
    let step = 0.5 * PI / 180.0;
    let stepped = 8.0 * PI / 180.0 + 31.0 * step;
    for arc in design.family.angles_mut().into_iter().take(2) {
        *arc = stepped;
    }
    let text = write_design(&tidied(&design), "");
    assert!(text.contains("proximal_arcs_deg = [23.5, 23.5]"), "{text}");
}

/// What measuring a prototype made of bearings told survives its file, and the stiffness
/// follows from it again.
#[test]
fn measured_factors_of_joints_go_round() {
    let text = "[linkage]\nfamily = \"two-arc-arm\"\narcs_deg = [50, 40]\njoint_radius_mm = 150\n\
        [section]\nshape = \"rectangle\"\ntangential_mm = 12\nradial_mm = 6\n\
        [material]\nname = \"aluminium 6061-T6\"\n\
        [joints.bearing]\nname = \"624\"\n\
        [joints.measured]\ntilt_factor = { value = 0.7, from = 0.6, to = 0.8 }\n";
    let design = read_design(text).unwrap();
    let parts = design.joints.parts.as_ref().unwrap();
    assert_eq!(parts.measured.radial, Uncertain::exact(1.0));
    assert_eq!(parts.measured.tilt, Uncertain::band(0.7, 0.6, 0.8));
    let promised = calotte::design::JointParts {
        measured: calotte::design::MeasuredJoints::AS_DESIGNED,
        ..parts.clone()
    };
    let promised = promised.pair_stiffness().unwrap();
    let found = design.joints.stiffness.unwrap();
    assert_eq!(found.radial, promised.radial);
    for (got, factor) in [
        (found.tilt.value, 0.7),
        (found.tilt.low, 0.6),
        (found.tilt.high, 0.8),
    ] {
        assert!((got / promised.tilt.value - factor).abs() < 1e-12);
    }
    let again = read_design(&write_design(&design, "")).unwrap();
    assert_eq!(again, design);
    let error = read_design(&text.replace("0.7,", "700,"))
        .unwrap_err()
        .to_string();
    assert!(error.contains("tilt_factor"), "{error}");
}

/// A design made in code may hold any title: what is written can be read.
#[test]
fn a_title_that_steers_a_terminal_is_written_as_one_that_does_not() {
    let text = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../examples/trend-map/design.toml"
    ))
    .expect("an example");
    let mut design = read_design(&text).expect("a design");
    design.title = "a\u{1b}[2J\nb\u{202e}c".to_string();
    let written = write_design(&design, "");
    let read = read_design(&written).expect("a design");
    assert_eq!(read.title, "a [2J b c");
}

/// A design with bars as a fit found them, written and read, is about these bars: the model of
/// the real linkage has them as nominal values.
#[test]
fn bars_as_found_go_round_into_the_model() {
    let mut design = read_design(include_str!("valid/scissor.toml")).unwrap();
    design.tool.roll = 0.0;
    let model = PhysicalModel::new(&design).unwrap();
    let mut values = model.nominal();
    for (place, (value, described)) in values.iter_mut().zip(&model.parameters).enumerate() {
        if matches!(described.cause, calotte::family::real::Cause::Bar(_)) {
            *value += 1.234_567_8e-3 * (place as f64).sin();
        }
    }
    let found = tidied(&calibrated(&design, &model, &values, &[]));
    let again = read_design(&write_design(&found, "")).unwrap();
    assert_eq!(again, found);
    let nominal = PhysicalModel::new(&again).unwrap().nominal();
    let mut bars = 0;
    for ((now, value), described) in nominal.iter().zip(&values).zip(&model.parameters) {
        if matches!(described.cause, calotte::family::real::Cause::Bar(_)) {
            assert!((now - value).abs() < 1e-12, "{}", described.name);
            bars += 1;
        }
    }
    assert_eq!(bars, 10);
}

/// What the lists say stands for bars that state nothing; a list whose bars differ is their
/// mean, and equal bars are as if the list said so.
#[test]
fn a_bar_that_states_nothing_has_what_the_list_says() {
    let text = |bars: &str| {
        let plain = include_str!("valid/scissor.toml");
        let (linkage, rest) = plain.split_once("\n[section]").unwrap();
        read_design(&format!("{linkage}{bars}\n[section]{rest}")).unwrap()
    };
    let one = text("\n[[linkage.bar]]\nname = \"bar-right-2\"\nfirst_arc_deg = 30.4\n");
    let differ = one.family.side_differences();
    assert_eq!(differ.len(), 1);
    let [left, right] = differ[0].values;
    let degree = PI / 180.0;
    assert!((left - 30.0 * degree).abs() < 1e-15 && (right - 30.4 * degree).abs() < 1e-15);
    assert!((one.family.branch_arcs()[3] - 30.2 * degree).abs() < 1e-15);
    let both = text(
        "\n[[linkage.bar]]\nname = \"bar-right-2\"\nfirst_arc_deg = 30\n[[linkage.bar]]\nname = \"bar-left-2\"\nfirst_arc_deg = 30\n",
    );
    assert_eq!(both, text(""));
}
