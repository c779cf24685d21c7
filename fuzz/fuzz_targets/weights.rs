//! Any bytes as displacements under weights: rows of finite numbers or problems, never a
//! panic.
#![no_main]

mod measured;

use calotte::measurement::Displacement;
use calotte_format::measurement::read_weights;
use libfuzzer_sys::fuzz_target;
use measured::{DESIGNS, check};

fuzz_target!(|bytes: &[u8]| {
    for design in DESIGNS.iter() {
        let outcome = read_weights(bytes, design);
        check(
            bytes,
            outcome
                .as_ref()
                .map(|read| (read.weights.rows.len(), &*read.refused, &*read.notes)),
        );
        for row in outcome.iter().flat_map(|read| &read.weights.rows) {
            assert!(row.readings.iter().all(|v| v.is_finite()));
            assert!(row.mass >= 0.0 && row.mass.is_finite());
            assert!((row.pull.norm() - 1.0).abs() < 1e-12);
            match row.displacement {
                Displacement::Along { axis, value } => {
                    assert!((axis.norm() - 1.0).abs() < 1e-12 && value.is_finite());
                }
                Displacement::Vector(vector) => assert!(vector.iter().all(|v| v.is_finite())),
            }
        }
    }
});
