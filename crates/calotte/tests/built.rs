//! Built linkages: layers, pins and bearings in the structure and in the masses.

mod common;

use calotte::built::{Built, BuiltError, Core, Profile, SolidKind, base_drives};
use calotte::design::{Arrangement, BaseSizes, ClampedIn, Design, JointParts, ToolCarrier};
use calotte::elasticity::{LoadSet, Structure};
use calotte::kinematics::Kinematics;
use calotte::stock::Section;
use calotte::stock::shipped_bearings;
use common::{DEGREE, arm, built, model, scissor, uniform};
use nalgebra::{Matrix6, Vector3, Vector6};

fn compliance(design: &Design, mechanism: [f64; 2]) -> Matrix6<f64> {
    let kinematics = Kinematics::new(design).unwrap();
    let structure = Structure::new(design, &kinematics.linkage).unwrap();
    let pose = kinematics.forward_from_mechanism(mechanism).unwrap();
    structure
        .solve(&pose.configuration, &pose.frame)
        .unwrap()
        .tip_compliance()
}

fn mixed() -> Design {
    scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0])
}

#[test]
fn energy_by_cause_equals_work_and_forces_balance() {
    for carrier in [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector] {
        for arrangement in [Arrangement::Two, Arrangement::Nested] {
            let mut design = built(mixed(), arrangement);
            design.tool.carried_by = carrier;
            for drive in &mut design.drives.each {
                drive.stiffness = Some(500.0.into());
            }
            let kinematics = Kinematics::new(&design).unwrap();
            let structure = Structure::new(&design, &kinematics.linkage).unwrap();
            let pose = kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
            let solved = structure.solve(&pose.configuration, &pose.frame).unwrap();
            let wrench = Vector6::new(1.0, -2.0, 3.0, 0.1, -0.05, 0.2);
            let response = solved.respond(&solved.tip_load(&wrench)).unwrap();
            let by_compliance = solved.tip_compliance() * wrench;
            assert!((response.tip - by_compliance).norm() < 1e-9 * by_compliance.norm());
            let work = 0.5 * wrench.dot(&by_compliance);
            let energy: f64 = response.energy.iter().sum();
            assert!((energy / work - 1.0).abs() < 1e-9, "{energy} {work}");
            let shares = response.energy_shares().unwrap();
            assert!(shares.pins > 0.001 && shares.joints > 0.001 && shares.drives > 0.001);
            let sum: Vector3<f64> = (0..2)
                .map(|j| response.joint_forces[j].fixed_rows::<3>(0).into_owned())
                .sum();
            let force = solved.base_from_local(&wrench).fixed_rows::<3>(0).norm();
            assert!((sum.norm() / force - 1.0).abs() < 1e-9);
        }
    }
}

/// With locked drives the shafts' torsion remains: by hand, one arc arm of two whose
/// elbow is locked rigidly would turn by T·s/GJ.
#[test]
fn compliance_turns_with_the_mechanism_and_is_positive() {
    let design = built(mixed(), Arrangement::Nested);
    let (first, turned) = (
        compliance(&design, [0.3, 1.4]),
        compliance(&design, [2.1, 1.4]),
    );
    assert!((first - turned).norm() < 1e-9 * first.norm());
    assert!(first.symmetric_eigenvalues().min() > 0.0);
    let mut mirrored = design.clone();
    mirrored.tool.carried_by = ToolCarrier::Right;
    let other = compliance(&mirrored, [0.3, 1.4]);
    let mirror = Matrix6::from_diagonal(&Vector6::new(1.0, -1.0, 1.0, -1.0, 1.0, -1.0));
    assert!((first - mirror * other * mirror).norm() < 1e-9 * first.norm());
}

