//! Parts as they are made: mass of bars (M01), walls and lands beside holes (W01, W02).

use calotte::built::Built;
use calotte::design::{Arrangement, BaseSizes, Design, JointParts, Layers};
use calotte::family;
use calotte::statics::HoldingModel;
use calotte::stock::{Bearing, Material};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{arm, uniform};

const MASS: Source = Source::derived(
    file::ELEMENTS,
    "density · section · radius · both arcs, without bosses",
);
const WALL: Source = Source::derived(
    file::ELEMENTS,
    "half the difference of the boss of 24 mm and the hollow shaft of 22 mm",
);
const LAND: Source = Source::derived(
    file::ELEMENTS,
    "arc of 15° on the boss's inner face less what holes of 22 and 19 mm take of it",
);

/// Mass of the bars of an arm of 75° and 60°, kg.
fn mass() -> Option<f64> {
    let design = arm(75.0, 60.0);
    let linkage = family::build(&design).ok()?;
    let built = Built::new(&design, &linkage).ok()?;
    Some(HoldingModel::new(&design, &linkage, &built).moving_mass())
}

/// One stage of 15° in two layers with 6800 bearings, bosses and shafts of usual sizes.
fn one_stage() -> Option<Design> {
    let mut design = uniform(1, 15.0);
    let bearing = Bearing::shipped("6800")?;
    let parts = JointParts::usual(bearing, Material::shipped("stainless steel 304")?);
    design.joints.boss_diameter = parts.usual_boss_diameter();
    design.joints.stiffness = Some(parts.pair_stiffness().ok()?);
    design.joints.parts = Some(parts);
    design.layers = Some(Layers {
        arrangement: Arrangement::Two,
        gap: 0.5e-3,
        clearance: 0.5e-3,
        boss_height: None,
        base: BaseSizes::default(),
    });
    Some(design)
}

/// Thinnest wall and narrowest land of its bars, m.
fn thinnest() -> Option<[f64; 2]> {
    let design = one_stage()?;
    let built = Built::new(&design, &family::build(&design).ok()?).ok()?;
    let (wall, land) = (built.thinnest_wall()?, built.narrowest_land()?);
    Some([wall.thickness, land.thickness])
}

pub(crate) fn checks() -> Vec<Check> {
    let [wall, land] = thinnest().map_or([f64::NAN; 2], |both| both.map(|si| 1e3 * si));
    let stage = |what: &str| format!("one stage of 15° with 6800 bearings: {what}");
    vec![
        MASS.check(
            "M01",
            "bars 12×6 at 150 mm, 75° and 60°: mass",
            "kg",
            [0.068706631334, mass().unwrap_or(f64::NAN)],
            Tolerance::Relative(1e-9),
        ),
        WALL.check(
            "W01",
            stage("thinnest wall"),
            "mm",
            [1.0, wall],
            Tolerance::Absolute(1e-9),
        ),
        LAND.check(
            "W02",
            stage("narrowest land"),
            "mm",
            [20.325686993, land],
            Tolerance::Absolute(1e-8),
        ),
    ]
}
