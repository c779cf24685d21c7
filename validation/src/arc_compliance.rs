//! The end compliance of circular arcs, all twelve entries (C01, C02), the thick form, and the
//! sag of an arc by its own weight (C14).

use calotte::elasticity::ArcElement;
use calotte::elasticity::arc::{BarStiffness, end_compliance};
use calotte::elasticity::thick::neutral_shift;
use calotte::stock::Section;
use nalgebra::{Matrix6, Vector3};

use crate::check::{Check, Source, Tolerance, file};
use crate::common::{DEGREE, by_poisson};

const QUADRATURE: Source = Source::derived(
    file::BEAMS,
    "quadrature of the unit-load integrals of the curved beam; frames of straight members agree to 4e-8",
);
const THICK: Source = Source::derived(
    file::BEAMS,
    "quadrature of the energy of the thick curved beam (Winkler and Bach)",
);
const SAG: Source = Source::derived(
    file::BEAMS,
    "unit-load integral of bending, torsion and shear by quadrature",
);

/// Names, rows and columns of the twelve entries: linear along (r, t, z), then rotations.
const ENTRIES: [(&str, usize, usize); 12] = [
    ("rr", 0, 0),
    ("rt", 0, 1),
    ("tt", 1, 1),
    ("r-Rz", 0, 5),
    ("t-Rz", 1, 5),
    ("Rz-Rz", 5, 5),
    ("zz", 2, 2),
    ("z-Rr", 2, 3),
    ("z-Rt", 2, 4),
    ("Rr-Rr", 3, 3),
    ("Rr-Rt", 3, 4),
    ("Rt-Rt", 4, 4),
];

/// An arc, mm, degrees and MPa, with its compliance in mm, N and rad.
struct Case {
    id: &'static str,
    radius: f64,
    angle: f64,
    section: Section,
    youngs_modulus: f64,
    poisson_ratio: f64,
    values: [f64; 12],
}

/// A rectangle of radial by tangential size, mm.
const fn rectangle(radial: f64, tangential: f64) -> Section {
    Section::Rectangle {
        tangential: tangential * 1e-3,
        radial: radial * 1e-3,
    }
}

/// A round tube of outer and inner diameter, mm.
const fn tube(outer: f64, inner: f64) -> Section {
    Section::Tube {
        outer_diameter: outer * 1e-3,
        inner_diameter: inner * 1e-3,
    }
}

const CASES: [Case; 7] = [
    Case {
        id: "C02-1",
        radius: 150.0,
        angle: 30.0,
        section: rectangle(10.0, 10.0),
        youngs_modulus: 68900.0,
        poisson_ratio: 0.33,
        values: [
            0.00269658732492312,
            -0.000533499487271749,
            0.000125509503047606,
            -5.25009303021793e-5,
            9.24770596740304e-6,
            1.36789230199846e-6,
            0.00287527372944366,
            5.45295964307432e-5,
            -4.34381815622808e-6,
            1.43614751743588e-6,
            1.88371160833425e-7,
            2.08868435992432e-6,
        ],
    },
    Case {
        id: "C02-3",
        radius: 150.0,
        angle: 60.0,
        section: rectangle(20.0, 8.0),
        youngs_modulus: 68900.0,
        poisson_ratio: 0.33,
        values: [
            0.00285681551109592,
            -0.00115924800435414,
            0.000530869328450035,
            -3.06150217706821e-5,
            1.1093178474529e-5,
            4.27466344374518e-7,
            0.020492900685397,
            0.000186030470546638,
            -7.46848995088919e-5,
            2.58464013739354e-6,
            -1.06268310402517e-7,
            2.4619320621591e-6,
        ],
    },
    Case {
        id: "C02-4",
        radius: 150.0,
        angle: 90.0,
        section: rectangle(10.0, 10.0),
        youngs_modulus: 68900.0,
        poisson_ratio: 0.33,
        values: [
            0.0462380427490727,
            -0.0294142815674891,
            0.0210090895345492,
            -0.000391872278664731,
            0.000223679257234575,
            4.10367690599538e-6,
            0.0792903535040723,
            0.000504894975164786,
            -0.000175169500741206,
            5.28724781604031e-6,
            7.53484643333699e-7,
            5.28724781604031e-6,
        ],
    },
    Case {
        id: "C02-5",
        radius: 200.0,
        angle: 90.0,
        section: rectangle(6.0, 24.0),
        youngs_modulus: 71700.0,
        poisson_ratio: 0.33,
        values: [
            0.202914688925053,
            -0.129160132238235,
            0.0920609069102012,
            -0.00129138901802779,
            0.000737120107953531,
            1.01425456299066e-5,
            0.0853955215992432,
            0.000550050866620952,
            0.000155372038776626,
            4.3200894041927e-6,
            2.34669526497107e-6,
            4.3200894041927e-6,
        ],
    },
    Case {
        id: "C02-7",
        radius: 180.0,
        angle: 75.0,
        section: tube(20.0, 16.0),
        youngs_modulus: 70000.0,
        poisson_ratio: 0.3,
        values: [
            0.0096108692824464,
            -0.00497552677761338,
            0.00289004086279668,
            -7.39835201587139e-5,
            3.42448202629786e-5,
            7.25900116144019e-7,
            0.0133154886750733,
            8.22087965764008e-5,
            -2.86621543762634e-5,
            8.13989627064067e-7,
            7.76098868329295e-8,
            8.55580640067176e-7,
        ],
    },
    Case {
        id: "C02-8",
        radius: 100.0,
        angle: 180.0,
        section: Section::Rod { diameter: 0.01 },
        youngs_modulus: 200000.0,
        poisson_ratio: 0.3,
        values: [
            0.0160393333333333,
            -0.0203718327157626,
            0.0480393333333333,
            -0.000203718327157626,
            0.00032,
            3.2e-6,
            0.0784586666666667,
            0.000264833825304914,
            -0.000368,
            3.68e-6,
            0.0,
            3.68e-6,
        ],
    },
    Case {
        id: "C02-10",
        radius: 50.0,
        angle: 90.0,
        section: rectangle(20.0, 10.0),
        youngs_modulus: 113800.0,
        poisson_ratio: 0.342,
        values: [
            0.00013668688669349,
            -8.48207381370826e-5,
            6.59701127690989e-5,
            -3.29525483304042e-6,
            1.8809193545526e-6,
            1.0352348375186e-7,
            0.000758333926613675,
            1.30364888420863e-5,
            -7.58571043544092e-6,
            4.09553375749035e-7,
            -2.89060980150842e-9,
            4.09553375749035e-7,
        ],
    },
];

