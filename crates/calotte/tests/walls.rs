//! Walls and lands of built parts against sizes by hand, and how they are judged.

mod common;

use calotte::analysis::{AnalysisOptions, Requirements, analyse};
use calotte::built::{Built, BuiltError, Degree, SolidKind, Wall};
use calotte::design::{Arrangement, Design};
use calotte::family;
use calotte::quantity::{Missing, Quantity, Standing};
use calotte::search::evaluate::evaluate;
use calotte::stock::{Process, Section};
use common::{arm, built, uniform};

fn walls_of(design: &Design) -> Built {
    Built::new(design, &family::build(design).unwrap()).unwrap()
}

/// A boss of 24 mm about a hollow shaft of 22 mm with a bore of 18 mm, bearings of 19 mm.
fn thin() -> Design {
    let mut design = built(uniform(1, 40.0), Arrangement::Two);
    design.joints.boss_diameter = 24e-3;
    let base = &mut design.layers.as_mut().unwrap().base;
    base.shaft_diameter = Some(16e-3);
    base.hollow_shaft_bore = Some(18e-3);
    base.hollow_shaft_diameter = Some(22e-3);
    design.joints.parts.as_mut().unwrap().bearing.outer_diameter = 19e-3;
    design
}

fn thinnest(built: &Built, kind: SolidKind, land: bool) -> &Wall {
    let walls = built.walls.iter();
    walls
        .filter(|wall| wall.kind == kind && wall.is_land() == land)
        .min_by(|a, b| a.thickness.total_cmp(&b.thickness))
        .unwrap()
}

/// By hand: (24 − 22)/2 = 1 mm of boss, (22 − 18)/2 = 2 mm of hollow shaft, and around the
/// bearings (24 − 19)/2 = 2.5 mm.
#[test]
fn a_hole_of_22_in_a_boss_of_24_leaves_one_millimetre() {
    let found = walls_of(&thin());
    let wall = found.thinnest_wall().unwrap();
    assert!((wall.thickness - 1e-3).abs() < 1e-12, "{wall:?}");
    assert_eq!(wall.degree(), Degree::BelowProcess);
    let words = format!(
        "{} between a hole of 22 mm and the round of 24 mm",
        wall.part
    );
    assert_eq!(wall.words(), words);
    assert!(wall.keys().contains("joints.boss_diameter_mm"));
    assert!(wall.keys().contains("layers.hollow_shaft_diameter_mm"));
    let shaft = thinnest(&found, SolidKind::Shaft, false);
    assert!((shaft.thickness - 2e-3).abs() < 1e-12);
    assert_eq!(
        (shaft.process, shaft.degree()),
        (Process::Turned, Degree::Enough)
    );
    let around_bearings = found.walls.iter().filter(|wall| !wall.is_land());
    let two_and_a_half = around_bearings.filter(|w| (w.thickness - 2.5e-3).abs() < 1e-12);
    assert!(two_and_a_half.count() > 0);
    assert_eq!(found.thin_walls().len(), 1);
}

/// By hand, for arcs of 40°: on the face nearer to the
/// centre a hole of diameter d takes asin(d/2r) to either side of its axis.
#[test]
fn a_land_is_what_two_holes_leave_of_the_face_nearer_to_the_centre() {
    let found = walls_of(&thin());
    let land = thinnest(&found, SolidKind::Bar, true);
    let place = land.place;
    let calotte::built::WallPlace::Between { holes } = place else {
        panic!("{place:?}");
    };
    let body = found
        .solids
        .iter()
        .find(|solid| solid.name == land.part)
        .map(|solid| solid.body)
        .unwrap();
    let face = found.radii[body] - 0.5 * found.boss_height_max();
    let degrees = |sine: f64| sine.asin() * 180.0 / std::f64::consts::PI;
    let taken = degrees(0.5 * holes[0] / face) + degrees(0.5 * holes[1] / face);
    let by_hand = (40.0 - taken) * std::f64::consts::PI / 180.0 * face;
    assert!(
        (land.thickness - by_hand).abs() < 1e-12,
        "{land:?} {by_hand}"
    );
    assert!(by_hand > 0.05, "{by_hand}");
}

