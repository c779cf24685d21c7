//! Writes a page with every kind of block, with invented data.
//!
//! ```text
//! cargo run -p calotte-report --example page -- FILE.html
//! ```

#[path = "../../../calotte-plot/examples/gallery/figures/mod.rs"]
mod figures;
mod report;

use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args()
        .nth(1)
        .ok_or("name the file to write: page FILE.html")?;
    std::fs::write(&file, report::report().to_html()?)?;
    println!("{file}");
    Ok(())
}
