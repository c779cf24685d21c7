//! Which parts come near each other: distances against clouds of points, touches
//! between samples, the law of folding, layers, and input that has no answer.

mod cloud;
#[path = "../common/mod.rs"]
mod common;
mod distances;
mod layers;
mod ranges;

use calotte::built::Built;
use calotte::design::{Arrangement, Design, ToolCarrier, ToolEnvelope};
use calotte::interference::{Clearing, PairDistance};
use calotte::kinematics::Kinematics;
use calotte::stock::Section;
use common::{built, scissor};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A design with everything its clearing needs.
struct Prepared {
    design: Design,
    kinematics: Kinematics,
    built: Built,
}

impl Prepared {
    fn new(design: Design) -> Option<Self> {
        let kinematics = Kinematics::new(&design).ok()?;
        let built = Built::new(&design, &kinematics.linkage).ok()?;
        Some(Self {
            design,
            kinematics,
            built,
        })
    }

    fn clearing(&self) -> Clearing<'_> {
        Clearing::new(&self.design, &self.kinematics, &self.built).unwrap()
    }

    fn distances(&self, second: f64) -> Vec<PairDistance> {
        let pose = self.kinematics.forward_from_mechanism([0.0, second]);
        self.clearing().distances_at(&pose.unwrap().configuration)
    }

    fn polar(&self, second: f64) -> f64 {
        self.kinematics.meridian.state(second).polar.value
    }
}

/// Bars alone: no pins, no bosses beyond the bar's width, shafts thinner than a hair.
fn bare(mut design: Design, arrangement: Arrangement, width: f64) -> Design {
    design = built(design, arrangement);
    design.joints.parts = None;
    design.joints.boss_diameter = 0.0;
    design.section = Section::Rectangle {
        tangential: width,
        radial: 0.001,
    };
    let layers = design.layers.as_mut().unwrap();
    (layers.gap, layers.clearance) = (1e-5, 0.0);
    layers.base.shaft_diameter = Some(1e-6);
    layers.base.hollow_shaft_diameter = Some(3e-6);
    layers.base.hollow_shaft_bore = Some(2e-6);
    design
}

/// A random scissor linkage that can be built.
fn random_linkage(seed: u64) -> Prepared {
    let mut rng = ChaCha8Rng::seed_from_u64(4);
    rng.set_stream(seed);
    loop {
        let stages = rng.random_range(1..=3);
        let proximal: Vec<f64> = (0..stages).map(|_| rng.random_range(12.0..40.0)).collect();
        let distal: Vec<f64> = proximal
            .iter()
            .map(|arc| arc + rng.random_range(0.0..15.0))
            .collect();
        let bends: Vec<f64> = (1..stages).map(|_| rng.random_range(-20.0..60.0)).collect();
        let bars = 2 * stages + 2;
        let arrangement = match rng.random_range(0..3) {
            0 => Arrangement::Two,
            1 => Arrangement::Nested,
            _ => Arrangement::Given((0..bars).map(|_| rng.random_range(0..bars)).collect()),
        };
        let mut design = built(scissor(&proximal, &distal, &bends), arrangement);
        design.joint_radius = rng.random_range(0.1..0.25);
        let width = rng.random_range(0.006..0.016);
        design.section = match rng.random_range(0..4) {
            0 => Section::Rod { diameter: width },
            1 => Section::Tube {
                outer_diameter: width,
                inner_diameter: 0.7 * width,
            },
            2 => Section::RectangleTube {
                tangential: width,
                radial: rng.random_range(0.005..0.01),
                wall: 0.001,
            },
            _ => Section::Rectangle {
                tangential: width,
                radial: rng.random_range(0.003..0.01),
            },
        };
        design.joints.boss_diameter = rng.random_range(0.0135..0.025);
        if rng.random_bool(0.3) {
            design.joints.parts = None;
        }
        design.tool.carried_by =
            [ToolCarrier::Left, ToolCarrier::Right, ToolCarrier::Bisector][rng.random_range(0..3)];
        design.tool.bracket_arc = if rng.random_bool(0.3) { 0.2 } else { 0.0 };
        design.tool.tip_radius = design.joint_radius * rng.random_range(0.2..0.7);
        design.tool.envelope = Some(ToolEnvelope {
            diameter: rng.random_range(0.01..0.03),
            outer_radius: rng
                .random_bool(0.5)
                .then_some(design.joint_radius * rng.random_range(0.9..1.3)),
        });
        let layers = design.layers.as_mut().unwrap();
        layers.gap = rng.random_range(0.0..0.002);
        if let Some(prepared) = Prepared::new(design) {
            return prepared;
        }
    }
}
