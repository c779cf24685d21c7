//! Writes figures of every kind, with invented data, into a folder.
//!
//! ```text
//! cargo run -p calotte-plot --example gallery -- FOLDER
//! ```

mod figures;

use calotte_plot::plot::FigureStyle;
use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args()
        .nth(1)
        .ok_or("name the folder to write to: gallery FOLDER")?;
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let titled = FigureStyle {
        draw_title: true,
        ..FigureStyle::screen()
    };
    let styles = [
        ("column", FigureStyle::journal_column()),
        ("page", FigureStyle::journal_page()),
        ("screen", FigureStyle::screen()),
        ("titled", titled),
    ];
    for (name, figure) in figures::all() {
        for (style_name, style) in &styles {
            let drawing = figure.draw(style)?;
            let file = folder.join(format!("{name}-{style_name}.svg"));
            std::fs::write(&file, &drawing.svg)?;
            println!(
                "{}: {:.0} × {:.0} mm, {} kB",
                file.display(),
                drawing.width_mm,
                drawing.height_mm,
                drawing.svg.len() / 1000
            );
            for note in drawing.notes {
                println!("    {note}");
            }
        }
    }
    Ok(())
}
