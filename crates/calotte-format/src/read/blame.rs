//! Which keys an error of the mechanics is of.
//!
//! The mechanics know no file. What they refuse is put down here to the keys it comes from,
//! where the design is read as well as later, when a configuration shows what is wrong.

use calotte::analysis::AnalysisError;
use calotte::brief::{Brief, FamilyName, LoadPlace};
use calotte::built::BuiltError;
use calotte::design::{Design, Differing, OwnError, OwnSection, SectionOf};
use calotte::elasticity::{ElasticityError, Spring, Structure};
use calotte::family;
use calotte::interference::ClearingError;
use calotte::linkage::{ArcPlace, LinkageError};
use calotte::measurement::ModelError;
use calotte::search::KeptError;
use calotte::surroundings::ShapeError;
use calotte::uncertain::Corner;

use super::check::{Checker, FileKind, join};
use super::fields::Fields;
use super::{brief, design, syntax};
use crate::problem::FormatError;

/// A key at fault: in a table below the file's, or an entry of an array of tables.
#[derive(Debug, Clone, Copy)]
struct Key {
    tables: &'static [&'static str],
    row: Option<usize>,
    name: &'static str,
    /// The entry of a list.
    item: Option<usize>,
}

impl Key {
    const fn of(tables: &'static [&'static str], name: &'static str) -> Self {
        Self {
            tables,
            row: None,
            name,
            item: None,
        }
    }

    const fn item(self, item: usize) -> Self {
        Self {
            item: Some(item),
            ..self
        }
    }
}

/// Keys at fault, in which file, with what to try.
#[derive(Debug)]
struct Blame {
    of_brief: bool,
    keys: Vec<Key>,
    /// What is allowed of all of them together; `None` for what each allows by itself.
    allowed: Option<&'static str>,
    hint: &'static str,
}

impl Blame {
    fn allowing(self, allowed: &'static str) -> Self {
        Self {
            allowed: Some(allowed),
            ..self
        }
    }
}

const CHOICE: &[&str] = &["choice"];
const LINKAGE: &[&str] = &["linkage"];
const FAMILY: Key = Key::of(LINKAGE, "family");
const PROXIMAL: Key = Key::of(LINKAGE, "proximal_arcs_deg");
const DISTAL: Key = Key::of(LINKAGE, "distal_arcs_deg");
const ARCS: Key = Key::of(LINKAGE, "arcs_deg");
const BENDS: Key = Key::of(LINKAGE, "bends_deg");
const BASE_ARC: Key = Key::of(LINKAGE, "base_arc_deg");
const BRACKET: Key = Key::of(&["tool"], "bracket_arc_deg");
const MODULUS: Key = Key::of(&["material"], "youngs_modulus_gpa");
const DRIVE_STIFFNESS: &str = "stiffness_nm_per_rad";
const LAYERS: Key = Key::of(&["layers"], "arrangement");

/// Which of two files is at fault, with its problems.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The design.
    Design(FormatError),
    /// The brief that it was judged by.
    Brief(FormatError),
}

/// Puts an error of an analysis down to the keys of the files that were read.
///
/// # Arguments
/// - `design`: what was analysed, with the text it was read from.
/// - `judged_by`: the brief with its text, where there is one.
pub fn refused(
    error: &AnalysisError,
    design: (&Design, &str),
    judged_by: Option<(&Brief, &str)>,
) -> Refusal {
    let blame = blame_of(error, design.0, judged_by.map(|(brief, _)| brief));
    let message = error.to_string();
    match judged_by.filter(|_| blame.of_brief) {
        Some((_, text)) => Refusal::Brief(located(text, brief::FILE, &blame, &message)),
        None => Refusal::Design(located(design.1, design::FILE, &blame, &message)),
    }
}

