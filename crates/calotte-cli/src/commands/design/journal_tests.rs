use calotte_format::read_brief;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use calotte_files::Place;

use super::*;

const BRIEF: &str = r#"title = "journal"
[region]
shape = "cap"
half_angle_deg = 60
[tool]
tip_radius_mm = 100
[space]
joint_radius_mm = { from = 140, to = 170, step = 30 }
[choice]
stages = [1, 2]
arc_deg = { from = 20, to = 30, step = 5 }
[joints]
rigid = true
"#;

fn brief(text: &str) -> Brief {
    read_brief(text, &|name| Err(format!("{name} is not there"))).expect("a brief")
}

/// Numbers with any bits at all: no numbers, infinities and the smallest among them.
fn outcomes(grid: &Grid, group: usize, random: &mut ChaCha8Rng) -> Vec<Outcome> {
    let candidates = grid.group(group).into_iter();
    candidates
        .map(|candidate| {
            let mut number = || f64::from_bits(random.random());
            let mut values = Values::default();
            for quantity in Quantity::ALL {
                values.set(quantity, number());
            }
            values.set(Quantity::SafetyFactor, f64::INFINITY);
            values.set(Quantity::BearingStaticSafety, f64::NAN);
            let known = Verdict {
                depth: Depth::Whole,
                reason: None,
                missed: vec![(Quantity::Sag, Standing::MissedBy(number()))],
                polar: Some([number(), number()]),
                values,
                judged_by: JudgedBy::Analysis,
                missed_at: vec![(Quantity::Sag, number())],
            };
            let why = Missing::NotDescribed("\"quoted\"\n".to_string());
            let unknown = Verdict {
                missed: vec![(Quantity::BearingStaticSafety, Standing::Unknown(why))],
                ..Verdict::stopped(Depth::Reach, "\"no\" answer\n")
            };
            let verdict = if random.random::<bool>() {
                known
            } else {
                unknown
            };
            Outcome { candidate, verdict }
        })
        .collect()
}

#[test]
fn what_is_read_back_is_what_was_judged_to_the_last_bit() {
    let brief = brief(BRIEF);
    let grid = Grid::new(&brief);
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let mut numbers = 0;
    for round in 0..2000 {
        let group = round % grid.groups.len();
        let written = outcomes(&grid, group, &mut random);
        let line = line_of(group, &written);
        let Some(Read::Group(read_group, read)) = read_line(line.trim_end(), &grid) else {
            panic!("no group: {line}");
        };
        assert_eq!(read_group, group);
        // Text of a number is exact, and the same for every sort of no number.
        assert_eq!(format!("{read:?}"), format!("{written:?}"));
        // Bits, for those that compare with nothing.
        assert_eq!(line_of(group, &read), line);
        let known = |one: &&Outcome| one.verdict.polar.is_some();
        let line = text_of(&Line::Analysed(
            round % grid.len(),
            judged(&written[0].verdict),
        ));
        let Some(Read::Analysed(place, verdict)) = read_line(line.trim_end(), &grid) else {
            panic!("no candidate: {line}");
        };
        assert_eq!(text_of(&Line::Analysed(place, judged(&verdict))), line);
        numbers += written.iter().filter(known).count() * 5;
    }
    assert!(numbers > 9_000, "{numbers} numbers compared");
}

#[test]
fn a_line_cut_anywhere_is_not_believed() {
    let brief = brief(BRIEF);
    let grid = Grid::new(&brief);
    let mut random = ChaCha8Rng::seed_from_u64(12);
    let line = line_of(1, &outcomes(&grid, 1, &mut random));
    let line = line.trim_end();
    assert!(read_line(line, &grid).is_some());
    for end in 0..line.len() {
        assert!(read_line(&line[..end], &grid).is_none(), "cut at {end}");
    }
}

/// A journal is believed for the same question and the same program only.
#[test]
fn another_question_or_program_begins_anew() {
    let asked = brief(BRIEF);
    let grid = Grid::new(&asked);
    let mut random = ChaCha8Rng::seed_from_u64(13);
    let mut known_after = |header: &str, question: &Brief| {
        let place = tempfile::tempdir().expect("a temporary folder");
        let target = place.path().join("results");
        let place = Place::of(&target).expect("a place");
        let (claim, _) = Claim::take(place).expect("a claim");
        let (mut journal, known) = Journal::open_as(&claim, header, &grid).expect("a journal");
        assert!(known.groups.is_empty() && known.analysed.is_empty());
        let judged = outcomes(&grid, 2, &mut random);
        journal.append(2, &judged);
        journal.append_analysed(3, &judged[0].verdict);
        let (_, known) = Journal::open(&claim, question, &grid).expect("a journal");
        let groups = known.groups.keys().copied();
        groups
            .chain(known.analysed.keys().copied())
            .collect::<Vec<_>>()
    };
    let own = header(&asked, &grid, COMPUTED_BY);
    assert!(own.starts_with(BEGINS));
    assert_eq!(known_after(&own, &asked), [2, 3]);
    // An older program of the same version: only its sources differ.
    let other_program = header(&asked, &grid, "other sources");
    assert_eq!(known_after(&other_program, &asked), [0; 0]);
    // A grid of the same size over another tool.
    let other = brief(&BRIEF.replace("tip_radius_mm = 100", "tip_radius_mm = 101"));
    assert_eq!(Grid::new(&other).len(), grid.len());
    assert_eq!(known_after(&own, &other), [0; 0]);
}

/// Nothing in it tells a place or a time: the digest is 64 hexadecimal digits.
#[test]
fn the_program_says_what_its_numbers_come_from() {
    assert_eq!(COMPUTED_BY.len(), 64);
    assert!(COMPUTED_BY.bytes().all(|byte| byte.is_ascii_hexdigit()));
}
