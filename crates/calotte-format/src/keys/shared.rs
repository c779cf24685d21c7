//! Keys that brief and design share.

use super::words::{PROCESS, SECTION_SHAPE};
use super::{Count, Key, Kind, Quantity, Table};
use crate::units::Unit;

/// A length that must exist.
pub(super) const LENGTH: Quantity = Quantity::above(Unit::Millimetre, 0.0, 10_000.0);
/// A distance from the centre along a direction, on either side.
pub(super) const SIGNED_LENGTH: Quantity = Quantity::from_to(Unit::Millimetre, -10_000.0, 10_000.0);
/// A distance from the centre along the tool direction.
pub(super) const RADIUS: Quantity = LENGTH;
/// A size of a section.
pub(super) const SECTION_SIZE: Quantity = Quantity::above(Unit::Millimetre, 0.0, 1000.0);
/// An arc between two joints.
pub(super) const ARC: Quantity = Quantity::between(Unit::Degree, 0.0, 180.0);
/// A bend of a crossing bar.
pub(super) const BEND: Quantity = Quantity::between(Unit::Degree, -180.0, 180.0);
/// Any angle once round.
pub(super) const TURN: Quantity = Quantity::from_to(Unit::Degree, -360.0, 360.0);
/// The angle of a direction from an axis.
pub(super) const POLAR: Quantity = Quantity::from_to(Unit::Degree, 0.0, 180.0);
/// The angle of a direction about an axis.
pub(super) const AZIMUTH: Quantity = Quantity::from_to(Unit::Degree, -360.0, 360.0);
/// The mass of a tool.
pub(super) const MASS: Quantity = Quantity::from_to(Unit::Kilogram, 0.0, 1000.0);
/// A stiffness against displacement.
pub(super) const STIFFNESS: Quantity = Quantity::above(Unit::NewtonPerMetre, 0.0, 1e12);
/// A stiffness against rotation.
pub(super) const ANGULAR_STIFFNESS: Quantity =
    Quantity::above(Unit::NewtonMetrePerRadian, 0.0, 1e9);
/// A modulus of elasticity.
const MODULUS: Quantity = Quantity::above(Unit::Gigapascal, 0.0, 2000.0);
/// A stiffness of a custom section.
const NEWTON: Quantity = Quantity::above(Unit::Newton, 0.0, 1e12);
/// A bending or torsional stiffness of a custom section.
const NEWTON_SQUARE_METRE: Quantity = Quantity::above(Unit::NewtonSquareMetre, 0.0, 1e9);

const RECTANGLE_OR_CUSTOM: &[&str] = &["rectangle", "custom"];
const RECTANGLE: &[&str] = &["rectangle"];
const TUBE: &[&str] = &["tube"];
const ROD: &[&str] = &["rod"];
const CUSTOM: &[&str] = &["custom"];

/// Diameter of the room the tool takes.
pub(super) const ENVELOPE_DIAMETER: Key = Key::optional(
    "envelope_diameter_mm",
    Kind::Number(LENGTH),
    "the tool's room is not looked at",
    "30",
    "diameter of a round about the tool direction that holds the whole tool, from the tip outward",
);

/// Outer end of the room the tool takes.
pub(super) const ENVELOPE_TO: Key = Key::optional(
    "envelope_to_mm",
    Kind::Number(LENGTH),
    "the inner face of its carrier",
    "190",
    "distance of the outer end of that round from the centre",
);