/// Puts down to keys why a design cannot be measured.
///
/// # Arguments
/// - `text`: what the design was read from.
pub fn refused_to_measure(error: &ModelError, design: &Design, text: &str) -> FormatError {
    let blame = match error {
        ModelError::Linkage(error) => of_linkage(error, design),
        ModelError::NotAvailable(_) => not_offered(),
        ModelError::Roll(_) => in_design(
            vec![Key::of(&["tool"], "roll_deg")],
            "write roll_deg = 0: the sensor's place on the tool is fitted",
        )
        .allowing("0"),
    };
    located(text, design::FILE, &blame, &error.to_string())
}

/// Puts down to keys of the brief why what it made has no elastic answer; `None` for what is
/// wrong with nothing that a brief states.
///
/// # Arguments
/// - `design`: what was made.
/// - `text`: what the brief was read from.
pub fn refused_to_solve(error: &AnalysisError, design: &Design, text: &str) -> Option<FormatError> {
    let AnalysisError::Elasticity(ElasticityError::NoDigits(_)) = error else {
        return None;
    };
    let blame = blame_of(error, design, None);
    Some(located(text, brief::FILE, &blame, &error.to_string()))
}

/// Puts down to keys of the brief why parts of a prototype cannot be kept; `None` where what is
/// kept is at fault itself.
pub fn refused_to_keep(error: &KeptError, text: &str) -> Option<FormatError> {
    let (keys, hint) = match error {
        KeptError::NoSuchBar { .. } | KeptError::NotYet(_) => return None,
        KeptError::Stages { .. } => (
            vec![Key::of(CHOICE, "stages")],
            "keep fewer bars, or allow their number of stages",
        ),
        KeptError::Family(_) => (
            vec![Key::of(CHOICE, "families")],
            "allow the family of the prototype, or keep nothing of it",
        ),
        KeptError::Rating(_) => (
            vec![Key::of(&["limits"], "bearing_static_safety")],
            "leave the limit out, or keep no bar",
        ),
        KeptError::Stress => (
            vec![Key::of(&["limits"], "safety_factor_yield")],
            "leave the limit out, or keep no bar",
        ),
    };
    let blame = Blame {
        of_brief: true,
        keys,
        allowed: None,
        hint,
    };
    Some(located(text, brief::FILE, &blame, &error.to_string()))
}

