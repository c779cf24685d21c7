//! Random bars of all profiles.

use calotte::built::{Core, Hole, Piece, Profile, Solid, SolidKind, Void};
use nalgebra::{Rotation3, Unit, Vector3};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A bar of one or two arcs with a boss at every station.
pub fn random_bar(seed: u64) -> Solid {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let radius = rng.random_range(0.08..0.25);
    let width: f64 = rng.random_range(0.006..0.02);
    let kind = rng.random_range(0..4);
    let round = kind >= 2;
    let depth: f64 = if round {
        width
    } else {
        rng.random_range(0.004..0.014)
    };
    let wall = rng.random_range(0.1..0.35) * width.min(depth);
    let void = (kind % 2 == 1).then_some(Void {
        half_width: 0.5 * width - wall,
        height: depth - 2.0 * wall,
    });
    let boss_width = match rng.random_range(0..3) {
        0 => width,
        _ => width * rng.random_range(1.0..2.2),
    };
    let boss_height = match rng.random_range(0..4) {
        0 => depth,
        1 => depth * rng.random_range(0.6..1.0),
        _ => depth * rng.random_range(1.0..2.5),
    };
    let start = random_direction(&mut rng);
    let mut normal = start.cross(&random_direction(&mut rng)).normalize();
    let mut stations = vec![start];
    for _ in 0..rng.random_range(1..=2) {
        let from = stations[stations.len() - 1];
        let arc = rng.random_range(0.1..1.7);
        stations.push(Rotation3::from_axis_angle(&Unit::new_normalize(normal), arc) * from);
        let bend = if rng.random_bool(0.25) {
            0.0
        } else {
            rng.random_range(-1.2..1.2)
        };
        let about = Unit::new_normalize(stations[stations.len() - 1]);
        normal = Rotation3::from_axis_angle(&about, bend) * normal;
    }
    bar(
        &stations,
        if round {
            Profile::Round
        } else {
            Profile::Straight
        },
        radius,
        [width, depth],
        void,
        [boss_width, boss_height],
        rng.random_bool(0.8)
            .then(|| rng.random_range(0.3..0.9) * boss_width),
    )
}

/// A bar through stations, with bosses and, if given, a hole of one diameter in each.
pub fn bar(
    stations: &[Vector3<f64>],
    profile: Profile,
    radius: f64,
    [width, depth]: [f64; 2],
    void: Option<Void>,
    [boss_width, boss_height]: [f64; 2],
    hole: Option<f64>,
) -> Solid {
    let arcs = stations.windows(2).map(|pair| Piece {
        core: Core::Arc(pair[0], pair[1]),
        profile,
        half_width: 0.5 * width,
        inner: radius - 0.5 * depth,
        outer: radius + 0.5 * depth,
        void,
    });
    let bosses = stations.iter().map(|station| Piece {
        core: Core::Direction(*station),
        profile: Profile::Straight,
        half_width: 0.5 * boss_width,
        inner: radius - 0.5 * boss_height,
        outer: radius + 0.5 * boss_height,
        void: None,
    });
    let holes = stations.iter().filter_map(|station| {
        Some(Hole {
            axis: *station,
            diameter: hole?,
        })
    });
    Solid {
        name: "bar-left-1".into(),
        kind: SolidKind::Bar,
        body: 1,
        assembled_with: vec![],
        joint: None,
        pieces: arcs.chain(bosses).collect(),
        holes: holes.collect(),
    }
}

fn random_direction(rng: &mut ChaCha8Rng) -> Vector3<f64> {
    loop {
        let v = Vector3::new(
            rng.random_range(-1.0..1.0),
            rng.random_range(-1.0..1.0),
            rng.random_range(-1.0..1.0),
        );
        if (0.1..1.0).contains(&v.norm()) {
            return v.normalize();
        }
    }
}
