//! Bearings, pins and fits: ratings (E04, E06, E07), Hertz contact and Palmgren's formula
//! (E08 to E12), Stribeck's distribution (E13), thrust, ISO 286 (E14 to E16), pins (E17) and the
//! tilt that clearance allows (E19).

use calotte::stock::{
    BallPlacement, BallSet, DoubleShearPin, ElasticConstants, Fit, MachineElementError,
    PointContact, Race, basic_rating_life, clearance_tilt, friction_torque, hole_limits,
    international_tolerance, palmgren_approach, shaft_limits, static_equivalent_load,
    static_safety,
};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::DEGREE;

const LIFE: Source = Source::from_memory("basic rating life (C/P)³ million revolutions of ISO 281");
const STATIC: Source = Source::from_memory(
    "static equivalent load max(F_r, 0.6 F_r + 0.5 F_a) of a deep groove ball bearing and s0 = C0/P0, ISO 76",
);
const FRICTION: Source = Source::CommonPractice {
    what: "M = ½ µ P d of bearing makers' guides",
};
const PALMGREN: Source = Source::from_memory("Palmgren's 0.00044 (Q²/D)^⅓ mm for steel");
const HERTZ: Source = Source::derived(
    file::ELEMENTS,
    "Hertz's theory with complete elliptic integrals",
);
const HARRIS: Source = Source::from_memory(
    "worked example of the 209 bearing in Harris, Rolling Bearing Analysis, to the digits recalled",
);
const STRIBECK: Source = Source::from_memory(
    "Stribeck: maximum ball load 4.37 F/(Z cos α); the constant is that of many balls",
);
const RADIAL: Source = Source::derived(
    file::ELEMENTS,
    "equilibrium of seven balls by Hertz's law without clearance",
);
const AXIAL: Source = Source::derived(
    file::ELEMENTS,
    "Fa/(z K A^1.5) = sin α (cos α0/cos α − 1)^1.5 solved for α",
);
const HARRIS_AXIAL: Source = Source::from_memory(
    "worked example of the 218 bearing under thrust in Harris, Rolling Bearing Analysis, which \
     reads its load constant from a chart",
);
const GRADES_TABLE: Source = Source::Published {
    author: "ISO",
    title: "ISO 286-1, Code system for tolerances on linear sizes: basis of tolerances, deviations and fits",
    edition_or_year: "2010",
    place: "Table 1 (read in public reprints)",
    note: "",
};
const HOLES_TABLE: Source = Source::Published {
    author: "ISO",
    title: "ISO 286-1, Code system for tolerances on linear sizes: basis of tolerances, deviations and fits",
    edition_or_year: "2010",
    place: "Tables 1 and 2 (read in public reprints)",
    note: "",
};
const LOOSE_SHAFTS_TABLE: Source = Source::Published {
    author: "ISO",
    title: "ISO 286-1, Code system for tolerances on linear sizes: basis of tolerances, deviations and fits",
    edition_or_year: "2010",
    place: "Tables 1 and 4 (read in public reprints)",
    note: "",
};
const TIGHT_SHAFTS_TABLE: Source = Source::Published {
    author: "ISO",
    title: "ISO 286-1, Code system for tolerances on linear sizes: basis of tolerances, deviations and fits",
    edition_or_year: "2010",
    place: "Tables 1 and 5 (read in public reprints)",
    note: "",
};
const FIT: Source = Source::derived(file::ELEMENTS, "differences of the limits in ISO 286-1");
const LEVER: Source = Source::derived(
    file::ELEMENTS,
    "lever model of a pin in double shear, even pressure over cheeks and lug",
);
const TILT: Source = Source::derived(
    file::ELEMENTS,
    "two places of clearance c a length L apart, 2c/L",
);

/// Newtons and millimetres to SI for Q = K δ^1.5.
const PER_MILLIMETRE: f64 = 31_622.776_601_683_792;

type Answer<T> = Result<T, MachineElementError>;

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = ratings();
    checks.extend(palmgren());
    checks.extend(harris());
    checks.extend(constants());
    checks.extend(ball_on_flat());
    checks.extend(radial());
    checks.extend(axial());
    checks.extend(tolerances());
    checks.extend(fits());
    checks.extend(pins());
    checks
}

/// The value, or not a number where the library gave an error.
fn or_nan(answer: Answer<f64>) -> f64 {
    answer.unwrap_or(f64::NAN)
}

