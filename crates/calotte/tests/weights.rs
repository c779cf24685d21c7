//! Weights on a prototype whose truth is known.
//!
//! The truth is a design whose material and joints are really changed; its compliance matrix
//! comes from the structure's own last block, not from the load path that the fit uses, and
//! play, friction, the mount's rotation and a tilting base are written out here. All numbers
//! are invented.

mod common;

use calotte::Uncertain;
use calotte::analysis::loaded::{Loading, loaded_shape};
use calotte::brief::{Load, LoadCase, LoadPlace, LoadVector};
use calotte::design::{Design, JointStiffness, Support};
use calotte::elasticity::Structure;
use calotte::kinematics::Kinematics;
use calotte::measurement::weights::{Standing, WeightParameter, applied};
use calotte::measurement::{
    Course, Displacement, WeightError, WeightFit, WeightOptions, WeightRow, Weights, fit_weights,
};
use common::{DEGREE, arm, model, reference_joints, scissor};
use nalgebra::{Matrix3, Vector3, Vector6};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const GRAVITY: f64 = 9.80665;
const NOISE: f64 = 2e-6;

/// What a prototype really is, beside its design.
#[derive(Clone, Copy)]
struct Truth {
    modulus: f64,
    tilt: f64,
    radial: f64,
    /// rad/(N·m), any axis across the base's own, at the joints' radius.
    base: f64,
    play: f64,
    friction: f64,
    noise: f64,
}

const AS_DESIGNED: Truth = Truth {
    modulus: 1.0,
    tilt: 1.0,
    radial: 1.0,
    base: 0.0,
    play: 0.0,
    friction: 0.0,
    noise: NOISE,
};

fn scaled(number: Uncertain, factor: f64) -> Uncertain {
    Uncertain::exact(number.value * factor)
}

impl Truth {
    fn design(&self, design: &Design) -> Design {
        let mut real = design.clone();
        real.material.youngs_modulus = scaled(design.material.youngs_modulus, self.modulus);
        real.material.shear_modulus = scaled(design.material.shear_modulus, self.modulus);
        real.joints.stiffness = design.joints.stiffness.map(|joint| JointStiffness {
            axial: scaled(joint.axial, self.radial),
            radial: scaled(joint.radial, self.radial),
            tilt: scaled(joint.tilt, self.tilt),
        });
        real
    }
}

/// Columns: the base frame's axes in the world.
fn world_from_base(design: &Design) -> Matrix3<f64> {
    let z = design.mount.axis.normalize();
    let x = design.mount.reference;
    let x = (x - z * z.dot(&x)).normalize();
    Matrix3::from_columns(&[x, z.cross(&x), z])
}

/// Displacement of the tip for a force at the tip, world.
struct Compliance {
    structure: Structure,
    kinematics: Kinematics,
    base: f64,
    joint_radius: f64,
    world: Matrix3<f64>,
}

impl Compliance {
    fn new(design: &Design, truth: &Truth) -> Self {
        let kinematics = Kinematics::new(design).unwrap();
        Self {
            structure: Structure::new(&truth.design(design), &kinematics.linkage).unwrap(),
            kinematics,
            base: truth.base,
            joint_radius: design.joint_radius,
            world: world_from_base(design),
        }
    }

    fn moved(&self, readings: [f64; 2], force: &Vector3<f64>) -> Vector3<f64> {
        let pose = self.kinematics.forward(readings).unwrap();
        let solved = self
            .structure
            .solve(&pose.configuration, &pose.frame)
            .unwrap();
        let turn = pose.frame.rotation();
        let local = turn.transpose() * self.world.transpose() * force;
        let wrench = Vector6::new(local.x, local.y, local.z, 0.0, 0.0, 0.0);
        let tip = solved.tip_compliance() * wrench;
        let mut moved = self.world * turn * Vector3::new(tip[0], tip[1], tip[2]);
        // φ = b (r × F without its part along the axis), u = φ × r.
        let axis = self.world.column(2).into_owned();
        let arm = self.world * solved.tip() - axis * self.joint_radius;
        let moment = arm.cross(force);
        moved += (self.base * (moment - axis * axis.dot(&moment))).cross(&arm);
        moved
    }
}

