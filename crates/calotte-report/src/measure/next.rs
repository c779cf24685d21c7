//! What to do after a fit, with a command that runs as it is printed.

use calotte::design::Design;
use calotte::family::parameters::Part;
use calotte::measurement::{Cause, Judged, Outcome, PhysicalModel, Prototype, Standing};
use calotte_format::words;

use crate::found::of_standing;

/// Paths and options of a fit, as they were given.
#[derive(Debug, Clone, Default)]
pub struct FitCall {
    /// The design.
    pub design: String,
    /// The points.
    pub points: String,
    /// The weights, if any.
    pub weights: Option<String>,
    /// The brief, if any.
    pub brief: Option<String>,
    /// Parameters that were held.
    pub hold: Vec<String>,
    /// Whether sag was added.
    pub sag: bool,
    /// The folder of results.
    pub out: String,
    /// Folders that do not exist yet: for a further plan and for the next prototype.
    pub plan: String,
    /// The other one.
    pub next: String,
}

/// Columns of the text and of a command.
const WIDTH: usize = 79;
const TEXT: usize = 69;

/// What to do next, line by line: sentences below `Next`, each with its command, which a shell
/// takes as it stands. Nothing for a prototype that agrees, or points of another design.
pub fn next_lines(design: &Design, found: &Prototype, call: &FitCall) -> Vec<String> {
    let Prototype { model, judged, .. } = found;
    let mut steps: Vec<(String, Option<Vec<String>>)> = Vec::new();
    if judged.agrees || judged.unlike.is_some() {
        return Vec::new();
    }
    let again = |what: &str| (format!("{what}; then measure again"), Some(plan(call)));
    let deviates = judged.outcome == Outcome::Deviates;
    match (&found.next, judged.outcome) {
        (_, Outcome::LackOfFit) => steps.push(again("mend what the verdict names first")),
        (Some(next), _) if next.times.is_some() => steps.push((
            format!(
                "before anything is changed on the prototype or its controller: measure what Measure says, add the rows to {} and fit again",
                call.points
            ),
            Some(fit(call)),
        )),
        (_, Outcome::Undecided) => steps.push((
            "measure more points, over all of the range".to_string(),
            Some(plan(call)),
        )),
        _ => {}
    }
    let bars = judged.certain.iter().filter(|_| deviates);
    let bars: Vec<&str> = bars
        .filter_map(|part| match part {
            Cause::Bar(name) => Some(name.as_str()),
            _ => None,
        })
        .collect();
    if deviates && bars.is_empty() && judged.alternatives.is_empty() {
        steps.push(again("no part is made again: do what the verdict says"));
    }
    if !bars.is_empty() {
        let kept = what_to_keep(design, model, judged);
        let names = bars.join(" and ");
        steps.push(match &call.brief {
            Some(brief) => (
                format!(
                    "make {names} again to {}; or choose the next prototype, in which {} stays",
                    call.design,
                    kept_words(&kept)
                ),
                Some(choose(call, brief, &kept)),
            ),
            None => (
                format!(
                    "make {names} again to {}; or choose the next prototype: fit again with the brief (--brief), and its command is printed here",
                    call.design
                ),
                None,
            ),
        });
    }
    let mut lines = Vec::new();
    for (text, command) in steps {
        for line in words::wrapped(&text, TEXT) {
            let head = if lines.is_empty() { "Next" } else { "" };
            lines.push(format!("{head:<10} {line}"));
        }
        lines.extend(command.map(|words| on_lines(&words)).unwrap_or_default());
    }
    lines
}

/// What `--keep` names, in words.
fn kept_words(kept: &str) -> String {
    let named: Vec<String> = kept
        .split(',')
        .map(|one| match one.strip_prefix("bars:") {
            Some(number) => format!("bar {number} of either branch"),
            None if one == "base" => "the ground with the base bars".to_string(),
            None => "the ground".to_string(),
        })
        .collect();
    named.join(", ")
}

/// What a next prototype may keep, as `--keep` takes it: the ground, and every pair of bars of
/// which the verdict holds both for sound.
pub fn what_to_keep(design: &Design, model: &PhysicalModel, judged: &Judged) -> String {
    let sound = of_standing(model, judged, Standing::Sound);
    let of = |parts: &[Cause], wanted: Part| {
        let mut parts = parts.iter();
        parts.any(
            |part| matches!(part, Cause::Bar(name) if design.family.part(name) == Some(wanted)),
        )
    };
    let others: Vec<Cause> = model
        .parameters
        .iter()
        .map(|parameter| parameter.cause.clone())
        .filter(|part| !sound.contains(part))
        .collect();
    let stays = |part: Part| of(&sound, part) && !of(&others, part);
    let base = if stays(Part::Base) { "base" } else { "ground" };
    let mut kept = vec![base.to_string()];
    let bars = (1..=design.family.bar_count()).filter(|bar| stays(Part::Bar(*bar)));
    kept.extend(bars.map(|bar| format!("bars:{bar}")));
    kept.join(",")
}

