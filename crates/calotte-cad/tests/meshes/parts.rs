//! Files of parts: what is one part, and what an independent reader finds in the bytes.

use calotte::built::{Built, Core, Profile, Solid, SolidKind};
use calotte::design::Arrangement;
use calotte::family;
use calotte::stock::Section;
use calotte_cad::{
    MeshOptions, PartFile, PartOptions, STL_HEADER, binary_stl, mesh_of, part_files,
};
use nalgebra::{Rotation3, Vector3};

use crate::common;
use crate::random::{bar, random_bar};

fn scissor(section: Section, arrangement: Arrangement) -> Built {
    let mut design = common::built(
        common::scissor(&[30.0, 28.0], &[31.0, 29.0], &[25.0]),
        arrangement,
    );
    design.section = section;
    let linkage = family::build(&design).unwrap();
    Built::new(&design, &linkage).unwrap()
}

fn rectangle() -> Section {
    Section::Rectangle {
        tangential: 0.012,
        radial: 0.006,
    }
}

/// A design's parts replaced by others.
fn holding(solids: Vec<Solid>) -> Built {
    Built {
        solids,
        ..scissor(rectangle(), Arrangement::Two)
    }
}

fn turned(solid: &Solid, rotation: &Rotation3<f64>, name: &str) -> Solid {
    let mut copy = solid.clone();
    copy.name = name.into();
    for piece in &mut copy.pieces {
        piece.core = piece.core.turned(rotation);
    }
    for hole in &mut copy.holes {
        hole.axis = rotation * hole.axis;
    }
    copy
}

fn mirrored(solid: &Solid, name: &str) -> Solid {
    let flip = |v: Vector3<f64>| Vector3::new(v.x, v.y, -v.z);
    let mut copy = solid.clone();
    copy.name = name.into();
    for piece in &mut copy.pieces {
        piece.core = match piece.core {
            Core::Direction(axis) => Core::Direction(flip(axis)),
            // Ends exchanged, so that the order of the numbers does not give it away.
            Core::Arc(from, to) => Core::Arc(flip(to), flip(from)),
        };
    }
    for hole in &mut copy.holes {
        hole.axis = flip(hole.axis);
    }
    copy.pieces.reverse();
    copy
}

/// A bar bent at its middle station, its arcs of different lengths.
fn bent(arcs: [f64; 2]) -> Solid {
    let first = Vector3::new(arcs[0].cos(), arcs[0].sin(), 0.0);
    let onward = Vector3::new(-arcs[0].sin(), arcs[0].cos(), 0.0) * 0.8 + Vector3::z() * 0.6;
    let second = first * arcs[1].cos() + onward * arcs[1].sin();
    let stations = [Vector3::x(), first, second];
    bar(
        &stations,
        Profile::Straight,
        0.15,
        [0.012, 0.006],
        None,
        [0.016, 0.010],
        Some(0.008),
    )
}

fn files(built: &Built) -> Vec<PartFile> {
    part_files(built, &PartOptions::default()).unwrap()
}

#[test]
fn every_printable_solid_has_its_file() {
    for arrangement in [Arrangement::Two, Arrangement::Nested] {
        let built = scissor(rectangle(), arrangement.clone());
        let files = files(&built);
        let mut named: Vec<&str> = files
            .iter()
            .flat_map(|file| file.solids.iter().map(String::as_str))
            .collect();
        named.sort_unstable();
        let mut printable: Vec<&str> = built
            .solids
            .iter()
            .filter(|solid| !matches!(solid.kind, SolidKind::Housing | SolidKind::Tool))
            .map(|solid| solid.name.as_str())
            .collect();
        printable.sort_unstable();
        assert_eq!(named, printable);
        assert!(
            named.contains(&"bar-left-1") && printable.len() > 15,
            "{named:?}"
        );
        for file in &files {
            assert_eq!(file.count, file.solids.len());
            let stem = file.name.strip_suffix(".stl").unwrap();
            let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(stem.chars().all(plain), "{}", file.name);
        }
        let mut names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), files.len());
        // With two layers all pins are as long as each other: one part, one file.
        let pins = files
            .iter()
            .find(|file| file.name.ends_with("pin.stl"))
            .unwrap();
        if arrangement == Arrangement::Two {
            assert_eq!(
                pins.count,
                printable.iter().filter(|n| n.ends_with("pin")).count()
            );
        }
    }
}

#[test]
fn turned_parts_are_one_and_mirrored_parts_are_two() {
    let rotation = Rotation3::from_euler_angles(0.3, -1.1, 2.0);
    let one = bent([0.5, 0.8]);
    let copy = turned(&one, &rotation, "copy");
    let mirror = mirrored(&copy, "mirror");
    let found = files(&holding(vec![one.clone(), copy, mirror]));
    let solids: Vec<Vec<String>> = found.into_iter().map(|file| file.solids).collect();
    assert_eq!(solids, [vec!["bar-left-1", "copy"], vec!["mirror"]]);
    // A bar without a bend is its own mirror image.
    let straight = random_straight();
    let mirror = mirrored(&turned(&straight, &rotation, "copy"), "mirror");
    assert_eq!(files(&holding(vec![straight, mirror])).len(), 1);
    // Another hole, another part.
    let mut other = turned(&one, &rotation, "other");
    other.holes[1].diameter += 1e-5;
    assert_eq!(files(&holding(vec![one, other])).len(), 2);
}

