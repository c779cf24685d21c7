//! Writes at the place given, for tests that cut it short: `steps results|file|journal PLACE TEXT`.

use std::path::Path;

use calotte_files::{Claim, Expected, FileError, Journal, Place, Results, write};

fn main() -> Result<(), FileError> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [what, place, text] = words.as_slice() else {
        panic!("steps results|file|journal PLACE TEXT");
    };
    let place = Path::new(place);
    let told = match what.as_str() {
        "results" | "force" => {
            let (mut results, mut told) = Results::prepare(place, what == "force")?;
            results.add("a.txt", text.as_bytes());
            results.add("plots/b.svg", text.as_bytes());
            told.extend(results.finish("calotte, a test")?);
            told
        }
        "file" => {
            let present = calotte_files::read(place, 1000)?;
            let known = calotte_files::sha256(&present);
            write(place, text.as_bytes(), Expected::Content(&known))?
        }
        "journal" => {
            let (claim, told) = Claim::take(Place::of(place)?)?;
            let (mut journal, _) = Journal::open(&claim, "header", "header of a test", |_| ())?;
            for number in 0..3 {
                // A journal that cannot be written costs only the way to go on.
                let _ = journal.append(&format!("{text} {number}\n"));
            }
            told
        }
        _ => panic!("results, force, file or journal"),
    };
    for line in told {
        println!("{line}");
    }
    Ok(())
}