fn plan(call: &FitCall) -> Vec<String> {
    let mut words = said(&["calotte measure plan", &quoted(&call.design)]);
    words.extend(option("--brief", call.brief.as_ref()));
    words.extend(option("--out", Some(&call.plan)));
    words
}

fn fit(call: &FitCall) -> Vec<String> {
    let mut words = said(&[
        "calotte measure fit",
        &quoted(&call.design),
        &quoted(&call.points),
    ]);
    words.extend(option("--weights", call.weights.as_ref()));
    if !call.hold.is_empty() {
        words.extend(option("--hold", Some(&call.hold.join(","))));
    }
    if call.sag {
        words.push("--sag".to_string());
    }
    words.extend(option("--brief", call.brief.as_ref()));
    words.extend(option("--out", Some(&call.out)));
    words.push("--force".to_string());
    words
}

fn choose(call: &FitCall, brief: &str, kept: &str) -> Vec<String> {
    let fit = format!("{}/fit.json", call.out.trim_end_matches('/'));
    let mut words = said(&["calotte design", &quoted(brief)]);
    words.extend(option("--from", Some(&call.design)));
    words.extend(option("--keep", Some(&kept.to_string())));
    words.extend(option("--use", Some(&fit)));
    words.extend(option("--out", Some(&call.next)));
    words
}

fn said(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_string()).collect()
}

fn option(name: &str, value: Option<&String>) -> Option<String> {
    value.map(|value| format!("{name} {}", quoted(value)))
}

/// A word as a POSIX shell takes it: in single quotes where it holds anything but plain letters
/// (IEEE Std 1003.1, Shell Command Language 2.2.2).
fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "/._-:,=+".contains(c);
    if !word.is_empty() && word.chars().all(plain) && !word.starts_with('-') {
        return word.to_string();
    }
    let from_here = if word.starts_with('-') { "./" } else { "" };
    format!("'{from_here}{}'", word.replace('\'', r"'\''"))
}

/// A command over several lines, each but the last with a backslash at its end.
fn on_lines(words: &[String]) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::from(" ");
    for word in words {
        let long = line.chars().count() + 1 + word.chars().count() + 2 > WIDTH;
        if long && line.trim() != "" {
            lines.push(format!("{line} \\"));
            line = String::from("   ");
        }
        line.push(' ');
        line.push_str(word);
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(certain: &[&str], in_question: &[&str]) -> Judged {
        let bar = |name: &&str| Cause::Bar((*name).to_string());
        let besides = |name: &&str| (vec![bar(name)], 0.5);
        Judged {
            outcome: Outcome::Deviates,
            agrees: false,
            unlike: None,
            off: Vec::new(),
            remedies: Vec::new(),
            listed: 1,
            certain: certain.iter().map(bar).collect(),
            alternatives: in_question.iter().map(besides).collect(),
            within: 0.0,
            far: false,
            unseen: Vec::new(),
        }
    }

    #[test]
    fn only_pairs_of_bars_that_are_sound_are_kept() {
        let text = include_str!("../../../../examples/head-dome/bench/design.toml");
        let design = calotte_format::read_design(text).unwrap();
        let model = PhysicalModel::new(&design).unwrap();
        let kept = |certain: &[&str], in_question: &[&str]| {
            what_to_keep(&design, &model, &judged(certain, in_question))
        };
        assert_eq!(kept(&["base-left"], &[]), "ground,bars:1,bars:2");
        assert_eq!(kept(&["bar-right-1"], &[]), "base,bars:2");
        assert_eq!(kept(&["bar-left-2"], &[]), "base,bars:1");
        assert_eq!(kept(&[], &[]), "base,bars:1,bars:2");
        assert_eq!(kept(&["bar-left-1"], &["base-right"]), "ground,bars:2");
        // A part that is not judged is not found sound.
        let mut blind = judged(&["base-left"], &[]);
        blind.unseen = vec![model.index_of("bar-right-2.first_arc").unwrap()];
        assert_eq!(what_to_keep(&design, &model, &blind), "ground,bars:1");
    }

    #[test]
    fn words_are_quoted_for_a_shell_and_lines_are_short() {
        assert_eq!(quoted("fit/fit.json"), "fit/fit.json");
        assert_eq!(quoted("head arm/d.toml"), "'head arm/d.toml'");
        assert_eq!(quoted("a'b"), r"'a'\''b'");
        assert_eq!(quoted("-x"), "'./-x'");
        let words: Vec<String> = (0..12).map(|i| format!("--option word-{i}")).collect();
        let lines = on_lines(&words);
        assert!(lines.iter().all(|line| line.chars().count() <= 80));
        let joined = lines.join("\n").replace(" \\\n", " ");
        assert_eq!(joined.split_whitespace().count(), 24);
    }
}
