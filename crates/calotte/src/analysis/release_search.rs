//! The stiffest set of releases, by branch and bound.
//!
//! Sets grow one candidate at a time. Releasing more never stiffens: compliance
//! grows in every direction, so a set's least stiffness bounds all that contain
//! it, and a branch no stiffer than the best set so far is cut. Good first sets
//! come from one pattern in every stage and from building stage by stage; then
//! the releases of two neighbouring stages, and any two releases, are exchanged
//! for stiffer ones. Last all combinations are gone through, as far as the
//! solves allow.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::linkage::release_sets::{Candidate, ReleaseKind, Selection};

use super::release_stiffness::{Known, Prepared};

/// Stiffnesses within this share count as equal; fewer releases decide.
const EQUAL: f64 = 1e-3;

/// What the search is for.
pub(super) enum Goal {
    /// Exact sets of at most so many releases.
    Exact {
        /// Most releases; `None` is any number.
        count: Option<usize>,
    },
    /// One release from each group of joints; a joint belongs to the first group
    /// that names it.
    OneEach(Vec<Vec<usize>>),
}

impl Goal {
    pub(super) fn exact(count: Option<usize>) -> Self {
        Self::Exact { count }
    }
}

/// Sets solved so far, for all searches of a design.
pub(super) type Solved = BTreeMap<Vec<Candidate>, Known>;

/// What a search found.
pub(super) struct Found {
    /// The best set and its stiffness, N/m.
    pub(super) best: Option<(Vec<Candidate>, f64)>,
    /// Structures solved.
    pub(super) solves: usize,
    /// Whether nothing better was left out.
    pub(super) complete: bool,
}

/// Searches the sets of a design. `singles` are the stiffnesses of each candidate
/// alone, `seeds` sets already known to meet the goal.
pub(super) fn search(
    prepared: &Prepared,
    singles: &[Option<f64>],
    goal: &Goal,
    seeds: &[(Vec<Candidate>, f64)],
    solves_max: usize,
    solved: &mut Solved,
) -> Found {
    // The mildest first, so that good sets come early and the rest is cut.
    let mut order: Vec<usize> = (0..singles.len())
        .filter(|k| singles[*k].is_some())
        .collect();
    order.sort_by(|a, b| {
        let value = |k: &usize| singles[*k].unwrap_or(0.0);
        value(b).total_cmp(&value(a)).then(a.cmp(b))
    });
    let mut search = Search {
        prepared,
        goal,
        order,
        solves_max: solves_max * 3 / 4,
        solves: 0,
        complete: true,
        solved,
        finalists: Vec::new(),
        best: 0.0,
    };
    for (set, stiffness) in seeds {
        search.keep_set(set.clone(), *stiffness);
    }
    search.repeat_patterns();
    search.build_by_stage();
    search.exchange();
    search.solves_max = solves_max;
    let all = (0..search.order.len()).collect::<Vec<usize>>();
    search.branch(&Selection::default(), f64::INFINITY, &all);
    let (solves, complete) = (search.solves, search.complete);
    Found {
        best: search.choose(),
        solves,
        complete,
    }
}

struct Search<'a> {
    prepared: &'a Prepared,
    goal: &'a Goal,
    /// Candidates in the order they are taken.
    order: Vec<usize>,
    solves_max: usize,
    solves: usize,
    complete: bool,
    solved: &'a mut Solved,
    /// Sets that meet the goal and were near the best when found.
    finalists: Vec<(Vec<Candidate>, f64)>,
    best: f64,
}

/// A set with one more candidate.
struct Child {
    selection: Selection,
    /// Its place in the order.
    place: usize,
    stiffness: f64,
}

