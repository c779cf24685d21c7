//! Designs among keep-outs, for the tests.

use calotte::brief::{KeepOut, KeepOutShape};
use calotte::built::Built;
use calotte::design::{Arrangement, Design, ToolEnvelope};
use calotte::kinematics::range_choice::working_range;
use calotte::kinematics::{Kinematics, Margins, WorkingRange};
use calotte::sphere::Region;
use calotte::surroundings::{Obstacle, Surroundings};
use nalgebra::Vector3;

use crate::common::{DEGREE, built, uniform};

/// Everything a test needs of one design.
pub struct Scene {
    pub design: Design,
    pub kinematics: Kinematics,
    pub built: Built,
    pub obstacles: Vec<Obstacle>,
    pub range: WorkingRange,
    /// Base frame.
    pub region: Region,
    pub allowance: f64,
}

impl Scene {
    pub fn new(design: Design, keep_outs: &[KeepOut], allowance: f64) -> Self {
        let kinematics = Kinematics::new(&design).unwrap();
        let built = Built::new(&design, &kinematics.linkage).unwrap();
        let world = Region::cap(Vector3::z(), 80.0 * DEGREE);
        let region = world.rotated(&design.mount.base_from_world());
        let margins = Margins {
            lci_min: 0.0,
            transmission_angle_min: 20.0 * DEGREE,
        };
        let range = working_range(&kinematics, &design.drives.range, &margins, &region).unwrap();
        Self {
            obstacles: Obstacle::all(keep_outs).unwrap(),
            design,
            kinematics,
            built,
            range,
            region,
            allowance,
        }
    }

    pub fn surroundings(&self) -> Surroundings<'_> {
        Surroundings::new(
            &self.design,
            &self.kinematics,
            &self.built,
            &self.obstacles,
            self.allowance,
        )
    }

    /// The solid of this name, as an index.
    pub fn solid(&self, name: &str) -> usize {
        self.built
            .solids
            .iter()
            .position(|solid| solid.name == name)
            .unwrap()
    }
}

pub fn keep_out(name: &str, shape: KeepOutShape) -> KeepOut {
    KeepOut {
        name: name.to_string(),
        shape,
        tool_may_touch: false,
    }
}

/// Two stages of 23.5° in two layers from 150 mm, a tool of 20 mm down to 100 mm.
pub fn dome() -> Design {
    let mut design = built(uniform(2, 23.5), Arrangement::Two);
    design.tool.tip_radius = 0.1;
    design.tool.envelope = Some(ToolEnvelope {
        diameter: 0.02,
        outer_radius: None,
    });
    design
}

/// A ball about the remote centre that the tool may touch, and a floor: both the same
/// all around an upright base axis.
pub fn phantom_and_floor() -> Vec<KeepOut> {
    let mut phantom = keep_out(
        "phantom",
        KeepOutShape::Sphere {
            centre: Vector3::zeros(),
            radius: 0.095,
        },
    );
    phantom.tool_may_touch = true;
    vec![
        phantom,
        keep_out(
            "floor",
            KeepOutShape::HalfSpace {
                normal: Vector3::z(),
                at: Vector3::new(0.0, 0.0, 0.04),
            },
        ),
    ]
}

/// A slender post beside the dome.
pub fn post(radius: f64) -> KeepOut {
    let foot = Vector3::new(0.11 * 0.6, 0.11 * 0.8, -0.2);
    keep_out(
        "post",
        KeepOutShape::Cylinder {
            from: foot,
            to: foot + Vector3::z() * 0.3,
            radius,
        },
    )
}
