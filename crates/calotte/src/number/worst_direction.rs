//! The direction of a vector of given size that makes the norm of an affine map greatest.
//!
//! Maximise |A f + b| over |f| = F: without b it is F times the greatest singular value of A;
//! with b, the maximum of a quadratic over a sphere (a trust-region problem). Stationary
//! points obey (λ − AᵀA) f = Aᵀb, and the greatest value has λ at or above the greatest
//! eigenvalue q of AᵀA; with μ = λ − q the length of f is one falling function of μ (secular
//! equation). Where Aᵀb has no part along the eigenvectors of q the length may stay below F
//! at μ = 0, and what is missing goes along them, either way (the hard case).
//! J. J. Moré, D. C. Sorensen, Computing a trust region step, SIAM J. Sci. Stat. Comput. 4
//! (1983) 553–572. On the half-sphere the greatest value lies at the greatest of the sphere,
//! at its one other local maximum (0 > μ > −the gap of the eigenvalues: J. M. Martínez,
//! Local minimizers of quadratic functions on Euclidean balls and spheres, SIAM J. Optim. 4
//! (1994) 159–176) or on the edge.

use nalgebra::{Matrix3, SMatrix, SVector, SymmetricEigen, Vector3};

/// Which directions a vector may have, local frame (polar, azimuth, radial outward).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Directions {
    /// All of them.
    All,
    /// Those across the radial direction.
    Tangential,
    /// Those across the radial direction or towards the centre.
    Inward,
}

impl Directions {
    /// Whether a direction belongs to them, but for rounding.
    pub fn contain(self, direction: &Vector3<f64>) -> bool {
        let rounding = 1e-12 * direction.norm();
        match self {
            Directions::All => true,
            Directions::Tangential => direction.z.abs() <= rounding,
            Directions::Inward => direction.z <= rounding,
        }
    }
}

/// A vector of given size and any of some directions, sought where it does most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sought {
    /// Its size.
    pub size: f64,
    /// The directions it may have, local frame.
    pub directions: Directions,
}

/// The greatest value and a vector that has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Greatest {
    /// The value.
    pub value: f64,
    /// The vector, of the size asked for.
    pub vector: Vector3<f64>,
}

/// Share of the greatest eigenvalue below which two count as equal.
const EQUAL: f64 = 1e-14;
/// Most steps of a search for a root; each halves its bracket at least.
const STEPS: usize = 200;

/// Greatest norm of `map` · f + `constant` over the vectors f of a size and some directions.
pub fn greatest_norm<const N: usize>(
    map: &SMatrix<f64, N, 3>,
    constant: &SVector<f64, N>,
    sought: Sought,
) -> Greatest {
    let size = sought.size;
    let value = |direction: &Vector3<f64>| (map * (direction * size) + constant).norm();
    let candidates = match sought.directions {
        Directions::All => Stationary::of(map, constant, size).greatest(),
        Directions::Tangential => vec![on_edge(map, constant, size)],
        Directions::Inward => {
            let stationary = Stationary::of(map, constant, size);
            let mut all = stationary.greatest();
            all.extend(stationary.others());
            all.retain(|direction| direction.z <= 0.0);
            all.push(on_edge(map, constant, size));
            all
        }
    };
    let worst = candidates
        .into_iter()
        .max_by(|a, b| value(a).total_cmp(&value(b)))
        .unwrap_or_else(Vector3::x);
    Greatest {
        value: value(&worst),
        vector: worst * size,
    }
}

/// Greatest size of `row` · f + `constant` over the vectors f of a size and some directions, in
/// closed form: a product is greatest along the row, or along its part across the radial
/// direction where the row's own is not allowed.
pub fn greatest_sum(row: &Vector3<f64>, constant: f64, sought: Sought) -> f64 {
    let (whole, across) = (row.norm(), row.xy().norm());
    let towards = |outward: bool| match sought.directions {
        Directions::All => whole,
        Directions::Tangential => across,
        Directions::Inward => {
            if outward {
                across
            } else {
                whole
            }
        }
    };
    let above = constant + sought.size * towards(row.z > 0.0);
    let below = sought.size * towards(row.z < 0.0) - constant;
    above.max(below)
}