fn ratings() -> Vec<Check> {
    let life = or_nan(basic_rating_life(3450.0, 500.0)) / 1e6;
    let equivalent = |radial, axial| or_nan(static_equivalent_load(radial, axial));
    let torque = or_nan(friction_torque(0.0015, 50.0, 8e-3)) * 1e3;
    vec![
        LIFE.check(
            "E04",
            "ball bearing, C 3.45 kN, P 0.5 kN: basic rating life",
            "Mrev",
            [328.509, life],
            Tolerance::Absolute(5e-4),
        ),
        STATIC.check(
            "E06-radial",
            "static load of a deep groove ball bearing: P0 of F_r 100, F_a 20",
            "N",
            [100.0, equivalent(100.0, 20.0)],
            Tolerance::Absolute(1e-9),
        ),
        STATIC.check(
            "E06-axial",
            "static load of a deep groove ball bearing: P0 of F_r 100, F_a 300",
            "N",
            [210.0, equivalent(100.0, 300.0)],
            Tolerance::Absolute(1e-9),
        ),
        STATIC.check(
            "E06-safety",
            "static load of a deep groove ball bearing: s0 of C0 490, P0 245",
            "1",
            [2.0, or_nan(static_safety(490.0, 245.0))],
            Tolerance::Absolute(1e-12),
        ),
        FRICTION.check(
            "E07",
            "friction of a ball bearing, µ 0.0015, P 50 N, d 8 mm: torque",
            "N·mm",
            [0.300, torque],
            Tolerance::Absolute(5e-4),
        ),
    ]
}

/// Approach of the rings at one ball, mm.
fn ring_approach(osculation: f64) -> Answer<f64> {
    let mut balls = BallSet::steel(7, 3.969e-3, 15e-3, 0.0);
    balls.inner_osculation = osculation;
    balls.outer_osculation = osculation;
    Ok((100.0 / balls.load_constant(0.0)?).powf(2.0 / 3.0) * 1e3)
}

fn palmgren() -> Vec<Check> {
    let mut checks = vec![PALMGREN.check(
        "E08",
        "approach of the rings at a ball of 3.969 mm, 100 N: Palmgren",
        "mm",
        [0.005987, or_nan(palmgren_approach(100.0, 3.969e-3)) * 1e3],
        Tolerance::Absolute(5e-7),
    )];
    for (osculation, reference) in [(0.515, 0.005782), (0.52, 0.006185), (0.54, 0.007213)] {
        checks.push(HERTZ.check(
            format!("E08-{osculation}"),
            format!("approach of the rings at a ball of 3.969 mm, 100 N: Hertz, f {osculation}"),
            "mm",
            [reference, or_nan(ring_approach(osculation))],
            Tolerance::Absolute(5e-7),
        ));
    }
    checks
}

/// Race, its name, Σρ in 1/mm, F(ρ), κ, a*, b*, δ*, then a, b, δ in mm and p0 in MPa.
#[rustfmt::skip]
const RACES: [(Race, &str, &str, [f64; 10]); 2] = [
    (Race::Inner, "E09", "inner", [
        0.2017782, 0.9399644, 9.284937, 3.823082, 0.411751, 0.603188,
        2.553358, 0.275000, 0.0271452, 3084.395,
    ]),
    (Race::Outer, "E10", "outer", [
        0.1377972, 0.9120892, 7.295108, 3.264820, 0.447536, 0.660007,
        2.476102, 0.339420, 0.0261564, 2576.968,
    ]),
];
/// Name, unit and half a unit of the last digit printed, in the order of [`RACES`].
const RACE_QUANTITIES: [(&str, &str, f64); 10] = [
    ("Σρ", "1/mm", 5e-8),
    ("F(ρ)", "1", 5e-8),
    ("κ", "1", 5e-7),
    ("a*", "1", 5e-7),
    ("b*", "1", 5e-7),
    ("δ*", "1", 5e-7),
    ("a", "mm", 5e-7),
    ("b", "mm", 5e-7),
    ("δ", "mm", 5e-8),
    ("p0", "MPa", 5e-4),
];
/// Σρ and F(ρ) as recalled from the book, with the digits recalled.
const RECALLED: [[f64; 2]; 2] = [[0.202, 0.9399], [0.138, 0.9120]];

/// The quantities of [`RACES`]: ball 12.7 mm, pitch 65 mm, osculation 0.52, 4536 N.
fn race_values(race: Race) -> Answer<[f64; 10]> {
    let steel = ElasticConstants::BEARING_STEEL;
    let contact = PointContact::ball_on_race(race, 12.7e-3, 12.7 / 65.0, 0.52, &steel)?;
    let state = contact.under(4536.0)?;
    Ok([
        contact.curvature_sum * 1e-3,
        contact.curvature_difference,
        contact.axes_ratio,
        contact.semi_major_factor,
        contact.semi_minor_factor,
        contact.approach_factor,
        state.semi_major * 1e3,
        state.semi_minor * 1e3,
        state.approach * 1e3,
        state.peak_pressure * 1e-6,
    ])
}

