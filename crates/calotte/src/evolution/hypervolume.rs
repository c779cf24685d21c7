//! The volume a front dominates.

use super::front::non_dominated;

/// The volume that vectors of objectives (less is better) dominate up to a reference point; what
/// does not lie before the point in every objective adds nothing. Exact, by slices along the
/// last objective: of n vectors of d objectives in the order of n^(d − 1) log n steps.
///
/// # Example
/// ```
/// # use calotte::evolution::hypervolume;
/// // Two unit squares that share a quarter.
/// let volume = hypervolume(&[&[0.0, 0.5], &[0.5, 0.0]], &[1.0, 1.0]);
/// assert!((volume - 0.75).abs() < 1e-15);
/// ```
pub fn hypervolume(objectives: &[&[f64]], reference: &[f64]) -> f64 {
    let before = |one: &&&[f64]| {
        one.len() == reference.len() && one.iter().zip(reference).all(|(x, end)| x < end)
    };
    let points: Vec<&[f64]> = objectives.iter().filter(before).copied().collect();
    slices(points, reference)
}

fn slices(points: Vec<&[f64]>, reference: &[f64]) -> f64 {
    let Some((end, rest)) = reference.split_last() else {
        return if points.is_empty() { 0.0 } else { 1.0 };
    };
    let last = rest.len();
    if last == 0 {
        let least = points.iter().map(|point| point[0]).fold(*end, f64::min);
        return end - least;
    }
    let mut points = points;
    points.sort_by(|a, b| a[last].total_cmp(&b[last]));
    let mut volume = 0.0;
    let mut below: Vec<&[f64]> = Vec::new();
    for (place, point) in points.iter().enumerate() {
        let own = &point[..last];
        below.retain(|other| !own.iter().zip(*other).all(|(a, b)| a <= b));
        let covered = |other: &&[f64]| other.iter().zip(own).all(|(a, b)| a <= b);
        if !below.iter().any(covered) {
            below.push(own);
        }
        let next = points.get(place + 1).map_or(*end, |next| next[last]);
        if next > point[last] {
            volume += (next - point[last]) * flat(&below, rest);
        }
    }
    volume
}

/// The volume of one slice; in the plane by one sweep.
fn flat(points: &[&[f64]], reference: &[f64]) -> f64 {
    if reference.len() != 2 {
        return slices(points.to_vec(), reference);
    }
    let front = non_dominated(points);
    let mut front: Vec<&[f64]> = front.into_iter().map(|place| points[place]).collect();
    front.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut area = 0.0;
    let mut top = reference[1];
    for point in front {
        area += (reference[0] - point[0]) * (top - point[1]).max(0.0);
        top = top.min(point[1]);
    }
    area
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// By counting random points, which shares nothing with the slices.
    #[test]
    fn volumes_are_those_that_random_points_find() {
        let mut random = ChaCha8Rng::seed_from_u64(5);
        for dimensions in 2..=5 {
            let points: Vec<Vec<f64>> = (0..12)
                .map(|_| (0..dimensions).map(|_| random.random::<f64>()).collect())
                .collect();
            let points: Vec<&[f64]> = points.iter().map(Vec::as_slice).collect();
            let volume = hypervolume(&points, &vec![1.0; dimensions]);
            let count = 200_000;
            let hits = (0..count).filter(|_| {
                let at: Vec<f64> = (0..dimensions).map(|_| random.random::<f64>()).collect();
                let below = |one: &&[f64]| one.iter().zip(&at).all(|(a, b)| a <= b);
                points.iter().any(below)
            });
            let share = hits.count() as f64 / f64::from(count);
            let error = (volume * (1.0 - volume) / f64::from(count)).sqrt();
            assert!(
                (share - volume).abs() < 5.0 * error + 1e-9,
                "{dimensions}: {share} {volume}"
            );
        }
    }

    #[test]
    fn nothing_before_the_reference_point_is_no_volume() {
        assert_eq!(hypervolume(&[&[1.0, 0.0]], &[1.0, 1.0]), 0.0);
        assert_eq!(hypervolume(&[], &[1.0, 1.0]), 0.0);
        assert_eq!(hypervolume(&[&[0.25]], &[1.0]), 0.75);
    }
}
