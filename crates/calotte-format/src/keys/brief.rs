//! Keys of the brief.

use super::choice::{CHOICE, OBJECTIVES};
use super::joints::JOINTS;
use super::parts::LAYERS;
use super::shared::{
    AZIMUTH, ENVELOPE_DIAMETER, ENVELOPE_TO, LENGTH, MASS, POLAR, RADIUS, SIGNED_LENGTH,
};
use super::support::{DRIVE, MOUNT_COLUMN, MOUNT_SPRINGS};
use super::words::{
    CENTRE_PLACE, FORCE_DIRECTION, JUDGE, KEEP_OUT_SHAPE, LENGTH_UNIT, LOAD_FRAME,
    MOMENT_DIRECTION, REGION_SHAPE,
};
use super::{Count, Key, Kind, Quantity, Table};
use crate::units::Unit;
use calotte::quantity::{Need as Described, Quantity as Asked};

/// A share of a whole that is not nothing.
const SHARE: Quantity = Quantity::above(Unit::One, 0.0, 1.0);
/// Component of a force.
const FORCE: Quantity = Quantity::from_to(Unit::Newton, -1e6, 1e6);
/// Size of a force.
const FORCE_SIZE: Quantity = Quantity::above(Unit::Newton, 0.0, 1e6);
/// Component of a moment.
const MOMENT: Quantity = Quantity::from_to(Unit::NewtonMetre, -1e6, 1e6);
/// Size of a moment.
const MOMENT_SIZE: Quantity = Quantity::above(Unit::NewtonMetre, 0.0, 1e6);

const SURFACES: &str = "give a cap, band or polygon in [region] that holds the surface meanwhile";

/// The whole brief.
pub static BRIEF: Table = Table {
    meaning: "What is required.",
    keys: &[
        Key::default(
            "title",
            Kind::Text,
            "\"untitled\"",
            "name printed in results",
        ),
        Key::default(
            "people_near",
            Kind::Flag,
            "true",
            "whether people are near the instrument; `false` only where nobody can reach it",
        ),
        Key::required(
            "region",
            Kind::Table(&REGION),
            "{ shape = \"cap\", half_angle_deg = 60 }",
            "tool directions required",
        ),
        Key::optional(
            "exclude",
            Kind::Tables(&EXCLUDE),
            "nothing is taken out",
            "[{ half_angle_deg = 12, why = \"crown not required\" }]",
            "zones taken out of the region, openly",
        ),
        Key::not_yet("surface", "surfaces the tool points at", SURFACES),
        Key::default(
            "centre",
            Kind::Table(&CENTRE),
            "{}",
            "where the remote centre is",
        ),
        Key::default("space", Kind::Table(&SPACE), "{}", "where links may lie"),
        Key::optional(
            "keep_out",
            Kind::Tables(&KEEP_OUT),
            "nothing stands around",
            "[{ name = \"phantom\", shape = \"sphere\", radius_mm = 95, tool_may_touch = true }]",
            "volumes that moving parts keep clear of; needs `[layers]`, so that parts have their places",
        ),
        Key::required(
            "tool",
            Kind::Table(&TOOL),
            "{ mass_kg = 0.8, tip_radius_mm = 100 }",
            "the tool",
        ),
        Key::optional(
            "load",
            Kind::Tables(&LOAD),
            "no loads but weight",
            "[{ name = \"press\", force_n = { radial = 8 } }]",
            "load cases, each judged by itself",
        ),
        Key::optional(
            "together",
            Kind::Tables(&TOGETHER),
            "no two loads act at the same time",
            "[{ name = \"hand and cable\", loads = [\"hand\", \"cable\"] }]",
            "loads that act at the same time: each entry is one more load case",
        ),
        Key::default(
            "limits",
            Kind::Table(&LIMITS),
            "{}",
            "limits; an absent limit is no limit",
        ),
        Key::default(
            "choice",
            Kind::Table(&CHOICE),
            "{}",
            "what the search may use",
        ),
        Key::optional(
            "joints",
            Kind::Table(&JOINTS),
            "no stiffness can be asked for",
            "{ rigid = true }",
            "what every candidate's joints are; required where stiffness is asked for",
        ),
        Key::optional(
            "layers",
            Kind::Table(&LAYERS),
            "all bars lie on one sphere and pass through one another",
            "{ arrangement = \"two\" }",
            "how every candidate's bars lie over one another",
        ),
        Key::optional(
            "drive",
            Kind::Tables(&DRIVE),
            "every candidate's drives are rigid and without mass",
            "[{ stiffness_nm_per_rad = 200 }]",
            "what turns each active joint of a candidate, one entry for each joint that candidates have",
        ),
        Key::optional(
            "mount",
            Kind::Table(&MOUNT),
            "every candidate stands on rigid ground",
            "{ springs = { axial_n_per_m = 1e7, lateral_n_per_m = 5e6, tilt_nm_per_rad = 2000, twist_nm_per_rad = 2000 } }",
            "what every candidate stands on",
        ),
        Key::optional(
            "objectives",
            Kind::Table(&OBJECTIVES),
            "maximise stiffness and gci, minimise moving-mass; without [joints] stiffness is left out",
            "{ maximise = [\"gci\"], minimise = [\"moving-mass\"] }",
            "what the choice weighs, any two or more",
        ),
    ],
};

