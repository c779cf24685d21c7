//! Keys of the design.

use super::own::{DESIGN_JOINTS, DESIGN_SECTION};
use super::parts::LAYERS;
use super::shared::{ARC, BEND, LENGTH, MASS, MATERIAL, PER_STAGE, RADIUS, SIGNED_LENGTH, TURN};
use super::shared::{ENVELOPE_DIAMETER, ENVELOPE_TO};
use super::support::{DRIVE, MOUNT_COLUMN, MOUNT_SPRINGS};
use super::words::{CARRIER, ELBOWS, FAMILY, LAYOUT};
use super::{Count, Key, Kind, Quantity, Table};
use crate::units::Unit;

const SCISSOR: &[&str] = &["scissor-linkage"];
const ARM: &[&str] = &["two-arc-arm"];
const FIVE_BAR: &[&str] = &["five-bar"];
/// Families whose bars come from two sides.
const TWO_SIDES: &[&str] = &["scissor-linkage", "five-bar"];
const OTHER_FAMILIES: &str =
    "use the family \"scissor-linkage\", \"two-arc-arm\" or \"five-bar\" meanwhile";

/// The whole design.
pub static DESIGN: Table = Table {
    meaning: "One linkage, complete.",
    keys: &[
        Key::default(
            "title",
            Kind::Text,
            "\"untitled\"",
            "name printed in results",
        ),
        Key::required(
            "linkage",
            Kind::Table(&LINKAGE),
            "{ family = \"two-arc-arm\", arcs_deg = [70, 55], joint_radius_mm = 150 }",
            "the family and its angles",
        ),
        Key::required(
            "section",
            Kind::Table(&DESIGN_SECTION),
            "{ shape = \"rectangle\", tangential_mm = 12, radial_mm = 6 }",
            "cross-section of the bars",
        ),
        Key::required(
            "material",
            Kind::Table(&MATERIAL),
            "{ name = \"aluminium 6061-T6\" }",
            "material of every bar",
        ),
        Key::required(
            "joints",
            Kind::Table(&DESIGN_JOINTS),
            "{ rigid = true }",
            "every joint, base joints included",
        ),
        Key::default("drives", Kind::Table(&DRIVES), "{}", "how it is driven"),
        Key::optional(
            "drive",
            Kind::Tables(&DRIVE),
            "the drives are rigid and without mass",
            "[{ joint = \"left\", stiffness_nm_per_rad = 200 }]",
            "what turns each active joint, one entry for each",
        ),
        Key::default(
            "tool",
            Kind::Table(&TOOL),
            "{}",
            "what is carried, and by what",
        ),
        Key::default("mount", Kind::Table(&MOUNT), "{}", "where the base stands"),
        Key::optional(
            "layers",
            Kind::Table(&LAYERS),
            "all bars lie at joint_radius_mm and pass through one another",
            "{ arrangement = \"two\" }",
            "how the bars lie over one another",
        ),
        Key::not_yet("body", "a body of the custom family", OTHER_FAMILIES),
        Key::not_yet("joint", "a joint of the custom family", OTHER_FAMILIES),
    ],
};