fn harris() -> Vec<Check> {
    let mut checks = Vec::new();
    for ((race, id, name, references), recalled) in RACES.into_iter().zip(RECALLED) {
        let values = race_values(race).unwrap_or([f64::NAN; 10]);
        for (place, (quantity, unit, half_digit)) in RACE_QUANTITIES.into_iter().enumerate() {
            checks.push(HERTZ.check(
                format!("{id}-{}", place + 1),
                format!("ball of 12.7 mm on the {name} race, 4536 N: {quantity}"),
                unit,
                [references[place], values[place]],
                Tolerance::Absolute(half_digit),
            ));
        }
        // Three and four digits, the last cut off rather than rounded.
        for (place, tolerance) in [(0, 5e-4), (1, 1e-4)] {
            let (quantity, unit, _) = RACE_QUANTITIES[place];
            checks.push(HARRIS.check(
                format!("{id}-book-{}", place + 1),
                format!("ball of 12.7 mm on the {name} race, 4536 N: {quantity} as recalled"),
                unit,
                [recalled[place], values[place]],
                Tolerance::Absolute(tolerance),
            ));
        }
    }
    checks
}

fn constants() -> Vec<Check> {
    // Ball and pitch in mm, K in N/mm^1.5.
    let rows = [
        (12.7, 65.0, 368_606.1),
        (3.969, 15.0, 205_608.4),
        (3.175, 13.5, 184_085.4),
        (2.0, 9.0, 146_164.2),
        (1.588, 6.5, 130_148.8),
    ];
    rows.into_iter()
        .map(|(ball, pitch, reference)| {
            let balls = BallSet::steel(3, ball * 1e-3, pitch * 1e-3, 0.0);
            let constant = or_nan(balls.load_constant(0.0)) / PER_MILLIMETRE;
            HERTZ.check(
                format!("E11-{ball}"),
                format!("K of load = K · approach^1.5 of a ball: D {ball}, pitch {pitch}"),
                "N/mm^1.5",
                [reference, constant],
                Tolerance::Absolute(0.05),
            )
        })
        .collect()
}

fn ball_on_flat() -> Vec<Check> {
    let steel = ElasticConstants::BEARING_STEEL;
    let state = PointContact::ball_on_flat(5e-3, [&steel, &steel]).and_then(|c| c.under(10.0));
    let [radius, approach, pressure] = state.map_or([f64::NAN; 3], |state| {
        [
            state.semi_major * 1e3,
            state.approach * 1e3,
            state.peak_pressure * 1e-6,
        ]
    });
    [
        ("a", "contact radius", "mm", 0.0691956, radius, 5e-8),
        ("delta", "approach", "mm", 0.000957606, approach, 5e-10),
        ("p0", "peak pressure", "MPa", 997.205, pressure, 5e-4),
    ]
    .into_iter()
    .map(|(id, what, unit, reference, value, half_digit)| {
        HERTZ.check(
            format!("E12-{id}"),
            format!("steel ball of radius 5 mm on a flat, 10 N: {what}"),
            unit,
            [reference, value],
            Tolerance::Absolute(half_digit),
        )
    })
    .collect()
}

fn radial() -> Vec<Check> {
    let balls = BallSet::steel(7, 3.969e-3, 15e-3, 0.0);
    let under = |load| balls.under_radial_load(load, BallPlacement::OnBall);
    let mut checks = Vec::new();
    for (load, displacement, stiffness) in [
        (5.0, 0.00061005, 12_294.0),
        (20.0, 0.00153723, 19_516.0),
        (50.0, 0.00283161, 26_487.0),
        (100.0, 0.00449490, 33_371.0),
    ] {
        let found = under(load);
        let pairs = [
            (
                "move",
                "displacement",
                "mm",
                displacement,
                found.as_ref().map_or(f64::NAN, |s| s.displacement * 1e3),
                5e-9,
            ),
            (
                "k",
                "stiffness",
                "N/mm",
                stiffness,
                found.as_ref().map_or(f64::NAN, |s| s.stiffness * 1e-3),
                0.5,
            ),
        ];
        for (id, what, unit, reference, value, half_digit) in pairs {
            checks.push(RADIAL.check(
                format!("E13-{load}-{id}"),
                format!("seven balls of 3.969 mm on 15 mm, no clearance: {what} at {load} N"),
                unit,
                [reference, value],
                Tolerance::Absolute(half_digit),
            ));
        }
    }
    let share = |balls: &BallSet| {
        let state = balls.under_radial_load(20.0, BallPlacement::OnBall);
        state.map_or(f64::NAN, |state| state.ball_load_max / 20.0)
    };
    checks.push(RADIAL.check(
        "E13-share",
        "seven balls of 3.969 mm on 15 mm, no clearance: ball load/load",
        "1",
        [0.6196, share(&balls)],
        Tolerance::Absolute(5e-5),
    ));
    let many = BallSet::steel(60, 0.5e-3, 15e-3, 0.0);
    checks.push(STRIBECK.check(
        "E13-stribeck",
        "sixty balls, no clearance: Z · ball load/load",
        "1",
        [4.37, 60.0 * share(&many)],
        Tolerance::Absolute(5e-3),
    ));
    checks
}

