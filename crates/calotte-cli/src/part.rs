//! One part of a search that is spread over machines, as it is named on the command line.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// Most parts.
const PARTS_MAX: usize = 10_000;

/// One part of several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part {
    /// Its number, from 1.
    pub number: usize,
    /// How many there are.
    pub of: usize,
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let said = || format!("a part is named N/M, such as 2/4: 1 to M of at most {PARTS_MAX}");
        let (number, of) = text.split_once('/').ok_or_else(said)?;
        let [number, of] = [number, of].map(|one| one.trim().parse::<usize>().ok());
        let (number, of) = number.zip(of).ok_or_else(said)?;
        let allowed = (1..=of).contains(&number) && of <= PARTS_MAX;
        allowed.then_some(Self { number, of }).ok_or_else(said)
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}
