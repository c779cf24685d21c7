//! What creep adds to sag.

mod common;

use calotte::Uncertain;
use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::brief::{Load, LoadCase, LoadVector};
use calotte::design::JointStiffness;
use calotte::quantity::Quantity;
use calotte::stock::Material;
use calotte::uncertain::Corner;
use common::arm;
use nalgebra::Vector3;

/// A printed arm with elastic joints sags, after long, up to what half the lowest modulus
/// gives; a load that comes and goes meets the lowest modulus itself.
#[test]
fn creep_widens_the_sag_of_a_printed_design_and_nothing_else() {
    let mut design = arm(60.0, 50.0);
    design.material = Material::shipped("PA12 laser-sintered").unwrap();
    design.joints.stiffness = Some(JointStiffness {
        axial: 3e6.into(),
        radial: 6e6.into(),
        tilt: 300.0.into(),
    });
    design.tool.mass = Some(0.8.into());
    let mut requirements = Requirements::without_brief(&design);
    requirements.loads.push(LoadCase::single(
        "push",
        Load {
            force: LoadVector::Local(Vector3::new(1.0, 2.0, 3.0)),
            ..Load::NOTHING
        },
    ));
    let options = AnalysisOptions {
        rings: 9,
        proof: false,
        ..AnalysisOptions::default()
    };
    let found = analyse(&design, &requirements, &options).unwrap();
    let with = |factor: f64, change: fn(&Uncertain) -> f64, heavy: fn(&Uncertain) -> f64| {
        let mut other = design.clone();
        let material = &mut other.material;
        material.youngs_modulus = (change(&material.youngs_modulus) / factor).into();
        material.shear_modulus = (change(&material.shear_modulus) / factor).into();
        material.density = heavy(&material.density).into();
        material.creep = 1.0.into();
        let options = AnalysisOptions {
            bands: false,
            ..options
        };
        analyse(&other, &requirements, &options).unwrap()
    };
    let got = |analysis: &calotte::analysis::Analysis, quantity| {
        *analysis.row(quantity).unwrap().got.as_ref().unwrap()
    };
    let nominal = with(1.0, |e| e.value, |rho| rho.value);
    let (soft, crept) = (
        with(1.0, |e| e.low, |rho| rho.high),
        with(2.0, |e| e.low, |rho| rho.high),
    );
    let near = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-9;
    let sag = found.row(Quantity::Sag).unwrap();
    // Nothing has crept yet at first.
    assert!(near(
        got(&found, Quantity::Sag),
        got(&nominal, Quantity::Sag)
    ));
    let [_, high] = sag.band.unwrap();
    assert!(near(high, got(&crept, Quantity::Sag)), "{high}");
    assert!(high > 1.5 * got(&soft, Quantity::Sag));
    let [_, high] = found
        .row(Quantity::ContactDeflection)
        .unwrap()
        .band
        .unwrap();
    assert!(near(high, got(&soft, Quantity::ContactDeflection)));
    let [low, _] = found.row(Quantity::Stiffness).unwrap().band.unwrap();
    assert!(near(low, got(&soft, Quantity::Stiffness)));
    // A metal does not creep.
    design.material = Material::shipped("aluminium 6061-T6").unwrap();
    assert!(design.at_corner(Corner::Soft).sustained().is_none());
}