/// Arcs of 8° at 150 mm are 21 mm long: holes of 22 and 19 mm run into one another.
#[test]
fn holes_that_meet_are_a_part_that_cannot_be() {
    let mut design = thin();
    design.family = uniform(4, 7.0).family;
    let refused = Built::new(&design, &family::build(&design).unwrap());
    let Err(BuiltError::NothingLeft(wall)) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(wall.degree(), Degree::Impossible);
    assert!(wall.is_land() && wall.thickness < 0.0);
}

#[test]
fn a_hollow_bar_has_the_wall_of_its_section() {
    let mut design = arm(60.0, 50.0);
    assert_eq!(walls_of(&design).thinnest_wall(), None);
    design.section = Section::RectangleTube {
        tangential: 12e-3,
        radial: 8e-3,
        wall: 1.1e-3,
    };
    let found = walls_of(&design);
    let wall = found.thinnest_wall().unwrap();
    assert!((wall.thickness - 1.1e-3).abs() < 1e-12, "{wall:?}");
    design.section = Section::Tube {
        outer_diameter: 12e-3,
        inner_diameter: 9e-3,
    };
    let found = walls_of(&design);
    assert!((found.thinnest_wall().unwrap().thickness - 1.5e-3).abs() < 1e-12);
    assert_eq!(found.narrowest_land(), None);
}

/// A brief that asks for a process asks for its walls: 1 mm of 1.5 mm is a third too little,
/// for analysis and search alike. Without it the wall is a row, and a flag.
#[test]
fn a_thin_wall_is_missed_where_the_process_is_asked_for() {
    let design = thin();
    let mut requirements = Requirements::without_brief(&design);
    let options = AnalysisOptions {
        rings: 5,
        bands: false,
        proof: false,
        ..AnalysisOptions::default()
    };
    let free = analyse(&design, &requirements, &options).unwrap();
    let row = free.row(Quantity::Wall).unwrap();
    assert_eq!(row.met(), None);
    // A land as wide as this one is no row of its own.
    assert!(free.row(Quantity::Land).is_none());
    assert!(row.note.ends_with("milled"), "{}", row.note);
    assert_eq!(free.thin_walls.len(), 1);
    requirements.process = Some(Process::Milled);
    let asked = analyse(&design, &requirements, &options).unwrap();
    assert!(!asked.met());
    let missed_by = |standing: &Standing| match standing {
        Standing::MissedBy(share) => *share,
        other => panic!("{other:?}"),
    };
    let row = asked.row(Quantity::Wall).unwrap();
    assert!((missed_by(&row.standing().unwrap()) - 1.0 / 3.0).abs() < 1e-9);
    assert_eq!(asked.row(Quantity::Land).unwrap().met(), Some(true));
    let verdict = evaluate(&requirements.subject(&design).unwrap(), &requirements);
    let walls: Vec<&Standing> = verdict
        .missed
        .iter()
        .filter(|(quantity, _)| *quantity == Quantity::Wall)
        .map(|(_, standing)| standing)
        .collect();
    assert_eq!(walls.len(), 1);
    assert!((missed_by(walls[0]) - 1.0 / 3.0).abs() < 1e-9);
    // A limit of the brief goes before the usual one.
    requirements.limits.set(Quantity::Wall, Some(0.9e-3));
    assert!(analyse(&design, &requirements, &options).unwrap().met());
    // Nothing is thin where there is no hole.
    requirements.limits.set(Quantity::Wall, None);
    let solid = arm(60.0, 50.0);
    let found = analyse(&solid, &requirements, &options).unwrap();
    let row = found.row(Quantity::Wall).unwrap();
    assert!(matches!(row.got, Err(Missing::NotThere(_))));
    assert_eq!(row.met(), Some(true));
}
