//! The non-dominated set of all that was judged.

use super::genome::Genome;
use super::merit::{Merit, dominates};
use super::spread::spread;

/// One member with what was found of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Member<T> {
    /// Its genome.
    pub genome: Genome,
    /// Its merit.
    pub merit: Merit,
    /// What else was found.
    pub found: T,
}

/// What meets every limit and nothing known dominates, in the order it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Front<T> {
    members: Vec<Member<T>>,
    most: usize,
}

impl<T> Front<T> {
    /// An empty one that keeps about so many members, the most crowded left out.
    pub fn new(most: usize) -> Self {
        Self {
            members: Vec::new(),
            most: most.max(4),
        }
    }

    /// The members.
    pub fn members(&self) -> &[Member<T>] {
        &self.members
    }

    /// The members, owned.
    pub fn into_members(self) -> Vec<Member<T>> {
        self.members
    }

    /// Whether a member is at least as good in every objective.
    pub fn covers(&self, objectives: &[f64]) -> bool {
        let mut members = self.members.iter();
        members.any(|member| {
            let own = &member.merit.objectives;
            own.as_slice() == objectives || dominates(own, objectives)
        })
    }

    /// Takes a member in, if it meets every limit and nothing covers it; says whether it did.
    pub fn take(&mut self, member: Member<T>) -> bool {
        if !member.merit.violation.is_none() || self.covers(&member.merit.objectives) {
            return false;
        }
        let objectives = &member.merit.objectives;
        self.members
            .retain(|other| !dominates(objectives, &other.merit.objectives));
        self.members.push(member);
        // Thinned in one go: its cost grows with the square of the number.
        if self.members.len() > self.most + self.most / 4 {
            let objectives: Vec<&[f64]> = self.objectives().collect();
            let keep = spread(&objectives, self.most);
            let mut place = 0;
            self.members.retain(|_| {
                place += 1;
                keep.binary_search(&(place - 1)).is_ok()
            });
        }
        true
    }

    fn objectives(&self) -> impl Iterator<Item = &[f64]> {
        let members = self.members.iter();
        members.map(|member| member.merit.objectives.as_slice())
    }
}

/// Places of the non-dominated among vectors of objectives (less is better), ascending; of
/// equal ones all.
pub fn non_dominated(objectives: &[&[f64]]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..objectives.len()).collect();
    // Whatever dominates another comes before it in ascending order.
    order.sort_by(|a, b| {
        let (one, other) = (objectives[*a].iter(), objectives[*b].iter());
        let mut pairs = one.zip(other).map(|(x, y)| x.total_cmp(y));
        pairs
            .find(|order| order.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
            .then(a.cmp(b))
    });
    let mut front: Vec<usize> = Vec::new();
    for place in order {
        let beaten = front
            .iter()
            .any(|member| dominates(objectives[*member], objectives[place]));
        if !beaten {
            front.push(place);
        }
    }
    front.sort_unstable();
    front
}
