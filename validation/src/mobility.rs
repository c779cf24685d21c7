//! Mobility by the rank of the constraints beside the counting formulas (K01–K08, K10).
//!
//! The rank needs a closed configuration. Linkages without a builder are written down as
//! directions in the base frame, so that every joint closes by itself.

use calotte::design::Design;
use calotte::kinematics::Kinematics;
use calotte::linkage::mobility::{Mobility, mobility};
use calotte::linkage::{Body, Joint};
use calotte::sphere::Direction;
use nalgebra::Vector3;

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, arm, uniform};
use crate::linkage_by_hand::{as_given, body, linkage, plain_joint};

const COUNT: Source = Source::derived(
    file::MOBILITY,
    "counts 3(n − 1) − 2j on the sphere and 6(n − 1) − 5j in space; their difference is the number of redundant constraints",
);
const RANK: Source = Source::derived(
    file::MOBILITY,
    "rank of the stacked loop Jacobian of m rhombi, 3m; mobility is j − rank",
);

/// Places that two bodies share, as (body, station).
type Pair = [(usize, usize); 2];

/// Mobility of bodies given in the base frame.
fn mobility_of(bodies: Vec<Body>, pairs: &[Pair]) -> Mobility {
    let joints: Vec<Joint> = pairs
        .iter()
        .map(|places| plain_joint(&bodies, *places))
        .collect();
    let tool = (bodies.len() - 1, 0);
    let linkage = linkage(bodies, joints, [0, 0], tool);
    mobility(&linkage, &as_given(&linkage))
}

/// Mobility of a family at its mechanism angles, rad; `None` where it does not close.
fn mobility_of_family(design: &Design, mechanism: [f64; 2]) -> Option<Mobility> {
    let kinematics = Kinematics::new(design).ok()?;
    let pose = kinematics.forward_from_mechanism(mechanism).ok()?;
    Some(mobility(&kinematics.linkage, &pose.configuration))
}

/// A direction by polar angle and azimuth, degrees.
fn direction(polar: f64, azimuth: f64) -> Vector3<f64> {
    Direction {
        polar: polar * DEGREE,
        azimuth: azimuth * DEGREE,
    }
    .vector()
}

/// A closed polygon of `count` bodies and as many joints.
fn closed_polygon(count: usize) -> Mobility {
    // Corners at uneven polar angles, so that no two are alike.
    let corner = |k: usize| {
        direction(
            30.0 + 7.0 * (k as f64).sin(),
            360.0 * k as f64 / count as f64,
        )
    };
    let bodies = (0..count)
        .map(|k| body("", vec![corner(k), corner((k + 1) % count)], &[]))
        .collect();
    let pairs: Vec<Pair> = (0..count).map(|k| [(k, 1), ((k + 1) % count, 0)]).collect();
    mobility_of(bodies, &pairs)
}

/// The parallel linkage of three legs with three joints each between ground and platform.
fn three_legs() -> Mobility {
    let at = |polar: f64, turn: f64| -> Vec<Vector3<f64>> {
        (0..3)
            .map(|leg| direction(polar, 120.0 * f64::from(leg) + turn))
            .collect()
    };
    let (base, elbow, platform) = (at(120.0, 0.0), at(85.0, 37.0), at(50.0, 11.0));
    let mut bodies = vec![body("ground", base.clone(), &[])];
    let mut pairs: Vec<Pair> = Vec::new();
    for leg in 0..3 {
        bodies.push(body("", vec![base[leg], elbow[leg]], &[]));
        bodies.push(body("", vec![elbow[leg], platform[leg]], &[]));
        let (lower, upper) = (1 + 2 * leg, 2 + 2 * leg);
        pairs.push([(0, leg), (lower, 0)]);
        pairs.push([(lower, 1), (upper, 0)]);
        pairs.push([(upper, 1), (7, leg)]);
    }
    bodies.push(body("platform", platform, &[]));
    mobility_of(bodies, &pairs)
}

/// Apexes and side joints of a row of equal rhombi along the meridian of azimuth 0.
struct Row {
    apexes: Vec<Vector3<f64>>,
    /// Left and right side joint after each apex.
    sides: Vec<[Vector3<f64>; 2]>,
}

impl Row {
    /// `count` rhombi of a side and vertex angle, degrees: tan(d/2) = tan(side) cos(angle/2),
    /// sin(w/2) = sin(side) sin(angle/2).
    fn new(count: usize, side: f64, angle: f64) -> Self {
        let (side, half) = (side * DEGREE, 0.5 * angle * DEGREE);
        let half_diagonal = (side.tan() * half.cos()).atan();
        let half_width = (side.sin() * half.sin()).asin();
        let (sin, cos) = half_width.sin_cos();
        let on_line = |polar: f64| Vector3::new(polar.sin(), 0.0, polar.cos());
        Self {
            apexes: (0..=count)
                .map(|k| on_line(2.0 * half_diagonal * k as f64))
                .collect(),
            sides: (0..count)
                .map(|k| {
                    let middle = on_line(half_diagonal * (2.0 * k as f64 + 1.0));
                    [1.0, -1.0].map(|sign| middle * cos + Vector3::y() * (sign * sin))
                })
                .collect(),
        }
    }

