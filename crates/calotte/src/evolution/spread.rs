//! Few that stand for many: which of a set lie as widely as all of it.

/// Places of at most so many of a set of vectors of objectives that are spread as widely as the
/// whole, ascending: the best in each objective stay, and of the nearest pair the one that has
/// the nearer neighbours goes, until they are so many.
pub fn spread(objectives: &[&[f64]], most: usize) -> Vec<usize> {
    let count = objectives.len();
    if count <= most {
        return (0..count).collect();
    }
    let dimensions = objectives.iter().map(|one| one.len()).min().unwrap_or(0);
    let mut alive = vec![true; count];
    let mut fixed = vec![false; count];
    let mut scaled: Vec<Vec<f64>> = vec![Vec::with_capacity(dimensions); count];
    for k in 0..dimensions {
        let finite = objectives
            .iter()
            .map(|one| one[k])
            .filter(|x| x.is_finite());
        let low = finite.clone().fold(f64::INFINITY, f64::min);
        let high = finite.fold(f64::NEG_INFINITY, f64::max);
        let width = (high - low).max(f64::MIN_POSITIVE);
        for (own, scaled) in objectives.iter().zip(&mut scaled) {
            let place = (own[k] - low) / width;
            scaled.push(if place.is_finite() { place } else { 1.0 });
        }
        let best = (0..count).min_by(|a, b| {
            let (x, y) = (objectives[*a][k], objectives[*b][k]);
            x.total_cmp(&y).then(a.cmp(b))
        });
        if let (Some(best), true) = (best, k < most) {
            fixed[best] = true;
        }
    }
    let squared = |a: usize, b: usize| {
        let pairs = scaled[a].iter().zip(&scaled[b]);
        pairs.map(|(x, y)| (x - y).powi(2)).sum::<f64>()
    };
    // The nearest neighbours of each, near ones first; a neighbour gone is passed over, and
    // where all known ones are gone they are looked for anew.
    const KNOWN: usize = 8;
    let neighbours = |own: usize, alive: &[bool]| {
        let others = (0..count).filter(|other| *other != own && alive[*other]);
        let mut all: Vec<(f64, usize)> = others.map(|other| (squared(own, other), other)).collect();
        let order = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if all.len() > KNOWN {
            all.select_nth_unstable_by(KNOWN - 1, order);
            all.truncate(KNOWN);
        }
        all.sort_by(order);
        all
    };
    let mut near: Vec<Vec<(f64, usize)>> = (0..count).map(|own| neighbours(own, &alive)).collect();
    for _ in most..count {
        let mut worst: Option<(usize, [f64; 2])> = None;
        for own in 0..count {
            if !alive[own] || fixed[own] {
                continue;
            }
            near[own].retain(|(_, other)| alive[*other]);
            if near[own].is_empty() {
                near[own] = neighbours(own, &alive);
            }
            let distance = |place: usize| {
                let known = near[own].get(place);
                known.map_or(f64::INFINITY, |(distance, _)| *distance)
            };
            let key = [distance(0), distance(1)];
            let nearer = worst.is_none_or(|(_, known)| {
                key[0]
                    .total_cmp(&known[0])
                    .then(key[1].total_cmp(&known[1]))
                    .is_lt()
            });
            if nearer {
                worst = Some((own, key));
            }
        }
        match worst {
            Some((own, _)) => alive[own] = false,
            // All that are left are the best in some objective.
            None => break,
        }
    }
    (0..count).filter(|place| alive[*place]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_thinned_keeps_its_ends_and_its_width() {
        let points: Vec<Vec<f64>> = (0..200)
            .map(|i| {
                // Crowded at one end.
                let t = (f64::from(i) / 199.0).powi(3);
                vec![t, 1.0 - t]
            })
            .collect();
        let objectives: Vec<&[f64]> = points.iter().map(Vec::as_slice).collect();
        let kept = spread(&objectives, 11);
        assert_eq!(kept.len(), 11);
        assert!(kept.contains(&0) && kept.contains(&199));
        let gaps = kept
            .windows(2)
            .map(|pair| points[pair[1]][0] - points[pair[0]][0]);
        assert!(gaps.clone().fold(0.0, f64::max) < 0.2, "{kept:?}");
        assert!(gaps.fold(1.0, f64::min) > 0.04, "{kept:?}");
    }
}
