//! Keys of what turns a linkage and of what it stands on, which brief and design share.

use super::shared::{ANGULAR_STIFFNESS, LENGTH, MASS, MATERIAL, SECTION, SIGNED_LENGTH, STIFFNESS};
use super::words::ACTIVE_JOINT;
use super::{Key, Kind, Table};

/// `[[drive]]`.
pub static DRIVE: Table = Table {
    meaning: "Motor, gear or brake of an active joint. A drive that is not described is taken as rigid and without mass, and results say so.",
    keys: &[
        Key::default(
            "joint",
            Kind::Word(ACTIVE_JOINT),
            "\"every\"",
            "the active joint it turns",
        ),
        Key::optional(
            "stiffness_nm_per_rad",
            Kind::Band(ANGULAR_STIFFNESS),
            "the drive is rigid",
            "200",
            "stiffness with which it holds its joint, at the joint, of gear, coupling and brake in series",
        ),
        Key::optional(
            "mass_kg",
            Kind::Band(MASS),
            "the drive is taken as without mass",
            "0.4",
            "its mass, on the axis of its joint; with weight it enters sag and holding torque unless it rides on the base",
        ),
        Key::optional(
            "rides_on",
            Kind::Text,
            "what its joint turns from: the base, or the first arc for the elbow of a two-arc arm",
            "\"base\"",
            "what carries its mass: \"base\", or a bar that the joint's axis goes through, by name (base-left or base-right of a scissor linkage, proximal-left or proximal-right of a five-bar, first-arc or second-arc of a two-arc arm); it lies at that bar's radius",
        ),
    ],
};

/// Springs of what the base stands on.
pub(super) const MOUNT_SPRINGS: Key = Key::optional(
    "springs",
    Kind::Table(&SPRINGS),
    "rigid ground, unless there is a column",
    "{ axial_n_per_m = 1e7, lateral_n_per_m = 5e6, tilt_nm_per_rad = 2000, twist_nm_per_rad = 2000 }",
    "springs between the ground and the base",
);

/// Column that the base stands on.
pub(super) const MOUNT_COLUMN: Key = Key::optional(
    "column",
    Kind::Table(&COLUMN),
    "rigid ground, unless there are springs",
    "{ direction = [0, 0, -1], length_mm = 400, section = { shape = \"rod\", diameter_mm = 30 }, material = { name = \"stainless steel 304\" } }",
    "a straight column between the ground and the base",
);

/// `[mount.springs]`.
static SPRINGS: Table = Table {
    meaning: "Springs at a point of the base axis.",
    keys: &[
        Key::optional(
            "at_radius_mm",
            Kind::Number(SIGNED_LENGTH),
            "the joint radius",
            "150",
            "distance of the point from the centre along the base axis",
        ),
        Key::required(
            "axial_n_per_m",
            Kind::Band(STIFFNESS),
            "1e7",
            "along the base axis",
        ),
        Key::required(
            "lateral_n_per_m",
            Kind::Band(STIFFNESS),
            "5e6",
            "across the base axis",
        ),
        Key::required(
            "tilt_nm_per_rad",
            Kind::Band(ANGULAR_STIFFNESS),
            "2000",
            "about any axis across the base axis",
        ),
        Key::required(
            "twist_nm_per_rad",
            Kind::Band(ANGULAR_STIFFNESS),
            "2000",
            "about the base axis",
        ),
    ],
};

/// `[mount.column]`.
static COLUMN: Table = Table {
    meaning: "A straight column from a point of the base axis to rigid ground.",
    keys: &[
        Key::optional(
            "at_radius_mm",
            Kind::Number(SIGNED_LENGTH),
            "the joint radius",
            "150",
            "distance of the column's head from the centre along the base axis",
        ),
        Key::required(
            "direction",
            Kind::Direction,
            "[0, 0, -1]",
            "from the column's head to its foot, in the base frame",
        ),
        Key::required("length_mm", Kind::Number(LENGTH), "400", "length"),
        Key::required(
            "section",
            Kind::Table(&SECTION),
            "{ shape = \"rod\", diameter_mm = 30 }",
            "cross-section; `radial` lies in the plane of column and base axis",
        ),
        Key::required(
            "material",
            Kind::Table(&MATERIAL),
            "{ name = \"stainless steel 304\" }",
            "material",
        ),
    ],
};