/// `[mount]`.
static MOUNT: Table = Table {
    meaning: "What every candidate stands on. Base axis and place come from [region], [centre] and `mount_tilt_deg` of [choice].",
    keys: &[MOUNT_SPRINGS, MOUNT_COLUMN],
};

/// `[region]`.
static REGION: Table = Table {
    meaning: "Tool directions required, in the world, as seen from the centre.",
    keys: &[
        Key::required(
            "shape",
            Kind::Word(REGION_SHAPE),
            "\"cap\"",
            "shape of the region",
        ),
        Key::default(
            "axis",
            Kind::Direction,
            "[0, 0, 1]",
            "axis from which polar angles are measured, in the world; gravity is -z",
        ),
        Key::required(
            "half_angle_deg",
            Kind::Number(Quantity::from_to(Unit::Degree, 0.1, 180.0)),
            "80",
            "half-angle of the cap about its axis",
        )
        .when("shape", &["cap"])
        .advice("a hemisphere has a half-angle of 90"),
        Key::required(
            "polar_from_deg",
            Kind::Number(POLAR),
            "20",
            "inner angle of the band from its axis",
        )
        .when("shape", &["band"]),
        Key::required(
            "polar_to_deg",
            Kind::Number(POLAR),
            "75",
            "outer angle of the band from its axis",
        )
        .when("shape", &["band"]),
        Key::optional(
            "reference",
            Kind::Direction,
            "[1, 0, 0], or [0, 1, 0] where the axis is parallel to that",
            "[1, 0, 0]",
            "direction of azimuth 0, in the world; its part along the axis is removed",
        )
        .when("shape", &["polygon", "points"]),
        Key::required(
            "vertices_deg",
            Kind::Pairs {
                first: POLAR,
                second: AZIMUTH,
                count: Count {
                    least: 3,
                    most: 64,
                    item: "vertex",
                },
                names: ["polar", "azimuth"],
            },
            "[[20, 0], [70, 40], [70, -40]]",
            "corners `[polar, azimuth]` in order, either way round; edges are great circles",
        )
        .when("shape", &["polygon"])
        .advice("list the corners in the order one walks round the region, within one hemisphere"),
        Key::optional(
            "points_deg",
            Kind::Pairs {
                first: POLAR,
                second: AZIMUTH,
                count: Count {
                    least: 1,
                    most: 100_000,
                    item: "point",
                },
                names: ["polar", "azimuth"],
            },
            "taken from `file`",
            "[[20, 0], [70, 40]]",
            "single directions `[polar, azimuth]`",
        )
        .when("shape", &["points"]),
        Key::optional(
            "file",
            Kind::Text,
            "taken from `points_deg`",
            "\"points.csv\"",
            "file of single directions, CSV with the header `polar_deg,azimuth_deg`",
        )
        .when("shape", &["points"]),
        Key::default(
            "coverage_min",
            Kind::Number(SHARE),
            "1",
            "share of the region's area that must be covered",
        )
        .advice("a share, not a percentage: 0.98 for 98 %"),
        Key::not_yet(
            "incidence_max_deg",
            "maximum angle of the tool against the surface normal",
            "leave it out: no surfaces are known meanwhile",
        ),
    ],
};

/// `[[exclude]]`.
static EXCLUDE: Table = Table {
    meaning: "A cap taken out of the region.",
    keys: &[
        Key::default(
            "axis",
            Kind::Direction,
            "[0, 0, 1]",
            "axis of the zone, in the world",
        ),
        Key::required(
            "half_angle_deg",
            Kind::Number(Quantity::between(Unit::Degree, 0.0, 180.0)),
            "12",
            "half-angle of the zone about its axis",
        ),
        Key::default(
            "why",
            Kind::Text,
            "\"no reason given\"",
            "why it is not required, for the report",
        ),
    ],
};

