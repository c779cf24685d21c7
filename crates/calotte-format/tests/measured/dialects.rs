//! The same measurements written in every accepted way are the same values.

use calotte::brief::LoadPlace;
use calotte::design::Design;
use calotte::measurement::{Course, Displacement, Points};
use calotte_format::measurement::{read_points, read_weights};
use calotte_format::units::Unit;
use nalgebra::{UnitQuaternion, Vector3};
use proptest::prelude::*;

use crate::{arm, bars, scissor};

const PLAIN: &str = "\
swing_deg,opening_deg,x_mm,y_mm,z_mm,group
0,40,61.204,-3.117,120.551,a
0,60,74.91,-2.806,112.338,b
-45.5,40,45.48,40.915,120.602,
45,60,-54.955,50.887,112.401,e
";

fn read(text: &[u8], design: &Design) -> Points {
    let read = read_points(text, design).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(read.refused, []);
    read.points
}

/// Values by hand: mm times 1e-3 and degrees times π/180, to the nearest number.
fn check_plain(points: &Points) {
    use std::f64::consts::{FRAC_PI_3, FRAC_PI_4, PI};
    let rows = &points.rows;
    assert_eq!(rows.len(), 4);
    assert_eq!(rows[0].row, 1);
    assert_eq!(rows[3].row, 4);
    assert_eq!(rows[0].readings, [0.0, Unit::Degree.read("40").unwrap()]);
    assert!((rows[2].readings[0] + 45.5 * PI / 180.0).abs() < 1e-15);
    assert_eq!(rows[3].readings, [FRAC_PI_4, FRAC_PI_3]);
    assert_eq!(rows[0].point, Vector3::new(0.061204, -0.003117, 0.120551));
    assert_eq!(rows[3].point, Vector3::new(-0.054955, 0.050887, 0.112401));
    assert_eq!(rows[0].group, "a");
    assert_eq!(rows[2].group, "");
    assert!(rows.iter().all(|row| row.orientation.is_none()));
}

#[test]
fn every_dialect_gives_the_same_points() {
    let design = scissor();
    let plain = read(PLAIN.as_bytes(), &design);
    check_plain(&plain);
    let semicolons = PLAIN.replace(',', ";");
    let commented = PLAIN
        .replacen('\n', "\n# first day\n\n", 1)
        .replace("120.551,a", "120.551,a  # door open, then shut");
    let spread = "\
\"# a remark, with a comma\",,,,,
swing_deg,opening_deg,x_mm,y_mm,z_mm,group
\"0\",\"40\",61.204,-3.117,120.551,\"a\"
,,,,,
0,60,74.91,-2.806,112.338,b
-45.5,40,45.48,40.915,120.602,
45,60,-54.955,50.887,112.401,e
,,,,,
";
    let reordered = "\
group,z_mm,opening_deg,remark,y_mm,swing_deg,x_mm
a,120.551,40,\"good, clear\",-3.117,0,61.204
b,112.338,60,,-2.806,0,74.91
,120.602,40,x,40.915,-45.5,45.48
e,112.401,60,x,50.887,45,-54.955
";
    let units = "\
swing_deg,opening_deg,x_um,y_cm,z_m,group
0,40,61204,-0.3117,0.120551,a
0,60,7.491e4,-0.2806,.112338,b
-45.5,40,45480.,4.0915,1.20602E-1,
45,60,-54955,5.0887,0.112401,e
";
    let blanks = PLAIN.replace(',', " ,  ").replace("-54", "\u{2212}54");
    for (what, text) in [
        ("CR LF", PLAIN.replace('\n', "\r\n")),
        ("CR", PLAIN.replace('\n', "\r")),
        ("mark", format!("\u{feff}{PLAIN}")),
        ("no last line end", PLAIN.trim_end().to_string()),
        ("semicolons", semicolons.clone()),
        ("tabs", PLAIN.replace(',', "\t")),
        ("commas in numbers", semicolons.replace('.', ",")),
        (
            "commas and tabs",
            PLAIN.replace(',', "\t").replace('.', ","),
        ),
        ("separator line", format!("sep=;\n{semicolons}")),
        ("remarks", commented),
        ("spreadsheet", spread.to_string()),
        ("reordered", reordered.to_string()),
        ("units", units.to_string()),
        ("blanks and minus signs", blanks),
        ("capitals", PLAIN.replace("x_mm", "X_MM")),
        (
            "all in quotes",
            PLAIN
                .replace(',', "\",\"")
                .replace('\n', "\"\n")
                .replace("\"\n", "\"\n\""),
        ),
    ] {
        let text = match what {
            "all in quotes" => format!("\"{}", text.trim_end_matches('"')),
            _ => text,
        };
        assert_eq!(read(text.as_bytes(), &design), plain, "{what}:\n{text}");
    }
}

