//! Keys of what differs: bars with a section of their own, levels with joints of their own.

use super::joints::JOINT_KEYS;
use super::parts::{BEARING, LENGTH_OR_ZERO};
use super::shared::{ANGULAR_STIFFNESS, LENGTH, SECTION_KEYS, STIFFNESS};
use super::{Key, Kind, Quantity, Table, joined};
use crate::units::Unit;

/// Level of joints; whole numbers, which the reader sees to.
const LEVEL: Quantity = Quantity::from_to(Unit::One, 0.0, calotte::kinematics::STAGES_MAX as f64);

const LEVEL_MEANING: &str = "the level: 0 the base joints, then the stage of a scissor linkage (its side joints and apex); 1 the elbow of an arm, elbows and apex of a five-bar";

/// `[section]` of a design.
pub(super) static DESIGN_SECTION: Table = Table {
    meaning: "Cross-section of the bars. `radial` lies along the sphere's radius, `tangential` across the bar along the sphere.",
    keys: &joined::<{ SECTION_KEYS.len() }, 2, { SECTION_KEYS.len() + 2 }>(
        SECTION_KEYS,
        [
            Key::optional(
                "level",
                Kind::Tables(&SECTION_LEVEL),
                "all bars have the section above",
                "[{ level = 0, shape = \"rectangle\", tangential_mm = 16, radial_mm = 8 }]",
                "sections of the bars that start from the joints of a level, one entry for each",
            ),
            Key::optional(
                "bar",
                Kind::Tables(&SECTION_BAR),
                "bars have the section of their level, or the one above",
                "[{ name = \"bar-left-1\", shape = \"rod\", diameter_mm = 10 }]",
                "sections of single bars, one entry for each; they go before that of their level",
            ),
        ],
    ),
};

/// `[[section.level]]`.
static SECTION_LEVEL: Table = Table {
    meaning: "Cross-section of all bars that start from the joints of one level: 0 the bars at the base, then those of each stage. It is complete; nothing is taken from [section].",
    keys: &joined::<1, { SECTION_KEYS.len() }, { SECTION_KEYS.len() + 1 }>(
        [Key::required(
            "level",
            Kind::Number(LEVEL),
            "0",
            LEVEL_MEANING,
        )],
        SECTION_KEYS,
    ),
};

/// `[[section.bar]]`.
static SECTION_BAR: Table = Table {
    meaning: "Cross-section of one bar. It is complete; nothing is taken from [section].",
    keys: &joined::<1, { SECTION_KEYS.len() }, { SECTION_KEYS.len() + 1 }>(
        [Key::required(
            "name",
            Kind::Text,
            "\"bar-left-1\"",
            "the bar, as results print it: base-left, bar-left-1 and so on; first-arc and second-arc of an arm; proximal-left, distal-left of a five-bar",
        )],
        SECTION_KEYS,
    ),
};

/// `[joints]` of a design.
pub(super) static DESIGN_JOINTS: Table = Table {
    meaning: "Stiffness of every joint, base joints included. A joint's own axis is radial to the sphere.",
    keys: &joined::<{ JOINT_KEYS.len() }, 1, { JOINT_KEYS.len() + 1 }>(
        JOINT_KEYS,
        [Key::optional(
            "level",
            Kind::Tables(&JOINTS_LEVEL),
            "all joints are alike",
            "[{ level = 0, boss_diameter_mm = 24 }]",
            "joints of a level that differ, one entry for each level",
        )],
    ),
};

/// `[[joints.level]]`.
static JOINTS_LEVEL: Table = Table {
    meaning: "Joints of one level, described as those of [joints]: by bearings where it has bearings, by stiffness where it has stiffness. What is not stated is that of [joints]; with a bearing of its own, pin and boss follow from it. Material and clamping of pins, seats, measured factors and releases are those of [joints].",
    keys: &[
        Key::required("level", Kind::Number(LEVEL), "0", LEVEL_MEANING),
        Key::optional(
            "axial_n_per_m",
            Kind::Band(STIFFNESS),
            "that of [joints]",
            "6e6",
            "stiffness along the joint's own axis, which is radial to the sphere",
        ),
        Key::optional(
            "radial_n_per_m",
            Kind::Band(STIFFNESS),
            "that of [joints]",
            "1.2e7",
            "stiffness across the joint's own axis, tangential to the sphere",
        ),
        Key::optional(
            "tilt_nm_per_rad",
            Kind::Band(ANGULAR_STIFFNESS),
            "that of [joints]",
            "900",
            "stiffness against tilting about any axis across the joint's own",
        ),
        Key::optional(
            "boss_diameter_mm",
            Kind::Number(Quantity::from_to(Unit::Millimetre, 0.0, 1000.0)),
            "that of [joints]; with a bearing of its own the bearing's outer diameter + 5 mm",
            "24",
            "diameter of the boss about each joint of the level",
        ),
        Key::optional(
            "mass_kg",
            Kind::Number(Quantity::from_to(Unit::Kilogram, 0.0, 100.0)),
            "that of [joints]",
            "0.02",
            "mass of pin and bearing of one joint; with a bearing, added to theirs",
        ),
        Key::optional(
            "bearing",
            Kind::Table(&BEARING),
            "that of [joints], with its spacing",
            "{ name = \"626\" }",
            "bearings of the level; spacing_mm and axial_hold are its own too",
        ),
        Key::optional(
            "pin",
            Kind::Table(&LEVEL_PIN),
            "that of [joints]; with a bearing of its own a solid one of its bore",
            "{ diameter_mm = 6 }",
            "sizes of the pin",
        ),
    ],
};

/// `[joints.level.pin]`.
static LEVEL_PIN: Table = Table {
    meaning: "Sizes of the pin of one level; material and clamping are those of [joints.pin].",
    keys: &[
        Key::optional(
            "diameter_mm",
            Kind::Number(LENGTH),
            "the bearing's bore",
            "6",
            "outer diameter, at most the bearing's bore",
        ),
        Key::default(
            "bore_mm",
            Kind::Number(LENGTH_OR_ZERO),
            "0",
            "diameter of its bore; 0 = solid",
        ),
    ],
};
