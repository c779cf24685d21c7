//! Weights, means and errors of hypotheses against their definitions: normal distributions of
//! all residuals at once, written out without information matrices.

use nalgebra::{DMatrix, DVector};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::*;
use crate::design::sample::two_arc_arm;

/// A linear problem with a pose: derivatives, and what they are of.
struct Linear {
    model: PhysicalModel,
    candidates: Vec<usize>,
    jacobian: DMatrix<f64>,
    noise: f64,
}

/// A number of a standard normal distribution (Box and Muller 1958; from memory).
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let (a, b): (f64, f64) = (random.random(), random.random());
    (-2.0 * (1.0 - a).ln()).sqrt() * (std::f64::consts::TAU * b).cos()
}

impl Linear {
    fn new(random: &mut ChaCha8Rng, size: f64) -> Self {
        let model = PhysicalModel::new(&two_arc_arm([0.9, 0.7])).unwrap();
        let is_sensor = |index: &usize| model.parameters[*index].cause == Cause::Sensor;
        let all = || 1..model.parameters.len();
        let mut candidates: Vec<usize> = all().filter(|i| !is_sensor(i)).take(6).collect();
        candidates.extend(all().filter(is_sensor).take(1));
        let noise = 0.1;
        let rows = 60;
        let jacobian = DMatrix::from_fn(rows, candidates.len() + POSE, |_, column| {
            let scale = if column < candidates.len() {
                size * noise
            } else {
                1.0
            };
            scale * normal(random)
        });
        Self {
            model,
            candidates,
            jacobian,
            noise,
        }
    }

    /// Residuals, predicted less measured, at parameters 0 and pose 0.
    fn residuals(&self, random: &mut ChaCha8Rng, truth: &DVector<f64>) -> DVector<f64> {
        let mut all = DVector::from_fn(self.jacobian.ncols(), |_, _| normal(random));
        all.rows_mut(0, truth.len()).copy_from(truth);
        let noise = DVector::from_fn(self.jacobian.nrows(), |_, _| self.noise * normal(random));
        -(&self.jacobian * all + noise)
    }

    /// Evidence about a place that is not the solution.
    fn evidence(&self, residuals: &DVector<f64>, at: &DVector<f64>) -> Evidence {
        let own = self.jacobian.columns(0, at.len());
        let there = residuals + own * at;
        let normal = Normal {
            matrix: self.jacobian.tr_mul(&self.jacobian),
            gradient: self.jacobian.tr_mul(&there),
            square_sum: there.norm_squared(),
            rows: self.jacobian.nrows() / 3,
        };
        let moved: Vec<f64> = at.iter().copied().collect();
        let free = self.candidates.len();
        Evidence::new(
            &self.model,
            &normal,
            &self.candidates,
            &moved,
            free,
            self.noise,
        )
        .unwrap()
    }

    /// Residuals and derivatives without what the pose explains.
    fn without_pose(&self, residuals: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
        let count = self.candidates.len();
        let pose = self.jacobian.columns(count, POSE).clone_owned();
        let whole = pose.svd(true, false).u.unwrap();
        // The complement of the pose's columns, by the eigenvectors of its projector.
        let size = self.jacobian.nrows();
        let projector = DMatrix::identity(size, size) - &whole * whole.transpose();
        let eigen = projector.symmetric_eigen();
        let kept: Vec<usize> = (0..size).filter(|i| eigen.eigenvalues[*i] > 0.5).collect();
        assert_eq!(kept.len(), size - POSE);
        let basis = eigen.eigenvectors.select_columns(&kept);
        (
            basis.tr_mul(residuals),
            basis.tr_mul(&self.jacobian.columns(0, count)),
        )
    }
}

/// Logarithm of the density of y ~ N(0, noise² + J D⁻¹ Jᵀ), without its constant.
fn density(y: &DVector<f64>, j: &DMatrix<f64>, precision: &[f64], noise: f64) -> f64 {
    let spread = DMatrix::from_diagonal(&DVector::from_iterator(
        precision.len(),
        precision.iter().map(|p| 1.0 / p),
    ));
    let mut covariance = j * spread * j.transpose();
    for i in 0..y.len() {
        covariance[(i, i)] += noise * noise;
    }
    let factor = covariance.cholesky().unwrap();
    let volume: f64 = factor.l().diagonal().iter().map(|d| d.ln()).sum();
    -0.5 * y.dot(&factor.solve(y)) - volume
}

