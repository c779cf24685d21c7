//! What is asked of a design: the region, one configuration, or a direction.

use calotte::analysis::ConfigurationResult;
use calotte::analysis::point::configuration_result;
use calotte::built::{Built, PlacedParts};
use calotte::elasticity::virtual_joints::{Comparison, compare};
use calotte::interference::PairDistance;
use calotte::kinematics::Pose;
use calotte::sphere::Direction;
use calotte::subject::{Model, Subject};

/// What is asked for.
pub enum Asked {
    /// The whole region.
    Region,
    /// One configuration.
    Configuration(Box<Single>),
    /// A direction out of the working range, with the nearest in it and its distance, rad.
    Unreachable {
        /// What was asked for.
        wanted: Direction,
        /// The nearest direction, its distance and its configuration.
        nearest: Option<(Direction, f64, Box<ConfigurationResult>)>,
    },
}

/// Everything about one configuration.
pub struct Single {
    /// What it does.
    pub result: ConfigurationResult,
    /// The virtual joint model's answer, rigid joints and no layers in both.
    pub opinion: Option<Comparison>,
    /// Centre lines of the parts, if the design says what is built.
    pub parts: Option<PlacedParts>,
    /// The parts.
    pub built: Option<Built>,
    /// Distances of all pairs of parts that pass each other.
    pub distances: Option<Vec<PairDistance>>,
}

/// One configuration with the second opinion on its compliance.
pub fn configuration(subject: &Subject, model: &Model, pose: &Pose) -> Asked {
    let nominal = &subject.design;
    let opinion = compare(
        // The virtual joint model knows neither pins nor layers.
        &if nominal.is_built() {
            nominal.ideal()
        } else {
            nominal.clone()
        },
        &model.kinematics.linkage,
        &pose.configuration,
        &pose.frame,
    );
    Asked::Configuration(Box::new(Single {
        result: configuration_result(model, pose),
        opinion: opinion.ok(),
        parts: nominal.is_built().then(|| {
            model
                .built
                .placed(nominal, &model.kinematics.linkage, &pose.configuration)
        }),
        built: nominal.is_built().then(|| Built::clone(&subject.built)),
        distances: subject
            .clearing()
            .ok()
            .map(|clearing| clearing.distances_at(&pose.configuration)),
    }))
}
