//! Any bytes as measured points: rows of finite numbers or problems, never a panic.
#![no_main]

mod measured;

use calotte_format::measurement::read_points;
use libfuzzer_sys::fuzz_target;
use measured::{DESIGNS, check};

fuzz_target!(|bytes: &[u8]| {
    for design in DESIGNS.iter() {
        let outcome = read_points(bytes, design);
        check(
            bytes,
            outcome
                .as_ref()
                .map(|read| (read.points.rows.len(), &*read.refused, &*read.notes)),
        );
        for row in outcome.iter().flat_map(|read| &read.points.rows) {
            assert!(row.readings.iter().chain(&row.point).all(|v| v.is_finite()));
            let norm = row.orientation.map_or(1.0, |q| q.into_inner().norm());
            assert!((norm - 1.0).abs() < 1e-12);
        }
    }
});