/// `[centre]`.
static CENTRE: Table = Table {
    meaning: "Where the remote centre is.",
    keys: &[
        Key::default(
            "place",
            Kind::Word(CENTRE_PLACE),
            "\"given\"",
            "how it is placed",
        ),
        Key::default(
            "position_mm",
            Kind::Vector(SIGNED_LENGTH),
            "[0, 0, 0]",
            "the centre in the world",
        ),
        Key::not_yet(
            "placement_error_mm",
            "how far from its place the centre may be put",
            "leave it out: the centre is taken as exactly placed meanwhile",
        ),
    ],
};

/// `[space]`.
static SPACE: Table = Table {
    meaning: "Where links may lie.",
    keys: &[
        Key::default(
            "joint_radius_mm",
            Kind::Range {
                quantity: LENGTH,
                step: 10.0,
            },
            "150",
            "radius of the sphere on which the bars lie",
        ),
        Key::default(
            "allowance_mm",
            Kind::Number(Quantity::from_to(Unit::Millimetre, 0.0, 1000.0)),
            "0",
            "distance kept from every keep-out, for cover and cleaning",
        ),
        Key::optional(
            "insertion_direction",
            Kind::Direction,
            "along the base axis towards the centre",
            "[0, 0, -1]",
            "direction in which the whole instrument, stowed, is brought to its place in a straight line; looked at among keep-outs",
        ),
    ],
};

/// `[[keep_out]]`.
static KEEP_OUT: Table = Table {
    meaning: "A volume in the world that moving parts keep clear of.",
    keys: &[
        Key::required("name", Kind::Text, "\"phantom\"", "name printed in results"),
        Key::required(
            "shape",
            Kind::Word(KEEP_OUT_SHAPE),
            "\"sphere\"",
            "its shape",
        ),
        Key::optional(
            "position_mm",
            Kind::Vector(PLACE),
            "the centre",
            "[0, 0, 0]",
            "its middle, world",
        )
        .when("shape", &["sphere", "box", "stl"]),
        Key::required("radius_mm", Kind::Number(LENGTH), "95", "its radius")
            .when("shape", &["sphere", "cylinder"]),
        Key::required(
            "from_mm",
            Kind::Vector(PLACE),
            "[0, 0, -300]",
            "middle of one end, world",
        )
        .when("shape", &["cylinder"]),
        Key::required(
            "to_mm",
            Kind::Vector(PLACE),
            "[0, 0, -100]",
            "middle of the other end, world",
        )
        .when("shape", &["cylinder"]),
        Key::required(
            "size_mm",
            Kind::Vector(Quantity::above(Unit::Millimetre, 0.0, 100_000.0)),
            "[400, 300, 20]",
            "sizes along x, y and z of the world",
        )
        .when("shape", &["box"]),
        Key::required(
            "normal",
            Kind::Direction,
            "[0, 0, 1]",
            "points to the free side, world",
        )
        .when("shape", &["half-space"]),
        Key::required(
            "at_mm",
            Kind::Vector(PLACE),
            "[0, 0, -60]",
            "a point of the plane, world",
        )
        .when("shape", &["half-space"]),
        Key::required(
            "file",
            Kind::Text,
            "\"phantom.stl\"",
            "file of triangles, beside the brief; its origin comes to `position_mm`",
        )
        .when("shape", &["stl"]),
        Key::required(
            "unit",
            Kind::Word(LENGTH_UNIT),
            "\"mm\"",
            "unit of length of the file, which does not say it",
        )
        .when("shape", &["stl"]),
        Key::default(
            "tool_may_touch",
            Kind::Flag,
            "false",
            "`true` if the tool may touch it; all other parts may not",
        ),
    ],
};

/// A place in the world.
const PLACE: Quantity = Quantity::from_to(Unit::Millimetre, -100_000.0, 100_000.0);

/// `[tool]`.
static TOOL: Table = Table {
    meaning: "The tool.",
    keys: &[
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
            "tip_radius_mm",
            Kind::Number(RADIUS),
            "the smallest joint radius",
            "100",
            "where it touches: on the tool direction, from the centre",
        ),
        Key::optional(
            "grip_radius_mm",
            Kind::Number(SIGNED_LENGTH),
            "the tip",
            "190",
            "where it is gripped: on the tool direction, from the centre",
        ),
        ENVELOPE_DIAMETER,
        ENVELOPE_TO,
        Key::not_yet(
            "slide",
            "radial slide of the tool",
            "leave it out: the tool is rigid from its carrier to its tip meanwhile",
        ),
        Key::not_yet(
            "roll",
            "roll that the tool must keep",
            "leave it out: any roll will do meanwhile",
        ),
    ],
};

