//! Keys of what joints and layers are built from; brief and design share them.

use super::shared::{LENGTH, MATERIAL, STIFFNESS};
use super::words::{ARRANGEMENT, AXIAL_HOLD, BEARING_KIND, CLAMPED_IN};
use super::{Count, Key, Kind, Quantity, Table};
use crate::units::Unit;

/// A length that may be nothing.
pub(super) const LENGTH_OR_ZERO: Quantity = Quantity::from_to(Unit::Millimetre, 0.0, 1000.0);
/// A play.
const PLAY: Quantity = Quantity::from_to(Unit::Millimetre, 0.0, 5.0);
/// A load rating.
const RATING: Quantity = Quantity::above(Unit::Newton, 0.0, 1e8);

/// A load on a bearing.
const LOAD: Quantity = Quantity::above(Unit::Newton, 0.0, 1e6);

const TABLE: &str = "the shipped table's, for a designation of the table";
const TYPICAL: &str = "typical of the shipped size: enter the maker's";

/// `[joints.bearing]`.
pub(super) static BEARING: Table = Table {
    meaning: "Bearings of every joint: two alike, one beside the other on a pin. A designation of the shipped table is enough; values given here replace the table's.",
    keys: &[
        Key::required(
            "name",
            Kind::Text,
            "\"624\"",
            "designation of the shipped table, or any other name with its sizes and stiffnesses",
        ),
        Key::optional(
            "kind",
            Kind::Word(BEARING_KIND),
            "\"ball\"",
            "\"bushing\"",
            "how it carries",
        ),
        Key::optional("bore_mm", Kind::Number(LENGTH), TABLE, "4", "bore"),
        Key::optional(
            "outer_diameter_mm",
            Kind::Number(LENGTH),
            TABLE,
            "13",
            "outer diameter",
        ),
        Key::optional(
            "width_mm",
            Kind::Number(LENGTH),
            TABLE,
            "5",
            "width along its axis",
        ),
        Key::optional(
            "radial_n_per_m",
            Kind::Band(STIFFNESS),
            TYPICAL,
            "1.2e7",
            "stiffness of one bearing across its axis, tangential to the sphere",
        ),
        Key::optional(
            "axial_n_per_m",
            Kind::Band(STIFFNESS),
            TYPICAL,
            "3e6",
            "stiffness of one bearing along its axis, radial to the sphere",
        ),
        Key::optional(
            "preload_n",
            Kind::Number(LOAD),
            "none: the typical band, or the stiffness stated",
            "10",
            "axial preload of a ball bearing, from which its stiffness follows; takes its play away and holds while the loads that act leave some of it",
        ),
        Key::optional(
            "load_radial_n",
            Kind::Number(LOAD),
            "none: the typical band, or the stiffness stated",
            "20",
            "load across the axis of one bearing at which its stiffness is taken, with load_axial_n",
        ),
        Key::optional(
            "load_axial_n",
            Kind::Number(LOAD),
            "none: the typical band, or the stiffness stated",
            "5",
            "load along the axis of one bearing at which its stiffness is taken, with load_radial_n",
        ),
        Key::optional(
            "mass_kg",
            Kind::Number(Quantity::from_to(Unit::Kilogram, 0.0, 100.0)),
            "typical of the shipped size; 0 for another",
            "0.003",
            "mass of one bearing",
        ),
        Key::optional(
            "static_rating_n",
            Kind::Number(RATING),
            TYPICAL,
            "490",
            "static load rating C0",
        ),
        Key::optional(
            "dynamic_rating_n",
            Kind::Number(RATING),
            TYPICAL,
            "1300",
            "dynamic load rating C",
        ),
        Key::optional(
            "radial_play_mm",
            Kind::Number(PLAY),
            "typical of the shipped size; 0 for another",
            "0.008",
            "internal play across its axis, difference of the diameters",
        ),
        Key::optional(
            "axial_play_mm",
            Kind::Number(PLAY),
            "typical of the shipped size; 0 for another",
            "0.06",
            "internal play along its axis, from end to end",
        ),
        Key::optional(
            "spacing_mm",
            Kind::Number(LENGTH),
            "its width + 1 mm",
            "6",
            "distance between the middles of the two bearings",
        ),
        Key::default(
            "axial_hold",
            Kind::Word(AXIAL_HOLD),
            "\"both\"",
            "which bearings of the pair hold the pin along its axis",
        ),
    ],
};