    /// Half bars at both ends and crossing bars between, the tool on the last pivot if wanted:
    /// bodies 2k and 2k + 1 meet at apex k.
    fn chain(&self, with_tool: bool) -> Mobility {
        let count = self.sides.len();
        let mut bodies = Vec::new();
        let mut pairs: Vec<Pair> = Vec::new();
        for apex in 0..=count {
            for side in 0..2 {
                let mut stations = vec![self.apexes[apex]];
                if apex > 0 {
                    stations.push(self.sides[apex - 1][side]);
                }
                if apex < count {
                    // Crosses over at every apex but the first and the last, where it ends.
                    stations.push(self.sides[apex][if apex == 0 { side } else { 1 - side }]);
                }
                bodies.push(body("", stations, &[]));
            }
            pairs.push([(2 * apex, 0), (2 * apex + 1, 0)]);
        }
        for stage in 0..count {
            for side in 0..2 {
                // The bar that leaves apex `stage` towards this side, by its last station.
                let leaving = if stage == 0 { side } else { 1 - side };
                let (before, after) = (2 * stage + leaving, 2 * stage + 2 + side);
                pairs.push([(before, bodies[before].stations.len() - 1), (after, 1)]);
            }
        }
        if with_tool {
            bodies.push(body("tool", vec![self.apexes[count]], &[]));
            pairs.push([(2 * count, 0), (2 * count + 2, 0)]);
        }
        mobility_of(bodies, &pairs)
    }

    /// Full crossing pairs alone, open at both ends: pair k crosses at the apex after side joint k.
    fn open_scissor(&self) -> Mobility {
        let pairs_count = self.sides.len() - 1;
        let mut bodies = Vec::new();
        let mut pairs: Vec<Pair> = Vec::new();
        for pair in 0..pairs_count {
            for side in 0..2 {
                bodies.push(body(
                    "",
                    vec![
                        self.sides[pair][side],
                        self.apexes[pair + 1],
                        self.sides[pair + 1][1 - side],
                    ],
                    &[],
                ));
            }
            pairs.push([(2 * pair, 1), (2 * pair + 1, 1)]);
            if pair > 0 {
                for side in 0..2 {
                    pairs.push([(2 * pair - 2 + 1 - side, 2), (2 * pair + side, 0)]);
                }
            }
        }
        mobility_of(bodies, &pairs)
    }
}

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = Vec::new();
    let mut add = |id: &str, name: &str, found: Option<Mobility>, expected: [i64; 3]| {
        checks.extend(rows(id, name, found, expected));
    };
    add("K01", "four-bar", Some(closed_polygon(4)), [1, -2, 3]);
    add("K02", "five-bar", Some(closed_polygon(5)), [2, -1, 3]);
    let serial = mobility_of_family(&arm(75.0, 60.0), [0.3, 1.1]);
    add("K03", "two-arc arm", serial, [2, 2, 0]);
    add(
        "K04",
        "three legs of three joints",
        Some(three_legs()),
        [3, -3, 6],
    );
    for (stages, side, angle) in [
        (1, 10.0, 60.0),
        (2, 10.0, 60.0),
        (3, 12.0, 80.0),
        (5, 12.0, 80.0),
    ] {
        let (m, row) = (stages as i64, Row::new(stages, side, angle));
        let name = |what: &str| format!("{stages} × rhombus, {what}");
        add(
            &format!("K05-{stages}"),
            &name("no ground"),
            Some(row.chain(false)),
            [1, 1 - 3 * m, 3 * m],
        );
        let driven = mobility_of_family(&uniform(stages, side), [0.2, angle * DEGREE]);
        add(
            &format!("K06-{stages}"),
            &name("on a base axis"),
            driven,
            [2, 2 - 3 * m, 3 * m],
        );
        add(
            &format!("K08-{stages}"),
            &name("with a tool on its tip"),
            Some(row.chain(true)),
            [2, 2 - 3 * m, 3 * m],
        );
    }
    for pairs in [2, 3] {
        let q = pairs as i64;
        add(
            &format!("K07-{pairs}"),
            &format!("scissor of {pairs} full crossing pairs"),
            Some(Row::new(pairs + 1, 12.0, 70.0).open_scissor()),
            [1, 4 - 3 * q, 3 * (q - 1)],
        );
    }
    for (m, side, angle) in [1, 2, 3, 5]
        .into_iter()
        .flat_map(|m| [(m, 10.0, 60.0), (m, 12.0, 80.0)])
    {
        let found = Row::new(m, side, angle).chain(false);
        checks.push(RANK.check(
            format!("K10-{m}-{side}"),
            format!("joints less mobility, no ground: {m} × {side}°, {angle}°"),
            "1",
            [3.0 * m as f64, (found.joints - found.by_rank) as f64],
            Tolerance::Absolute(0.0),
        ));
    }
    checks
}

/// Freedoms by rank, freedoms counted in space, redundant constraints in space.
fn rows(id: &str, name: &str, found: Option<Mobility>, expected: [i64; 3]) -> Vec<Check> {
    let values = found.map_or([f64::NAN; 4], |m| {
        [
            m.by_rank as f64,
            m.by_counting as f64,
            m.in_space as f64,
            m.redundant as f64,
        ]
    });
    let [freedoms, in_space, redundant] = expected.map(|value| value as f64);
    [
        ("rank", "mobility by rank", freedoms, values[0]),
        ("count", "counted on the sphere", freedoms, values[1]),
        ("space", "counted in space", in_space, values[2]),
        ("redundant", "redundant constraints", redundant, values[3]),
    ]
    .into_iter()
    .map(|(what, words, reference, value)| {
        COUNT.check(
            format!("{id}-{what}"),
            format!("{name}: {words}"),
            "1",
            [reference, value],
            Tolerance::Absolute(0.0),
        )
    })
    .collect()
}