/// Greatest value of a convex function over the vectors of a size and some directions, by
/// ascent from 26 directions all around: at every step to the vector that its slope points to,
/// which never lowers a convex function.
///
/// The value is attained; a convex function can have further local maxima, so it is the
/// greatest as far as 26 starts find it (tested against dense sampling).
///
/// `above`: a value that must be passed to be worth looking for; no function of the kind is
/// greater within the sphere than at the corners of the cube about it, so that nothing is
/// sought where these stay below, and `above` is returned.
pub fn greatest_convex(value: impl Fn(&Vector3<f64>) -> f64, sought: Sought, above: f64) -> f64 {
    let size = sought.size;
    let cube = || {
        let steps = [-1.0, 0.0, 1.0];
        let all = steps.into_iter().flat_map(move |x| {
            let plane = steps.into_iter();
            plane.flat_map(move |y| steps.into_iter().map(move |z| Vector3::new(x, y, z)))
        });
        all.filter(|direction| direction.norm_squared() > 0.0)
    };
    let corners = cube().filter(|direction| direction.iter().all(|part| *part != 0.0));
    if corners
        .map(|corner| value(&(corner * size)))
        .fold(0.0, f64::max)
        <= above
    {
        return above;
    }
    let towards = |slope: Vector3<f64>| {
        let flat = match sought.directions {
            Directions::All => false,
            Directions::Tangential => true,
            Directions::Inward => slope.z > 0.0,
        };
        let kept = Vector3::new(slope.x, slope.y, if flat { 0.0 } else { slope.z });
        let length = kept.norm();
        (length > 0.0).then(|| kept * (size / length))
    };
    let step = 1e-6 * size;
    let mut best = above;
    for start in cube().filter_map(towards) {
        let (mut here, mut reached) = (start, value(&start));
        for _ in 0..STEPS {
            let slope = Vector3::from_fn(|k, _| {
                let mut change = Vector3::zeros();
                change[k] = step;
                value(&(here + change)) - value(&(here - change))
            });
            let Some(next) = towards(slope) else { break };
            let there = value(&next);
            if there <= reached * (1.0 + 1e-13) {
                break;
            }
            (here, reached) = (next, there);
        }
        best = best.max(reached);
    }
    best
}

/// The greatest among the directions across the radial one: a map without its radial column
/// is greatest there.
fn on_edge<const N: usize>(
    map: &SMatrix<f64, N, 3>,
    constant: &SVector<f64, N>,
    size: f64,
) -> Vector3<f64> {
    let mut flat = *map;
    flat.column_mut(2).fill(0.0);
    let all = Stationary::of(&flat, constant, size).greatest();
    let best = all.first().copied().unwrap_or_else(Vector3::x);
    let across = Vector3::new(best.x, best.y, 0.0);
    let length = across.norm();
    if length > 0.0 {
        across / length
    } else {
        Vector3::x()
    }
}

/// The quadratic in its eigenvectors, sorted from the greatest eigenvalue.
struct Stationary {
    axes: Matrix3<f64>,
    /// Greatest eigenvalue less each.
    gaps: [f64; 3],
    /// Aᵀb along each.
    pull: [f64; 3],
    /// How many eigenvalues are the greatest.
    equal: usize,
}

impl Stationary {
    fn of<const N: usize>(map: &SMatrix<f64, N, 3>, constant: &SVector<f64, N>, size: f64) -> Self {
        let scaled = map * size;
        let square: Matrix3<f64> = scaled.transpose() * scaled;
        let eigen = SymmetricEigen::new(square);
        let mut order = [0, 1, 2];
        order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
        let axes = Matrix3::from_columns(&order.map(|k| eigen.eigenvectors.column(k).into_owned()));
        let top = eigen.eigenvalues[order[0]];
        let mut gaps = order.map(|k| top - eigen.eigenvalues[k]);
        let mut equal = 0;
        for gap in &mut gaps {
            if *gap <= EQUAL * top {
                *gap = 0.0;
                equal += 1;
            }
        }
        let pull = axes.transpose() * (scaled.transpose() * constant);
        Self {
            axes,
            gaps,
            pull: pull.into(),
            equal,
        }
    }

    /// The direction of a multiplier, not yet of unit length.
    fn at(&self, multiplier: f64) -> Vector3<f64> {
        Vector3::from_fn(|k, _| {
            let below = multiplier + self.gaps[k];
            if self.pull[k] == 0.0 {
                0.0
            } else {
                self.pull[k] / below
            }
        })
    }

    /// Square of its length, and the slope of that.
    fn length(&self, multiplier: f64) -> (f64, f64) {
        let mut sum = (0.0, 0.0);
        for (gap, pull) in self.gaps.iter().zip(self.pull) {
            if pull != 0.0 {
                let below = multiplier + gap;
                let share = (pull / below).powi(2);
                sum.0 += share;
                sum.1 -= 2.0 * share / below;
            }
        }
        sum
    }

