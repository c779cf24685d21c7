//! `calotte design`: the main job. Parts: `explored` (the search of islands), `journal` (what makes a stopped search go on without
//! loss), `next` (the prototype that this one follows),
//! `parts` (a search spread over machines).

mod explored;
mod journal;
pub mod next;
mod parts;

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

use calotte::analysis::stage_curve::{best_stages, stage_curve};
use calotte::analysis::{AnalysisOptions, Requirements, analyse_subject};
use calotte::brief::Brief;
use calotte::certificate::{Effort as ProofEffort, certificates};
use calotte::search::{
    Choice, Effort, Grid, NoChoice, Outcome, Precheck, SHOWN, choose_proved, combinations,
    complete_design, evaluate_group, islands, precheck, prove,
};
use calotte_files::Claim;
use calotte_report::design::{
    Found, Searched, document, explained, files, nearest_feasible_need, rejected,
};
use calotte_report::input::Input;
use calotte_report::prototype::{Over, pointing_of_next};
use calotte_report::summary::{Heading, summary};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;

use crate::Verdict;
use crate::arguments::DesignOptions;
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::inputs;
use crate::terminal;
use crate::{put, say};
use journal::{Journal, Known};

/// Set by Ctrl-C; the search stops between groups.
static STOPPED: AtomicBool = AtomicBool::new(false);

