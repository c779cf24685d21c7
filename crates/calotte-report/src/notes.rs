//! Where the model holds, in words.

use calotte::elasticity::{FewDigits, ValidityNote, short_bars};
use calotte_format::stiffness_words;
use calotte_format::words;

use crate::sides::{Mean, words_of};

/// Values by key, in the order in which keys came.
type Keyed<K, V> = Vec<(K, V)>;

/// Validity notes in words; short bars of one section share a sentence.
pub fn notes_words(notes: &[ValidityNote]) -> Vec<String> {
    let mut sentences = Vec::new();
    // By section size, mm; then by free length, mm.
    let mut short: Keyed<f64, Keyed<String, Vec<&str>>> = Vec::new();
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
                let size = size * 1e3;
                let lengths = entry(&mut short, size);
                entry(lengths, length).push(body);
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
    let uncertain = range.map_or(String::new(), |range| {
        format!(
            ", and the stiffness of short bars is uncertain from {} to {} times that of the model, unless short_bar_stiffness_factor says more",
            words::number(range.low, 2),
            words::number(range.high, 2)
        )
    });
    for (size, lengths) in short {
        let lengths: Vec<String> = lengths
            .iter()
            .map(|(length, bodies)| format!("{length} mm of {}", bodies.join(", ")))
            .collect();
        let (free, are) = match lengths.len() {
            1 => ("free length", "is"),
            _ => ("free lengths", "are"),
        };
        sentences.push(format!(
            "{free} {} {are} under four times the larger section size {size:.1} mm: beam theory does not hold there{uncertain}; check with a finite element model of solids",
            lengths.join("; ")
        ));
    }
    sentences
}

/// What stands under a key, which is added where it is missing.
fn entry<K: PartialEq, V: Default>(all: &mut Keyed<K, V>, key: K) -> &mut V {
    let place = all.iter().position(|(one, _)| *one == key);
    let place = place.unwrap_or_else(|| {
        all.push((key, V::default()));
        all.len() - 1
    });
    &mut all[place].1
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

#[cfg(test)]
mod tests {
    use super::*;

    fn bar(body: &str, millimetres: f64, size: f64) -> ValidityNote {
        ValidityNote::ShortBar {
            body: body.to_string(),
            free_length: millimetres * 1e-3,
            size: size * 1e-3,
        }
    }

    #[test]
    fn short_bars_of_one_section_are_one_sentence_that_names_each() {
        let one = notes_words(&[bar("a", 30.0, 16.0), bar("b", 30.0, 16.0)]);
        assert_eq!(one.len(), 1);
        assert!(one[0].starts_with("free length 30.0 mm of a, b is under"));
        let all = [
            bar("a", 30.0, 16.0),
            bar("b", 40.0, 16.0),
            bar("c", 30.0, 16.0),
            bar("d", 40.0, 20.0),
        ];
        let said = notes_words(&all);
        assert_eq!(said.len(), 2, "{said:?}");
        let first = "free lengths 30.0 mm of a, c; 40.0 mm of b are under four times the larger section size 16.0 mm";
        assert!(said[0].starts_with(first), "{}", said[0]);
        assert!(said[1].starts_with("free length 40.0 mm of d is under"));
    }
}
