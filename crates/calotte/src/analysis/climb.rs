//! The worst azimuths of a ring where no equation gives them, since the support differs around
//! the base axis or a load has any direction: from samples by parabolas.

use std::f64::consts::TAU;

/// Parabolas laid one after the other through each peak.
const ROUNDS: usize = 4;
/// Azimuths nearer than this to one that is known say nothing new, rad.
const NEAR: f64 = 1e-5;

/// Azimuths between samples where something is worse than in them, rad; `arcs` hold the samples,
/// azimuths with how bad they are by every quantity (greater is worse), and `badness` gives the
/// same of another azimuth.
pub(super) fn climb<E>(
    samples: &[(f64, Vec<f64>)],
    arcs: &[[f64; 2]],
    mut badness: impl FnMut(f64) -> Result<Vec<f64>, E>,
) -> Result<(), E> {
    for [from, to] in arcs {
        let whole = to - from >= TAU - 1e-12;
        let ahead = |azimuth: f64| (azimuth - from).rem_euclid(TAU);
        let mut known: Vec<(f64, Vec<f64>)> = samples
            .iter()
            .filter(|(azimuth, _)| whole || ahead(*azimuth) <= to - from + NEAR)
            .map(|(azimuth, values)| (ahead(*azimuth), values.clone()))
            .collect();
        for _ in 0..ROUNDS {
            known.sort_by(|a, b| a.0.total_cmp(&b.0));
            let measures = known.first().map_or(0, |one| one.1.len());
            let mut tops: Vec<f64> = (0..measures)
                .filter_map(|measure| top(&known, measure, whole))
                .collect();
            tops.sort_by(f64::total_cmp);
            tops.dedup_by(|a, b| (*a - *b).abs() < NEAR);
            for angle in tops {
                let new = |one: &(f64, Vec<f64>)| (one.0 - angle).abs() >= NEAR;
                if known.iter().all(new) {
                    known.push((angle, badness((from + angle).rem_euclid(TAU))?));
                }
            }
        }
    }
    Ok(())
}

/// The top of the parabola through the worst of the known angles and its neighbours.
fn top(known: &[(f64, Vec<f64>)], measure: usize, whole: bool) -> Option<f64> {
    let count = known.len();
    let value = |index: usize| known[index].1[measure];
    let worst = (0..count).max_by(|a, b| value(*a).total_cmp(&value(*b)))?;
    if count < 3 || !whole && (worst == 0 || worst + 1 == count) {
        return None;
    }
    let (before, after) = ((worst + count - 1) % count, (worst + 1) % count);
    let from = (known[worst].0 - known[before].0).rem_euclid(TAU);
    let to = (known[after].0 - known[worst].0).rem_euclid(TAU);
    let (left, right) = (
        (value(worst) - value(before)) / from,
        (value(after) - value(worst)) / to,
    );
    // Slopes in the middles of both pieces; the top is where their line crosses zero.
    let share = left / (left - right);
    let angle = known[worst].0 - 0.5 * from + share * 0.5 * (from + to);
    let angle = angle.is_finite().then_some(angle)?;
    Some(if whole { angle.rem_euclid(TAU) } else { angle })
}