/// The problems of a text that was read without any.
/// The entry of [[drive]] with the least stiffness.
fn softest(drives: &[Fields]) -> Option<usize> {
    let rows = drives.iter().enumerate();
    rows.filter_map(|(row, drive)| Some((row, drive.band(DRIVE_STIFFNESS)?.value)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(row, _)| row)
}

fn located(text: &str, file: FileKind, blame: &Blame, message: &str) -> FormatError {
    match syntax::parse(text) {
        Ok((table, problems)) => {
            let mut checker = Checker::new(text, file, problems);
            let fields = checker.file(table.get_ref());
            checker.blame(&fields, blame, message);
            checker.into_error()
        }
        Err(error) => error,
    }
}

impl Checker<'_> {
    /// Whether the design that was read can be built and its structure be set up.
    pub(super) fn buildable(&mut self, fields: &Fields, design: &Design) -> bool {
        let nominal = design.at_corner(Corner::Nominal);
        let built = family::build(&nominal)
            .map_err(ElasticityError::from)
            .and_then(|linkage| Structure::new(&nominal, &linkage));
        let Err(error) = built else { return true };
        let blame = of_structure(&error, design, None);
        self.blame(fields, &blame, &error.to_string());
        false
    }

    /// A problem for each key; the first in the file has the whole message.
    fn blame(&mut self, file: &Fields, blame: &Blame, message: &str) {
        let mut places: Vec<(&Fields, &'static str, Option<usize>)> = blame
            .keys
            .iter()
            .map(|key| {
                let mut at = file;
                for (depth, name) in key.tables.iter().enumerate() {
                    let last = depth + 1 == key.tables.len();
                    let row = match key.name {
                        DRIVE_STIFFNESS => softest(at.tables(name)),
                        _ => key.row,
                    };
                    let inner = match row.filter(|_| last) {
                        Some(row) => at.tables(name).get(row),
                        None => at.table(name),
                    };
                    match inner {
                        Some(inner) => at = inner,
                        // The table is missing: that is its place.
                        None => return (at, *name, None),
                    }
                }
                (at, key.name, key.item)
            })
            .collect();
        places.sort_by_key(|(fields, name, _)| match fields.entries.get(name) {
            Some(entry) if entry.given => entry.span.start,
            _ => fields.header.start,
        });
        let mut first = None;
        for (fields, name, item) in places {
            let words = match &first {
                None => message.to_string(),
                Some(first) => format!("`{name}` has a part in the problem of `{first}`"),
            };
            let problem = self.object(fields, name, item, words);
            problem.hint = blame.hint.to_string();
            if let Some(allowed) = blame.allowed {
                problem.allowed = allowed.to_string();
            }
            first.get_or_insert_with(|| problem.key.clone());
        }
    }
}

fn in_design(keys: Vec<Key>, hint: &'static str) -> Blame {
    Blame {
        of_brief: false,
        keys,
        allowed: None,
        hint,
    }
}

fn not_offered() -> Blame {
    in_design(
        vec![FAMILY],
        "calotte analyse, map, compare and judge answer for every family",
    )
    .allowing("a family that answers this")
}

/// The keys that hold the arcs of a design's family.
fn arcs(design: &Design) -> Vec<Key> {
    if design.family.family_name() == FamilyName::TWO_ARC_ARM {
        vec![ARCS]
    } else {
        vec![PROXIMAL, DISTAL]
    }
}

/// The releases of a design, or its arcs where nothing is released.
fn releases_or_arcs(design: &Design) -> Blame {
    let released = design.joints.releases.len();
    if released == 0 {
        return in_design(arcs(design), "take other arcs: this linkage is singular");
    }
    let keys = (0..released).map(|row| Key {
        row: Some(row),
        ..Key::of(&["joints", "releases"], "joint")
    });
    in_design(
        keys.collect(),
        "release fewer directions; `calotte analyse DESIGN --releases` lists sets that work, without [[joints.releases]]",
    )
}

fn blame_of(error: &AnalysisError, design: &Design, judged_by: Option<&Brief>) -> Blame {
    match error {
        AnalysisError::NotAvailable(_) => {
            // Asked for by the keep-outs of a brief alone.
            let keep_outs = judged_by.is_some_and(|brief| !brief.keep_outs.is_empty());
            Blame {
                of_brief: keep_outs,
                keys: vec![if keep_outs { keep_out(0) } else { FAMILY }],
                allowed: None,
                hint: if keep_outs {
                    "leave the keep-outs out of the brief: reach, stiffness and holding are answered"
                } else {
                    "calotte analyse, map, compare and judge answer for every family"
                },
            }
        }
        AnalysisError::Elasticity(error) => of_structure(error, design, judged_by),
        AnalysisError::Region(_) => Blame {
            of_brief: judged_by.is_some(),
            keys: vec![Key::of(&[], "region")],
            allowed: None,
            hint: "give a region that holds a direction",
        },
        AnalysisError::Clearing(error) => of_clearing(error, design),
        AnalysisError::KeepOut(error) => {
            let (ShapeError::NotFinite { name, .. }
            | ShapeError::Negative { name, .. }
            | ShapeError::NoDirection { name, .. }
            | ShapeError::Mesh { name, .. }) = error;
            let keep_outs = judged_by.map_or(&[][..], |brief| &brief.keep_outs);
            let row = keep_outs.iter().position(|one| one.name == *name);
            Blame {
                of_brief: true,
                keys: vec![keep_out(row.unwrap_or(0))],
                allowed: None,
                hint: "give the keep-out another shape, or take it out",
            }
        }
        AnalysisError::Mobility(_) => releases_or_arcs(design),
    }
}

fn keep_out(row: usize) -> Key {
    Key {
        row: Some(row),
        ..Key::of(&["keep_out"], "name")
    }
}

fn of_structure(error: &ElasticityError, design: &Design, judged_by: Option<&Brief>) -> Blame {
    match error {
        ElasticityError::NoFlexibleLength { .. } => {
            let mut keys = arcs(design);
            keys.push(Key::of(&["joints"], "boss_diameter_mm"));
            in_design(
                keys,
                "take a smaller boss, a longer arc or a larger joint_radius_mm",
            )
        }
        ElasticityError::Singular => releases_or_arcs(design),
        ElasticityError::NoDigits(extremes) => {
            let both = [extremes.soft, extremes.stiff];
            let mut keys: Vec<Key> = both.into_iter().filter_map(stated_at).collect();
            if keys.is_empty() {
                keys.push(MODULUS);
            }
            in_design(
                keys,
                "bring the two nearer together; write rigid = true for joints that do not deform, and release a motion that nothing holds",
            )
            .allowing("a stiffness above 0, within a factor of about 1e9 of those beside it")
        }
        ElasticityError::Linkage(error) => of_linkage(error, design),
        ElasticityError::Built(error) => match error {
            BuiltError::NotAvailable(_) => in_design(
                vec![LAYERS],
                "leave [layers] out: all bars then lie at joint_radius_mm",
            ),
            BuiltError::LayerCount { .. } | BuiltError::JointInOneLayer { .. } => in_design(
                vec![Key::of(&["layers"], "of_bars")],
                "put bars that share a joint into different layers, one number for each bar",
            ),
            BuiltError::TooNearCentre { .. } | BuiltError::Shafts { .. } => in_design(
                vec![LAYERS],
                "take a larger joint_radius_mm or smaller bosses",
            ),
            // The message itself says which keys leave more.
            BuiltError::NothingLeft(wall) if wall.is_land() => {
                let mut keys = arcs(design);
                keys.push(Key::of(&["joints"], "boss_diameter_mm"));
                in_design(
                    keys,
                    "take longer arcs, a larger joint_radius_mm or smaller bearings and shafts",
                )
            }
            BuiltError::BossTooSmall { .. } | BuiltError::NothingLeft(_) => in_design(
                vec![Key::of(&["joints"], "boss_diameter_mm")],
                "give a larger boss_diameter_mm",
            ),
        },
        ElasticityError::RigidRelease { joint } => {
            let mut keys = vec![Key::of(&["joints"], "rigid")];
            keys.extend(release_of(design, joint));
            in_design(
                keys,
                "give the three stiffnesses of [joints], or its bearings and pin, or release nothing there",
            )
        }
        ElasticityError::TwoAnyDirections { .. } => Blame {
            of_brief: judged_by.is_some(),
            keys: vec![Key {
                row: Some(0),
                ..Key::of(&["together"], "name")
            }],
            allowed: None,
            hint: "let one load at most of those that act together have any direction",
        },
        ElasticityError::UnknownBar { name, .. } => {
            let loads = judged_by.map_or(&[][..], |brief| &brief.loads);
            // Those of `[[load]]` come first and in its order; what acts together names them.
            let on_it =
                |on: &LoadPlace| matches!(on, LoadPlace::Bar { name: on, .. } if on == name);
            let row = loads
                .iter()
                .position(|case| case.loads.iter().any(|load| on_it(&load.on)));
            Blame {
                of_brief: true,
                keys: vec![Key {
                    row: Some(row.unwrap_or(0)),
                    ..Key::of(&["load"], "on")
                }],
                allowed: None,
                hint: "name a bar of this design, or take the load out",
            }
        }
    }
}

/// The key that states a stiffness; `None` for what follows from sizes and materials.
fn stated_at(spring: Spring) -> Option<Key> {
    const JOINTS: &[&str] = &["joints"];
    const BEARING: &[&str] = &["joints", "bearing"];
    Some(match spring {
        Spring::JointAxial(_) => Key::of(JOINTS, "axial_n_per_m"),
        Spring::JointRadial(_) => Key::of(JOINTS, "radial_n_per_m"),
        Spring::JointTilt(_) => Key::of(JOINTS, "tilt_nm_per_rad"),
        Spring::BearingAxial(_) => Key::of(BEARING, "axial_n_per_m"),
        // A pair resists tilting by its radial stiffness and its spacing.
        Spring::BearingRadial(_) | Spring::BearingTilt(_) => Key::of(BEARING, "radial_n_per_m"),
        // Which entry is the softer one, the file says.
        Spring::Drives(_) => Key {
            row: Some(0),
            ..Key::of(&["drive"], DRIVE_STIFFNESS)
        },
        Spring::Pins | Spring::Bars => return None,
    })
}

/// A stiffness as a design states it: its key with its value, or what it follows from.
pub fn stiffness_words(spring: Spring) -> String {
    let key = stated_at(spring).map(|key| join(&key.tables.join("."), key.name));
    let (Some(key), Some(value)) = (key, spring.value()) else {
        return spring.words();
    };
    match spring {
        // What a pair of bearings comes to is not what either states.
        Spring::BearingAxial(_) | Spring::BearingRadial(_) | Spring::BearingTilt(_) => {
            format!("{} ({key})", spring.words())
        }
        _ => format!("{key} = {value:e}"),
    }
}

fn release_of(design: &Design, joint: &str) -> Option<Key> {
    let row = design
        .joints
        .releases
        .iter()
        .position(|one| one.joint == *joint)?;
    Some(Key {
        row: Some(row),
        ..Key::of(&["joints", "releases"], "joint")
    })
}

fn of_linkage(error: &LinkageError, design: &Design) -> Blame {
    match error {
        LinkageError::ArcAngle { place, .. } => {
            let side = |right: bool| usize::from(right);
            let ends = |distal: bool| if distal { DISTAL } else { PROXIMAL };
            let keys = match *place {
                ArcPlace::Base => vec![BASE_ARC],
                ArcPlace::OfStage { stage, distal } => vec![ends(distal).item(stage)],
                ArcPlace::OfSide { right, distal } => vec![ends(distal).item(side(right))],
                ArcPlace::WithBracket { right } => vec![DISTAL.item(side(right)), BRACKET],
                ArcPlace::InSeries(index) => vec![ARCS.item(index)],
            };
            in_design(keys, "take an arc well between 0° and 180°")
                .allowing("an arc, with its bracket where it has one, farther than 6e-5° from 0° and from 180°")
        }
        LinkageError::ListLength { .. } | LinkageError::Stages { .. } => in_design(
            vec![PROXIMAL, DISTAL, BENDS],
            "give both lists one arc for each stage",
        ),
        LinkageError::Value { name, .. } => {
            let key = match *name {
                "joint radius" => Key::of(LINKAGE, "joint_radius_mm"),
                "tip radius" => Key::of(&["tool"], "tip_radius_mm"),
                "drive ratio" => Key::of(&["drives"], "ratio"),
                "boss diameter" => Key::of(&["joints"], "boss_diameter_mm"),
                "bracket arc" => BRACKET,
                "assembly mode" => Key::of(LINKAGE, "assembly_modes"),
                "bend" => BENDS,
                _ => FAMILY,
            };
            in_design(vec![key], "give a value that can be built")
        }
        LinkageError::UnknownJoint { name, .. } => in_design(
            vec![release_of(design, name).unwrap_or(FAMILY)],
            "name one of the joints there are, as results print them",
        ),
        LinkageError::DriveCarrier { .. } => in_design(
            vec![Key {
                row: Some(0),
                ..Key::of(&["drive"], "rides_on")
            }],
            "name a bar that the joint's axis goes through, or base",
        ),
        LinkageError::NeverMeets { .. } => in_design(
            vec![BASE_ARC, PROXIMAL, DISTAL],
            "take longer arcs or a smaller base_arc_deg, so that the two spans overlap about the base axes",
        )
        .allowing("chains that can meet: the sum of both reaches is the arc between the base axes or more"),
        LinkageError::NotAvailable(_) => not_offered(),
        LinkageError::Section(_) => in_design(
            vec![Key::of(&["section"], "shape")],
            "give sizes that leave a wall",
        ),
        LinkageError::Own(error) => of_own(error, design),
        LinkageError::CoincidentStations { .. } => {
            let mut keys = arcs(design);
            if design.family.family_name() == FamilyName::SCISSOR_LINKAGE {
                keys.push(BENDS);
            }
            in_design(
                keys,
                "take other arcs or bends, so that no two joints of one bar lie in one direction",
            )
        }
    }
}

/// The entry of `[[section.level]]`, `[[section.bar]]` or `[[joints.level]]` at fault.
fn of_own(error: &OwnError, design: &Design) -> Blame {
    const JOINTS_LEVEL: &[&str] = &["joints", "level"];
    let in_row = |key: Key, row: usize| Key {
        row: Some(row),
        ..key
    };
    // Levels are listed before bars; each has its own rows in the file.
    let of_section = |entry: usize| {
        let sections = &design.own.sections;
        let is_level = |own: &OwnSection| matches!(own.of, SectionOf::Level(_));
        let level = sections.get(entry).is_some_and(is_level);
        let before = sections.iter().take(entry);
        let row = before.filter(|own| is_level(own) == level).count();
        in_row(
            match level {
                true => Key::of(&["section", "level"], "level"),
                false => Key::of(&["section", "bar"], "name"),
            },
            row,
        )
    };
    let of_joints = |entry: usize| in_row(Key::of(JOINTS_LEVEL, "level"), entry);
    let at = |differing: Differing, entry: usize| match differing {
        Differing::Sections => of_section(entry),
        Differing::Joints => of_joints(entry),
    };
    match error {
        OwnError::UnknownBar { entry, .. } => in_design(
            vec![of_section(*entry)],
            "name one of the bars there are, as results print them",
        )
        .allowing("a bar that the linkage has"),
        OwnError::UnknownLevel {
            differing, entry, ..
        } => in_design(
            vec![at(*differing, *entry)],
            "levels are counted from the base, 0, outward: one for each stage",
        )
        .allowing("a level that the linkage has"),
        OwnError::Twice {
            differing, entry, ..
        } => in_design(
            vec![at(*differing, *entry)],
            "write all of it into one entry",
        )
        .allowing("each bar and each level once"),
        OwnError::OtherKind { entry, .. } => in_design(
            vec![of_joints(*entry)],
            "describe all levels as [joints] does",
        ),
        OwnError::BossDiameter { entry, .. } => in_design(
            vec![in_row(Key::of(JOINTS_LEVEL, "boss_diameter_mm"), *entry)],
            "give zero or a positive length",
        ),
        OwnError::Section(_) => in_design(
            vec![Key::of(&["section"], "shape")],
            "give sizes that leave a wall",
        ),
    }
}

fn of_clearing(error: &ClearingError, design: &Design) -> Blame {
    match error {
        ClearingError::NotAvailable(_) => not_offered(),
        ClearingError::NotYet(_) => in_design(
            vec![LAYERS],
            "give the layer of each bar with arrangement = \"given\", or take bars and joints that are alike",
        ),
        ClearingError::NoLayers => in_design(
            vec![LAYERS],
            "add [layers] with arrangement = \"two\", and [joints.bearing] for bosses and pins",
        ),
        ClearingError::Clearance(_) => in_design(
            vec![Key::of(&["layers"], "clearance_mm")],
            "give zero or a positive length",
        ),
        ClearingError::Solid(_) => in_design(
            [arcs(design), vec![LAYERS]].concat(),
            "take sizes and arcs that can be built",
        ),
        ClearingError::EmptyRange { .. }
        | ClearingError::Outside { .. }
        | ClearingError::Blocked { .. }
        | ClearingError::NotClosed(_) => in_design(
            vec![Key::of(&["drives"], "range_deg"), LAYERS],
            "give the drives another range, or the bars other layers",
        ),
    }
}
