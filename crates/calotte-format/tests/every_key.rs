//! Every key of the table does something: a file that gives it another value is another
//! brief or design, and what the writer knows nothing of does not come back.

use std::fmt::Debug;

use calotte::brief::FamilyName;
use calotte_format::keys::brief::BRIEF;
use calotte_format::keys::design::DESIGN;
use calotte_format::keys::{Key, Kind, Need, words};
use calotte_format::{read_brief, read_design, write_design};
use toml::{Table, Value};

/// Designs in which every key has a place; numbers invented.
const DESIGNS: [&str; 13] = [
    include_str!("valid/arm.toml"),
    include_str!("valid/scissor.toml"),
    include_str!("valid/custom_section.toml"),
    BUILT_ARM,
    BUILT_SCISSOR,
    FIVE_BAR,
    OWN_SECTIONS[0],
    OWN_SECTIONS[1],
    OWN_SECTIONS[2],
    OWN_SECTIONS[3],
    OWN_JOINTS[0],
    OWN_JOINTS[1],
    OWN_JOINTS[2],
];

const BUILT_ARM: &str = r#"
    linkage = { family = "two-arc-arm", arcs_deg = [50, 40], joint_radius_mm = 150 }
    section = { shape = "rod", diameter_mm = 6 }
    material = { name = "aluminium 6061-T6" }
    layers = { arrangement = "given", of_bars = [2, 1], gap_mm = 14 }
    tool = { envelope_diameter_mm = 20 }
    [joints]
    boss_diameter_mm = 22
    [joints.bearing]
    name = "624"
    spacing_mm = 10
    [joints.seat]
    radial_n_per_m = 1e8
    axial_n_per_m = 1e8
    [joints.measured]
    tilt_factor = 0.7
    [mount.column]
    direction = [0, 0, -1]
    length_mm = 400
    material = { name = "stainless steel 304" }
    [mount.column.section]
    shape = "custom"
    axial_n = 5e6
    bending_in_plane_nm2 = 15
    bending_out_of_plane_nm2 = 60
    torsional_nm2 = 16
    mass_per_length_kg_m = 0.2
    tangential_mm = 12
    radial_mm = 6
"#;

const BUILT_SCISSOR: &str = r#"
    linkage = { family = "scissor-linkage", proximal_arcs_deg = [30], distal_arcs_deg = [30], joint_radius_mm = 150 }
    section = { shape = "tube", outer_diameter_mm = 8, inner_diameter_mm = 6 }
    material = { name = "aluminium 6061-T6" }
    layers = { arrangement = "two" }
    [joints]
    boss_diameter_mm = 22
    [joints.bearing]
    name = "624"
    load_radial_n = 10
    load_axial_n = 5
    spacing_mm = 10
"#;

const FIVE_BAR: &str = r#"
    linkage = { family = "five-bar", base_arc_deg = 50, proximal_arcs_deg = [55, 50], distal_arcs_deg = [62, 58], joint_radius_mm = 150 }
    section = { shape = "rectangle", tangential_mm = 14, radial_mm = 10 }
    material = { name = "aluminium 6061-T6" }
    joints = { rigid = true }
    [mount.column]
    direction = [0, 0, -1]
    length_mm = 400
    section = { shape = "rectangle", tangential_mm = 14, radial_mm = 10, wall_mm = 2 }
    material = { name = "stainless steel 304" }
"#;

macro_rules! own_sections {
    ($section:literal) => {
        concat!(
            "linkage = { family = \"scissor-linkage\", proximal_arcs_deg = [30], distal_arcs_deg = [30], joint_radius_mm = 150 }\n",
            "material = { name = \"aluminium 6061-T6\" }\njoints = { rigid = true }\n",
            "[section]\nshape = \"rod\"\ndiameter_mm = 9\n",
            "[[section.level]]\nlevel = 0\n", $section,
            "\n[[section.bar]]\nname = \"base-right\"\n", $section
        )
    };
}

