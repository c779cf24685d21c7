//! The checks behind `calotte verify`: what the library computes, against
//! values that came from elsewhere.
//!
//! Each topic is a module with its own small table of reference values, typed
//! from a publication named by author, title, edition or year and place; from a
//! derivation carried out by a file of the repository that does not use the
//! library (`oracles/derived_*.py`, held to these values by `test_derived.py`);
//! from memory; or from common practice. Which of them stands beside every
//! value, as a [`Source`]. No reference value is made by the code it checks. [`run_all`] computes all of them in a
//! fixed order; [`markdown`], [`document`] and [`text_table`] write them down.
//!
//! Inside this crate angles are typed in degrees where the source prints degrees.

#![expect(
    clippy::approx_constant,
    reason = "reference values are typed with the digits their source prints"
)]

mod arc_compliance;
mod assemblies;
mod check;
mod common;
mod curved_bars;
mod directions;
mod five_bar;
mod frame;
mod holding;
mod linkage_by_hand;
mod loops;
mod machine_elements;
mod made_parts;
mod mobility;
mod number;
mod output;
mod planar;
mod scissor_elasticity;
mod scissor_kinematics;
mod sections;
mod thick_bars;
mod triangles;
mod two_arc_arm;
mod virtual_joints;

pub use check::{Check, Kind, Source, Stated};
pub use output::{document, markdown, text_table};

/// A topic: its heading and the checks under it.
type Topic = (&'static str, fn() -> Vec<Check>);

/// All topics in the order they are printed.
const TOPICS: [Topic; 19] = [
    ("Spherical triangles and rhombi", triangles::checks),
    ("Spherical four-bar and five-bar", loops::checks),
    ("Five-bar in closed form", five_bar::checks),
    ("Two-arc arm", two_arc_arm::checks),
    ("Conditioning in the plane", planar::checks),
    (
        "Scissor linkage: angles and conditioning",
        scissor_kinematics::checks,
    ),
    ("Mobility", mobility::checks),
    ("Directions", directions::checks),
    ("Sections", sections::checks),
    ("Arc compliance", arc_compliance::checks),
    ("Thick curved bars", thick_bars::checks),
    ("Curved bars and rings", curved_bars::checks),
    ("Straight frame", frame::checks),
    ("Assembled arcs", assemblies::checks),
    ("Scissor linkage: compliance", scissor_elasticity::checks),
    ("Virtual joints", virtual_joints::checks),
    ("Holding torque", holding::checks),
    ("Bearings, pins and fits", machine_elements::checks),
    ("Parts as made", made_parts::checks),
];

/// Computes every check, in a fixed order.
pub fn run_all() -> Vec<Check> {
    TOPICS
        .iter()
        .flat_map(|(topic, checks)| {
            checks().into_iter().map(|mut check| {
                check.topic = topic;
                check
            })
        })
        .collect()
}