/// What a section says of itself.
pub(super) const SECTION_KEYS: [Key; 14] = [
    Key::required(
        "shape",
        Kind::Word(SECTION_SHAPE),
        "\"rectangle\"",
        "shape of the section",
    ),
    Key::required(
        "tangential_mm",
        Kind::Number(SECTION_SIZE),
        "12",
        "overall size across the bar, along the sphere",
    )
    .when("shape", RECTANGLE_OR_CUSTOM),
    Key::required(
        "radial_mm",
        Kind::Number(SECTION_SIZE),
        "6",
        "overall size along the sphere's radius",
    )
    .when("shape", RECTANGLE_OR_CUSTOM),
    Key::optional(
        "wall_mm",
        Kind::Number(SECTION_SIZE),
        "the rectangle is solid",
        "1.5",
        "wall of a hollow rectangle",
    )
    .when("shape", RECTANGLE),
    Key::required(
        "outer_diameter_mm",
        Kind::Number(SECTION_SIZE),
        "12",
        "outer diameter",
    )
    .when("shape", TUBE),
    Key::required(
        "inner_diameter_mm",
        Kind::Number(SECTION_SIZE),
        "9",
        "inner diameter, below the outer",
    )
    .when("shape", TUBE),
    Key::required("diameter_mm", Kind::Number(SECTION_SIZE), "10", "diameter").when("shape", ROD),
    Key::required(
        "axial_n",
        Kind::Number(NEWTON),
        "5e6",
        "axial stiffness E·A along the bar",
    )
    .when("shape", CUSTOM),
    Key::required(
        "bending_in_plane_nm2",
        Kind::Number(NEWTON_SQUARE_METRE),
        "15",
        "bending stiffness in the arc's plane",
    )
    .when("shape", CUSTOM),
    Key::required(
        "bending_out_of_plane_nm2",
        Kind::Number(NEWTON_SQUARE_METRE),
        "60",
        "bending stiffness out of the arc's plane",
    )
    .when("shape", CUSTOM),
    Key::required(
        "torsional_nm2",
        Kind::Number(NEWTON_SQUARE_METRE),
        "16",
        "torsional stiffness",
    )
    .when("shape", CUSTOM),
    Key::optional(
        "shear_in_plane_n",
        Kind::Number(NEWTON),
        "infinite: shear is neglected",
        "1.5e6",
        "shear stiffness in the arc's plane",
    )
    .when("shape", CUSTOM),
    Key::optional(
        "shear_out_of_plane_n",
        Kind::Number(NEWTON),
        "infinite: shear is neglected",
        "1.5e6",
        "shear stiffness out of the arc's plane",
    )
    .when("shape", CUSTOM),
    Key::required(
        "mass_per_length_kg_m",
        Kind::Number(Quantity::above(Unit::KilogramPerMetre, 0.0, 1000.0)),
        "0.2",
        "mass per length",
    )
    .when("shape", CUSTOM),
];

/// `[mount.column.section]`.
pub static SECTION: Table = Table {
    meaning: "Cross-section. `radial` lies along the sphere's radius, `tangential` across the bar along the sphere.",
    keys: &SECTION_KEYS,
};

/// `[material]`.
pub static MATERIAL: Table = Table {
    meaning: "Material. A name of the shipped table is enough; values given here replace the table's.",
    keys: &[
        Key::required(
            "name",
            Kind::Text,
            "\"aluminium 6061-T6\"",
            "name of the shipped table, or any other name with all four values",
        ),
        Key::optional(
            "youngs_modulus_gpa",
            Kind::Band(MODULUS),
            "the shipped value",
            "68.9",
            "Young's modulus; alone for a shipped material it keeps the table's Poisson's ratio",
        ),
        Key::optional(
            "shear_modulus_gpa",
            Kind::Band(MODULUS),
            "the shipped value, or from Young's modulus with the table's Poisson's ratio",
            "26",
            "shear modulus",
        ),
        Key::optional(
            "density_kg_m3",
            Kind::Band(Quantity::above(Unit::KilogramPerCubicMetre, 0.0, 30_000.0)),
            "the shipped value",
            "2700",
            "density",
        ),
        Key::optional(
            "yield_mpa",
            Kind::Band(Quantity::above(Unit::Megapascal, 0.0, 20_000.0)),
            "the shipped value",
            "276",
            "yield strength; for polymers and laminates the tensile strength used as limit",
        ),
        Key::optional(
            "creep_factor",
            Kind::Band(Quantity::from_to(Unit::One, 1.0, 100.0)),
            "the shipped value: 1 for metals and laminates, 1 to 2 for thermoplastics (common practice, no source)",
            "{ value = 1, from = 1, to = 2 }",
            "deformation under a load that stays over that right after loading; widens sag by own weight, and nothing else",
        ),
        Key::optional(
            "process",
            Kind::Word(PROCESS),
            "the usual one of the shipped material, else \"milled\"",
            "\"milled\"",
            "how parts of it are made; walls and lands are held against what it usually leaves",
        ),
        Key::optional(
            "source",
            Kind::Text,
            "the shipped source, or \"as given\" where values differ from the table",
            "\"bar of our own, bending test\"",
            "where the values come from",
        ),
    ],
};

/// Number of entries of a list with one for each stage.
pub(super) const PER_STAGE: Count = Count {
    least: 1,
    most: calotte::kinematics::STAGES_MAX,
    item: "stage",
};