const OWN_SECTIONS: [&str; 4] = [
    own_sections!("shape = \"rod\"\ndiameter_mm = 7"),
    own_sections!("shape = \"tube\"\nouter_diameter_mm = 7\ninner_diameter_mm = 6"),
    own_sections!("shape = \"rectangle\"\ntangential_mm = 14\nradial_mm = 10\nwall_mm = 2"),
    own_sections!(
        "shape = \"custom\"\naxial_n = 5e6\nbending_in_plane_nm2 = 15\nbending_out_of_plane_nm2 = 60\ntorsional_nm2 = 16\nmass_per_length_kg_m = 0.2\ntangential_mm = 12\nradial_mm = 6"
    ),
];

macro_rules! own_joints {
    ($joints:literal) => {
        concat!(
            "linkage = { family = \"two-arc-arm\", arcs_deg = [50, 40], joint_radius_mm = 150 }\n",
            "section = { shape = \"rod\", diameter_mm = 6 }\n",
            "material = { name = \"aluminium 6061-T6\" }\n",
            $joints
        )
    };
}

const OWN_JOINTS: [&str; 3] = [
    own_joints!(
        "[joints]\naxial_n_per_m = 3e6\nradial_n_per_m = 6e6\ntilt_nm_per_rad = 300\n[[joints.level]]\nlevel = 0\nboss_diameter_mm = 8\nmass_kg = 0.01"
    ),
    own_joints!(
        "[joints.bearing]\nname = \"624\"\n[[joints.level]]\nlevel = 0\nboss_diameter_mm = 24\n[joints.level.bearing]\nname = \"624\"\nspacing_mm = 10\n[joints.level.pin]\ndiameter_mm = 3"
    ),
    own_joints!(
        "[joints.bearing]\nname = \"624\"\n[[joints.level]]\nlevel = 1\nboss_diameter_mm = 24\n[joints.level.bearing]\nname = \"624\"\nload_radial_n = 10\nload_axial_n = 5\nspacing_mm = 10"
    ),
];

/// Briefs in which every key has a place; numbers invented.
const BRIEFS: [&str; 20] = [
    include_str!("valid/brief_full.toml"),
    include_str!("valid/brief_points.toml"),
    include_str!("valid/brief_small.toml"),
    "region = { shape = \"cap\", half_angle_deg = 60 }\ntool = { mass_kg = 0.8, tip_radius_mm = 100, envelope_diameter_mm = 20 }\nlayers = { arrangement = \"two\" }\njoints = { boss_diameter_mm = 22, bearing = { name = \"624\", spacing_mm = 10 }, seat = { radial_n_per_m = 1e8, axial_n_per_m = 1e8 }, measured = { tilt_factor = 0.7 } }",
    "region = { shape = \"points\", points_deg = [[20, 0], [70, 40]] }\ntool = {}\nchoice = { section = { shape = \"rectangle\", tangential_mm = 12, radial_mm = 6 } }",
    "region = { shape = \"cap\", half_angle_deg = 60 }\ntool = {}\nchoice = { section = { shape = \"rod\", diameter_mm = [8, 10] } }\njoints = { rigid = true }",
    "region = { shape = \"cap\", half_angle_deg = 60 }\ntool = {}\nlayers = { arrangement = \"two\" }\njoints = { boss_diameter_mm = 22, bearing = { name = \"624\", load_radial_n = 10, load_axial_n = 5, spacing_mm = 10 } }",
    "region = { shape = \"cap\", half_angle_deg = 60 }\ntool = {}\nload = [{ name = \"push\", on = \"bar-left-1\", force_n = { radial = 8 } }]",
    ANY_DIRECTION[0],
    ANY_DIRECTION[1],
    KEEP_OUTS[0],
    KEEP_OUTS[1],
    KEEP_OUTS[2],
    KEEP_OUTS[3],
    KEEP_OUTS[4],
    DRIVEN,
    COLUMNS[0],
    COLUMNS[1],
    COLUMNS[2],
    COLUMNS[3],
];