    /// The greatest of the whole sphere; in the hard case both, else with its mirror image in
    /// the first eigenvector, which is as great where the hard case is near.
    fn greatest(&self) -> Vec<Vector3<f64>> {
        let top = self.pull[..self.equal].iter().map(|c| c * c).sum::<f64>();
        let top = top.sqrt();
        let whole = Vector3::from(self.pull).norm();
        let mut rest = self.at(0.0);
        for k in 0..self.equal {
            rest[k] = 0.0;
        }
        let inside = rest.norm_squared() <= 1.0;
        let found = if top == 0.0 && inside {
            rest[0] = (1.0 - rest.norm_squared()).max(0.0).sqrt();
            rest
        } else {
            self.at(self.falling_root(top, whole))
        };
        let mut mirrored = found;
        mirrored[0] = -mirrored[0];
        self.turned([found, mirrored])
    }

    /// The multiplier above the eigenvalues at which the length is 1.
    fn falling_root(&self, low: f64, high: f64) -> f64 {
        let (mut low, mut high) = (low, high.max(low));
        let mut at = high;
        for _ in 0..STEPS {
            let (square, slope) = self.length(at);
            if square >= 1.0 {
                low = low.max(at);
            } else {
                high = high.min(at);
            }
            if high - low <= f64::EPSILON * high {
                break;
            }
            // Newton on 1/length, which is nearly straight.
            let step = 2.0 * square * (1.0 - square.sqrt()) / slope;
            let next = at + step;
            at = if next > low && next < high {
                if next == at {
                    break;
                }
                next
            } else if low > 0.0 {
                (low * high).sqrt()
            } else {
                0.5 * (low + high)
            };
        }
        at
    }

    /// Stationary directions between the greatest eigenvalue and the next, where there are
    /// any; one of them is the only other local maximum.
    fn others(&self) -> Vec<Vector3<f64>> {
        if self.equal != 1 || self.pull[0] == 0.0 {
            return Vec::new();
        }
        let bisect = |mut low: f64, mut high: f64, above: &dyn Fn(f64) -> bool| {
            for _ in 0..STEPS {
                let middle = 0.5 * (low + high);
                if middle <= low || middle >= high {
                    break;
                }
                if above(middle) {
                    high = middle;
                } else {
                    low = middle;
                }
            }
            0.5 * (low + high)
        };
        let least = bisect(-self.gaps[1], 0.0, &|at| self.length(at).1 > 0.0);
        if self.length(least).0 > 1.0 {
            return Vec::new();
        }
        let right = bisect(least, 0.0, &|at| self.length(at).0 > 1.0);
        let left = bisect(-self.gaps[1], least, &|at| self.length(at).0 <= 1.0);
        self.turned([self.at(left), self.at(right)])
    }

    /// Of unit length and turned back from the eigenvectors.
    fn turned(&self, found: [Vector3<f64>; 2]) -> Vec<Vector3<f64>> {
        let turn = |direction: Vector3<f64>| {
            let turned = self.axes * direction;
            let length = turned.norm();
            (length > 0.0 && length.is_finite()).then(|| turned / length)
        };
        found.into_iter().filter_map(turn).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Matrix2x3, Vector1, Vector2};
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// Directions all over the allowed set, dense enough for 1e-4 of a maximum, the best of
    /// them then improved by ever smaller steps.
    fn by_sampling<const N: usize>(
        map: &SMatrix<f64, N, 3>,
        constant: &SVector<f64, N>,
        size: f64,
        allowed: Directions,
    ) -> f64 {
        let value = |direction: &Vector3<f64>| (map * (direction * size) + constant).norm();
        let count = 4000;
        let golden = std::f64::consts::PI * (3.0 - 5f64.sqrt());
        let mut starts: Vec<Vector3<f64>> = (0..count)
            .map(|k| {
                let z = 1.0 - 2.0 * (f64::from(k) + 0.5) / f64::from(count);
                let (sine, cosine) = (golden * f64::from(k)).sin_cos();
                let across = (1.0 - z * z).sqrt();
                Vector3::new(across * cosine, across * sine, z)
            })
            .collect();
        let kept = |direction: Vector3<f64>| match allowed {
            Directions::All => direction,
            Directions::Tangential => Vector3::new(direction.x, direction.y, 0.0),
            Directions::Inward => Vector3::new(direction.x, direction.y, direction.z.min(0.0)),
        };
        for start in &mut starts {
            *start = kept(*start).normalize();
        }
        starts.sort_by(|a, b| value(b).total_cmp(&value(a)));
        let mut best = 0.0f64;
        for start in starts.into_iter().take(20) {
            let (mut here, mut step) = (start, 0.05);
            while step > 1e-9 {
                let tries = [Vector3::x(), Vector3::y(), Vector3::z()]
                    .into_iter()
                    .flat_map(|axis| [axis * step, -axis * step])
                    .map(|change| kept(here + change).normalize());
                let next = tries.max_by(|a, b| value(a).total_cmp(&value(b))).unwrap();
                if value(&next) > value(&here) {
                    here = next;
                } else {
                    step *= 0.5;
                }
            }
            best = best.max(value(&here));
        }
        best
    }

