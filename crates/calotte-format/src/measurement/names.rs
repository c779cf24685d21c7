//! What a name in a heading means: a column, a remark, or a slip.

use super::columns::{Known, named};
use super::number::ColumnUnit;
use super::problems::{listed, nearest, short};

/// What a name in a heading means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Meaning {
    /// A known column, by its place in the list of them, in a unit.
    Known(usize, ColumnUnit),
    /// Something of the one who measured, not read.
    Remark,
    /// No name at all.
    Nameless,
    /// A joint that is active in other drive layouts.
    OtherJoint(&'static str),
    /// Nothing that can be read.
    Unknown(Unknown),
}

/// A name that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unknown {
    /// Known column that was probably meant, by its place in the list.
    pub(super) meant: Option<usize>,
    /// What is wrong.
    pub(super) message: String,
    /// What to try.
    pub(super) hint: String,
}

/// Joints of all layouts.
const JOINTS: [&str; 6] = ["left", "right", "swing", "opening", "base", "elbow"];

/// Endings that name a unit these files do not have.
const OTHER_UNITS: [&str; 44] = [
    "nm",
    "km",
    "dm",
    "ft",
    "foot",
    "feet",
    "inch",
    "inches",
    "mil",
    "mils",
    "thou",
    "yd",
    "metre",
    "metres",
    "meter",
    "meters",
    "millimetre",
    "millimetres",
    "millimeter",
    "millimeters",
    "micron",
    "microns",
    "micrometre",
    "micrometres",
    "micrometer",
    "micrometers",
    "degree",
    "degrees",
    "radian",
    "radians",
    "mrad",
    "grad",
    "gon",
    "turn",
    "turns",
    "lb",
    "lbs",
    "oz",
    "t",
    "mg",
    "gram",
    "grams",
    "n",
    "kn",
];

/// What a name in a heading means.
pub(super) fn meaning(written: &str, known: &[Known]) -> Meaning {
    let name = written.trim().to_lowercase().replace(['µ', 'μ'], "u");
    if name.is_empty() {
        return Meaning::Nameless;
    }
    if let Some((index, unit)) = exactly(&name, known) {
        return Meaning::Known(index, unit);
    }
    if let Some(joint) = other_joint(&tidied(&name), known) {
        return Meaning::OtherJoint(joint);
    }
    match unknown(&name, written, known) {
        Some(unknown) => Meaning::Unknown(unknown),
        None => Meaning::Remark,
    }
}

/// The known column of exactly this name, in any of its units.
fn exactly(name: &str, known: &[Known]) -> Option<(usize, ColumnUnit)> {
    known.iter().enumerate().find_map(|(index, column)| {
        let units = column.quantity.units();
        let unit = units
            .iter()
            .find(|unit| named(&column.stem, **unit) == name)?;
        Some((index, *unit))
    })
}

/// The joint that a name means, if it is active in other layouts only.
fn other_joint(tidy: &str, known: &[Known]) -> Option<&'static str> {
    let (stem, _) = stem_and_unit(tidy);
    let joint = JOINTS.into_iter().find(|joint| *joint == stem)?;
    (!known.iter().any(|column| column.stem == joint)).then_some(joint)
}

/// What is wrong with a name; `None` for a remark of the one who measured.
fn unknown(name: &str, written: &str, known: &[Known]) -> Option<Unknown> {
    let tidy = tidied(name);
    let wrong = |meant: Option<usize>, message: String, hint: String| {
        Some(Unknown {
            meant,
            message,
            hint,
        })
    };
    let (stem, unit) = stem_and_unit(&tidy);
    if let Some((index, _)) = exactly(&tidy, known) {
        let message = format!("`{}` is no column's name", short(written));
        return wrong(Some(index), message, format!("write `{tidy}`"));
    }
    if let Some(index) = known.iter().position(|column| column.stem == stem) {
        let column = &known[index];
        let allowed: Vec<String> = column
            .quantity
            .units()
            .iter()
            .map(|unit| named(&column.stem, *unit))
            .collect();
        let message = match unit {
            None => format!("`{stem}` does not say its unit"),
            Some(unit) if column.quantity.units() == [ColumnUnit::One] => {
                format!("`{stem}` has no unit, and is given in {unit}")
            }
            Some(unit) => format!("`{stem}` cannot be read in {unit}"),
        };
        return wrong(Some(index), message, format!("write {}", either(&allowed)));
    }
    let names: Vec<String> = known.iter().map(Known::name).collect();
    let near = nearest(&tidy, &names);
    let meant = near.and_then(|near| names.iter().position(|name| name == near));
    if unit.is_some_and(|unit| ColumnUnit::NAMED.iter().any(|known| known.suffix() == unit)) {
        let message = format!("`{tidy}` has a unit and is no known column");
        let remark = "take the column out, or give it a name without a unit to keep it as a remark";
        let hint = match near {
            Some(near) => format!("write `{near}`; or {remark}"),
            None => remark.to_string(),
        };
        return wrong(meant, message, hint);
    }
    if is_part_of_quaternion(&tidy) && known.iter().any(|column| column.stem == "qw") {
        let message = format!("`{tidy}` is no column's name");
        let names = ["qw", "qx", "qy", "qz"];
        let hint = format!("name the parts of the orientation {}", listed(&names));
        return wrong(None, message, hint);
    }
    let slip = |column: &Known| {
        column.stem.len() >= 4 && strsim::damerau_levenshtein(&tidy, &column.stem) == 1
    };
    if let Some(index) = known.iter().position(slip) {
        let name = known[index].name();
        let message = format!("`{tidy}` is no column's name");
        let hint = format!("write `{name}`; or give the column another name, if it is a remark");
        return wrong(Some(index), message, hint);
    }
    None
}