/// `[[load]]`.
static LOAD: Table = Table {
    meaning: "One load case. It acts on the mechanism.",
    keys: &[
        Key::required("name", Kind::Text, "\"press\"", "name printed in results"),
        Key::default(
            "on",
            Kind::Text,
            "\"tip\"",
            "where it acts: \"tip\", \"grip\", or a bar: \"base-left\", \"base-right\", \"bar-left-1\", \"bar-right-1\" and so on by stage, \"first-arc\", \"second-arc\"",
        ),
        Key::optional(
            "at",
            Kind::Number(Quantity::from_to(Unit::One, 0.0, 1.0)),
            "0.5, the middle of the bar",
            "0.5",
            "place along the bar's whole arc, 0 at its first joint, 1 at its last; for a bar only",
        ),
        Key::optional(
            "force_n",
            Kind::Table(&FORCE_TABLE),
            "no force",
            "{ radial = 8 }",
            "force",
        ),
        Key::optional(
            "moment_nm",
            Kind::Table(&MOMENT_TABLE),
            "no moment",
            "{ polar = 0.2 }",
            "moment",
        ),
        Key::optional(
            "fixed_in",
            Kind::Word(LOAD_FRAME),
            "local components turn with the tool, components in the world stay",
            "\"world\"",
            "what it keeps its direction to while the linkage moves, for the index under load alone",
        ),
    ],
};

/// `[load] force_n`.
static FORCE_TABLE: Table = Table {
    meaning: "Force in N: components at the tool direction, or in the world alone.",
    keys: &[
        Key::default(
            "polar",
            Kind::Number(FORCE),
            "0",
            "towards growing polar angle",
        ),
        Key::default(
            "azimuth",
            Kind::Number(FORCE),
            "0",
            "towards growing azimuth",
        ),
        Key::default(
            "radial",
            Kind::Number(FORCE),
            "0",
            "outward, away from the centre",
        ),
        Key::optional(
            "world",
            Kind::Vector(FORCE),
            "the local components",
            "[0, 0, -5]",
            "components in the world, without the others",
        ),
        Key::optional(
            "direction",
            Kind::Word(FORCE_DIRECTION),
            "the components say it",
            "\"any\"",
            "every requirement is judged for the worst direction of a force of this `size`; without components",
        ),
        Key::optional(
            "size",
            Kind::Number(FORCE_SIZE),
            "the components say it",
            "15",
            "size of the force, with `direction`",
        ),
    ],
};

/// `[load] moment_nm`.
static MOMENT_TABLE: Table = Table {
    meaning: "Moment in N·m: components at the tool direction, or in the world alone.",
    keys: &[
        Key::default(
            "polar",
            Kind::Number(MOMENT),
            "0",
            "about the direction of growing polar angle",
        ),
        Key::default(
            "azimuth",
            Kind::Number(MOMENT),
            "0",
            "about the direction of growing azimuth",
        ),
        Key::default(
            "radial",
            Kind::Number(MOMENT),
            "0",
            "about the outward direction",
        ),
        Key::optional(
            "world",
            Kind::Vector(MOMENT),
            "the local components",
            "[0, 0, 0.2]",
            "components in the world, without the others",
        ),
        Key::optional(
            "direction",
            Kind::Word(MOMENT_DIRECTION),
            "the components say it",
            "\"any\"",
            "every requirement is judged for the worst direction of a moment of this `size`; without components",
        ),
        Key::optional(
            "size",
            Kind::Number(MOMENT_SIZE),
            "the components say it",
            "0.2",
            "size of the moment, with `direction`",
        ),
    ],
};

/// `[[together]]`.
static TOGETHER: Table = Table {
    meaning: "Loads that act at the same time, judged as one load case.",
    keys: &[
        Key::required(
            "name",
            Kind::Text,
            "\"hand and cable\"",
            "name printed in results",
        ),
        Key::required(
            "loads",
            Kind::Texts(Count {
                least: 2,
                most: 64,
                item: "load",
            }),
            "[\"hand\", \"cable\"]",
            "names of the loads; one of them at most may have any direction",
        ),
    ],
};

/// `[limits]`.
static LIMITS: Table = Table {
    meaning: "Limits; an absent limit is no limit.",
    keys: &LIMIT_KEYS,
};

/// `[limits.source]`.
static LIMIT_SOURCES: Table = Table {
    meaning: "Who set each limit: a person, a standard, a document. It stands in the evidence of the results.",
    keys: &LIMIT_SOURCE_KEYS,
};