    fn agree<const N: usize>(map: &SMatrix<f64, N, 3>, constant: &SVector<f64, N>, size: f64) {
        for allowed in [Directions::All, Directions::Tangential, Directions::Inward] {
            let directions = allowed;
            let found = greatest_norm(map, constant, Sought { size, directions });
            let sampled = by_sampling(map, constant, size, allowed);
            let off = found.value - sampled;
            let scale = 1e-9 * (found.value + 1e-300);
            assert!(
                off.abs() <= scale,
                "{allowed:?} {map} {constant} {found:?} {sampled}"
            );
            assert!((found.vector.norm() / size - 1.0).abs() < 1e-12);
            assert!(allowed.contain(&found.vector), "{allowed:?} {found:?}");
            let there = (map * found.vector + constant).norm();
            assert!((there - found.value).abs() <= scale);
        }
    }

    fn sought(size: f64, directions: Directions) -> Sought {
        Sought { size, directions }
    }

    #[test]
    fn random_maps_agree_with_sampling() {
        let mut random = ChaCha8Rng::seed_from_u64(14);
        for round in 0..60 {
            let mut number = || 2.0 * random.random::<f64>() - 1.0;
            let shift = 10f64.powi(round % 5 - 3);
            let map = Matrix3::from_fn(|_, _| number());
            let constant = Vector3::from_fn(|_, _| number() * shift);
            agree(&map, &constant, 3.0);
            let map = Matrix2x3::from_fn(|_, _| number());
            let constant = Vector2::from_fn(|_, _| number() * shift);
            agree(&map, &constant, 0.5);
            let map = SMatrix::<f64, 1, 3>::from_fn(|_, _| number());
            let constant = number() * shift;
            agree(&map, &Vector1::new(constant), 1.0);
            for allowed in [Directions::All, Directions::Tangential, Directions::Inward] {
                let sought = sought(1.7, allowed);
                let found = greatest_norm(&map, &Vector1::new(constant), sought).value;
                let closed = greatest_sum(&map.transpose(), constant, sought);
                assert!((closed - found).abs() <= 1e-12 * found, "{closed} {found}");
            }
        }
    }

    /// The constant across the greatest direction: the hard case, just off it, and beyond.
    #[test]
    fn the_hard_case_agrees_with_sampling() {
        let map = Matrix3::from_diagonal(&Vector3::new(1.0, 2.0, 0.5));
        for off in [0.0, 1e-300, 1e-18, 1e-9, 1e-3, -1e-9] {
            for across in [0.1, 1.0, 2.9, 3.1, 10.0] {
                agree(&map, &Vector3::new(across, off, 0.2), 1.0);
                agree(&map, &Vector3::new(0.0, off, across), 2.0);
            }
        }
        // Here |f| stays below 1 at μ = 0: f_x = 1·0.6/(4 − 1), and the rest along y.
        let found = greatest_norm(
            &map,
            &Vector3::new(0.6, 0.0, 0.0),
            sought(1.0, Directions::All),
        );
        assert!((found.vector.x - 0.2).abs() < 1e-12);
        assert!((found.vector.y.abs() - 0.96f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn equal_and_vanishing_maps_have_answers() {
        for constant in [Vector3::zeros(), Vector3::new(0.3, -0.2, 0.1)] {
            agree(&Matrix3::identity(), &constant, 2.0);
            agree(
                &Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, 0.0)),
                &constant,
                2.0,
            );
            agree(
                &Matrix3::from_diagonal(&Vector3::new(0.0, 0.0, 1.0)),
                &constant,
                2.0,
            );
            let nothing = greatest_norm(
                &Matrix3::zeros(),
                &constant,
                sought(1.0, Directions::Inward),
            );
            assert_eq!(nothing.value, constant.norm());
        }
    }

    /// Without a constant: the greatest singular value.
    #[test]
    fn without_a_constant_it_is_the_greatest_singular_value() {
        let map = Matrix3::new(1.0, 2.0, -0.5, 0.3, 0.7, 1.1, -1.4, 0.2, 0.9);
        let singular = map.singular_values().max();
        for allowed in [Directions::All, Directions::Inward] {
            let found = greatest_norm(&map, &Vector3::zeros(), sought(5.0, allowed));
            assert!((found.value / (5.0 * singular) - 1.0).abs() < 1e-14);
        }
    }
}