/// Sixteen balls of 22.225 mm on 125.26 mm, free contact angle 40°, 17.8 kN along the axis.
fn axial() -> Vec<Check> {
    let mut balls = BallSet::steel(16, 22.225e-3, 125.26e-3, 0.0);
    balls.inner_osculation = 0.5232;
    balls.outer_osculation = 0.5232;
    // The play that makes the free contact angle, 2A(1 − cos α0).
    let distance = (2.0 * 0.5232 - 1.0) * 22.225e-3;
    balls.radial_play = 2.0 * distance * (1.0 - (40.0 * DEGREE).cos());
    let [angle, displacement] = balls
        .under_axial_load(17_800.0)
        .map_or([f64::NAN; 2], |state| {
            [state.contact_angle / DEGREE, state.displacement * 1e3]
        });
    let rows = [
        (&AXIAL, "angle", "contact angle", "°", 41.50229, angle, 5e-6),
        (
            &AXIAL,
            "move",
            "displacement",
            "mm",
            0.03609941,
            displacement,
            5e-9,
        ),
        (
            &HARRIS_AXIAL,
            "book",
            "contact angle",
            "°",
            41.6,
            angle,
            0.15,
        ),
    ];
    rows.into_iter()
        .map(|(source, id, what, unit, reference, value, tolerance)| {
            source.check(
                format!("axial-218-{id}"),
                format!("218 angular contact bearing, 17.8 kN along its axis: {what}"),
                unit,
                [reference, value],
                Tolerance::Absolute(tolerance),
            )
        })
        .collect()
}

/// Nominal size in mm within each range; IT5 to IT9, µm.
const GRADES: [(f64, [f64; 5]); 5] = [
    (3.0, [4.0, 6.0, 10.0, 14.0, 25.0]),
    (6.0, [5.0, 8.0, 12.0, 18.0, 30.0]),
    (8.0, [6.0, 9.0, 15.0, 22.0, 36.0]),
    (18.0, [8.0, 11.0, 18.0, 27.0, 43.0]),
    (30.0, [9.0, 13.0, 21.0, 33.0, 52.0]),
];

fn tolerances() -> Vec<Check> {
    let mut checks = Vec::new();
    for (size, row) in GRADES {
        for (grade, reference) in (5u8..).zip(row) {
            let value = or_nan(international_tolerance(grade, size * 1e-3)) * 1e6;
            checks.push(GRADES_TABLE.check(
                format!("E14-{size}-{grade}"),
                format!("ISO 286 up to 30 mm: IT{grade} at {size} mm"),
                "µm",
                [reference, value],
                Tolerance::Absolute(1e-6),
            ));
        }
    }
    checks
}

