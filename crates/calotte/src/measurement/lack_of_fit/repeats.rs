//! Pure error: how far repeats of one configuration lie from each other, which no model of
//! configurations can explain, against what the fit leaves beyond it.

use std::collections::BTreeMap;

use nalgebra::Vector3;

use super::super::problem::Problem;
use super::score::Residuals;
use super::{Tested, Untestable, tail};

/// Readings that differ by less are the same, rad: 0.01°.
pub(super) const SAME: f64 = 1e-2 / 180.0 * std::f64::consts::PI;

/// Rows that repeat each other, as positions in a list of samples' positions: those of one named
/// group, and of the others those with the same readings approached alike. Single rows are left
/// out.
pub(super) fn configurations(problem: &Problem, rows: &[usize]) -> Vec<Vec<usize>> {
    let kinds: [Vec<usize>; 2] = [0, 1].map(|reading| {
        let values: Vec<f64> = rows
            .iter()
            .map(|row| problem.samples[*row].row.readings[reading])
            .collect();
        bins(&values)
    });
    let mut named: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    let mut alike: BTreeMap<([usize; 2], [i8; 2]), Vec<usize>> = BTreeMap::new();
    for (slot, row) in rows.iter().enumerate() {
        let sample = &problem.samples[*row];
        if sample.row.group.is_empty() {
            let approach = sample.approach.map(|side| side as i8);
            let key = ([kinds[0][slot], kinds[1][slot]], approach);
            alike.entry(key).or_default().push(slot);
        } else {
            let name = sample.row.group.as_str();
            named.entry(name).or_default().push(slot);
        }
    }
    let all = named.into_values().chain(alike.into_values());
    all.filter(|slots| slots.len() > 1).collect()
}

/// Number of the bin of each value; a bin is no wider than what counts as the same.
pub(super) fn bins(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut found = vec![0; values.len()];
    let (mut bin, mut from) = (0, f64::NEG_INFINITY);
    for slot in order {
        if values[slot] - from > SAME {
            bin += 1;
            from = values[slot];
        }
        found[slot] = bin;
    }
    found
}

/// Fisher's test of what the fit leaves beyond pure error. Residuals are compared, not places, so
/// that readings that differ a little, or an approach from the other side, do not count as
/// scatter.
pub(super) fn tested(problem: &Problem, residuals: &Residuals) -> Result<Tested, Untestable> {
    let miss =
        |slot: &usize| -> Vector3<f64> { residuals.misses.fixed_rows::<3>(3 * slot).into_owned() };
    let (mut pure, mut pure_freedom) = (0.0, 0.0);
    for slots in configurations(problem, &residuals.rows) {
        let mean = slots.iter().map(miss).sum::<Vector3<f64>>() / slots.len() as f64;
        pure += slots
            .iter()
            .map(|slot| (miss(slot) - mean).norm_squared())
            .sum::<f64>();
        pure_freedom += 3.0 * (slots.len() - 1) as f64;
    }
    if pure_freedom == 0.0 {
        return Err(Untestable::NoRepeats);
    }
    let all = residuals.misses.norm_squared();
    // The residuals' own degrees of freedom, whatever the noise is known by.
    let freedom = residuals.own_freedom() - pure_freedom;
    if freedom < 1.0 || pure <= 0.0 {
        return Err(Untestable::TooFewRows);
    }
    let scatter = pure / pure_freedom;
    let beyond = (all - pure) / freedom;
    let degrees = [freedom, pure_freedom];
    Ok(Tested {
        statistic: beyond / scatter,
        degrees,
        p_value: tail::of_ratio(beyond / scatter, degrees),
        level: 0.0,
        found: false,
        effect: (3.0 * (beyond - scatter).max(0.0)).sqrt(),
    })
}
