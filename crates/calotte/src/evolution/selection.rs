//! Who stays in the population.

use super::front::Member;
use super::merit::Merit;
use super::spread::spread;

/// The best of a population: rank by rank of constrained non-dominated sorting, the last rank
/// thinned by nearest neighbours.
pub(super) fn survivors<T>(population: Vec<Member<T>>, most: usize) -> Vec<Member<T>> {
    if population.len() <= most {
        return population;
    }
    let merits: Vec<&Merit> = population.iter().map(|member| &member.merit).collect();
    let mut keep: Vec<usize> = Vec::with_capacity(most);
    for rank in ranks(&merits) {
        let free = most - keep.len();
        if rank.len() <= free {
            keep.extend(rank);
            if keep.len() == most {
                break;
            }
            continue;
        }
        let objectives: Vec<&[f64]> = rank
            .iter()
            .map(|place| merits[*place].objectives.as_slice())
            .collect();
        let kept = spread(&objectives, free);
        keep.extend(kept.into_iter().map(|place| rank[place]));
        break;
    }
    keep.sort_unstable();
    let mut place = 0;
    let mut population = population;
    population.retain(|_| {
        place += 1;
        keep.binary_search(&(place - 1)).is_ok()
    });
    population
}

/// Places by rank: those nothing dominates, those only the first rank dominates, and so on.
fn ranks(merits: &[&Merit]) -> Vec<Vec<usize>> {
    let count = merits.len();
    let mut beaten_by = vec![0_usize; count];
    let mut beats: Vec<Vec<usize>> = vec![Vec::new(); count];
    for one in 0..count {
        for other in one + 1..count {
            if merits[one].dominates(merits[other]) {
                beats[one].push(other);
                beaten_by[other] += 1;
            } else if merits[other].dominates(merits[one]) {
                beats[other].push(one);
                beaten_by[one] += 1;
            }
        }
    }
    let mut ranks = Vec::new();
    let mut rank: Vec<usize> = (0..count).filter(|place| beaten_by[*place] == 0).collect();
    while !rank.is_empty() {
        let mut next = Vec::new();
        for place in &rank {
            for other in &beats[*place] {
                beaten_by[*other] -= 1;
                if beaten_by[*other] == 0 {
                    next.push(*other);
                }
            }
        }
        next.sort_unstable();
        ranks.push(std::mem::replace(&mut rank, next));
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evolution::merit::Violation;

    #[test]
    fn ranks_put_limits_first() {
        let merit = |kind: u8, degree: f64, objectives: [f64; 2]| Merit {
            violation: Violation { kind, degree },
            objectives: objectives.to_vec(),
        };
        let all = [
            merit(0, 0.0, [1.0, 2.0]),
            merit(1, 0.5, [0.0, 0.0]),
            merit(0, 0.0, [2.0, 1.0]),
            merit(0, 0.0, [2.0, 2.0]),
            merit(1, 0.1, [9.0, 9.0]),
        ];
        let merits: Vec<&Merit> = all.iter().collect();
        assert_eq!(ranks(&merits), [vec![0, 2], vec![3], vec![4], vec![1]]);
    }
}