#[test]
fn weights_and_means_are_those_of_the_densities() {
    let mut random = ChaCha8Rng::seed_from_u64(15);
    for round in 0..20 {
        let linear = Linear::new(&mut random, [0.02, 0.3, 5.0][round % 3]);
        let count = linear.candidates.len();
        let mut truth = DVector::from_fn(count, |_, _| 0.5 * normal(&mut random));
        truth[round % 5] = 6.0;
        let residuals = linear.residuals(&mut random, &truth);
        let at = DVector::from_fn(count, |_, _| normal(&mut random));
        let weighing = linear.evidence(&residuals, &at).weighing(spread::WITHIN);
        let weighing = weighing.unwrap();
        let (y, j) = linear.without_pose(&residuals);
        let rare = (spread::FAULTY_SHARE / (1.0 - spread::FAULTY_SHARE)).ln();
        let of = |set: &Set| {
            let mut precision = weighing.within.clone();
            for member in set.members() {
                precision[member] = FAULTY;
            }
            precision
        };
        let nothing = density(&y, &j, &of(&Set::empty()), linear.noise);
        assert!(!weighing.sets.is_empty());
        let best = weighing.hypothesis(&weighing.best).values;
        let mut moments = DMatrix::zeros(count, count);
        for (set, weight) in weighing.weights() {
            let precision = of(set);
            let wanted =
                density(&y, &j, &precision, linear.noise) - nothing + set.count as f64 * rare;
            assert!(
                (set.weight - wanted).abs() < 1e-8,
                "{} {wanted}",
                set.weight
            );
            // Mean and variances by the rows: J⁺ of the regularised problem.
            let square = linear.noise.powi(2);
            let mut matrix = j.tr_mul(&j) / square;
            for (i, own) in precision.iter().enumerate() {
                matrix[(i, i)] += own;
            }
            let inverse = matrix.try_inverse().unwrap();
            let mean = -&inverse * j.tr_mul(&y) / square;
            let found = weighing.hypothesis(set);
            assert!((&found.values - &mean).norm() < 1e-8);
            assert!((&found.variances - inverse.diagonal()).norm() < 1e-8);
            let apart = mean - &best;
            moments += (inverse + &apart * apart.transpose()) * weight;
        }
        assert!((weighing.moments() - moments).norm() < 1e-8);
    }
}

/// A fault of the size that is said to be seen, the others within tolerance, outweighs none in
/// nine of ten campaigns.
#[test]
fn faults_of_the_size_that_is_seen_are_seen() {
    let mut random = ChaCha8Rng::seed_from_u64(16);
    let (mut tried, mut seen) = (0, 0);
    for round in 0..400 {
        let linear = Linear::new(&mut random, 0.2);
        let count = linear.candidates.len();
        let mut truth = DVector::from_fn(count, |_, _| spread::WITHIN * normal(&mut random));
        let place = round % 6;
        let quiet = linear.residuals(&mut random, &truth);
        let zero = DVector::zeros(count);
        let weighing = linear
            .evidence(&quiet, &zero)
            .weighing(spread::WITHIN)
            .unwrap();
        let size = linear.evidence(&quiet, &zero).seen(&weighing)[place];
        if !size.is_finite() {
            continue;
        }
        truth[place] = size;
        let residuals = linear.residuals(&mut random, &truth);
        let weighing = linear.evidence(&residuals, &zero).weighing(spread::WITHIN);
        let weighing = weighing.unwrap();
        let alone = Open::empty().with(place, &weighing).unwrap();
        tried += 1;
        seen += usize::from(alone.set.weight > 0.0);
    }
    let share = seen as f64 / tried as f64;
    println!("{seen} of {tried} faults seen");
    assert!(tried > 300);
    assert!(
        (share - 0.9).abs() < 3.0 * (0.09 / tried as f64).sqrt(),
        "{share}"
    );
}

/// Errors hold: truth drawn as it is believed beforehand lies within the printed errors as a
/// mixture does, rms 1; of parameters and of their sums.
#[test]
fn printed_errors_are_those_of_what_is_believed() {
    let mut random = ChaCha8Rng::seed_from_u64(17);
    let (mut squares, mut count_all, mut beyond) = (0.0, 0.0, 0.0);
    let mut of_sums = 0.0;
    for _ in 0..400 {
        let linear = Linear::new(&mut random, 0.3);
        let count = linear.candidates.len();
        let truth = DVector::from_fn(count, |_, _| {
            let faulty = random.random::<f64>() < spread::FAULTY_SHARE;
            let width = if faulty {
                spread::FAULTY
            } else {
                spread::ALLOWED
            };
            width * normal(&mut random)
        });
        let residuals = linear.residuals(&mut random, &truth);
        let evidence = linear.evidence(&residuals, &DVector::zeros(count));
        let estimated = evidence.estimated().unwrap();
        let weighing = evidence.weighing(spread::ALLOWED).unwrap();
        let values = weighing.hypothesis(&weighing.best).values;
        for i in 0..count {
            let off = (values[i] - truth[i]) / estimated.moments[(i, i)].sqrt();
            squares += off * off;
            beyond += f64::from(u8::from(off.abs() > 3.0));
            count_all += 1.0;
        }
        for _ in 0..count {
            let times = DVector::from_fn(count, |_, _| normal(&mut random));
            let off = times.dot(&(&values - &truth));
            of_sums += off * off / times.dot(&(&estimated.moments * &times));
        }
    }
    let rms = f64::sqrt(of_sums / count_all);
    assert!((rms - 1.0).abs() < 0.07, "{rms}");
    let rms = f64::sqrt(squares / count_all);
    println!("rms {rms}, beyond three {}", beyond / count_all);
    assert!((rms - 1.0).abs() < 0.07, "{rms}");
    assert!(beyond / count_all < 0.01);
}

/// However many sets share the probability, one is left to be judged by.
#[test]
fn some_explanation_is_left_of_a_thousand() {
    let of = |index: usize, probability: f64| {
        let mut one = Explanation::new(vec![Cause::Bar(format!("bar-{index}"))]);
        one.probability = probability;
        one
    };
    let many: Vec<Explanation> = (0..1000).map(|i| of(i, 1e-3 + 1e-9 * i as f64)).collect();
    let left = worth_a_look(many);
    assert_eq!(left.len(), 1);
    assert_eq!(left[0].parts, [Cause::Bar("bar-999".to_string())]);
    let few: Vec<Explanation> = (0..30).map(|i| of(i, 1.0 / 30.0)).collect();
    assert_eq!(worth_a_look(few).len(), EXPLANATIONS_MAX);
    assert!(worth_a_look(Vec::new()).is_empty());
}
