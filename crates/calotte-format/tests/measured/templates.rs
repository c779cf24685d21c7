//! Templates filled in are read back as they were planned.

use calotte::brief::LoadPlace;
use calotte::measurement::{Course, Displacement};
use calotte_format::measurement::{
    PlannedPoint, PlannedWeight, read_points, read_weights, template_reading,
    write_points_template, write_weights_template,
};
use calotte_format::units::{Unit, degrees, radians};
use nalgebra::Vector3;
use proptest::prelude::*;

use crate::{arm, bars, scissor};

fn planned_points() -> Vec<PlannedPoint> {
    (0..6)
        .map(|index| PlannedPoint {
            readings: [radians(-45.0 + 17.0 * f64::from(index)), 0.7],
            expected: Vector3::new(0.1, -1e-9, 0.0123456),
            group: ["", "a", "b, c", "a #4", "-", "say \"5\""][index as usize].to_string(),
        })
        .collect()
}

/// Fills what is empty before the last columns: the values of each row in turn.
fn filled(template: &str, empty: &str, values: impl Fn(usize) -> String) -> String {
    let mut row = 0;
    let lines = template.lines().map(|line| {
        if line.starts_with('#') || line.starts_with(|c: char| c.is_alphabetic()) {
            return line.to_string();
        }
        row += 1;
        line.replacen(empty, &values(row), 1)
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn points_filled_in_are_read_back() {
    let planned = planned_points();
    for design in [scissor(), bars(), arm()] {
        let template = write_points_template(&design, &planned).expect("a template");
        let text = filled(&template, ",,,,", |row| {
            format!(",{row}.5,-{row}.25,0.001,")
        });
        let read = read_points(text.as_bytes(), &design).unwrap_or_else(|e| panic!("{e}\n{text}"));
        assert_eq!(read.refused, []);
        assert_eq!(read.notes, Vec::<String>::new());
        assert_eq!(read.points.rows.len(), planned.len());
        for (index, (row, plan)) in read.points.rows.iter().zip(&planned).enumerate() {
            let number = (index + 1) as f64;
            assert_eq!(row.row, index + 1);
            assert_eq!(row.readings, plan.readings.map(template_reading));
            for (read, planned) in row.readings.iter().zip(plan.readings) {
                assert!((degrees(*read) - degrees(planned)).abs() < 0.000501);
            }
            let wanted = [number + 0.5, -number - 0.25, 0.001].map(|v| Unit::Millimetre.to_si(v));
            assert_eq!(row.point, Vector3::from(wanted));
            assert_eq!(row.group, plan.group);
        }
        // As a spreadsheet gives it back: quotes, and separators to the widest line.
        let spread: Vec<String> = text
            .lines()
            .map(|line| match line.strip_prefix('#') {
                Some(remark) => format!("\"#{}\"{}", remark.replace('"', "\"\""), ",".repeat(8)),
                None => line.to_string(),
            })
            .collect();
        let again = read_points(spread.join("\r\n").as_bytes(), &design).expect("a right file");
        assert_eq!(again, read);
    }
}

#[test]
fn an_empty_template_says_what_to_fill_in() {
    let design = scissor();
    let template = write_points_template(&design, &planned_points()).expect("a template");
    let error = read_points(template.as_bytes(), &design).expect_err("nothing measured");
    assert!(error.to_string().contains("6 of 6 rows"), "{error}");
    assert!(
        error
            .to_string()
            .contains("`x_mm`, `y_mm` and `z_mm` are missing")
    );
    for heading in ["swing_deg", "expected_x_mm", "x_mm", "group"] {
        let explained = template
            .lines()
            .any(|line| line.starts_with('#') && line.contains(heading));
        assert!(explained, "{heading}");
    }
    let first = template
        .lines()
        .find(|line| line.starts_with('-'))
        .expect("a row");
    assert_eq!(first, "-45.000,40.107,100.000,0.000,12.346,,,,");
}

fn planned_weights() -> Vec<PlannedWeight> {
    let place = |index: usize| match index {
        0 => LoadPlace::Tip,
        1 => LoadPlace::Grip,
        _ => LoadPlace::Bar {
            name: "bar-right-1".to_string(),
            fraction: 0.25,
        },
    };
    (0..5)
        .map(|index| PlannedWeight {
            readings: [0.3, 1.1],
            mass: 0.25 * index as f64,
            place: place(index),
            pull: Vector3::new(0.0, 0.0, -1.0),
            axis: Vector3::new(0.6, -0.0, 0.8),
            expected: 1.234e-5 * index as f64,
            torques: [0.5, -0.25 * index as f64],
            course: if index < 3 {
                Course::Loading
            } else {
                Course::Unloading
            },
        })
        .collect()
}

#[test]
fn weights_filled_in_are_read_back() {
    let planned = planned_weights();
    let design = scissor();
    let template = write_weights_template(&design, &planned).expect("a template");
    let text: String = template
        .lines()
        .map(|line| {
            let end = if line.ends_with(',') { "0.125\n" } else { "\n" };
            format!("{line}{end}")
        })
        .collect();
    let read = read_weights(text.as_bytes(), &design).unwrap_or_else(|e| panic!("{e}\n{text}"));
    assert_eq!(
        (read.refused.len(), read.notes.len()),
        (0, 0),
        "{:?}",
        read.notes
    );
    assert_eq!(read.weights.rows.len(), planned.len());
    for (row, plan) in read.weights.rows.iter().zip(&planned) {
        assert_eq!(row.readings, plan.readings.map(template_reading));
        assert_eq!(row.mass, plan.mass);
        assert_eq!(row.place, plan.place);
        assert_eq!(row.pull, plan.pull);
        assert_eq!(row.course, plan.course);
        let Displacement::Along { axis, value } = row.displacement else {
            panic!("along an axis");
        };
        assert!((axis - plan.axis).norm() < 1e-15);
        assert_eq!(value, 1.25e-4);
    }
    assert!(template.contains(",0.0494,"), "{template}");
}

proptest! {
    /// Whatever is planned, a filled template is read, with the readings it states.
    #[test]
    fn any_template_filled_in_is_read(
        plans in prop::collection::vec(
            (prop::array::uniform2(-600.0f64..600.0), prop::array::uniform3(-90.0f64..90.0), "\\PC{0,12}"),
            4..10,
        ),
        title in "\\PC{0,30}",
    ) {
        let mut design = scissor();
        design.title = title;
        let planned: Vec<PlannedPoint> = plans
            .into_iter()
            .map(|(readings, expected, group)| PlannedPoint {
                readings,
                expected: Vector3::from(expected),
                group,
            })
            .collect();
        let template = write_points_template(&design, &planned).unwrap();
        let heading = template.lines().position(|line| line.starts_with("swing")).unwrap();
        let text: Vec<String> = template
            .lines()
            .enumerate()
            .map(|(index, line)| match index > heading {
                true => line.replacen(",,,,", ",1,2,3,", 1),
                false => line.to_string(),
            })
            .collect();
        let read = read_points(text.join("\n").as_bytes(), &design);
        let read = read.map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert_eq!(read.points.rows.len(), planned.len());
        for (row, plan) in read.points.rows.iter().zip(&planned) {
            prop_assert_eq!(row.readings, plan.readings.map(template_reading));
            prop_assert_eq!(&row.group, plan.group.trim());
        }
    }
}