/// Layers that lie on one another with stiff pins tend to all bars in one sphere.
#[test]
fn thin_layers_with_stiff_pins_tend_to_the_ideal_linkage() {
    let ideal = {
        let mut design = built(mixed(), Arrangement::Two);
        design.layers = None;
        design.joints.parts = None;
        design.joints.boss_diameter = 0.0;
        design
    };
    let reference = compliance(&ideal, [0.3, 1.4]);
    let difference = |scale: f64| {
        let mut design = built(mixed(), Arrangement::Two);
        let layers = design.layers.as_mut().unwrap();
        // The pitch is the bar's own 6 mm; only what the layers add shrinks.
        layers.boss_height = Some(1e-3);
        layers.gap = 0.006 * (scale - 1.0);
        layers.base.housing_height = Some(1e-4);
        // Threads instead of pins, so that no boss is filled, and stiff all the same.
        layers.base.shaft_diameter = Some(1e-5);
        layers.base.hollow_shaft_diameter = Some(3e-5);
        layers.base.hollow_shaft_bore = Some(2e-5);
        let parts = design.joints.parts.as_mut().unwrap();
        (parts.bearing.bore, parts.bearing.outer_diameter) = (1e-5, 2e-5);
        parts.pin.diameter = 1e-5;
        let pin = &mut parts.pin.material;
        (pin.youngs_modulus, pin.shear_modulus) = (1e30.into(), 1e30.into());
        (compliance(&design, [0.3, 1.4]) - reference).norm() / reference.norm()
    };
    // A pitch of 6 mm on 150 mm changes something, one of 12 mm about twice as much.
    let (one, two) = (difference(1.0), difference(2.0));
    assert!(one < 0.2 && two > 1.5 * one, "{one} {two}");
}

/// Masses of bars, bosses, pins and bearings hang on the base joints.
#[test]
fn weight_is_carried_by_the_base_joints() {
    for section in [
        Section::Rectangle {
            tangential: 0.012,
            radial: 0.008,
        },
        Section::Tube {
            outer_diameter: 0.012,
            inner_diameter: 0.009,
        },
    ] {
        let mut design = built(mixed(), Arrangement::Nested);
        design.section = section;
        let model = model(&design);
        let pose = model.kinematics.forward_from_mechanism([0.3, 1.4]).unwrap();
        let solved = model
            .structure
            .solve(&pose.configuration, &pose.frame)
            .unwrap();
        let loads = LoadSet {
            bar_acceleration: Vector3::new(0.0, 0.0, -9.80665),
            ..LoadSet::default()
        };
        let response = solved.respond(&loads).unwrap();
        let carried: f64 = (0..2).map(|j| response.joint_forces[j][0]).sum();
        let mass = model.holding.moving_mass();
        assert!((carried / (mass * 9.80665) - 1.0).abs() < 1e-9);
    }
}

/// Volume of a bar by counting points of the pieces' definition, against the mass model.
#[test]
fn bar_volume_by_counting_points() {
    let mut design = built(uniform(2, 25.0), Arrangement::Two);
    design.joints.parts = None;
    design.joints.mass = 0.0;
    let sections = [
        Section::Rectangle {
            tangential: 0.012,
            radial: 0.008,
        },
        Section::RectangleTube {
            tangential: 0.014,
            radial: 0.010,
            wall: 0.002,
        },
        Section::Tube {
            outer_diameter: 0.012,
            inner_diameter: 0.008,
        },
        Section::Rod { diameter: 0.010 },
    ];
    for section in sections {
        design.section = section.clone();
        let model = model(&design);
        let density = design.material.density.value;
        let solids = &model.built.solids;
        let bars: Vec<_> = solids.iter().filter(|s| s.kind == SolidKind::Bar).collect();
        let mut counted = 0.0;
        for bar in bars {
            counted += volume_by_points(bar);
        }
        let exact = model.holding.moving_mass() / density;
        assert!(
            (counted / exact - 1.0).abs() < 3e-3,
            "{section:?} {counted} {exact}"
        );
    }
}

/// Points on a regular lattice in the shell around the bar; inside a boss or inside a
/// bar's band but not its void.
fn volume_by_points(solid: &calotte::built::Solid) -> f64 {
    let step = 0.4e-3;
    let outer = solid.pieces.iter().map(|p| p.outer).fold(0.0, f64::max);
    let (mut low, mut high) = (Vector3::repeat(f64::MAX), Vector3::repeat(f64::MIN));
    for piece in &solid.pieces {
        let ends = match piece.core {
            Core::Direction(u) => vec![u],
            Core::Arc(a, b) => (0..=20)
                .map(|k| {
                    let t = f64::from(k) / 20.0;
                    (a * (1.0 - t) + b * t).normalize()
                })
                .collect(),
        };
        for u in ends {
            low = low.inf(&((u * outer * 0.9).map(|c| c - 0.02)));
            high = high.sup(&((u * outer).map(|c| c + 0.02)));
        }
    }
    let count = (high - low).map(|d| (d / step).ceil() as usize);
    let mut inside = 0usize;
    for i in 0..count.x {
        for j in 0..count.y {
            for k in 0..count.z {
                let at =
                    low + Vector3::new(i as f64 + 0.37, j as f64 + 0.41, k as f64 + 0.53) * step;
                inside += usize::from(holds(solid, &at));
            }
        }
    }
    inside as f64 * step.powi(3)
}