/// Runs the main job.
pub fn run(options: &DesignOptions) -> Result<Verdict, Failure> {
    let start = Instant::now();
    let mut brief = inputs::brief(&options.brief)?;
    let prototype = next::prototype(options)?;
    if let Some(prototype) = &prototype {
        brief.value = next::narrowed_brief(prototype, &brief)?;
        for caution in prototype.cautions(&brief.value) {
            say!("prototype: {caution}");
        }
    }
    let target = options.out.clone().unwrap_or_else(|| match options.part {
        Some(part) => parts::usual_place(part, &options.brief),
        None => beside(&options.brief, "results"),
    });
    let read = [
        Some(&options.brief),
        options.from.as_ref(),
        options.use_fit.as_ref(),
    ];
    let read = read.into_iter().flatten().chain(&options.join);
    let read: Vec<&Path> = read.map(PathBuf::as_path).collect();
    let mut folder = ResultsFolder::prepare(&target, options.force, &read)?;
    if let Some(threads) = options.threads {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build_global()
            .map_err(|error| Failure::new(format!("cannot start {threads} threads: {error}")))?;
    }
    let by_grid = brief.value.choice.full_grid;
    if by_grid {
        refuse_endless_grid(&brief)?;
        refuse_seed(options)?;
    }
    let found_precheck = precheck(&brief.value);
    refuse_impossible_reach(&brief, &found_precheck)?;
    let warnings = calotte_report::cautions::precheck_words(&brief.value, &found_precheck);
    for warning in &warnings {
        say!("precheck: {warning}");
    }
    let (mut outcomes, searched, journal, known) = if by_grid {
        let (outcomes, journal, known) = search(&brief.value, folder.claim())?;
        (outcomes, None, journal, known)
    } else {
        let (brief, effort) = (&brief.value, effort(options));
        if let Some(part) = options.part {
            parts::run(brief, &effort, part, folder, &target)?;
            return Ok(Verdict::Met);
        }
        let mut found = if options.join.is_empty() {
            explored::search(brief, &effort, folder.claim(), &islands(brief), None)?
        } else {
            parts::join(brief, &effort, folder.claim(), &options.join)?
        };
        (
            std::mem::take(&mut found.outcomes),
            Some(Searched {
                effort,
                islands: found.islands,
            }),
            found.journal,
            found.analysed,
        )
    };
    let requirements = Requirements::from_brief(&brief.value);
    // A grid has few on its front; a search finds as many as it looks for.
    let most = searched.as_ref().map(|_| SHOWN);
    let (choice, journal) = chosen_of(
        &mut outcomes,
        &brief.value,
        &requirements,
        most,
        journal,
        known,
    )?;
    let chosen = &outcomes[choice.chosen].candidate;
    let design = complete_design(&brief.value, &requirements, chosen).map_err(|error| {
        Failure::new(error).hint(match &prototype {
            Some(_) => {
                "keep fewer parts, or allow another arrangement of the layers or a wider joint_radius_mm"
            }
            None => "widen [choice] or relax [limits]",
        })
    })?;
    let design = calotte_format::tidied(&design);
    let cannot = |error: String| Failure::new(error).hint("widen [choice] or relax [limits]");
    let subject = requirements
        .subject(&design)
        .map_err(|error| cannot(error.to_string()))?;
    let analysis =
        analyse_subject(&subject, &requirements, &AnalysisOptions::default()).map_err(|error| {
            match calotte_format::refused_to_solve(&error, &design, &brief.text) {
                Some(problems) => Failure::format(&problems, &brief.path),
                None => cannot(error.to_string()),
            }
        })?;
    // Where bars or joints differ there is no such curve.
    let curve = stage_curve(&design, &requirements, 6).unwrap_or_default();
    let next = prototype
        .map(|prototype| {
            let keeps = prototype.kept.ground || prototype.kept.any_bar();
            let fit = prototype.fit.as_ref().filter(|_| keeps);
            let pointing = fit.map(|fit| {
                let kept = &prototype.kept;
                pointing_of_next(
                    &design,
                    &prototype.design.value,
                    &fit.value,
                    kept,
                    Over::of(&analysis, &requirements),
                )
            });
            Ok::<_, Failure>((pointing.transpose()?.flatten(), prototype))
        })
        .transpose()?
        .map(|(pointing, prototype)| (prototype, pointing));
    let certificates = certificates(&brief.value, &ProofEffort::default());
    let found = Found {
        certificates,
        brief,
        precheck: found_precheck,
        outcomes,
        searched,
        choice,
        design,
        subject,
        analysis,
        curve,
        warnings,
        next,
    };
    let document = document(&found);
    let heading = heading(&found, &target, start);
    let text = summary(&found.design, &found.analysis, &heading);
    folder.add_all(files(&found, &document)?);
    folder.finish()?;
    journal.remove();
    if options.json {
        terminal::print_data(&(calotte_document::text(&document) + "\n"));
    } else {
        put!("{text}");
        if !found.analysis.met() {
            put!(
                "{}",
                nearest_feasible_need(&found.brief.value, &found.analysis)
            );
        }
    }
    Ok(if found.analysis.met() {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}

fn beside(path: &Path, name: &str) -> PathBuf {
    path.parent().unwrap_or(Path::new("")).join(name)
}

fn heading(found: &Found, target: &Path, start: Instant) -> Heading {
    let seconds = start.elapsed().as_secs();
    Heading {
        title: found.brief.value.title.clone(),
        people_near: found.brief.value.people_near,
        elapsed: format!("{}:{:02}", seconds / 60, seconds % 60),
        rejected: rejected(found),
        explained: explained(found),
        follows: found
            .next
            .as_ref()
            .map_or(Vec::new(), |(prototype, pointing)| {
                prototype.words(pointing.as_ref(), found.design.tool.tip_radius)
            }),
        best_stages: best_stages(&found.curve, |p| p.rigid)
            .zip(best_stages(&found.curve, |p| p.real)),
        next: format!(
            "open {}/summary.html; calotte analyse {}/design.toml --brief {}",
            target.display(),
            target.display(),
            found.brief.path.display()
        ),
    }
}

/// How much is looked at.
fn effort(options: &DesignOptions) -> Effort {
    let usual = Effort::default();
    let times = options.effort.unwrap_or(1);
    Effort {
        screened: usual.screened,
        looked_at: usual.looked_at.saturating_mul(times),
        seed: options.seed.unwrap_or(usual.seed),
    }
}

/// A full grid has no random numbers.
fn refuse_seed(options: &DesignOptions) -> Result<(), Failure> {
    let given = [
        ("--seed", options.seed.is_some()),
        ("--effort", options.effort.is_some()),
        ("--part", options.part.is_some()),
        ("--join", !options.join.is_empty()),
    ];
    match given.into_iter().find(|(_, given)| *given) {
        None => Ok(()),
        Some((option, _)) => Err(Failure::new(format!(
            "{option}: every combination is gone through here, so there is nothing it could change"
        ))
        .hint("leave it out, or search without `full_grid` in [choice]")),
    }
}

/// Most combinations that are listed.
const COMBINATIONS_MAX: f64 = 20e6;

/// A grid that no memory holds is refused before it is listed.
fn refuse_endless_grid(brief: &Input<Brief>) -> Result<(), Failure> {
    let count = combinations(&brief.value);
    if count <= COMBINATIONS_MAX {
        return Ok(());
    }
    Err(Failure::new(format!(
        "{}: the grid has {count:.0} combinations, and at most {COMBINATIONS_MAX:.0} are listed",
        brief.path.display(),
    ))
    .hint("give larger steps or fewer values in [choice] and [space]"))
}

/// A reach that no allowed combination has is a mistake in the brief.
fn refuse_impossible_reach(brief: &Input<Brief>, found: &Precheck) -> Result<(), Failure> {
    if found.reachable_share >= brief.value.coverage_min * (1.0 - 1e-9) {
        return Ok(());
    }
    let text = crate::files::read_text(&brief.path)?;
    let place = line_of(
        &text,
        &[
            "arc_deg",
            "stages",
            "arm_arc_deg",
            "half_angle_deg",
            "shape",
        ],
    );
    Err(Failure::new(format!(
        "impossible reach: no allowed linkage points farther than {} from its base axis (the sum of its arcs), which leaves at most {} of the region, and {} is required\n  in {}, line {}: {}\n  allowed: arcs and stages whose sum reaches the region's edge",
        calotte_format::words::angle(found.reach_bound),
        calotte_format::words::number(found.reachable_share, 3),
        calotte_format::words::number(brief.value.coverage_min, 3),
        brief.path.display(),
        place.0,
        place.1
    ))
    .hint("allow longer arcs or more stages in [choice], tilt the mount, or shrink the region"))
}

/// Judges the whole grid, with progress, stop and going on.
fn search(brief: &Brief, claim: &Claim) -> Result<(Vec<Outcome>, Journal, Analysed), Failure> {
    let grid = Grid::new(brief);
    say!(
        "grid: {} combinations ({} of angles and mounts × {} of radius, section and material)",
        grid.len(),
        grid.groups.len(),
        grid.group_size()
    );
    let (journal, known) = Journal::open(claim, brief, &grid)?;
    let Known {
        groups, analysed, ..
    } = known;
    let known = groups;
    if !known.is_empty() {
        say!(
            "going on: {} of {} groups are done",
            known.len(),
            grid.groups.len()
        );
    }
    stop_on_request();
    let bar = progress_bar(grid.groups.len());
    bar.inc(known.len() as u64);
    let journal = Mutex::new(journal);
    let groups: Vec<Option<Vec<Outcome>>> = (0..grid.groups.len())
        .into_par_iter()
        .map(|group| {
            if let Some(done) = known.get(&group) {
                return Some(done.clone());
            }
            if STOPPED.load(Ordering::SeqCst) {
                return None;
            }
            let outcomes = evaluate_group(brief, &grid, group);
            if let Ok(mut journal) = journal.lock() {
                journal.append(group, &outcomes);
            }
            bar.inc(1);
            Some(outcomes)
        })
        .collect();
    bar.finish_and_clear();
    let journal = journal.into_inner().unwrap_or_else(PoisonError::into_inner);
    let mut outcomes = Vec::with_capacity(grid.len());
    for group in groups {
        match group {
            Some(group) => outcomes.extend(group),
            None => return Err(stopped()),
        }
    }
    Ok((outcomes, journal, analysed))
}

/// From here on Ctrl-C stops the search, which keeps what it has.
fn stop_on_request() {
    // A second handler cannot be set within one process; the first stays.
    let _ = ctrlc::set_handler(|| STOPPED.store(true, Ordering::SeqCst));
}

fn stopped() -> Failure {
    Failure::new("stopped; what is done is kept").hint("run the same command again to go on")
}

/// Verdicts of the analysis on candidates, by their places among all.
type Analysed = HashMap<usize, calotte::search::Verdict>;

/// Chooses, with all that is shown analysed as the choice is.
fn chosen_of(
    outcomes: &mut [Outcome],
    brief: &Brief,
    requirements: &Requirements,
    most: Option<usize>,
    journal: Journal,
    known: Analysed,
) -> Result<(Choice, Journal), Failure> {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) =
        ProgressStyle::with_template("analysing what may be chosen: {pos} of the best so far")
    {
        bar.set_style(style);
    }
    let journal = Mutex::new(journal);
    let analyse = |outcome: &Outcome| {
        bar.inc(1);
        let place = outcome.candidate.index;
        if let Some(verdict) = known.get(&place) {
            return Some(verdict.clone());
        }
        if STOPPED.load(Ordering::SeqCst) {
            return None;
        }
        let verdict = prove(brief, requirements, outcome, &calotte_format::tidied);
        if let Ok(mut journal) = journal.lock() {
            journal.append_analysed(place, &verdict);
        }
        Some(verdict)
    };
    let choice =
        choose_proved(outcomes, &brief.objectives, most, &analyse).map_err(|none| match none {
            NoChoice::Nothing => Failure::new("there is no candidate").hint("widen [choice]"),
            NoChoice::Stopped => stopped(),
        })?;
    bar.finish_and_clear();
    let journal = journal.into_inner().unwrap_or_else(PoisonError::into_inner);
    Ok((choice, journal))
}

fn progress_bar(groups: usize) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(groups as u64), ProgressDrawTarget::stderr());
    if let Ok(style) =
        ProgressStyle::with_template("searching {bar:30} {percent:>3} %, about {eta} left")
    {
        bar.set_style(style);
    }
    bar
}

/// Line number and text of the first of these keys that the file holds.
fn line_of(text: &str, keys: &[&str]) -> (usize, String) {
    for key in keys {
        for (index, line) in text.lines().enumerate() {
            let trimmed = line.trim_start();
            let named = trimmed
                .strip_prefix(key)
                .is_some_and(|rest| rest.trim_start().starts_with('='));
            if named {
                return (index + 1, trimmed.to_string());
            }
        }
    }
    (1, text.lines().next().unwrap_or_default().to_string())
}