impl Search<'_> {
    fn done(&self, selection: &Selection) -> bool {
        match self.goal {
            Goal::Exact { .. } => selection.released() == self.prepared.space.redundant(),
            Goal::OneEach(groups) => selection.members.len() == groups.len(),
        }
    }

    fn group_of(&self, candidate: usize) -> Option<usize> {
        let joint = self.prepared.space.candidates()[candidate].joint;
        match self.goal {
            Goal::Exact { .. } => None,
            Goal::OneEach(groups) => groups.iter().position(|group| group.contains(&joint)),
        }
    }

    /// The selection with one more, if the goal can take it.
    fn grow(&self, selection: &Selection, candidate: usize) -> Option<Selection> {
        let next = self.prepared.space.with(selection, candidate)?;
        self.fits(&next).then_some(next)
    }

    /// Whether a selection is no more than the goal asks.
    fn fits(&self, selection: &Selection) -> bool {
        match self.goal {
            Goal::Exact { count } => {
                let redundant = self.prepared.space.redundant();
                let Some(missing) = redundant.checked_sub(selection.released()) else {
                    return false;
                };
                let left = count.map(|count| count.checked_sub(selection.members.len()));
                // A release takes two constraints at most.
                left.is_none_or(|left| left.is_some_and(|left| missing <= 2 * left))
            }
            Goal::OneEach(_) => {
                let groups: Vec<Option<usize>> = selection
                    .members
                    .iter()
                    .map(|member| self.group_of(*member))
                    .collect();
                (0..groups.len()).all(|k| groups[k].is_some() && !groups[..k].contains(&groups[k]))
            }
        }
    }

    /// Children of a selection by the candidates at these places, stiffer than the floor.
    fn children(&mut self, selection: &Selection, places: &[usize], floor: f64) -> Vec<Child> {
        let grown: Vec<(Selection, usize)> = places
            .iter()
            .filter_map(|place| Some((self.grow(selection, self.order[*place])?, *place)))
            .collect();
        let sets: Vec<Vec<Candidate>> = grown
            .iter()
            .map(|(next, _)| self.prepared.space.candidates_at(&next.members))
            .collect();
        let stiffness = self.solve(sets, floor);
        grown
            .into_iter()
            .zip(stiffness)
            .filter_map(|((selection, place), stiffness)| {
                Some(Child {
                    selection,
                    place,
                    stiffness: stiffness?,
                })
            })
            .collect()
    }

    /// Least stiffness of each set, where it is above a floor.
    fn solve(&mut self, sets: Vec<Vec<Candidate>>, floor: f64) -> Vec<Option<f64>> {
        let (prepared, solved) = (self.prepared, &*self.solved);
        let found: Vec<(Known, usize)> = sets
            .par_iter()
            .map(|set| {
                let before = solved.get(set).copied().unwrap_or_default();
                let after = prepared.solve_above(set, floor, before);
                (after, after.rings - before.rings)
            })
            .collect();
        self.solves += found.iter().map(|(_, solves)| solves).sum::<usize>();
        sets.into_iter()
            .zip(found)
            .map(|(set, (known, _))| {
                self.solved.insert(set, known);
                known.above(floor, prepared.rings.len())
            })
            .collect()
    }

    /// Meets the goal stage by stage: in each the set of its own joints that
    /// leaves most stiffness, the stages before kept.
    fn build_by_stage(&mut self) {
        let groups = match self.goal {
            Goal::Exact { .. } => self.prepared.stages.clone(),
            Goal::OneEach(groups) => groups.clone(),
        };
        let mut selection = Selection::default();
        let mut seen: Vec<usize> = Vec::new();
        for group in &groups {
            let own: Vec<usize> = (0..self.order.len())
                .filter(|place| {
                    let joint = self.prepared.space.candidates()[self.order[*place]].joint;
                    group.contains(&joint) && !seen.contains(&joint)
                })
                .collect();
            seen.extend(group);
            let wanted = match self.goal {
                Goal::Exact { .. } => self.prepared.space.rank_of_joints(&seen),
                Goal::OneEach(_) => usize::MAX,
            };
            match self.best_within(&selection, &own, wanted) {
                Some(next) => selection = next,
                None => return,
            }
        }
        self.take(&selection);
    }

    /// The stiffest of a selection's extensions by candidates at these places
    /// that release so many constraints, or else by one candidate.
    fn best_within(
        &mut self,
        selection: &Selection,
        places: &[usize],
        wanted: usize,
    ) -> Option<Selection> {
        let mut open: Vec<(Selection, Vec<usize>)> = vec![(selection.clone(), places.to_vec())];
        let mut best: Option<(f64, Selection)> = None;
        while let Some((from, places)) = open.pop() {
            let children = self.children(&from, &places, best.as_ref().map_or(0.0, |b| b.0));
            for (index, child) in children.iter().enumerate() {
                let released = child.selection.released();
                if released == wanted || wanted == usize::MAX {
                    if best.as_ref().is_none_or(|b| child.stiffness > b.0) {
                        best = Some((child.stiffness, child.selection.clone()));
                    }
                } else if released < wanted {
                    let later = children[index + 1..].iter().map(|c| c.place).collect();
                    open.push((child.selection.clone(), later));
                }
            }
        }
        best.map(|(_, selection)| selection)
    }

    /// The joints of each stage that no stage before has.
    fn own_joints(&self) -> Vec<Vec<usize>> {
        let mut seen: Vec<usize> = Vec::new();
        let mut own = Vec::new();
        for stage in &self.prepared.stages {
            own.push(
                stage
                    .iter()
                    .copied()
                    .filter(|joint| !seen.contains(joint))
                    .collect(),
            );
            seen.extend(stage);
        }
        own
    }

    /// Tries one tilt and one axial release at the same joints of every stage.
    fn repeat_patterns(&mut self) {
        if matches!(self.goal, Goal::OneEach(_)) {
            return;
        }
        let own = self.own_joints();
        let shared = own.iter().map(Vec::len).min().unwrap_or(0);
        // Counted from the last joint of a stage: the first stage has the base joints, too.
        let patterns = (1..=shared).flat_map(|tilt| (1..=shared).map(move |axial| (tilt, axial)));
        for (tilt, axial) in patterns {
            let mut set: Vec<Candidate> = Vec::new();
            for joints in &own {
                let at = |from_last: usize| joints[joints.len() - from_last];
                for (joint, kind) in [
                    (at(tilt), ReleaseKind::Tilt),
                    (at(axial), ReleaseKind::Axial),
                ] {
                    set.push(Candidate { joint, kind });
                }
            }
            if let Some(selection) = self.prepared.space.selection(&set) {
                self.take(&selection);
            }
        }
    }

    /// Solves a selection that may meet the goal.
    fn take(&mut self, selection: &Selection) {
        if !self.done(selection) || !self.fits(selection) {
            return;
        }
        let set = self.prepared.space.candidates_at(&selection.members);
        let floor = self.best * (1.0 - EQUAL);
        if let [Some(stiffness)] = self.solve(vec![set.clone()], floor)[..] {
            self.keep_set(set, stiffness);
        }
    }

    /// Exchanges parts of the best set for stiffer ones until none is found:
    /// first what two neighbouring stages release, then any two releases.
    fn exchange(&mut self) {
        let own = self.own_joints();
        let windows: Vec<Vec<usize>> = own.windows(2).map(|pair| pair.concat()).collect();
        self.improve(|_| windows.clone(), true);
        let pairs = |set: &[Candidate]| -> Vec<Vec<usize>> {
            (0..set.len())
                .flat_map(|a| (a..set.len()).map(move |b| vec![a, b]))
                .collect()
        };
        self.improve(pairs, false);
        self.complete = true;
    }

    /// Takes parts out of the best set and branches from the rest. A part is a
    /// list of joints, refilled at the same joints, or of places in the set,
    /// refilled anywhere.
    fn improve(&mut self, parts: impl Fn(&[Candidate]) -> Vec<Vec<usize>>, by_joint: bool) {
        while let Some((set, stiffness)) = self.leader() {
            for part in parts(&set) {
                let out = |place: usize, candidate: &Candidate| {
                    part.contains(if by_joint { &candidate.joint } else { &place })
                };
                let rest: Vec<Candidate> = set
                    .iter()
                    .enumerate()
                    .filter(|(place, candidate)| !out(*place, candidate))
                    .map(|(_, candidate)| *candidate)
                    .collect();
                let open: Vec<usize> = (0..self.order.len())
                    .filter(|place| {
                        let joint = self.prepared.space.candidates()[self.order[*place]].joint;
                        !by_joint || part.contains(&joint)
                    })
                    .collect();
                if let Some(kept) = self.prepared.space.selection(&rest) {
                    self.branch(&kept, f64::INFINITY, &open);
                }
            }
            let better = self.best > stiffness * (1.0 + EQUAL);
            if !better || self.solves >= self.solves_max {
                return;
            }
        }
    }

    fn leader(&self) -> Option<(Vec<Candidate>, f64)> {
        self.finalists
            .iter()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .cloned()
    }

    /// Goes through all sets that hold a selection and candidates at later
    /// places, but for those no stiffer than the best.
    fn branch(&mut self, selection: &Selection, bound: f64, places: &[usize]) {
        if bound <= self.best * (1.0 - EQUAL) {
            return;
        }
        if self.done(selection) {
            self.keep(selection, bound);
            return;
        }
        if self.solves >= self.solves_max {
            self.complete = false;
            return;
        }
        let mut children = self.children(selection, places, self.best * (1.0 - EQUAL));
        children.sort_by(|a, b| {
            b.stiffness
                .total_cmp(&a.stiffness)
                .then(a.place.cmp(&b.place))
        });
        for (index, child) in children.iter().enumerate() {
            // Each set once: what follows does without the candidates before, and
            // without those that already failed here, since they fail in larger sets too.
            let later: Vec<usize> = children[index + 1..]
                .iter()
                .map(|other| other.place)
                .collect();
            if self.reachable(&child.selection, &later) {
                self.branch(&child.selection, child.stiffness, &later);
            }
        }
    }

    /// Whether the goal can still be met with candidates at these places.
    fn reachable(&self, selection: &Selection, places: &[usize]) -> bool {
        match self.goal {
            Goal::Exact { .. } => {
                let rest: Vec<usize> = places.iter().map(|place| self.order[*place]).collect();
                self.prepared.space.can_complete(selection, &rest)
            }
            Goal::OneEach(groups) => (0..groups.len()).all(|group| {
                let of_group = |candidate: usize| self.group_of(candidate) == Some(group);
                selection.members.iter().any(|k| of_group(*k))
                    || places.iter().any(|place| of_group(self.order[*place]))
            }),
        }
    }

    fn keep(&mut self, selection: &Selection, stiffness: f64) {
        let set = self.prepared.space.candidates_at(&selection.members);
        self.keep_set(set, stiffness);
    }

    fn keep_set(&mut self, set: Vec<Candidate>, stiffness: f64) {
        let exact = matches!(self.goal, Goal::Exact { .. });
        if self.finalists.iter().any(|(other, _)| *other == set)
            || (exact && !self.prepared.holds_throughout(&set))
        {
            return;
        }
        self.best = self.best.max(stiffness);
        self.finalists.push((set, stiffness));
    }

    fn choose(self) -> Option<(Vec<Candidate>, f64)> {
        let floor = self.best * (1.0 - EQUAL);
        self.finalists
            .into_iter()
            .filter(|(_, stiffness)| *stiffness >= floor)
            .min_by(|a, b| {
                (a.0.len().cmp(&b.0.len()))
                    .then(b.1.total_cmp(&a.1))
                    .then(a.0.cmp(&b.0))
            })
    }
}