#[test]
fn radians_and_inches_are_the_same_within_rounding() {
    let text = "\
swing_rad,opening_rad,x_in,y_in,z_in
0,0.6981317007977318,1,-2,0.5
0,1.0471975511965976,1,2,10
-0.7853981633974483,0.5,1,2,3
0.5,0.5,0.001,2,-100
";
    let read = read_points(text.as_bytes(), &scissor()).expect("a right file");
    let rows = &read.points.rows;
    assert_eq!(rows[0].readings, [0.0, 0.6981317007977318]);
    // 25.4 mm in an inch, by its definition.
    for (row, inches) in [
        (0, [1.0, -2.0, 0.5]),
        (1, [1.0, 2.0, 10.0]),
        (3, [0.001, 2.0, -100.0]),
    ] {
        for (value, inches) in rows[row].point.iter().zip(inches) {
            let wanted = inches * 25.4 / 1000.0;
            assert!(
                (value - wanted).abs() <= 1e-15 * f64::abs(wanted),
                "{value} {wanted}"
            );
        }
    }
    assert_eq!(read.notes.len(), 5, "{:?}", read.notes);
}

#[test]
fn each_layout_has_its_joints() {
    for (design, names) in [
        (scissor(), "swing_deg,opening_deg"),
        (bars(), "left_deg,right_deg"),
        (arm(), "base_deg,elbow_deg"),
    ] {
        let text = PLAIN.replace("swing_deg,opening_deg", names);
        check_plain(&read(text.as_bytes(), &design));
    }
}

#[test]
fn orientations_are_made_unit() {
    let text = "\
swing_deg,opening_deg,x_mm,y_mm,z_mm,qx,qy,qz,qw
0,40,1,2,3,0,0,0.7071,0.7071
0,40,1,2,3,0,0,0,-1.005
0,40,1,2,3,,,,
0,40,1,2,3,1,0,0,0
";
    let points = read(text.as_bytes(), &scissor());
    let about_z = UnitQuaternion::from_euler_angles(0.0, 0.0, std::f64::consts::FRAC_PI_2);
    let first = points.rows[0].orientation.expect("an orientation");
    assert!(first.angle_to(&about_z) < 1e-12);
    let second = points.rows[1].orientation.expect("an orientation");
    assert!(second.angle() < 1e-12 && (second.norm() - 1.0).abs() < 1e-15);
    assert_eq!(points.rows[2].orientation, None);
    let about_x = UnitQuaternion::from_euler_angles(std::f64::consts::PI, 0.0, 0.0);
    assert!(points.rows[3].orientation.expect("one").angle_to(&about_x) < 1e-12);
}

#[test]
fn groups_are_kept_as_written() {
    let text = "\
swing_deg,opening_deg,x_mm,y_mm,z_mm,group
0,40,1,2,3,#3
0,40,1,2,3,\"# 3, or so\"
0,40,1,2,3,n/a
0,40,1,2,3,\"-\"
";
    let groups: Vec<String> = read(text.as_bytes(), &scissor())
        .rows
        .iter()
        .map(|row| row.group.clone())
        .collect();
    assert_eq!(groups, ["#3", "# 3, or so", "", "-"]);
}

