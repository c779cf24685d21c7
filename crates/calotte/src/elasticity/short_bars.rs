//! Bars that are too short for beam theory, and what solids of them say of their stiffness.
//!
//! Between a joint and the next the arc of such a bar is hardly longer than it is wide: bosses
//! give way with it, and sections do not stay plane. Solids of random short bars between their
//! bosses (`oracles/short_bars.py`, derived) were compared with the arc element and its rigid
//! zones by the extreme eigenvalues of one compliance over the other, the most that any load
//! can make of the difference. What they found is taken as a range about the element's
//! stiffness, one factor for all short bars of a linkage, after the shortest of them. The 100
//! solids had free lengths of 0.4 to 4 section sizes, bosses of 1.1 to 1.8 widths of the bar and
//! up to 2.2 times its height, holes of a quarter to four fifths of the boss; in the middle they
//! were within 0.8 to 1 of the element, and farthest off with a small hole in a narrow boss.
//! Nothing shorter was looked at.

use crate::built::Built;
use crate::design::Design;
use crate::linkage::{Linkage, Place};
use crate::sphere::arc_between;
use crate::stock::Section;
use crate::uncertain::Uncertain;

/// Free length over the larger section size below which a bar is short.
pub const SHORT_BELOW: f64 = 4.0;

/// A row of [`FACTORS`]: free length over the larger section size, up to which it holds, and
/// least and greatest stiffness of solids over that of the element.
type Factor = (f64, [f64; 2]);

/// What solids say, the shortest first.
const FACTORS: [Factor; 2] = [(2.0, [0.35, 1.9]), (SHORT_BELOW, [0.45, 1.3])];

/// The larger size of a section, m.
fn size(section: &Section) -> f64 {
    section.depth().max(section.width())
}

/// Whether a bar of this free length, m, is too short for beam theory.
pub fn is_short(free_length: f64, section: &Section) -> bool {
    free_length < SHORT_BELOW * size(section)
}

/// Stiffness over that of the element for a free length over the larger section size; `None`
/// where beam theory holds.
pub fn factor(ratio: f64) -> Option<Uncertain> {
    let (_, [low, high]) = FACTORS.into_iter().find(|(up_to, _)| ratio < *up_to)?;
    Some(Uncertain::band(1.0, low, high))
}

/// That of the bar of a linkage that is shortest for its section; `None` where all are long enough.
pub fn factor_of(design: &Design, linkage: &Linkage, built: &Built) -> Option<Uncertain> {
    let ratios = linkage.bodies.iter().enumerate().flat_map(|(index, body)| {
        let radius = built.radii[index];
        let size = size(body.section(design));
        body.arcs.iter().map(move |arc| {
            let angle = arc_between(&body.stations[arc.from], &body.stations[arc.to]);
            let zones = [arc.from, arc.to].map(|station| {
                let place = Place {
                    body: index,
                    station,
                };
                built.rigid_zone(design, linkage, place)
            });
            (radius * angle - zones[0] - zones[1]) / size
        })
    });
    factor(ratios.fold(f64::INFINITY, f64::min))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shorter_the_wider_the_range() {
        assert_eq!(factor(SHORT_BELOW), None);
        assert_eq!(factor(f64::INFINITY), None);
        let widths: Vec<f64> = [0.5, 3.9]
            .map(|ratio| factor(ratio).expect("a range"))
            .map(|range| range.high - range.low)
            .to_vec();
        assert!(
            widths.windows(2).all(|pair| pair[0] > pair[1]),
            "{widths:?}"
        );
    }
}
