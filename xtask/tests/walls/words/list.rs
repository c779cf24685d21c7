//! The list of words: which wordings are replaced, and by what.

/// One wording that is not written.
#[derive(Debug)]
pub struct Ban {
    /// Its words, in lower case; `{}` stands for a value put in.
    phrase: Vec<String>,
    /// Longer wordings that hold it in another sense.
    good: Vec<Vec<String>>,
    /// What to write.
    pub term: String,
}

/// Reads every table of the list whose head is `term | meaning | not`.
///
/// In the last column each wording stands in backticks; after the word `except` come
/// wordings that hold one of them in another sense.
pub fn read(text: &str) -> Result<Vec<Ban>, String> {
    let mut bans = Vec::new();
    let mut inside = false;
    for (index, line) in text.lines().enumerate() {
        let cells: Vec<&str> = line
            .trim()
            .trim_matches('|')
            .split('|')
            .map(str::trim)
            .collect();
        if !line.starts_with('|') {
            inside = false;
        } else if cells == ["term", "meaning", "not"] {
            inside = true;
        } else if inside && !line.starts_with("| ---") {
            let [term, _, not] = cells[..] else {
                return Err(format!("line {}: not three cells", index + 1));
            };
            let (bad, good) = not.split_once(" except ").unwrap_or((not, ""));
            let good: Vec<Vec<String>> = quoted(good).map(words).collect();
            let of_row: Vec<Vec<String>> = quoted(bad).map(words).collect();
            if of_row.iter().any(Vec::is_empty) {
                return Err(format!("line {}: a wording without words", index + 1));
            }
            bans.extend(of_row.into_iter().map(|phrase| Ban {
                phrase,
                good: good.clone(),
                term: term.to_owned(),
            }));
        }
    }
    if bans.is_empty() {
        return Err("no table `term | meaning | not` with a wording in backticks".to_owned());
    }
    Ok(bans)
}

/// What stands in backticks.
fn quoted(cell: &str) -> impl Iterator<Item = &str> {
    cell.split('`').skip(1).step_by(2)
}

/// The words of a text in lower case: letters and digits; every placeholder in braces is `{}`.
///
/// Keys and names of files are words joined by `_` or `-`.
pub fn words(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut characters = text.chars();
    while let Some(character) = characters.next() {
        if character.is_alphanumeric() {
            word.extend(character.to_lowercase());
            continue;
        }
        if !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
        if character == '{' {
            let ahead = characters.clone();
            let inner: String = ahead.take_while(|one| *one != '}').collect();
            if inner.len() < 40 && !inner.contains(['\n', ' ', '=']) {
                characters.nth(inner.chars().count());
                words.push("{}".to_owned());
            }
        }
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

impl Ban {
    /// The wording if the words hold it, other senses left aside.
    pub fn found(&self, words: &[String]) -> Option<String> {
        let length = self.phrase.len();
        let hit = words.windows(length).enumerate().any(|(at, window)| {
            window == self.phrase && !self.good.iter().any(|good| covers(good, words, at, length))
        });
        hit.then(|| self.phrase.join(" "))
    }
}

/// Whether a wording stands so that it holds the words from `at` on.
fn covers(good: &[String], words: &[String], at: usize, length: usize) -> bool {
    let first = (at + length).saturating_sub(good.len());
    (first..=at).any(|from| words.get(from..from + good.len()) == Some(good))
}