fn holds(solid: &calotte::built::Solid, at: &Vector3<f64>) -> bool {
    let r = at.norm();
    let mut in_band = false;
    for piece in &solid.pieces {
        match piece.core {
            Core::Direction(u) => {
                let off = at.cross(&u).norm();
                if at.dot(&u) > 0.0
                    && off <= piece.half_width
                    && (piece.inner..=piece.outer).contains(&r)
                {
                    return true;
                }
            }
            Core::Arc(a, b) => {
                let n = a.cross(&b).normalize();
                let z = at.dot(&n);
                let s = (r * r - z * z).sqrt();
                // Between the two end rays.
                if n.dot(&a.cross(at)) < 0.0 || n.dot(&at.cross(&b)) < 0.0 {
                    continue;
                }
                let rel = |w: f64, half: f64| match piece.profile {
                    Profile::Straight => z.abs() <= w && (r - piece.middle()).abs() <= half,
                    Profile::Round => (s - piece.middle()).hypot(z) <= w,
                };
                let body = rel(piece.half_width, 0.5 * (piece.outer - piece.inner));
                let void = piece
                    .void
                    .is_some_and(|v| rel(v.half_width, 0.5 * v.height));
                in_band |= body && !void;
            }
        }
    }
    in_band
}

#[test]
fn layers_and_radii_are_as_described() {
    let design = built(mixed(), Arrangement::Two);
    let linkage = Kinematics::new(&design).unwrap().linkage;
    let found = Built::new(&design, &linkage).unwrap();
    let layer = |name: &str| {
        let index = linkage.bodies.iter().position(|b| b.name == name).unwrap();
        found.layers[index].unwrap()
    };
    // The carrier innermost, base-left with the bars from the right.
    assert_eq!(layer("bar-left-2"), 0);
    assert_eq!(layer("bar-left-1"), 0);
    assert_eq!(layer("base-right"), 0);
    assert_eq!(layer("base-left"), 1);
    assert_eq!(layer("bar-right-2"), 1);
    // Boss height 6 + 5 = 11 mm, gap 0.5 mm.
    assert!((found.pitch - 0.0115).abs() < 1e-12);
    assert!((found.radii[0] - (0.15 + 0.0115 + 0.0055 + 0.0005 + 0.015)).abs() < 1e-12);
    let nested = built(mixed(), Arrangement::Nested);
    assert_eq!(Built::new(&nested, &linkage).unwrap().layer_count, 6);
    let arm = built(arm(60.0, 45.0), Arrangement::Two);
    let linkage = Kinematics::new(&arm).unwrap().linkage;
    assert_eq!(
        Built::new(&arm, &linkage).unwrap().layers,
        [None, Some(1), Some(0)]
    );
}

#[test]
fn what_does_not_fit_is_an_error() {
    let build = |design: &Design| Built::new(design, &Kinematics::new(design).unwrap().linkage);
    let mut design = built(mixed(), Arrangement::Given(vec![0, 1]));
    assert!(matches!(
        build(&design),
        Err(BuiltError::LayerCount { expected: 6, .. })
    ));
    design.layers.as_mut().unwrap().arrangement = Arrangement::Given(vec![0; 6]);
    assert!(matches!(
        build(&design),
        Err(BuiltError::JointInOneLayer { .. })
    ));
    let mut design = built(mixed(), Arrangement::Two);
    design.joints.boss_diameter = 0.012;
    assert!(matches!(
        build(&design),
        Err(BuiltError::BossTooSmall { .. })
    ));
    let mut design = built(mixed(), Arrangement::Two);
    design.joint_radius = 0.01;
    assert!(matches!(
        build(&design),
        Err(BuiltError::TooNearCentre { .. })
    ));
}

/// The pin may be clamped in either bar: the two differ, and each is its own mirror.
#[test]
fn where_the_pin_is_clamped_matters() {
    let inner = built(uniform(2, 25.0), Arrangement::Two);
    let mut outer = inner.clone();
    outer.joints.parts.as_mut().unwrap().pin.clamped_in = ClampedIn::Outer;
    let (a, b) = (
        compliance(&inner, [0.0, 100.0 * DEGREE]),
        compliance(&outer, [0.0, 100.0 * DEGREE]),
    );
    let difference = (a - b).norm() / a.norm();
    assert!(difference > 1e-4 && difference < 0.3, "{difference}");
}

