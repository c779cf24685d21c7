//! What files are wrong by, and rows put right.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::Vector3;

use super::super::data::PointRow;

/// One active joint, by its position, or both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joints {
    /// One.
    One(usize),
    /// Both.
    Both,
}

/// Which unit was taken for which.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TakenFor {
    /// Numbers in radians stand where degrees are read.
    RadiansForDegrees,
    /// Numbers in degrees were turned into degrees once more, as if they were radians.
    DegreesForRadians,
}

/// A unit of length that stands where millimetres are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// µm.
    Micrometre,
    /// cm.
    Centimetre,
    /// 25.4 mm.
    Inch,
    /// m.
    Metre,
}

/// What may be wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Misread {
    /// The readings stand in each other's column.
    Swapped,
    /// Readings count the other way.
    Sign(Joints),
    /// The tracker's frame is left-handed: one axis the wrong way, or two of them swapped.
    LeftHanded,
    /// Readings in another unit.
    Angle {
        /// Whose.
        joints: Joints,
        /// Which.
        taken: TakenFor,
    },
    /// A reading begins a quarter or half of a turn elsewhere.
    Offset {
        /// Whose, by its position among the active joints.
        joint: usize,
        /// What is to be added to it, rad.
        by: f64,
    },
    /// The drive's ratio is not where it should be.
    Ratio {
        /// Whose.
        joints: Joints,
        /// Readings are to be multiplied by this power of the ratio: 1 where they are those of
        /// the mechanism, 2 where the ratio is the wrong way round, −1 where it counts twice.
        power: i32,
    },
    /// Points in another unit.
    Length(LengthUnit),
    /// Readings and points of different rows stand side by side.
    Shifted {
        /// The readings that belong to a point stand so many rows further down.
        by: isize,
    },
}

impl LengthUnit {
    /// In millimetres.
    fn factor(self) -> f64 {
        match self {
            LengthUnit::Micrometre => 1e-3,
            LengthUnit::Centimetre => 10.0,
            LengthUnit::Inch => 25.4,
            LengthUnit::Metre => 1e3,
        }
    }
}

/// Everything that is tried, what is more common first.
pub(super) fn candidates(ratio: [f64; 2]) -> Vec<Misread> {
    let joints = [Joints::Both, Joints::One(0), Joints::One(1)];
    let mut all = vec![
        Misread::Swapped,
        Misread::Sign(Joints::One(0)),
        Misread::Sign(Joints::One(1)),
        Misread::LeftHanded,
        Misread::Sign(Joints::Both),
    ];
    for taken in [TakenFor::RadiansForDegrees, TakenFor::DegreesForRadians] {
        all.extend(joints.map(|joints| Misread::Angle { joints, taken }));
    }
    for joint in 0..2 {
        let turns = [-FRAC_PI_2, FRAC_PI_2, PI, -PI];
        all.extend(turns.map(|by| Misread::Offset { joint, by }));
    }
    let plain = |joint: usize| ratio[joint].abs() == 1.0;
    for joints in joints {
        let same = match joints {
            Joints::One(joint) => plain(joint),
            Joints::Both => plain(0) || plain(1),
        };
        if !same {
            all.extend([1, 2, -1].map(|power| Misread::Ratio { joints, power }));
        }
    }
    all.extend(
        [
            LengthUnit::Metre,
            LengthUnit::Centimetre,
            LengthUnit::Inch,
            LengthUnit::Micrometre,
        ]
        .map(Misread::Length),
    );
    all.extend([1, -1].map(|by| Misread::Shifted { by }));
    all
}

/// Rows as they would be without it; groups and orientations are left out.
pub(super) fn put_right(
    rows: &[PointRow],
    what: Option<Misread>,
    ratio: [f64; 2],
) -> Vec<PointRow> {
    let lagging = match what {
        Some(Misread::Shifted { by }) => by,
        _ => 0,
    };
    rows.iter()
        .enumerate()
        .filter_map(|(i, row)| {
            let readings = rows.get(i.checked_add_signed(lagging)?)?.readings;
            let (readings, point) = one_put_right(readings, row.point, what, ratio);
            Some(PointRow {
                row: row.row,
                readings,
                point,
                orientation: None,
                group: String::new(),
            })
        })
        .collect()
}

fn one_put_right(
    mut readings: [f64; 2],
    mut point: Vector3<f64>,
    what: Option<Misread>,
    ratio: [f64; 2],
) -> ([f64; 2], Vector3<f64>) {
    let mut times = |joints: Joints, factor: &dyn Fn(usize) -> f64| {
        for (joint, reading) in readings.iter_mut().enumerate() {
            if joints == Joints::Both || joints == Joints::One(joint) {
                *reading *= factor(joint);
            }
        }
    };
    match what {
        None | Some(Misread::Shifted { .. }) => {}
        Some(Misread::Swapped) => readings.swap(0, 1),
        Some(Misread::Sign(joints)) => times(joints, &|_| -1.0),
        Some(Misread::LeftHanded) => point.z = -point.z,
        Some(Misread::Angle { joints, taken }) => times(joints, &|_| match taken {
            TakenFor::RadiansForDegrees => 180.0 / PI,
            TakenFor::DegreesForRadians => PI / 180.0,
        }),
        Some(Misread::Offset { joint, by }) => readings[joint] += by,
        Some(Misread::Ratio { joints, power }) => {
            times(joints, &|joint: usize| ratio[joint].powi(power));
        }
        Some(Misread::Length(unit)) => point *= unit.factor(),
    }
    (readings, point)
}
