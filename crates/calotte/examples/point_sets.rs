//! Lays point sets onto others and fits spheres, for tests that compare with other libraries.
//!
//! Reads sets from stdin, one after the other: a line `registration N` and N lines of six
//! numbers (a point, then where it is to lie), or `sphere N` and N lines of three; lengths
//! in m. Writes one line for each: the rotation row by row and the translation, or centre
//! and radius; or `error` and why there is none.

use std::error::Error;
use std::io::Read;

use calotte::measurement::{fit_sphere, register};
use nalgebra::Vector3;

fn main() -> Result<(), Box<dyn Error>> {
    let mut text = String::new();
    #[expect(
        clippy::disallowed_methods,
        reason = "an example reads for the library"
    )]
    std::io::stdin().read_to_string(&mut text)?;
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let (kind, count) = line
            .split_once(' ')
            .ok_or("a set begins with kind and count")?;
        let mut rows = Vec::new();
        for _ in 0..count.trim().parse()? {
            let row = lines.next().ok_or("a set is cut short")?;
            let numbers: Vec<f64> = row
                .split_whitespace()
                .map(str::parse)
                .collect::<Result<_, _>>()?;
            rows.push(numbers);
        }
        let column = |first: usize| -> Result<Vec<Vector3<f64>>, Box<dyn Error>> {
            rows.iter()
                .map(|row| {
                    let three = row.get(first..first + 3).ok_or("a row is too short")?;
                    Ok(Vector3::from_column_slice(three))
                })
                .collect()
        };
        let found = match kind {
            "registration" => register(&column(0)?, &column(3)?, &vec![1.0; rows.len()])
                .map(|found| {
                    let rotation = found.rotation.transpose();
                    rotation.iter().chain(&found.translation).copied().collect()
                })
                .map_err(|error| error.to_string()),
            "sphere" => fit_sphere(&column(0)?)
                .map(|found| found.centre.push(found.radius).iter().copied().collect())
                .map_err(|error| error.to_string()),
            other => return Err(format!("no set is called {other}").into()),
        };
        match found {
            Ok(numbers) => {
                let numbers: Vec<f64> = numbers;
                let words: Vec<String> = numbers.iter().map(f64::to_string).collect();
                println!("{}", words.join(" "));
            }
            Err(error) => println!("error {error}"),
        }
    }
    Ok(())
}