/// Moments by statics from coordinates alone: a two-arc arm hangs on its joints one after
/// the other, so that each carries the tip's load about its own place.
#[test]
fn pins_and_bearings_carry_what_statics_says() {
    let mut design = built(arm(60.0, 50.0), Arrangement::Two);
    for drive in &mut design.drives.each {
        drive.stiffness = Some(500.0.into());
    }
    let model = model(&design);
    let strength = model.joint_strength.as_ref().unwrap();
    let linkage = &model.kinematics.linkage;
    let pose = model.kinematics.forward_from_mechanism([0.4, 1.3]).unwrap();
    let solved = model
        .structure
        .solve(&pose.configuration, &pose.frame)
        .unwrap();
    let wrench = Vector6::new(3.0, -2.0, 5.0, 0.0, 0.0, 0.0);
    let response = solved.respond(&solved.tip_load(&wrench)).unwrap();
    let force: Vector3<f64> = solved.base_from_local(&wrench).fixed_rows::<3>(0).into();
    let placed = model.built.placed(&design, linkage, &pose.configuration);
    let parts = design.joints.parts.as_ref().unwrap();
    for (index, pin) in placed.pins.iter().enumerate() {
        let axis = pin.from.normalize();
        let across = |moment: Vector3<f64>| (moment - axis * axis.dot(&moment)).norm();
        let at = |place: Vector3<f64>| (placed.tool_tip - place).cross(&force);
        let carried = strength.at_bearings(index, &response.joint_forces[index]);
        let moment = carried.fixed_rows::<2>(4).norm();
        assert!(
            (moment / across(at(pin.to)) - 1.0).abs() < 1e-9,
            "{}",
            pin.joint
        );
        // Bending by hand at the worse end; shear and torque on top.
        let radius = 0.5 * pin.diameters[0];
        let second =
            std::f64::consts::PI / 64.0 * (pin.diameters[0].powi(4) - pin.diameters[1].powi(4));
        let bending = across(at(pin.from)).max(across(at(pin.to))) * radius / second;
        let stress = strength.pin_stress(index, &response.joint_forces[index]);
        assert!(
            stress > bending && stress < 1.6 * bending,
            "{stress} {bending}"
        );
        // The pair by moments about the other bearing: each at spacing/2 from the middle.
        let half = 0.5 * parts.pair_spacing;
        let radial = [1.0, -1.0].map(|side| {
            let other = pin.to - axis * (side * half);
            across(at(other)) / parts.pair_spacing
        });
        let axial = axis.dot(&force).abs();
        let load = radial
            .map(|r| r.max(0.6 * r + 0.5 * axial))
            .into_iter()
            .fold(0.0, f64::max);
        let safety = strength.bearing_safety(index, &response.joint_forces[index]);
        assert!(
            (safety.unwrap() * load / 490.0 - 1.0).abs() < 1e-9,
            "{}",
            pin.joint
        );
    }
}

/// Shafts and housing that nobody states fit the bosses of every shipped bearing.
#[test]
fn usual_shafts_fit_the_bosses_of_every_shipped_bearing() {
    for row in shipped_bearings() {
        let mut design = built(uniform(2, 24.0), Arrangement::Two);
        design.joint_radius = 0.3;
        let pin_material = design.joints.parts.as_ref().unwrap().pin.material.clone();
        let parts = JointParts::usual(row.bearing().unwrap(), pin_material);
        design.joints.boss_diameter = parts.usual_boss_diameter();
        design.joints.stiffness = Some(parts.pair_stiffness().unwrap());
        design.joints.parts = Some(parts);
        design.layers.as_mut().unwrap().base = BaseSizes::default();
        let linkage = calotte::family::build(&design).unwrap();
        let built =
            Built::new(&design, &linkage).unwrap_or_else(|e| panic!("{}: {e}", row.designation));
        let base = base_drives(&design, &linkage).unwrap();
        assert!(base.shaft_diameter >= row.bore, "{}", row.designation);
        assert!(base.hollow_shaft[0] <= built.bosses[1][0].diameter - 2e-3 + 1e-9);
    }
}