/// How a campaign is made.
struct Campaign {
    readings: Vec<[f64; 2]>,
    masses: Vec<f64>,
    unload: bool,
    vectors: bool,
}

fn normal(random: &mut ChaCha8Rng) -> f64 {
    // Box and Muller.
    let (a, b): (f64, f64) = (1.0 - random.random::<f64>(), random.random());
    (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

fn direction(random: &mut ChaCha8Rng) -> Vector3<f64> {
    Vector3::new(normal(random), normal(random), normal(random)).normalize()
}

/// The law of `calotte::measurement::weights`, written out again.
fn measured(seed: u64, design: &Design, truth: &Truth, campaign: &Campaign) -> Weights {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let compliance = Compliance::new(design, truth);
    let mut rows = Vec::new();
    for (number, readings) in campaign.readings.iter().enumerate() {
        let pull = if number % 3 == 2 {
            let angle: f64 = random.random_range(-3.0..3.0);
            Vector3::new(angle.cos(), angle.sin(), 0.0)
        } else {
            -Vector3::z()
        };
        let gauge = (pull + 0.3 * direction(&mut random)).normalize();
        let mut steps: Vec<(f64, Course)> = campaign
            .masses
            .iter()
            .map(|mass| (*mass, Course::Loading))
            .collect();
        if campaign.unload {
            let back = campaign.masses.iter().rev().skip(1);
            steps.extend(back.map(|mass| (*mass, Course::Unloading)));
        }
        for (mass, course) in steps {
            let mut moved = Vector3::zeros();
            if mass > 0.0 {
                moved += compliance.moved(*readings, &(pull * mass * GRAVITY));
                moved += pull * (0.5 * truth.play);
            }
            match course {
                Course::Loading if mass > 0.0 => moved -= pull * (0.5 * truth.friction),
                Course::Loading => {}
                Course::Unloading => moved += pull * (0.5 * truth.friction),
            }
            let displacement = if campaign.vectors {
                Displacement::Vector(moved.map(|c| c + truth.noise * normal(&mut random)))
            } else {
                Displacement::Along {
                    axis: gauge,
                    value: gauge.dot(&moved) + truth.noise * normal(&mut random),
                }
            };
            rows.push(WeightRow {
                row: rows.len() + 1,
                readings: *readings,
                mass,
                pull,
                place: LoadPlace::Tip,
                displacement,
                course,
            });
        }
    }
    Weights { rows }
}

fn usual(design: &Design, configurations: usize) -> Campaign {
    let kinematics = Kinematics::new(design).unwrap();
    let readings = (0..configurations)
        .map(|k| {
            let share = k as f64 / (configurations - 1) as f64;
            let swing = -1.0 + 2.0 * ((k * 5) % configurations) as f64 / configurations as f64;
            let second = (45.0 + 70.0 * share) * DEGREE;
            kinematics
                .forward_from_mechanism([swing, second])
                .unwrap()
                .active
        })
        .collect();
    Campaign {
        readings,
        masses: vec![0.0, 0.5, 1.0, 1.5, 2.0],
        unload: true,
        vectors: false,
    }
}

/// A scissor linkage with joints that give way, leaning in the world.
fn scissor_linkage() -> Design {
    let mut design = scissor(&[20.0; 3], &[19.0; 3], &[0.0; 2]);
    design.joints.stiffness = Some(reference_joints());
    design.joints.boss_diameter = 0.008;
    design.tool.tip_radius = 0.11;
    design.mount.axis = Vector3::new(0.3, -0.2, 0.9);
    design
}

fn fitted(design: &Design, weights: &Weights) -> WeightFit {
    fit_weights(design, weights, &WeightOptions::default()).unwrap()
}

fn value(fit: &WeightFit, wanted: WeightParameter) -> f64 {
    let all = &fit.parameters;
    all.iter().find(|p| p.parameter == wanted).unwrap().value
}

fn real(truth: &Truth, parameter: WeightParameter) -> f64 {
    match parameter {
        WeightParameter::BarModulus => truth.modulus,
        WeightParameter::JointTilt => truth.tilt,
        WeightParameter::JointRadial => truth.radial,
        WeightParameter::BaseTilt => truth.base,
        WeightParameter::Play => truth.play,
        WeightParameter::Friction => truth.friction,
        WeightParameter::DriveHolding | WeightParameter::SupportCompliance => 1.0,
    }
}

/// Everything told is near the truth, everything held as planted.
fn near(fit: &WeightFit, truth: &Truth) {
    for one in &fit.parameters {
        let off = one.value - real(truth, one.parameter);
        let allowed = 3.5 * one.by_noise.unwrap_or(0.0);
        assert!(off.abs() <= allowed, "{one:?}");
    }
}

/// Errors over standard errors of everything that is told, of so many campaigns.
fn errors(truth: &Truth, design: &Design, campaigns: u64) -> Vec<(WeightParameter, f64)> {
    let mut list = Vec::new();
    for seed in 0..campaigns {
        let weights = measured(seed, design, truth, &usual(design, 7));
        let fit = fitted(design, &weights);
        assert_eq!(fit.outliers, Vec::<usize>::new(), "seed {seed}");
        assert_eq!(fit.explained, Some(true), "seed {seed}");
        for one in &fit.parameters {
            let wanted = real(truth, one.parameter);
            if !one.told.fitted {
                assert_eq!(one.nominal, wanted, "seed {seed}: {one:?}");
                continue;
            }
            // Held ones are as planted, so that the noise alone is in question.
            let error = one.by_noise.unwrap();
            let off = one.value - wanted;
            list.push((one.parameter, off / error));
        }
    }
    list
}

#[test]
fn planted_values_are_found_within_their_standard_errors() {
    let planted = Truth {
        modulus: 0.85,
        tilt: 0.5,
        play: 0.08e-3,
        friction: 0.05e-3,
        ..AS_DESIGNED
    };
    let leaning = Truth {
        base: 1e-3,
        radial: 0.7,
        ..planted
    };
    for (truth, campaigns) in [(planted, 50), (leaning, 15)] {
        let all = errors(&truth, &scissor_linkage(), campaigns);
        let inside = all.iter().filter(|(_, off)| off.abs() <= 3.0).count();
        let share = inside as f64 / all.len() as f64;
        let square: f64 = all.iter().map(|(_, off)| off * off).sum();
        let deviation = (square / all.len() as f64).sqrt();
        println!(
            "{share:.3} within three, deviation {deviation:.3}, {}",
            all.len()
        );
        for parameter in WeightParameter::of(&scissor_linkage()) {
            let own: Vec<f64> = all
                .iter()
                .filter(|(p, _)| *p == parameter)
                .map(|(_, off)| *off)
                .collect();
            let mean = own.iter().sum::<f64>() / own.len() as f64;
            let square = own.iter().map(|off| off * off).sum::<f64>() / own.len() as f64;
            println!("  {parameter:?}: mean {mean:.2}, rms {:.2}", square.sqrt());
        }
        assert!(share >= 0.95, "{share}");
        assert!((0.85..=1.2).contains(&deviation), "{deviation}");
    }
}

/// Effect of each cause alone on the readings is more than ten times the noise.
#[test]
fn the_one_planted_cause_is_found_first() {
    let design = scissor_linkage();
    let planted = [
        (
            WeightParameter::BarModulus,
            Truth {
                modulus: 0.85,
                ..AS_DESIGNED
            },
        ),
        (
            WeightParameter::JointTilt,
            Truth {
                tilt: 0.5,
                ..AS_DESIGNED
            },
        ),
        (
            WeightParameter::JointRadial,
            Truth {
                radial: 0.25,
                ..AS_DESIGNED
            },
        ),
        (
            WeightParameter::BaseTilt,
            Truth {
                base: 2e-4,
                ..AS_DESIGNED
            },
        ),
        (
            WeightParameter::Play,
            Truth {
                play: 0.1e-3,
                ..AS_DESIGNED
            },
        ),
        (
            WeightParameter::Friction,
            Truth {
                friction: 0.1e-3,
                ..AS_DESIGNED
            },
        ),
    ];
    for (cause, truth) in planted {
        for seed in 0..5 {
            let truth = Truth {
                noise: 1e-6,
                ..truth
            };
            let weights = measured(seed, &design, &truth, &usual(&design, 9));
            let fit = fitted(&design, &weights);
            assert!(
                fit.before.rms > 10.0 * fit.noise,
                "{cause:?}: {} {}",
                fit.before.rms,
                fit.noise
            );
            let first = &fit.causes[0];
            assert_eq!(first.parameter, cause, "{:?}", fit.causes);
            assert!(first.share > 0.99, "{first:?}");
            let wanted = real(&truth, cause);
            assert!((first.value / wanted - 1.0).abs() < 0.1, "{first:?}");
        }
    }
}

/// One row in which the dial was misread by half a millimetre.
#[test]
fn a_misread_row_is_named_and_does_not_count() {
    let design = scissor_linkage();
    let truth = Truth {
        modulus: 0.85,
        play: 0.08e-3,
        ..AS_DESIGNED
    };
    for seed in 0..5 {
        let good = measured(seed, &design, &truth, &usual(&design, 9));
        let mut bad = good.clone();
        let wrong = 13 + 7 * seed as usize;
        if let Displacement::Along { value, .. } = &mut bad.rows[wrong].displacement {
            *value += 0.5e-3;
        }
        let fit = fitted(&design, &bad);
        assert_eq!(fit.outliers, [bad.rows[wrong].row]);
        let without = fitted(&design, &good);
        for (a, b) in fit.parameters.iter().zip(&without.parameters) {
            let (error, moved) = (a.by_noise.unwrap_or(0.0), a.value - b.value);
            assert!(moved.abs() <= error, "{a:?} {b:?}");
        }
    }
}

/// The same truth seen by three components: all of them serve.
#[test]
fn displacements_as_vectors_are_fitted_too() {
    let design = scissor_linkage();
    let truth = Truth {
        tilt: 0.5,
        friction: 0.05e-3,
        ..AS_DESIGNED
    };
    let mut campaign = usual(&design, 6);
    campaign.vectors = true;
    let fit = fitted(&design, &measured(1, &design, &truth, &campaign));
    near(&fit, &truth);
    assert!((fit.noise / NOISE - 1.0).abs() < 0.2, "{}", fit.noise);
}

/// Derived: with p and w in it, a reading while loading has (p − w)/2 in it at every weight,
/// so that only their difference is told.
#[test]
fn loading_alone_tells_no_friction() {
    let design = scissor_linkage();
    let truth = Truth {
        play: 0.08e-3,
        friction: 0.02e-3,
        ..AS_DESIGNED
    };
    let mut campaign = usual(&design, 9);
    campaign.unload = false;
    let fit = fitted(&design, &measured(3, &design, &truth, &campaign));
    assert!(!fit.unloaded_again);
    let of = |wanted| {
        let all = &fit.parameters;
        all.iter().find(|p| p.parameter == wanted).unwrap()
    };
    let friction = of(WeightParameter::Friction);
    assert!(!friction.told.fitted && friction.value == 0.0);
    let play = of(WeightParameter::Play);
    let like = &friction.told.looks_like[0];
    assert_eq!(like.0, play.told.index);
    assert!((like.1 + 1.0).abs() < 1e-6, "{like:?}");
    let by_noise = play.by_noise.unwrap();
    assert!((play.value - 0.06e-3).abs() < 3.0 * by_noise, "{play:?}");
    // Told as less sure for what is held.
    assert!(play.standard_error.unwrap() > 0.04e-3);
    assert!(fit.stations.iter().all(|s| s.friction.is_none()));
}

/// Rigid joints, a base that tilts: joints are no unknowns, the base is told by hand's value.
#[test]
fn rigid_joints_have_no_unknowns() {
    let design = arm(50.0, 40.0);
    let kinematics = Kinematics::new(&design).unwrap();
    let readings = [[0.2, 0.5], [0.9, 1.2], [-0.6, 1.9], [0.1, 2.4]]
        .map(|angles| kinematics.forward_from_mechanism(angles).unwrap().active);
    let campaign = Campaign {
        readings: readings.to_vec(),
        masses: vec![0.0, 0.4, 0.8, 1.2],
        unload: true,
        vectors: false,
    };
    let truth = Truth {
        modulus: 1.1,
        base: 1e-3,
        friction: 0.03e-3,
        ..AS_DESIGNED
    };
    let fit = fitted(&design, &measured(2, &design, &truth, &campaign));
    let names: Vec<&str> = fit.parameters.iter().map(|p| p.parameter.name()).collect();
    assert_eq!(
        names,
        [
            "bar_modulus",
            "base_tilt_compliance",
            "play",
            "friction_hysteresis"
        ]
    );
    near(&fit, &truth);
    // The fitted model's design has the compliance of the truth.
    let again = applied(&design, &WeightParameter::of(&design), &fit.coordinates);
    let exact = Compliance::new(&design, &truth);
    let own = Compliance::new(
        &again,
        &Truth {
            base: 0.0,
            ..AS_DESIGNED
        },
    );
    let force = Vector3::new(3.0, -4.0, -12.0);
    let (a, b) = (
        exact.moved(readings[1], &force),
        own.moved(readings[1], &force),
    );
    assert!((a - b).norm() < 0.01 * a.norm(), "{a} {b}");
}

/// Weights on bars and on the grip: the truth is the shape under load.
#[test]
fn weights_on_bars_and_grip_are_told_apart_from_the_tip() {
    let mut design = scissor_linkage();
    design.tool.grip_radius = Some(0.14);
    for drive in &mut design.drives.each {
        drive.stiffness = Some(400.0.into());
    }
    design.mount.support = Some(Support::Springs {
        at_radius: 0.15,
        axial: 1e6.into(),
        lateral: 8e5.into(),
        tilt: 9e3.into(),
        twist: 7e3.into(),
    });
    let mut truth = Truth {
        modulus: 0.9,
        tilt: 0.6,
        ..AS_DESIGNED
    }
    .design(&design);
    for drive in &mut truth.drives.each {
        drive.stiffness = Some((0.7 * 400.0).into());
    }
    let model = model(&truth);
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let mut rows = Vec::new();
    for readings in usual(&design, 6).readings {
        let pose = model.kinematics.forward(readings).unwrap();
        for on in [
            LoadPlace::Grip,
            LoadPlace::Bar {
                name: "bar-left-1".to_string(),
                fraction: 0.3,
            },
        ] {
            for mass in [1.0, 2.0, 3.0] {
                let load = Load {
                    on: on.clone(),
                    force: LoadVector::World(-Vector3::z() * mass * GRAVITY),
                    moment: LoadVector::World(Vector3::zeros()),
                    ..Load::NOTHING
                };
                let case = LoadCase::single("", load);
                let shape = loaded_shape(&model, &pose, Loading::Case(&case)).unwrap();
                let moved = world_from_base(&design) * shape.tip_displacement;
                rows.push(WeightRow {
                    row: rows.len() + 1,
                    readings,
                    mass,
                    pull: -Vector3::z(),
                    place: on.clone(),
                    displacement: Displacement::Vector(
                        moved.map(|c| c + 1e-7 * normal(&mut random)),
                    ),
                    course: Course::Loading,
                });
            }
        }
    }
    let fit = fitted(&design, &Weights { rows });
    for (parameter, wanted) in [
        (WeightParameter::BarModulus, 0.9),
        (WeightParameter::JointTilt, 0.6),
        (WeightParameter::DriveHolding, 0.7),
        (WeightParameter::SupportCompliance, 1.0),
    ] {
        let found = value(&fit, parameter);
        assert!((found / wanted - 1.0).abs() < 0.02, "{parameter:?} {found}");
    }
    for station in &fit.stations {
        let on_bar = matches!(station.place, LoadPlace::Bar { .. });
        assert_eq!(station.shares.is_none(), on_bar);
    }
}

/// Stiffness by hand: with the truth noiseless it is 1/(a · C e), whatever play and friction
/// are; bands of ±10 % on all stiffnesses hold a truth 4 % soft and not one 30 % soft.
#[test]
fn measured_stiffness_lies_in_the_band_or_not() {
    let mut design = scissor_linkage();
    let band =
        |number: Uncertain| Uncertain::band(number.value, 0.9 * number.value, 1.1 * number.value);
    let joint = reference_joints();
    design.joints.stiffness = Some(JointStiffness {
        axial: band(joint.axial),
        radial: band(joint.radial),
        tilt: band(joint.tilt),
    });
    design.material.youngs_modulus = band(design.material.youngs_modulus);
    design.material.shear_modulus = band(design.material.shear_modulus);
    for (factor, standing) in [
        (0.96, Standing::Within),
        (0.7, Standing::Softer),
        (1.3, Standing::Stiffer),
    ] {
        let truth = Truth {
            modulus: factor,
            tilt: factor,
            radial: factor,
            play: 0.07e-3,
            friction: 0.03e-3,
            noise: 1e-9,
            ..AS_DESIGNED
        };
        let campaign = usual(&design, 6);
        let weights = measured(5, &design, &truth, &campaign);
        let fit = fitted(&design, &weights);
        assert_eq!(fit.stations.len(), campaign.readings.len());
        let exact = Compliance::new(&design, &truth);
        for station in &fit.stations {
            let moved = exact.moved(station.readings, &station.pull);
            let wanted = 1.0 / station.gauge.unwrap().dot(&moved);
            let seen = station.measured.unwrap().value;
            assert!((seen / wanted - 1.0).abs() < 1e-3, "{seen} {wanted}");
            assert!((station.fitted.unwrap() / wanted - 1.0).abs() < 1e-3);
            // All stiffnesses by one factor: so the whole.
            let nominal = station.nominal.unwrap();
            assert!((wanted / nominal - factor).abs() < 1e-6);
            let [soft, stiff] = station.band.unwrap();
            assert!((soft / nominal - 0.9).abs() < 1e-9 && (stiff / nominal - 1.1).abs() < 1e-9);
            assert_eq!(station.standing, Some(standing));
            assert!((station.play.unwrap().value - 0.07e-3).abs() < 1e-7);
            assert!((station.friction.unwrap().value - 0.03e-3).abs() < 1e-7);
            let shares = station.shares.unwrap();
            let sum = shares.arcs + shares.joints + shares.pins + shares.drives + shares.base;
            assert!((sum - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn what_cannot_be_fitted_says_what_is_missing() {
    let design = scissor_linkage();
    let good = measured(1, &design, &AS_DESIGNED, &usual(&design, 4));
    let refused = |change: &dyn Fn(&mut WeightRow)| {
        let mut weights = good.clone();
        weights.rows.iter_mut().for_each(change);
        fit_weights(&design, &weights, &WeightOptions::default()).unwrap_err()
    };
    let none = fit_weights(&design, &Weights::default(), &WeightOptions::default());
    assert_eq!(none.unwrap_err(), WeightError::NoLoad);
    assert_eq!(refused(&|row| row.mass = 0.0), WeightError::NoLoad);
    let first = good.rows[0].readings;
    let error = refused(&|row| row.readings = first);
    assert_eq!(error, WeightError::OneConfiguration);
    let error = refused(&|row| row.readings = [0.0, 3.1]);
    assert!(matches!(&error, WeightError::Unreachable { rows } if rows.len() == 28));
    assert!(error.to_string().contains("and 16 more"), "{error}");
    let error = refused(&|row| row.mass = if row.row == 5 { f64::NAN } else { row.mass });
    assert!(matches!(error, WeightError::NotUsable { row: 5, .. }));
    let error = refused(&|row| row.pull *= if row.row == 2 { 0.0 } else { 1.0 });
    assert!(matches!(error, WeightError::NotUsable { row: 2, .. }));
    let error = refused(&|row| {
        row.place = LoadPlace::Bar {
            name: "bar-9".to_string(),
            fraction: 0.5,
        };
    });
    assert!(matches!(error, WeightError::Place { row: 1, .. }));
    let exact = Compliance::new(&design, &AS_DESIGNED);
    let error = refused(&|row| {
        let across = exact.moved(row.readings, &row.pull).cross(&row.pull);
        row.displacement = Displacement::Along {
            axis: across.normalize(),
            value: 0.0,
        };
    });
    assert!(matches!(&error, WeightError::GaugeAcross { rows } if rows.len() == 28));
    let options = WeightOptions {
        hold: vec!["colour".to_string()],
        ..WeightOptions::default()
    };
    let error = fit_weights(&design, &good, &options).unwrap_err();
    assert!(
        error.to_string().contains("joint_tilt_stiffness"),
        "{error}"
    );
    let few = Weights {
        rows: vec![good.rows[1].clone(), good.rows[10].clone()],
    };
    let error = fit_weights(&design, &few, &WeightOptions::default()).unwrap_err();
    assert_eq!(error, WeightError::TooFew { got: 2, needed: 6 });
}

/// Rows out of reach are named, the others serve; what is held stays as designed.
#[test]
fn rows_out_of_reach_are_named_and_held_values_stay() {
    let design = scissor_linkage();
    let mut weights = measured(4, &design, &AS_DESIGNED, &usual(&design, 6));
    weights.rows[7].readings = [0.0, 3.1];
    let options = WeightOptions {
        hold: vec!["play".to_string(), "joint_tilt_stiffness".to_string()],
        ..WeightOptions::default()
    };
    let fit = fit_weights(&design, &weights, &options).unwrap();
    assert_eq!(fit.unreachable, [8]);
    assert_eq!(fit.used, weights.rows.len() - 1);
    assert_eq!(value(&fit, WeightParameter::Play), 0.0);
    assert_eq!(value(&fit, WeightParameter::JointTilt), 1.0);
    assert!(fit.residuals.iter().all(|(row, _)| *row != 8));
}

/// Noise of a tenth of a millimetre on a few light weights: the fit says what it cannot tell.
#[test]
fn what_noise_hides_is_held() {
    let design = scissor_linkage();
    let mut campaign = usual(&design, 3);
    campaign.masses = vec![0.0, 0.2, 0.4];
    let truth = Truth {
        noise: 0.1e-3,
        ..AS_DESIGNED
    };
    let fit = fitted(&design, &measured(6, &design, &truth, &campaign));
    let held = fit.parameters.iter().filter(|p| !p.told.fitted);
    assert!(held.clone().count() >= 3);
    for one in held {
        assert_eq!(one.value, one.nominal);
        assert_eq!(one.standard_error, None);
    }
}