const ANY_DIRECTION: [&str; 2] = [
    r#"
    region = { shape = "cap", half_angle_deg = 60 }
    tool = {}
    joints = { rigid = true }
    load = [{ name = "push", force_n = { size = 8, direction = "any" } }, { name = "grip", force_n = { polar = 3 } }]
    together = [{ name = "both", loads = ["push", "grip"] }]
    limits = { load = [{ name = "push", contact_deflection_mm = 0.5, centre_shift_mm = 0.5, tool_tilt_deg = 0.5, load_holding_torque_nm = 3 }] }
"#,
    r#"
    region = { shape = "cap", half_angle_deg = 60 }
    tool = {}
    load = [{ name = "push", moment_nm = { size = 0.2, direction = "any tangential" } }]
"#,
];

const DRIVEN: &str = r#"
    region = { shape = "cap", half_angle_deg = 60 }
    tool = {}
    choice = { families = ["scissor-linkage"], drive_layout = ["two-bars"] }
    drive = [{ joint = "left", stiffness_nm_per_rad = 200, mass_kg = 0.4, rides_on = "base-right" }, { joint = "right" }]
"#;

macro_rules! on_column {
    ($section:literal) => {
        concat!(
            "region = { shape = \"cap\", half_angle_deg = 60 }\ntool = {}\n",
            "[mount.column]\ndirection = [0, 0, -1]\nlength_mm = 400\nmaterial = { name = \"stainless steel 304\" }\n",
            "section = ",
            $section
        )
    };
}

const COLUMNS: [&str; 4] = [
    on_column!("{ shape = \"rod\", diameter_mm = 30 }"),
    on_column!("{ shape = \"tube\", outer_diameter_mm = 30, inner_diameter_mm = 26 }"),
    on_column!("{ shape = \"rectangle\", tangential_mm = 14, radial_mm = 10, wall_mm = 2 }"),
    on_column!(
        "{ shape = \"custom\", axial_n = 5e6, bending_in_plane_nm2 = 15, bending_out_of_plane_nm2 = 60, torsional_nm2 = 16, mass_per_length_kg_m = 0.2, tangential_mm = 12, radial_mm = 6 }"
    ),
];

macro_rules! among {
    ($shape:literal) => {
        concat!(
            "region = { shape = \"cap\", half_angle_deg = 60 }\ntool = {}\nlayers = { arrangement = \"two\" }\n",
            "joints = { boss_diameter_mm = 22, bearing = { name = \"624\", spacing_mm = 10 } }\n",
            "[[keep_out]]\nname = \"body\"\n",
            $shape
        )
    };
}

const KEEP_OUTS: [&str; 5] = [
    among!("shape = \"sphere\"\nradius_mm = 20"),
    among!("shape = \"cylinder\"\nradius_mm = 20\nfrom_mm = [0, 0, -300]\nto_mm = [0, 0, -100]"),
    among!("shape = \"box\"\nsize_mm = [40, 30, 20]"),
    among!("shape = \"half-space\"\nnormal = [0, 0, 1]\nat_mm = [0, 0, -60]"),
    among!("shape = \"stl\"\nfile = \"body.stl\"\nunit = \"mm\""),
];

/// A tetrahedron, and directions; those of another file differ.
fn load(name: &str) -> Result<Vec<u8>, String> {
    let size = name.len();
    if name.starts_with("body") {
        let corners = [[0, 0, 0], [size, 0, 0], [0, size, 0], [0, 0, size]];
        let mut text = "solid body\n".to_string();
        for face in [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]] {
            text += "facet normal 0 0 0\nouter loop\n";
            for [x, y, z] in face.map(|corner: usize| corners[corner]) {
                text += &format!("vertex {x} {y} {z}\n");
            }
            text += "endloop\nendfacet\n";
        }
        return Ok((text + "endsolid body\n").into_bytes());
    }
    Ok(format!("polar_deg,azimuth_deg\n{size},0\n70,40\n").into_bytes())
}

