//! The evolving search against problems whose fronts are known in closed form.
//!
//! ZDT1 to ZDT3: Zitzler, Deb, Thiele, Evol. Comput. 8 (2000) 173; DTLZ2: Deb, Thiele, Laumanns,
//! Zitzler, CEC 2002, 825; BNH: Binh and Korn, MENDEL 1997, 176 (all three from memory). The
//! volumes follow from the closed forms of the fronts (derived); that of ZDT3 by numerical
//! integration over the five segments of its front.

use calotte::evolution::{
    Answer, Front, Gene, Genome, Merit, Problem, Settings, Violation, hypervolume, run,
};
use std::f64::consts::PI;

type Formula = fn(&[f64]) -> (Vec<f64>, Vec<f64>);

/// A problem by its formula: objectives and what must not be above 0.
struct Known {
    genes: Vec<Gene>,
    ends: Vec<[f64; 2]>,
    formula: Formula,
}

const STEPS: u32 = 1 << 20;

impl Known {
    fn new(ends: Vec<[f64; 2]>, formula: Formula) -> Self {
        let gene = Gene::Number {
            steps: STEPS,
            group: 0,
        };
        Self {
            genes: vec![gene; ends.len()],
            ends,
            formula,
        }
    }
}

impl Problem for Known {
    type Found = ();

    fn genes(&self) -> &[Gene] {
        &self.genes
    }

    fn judge(&self, genome: &Genome, _: &Front<()>) -> Answer<()> {
        let places = genome.iter().zip(&self.ends);
        let x: Vec<f64> = places
            .map(|(place, [from, to])| from + (to - from) * f64::from(*place) / f64::from(STEPS))
            .collect();
        let (objectives, above) = (self.formula)(&x);
        let degree: f64 = above.iter().map(|a| a.max(0.0)).sum();
        let violation = Violation {
            kind: u8::from(degree > 0.0),
            degree,
        };
        Answer::Judged(
            Merit {
                violation,
                objectives,
            },
            (),
        )
    }
}

fn zdt(x: &[f64], shape: impl Fn(f64, f64) -> f64) -> (Vec<f64>, Vec<f64>) {
    let rest = &x[1..];
    let g = 1.0 + 9.0 * rest.iter().sum::<f64>() / rest.len() as f64;
    (vec![x[0], g * shape(x[0], g)], Vec::new())
}

fn zdt1(x: &[f64]) -> (Vec<f64>, Vec<f64>) {
    zdt(x, |f, g| 1.0 - (f / g).sqrt())
}

fn zdt2(x: &[f64]) -> (Vec<f64>, Vec<f64>) {
    zdt(x, |f, g| 1.0 - (f / g).powi(2))
}

fn zdt3(x: &[f64]) -> (Vec<f64>, Vec<f64>) {
    zdt(x, |f, g| {
        1.0 - (f / g).sqrt() - f / g * (10.0 * PI * f).sin()
    })
}

fn dtlz2(x: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let g: f64 = x[2..].iter().map(|x| (x - 0.5).powi(2)).sum();
    let (a, b) = (0.5 * PI * x[0], 0.5 * PI * x[1]);
    let r = 1.0 + g;
    let f = vec![r * a.cos() * b.cos(), r * a.cos() * b.sin(), r * a.sin()];
    (f, Vec::new())
}

fn bnh(x: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let (x, y) = (x[0], x[1]);
    let f = vec![
        4.0 * x * x + 4.0 * y * y,
        (x - 5.0).powi(2) + (y - 5.0).powi(2),
    ];
    let above = vec![
        (x - 5.0).powi(2) + y * y - 25.0,
        7.7 - (x - 8.0).powi(2) - (y + 3.0).powi(2),
    ];
    (f, above)
}