/// Names as a choice: `a`, `b` or `c`.
fn either(names: &[String]) -> String {
    listed(names).replace(" and ", " or ")
}

/// A name with one `_` for whatever stands between its words: `x [mm]` is `x_mm`.
fn tidied(name: &str) -> String {
    let words: Vec<&str> = name
        .split(|character: char| !character.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    words.join("_")
}

/// A name without its unit.
pub(super) fn stem(written: &str) -> String {
    stem_and_unit(&tidied(&written.to_lowercase()))
        .0
        .to_string()
}

/// A name and the unit it ends in, if it ends in one.
fn stem_and_unit(name: &str) -> (&str, Option<&str>) {
    match name.rsplit_once('_') {
        Some((stem, last))
            if OTHER_UNITS.contains(&last)
                || ColumnUnit::NAMED.iter().any(|unit| unit.suffix() == last) =>
        {
            (stem, Some(last))
        }
        _ => (name, None),
    }
}

/// Names such as `q0`, `q_x`, `quat_w`.
fn is_part_of_quaternion(name: &str) -> bool {
    let rest = name
        .strip_prefix("quaternion")
        .or_else(|| name.strip_prefix("quat"))
        .or_else(|| name.strip_prefix('q'));
    rest.is_some_and(|rest| {
        let part = rest.strip_prefix('_').unwrap_or(rest);
        matches!(
            part,
            "w" | "x" | "y" | "z" | "s" | "0" | "1" | "2" | "3" | "4"
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::columns::KnownColumns;
    use super::super::columns::Quantity;
    use super::*;

    fn known() -> Vec<Known> {
        KnownColumns::default()
            .with(Quantity::Angle, &["swing", "opening"])
            .with(Quantity::Length, &["x", "y", "z"])
            .with(Quantity::Ratio, &["qw", "qx", "qy", "qz"])
            .with(Quantity::Text, &["group"])
            .0
    }

    #[test]
    fn names_in_all_units_are_known() {
        for (name, stem, unit) in [
            ("swing_deg", "swing", ColumnUnit::Degree),
            ("OPENING_RAD", "opening", ColumnUnit::Radian),
            ("x_mm", "x", ColumnUnit::Millimetre),
            ("y_µm", "y", ColumnUnit::Micrometre),
            ("z_in", "z", ColumnUnit::Inch),
            ("qw", "qw", ColumnUnit::One),
            ("Group", "group", ColumnUnit::One),
        ] {
            let known = known();
            let index = known.iter().position(|column| column.stem == stem).unwrap();
            assert_eq!(meaning(name, &known), Meaning::Known(index, unit), "{name}");
        }
    }

    #[test]
    fn remarks_are_remarks_and_slips_are_not() {
        for name in [
            "remark",
            "time",
            "operator",
            "x_offset",
            "temperature_c",
            "height_ft",
            "no",
        ] {
            assert_eq!(meaning(name, &known()), Meaning::Remark, "{name}");
        }
        for (name, word) in [
            ("x", "x_mm"),
            ("x_ft", "x_mm"),
            ("x [mm]", "x_mm"),
            ("x mm", "x_mm"),
            ("swing", "swing_deg"),
            ("swing_mm", "swing_deg"),
            ("swng_deg", "swing_deg"),
            ("temperature_in", "without a unit"),
            ("qw_mm", "qw"),
            ("q0", "qw"),
            ("quat_w", "qw"),
            ("gruop", "group"),
        ] {
            match meaning(name, &known()) {
                Meaning::Unknown(unknown) => {
                    assert!(unknown.hint.contains(word), "{name}: {unknown:?}");
                }
                other => panic!("{name}: {other:?}"),
            }
        }
        assert_eq!(meaning(" ", &known()), Meaning::Nameless);
    }

    #[test]
    fn joints_of_other_layouts_are_told() {
        for name in ["left_deg", "right", "elbow_rad"] {
            let found = meaning(name, &known());
            assert!(matches!(found, Meaning::OtherJoint(_)), "{name}: {found:?}");
        }
        assert_eq!(meaning("left_side", &known()), Meaning::Remark);
    }
}
