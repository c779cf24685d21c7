//! The choice and what speaks against a brief, in words.

use calotte::analysis::Analysis;
use calotte::brief::{self, Brief, FamilyName, Objective};
use calotte::quantity::{JudgedAt, Quantity, Standing};
use calotte::search::evaluate::SEARCH_RINGS;
use calotte::search::{Choice, Depth, IslandFound, JudgedBy, Outcome, Verdict};

use super::found::{Found, Searched};
use calotte_format::words;

/// What an objective is called, with its value and unit.
pub fn objective_value(objective: &Objective, score: f64) -> String {
    let value = if objective.maximise { score } else { -score };
    words::with_value(objective.quantity, value)
}

/// Why this one, in sentences.
pub fn choice_words(found: &Found) -> Vec<String> {
    let choice = &found.choice;
    let chosen = &found.outcomes[choice.chosen];
    let total = found.outcomes.len();
    let brief = &found.brief.value;
    let objectives = &brief.objectives;
    let searched = found.searched.as_ref().map(searched_words);
    let candidates = if searched.is_some() {
        "candidates judged"
    } else {
        "combinations"
    };
    if choice.feasible == 0 {
        let among = match chosen.verdict.judged_by {
            JudgedBy::Nominal => "with the smallest sum of relative violations at nominal values",
            JudgedBy::Corner | JudgedBy::Analysis => {
                "of those that meet every limit at nominal values in the search, with the smallest sum of relative violations beyond them"
            }
        };
        let mut sentences: Vec<String> = searched.into_iter().collect();
        sentences.extend([
            format!("None of {total} {candidates} meets every limit."),
            format!(
                "Shown is the one {among}, number {} of the list: it fails {}.",
                chosen.candidate.index,
                failed_words(chosen)
            ),
        ]);
        return sentences;
    }
    let failed = found
        .outcomes
        .iter()
        .filter(|outcome| outcome.verdict.judged_by == JudgedBy::Analysis && !outcome.feasible());
    let mut sentences: Vec<String> = searched.into_iter().collect();
    let shown = if found.searched.is_some() {
        "of the front shown"
    } else {
        "on the front"
    };
    sentences.extend([
        format!(
            "Of {total} {candidates} {} meet every limit as the search looks at them: {SEARCH_RINGS} polar angles, {}.",
            choice.feasible,
            search_looks_at(brief)
        ),
        format!(
            "{} of those are {shown}: no other is at least as good in every objective and better in one. All of the front meet every limit by the whole analysis too, {}; {} that did not have left it.",
            choice.front.len(),
            judged_words(brief),
            failed.count()
        ),
    ]);
    sentences.push(format!(
        "Number {} of the list is nearest to the ideal point of the front, each objective scaled from the worst (0) to the best (1) on it: distance {}.",
        chosen.candidate.index,
        words::number(choice.distance, 3)
    ));
    for (objective, [best, worst]) in objectives.iter().zip(&choice.span) {
        if let Some(score) = chosen.score(objective) {
            sentences.push(format!(
                "{}; on the front from {} to {}.",
                capitalised(&objective_value(objective, score)),
                objective_value(objective, *worst),
                objective_value(objective, *best)
            ));
        }
    }
    sentences
}

/// How a search that is no full grid went.
fn searched_words(searched: &Searched) -> String {
    let islands = &searched.islands;
    let sum = |of: fn(&IslandFound) -> usize| islands.iter().map(of).sum::<usize>();
    format!(
        "Searched, not proved: {} angles in closed form, then {} candidates of which {} reach too little and {} fall behind others at three polar angles already, over {} kinds of linkage (family, stages, drive layout, assembly, tilt), each by itself. A better one may exist.",
        sum(|one| one.screened),
        sum(|one| one.short_of_reach + one.beaten + one.judged),
        sum(|one| one.short_of_reach),
        sum(|one| one.beaten),
        islands.len()
    )
}

/// Which values the search judges what is feasible by.
fn search_looks_at(brief: &Brief) -> &'static str {
    match brief.limits.judged_at {
        JudgedAt::WorstEnd => "nominal values and a corner of the stated uncertainty",
        JudgedAt::Nominal => "nominal values",
    }
}

/// Which values the whole analysis judges by.
fn judged_words(brief: &Brief) -> &'static str {
    match brief.limits.judged_at {
        JudgedAt::WorstEnd => "over the stated uncertainty",
        JudgedAt::Nominal => "at nominal values, as the brief asks",
    }
}

/// By what a candidate was judged, where its limits were.
pub fn judged_by_words(brief: &Brief, verdict: &Verdict) -> &'static str {
    match (verdict.judged_by, brief.limits.judged_at) {
        (JudgedBy::Nominal, _) if verdict.depth < Depth::Reach => "",
        (JudgedBy::Nominal, _) => "nominal values, search",
        (JudgedBy::Corner, _) => "nominal values and a corner of the stated uncertainty, search",
        (JudgedBy::Analysis, JudgedAt::WorstEnd) => "over the stated uncertainty, whole analysis",
        (JudgedBy::Analysis, JudgedAt::Nominal) => "nominal values, whole analysis",
    }
}

fn capitalised(text: &str) -> String {
    let mut characters = text.chars();
    match characters.next() {
        Some(first) => first.to_uppercase().collect::<String>() + characters.as_str(),
        None => String::new(),
    }
}