fn random_straight() -> Solid {
    let stations = [Vector3::x(), Vector3::new(0.6, 0.8, 0.0)];
    bar(
        &stations,
        Profile::Round,
        0.15,
        [0.008; 2],
        None,
        [0.016, 0.010],
        Some(0.008),
    )
}

#[test]
fn names_that_meet_are_told_apart() {
    let one = bent([0.5, 0.8]);
    let mut two = bent([0.5, 0.7]);
    two.name = "Bar left_1".into();
    let mut three = bent([0.5, 0.6]);
    three.name = "°".into();
    let names: Vec<String> = files(&holding(vec![one, two, three]))
        .into_iter()
        .map(|file| file.name)
        .collect();
    assert_eq!(names, ["bar-left-1.stl", "bar-left-1-2.stl", "part.stl"]);
}

/// Read by a library: closed by its own check, as many triangles, the volume stated, and
/// a bounding box in millimetres.
#[test]
fn an_independent_reader_finds_the_same_solid() {
    let tube = Section::Tube {
        outer_diameter: 0.012,
        inner_diameter: 0.008,
    };
    for section in [rectangle(), tube] {
        for lie_flat in [false, true] {
            let options = PartOptions {
                lie_flat,
                ..PartOptions::default()
            };
            let built = scissor(section.clone(), Arrangement::Two);
            for file in part_files(&built, &options).unwrap() {
                assert!(
                    file.bytes.starts_with(STL_HEADER.as_bytes())
                        && !file.bytes.starts_with(b"solid")
                );
                assert_eq!(file.bytes.len(), 84 + 50 * file.triangles, "{}", file.name);
                let read = stl_io::read_stl(&mut std::io::Cursor::new(&file.bytes)).unwrap();
                read.validate().unwrap();
                let corner = |index: usize| Vector3::from(read.vertices[index].0).cast::<f64>();
                let volume: f64 = read
                    .faces
                    .iter()
                    .map(|face| {
                        let [a, b, c] = face.vertices.map(corner);
                        a.dot(&b.cross(&c)) / 6.0
                    })
                    .sum();
                assert!(
                    (volume * 1e-9 / file.volume - 1.0).abs() < 1e-6,
                    "{}",
                    file.name
                );
                let axis = |k: usize| (0..read.vertices.len()).map(move |i| corner(i)[k]);
                for k in 0..3 {
                    let (low, high) =
                        axis(k).fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(x), h.max(x)));
                    assert!(
                        ((high - low) * 1e-3 - file.size[k]).abs() < 1e-7,
                        "{}",
                        file.name
                    );
                    if lie_flat && k == 2 {
                        assert!(low.abs() < 1e-4, "{low}");
                    }
                }
            }
        }
    }
}

/// On the bed a bar is as high as its bosses are wide, a round as long as it is.
#[test]
fn parts_lie_flat() {
    let options = PartOptions {
        lie_flat: true,
        ..PartOptions::default()
    };
    let built = scissor(rectangle(), Arrangement::Two);
    let mut bars = 0;
    for file in part_files(&built, &options).unwrap() {
        let solid = built
            .solids
            .iter()
            .find(|s| s.name == file.solids[0])
            .unwrap();
        let pieces = &solid.pieces;
        if solid.kind == SolidKind::Bar && pieces.len() == 3 {
            let widest = pieces
                .iter()
                .map(|p| 2.0 * p.half_width)
                .fold(0.0, f64::max);
            assert!(
                (file.size.z - widest).abs() < 4e-5,
                "{} {}",
                file.name,
                file.size
            );
            bars += 1;
        } else if solid.kind == SolidKind::Spacer {
            let height = pieces[0].outer - pieces[0].inner;
            assert!(
                (file.size.z - height).abs() < 0.3e-3,
                "{} {}",
                file.name,
                file.size
            );
        }
    }
    assert!(bars >= 2);
}

/// Byte for byte, and the bytes of one file do not depend on the others.
#[test]
fn files_repeat() {
    let built = scissor(rectangle(), Arrangement::Nested);
    let (once, again) = (files(&built), files(&built));
    assert_eq!(once, again);
    let solid = built
        .solids
        .iter()
        .find(|s| s.name == once[3].solids[0])
        .unwrap();
    let mesh = mesh_of(solid, &MeshOptions::default()).unwrap();
    assert!(binary_stl(&mesh, STL_HEADER) == once[3].bytes);
}

#[test]
fn random_bars_survive_single_precision() {
    for seed in 0..40 {
        let mesh = mesh_of(&random_bar(seed), &MeshOptions::default()).unwrap();
        let bytes = binary_stl(&mesh, STL_HEADER);
        let read = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
        read.validate().unwrap();
        assert_eq!(read.vertices.len(), mesh.vertices.len(), "seed {seed}");
        assert_eq!(read.faces.len(), mesh.triangles.len(), "seed {seed}");
    }
}
