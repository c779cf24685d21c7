//! Residuals in numbers: mean, root mean square, 95 %, greatest; and pose
//! accuracy and repeatability of repeats.

use nalgebra::Vector3;

/// Lengths of residuals in numbers, m; of orientations, angles in rad.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ResidualStatistics {
    /// Number of rows.
    pub count: usize,
    /// Mean.
    pub mean: f64,
    /// Root mean square.
    pub rms: f64,
    /// Length that 95 % of the rows do not exceed (linear between ranks).
    pub p95: f64,
    /// Greatest.
    pub max: f64,
}

impl ResidualStatistics {
    /// Of a list of residuals; all zero for an empty one.
    pub fn of<'r>(residuals: impl IntoIterator<Item = &'r Vector3<f64>>) -> Self {
        let mut lengths: Vec<f64> = residuals.into_iter().map(Vector3::norm).collect();
        if lengths.is_empty() {
            return Self::default();
        }
        lengths.sort_by(f64::total_cmp);
        let count = lengths.len();
        let place = 0.95 * (count - 1) as f64;
        let below = place.floor() as usize;
        let above = (below + 1).min(count - 1);
        Self {
            count,
            mean: lengths.iter().sum::<f64>() / count as f64,
            rms: (lengths.iter().map(|l| l * l).sum::<f64>() / count as f64).sqrt(),
            p95: lengths[below] + (place - below as f64) * (lengths[above] - lengths[below]),
            max: lengths[count - 1],
        }
    }
}

/// Pose accuracy and repeatability of one configuration measured several times (ISO
/// 9283:1998, 7.2; formulas from memory), m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeated {
    /// Times it was measured.
    pub count: usize,
    /// Distance of the mean from the commanded place.
    pub accuracy: f64,
    /// Mean distance from the mean, plus three standard deviations of that distance.
    pub repeatability: f64,
}

/// Accuracy and repeatability of attained places against the commanded one; `None` for
/// fewer than two.
///
/// # Theory
/// AP = |mean − commanded|; l_j = |attained_j − mean|; RP = mean(l) + 3 S_l with n − 1.
pub fn repeated(attained: &[Vector3<f64>], commanded: &Vector3<f64>) -> Option<Repeated> {
    let count = attained.len();
    if count < 2 {
        return None;
    }
    let mean = attained.iter().sum::<Vector3<f64>>() / count as f64;
    let distances: Vec<f64> = attained.iter().map(|p| (p - mean).norm()).collect();
    let middle = distances.iter().sum::<f64>() / count as f64;
    let square: f64 = distances.iter().map(|l| (l - middle).powi(2)).sum();
    Some(Repeated {
        count,
        accuracy: (mean - commanded).norm(),
        repeatability: middle + 3.0 * (square / (count - 1) as f64).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A worked set by hand: four places at the corners of a square of 2 mm about
    /// (1, 0, 0) mm, commanded 0: AP 1 mm; every l is √2 mm, so RP = √2 mm. With one corner
    /// moved to the middle: mean (2/3)…, computed by hand below.
    #[test]
    fn accuracy_and_repeatability_by_hand() {
        let corner = |x: f64, y: f64| Vector3::new((1.0 + x) * 1e-3, y * 1e-3, 0.0);
        let square = [
            corner(1., 1.),
            corner(1., -1.),
            corner(-1., 1.),
            corner(-1., -1.),
        ];
        let found = repeated(&square, &Vector3::zeros()).unwrap();
        assert!((found.accuracy - 1e-3).abs() < 1e-15);
        assert!((found.repeatability - 2f64.sqrt() * 1e-3).abs() < 1e-12);
        // Distances 1 and 3 from the mean 0: mean of 1, 1, 1, 3 = 1.5, S² = 3 · (1/3) = 1,
        // RP = 1.5 + 3.
        let line = [-1.0, -1.0, -1.0, 3.0].map(|x| Vector3::new(x, 0.0, 0.0));
        let found = repeated(&line, &Vector3::zeros()).unwrap();
        assert!(found.accuracy < 1e-15 && (found.repeatability - 4.5).abs() < 1e-12);
        assert_eq!(repeated(&line[..1], &Vector3::zeros()), None);
    }

    #[test]
    fn quantiles_lie_between_ranks() {
        let rows: Vec<Vector3<f64>> = (0..=20)
            .map(|i| Vector3::new(f64::from(i), 0.0, 0.0))
            .collect();
        let found = ResidualStatistics::of(&rows);
        assert_eq!((found.mean, found.p95, found.max), (10.0, 19.0, 20.0));
        assert!((found.rms - (2870.0f64 / 21.0).sqrt()).abs() < 1e-12);
        assert_eq!(ResidualStatistics::of(&[]).count, 0);
    }
}
