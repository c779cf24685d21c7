//! The choice from all that was judged, made and told as `calotte design` does.

use std::sync::atomic::{AtomicBool, Ordering};

use calotte::analysis::{AnalysisOptions, Requirements, analyse_subject};
use calotte::brief::Brief;
use calotte::search::{Choice, NoChoice, Outcome, Verdict, choose_proved, complete_design, prove};
use calotte_report::design::{nearest_need, nearest_need_heading, rejected_among};
use calotte_report::summary;

use super::super::linkage::index;
use super::super::wire::{ChoiceSaid, Labelled, NearestNeed, SearchDone};

/// Verdicts of the whole analysis that are known, and where they are kept.
pub(super) trait Analysed: Sync {
    /// What is known of the candidate at a place among all.
    fn known(&self, _place: usize) -> Option<Verdict> {
        None
    }
    /// Keeps it.
    fn keep(&self, _place: usize, _verdict: &Verdict) {}
}

/// Nothing is known.
pub(super) struct Nothing;

impl Analysed for Nothing {}

/// Chooses with all that is shown analysed, and says of the choice what `calotte design` says;
/// nothing of a search that was stopped.
///
/// # Arguments
/// - `judged`: all candidates in their order.
/// - `most`: members of the front that are analysed and shown at most.
///
/// # Returns
/// The choice, with what is said of it; no choice of a search that was stopped.
pub(super) fn chosen(
    brief: &Brief,
    judged: &mut [Outcome],
    most: Option<usize>,
    cancelled: &AtomicBool,
    analysed: &dyn Analysed,
) -> (Option<Choice>, SearchDone) {
    let requirements = Requirements::from_brief(brief);
    let analyse = |outcome: &Outcome| {
        let place = outcome.candidate.index;
        let known = analysed.known(place);
        known.or_else(|| {
            if cancelled.load(Ordering::Relaxed) {
                return None;
            }
            let verdict = prove(brief, &requirements, outcome, &calotte_format::tidied);
            analysed.keep(place, &verdict);
            Some(verdict)
        })
    };
    let choice = match choose_proved(judged, &brief.objectives, most, &analyse) {
        Ok(choice) => choice,
        Err(NoChoice::Nothing | NoChoice::Stopped) => return (None, SearchDone::default()),
    };
    let (said, reason) = match said(brief, &requirements, judged, &choice) {
        Ok(said) => (Some(said), None),
        Err(reason) => (None, Some(reason)),
    };
    (Some(choice), SearchDone { said, reason })
}

/// What `calotte design` says of the choice among all candidates, in their order; why not
/// where the choice cannot be built or analysed.
fn said(
    brief: &Brief,
    requirements: &Requirements,
    outcomes: &[Outcome],
    choice: &Choice,
) -> Result<ChoiceSaid, String> {
    let chosen = &outcomes[choice.chosen].candidate;
    let design = complete_design(brief, requirements, chosen).map_err(|e| e.to_string())?;
    let design = calotte_format::tidied(&design);
    let subject = requirements.subject(&design).map_err(|e| e.to_string())?;
    let analysis = analyse_subject(&subject, requirements, &AnalysisOptions::default())
        .map_err(|e| e.to_string())?;
    let labelled = |label: &str, words| Labelled {
        label: label.to_owned(),
        words,
    };
    Ok(ChoiceSaid {
        candidate: index(chosen.index),
        chosen: labelled(summary::SELECTED, summary::chosen_words(&design)),
        rejected: rejected_among(outcomes, choice, &brief.objectives, &brief.choice)
            .into_iter()
            .map(|text| format!("{}: {text}", summary::REJECTED))
            .collect(),
        binds: summary::binding_words(&analysis).map(|words| labelled(summary::GOVERNING, words)),
        nearest_need: (!analysis.met()).then(|| NearestNeed {
            heading: nearest_need_heading(brief),
            limits: nearest_need(&analysis),
        }),
    })
}