/// `[linkage]`.
static LINKAGE: Table = Table {
    meaning: "The family of the linkage with the angles that fix its bars.",
    keys: &[
        Key::required(
            "family",
            Kind::Word(FAMILY),
            "\"scissor-linkage\"",
            "family of the linkage",
        ),
        Key::required(
            "proximal_arcs_deg",
            Kind::Numbers {
                quantity: ARC,
                count: PER_STAGE,
            },
            "[23.5, 23.5]",
            "scissor linkage: arc from the apex to the side joint, per stage; five-bar: arcs of the proximal bars, left and right",
        )
        .when("family", TWO_SIDES)
        .advice("an arc is the angle between two joint axes as seen from the centre; give one per stage"),
        Key::required(
            "distal_arcs_deg",
            Kind::Numbers {
                quantity: ARC,
                count: PER_STAGE,
            },
            "[23.5, 23.5]",
            "scissor linkage: arc from the side joint to the next apex, per stage; five-bar: arcs of the distal bars, left and right",
        )
        .when("family", TWO_SIDES)
        .advice("an arc is the angle between two joint axes as seen from the centre; give one per stage"),
        Key::optional(
            "bends_deg",
            Kind::Numbers {
                quantity: BEND,
                count: Count {
                    least: 0,
                    most: calotte::kinematics::STAGES_MAX - 1,
                    item: "bend",
                },
            },
            "no bends",
            "[0]",
            "bend of the crossing bars between stages, one fewer than stages; a positive bend opens the next stage",
        )
        .when("family", SCISSOR),
        Key::optional(
            "assembly_modes",
            Kind::Wholes {
                low: -1,
                high: 1,
                count: PER_STAGE,
                not_zero: true,
                distinct: false,
            },
            "1 for every stage",
            "[1, 1]",
            "assembly mode per stage, 1 or -1: the sign of the second part of the stage along the centre line",
        )
        .when("family", SCISSOR),
        Key::required(
            "arcs_deg",
            Kind::Numbers {
                quantity: ARC,
                count: Count {
                    least: 2,
                    most: 2,
                    item: "arc",
                },
            },
            "[70, 55]",
            "first and second arc",
        )
        .when("family", ARM),
        Key::required(
            "joint_radius_mm",
            Kind::Number(LENGTH),
            "150",
            "radius of every bar's centre line about the centre",
        ),
        Key::required(
            "base_arc_deg",
            Kind::Number(ARC),
            "60",
            "arc between the base axes of a five-bar, which lie in the x-z plane of the base frame, symmetric about z, left towards -x",
        )
        .when("family", FIVE_BAR),
        Key::optional(
            "elbows",
            Kind::Word(ELBOWS),
            "\"out\"",
            "\"in\"",
            "working mode of a five-bar, as seen with the tool on the +y side of the base axes",
        )
        .when("family", FIVE_BAR),
        Key::optional(
            "short_bar_stiffness_factor",
            Kind::Band(Quantity::above(Unit::One, 0.0, 10.0)),
            "with a free length under four times the section a range about 1 that solids of such bars gave; else 1",
            "{ value = 1, from = 0.8, to = 1.1 }",
            "stiffness of bars with a free length under four times the larger section size, over that of beam theory; one number for all of them",
        ),
        Key::optional(
            "bar",
            Kind::Tables(&BAR),
            "left and right bars are alike",
            "[{ name = \"bar-left-1\", first_arc_deg = 23.7 }]",
            "bars with angles of their own, one entry for each; measuring takes them as they are, everything else the mean of left and right",
        )
        .when("family", SCISSOR),
    ],
};

/// `[[linkage.bar]]`.
static BAR: Table = Table {
    meaning: "One bar of a scissor linkage that differs from its counterpart on the other side, such as one that was measured. What it does not state is that of the lists; where left and right differ, the list is taken as the mean of the two.",
    keys: &[
        Key::required(
            "name",
            Kind::Text,
            "\"bar-left-1\"",
            "the bar: base-left, base-right, or bar-left-1 and so on from the base outward",
        ),
        Key::optional(
            "first_arc_deg",
            Kind::Number(ARC),
            "that of the list",
            "23.7",
            "its arc from the joint nearer to the base: the first entry of proximal_arcs_deg of a base bar, else its stage's entry of distal_arcs_deg",
        ),
        Key::optional(
            "second_arc_deg",
            Kind::Number(ARC),
            "that of the list",
            "23.4",
            "its arc beyond the apex, the next stage's entry of proximal_arcs_deg; not of base bars and of the last stage",
        ),
        Key::optional(
            "bend_deg",
            Kind::Number(BEND),
            "that of the list",
            "0.2",
            "its bend at the apex, its stage's entry of bends_deg; not of base bars and of the last stage",
        ),
    ],
};

/// `[drives]`.
static DRIVES: Table = Table {
    meaning: "How the two freedoms are driven.",
    keys: &[
        Key::default(
            "layout",
            Kind::Word(LAYOUT),
            "\"two-bars\"",
            "which joints are turned; of no effect for a two-arc arm, whose active joints are base and elbow, and for a five-bar, whose are left and right",
        ),
        Key::default(
            "ratio",
            Kind::Numbers {
                quantity: Quantity::from_to(Unit::One, -1000.0, 1000.0).without_zero(),
                count: Count {
                    least: 2,
                    most: 2,
                    item: "ratio",
                },
            },
            "[1, 1]",
            "active joint angle per mechanism angle, in the order of the active joints",
        ),
        Key::default(
            "range_deg",
            Kind::Table(&RANGE),
            "{}",
            "limits of the mechanism angles in degrees, whatever the layout",
        ),
    ],
};