/// Volumes over five seeds.
fn volumes(problem: &Known, reference: &[f64], evaluations: usize, front: usize) -> Vec<f64> {
    (1..=5)
        .map(|seed| {
            let settings = Settings {
                population: 60,
                children: 30,
                evaluations,
                idle: usize::MAX,
                front,
                seed,
            };
            let found = run(problem, &[], &settings, &mut |_, _| ());
            assert_eq!(found.judged, evaluations);
            let members: Vec<&[f64]> = found
                .front
                .iter()
                .map(|member| member.merit.objectives.as_slice())
                .collect();
            hypervolume(&members, reference)
        })
        .collect()
}

#[test]
fn fronts_known_in_closed_form_are_found() {
    let unit = |count: usize| vec![[0.0, 1.0]; count];
    let cases: [(&str, Known, Vec<f64>, f64, f64); 5] = [
        (
            "ZDT1",
            Known::new(unit(30), zdt1),
            vec![1.1, 1.1],
            0.876_666_667,
            0.975,
        ),
        (
            "ZDT2",
            Known::new(unit(30), zdt2),
            vec![1.1, 1.1],
            0.543_333_333,
            0.975,
        ),
        (
            "ZDT3",
            Known::new(unit(30), zdt3),
            vec![1.1, 1.1],
            1.331_762_908_657,
            0.975,
        ),
        (
            "DTLZ2",
            Known::new(unit(12), dtlz2),
            vec![1.1; 3],
            1.331 - PI / 6.0,
            0.925,
        ),
        (
            "BNH",
            Known::new(vec![[0.0, 5.0], [0.0, 3.0]], bnh),
            vec![140.0, 50.0],
            5285.0 + 1.0 / 3.0,
            0.997,
        ),
    ];
    let mut short = Vec::new();
    for (name, problem, reference, exact, share) in cases {
        let volumes = volumes(&problem, &reference, 25_000, 400);
        let worst = volumes.iter().copied().fold(f64::INFINITY, f64::min);
        let best = volumes.iter().copied().fold(0.0, f64::max);
        println!(
            "{name}: {:.5} to {:.5} of the exact volume",
            worst / exact,
            best / exact
        );
        if worst < share * exact {
            short.push(format!("{name}: {volumes:?} of {exact}"));
        }
        // No front dominates more than the exact one.
        assert!(
            best <= exact * (1.0 + 1e-9),
            "{name}: {volumes:?} of {exact}"
        );
    }
}

/// The same genomes in the same order, whatever judges them side by side.
#[test]
fn threads_change_nothing() {
    let problem = Known::new(vec![[0.0, 5.0], [0.0, 3.0]], bnh);
    let settings = Settings {
        population: 40,
        children: 20,
        evaluations: 2000,
        idle: usize::MAX,
        front: 100,
        seed: 3,
    };
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| run(&problem, &[], &settings, &mut |_, _| ()))
    };
    let one = with(1);
    assert_eq!(one, with(2));
    assert_eq!(one, with(5));
}

/// A lattice of few genomes is gone through once and ends by itself.
#[test]
fn a_small_lattice_ends() {
    struct Small([Gene; 2]);
    impl Problem for Small {
        type Found = ();
        fn genes(&self) -> &[Gene] {
            &self.0
        }
        fn judge(&self, genome: &Genome, _: &Front<()>) -> Answer<()> {
            let objectives = vec![f64::from(genome[0]), -f64::from(genome[1])];
            let violation = Violation::NONE;
            Answer::Judged(
                Merit {
                    violation,
                    objectives,
                },
                (),
            )
        }
    }
    let problem = Small([Gene::Choice { count: 3 }, Gene::Ordered { count: 4 }]);
    let settings = Settings {
        population: 20,
        children: 10,
        evaluations: 10_000,
        idle: usize::MAX,
        front: 50,
        seed: 1,
    };
    let found = run(&problem, &[], &settings, &mut |_, _| ());
    assert_eq!(found.judged, 12);
    assert_eq!(found.front.len(), 1);
    assert_eq!(found.front[0].genome, [0, 3]);
}