#[test]
fn weights_in_both_forms() {
    let text = "\
swing_deg;opening_deg;mass_g;course;place;displacement_um;gauge_x;gauge_y;gauge_z;pull_x;pull_y;pull_z
0;60;0;loading;;0;0;0;-2;0;0;-1
0;60;500;loading;grip;121,5;0;0;-1;0;0;-9,81
0;60;1000;Unloading;bar-left-2;243;0;3;4;0;-1;-1
0;60;1e3;unloading;BASE-RIGHT@0,25;-1;1;0;0;0;0;1
";
    let read = read_weights(text.as_bytes(), &scissor()).expect("a right file");
    assert_eq!(read.refused, []);
    let rows = &read.weights.rows;
    let masses: Vec<f64> = rows.iter().map(|row| row.mass).collect();
    assert_eq!(masses, [0.0, 0.5, 1.0, 1.0]);
    let courses: Vec<Course> = rows.iter().map(|row| row.course).collect();
    use Course::{Loading, Unloading};
    assert_eq!(courses, [Loading, Loading, Unloading, Unloading]);
    let bar = |name: &str, fraction| LoadPlace::Bar {
        name: name.to_string(),
        fraction,
    };
    let places: Vec<LoadPlace> = rows.iter().map(|row| row.place.clone()).collect();
    assert_eq!(
        places,
        [
            LoadPlace::Tip,
            LoadPlace::Grip,
            bar("bar-left-2", 0.5),
            bar("base-right", 0.25)
        ]
    );
    let down = -Vector3::z();
    assert_eq!(
        rows[1].displacement,
        Displacement::Along {
            axis: down,
            value: 121.5e-6
        }
    );
    let Displacement::Along { axis, value } = rows[2].displacement else {
        panic!("along an axis");
    };
    assert!((axis - Vector3::new(0.0, 0.6, 0.8)).norm() < 1e-15);
    assert_eq!(value, 243e-6);
    assert_eq!(rows[1].pull, down);
    let slanting = Vector3::new(0.0, -0.5f64.sqrt(), -0.5f64.sqrt());
    assert!((rows[2].pull - slanting).norm() < 1e-15);

    let text = "\
swing_deg,opening_deg,mass_kg,course,dx_mm,dy_mm,dz_mm
0,60,0,loading,0,0,0
0,60,1,loading,0.1,-0.2,-0.3
0,60,1,loading,0.1,-0.2,-0.3
0,60,0,unloading,0,0,0.001
";
    let read = read_weights(text.as_bytes(), &scissor()).expect("a right file");
    let rows = &read.weights.rows;
    let seen = Displacement::Vector(Vector3::new(1e-4, -2e-4, -3e-4));
    assert_eq!(rows[1].displacement, seen);
    assert!(
        rows.iter()
            .all(|row| row.place == LoadPlace::Tip && row.pull == down)
    );
    for word in ["on the tip", "straight down", "kept: row 3"] {
        assert!(read.notes.iter().any(|note| note.contains(word)), "{word}");
    }
}

proptest! {
    /// Points written with all digits come back bit for bit, whatever the dialect.
    #[test]
    fn written_points_are_read_back(
        rows in prop::collection::vec(
            (prop::array::uniform2(-36000.0f64..36000.0), prop::array::uniform3(-1e5f64..1e5)), 4..12,
        ),
        separator in prop::sample::select(vec![",", ";", "\t"]),
        comma in any::<bool>(),
        end in prop::sample::select(vec!["\n", "\r\n", "\r"]),
    ) {
        let mut text = ["swing_deg", "opening_deg", "x_mm", "y_mm", "z_mm"].join(separator) + end;
        for (readings, point) in &rows {
            let cells: Vec<String> = readings.iter().chain(point).map(|v| {
                let written = format!("{v}");
                if comma && separator != "," { written.replace('.', ",") } else { written }
            }).collect();
            text += &(cells.join(separator) + end);
        }
        let points = read(text.as_bytes(), &scissor());
        prop_assert_eq!(points.rows.len(), rows.len());
        for (found, (readings, point)) in points.rows.iter().zip(&rows) {
            prop_assert_eq!(found.readings, readings.map(|v| Unit::Degree.to_si(v)));
            let wanted = point.map(|v| format!("{v}e-3").parse::<f64>().unwrap());
            prop_assert_eq!(found.point, Vector3::from(wanted));
        }
    }
}
