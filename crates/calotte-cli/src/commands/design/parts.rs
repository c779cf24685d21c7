//! A search spread over machines: each run goes through some of the islands and leaves a part; all
//! parts joined are what one run finds, to the last bit.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use calotte::brief::Brief;
use calotte::evolution::Genome;
use calotte::search::{Effort, Island, IslandFound, Outcome, islands};
use calotte_files::Claim;
use serde::{Deserialize, Serialize};

use super::explored::{self, Searched};
use super::journal::{Journal, PartLine, Question};
use crate::failure::Failure;
use crate::files::ResultsFolder;
use crate::part::Part;
use crate::put;

/// The file that a part leaves in its folder.
const FILE: &str = "part.jsonl";
/// Where a part is left without another place: beside the brief.
pub(super) fn usual_place(part: Part, brief: &Path) -> PathBuf {
    super::beside(
        brief,
        &format!("results-part-{}-of-{}", part.number, part.of),
    )
}

/// The islands that a part goes through: every so many, so that each has some of all kinds.
fn islands_of(part: Part, brief: &Brief) -> Vec<Island> {
    let all = islands(brief).into_iter();
    all.filter(|island| island.index % part.of == part.number - 1)
        .collect()
}

/// The first line of a part.
#[derive(Serialize, Deserialize, PartialEq)]
struct Head {
    #[serde(flatten)]
    question: Question,
    part: Part,
}

/// Searches the islands of a part and leaves what was found.
pub(super) fn run(
    brief: &Brief,
    effort: &Effort,
    part: Part,
    mut folder: ResultsFolder,
    target: &Path,
) -> Result<(), Failure> {
    let own = islands_of(part, brief);
    let found = explored::search(brief, effort, folder.claim(), &own, Some(part))?;
    let head = Head {
        question: Question::of(brief, effort),
        part,
    };
    let mut text = line(&head);
    for found in &found.islands {
        text += &line(&PartLine::island(found));
    }
    for ((island, genome), outcome) in found.genomes.iter().zip(&found.outcomes) {
        text += &line(&PartLine::candidate(*island, genome, &outcome.verdict));
    }
    folder.add(FILE, text);
    folder.finish()?;
    found.journal.remove();
    put!(
        "Part {part}: {} of {} kinds of linkage, {} candidates judged, in {}\n",
        own.len(),
        islands(brief).len(),
        found.outcomes.len(),
        target.display()
    );
    Ok(())
}

fn line(value: &impl Serialize) -> String {
    // Numbers and words always have a text.
    serde_json::to_string(value).unwrap_or_default() + "\n"
}

/// Reads parts and puts them together; refuses what is of another search and what is missing.
///
/// What is analysed of it afterwards is kept in a journal, as that of one run.
pub(super) fn join(
    brief: &Brief,
    effort: &Effort,
    claim: &Claim,
    paths: &[PathBuf],
) -> Result<Searched, Failure> {
    let question = Question::of(brief, effort);
    let mut parts: BTreeMap<usize, (&PathBuf, PartRead)> = BTreeMap::new();
    let mut of = None;
    for path in paths {
        let read = read(path, brief, &question)?;
        let Part { number, of: own } = read.part;
        if *of.get_or_insert(own) != own {
            return Err(Failure::new(format!(
                "{} is part {} and other parts are of {}",
                path.display(),
                read.part,
                of.unwrap_or_default()
            ))
            .hint("join parts of one number of parts"));
        }
        if let Some((other, _)) = parts.insert(number, (path, read)) {
            return Err(Failure::new(format!(
                "{} and {} are both part {number} of {own}",
                other.display(),
                path.display()
            ))
            .hint("give each part once"));
        }
    }
    let of = of.unwrap_or_default();
    let missing: Vec<String> = (1..=of)
        .filter(|number| !parts.contains_key(number))
        .map(|number| format!("{number}/{of}"))
        .collect();
    if !missing.is_empty() {
        return Err(
            Failure::new(format!("part {} is missing", missing.join(", "))).hint(format!(
                "calotte design BRIEF --part {} with the same brief, seed and effort, then join again",
                missing[0]
            )),
        );
    }
    let (journal, known) = Journal::open_islands(claim, brief, effort, "joined")?;
    super::stop_on_request();
    let mut all = Searched {
        outcomes: Vec::new(),
        genomes: Vec::new(),
        islands: Vec::new(),
        journal,
        analysed: known.analysed,
    };
    let parts = parts.into_values().flat_map(|(_, read)| read.found);
    let mut found: Vec<OneRead> = parts.collect();
    found.sort_by_key(|one| one.island.island.index);
    for one in found {
        all.islands.push(one.island);
        all.outcomes.extend(one.outcomes);
        all.genomes.extend(one.genomes);
    }
    for (index, outcome) in all.outcomes.iter_mut().enumerate() {
        outcome.candidate.index = index;
    }
    Ok(all)
}

/// One island, read.
struct OneRead {
    island: IslandFound,
    outcomes: Vec<Outcome>,
    genomes: Vec<(usize, Genome)>,
}

/// One part, read.
struct PartRead {
    part: Part,
    found: Vec<OneRead>,
}

fn read(path: &Path, brief: &Brief, question: &Question) -> Result<PartRead, Failure> {
    let file = if path.is_dir() {
        path.join(FILE)
    } else {
        path.to_path_buf()
    };
    let text = crate::files::read_part(&file)?;
    let mut lines = text.lines().enumerate();
    let broken = |number: usize| {
        Failure::new(format!(
            "{}, line {}: this is no line of a part that this program wrote",
            file.display(),
            number + 1
        ))
        .hint("search the part again: calotte design BRIEF --part N/M")
    };
    let head: Head = lines
        .next()
        .and_then(|(_, line)| serde_json::from_str(line).ok())
        .ok_or_else(|| broken(0))?;
    if let Some(difference) = head.question.differs_from(question) {
        return Err(Failure::new(format!(
            "{} is a part of another search: {difference}",
            file.display()
        ))
        .hint("join parts of one brief, searched by one program with one seed and effort"));
    }
    let own = islands_of(head.part, brief);
    let mut found: Vec<OneRead> = Vec::new();
    for (number, line) in lines {
        let line: PartLine = serde_json::from_str(line).map_err(|_| broken(number))?;
        if let PartLine::Island(index, counted) = line {
            let island = own.get(found.len()).filter(|own| own.index == index);
            let island = island.ok_or_else(|| broken(number))?;
            found.push(OneRead {
                island: counted.of(island.clone()),
                outcomes: Vec::new(),
                genomes: Vec::new(),
            });
            continue;
        }
        let (index, genome, verdict) = line.verdict().ok_or_else(|| broken(number))?;
        let mut of = found.iter_mut();
        let one = of
            .find(|one| one.island.island.index == index)
            .filter(|one| one.island.island.holds(&genome))
            .ok_or_else(|| broken(number))?;
        one.outcomes.push(Outcome {
            candidate: one.island.island.candidate(brief, &genome),
            verdict,
        });
        one.genomes.push((index, genome));
    }
    let whole = |one: &OneRead| one.island.judged == one.outcomes.len();
    if found.len() != own.len() || !found.iter().all(whole) {
        return Err(Failure::new(format!("{} is cut short", file.display()))
            .hint("search the part again: calotte design BRIEF --part N/M"));
    }
    Ok(PartRead {
        part: head.part,
        found,
    })
}