/// The limit that a value misses by the share of its standing.
fn limit_missed(quantity: Quantity, value: f64, standing: &Standing) -> Option<f64> {
    let share = standing.missed_by()?;
    Some(if quantity.more_is_better() {
        value / (1.0 - share)
    } else {
        value / (1.0 + share)
    })
}

/// What a candidate fails, with the value where one is known.
pub fn failed_words(outcome: &Outcome) -> String {
    let verdict = &outcome.verdict;
    let mut parts: Vec<String> = verdict
        .missed
        .iter()
        .map(|(quantity, standing)| {
            let plain = quantity.word().replace('-', " ");
            match verdict.missed_value(*quantity) {
                Some(value) => {
                    let limit = limit_missed(*quantity, value, standing).unwrap_or(value);
                    let [shown, _] = words::apart(*quantity, [value, limit]);
                    format!("{plain} {shown}")
                }
                None => plain,
            }
        })
        .collect();
    parts.extend(verdict.reason.clone());
    if verdict.polar.is_some() && !verdict.is_whole() {
        parts.push("its elastic limits were not judged".to_string());
    }
    parts.join(", ")
}

/// The class a candidate belongs to: a family with its number of stages.
pub fn class_of(outcome: &Outcome) -> String {
    let angles = &outcome.candidate.angles;
    let name = angles.family_name().words();
    match angles.stages() {
        Some(1) => format!("{name}, 1 stage"),
        Some(stages) => format!("{name}, {stages} stages"),
        None => name.to_string(),
    }
}

/// The alternatives rejected, in words.
pub fn rejected(found: &Found) -> Vec<String> {
    let objectives = &found.brief.value.objectives;
    let allowed = &found.brief.value.choice;
    rejected_among(&found.outcomes, &found.choice, objectives, allowed)
}

/// What a choice among these rejects: the best of every other class, with the reason.
pub fn rejected_among(
    outcomes: &[Outcome],
    choice: &Choice,
    objectives: &[Objective],
    allowed: &brief::Choice,
) -> Vec<String> {
    let own = class_of(&outcomes[choice.chosen]);
    let mut classes: Vec<String> = Vec::new();
    for outcome in outcomes {
        let class = class_of(outcome);
        if class != own && !classes.contains(&class) {
            classes.push(class);
        }
    }
    let parts: Vec<String> = classes
        .iter()
        .filter_map(|class| {
            let members = || outcomes.iter().filter(|o| class_of(o) == *class);
            let feasible = members().filter(|o| o.feasible()).count();
            if feasible > 0 {
                // Named by the first objective, in which classes differ most plainly.
                let objective = objectives.first()?;
                let best = members()
                    .filter(|o| o.feasible())
                    .filter_map(|o| o.score(objective))
                    .fold(f64::NEG_INFINITY, f64::max);
                Some(format!(
                    "{class} ({feasible} meet every limit in the search; best {})",
                    objective_value(objective, best)
                ))
            } else {
                let nearest = members().min_by(|a, b| a.verdict.nearer(&b.verdict))?;
                Some(format!(
                    "{class} (none meets every limit; closest: {})",
                    failed_words(nearest)
                ))
            }
        })
        .collect();
    if parts.is_empty() {
        return Vec::new();
    }
    let mut families: Vec<FamilyName> = Vec::new();
    for outcome in outcomes {
        let family = outcome.candidate.angles.family_name();
        if !families.contains(&family) {
            families.push(family);
        }
    }
    let alike = alike(&families, allowed).map_or(String::new(), |alike| format!("{alike}: "));
    vec![alike + &parts.join("; ")]
}

/// What the search left alike in all combinations of these families, in words.
fn alike(families: &[FamilyName], allowed: &brief::Choice) -> Option<String> {
    let said = families.iter().filter_map(|family| {
        let alike = family.alike(allowed)?;
        // With several families it is said of which.
        Some(match families {
            [_] => alike.to_string(),
            _ => format!("{alike} in the {}", family.words()),
        })
    });
    let said: Vec<String> = said.collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// What stands above the nearest need: it is that of what was searched.
pub fn nearest_need_heading(brief: &Brief) -> String {
    let alike = alike(&brief.choice.families, &brief.choice)
        .map_or(String::new(), |alike| format!(" ({alike})"));
    format!("Closest achievable requirement in this search{alike}, which this design meets:")
}

/// What would have been met, a line for each limit that is not: the need this design stands
/// for. A miss is never rounded to its limit.
pub fn nearest_need(analysis: &Analysis) -> Vec<String> {
    let failed = analysis.rows.iter().filter(|row| row.met() == Some(false));
    failed
        .filter_map(|row| {
            let (judged, needed) = (row.judged().ok()?, row.needed?);
            let sign = if row.at_least() { "≥" } else { "≤" };
            let [shown, asked] = words::apart(row.quantity, [judged, needed]);
            Some(format!(
                "{} {sign} {shown} (asked: {asked})",
                words::row_name(row)
            ))
        })
        .collect()
}

/// The same as text for the terminal.
pub fn nearest_feasible_need(brief: &Brief, analysis: &Analysis) -> String {
    let lines = nearest_need(analysis).into_iter();
    let lines: String = lines.map(|line| format!("  {line}\n")).collect();
    let heading = words::wrapped(&nearest_need_heading(brief), 79).join("\n");
    format!("{heading}\n{lines}")
}
