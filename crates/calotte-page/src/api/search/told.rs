//! What is told of candidates: their quantities and the front so far.

use calotte::brief::{Brief, Objective};
use calotte::family::parameters::Dimension;
use calotte::quantity::Quantity;
use calotte::search::{Candidate, Choice, JudgedBy, Outcome, choose};
use calotte_format::words;

use super::super::linkage::index;
use super::super::wire::{CandidateColumn, CandidateRow, SearchPart};

/// Seconds between two parts, about.
pub(super) const PART_SECONDS: f64 = 0.25;

/// What is told of candidates, and how far telling has come.
pub(super) struct Telling<'a> {
    brief: &'a Brief,
    columns: Vec<Column>,
    /// Candidates that there are, or that are looked at at most.
    of: usize,
    told: usize,
    begun: bool,
}

impl<'a> Telling<'a> {
    pub(super) fn new(brief: &'a Brief, of: usize) -> Self {
        Self {
            brief,
            columns: columns(brief),
            of,
            told: 0,
            begun: false,
        }
    }

    /// What is known so far: candidates judged since the last part, and the front of all.
    ///
    /// # Arguments
    /// - `judged`: all so far, in the order in which they were judged.
    /// - `called`: number of each, and what it is called in asking for it.
    /// - `looked_at`: how many were looked at, those that were not judged wholly too.
    pub(super) fn part(
        &mut self,
        judged: &[Outcome],
        called: &dyn Fn(usize) -> (u32, String),
        looked_at: usize,
    ) -> SearchPart {
        let choice = choose(judged, &self.brief.objectives);
        self.part_of(judged, called, looked_at, choice)
    }

    fn part_of(
        &mut self,
        judged: &[Outcome],
        called: &dyn Fn(usize) -> (u32, String),
        looked_at: usize,
        choice: Option<Choice>,
    ) -> SearchPart {
        let told = std::mem::replace(&mut self.told, judged.len());
        let first = !std::mem::replace(&mut self.begun, true);
        let number = |place: &usize| called(*place).0;
        let rows = judged.iter().enumerate().skip(told);
        SearchPart {
            columns: first.then(|| self.columns.iter().map(|one| one.row.clone()).collect()),
            of: index(self.of),
            looked_at: index(looked_at),
            candidates: rows
                .filter(|(_, outcome)| outcome.verdict.is_whole())
                .map(|(place, outcome)| {
                    let (index, key) = called(place);
                    CandidateRow {
                        index,
                        key,
                        met: outcome.feasible(),
                        values: self.columns.iter().map(|one| one.value(outcome)).collect(),
                        name: name(&outcome.candidate),
                    }
                })
                .collect(),
            front: choice
                .iter()
                .flat_map(|choice| choice.front.iter().map(number))
                .collect(),
            chosen: choice.as_ref().map(|choice| number(&choice.chosen)),
            feasible: choice.as_ref().map_or(0, |choice| index(choice.feasible)),
            withdrawn: Vec::new(),
            afresh: false,
        }
    }

    /// The end, after the whole analysis of what is shown: the front shown and the choice from it;
    /// candidates anew where their numbers were not known before.
    pub(super) fn end(
        &mut self,
        judged: &[Outcome],
        called: &dyn Fn(usize) -> (u32, String),
        looked_at: usize,
        choice: Option<Choice>,
        afresh: bool,
    ) -> SearchPart {
        if afresh {
            self.told = 0;
        }
        let choice = choice.or_else(|| choose(judged, &self.brief.objectives));
        let mut end = self.part_of(judged, called, looked_at, choice);
        end.afresh = afresh;
        let left = |(_, outcome): &(usize, &Outcome)| {
            outcome.verdict.judged_by == JudgedBy::Analysis && !outcome.feasible()
        };
        let left = judged.iter().enumerate().filter(left);
        end.withdrawn = left.map(|(place, _)| called(place).0).collect();
        end
    }
}

/// A candidate in a few words.
fn name(candidate: &Candidate) -> String {
    let angles = &candidate.angles;
    let listed = |list: &[f64]| {
        let list: Vec<String> = list.iter().map(|one| words::angle(*one)).collect();
        list.join(", ")
    };
    let Some(stages) = angles.stages() else {
        let arcs = [Dimension::FirstArc, Dimension::SecondArc];
        let arcs = arcs.into_iter().filter_map(|one| angles.chosen(one));
        let arcs: Vec<String> = arcs.map(words::angle).collect();
        return format!("{} {}", angles.family_name().words(), arcs.join(" + "));
    };
    let plural = if stages == 1 { "stage" } else { "stages" };
    let [proximal, distal, bends] = angles.lists();
    let arcs = match angles.chosen(Dimension::Arc) {
        Some(arc) => words::angle(arc),
        None => format!("{} near and {} far", listed(proximal), listed(distal)),
    };
    let mut name = format!("{stages} {plural}, arcs {arcs}");
    match angles.chosen(Dimension::Bend) {
        Some(0.0) => {}
        Some(bend) => name.push_str(&format!(", bend {}", words::angle(bend))),
        None => name.push_str(&format!(", bends {}", listed(bends))),
    }
    name
}

/// A quantity of the candidates with how it is taken.
struct Column {
    row: CandidateColumn,
    objective: Objective,
    factor: f64,
}

impl Column {
    fn value(&self, outcome: &Outcome) -> Option<f64> {
        let score = outcome.score(&self.objective)?;
        let value = if self.objective.maximise {
            score
        } else {
            -score
        };
        let shown = value * self.factor;
        // Six digits are more than a dot shows; exact numbers come with the design.
        shown
            .is_finite()
            .then(|| format!("{shown:.5e}").parse().unwrap_or(shown))
    }
}

/// All quantities, the brief's objectives first.
fn columns(brief: &Brief) -> Vec<Column> {
    let named = |quantity: Quantity| {
        brief
            .objectives
            .iter()
            .find(|objective| objective.quantity == quantity)
    };
    let mut quantities = Quantity::OBJECTIVES.to_vec();
    quantities.sort_by_key(|quantity| {
        brief
            .objectives
            .iter()
            .position(|objective| objective.quantity == *quantity)
            .unwrap_or(usize::MAX)
    });
    quantities
        .into_iter()
        .map(|quantity| {
            let plain = quantity.more_is_better();
            let maximise = named(quantity).map_or(plain, |objective| objective.maximise);
            Column {
                row: CandidateColumn {
                    word: quantity.word().to_owned(),
                    label: quantity.label().to_owned(),
                    unit: quantity.unit().symbol().to_owned(),
                    more_is_better: maximise,
                    limit: brief
                        .limits
                        .get(quantity)
                        .map(|limit| limit * quantity.unit().factor()),
                },
                objective: Objective { quantity, maximise },
                factor: quantity.unit().factor(),
            }
        })
        .collect()
}