fn fits() -> Vec<Check> {
    let mut checks = Vec::new();
    // Size in mm; upper deviation of H7, both deviations of g6, µm.
    for (size, [hole, upper, lower]) in [
        (3.0, [10.0, -2.0, -8.0]),
        (6.0, [12.0, -4.0, -12.0]),
        (8.0, [15.0, -5.0, -14.0]),
        (18.0, [18.0, -6.0, -17.0]),
        (30.0, [21.0, -7.0, -20.0]),
    ] {
        let h7 = hole_limits("H7", size * 1e-3);
        let g6 = shaft_limits("g6", size * 1e-3);
        let loose = &LOOSE_SHAFTS_TABLE;
        for (source, id, what, reference, value) in [
            (&HOLES_TABLE, "H7", "H7 upper", hole, h7.map(|l| l.upper)),
            (
                loose,
                "g6-upper",
                "g6 upper",
                upper,
                g6.clone().map(|l| l.upper),
            ),
            (loose, "g6-lower", "g6 lower", lower, g6.map(|l| l.lower)),
        ] {
            checks.push(source.check(
                format!("E15-{size}-{id}"),
                format!("ISO 286 up to 30 mm: {what} at {size} mm"),
                "µm",
                [reference, or_nan(value) * 1e6],
                Tolerance::Absolute(1e-6),
            ));
        }
    }
    // Lower and upper deviation at 4 and 13 mm, µm.
    for (class, [small, large]) in [
        ("f7", [[-22.0, -10.0], [-34.0, -16.0]]),
        ("k6", [[1.0, 9.0], [1.0, 12.0]]),
        ("m6", [[4.0, 12.0], [7.0, 18.0]]),
        ("n6", [[8.0, 16.0], [12.0, 23.0]]),
        ("p6", [[12.0, 20.0], [18.0, 29.0]]),
    ] {
        for (size, [lower, upper]) in [(4.0, small), (13.0, large)] {
            let limits = shaft_limits(class, size * 1e-3);
            let source = if class == "f7" {
                &LOOSE_SHAFTS_TABLE
            } else {
                &TIGHT_SHAFTS_TABLE
            };
            for (id, reference, value) in [
                ("lower", lower, limits.clone().map(|l| l.lower)),
                ("upper", upper, limits.map(|l| l.upper)),
            ] {
                checks.push(source.check(
                    format!("E15-{size}-{class}-{id}"),
                    format!("ISO 286 up to 30 mm: {class} {id} at {size} mm"),
                    "µm",
                    [reference, or_nan(value) * 1e6],
                    Tolerance::Absolute(1e-6),
                ));
            }
        }
    }
    for (size, least, greatest) in [(4.0, 4.0, 24.0), (8.0, 5.0, 29.0), (13.0, 6.0, 35.0)] {
        let fit = Fit::named("H7/g6", size * 1e-3);
        for (id, reference, value) in [
            ("minimum", least, fit.clone().map(|f| f.clearance_min())),
            ("maximum", greatest, fit.map(|f| f.clearance_max())),
        ] {
            checks.push(FIT.check(
                format!("E16-{size}-{id}"),
                format!("clearance of H7/g6: {id} at {size} mm"),
                "µm",
                [reference, or_nan(value) * 1e6],
                Tolerance::Absolute(1e-6),
            ));
        }
    }
    checks
}

fn pins() -> Vec<Check> {
    let pin = DoubleShearPin {
        diameter: 4e-3,
        cheek_thickness: 4e-3,
        lug_thickness: 8e-3,
        gap: 0.5e-3,
    };
    let found = pin.stress(200.0);
    let [shear, peak, moment, bending, lug, cheek] = found.map_or([f64::NAN; 6], |s| {
        [
            s.shear_mean * 1e-6,
            s.shear_peak * 1e-6,
            s.bending_moment * 1e3,
            s.bending * 1e-6,
            s.lug_pressure * 1e-6,
            s.cheek_pressure * 1e-6,
        ]
    });
    let rows = [
        ("shear", "mean shear stress", "MPa", 7.957747, shear, 5e-7),
        ("peak", "peak shear stress", "MPa", 10.610330, peak, 5e-7),
        ("moment", "bending moment", "N·mm", 450.0, moment, 1e-9),
        ("bending", "bending stress", "MPa", 71.619724, bending, 5e-7),
        ("lug", "pressure on the lug", "MPa", 6.25, lug, 1e-9),
        ("cheek", "pressure on a cheek", "MPa", 6.25, cheek, 1e-9),
    ];
    let mut checks: Vec<Check> = rows
        .into_iter()
        .map(|(id, what, unit, reference, value, half_digit)| {
            LEVER.check(
                format!("E17-{id}"),
                format!("pin of 4 mm in double shear, 200 N: {what}"),
                unit,
                [reference, value],
                Tolerance::Absolute(half_digit),
            )
        })
        .collect();
    let tilt = or_nan(clearance_tilt(0.01e-3, 10e-3));
    for (id, what, unit, reference, value) in [
        ("angle", "tilt", "rad", 0.002, tilt),
        ("150", "move at 150 mm", "mm", 0.30, tilt * 150.0),
    ] {
        checks.push(TILT.check(
            format!("E19-{id}"),
            format!("clearance 0.01 mm over 10 mm: {what}"),
            unit,
            [reference, value],
            Tolerance::Absolute(1e-12),
        ));
    }
    checks
}