/// The keys of `[limits.source]`: one for each of `[limits]`, and one for `coverage_min`.
static LIMIT_SOURCE_KEYS: [Key; Asked::LIMITS.len() + 1] = {
    const fn source_of(limit: &'static str) -> Key {
        Key::optional(
            limit,
            Kind::Text,
            "not stated",
            "\"drawing 12, agreed with the workshop\"",
            "who set this limit",
        )
    }
    let mut keys = [source_of(COVERAGE_MIN); Asked::LIMITS.len() + 1];
    let mut at = 0;
    while at < Asked::LIMITS.len() {
        if let Some(limit) = &Asked::LIMITS[at].facts().limit {
            keys[at] = source_of(limit.key);
        }
        at += 1;
    }
    keys
};

/// The least coverage, a key of `[region]` whose source stands with those of the limits.
pub(crate) const COVERAGE_MIN: &str = "coverage_min";

/// A limit that is agreed and cannot be judged yet.
const RCM_ERROR: Key = Key::not_yet(
    "rcm_error_mm",
    "maximum error of the remote centre",
    "leave it out: tolerances are not computed meanwhile",
);

/// Limits of one load case.
const OF_ONE_LOAD: Key = Key::optional(
    "load",
    Kind::Tables(&LOAD_LIMITS),
    "all load cases have the same limits",
    "[{ name = \"press\", contact_deflection_mm = 0.3 }]",
    "limits of one load case, in the place of those for all",
);

/// Where in the stated uncertainty limits must hold.
const JUDGE_KEY: Key = Key::default(
    "judge",
    Kind::Word(JUDGE),
    "\"uncertainty\"",
    "where limits must hold; `nominal` asks for less, and every result says so",
);

/// The keys of `[limits]`: every quantity that can be one, and how they are judged.
static LIMIT_KEYS: [Key; Asked::LIMITS.len() + 4] = {
    let mut keys = [RCM_ERROR; Asked::LIMITS.len() + 4];
    let mut at = 0;
    while at < Asked::LIMITS.len() {
        keys[at] = limit_key(Asked::LIMITS[at], None);
        at += 1;
    }
    keys[at] = OF_ONE_LOAD;
    keys[at + 1] = Key::optional(
        "source",
        Kind::Table(&LIMIT_SOURCES),
        "not stated, and said to be",
        "{ sag_mm = \"drawing 12, agreed with the workshop\" }",
        "who set each limit",
    );
    keys[at + 2] = JUDGE_KEY;
    keys
};

/// The key of a limit; `absent` says what holds without it, where that is not of the table.
const fn limit_key(quantity: Asked, absent: Option<&'static str>) -> Key {
    let facts = quantity.facts();
    let Some(limit) = &facts.limit else {
        return RCM_ERROR;
    };
    let number = Kind::Number(Quantity {
        unit: Unit::of(facts.unit),
        low: limit.bounds.low,
        high: limit.bounds.high,
        low_allowed: limit.bounds.low_allowed,
        high_allowed: limit.bounds.high_allowed,
        not_zero: false,
    });
    let absent = match absent {
        Some(absent) => absent,
        None => limit.absent,
    };
    Key::optional(limit.key, number, absent, limit.example, limit.meaning)
}

/// `[[limits.load]]`.
static LOAD_LIMITS: Table = Table {
    meaning: "Limits of one load case, in the place of those for all.",
    keys: &LOAD_LIMIT_KEYS,
};

/// Whether every load case has its own value of a quantity.
const fn is_of_loads(quantity: Asked) -> bool {
    let needs = quantity.facts().needs;
    let mut at = 0;
    while at < needs.len() {
        if matches!(needs[at], Described::Load) {
            return true;
        }
        at += 1;
    }
    false
}

/// How many limits load cases have for themselves.
const LIMITS_OF_LOADS: usize = {
    let (mut found, mut at) = (0, 0);
    while at < Asked::LIMITS.len() {
        if is_of_loads(Asked::LIMITS[at]) {
            found += 1;
        }
        at += 1;
    }
    found
};

/// The keys of `[[limits.load]]`.
static LOAD_LIMIT_KEYS: [Key; LIMITS_OF_LOADS + 1] = {
    let name = Key::required(
        "name",
        Kind::Text,
        "\"press\"",
        "name of the load, or of an entry of [[together]]",
    );
    let mut keys = [name; LIMITS_OF_LOADS + 1];
    let (mut filled, mut at) = (1, 0);
    while at < Asked::LIMITS.len() {
        if is_of_loads(Asked::LIMITS[at]) {
            keys[filled] = limit_key(Asked::LIMITS[at], Some("the limit for all load cases"));
            filled += 1;
        }
        at += 1;
    }
    keys
};
