//! Keys of the joints, which brief and design share.

use super::parts::{BEARING, MEASURED, PIN, SEAT};
use super::shared::{ANGULAR_STIFFNESS, STIFFNESS};
use super::{Key, Kind, Quantity, Table};
use crate::units::Unit;

/// When a stiffness is needed.
const WITHOUT: &str = "required without `bearing`, unless `rigid = true`";

/// What brief and design say of joints.
pub(super) const JOINT_KEYS: [Key; 11] = [
    Key::default(
        "rigid",
        Kind::Flag,
        "false",
        "`true` for rigid joints; then no stiffness is given",
    ),
    Key::optional(
        "axial_n_per_m",
        Kind::Band(STIFFNESS),
        WITHOUT,
        "3e6",
        "stiffness along the joint's own axis, which is radial to the sphere; not along the arc",
    ),
    Key::optional(
        "radial_n_per_m",
        Kind::Band(STIFFNESS),
        WITHOUT,
        "6e6",
        "stiffness across the joint's own axis, tangential to the sphere",
    ),
    Key::optional(
        "tilt_nm_per_rad",
        Kind::Band(ANGULAR_STIFFNESS),
        WITHOUT,
        "300",
        "stiffness against tilting about any axis across the joint's own",
    ),
    Key::default(
        "boss_diameter_mm",
        Kind::Number(Quantity::from_to(Unit::Millimetre, 0.0, 1000.0)),
        "0",
        "diameter of the boss about each joint; its radius is a rigid end zone of every arc; 0 = none, but with a bearing it is the bearing's outer diameter + 5 mm unless given",
    ),
    Key::default(
        "mass_kg",
        Kind::Number(Quantity::from_to(Unit::Kilogram, 0.0, 100.0)),
        "0",
        "mass of pin and bearing of one joint; with a bearing, added to theirs",
    ),
    Key::optional(
        "releases",
        Kind::Tables(&RELEASE),
        "no joint is released",
        "[{ joint = \"side-left-1\", axial = true }]",
        "joints with directions that carry no load",
    ),
    Key::optional(
        "bearing",
        Kind::Table(&BEARING),
        "the joints have the three stiffnesses given",
        "{ name = \"624\" }",
        "bearings from which the stiffness follows; then no stiffness is given",
    ),
    Key::optional(
        "seat",
        Kind::Table(&SEAT),
        "the bearings sit rigidly",
        "{ radial_n_per_m = 2e6, axial_n_per_m = 1e6 }",
        "compliance between a bearing and its boss; needs `bearing`",
    ),
    Key::optional(
        "measured",
        Kind::Table(&MEASURED),
        "the joints are as stiff as their parts predict",
        "{ radial_factor = 0.9, tilt_factor = { value = 0.7, from = 0.6, to = 0.8 } }",
        "factors that measuring a prototype has shown; needs `bearing`",
    ),
    Key::optional(
        "pin",
        Kind::Table(&PIN),
        "a solid steel pin of the bearing's bore",
        "{ diameter_mm = 4 }",
        "the pin; needs `bearing`",
    ),
];

/// `[joints]` of a brief.
pub static JOINTS: Table = Table {
    meaning: "Stiffness of every joint, base joints included. A joint's own axis is radial to the sphere.",
    keys: &JOINT_KEYS,
};

/// `[[joints.releases]]`.
static RELEASE: Table = Table {
    meaning: "A joint with directions that carry no load.",
    keys: &[
        Key::required(
            "joint",
            Kind::Text,
            "\"side-left-1\"",
            "name of the joint, as results print it",
        ),
        Key::default(
            "axial",
            Kind::Flag,
            "false",
            "`true` to free it along its own axis, which is radial to the sphere",
        ),
        Key::default(
            "tilt",
            Kind::Flag,
            "false",
            "`true` to free it to tilt about any axis across its own",
        ),
    ],
};
