//! The page draws with the colours of the printed figures: their tables are written for it.

use calotte_plot::plot::ColourMap;

/// Entries of a table of values, enough that neighbours cannot be told apart.
const VALUES: u32 = 256;
/// Steps from inward to outward; an odd number, so that zero has one.
const OUTWARD: u32 = 11;

fn table(map: ColourMap, count: u32, [from, to]: [f64; 2]) -> String {
    let colours: Vec<String> = (0..count)
        .map(|k| map.at(from + (to - from) * f64::from(k) / f64::from(count - 1)))
        .map(|colour| colour.to_hex())
        .collect();
    colours.join(" ")
}

fn file() -> String {
    let values = table(ColourMap::Viridis, VALUES, [0.0, 1.0]);
    // Short of the ends, where both hues are nearly black.
    let outward = table(ColourMap::Diverging, OUTWARD, [0.08, 0.92]);
    format!(
        "/** Colour tables, written by a test of calotte-plot from the maps of its figures: change those. */\n\n\
         /** From the lowest value to the highest. */\n\
         export const VIRIDIS: readonly string[] =\n  '{values}'.split(\n    ' ',\n  );\n\n\
         /** From inward to outward, the middle one at zero. */\n\
         export const OUTWARD: readonly string[] =\n  '{outward}'.split(\n    ' ',\n  );\n"
    )
}

#[test]
fn the_colours_of_the_page_are_those_of_the_figures() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../calotte-page/web/src/plots/maps.ts");
    let fresh = file();
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    if kept != fresh {
        std::fs::write(&path, &fresh).unwrap();
        panic!("web/src/plots/maps.ts was stale and has been written anew: commit it");
    }
}