/// A key with the names of the tables it lies in, itself last.
type Path = Vec<&'static Key>;

/// The keys that have values of their own. A word that other keys belong to cannot be
/// changed without them: theirs are read only where it is.
fn leaves(keys: &'static [Key], above: &Path, found: &mut Vec<Path>) {
    let decides = |key: &Key| {
        let mut others = keys.iter();
        others.any(|other| other.when.is_some_and(|when| when.key == key.name))
    };
    for key in keys.iter().filter(|key| !decides(key)) {
        let mut path = above.clone();
        path.push(key);
        match key.kind {
            Kind::NotYet => {}
            // Of one word there is no other.
            Kind::Word(vocabulary) if vocabulary.names().len() < 2 => {}
            Kind::Table(inner) | Kind::Tables(inner) => leaves(inner.keys, &path, found),
            _ => found.push(path),
        }
    }
}

fn path_name(path: &[&'static Key]) -> String {
    let names: Vec<&str> = path.iter().map(|key| key.name).collect();
    names.join(".")
}

fn parsed(text: &str) -> Value {
    let table: Table = toml::from_str(&format!("value = {text}")).unwrap();
    table["value"].clone()
}

fn list(items: impl IntoIterator<Item = Value>) -> Value {
    Value::Array(items.into_iter().collect())
}

/// A value with all its numbers changed alike.
fn changed(value: &Value, by: &dyn Fn(f64) -> f64) -> Value {
    match value {
        Value::Float(number) => Value::Float(by(*number)),
        Value::Integer(number) => Value::Float(by(*number as f64)),
        Value::Array(items) => list(items.iter().map(|item| changed(item, by))),
        Value::Table(table) => {
            let entries = table
                .iter()
                .map(|(key, item)| (key.clone(), changed(item, by)));
            Value::Table(entries.collect())
        }
        other => other.clone(),
    }
}

/// Values to try in place of what is there.
fn others(key: &Key, now: Option<&Value>) -> Vec<Value> {
    let mut values = vec![parsed(key.example)];
    let seeds: Vec<Value> = values.iter().chain(now).cloned().collect();
    for seed in &seeds {
        let changes: [&dyn Fn(f64) -> f64; 4] =
            [&|x| 0.9 * x, &|x| 1.1 * x, &|x| x + 1.0, &|x| x - 1.0];
        values.extend(changes.map(|by| changed(seed, by)));
        if let Value::Array(items) = seed {
            values.push(list(items.iter().rev().cloned()));
            values.push(list(items.iter().skip(1).cloned()));
        }
    }
    match key.kind {
        Kind::Word(vocabulary) => {
            values.extend(vocabulary.names().into_iter().map(Value::String));
        }
        Kind::Words { vocabulary, .. } => {
            let names = vocabulary.names().into_iter();
            values.extend(names.map(|name| list([Value::String(name)])));
        }
        Kind::Wholes { .. } => {
            let lists = [vec![1], vec![2], vec![-1], vec![2, 1], vec![1, 2]];
            values.extend(lists.map(|numbers| list(numbers.into_iter().map(Value::Integer))));
        }
        Kind::Direction => values.push(parsed("[0.6, 0, 0.8]")),
        Kind::Texts(_) => values.push(parsed("[\"push\", \"grip\"]")),
        Kind::Text => values.extend(
            [
                "other",
                "grip",
                "bar-left-1",
                "base-left",
                "body-of-another.stl",
                "623",
            ]
            .map(Value::from),
        ),
        Kind::Flag => values.extend([true, false].map(Value::Boolean)),
        _ => {}
    }
    values
}

/// The table in which the last key of a path lies, tables that are missing made from their
/// example.
fn home<'t>(root: &'t mut Table, path: &[&'static Key]) -> Option<&'t mut Table> {
    let Some((first, rest)) = path.split_first() else {
        return Some(root);
    };
    if rest.is_empty() {
        return Some(root);
    }
    let inner = root
        .entry(first.name)
        .or_insert_with(|| parsed(first.example));
    match inner {
        Value::Table(table) => home(table, rest),
        Value::Array(tables) => home(tables.first_mut()?.as_table_mut()?, rest),
        _ => None,
    }
}

/// What each value that can be had by changing one key is read as, where that differs from
/// what was read before.
fn differing<T: PartialEq>(
    path: &[&'static Key],
    bases: &[&str],
    read: &dyn Fn(&str) -> Option<T>,
) -> Vec<T> {
    let mut found = Vec::new();
    let key = path[path.len() - 1];
    for base in bases {
        let mut root: Table = toml::from_str(base).unwrap();
        let Some(table) = home(&mut root, path) else {
            continue;
        };
        let values = others(key, table.get(key.name));
        // Beside the other keys of its table, and as the only one.
        let mut only = root.clone();
        home(&mut only, path).expect("it was there").clear();
        for start in [root, only] {
            let before = read(&toml::to_string(&start).unwrap());
            if before.is_none() && matches!(key.need, Need::Required) {
                continue;
            }
            for value in &values {
                let mut root = start.clone();
                let table = home(&mut root, path).expect("it was there");
                table.insert(key.name.to_string(), value.clone());
                let after = read(&toml::to_string(&root).unwrap());
                found.extend(after.filter(|after| Some(after) != before.as_ref()));
            }
        }
    }
    found
}

/// The keys of a table that no change of their value shows in what is read.
fn unread<T: PartialEq + Debug>(
    keys: &'static [Key],
    bases: &[&str],
    read: &dyn Fn(&str) -> Option<T>,
    look: &dyn Fn(&str, T),
) -> Vec<String> {
    let mut paths = Vec::new();
    leaves(keys, &Vec::new(), &mut paths);
    assert!(paths.len() > 50);
    let mut unread = Vec::new();
    for path in paths {
        let name = path_name(&path);
        let found = differing(&path, bases, read);
        if found.is_empty() {
            unread.push(name.clone());
        }
        for one in found {
            look(&name, one);
        }
    }
    unread
}

#[test]
fn every_base_is_read() {
    for text in DESIGNS {
        read_design(text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    }
    for text in BRIEFS {
        read_brief(text, &load).unwrap_or_else(|error| panic!("{error}\n{text}"));
    }
}

/// Every family that a file can name has a reader of its own.
#[test]
fn every_family_is_read_as_itself() {
    let mut read: Vec<String> = Vec::new();
    for text in DESIGNS {
        let table: Table = toml::from_str(text).unwrap();
        let name = table["linkage"]["family"].as_str().unwrap().to_string();
        assert_eq!(read_design(text).unwrap().family.name(), name);
        if !read.contains(&name) {
            read.push(name);
        }
    }
    let sorted = |mut names: Vec<String>| {
        names.sort();
        names
    };
    let known = FamilyName::ALL.map(|family| family.name().to_string());
    assert_eq!(sorted(words::FAMILY.names()), sorted(known.to_vec()));
    assert_eq!(sorted(read), sorted(known.to_vec()));
}

#[test]
fn every_key_of_a_design_is_read_and_written() {
    let written = |name: &str, design| {
        let text = write_design(&design, "");
        match read_design(&text) {
            Ok(again) => assert_eq!(again, design, "{name} changed: not all is written\n{text}"),
            Err(error) => panic!("{name}: {error}\n{text}"),
        }
    };
    let read = |text: &str| read_design(text).ok();
    let unread = unread(DESIGN.keys, &DESIGNS, &read, &written);
    assert_eq!(unread, Vec::<String>::new(), "accepted and ignored");
}

#[test]
fn every_key_of_a_brief_is_read() {
    let read = |text: &str| read_brief(text, &load).ok();
    let unread = unread(BRIEF.keys, &BRIEFS, &read, &|_, _| {});
    // Refused in words of its own: a brief does not know its bars yet.
    assert_eq!(unread, ["layers.of_bars"], "accepted and ignored");
}