/// `[joints.seat]`.
pub(super) static SEAT: Table = Table {
    meaning: "Compliance and play between each bearing and its boss, such as a printed seat.",
    keys: &[
        Key::required(
            "radial_n_per_m",
            Kind::Band(STIFFNESS),
            "2e6",
            "stiffness across the joint's axis",
        ),
        Key::required(
            "axial_n_per_m",
            Kind::Band(STIFFNESS),
            "1e6",
            "stiffness along the joint's axis",
        ),
        Key::default(
            "play_mm",
            Kind::Number(PLAY),
            "0",
            "play, difference of the diameters",
        ),
    ],
};

/// What measuring made of a stiffness.
const FACTOR: Quantity = Quantity::from_to(Unit::One, 0.01, 100.0);

/// `[joints.measured]`.
pub(super) static MEASURED: Table = Table {
    meaning: "Stiffness of real joints over the one that follows from their parts, as weights on a prototype have shown; `calotte measure fit` writes it.",
    keys: &[
        Key::default(
            "radial_factor",
            Kind::Band(FACTOR),
            "1",
            "factor on the radial and the axial stiffness; its band replaces theirs",
        ),
        Key::default(
            "tilt_factor",
            Kind::Band(FACTOR),
            "1",
            "factor on the tilt stiffness; its band replaces its own",
        ),
    ],
};

/// `[joints.pin]`.
pub(super) static PIN: Table = Table {
    meaning: "The pin of every joint: straight and round, clamped in one bar, with the bearings on it in the other.",
    keys: &[
        Key::optional(
            "diameter_mm",
            Kind::Number(LENGTH),
            "the bearing's bore",
            "4",
            "outer diameter, at most the bearing's bore",
        ),
        Key::default(
            "bore_mm",
            Kind::Number(LENGTH_OR_ZERO),
            "0",
            "diameter of its bore; 0 = solid",
        ),
        Key::default(
            "clamped_in",
            Kind::Word(CLAMPED_IN),
            "\"inner\"",
            "bar that holds the pin",
        ),
        Key::default(
            "material",
            Kind::Table(&MATERIAL),
            "{ name = \"stainless steel 304\" }",
            "material of pins, spacers and shafts",
        ),
    ],
};

/// `[layers]`.
pub static LAYERS: Table = Table {
    meaning: "How the bars lie over one another in radial layers. Without it all bars lie at joint_radius_mm and pass through one another.",
    keys: &[
        Key::required(
            "arrangement",
            Kind::Word(ARRANGEMENT),
            "\"two\"",
            "which bar lies in which layer",
        ),
        Key::optional(
            "of_bars",
            Kind::Wholes {
                low: 0,
                high: 99,
                count: Count {
                    least: 2,
                    most: 64,
                    item: "bar",
                },
                not_zero: false,
                distinct: false,
            },
            "required by arrangement = \"given\"",
            "[1, 0, 0, 1]",
            "layer of each bar, 0 innermost: base-left, base-right, bar-left-1, bar-right-1 and so on; first-arc, second-arc",
        )
        .when("arrangement", &["given"]),
        Key::default(
            "gap_mm",
            Kind::Number(Quantity::from_to(Unit::Millimetre, 0.0, 100.0)),
            "0.5",
            "free radial distance between neighbouring layers",
        ),
        Key::default(
            "clearance_mm",
            Kind::Number(Quantity::from_to(Unit::Millimetre, 0.0, 100.0)),
            "0.5",
            "distance kept between parts that pass each other in one layer; the usable range ends where less is left",
        ),
        Key::optional(
            "boss_height_mm",
            Kind::Number(LENGTH),
            "the greater of the bar's radial size and what the bearing pair takes",
            "11",
            "radial size of the bosses",
        ),
        Key::optional(
            "shaft_diameter_mm",
            Kind::Number(LENGTH),
            "twice the pin's diameter, at least 6, at most 8 less than the boss",
            "8",
            "solid shaft of the inner base bar",
        ),
        Key::optional(
            "hollow_shaft_bore_mm",
            Kind::Number(LENGTH),
            "the solid shaft's diameter + 2",
            "10",
            "bore of the hollow shaft of the outer base bar, in which the solid shaft turns",
        ),
        Key::optional(
            "hollow_shaft_diameter_mm",
            Kind::Number(LENGTH),
            "its bore + 4",
            "14",
            "outer diameter of the hollow shaft",
        ),
        Key::optional(
            "housing_diameter_mm",
            Kind::Number(LENGTH),
            "2.5 times the hollow shaft's diameter",
            "35",
            "diameter of the housing of the base bearings, a round about the base axis",
        ),
        Key::optional(
            "housing_height_mm",
            Kind::Number(LENGTH),
            "twice the boss height",
            "24",
            "radial size of that housing, outside all layers",
        ),
    ],
};