/// In-plane entries of the last case as a thick curved beam, in the order of [`ENTRIES`].
const THICK_VALUES: [f64; 6] = [
    1.31841295410649e-4,
    -8.39327754729744e-5,
    6.62804282711871e-5,
    -3.21579959536889e-6,
    1.90458225257965e-6,
    1.02407636958971e-7,
];

impl Case {
    /// Section stiffness, SI; the thin form unless `thick`, which leaves the choice to the library.
    fn bar(&self, thick: bool) -> BarStiffness {
        let material = by_poisson(self.youngs_modulus * 1e6, self.poisson_ratio);
        let mut bar = BarStiffness::new(&self.section, &material, self.radius * 1e-3);
        if !thick {
            bar.winkler_shift = None;
        }
        bar
    }

    /// End compliance in mm, N and rad.
    fn compliance(&self, thick: bool) -> Matrix6<f64> {
        let bar = self.bar(thick);
        let si = end_compliance(self.radius * 1e-3, self.angle * DEGREE, &bar);
        // m/N to mm/N; 1/N stays; rad/(N·m) to rad/(N·mm).
        Matrix6::from_fn(|row, column| {
            let rotations = usize::from(row > 2) + usize::from(column > 2);
            si[(row, column)] * [1e3, 1.0, 1e-3][rotations]
        })
    }

    fn name(&self) -> String {
        let Self { radius, angle, .. } = self;
        let section = match self.section {
            Section::Rectangle { tangential, radial } => {
                format!("{:.0}×{:.0}", radial * 1e3, tangential * 1e3)
            }
            Section::Tube {
                outer_diameter,
                inner_diameter,
            } => format!("⌀{:.0}/{:.0}", outer_diameter * 1e3, inner_diameter * 1e3),
            _ => "⌀10".to_string(),
        };
        format!("{section} at {radius} mm, {angle}°")
    }
}

fn unit(row: usize, column: usize) -> &'static str {
    ["mm/N", "1/N", "rad/(N·mm)"][usize::from(row > 2) + usize::from(column > 2)]
}

pub(crate) fn checks() -> Vec<Check> {
    let mut checks = Vec::new();
    for case in &CASES {
        let found = case.compliance(false);
        for ((entry, row, column), reference) in ENTRIES.iter().zip(case.values) {
            // The one entry that is zero is judged against its diagonal.
            let tolerance = if reference == 0.0 {
                Tolerance::Absolute(1e-9 * case.values[11])
            } else {
                Tolerance::Relative(1e-9)
            };
            checks.push(QUADRATURE.check(
                format!("{}-{entry}", case.id),
                format!("{}: {entry}", case.name()),
                unit(*row, *column),
                [reference, found[(*row, *column)]],
                tolerance,
            ));
        }
    }
    checks.extend(thick());
    checks.push(sag());
    checks
}

fn thick() -> Vec<Check> {
    let case = &CASES[6];
    let found = case.compliance(true);
    let mut checks: Vec<Check> = ENTRIES
        .iter()
        .zip(THICK_VALUES)
        .map(|((entry, row, column), reference)| {
            THICK.check(
                format!("C02-10-thick-{entry}"),
                format!("{}, thick form: {entry}", case.name()),
                unit(*row, *column),
                [reference, found[(*row, *column)]],
                Tolerance::Relative(1e-9),
            )
        })
        .collect();
    let shift = neutral_shift(&case.section, case.radius * 1e-3).unwrap_or(f64::NAN);
    checks.push(THICK.check(
        "C02-10-shift",
        format!("{}, thick form: neutral shift", case.name()),
        "mm",
        [0.673930752471366, shift * 1e3],
        Tolerance::Relative(1e-9),
    ));
    checks
}

/// Deflection by own weight across the arc's plane, 8 × 20 mm at 150 mm over 60°.
fn sag() -> Check {
    let material = by_poisson(68.9e9, 0.33);
    let mut bar = BarStiffness::new(&rectangle(8.0, 20.0), &material, 0.15);
    // Weight per length, N/m, under an acceleration of 1 m/s².
    bar.mass_per_length = 4.2364728;
    let sag = ArcElement::new(0.15, 60.0 * DEGREE, 0.0, &bar).and_then(|element| {
        // Start clamped: K₂₂ u₂ = f₂.
        let stiffness: Matrix6<f64> = element.stiffness.fixed_view::<6, 6>(6, 6).into_owned();
        let load = element.mass_loads.fixed_view::<6, 3>(6, 0) * Vector3::z();
        Some((stiffness.try_inverse()? * load)[2])
    });
    SAG.check(
        "C14",
        "sag of a clamped arc: 8×20 at 150 mm, 60°",
        "mm",
        [0.00127686279057, sag.unwrap_or(f64::NAN) * 1e3],
        Tolerance::Relative(1e-9),
    )
}