/// `[drives] range_deg`.
static RANGE: Table = Table {
    meaning: "Limits of the mechanism angles, degrees, `[lower, upper]`.",
    keys: &[
        Key::optional(
            "swing",
            Kind::Limits(TURN),
            "no limit",
            "[-170, 170]",
            "swing of a scissor linkage",
        ),
        Key::optional(
            "opening",
            Kind::Limits(TURN),
            "no limit",
            "[10, 170]",
            "opening of a scissor linkage",
        ),
        Key::optional(
            "base",
            Kind::Limits(TURN),
            "no limit",
            "[-90, 90]",
            "base angle of a two-arc arm",
        ),
        Key::optional(
            "elbow",
            Kind::Limits(TURN),
            "no limit",
            "[5, 175]",
            "elbow angle of a two-arc arm; 0 = arcs stretched in line",
        ),
        Key::optional(
            "left",
            Kind::Limits(TURN),
            "no limit",
            "[60, 200]",
            "left angle of a five-bar, from the direction of the right base axis; whole turns aside",
        ),
        Key::optional(
            "right",
            Kind::Limits(TURN),
            "no limit",
            "[-200, -60]",
            "right angle of a five-bar, from the direction of the left base axis; whole turns aside",
        ),
    ],
};

/// `[tool]`.
static TOOL: Table = Table {
    meaning: "The tool, rigid from its carrier's end to its tip, and what carries it.",
    keys: &[
        Key::default(
            "carried_by",
            Kind::Word(CARRIER),
            "\"left\"",
            "what carries the tool; of no effect for a two-arc arm, which has one last bar",
        ),
        Key::optional(
            "tip_radius_mm",
            Kind::Number(RADIUS),
            "the joint radius",
            "150",
            "where it touches: on the tool direction, from the centre",
        ),
        Key::optional(
            "mass_kg",
            Kind::Band(MASS),
            "no sag and no holding torque of the tool",
            "0.8",
            "mass of the tool",
        ),
        Key::optional(
            "centre_of_mass_radius_mm",
            Kind::Number(SIGNED_LENGTH),
            "the tip radius",
            "165",
            "where its centre of mass lies: on the tool direction, from the centre",
        ),
        Key::optional(
            "grip_radius_mm",
            Kind::Number(SIGNED_LENGTH),
            "the tip",
            "190",
            "where it is gripped: on the tool direction, from the centre",
        ),
        Key::default(
            "bracket_arc_deg",
            Kind::Number(BEND),
            "0",
            "tool direction beyond the last apex along its carrier, when no tool fits into the last pin",
        ),
        Key::default(
            "roll_deg",
            Kind::Number(TURN),
            "0",
            "the tool's own roll on its carrier, right-handed about the tool direction",
        ),
        ENVELOPE_DIAMETER,
        ENVELOPE_TO,
        Key::not_yet(
            "slide",
            "radial slide of the tool",
            "leave it out: the tool is rigid from its carrier to its tip meanwhile",
        ),
    ],
};

/// `[mount]`.
static MOUNT: Table = Table {
    meaning: "Where the base frame stands in the world, and on what. Gravity is along -z of the world.",
    keys: &[
        Key::default(
            "axis",
            Kind::Direction,
            "[0, 0, 1]",
            "base axis in the world",
        ),
        Key::optional(
            "reference",
            Kind::Direction,
            "[1, 0, 0], or [0, 1, 0] where the axis is parallel to that",
            "[1, 0, 0]",
            "direction of azimuth 0 in the world; its part along the axis is removed",
        ),
        Key::default(
            "position_mm",
            Kind::Vector(SIGNED_LENGTH),
            "[0, 0, 0]",
            "the centre in the world",
        ),
        MOUNT_SPRINGS,
        MOUNT_COLUMN,
    ],
};
