//! Where the model holds, in words.

use calotte::elasticity::{FewDigits, ValidityNote, short_bars};
use calotte_format::stiffness_words;
use calotte_format::words;

use crate::sides::{Mean, words_of};

/// Validity notes in words; bars of one free length share a sentence.
pub fn notes_words(notes: &[ValidityNote]) -> Vec<String> {
    let mut sentences = Vec::new();
    let mut short: Vec<(String, Vec<&str>, f64)> = Vec::new();
    for note in notes {
        match note {
            ValidityNote::ThickBar { ratio, winkler } => sentences.push(format!(
                "section depth over arc radius is {ratio:.3}, above 0.1: {}",
                if *winkler {
                    "the thick curved-beam form (Winkler) is used in the arc's plane"
                } else {
                    "the thin-beam formula is used, within 0.7 % up to a ratio of 0.18"
                }
            )),
            ValidityNote::SidesDiffer(most) => {
                sentences.push(words_of(most, Mean::Everything));
            }
            ValidityNote::FewDigits(few) => sentences.push(few_digits_words(few)),
            ValidityNote::KeepOutsNotJudged(count) => sentences.push(keep_outs_words(*count)),
            ValidityNote::ShortBar {
                body,
                free_length,
                size,
            } => {
                let length = format!("{:.1}", free_length * 1e3);
                match short.iter_mut().find(|(l, _, _)| *l == length) {
                    Some((_, bodies, _)) => bodies.push(body),
                    None => short.push((length, vec![body], size * 1e3)),
                }
            }
        }
    }
    let shortest = notes.iter().filter_map(|note| match note {
        ValidityNote::ShortBar {
            free_length, size, ..
        } => Some(free_length / size),
        ValidityNote::SidesDiffer(_)
        | ValidityNote::ThickBar { .. }
        | ValidityNote::FewDigits(_)
        | ValidityNote::KeepOutsNotJudged(_) => None,
    });
    let range = short_bars::factor(shortest.fold(f64::INFINITY, f64::min));
    for (length, bodies, size) in short {
        sentences.push(format!(
            "free length {length} mm of {} is under four times the larger section size {size:.1} mm: beam theory does not hold there{}; check with a finite element model of solids",
            bodies.join(", "),
            range.map_or(String::new(), |range| format!(
                ", and the stiffness of short bars is uncertain from {} to {} times that of the model, unless short_bar_stiffness_factor says more",
                words::number(range.low, 2),
                words::number(range.high, 2)
            ))
        ));
    }
    sentences
}

/// Keep-outs that nothing was held against.
pub fn keep_outs_words(count: usize) -> String {
    format!(
        "{count} {} of the brief {} not judged, coverage is that without them: the design does not say what is built; give it [layers]",
        if count == 1 { "keep-out" } else { "keep-outs" },
        if count == 1 { "is" } else { "are" }
    )
}

/// How many digits of the elastic results are sure, and which keys take the others.
pub fn few_digits_words(few: &FewDigits) -> String {
    let count = match few.digits {
        0 => "no digit of the elastic results is sure".to_string(),
        1 => "only 1 digit of the elastic results is sure".to_string(),
        digits => format!("only {digits} digits of the elastic results are sure"),
    };
    match &few.extremes {
        Some(extremes) => format!(
            "{count}: {} is too far below {}; bring the two nearer together, or write rigid = true for joints that do not deform",
            stiffness_words(extremes.soft),
            stiffness_words(extremes.stiff)
        ),
        None => format!(
            "{count}: with the drives held the linkage nearly moves in one of these directions (type 2 singularity, or too many releases)"
        ),
    }
}
