//! Keys of the brief that say what a search may use and what it weighs.

use super::shared::{ARC, AZIMUTH, BEND, POLAR, SECTION_SIZE};
use super::words::{
    BEARING, CHOICE_ARRANGEMENT, CHOICE_FAMILY, CHOICE_SECTION_SHAPE, LAYOUT, MATERIAL, OBJECTIVE,
    PROCESS,
};
use super::{Count, Key, Kind, Quantity, Table};
use crate::units::Unit;
use calotte::kinematics::STAGES_MAX;

/// `[choice]`.
pub(super) static CHOICE: Table = Table {
    meaning: "What the search may use.",
    keys: &[
        Key::default(
            "families",
            Kind::Words {
                vocabulary: CHOICE_FAMILY,
                least: 1,
            },
            "[\"scissor-linkage\", \"two-arc-arm\"]",
            "families to search",
        ),
        Key::default(
            "stages",
            Kind::Wholes {
                low: 1,
                high: STAGES_MAX as i64,
                count: Count {
                    least: 1,
                    most: STAGES_MAX,
                    item: "entry",
                },
                not_zero: false,
                distinct: true,
            },
            "[1, 2, 3, 4]",
            "numbers of stages of a scissor linkage",
        ),
        Key::default(
            "arc_deg",
            Kind::Range {
                quantity: ARC,
                step: 0.5,
            },
            "{ from = 8, to = 60, step = 0.5 }",
            "arc of each half-link of a scissor linkage",
        ),
        Key::default(
            "bend_deg",
            Kind::Range {
                quantity: BEND,
                step: 10.0,
            },
            "0",
            "bend of the crossing bars between stages of a scissor linkage",
        ),
        Key::default(
            "equal_arcs",
            Kind::Flag,
            "false",
            "whether all arcs of a scissor linkage are equal, and all its bends; without it those of each stage are searched by themselves",
        ),
        Key::default(
            "full_grid",
            Kind::Flag,
            "false",
            "whether every combination of the steps is gone through, all arcs equal and all bends, in place of a search between the ends of what varies",
        ),
        Key::default(
            "round_arc_deg",
            Kind::Number(ROUND),
            "0.05",
            "step to which arcs and bends are rounded, as a workshop makes them; steps of the ranges are those of `full_grid`",
        ),
        Key::default(
            "arm_arc_deg",
            Kind::Range {
                quantity: ARC,
                step: 5.0,
            },
            "{ from = 20, to = 90, step = 5 }",
            "arcs of a two-arc arm; each of the two runs over it",
        ),
        Key::default(
            "materials",
            Kind::Words {
                vocabulary: MATERIAL,
                least: 1,
            },
            "[\"aluminium 6061-T6\"]",
            "materials of the shipped table",
        ),
        Key::optional(
            "process",
            Kind::Word(PROCESS),
            "the usual one of each material, whose walls and lands are cautioned about and not asked for",
            "\"milled\"",
            "how bars are made; asks for the walls and lands that it usually leaves, unless `[limits]` says others",
        ),
        Key::optional(
            "bearings",
            Kind::Words {
                vocabulary: BEARING,
                least: 1,
            },
            "the bearing of `[joints]`",
            "[\"623\", \"624\"]",
            "bearings of the shipped table; each replaces that of `[joints]`, pin and boss follow",
        ),
        Key::optional(
            "bearing_spacing_mm",
            Kind::Range {
                quantity: SPACING,
                step: 1.0,
            },
            "5 to 30 mm, or the `spacing_mm` that `[joints.bearing]` gives",
            "{ from = 6, to = 20 }",
            "distance between the middles of the two bearings of a joint, never less than their width; not varied by `full_grid`",
        ),
        Key::optional(
            "layers",
            Kind::Words {
                vocabulary: CHOICE_ARRANGEMENT,
                least: 1,
            },
            "the arrangement of `[layers]`",
            "[\"two\", \"nested\"]",
            "arrangements of the layers; needs `[layers]`",
        ),
        Key::default(
            "mount_tilt_deg",
            Kind::Numbers {
                quantity: POLAR,
                count: Count {
                    least: 1,
                    most: 100,
                    item: "entry",
                },
            },
            "[0]",
            "tilts of the base axis against the region's axis, for every shape that of the smallest cap that holds the region, zones taken out left in; for a cap and a band it is their `axis`",
        ),
        Key::default(
            "mount_tilt_towards_deg",
            Kind::Number(AZIMUTH),
            "0",
            "azimuth about that axis towards which the mount tilts",
        ),
        Key::default(
            "drive_layout",
            Kind::Words {
                vocabulary: LAYOUT,
                least: 1,
            },
            "[\"two-bars\"]",
            "drive layouts of a scissor linkage",
        ),
        Key::default(
            "section",
            Kind::Table(&CHOICE_SECTION),
            "{ shape = \"rectangle\", tangential_mm = 12, radial_mm = 6 }",
            "sections; every combination of the sizes is a candidate",
        ),
    ],
};

/// `[choice.section]`.
static CHOICE_SECTION: Table = Table {
    meaning: "Sections to choose from: each size one number, a list, or a range. Sizes that make no section are left out.",
    keys: &[
        Key::required(
            "shape",
            Kind::Word(CHOICE_SECTION_SHAPE),
            "\"rectangle\"",
            "shape of the section",
        ),
        Key::required(
            "tangential_mm",
            SIZES,
            "{ from = 8, to = 20, step = 2 }",
            "size across the bar, along the sphere",
        )
        .when("shape", &["rectangle"]),
        Key::required(
            "radial_mm",
            SIZES,
            "{ from = 4, to = 12, step = 2 }",
            "size along the sphere's radius",
        )
        .when("shape", &["rectangle"]),
        Key::optional(
            "wall_mm",
            SIZES,
            "the rectangle is solid",
            "[1, 1.5]",
            "wall of a hollow rectangle",
        )
        .when("shape", &["rectangle"]),
        Key::required("outer_diameter_mm", SIZES, "[10, 12, 14]", "outer diameter")
            .when("shape", &["tube"]),
        Key::required("inner_diameter_mm", SIZES, "[8, 10]", "inner diameter")
            .when("shape", &["tube"]),
        Key::required("diameter_mm", SIZES, "[8, 10, 12]", "diameter").when("shape", &["rod"]),
    ],
};

/// A size of [`CHOICE_SECTION`].
const SIZES: Kind = Kind::Sizes {
    quantity: SECTION_SIZE,
    step: 2.0,
};

/// A step to which angles are rounded.
const ROUND: Quantity = Quantity::from_to(Unit::Degree, 0.001, 10.0);
/// A distance between two bearings.
const SPACING: Quantity = Quantity::above(Unit::Millimetre, 0.0, 1000.0);

/// `[objectives]`.
pub(super) static OBJECTIVES: Table = Table {
    meaning: "What the choice weighs; any two or more. The choice is the feasible design nearest to the ideal point of the scaled front.",
    keys: &[
        Key::optional(
            "maximise",
            Kind::Words {
                vocabulary: OBJECTIVE,
                least: 0,
            },
            "nothing",
            "[\"stiffness\", \"gci\"]",
            "quantities of which more is better",
        ),
        Key::optional(
            "minimise",
            Kind::Words {
                vocabulary: OBJECTIVE,
                least: 0,
            },
            "nothing",
            "[\"moving-mass\"]",
            "quantities of which less is better",
        ),
    ],
};
