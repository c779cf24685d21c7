//! Maps over the dome: conditioning, stiffness, contact deflection, sag.

mod outlines;

use calotte::analysis::Requirements;
use calotte::analysis::ring::{RingResult, solve_ring};
use calotte::brief::LoadCase;
use calotte::kinematics::WorkingRange;
use calotte::quantity::Quantity;
use calotte::sphere::{self, Region};
use calotte::subject::Model;
use calotte_plot::plot::{
    Better, ColourScale, Direction, DomeCell, DomeMap, DomeMark, DomePanel, DomeRing, DomeView,
    Figure, Plot,
};
use rayon::prelude::*;

use super::frame::figure;
use crate::design::found::Found;
use crate::error::ReportError;
use calotte_format::words;
use outlines::{circle, outlines, shown};

/// Sectors of a ring.
const SECTORS: usize = 120;
/// Greatest width of a ring, degrees.
const RING_WIDTH_DEG: f64 = 1.0;
/// Parts of a sector, and of a ring, where an edge of the region or of the reach
/// runs through it.
const PARTS: [usize; 2] = [3, 2];
/// Relative spread below which the values of one ring count as equal: far above
/// rounding, far below one step of colour.
const EQUAL: f64 = 1e-9;

/// The maps that the brief has values for, with their file names.
pub fn maps(found: &Found, range: &WorkingRange) -> Result<Vec<(String, Figure)>, ReportError> {
    let dome = Dome::solve(found, range)?;
    let mut figures = vec![
        ("lci-over-dome".to_string(), dome.lci(found)),
        ("stiffness-over-dome".to_string(), dome.stiffness(found)),
    ];
    if !found.brief.value.loads.is_empty() {
        let name = "contact-deflection-over-dome".to_string();
        figures.push((name, dome.contact(found)));
        let name = "centre-shift-over-dome".to_string();
        figures.push((name, dome.centre_shift(found)));
    }
    if found.design.tool.mass.is_some() {
        figures.push(("sag-over-dome".to_string(), dome.sag(found)));
    }
    Ok(figures)
}

/// One ring: its edges, rad, and its answers where it is reached.
struct Ring {
    edges: [f64; 2],
    solved: Option<RingResult>,
}

/// What a direction is, whatever the quantity.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Covered,
    NotReached,
    Outside,
}

/// The dome, solved ring by ring.
struct Dome<'f> {
    rings: Vec<Ring>,
    model: &'f Model,
    range: WorkingRange,
    region: Region,
}

impl<'f> Dome<'f> {
    fn solve(found: &'f Found, range: &WorkingRange) -> Result<Self, ReportError> {
        let model = found.subject.model().map_err(ReportError::new)?;
        let region = found.analysis.region_in_base.clone();
        let azimuths: Vec<f64> = (0..SECTORS).map(sector_middle).collect();
        let loads = &Requirements::from_brief(&found.brief.value).loads;
        let rings = ring_edges(range, &region)
            .par_windows(2)
            .map(|pair| Ring {
                edges: [pair[0], pair[1]],
                solved: range
                    .second_for_polar(&model.kinematics.meridian, 0.5 * (pair[0] + pair[1]))
                    .and_then(|second| solve_ring(model, second, &azimuths, loads).ok()),
            })
            .collect();
        Ok(Self {
            rings,
            model,
            range: range.clone(),
            region,
        })
    }

    fn kind(&self, ring: &Ring, polar: f64, azimuth: f64) -> Kind {
        let vector = sphere::Direction { polar, azimuth }.vector();
        // Between single directions the map shows what could be reached there;
        // excluded zones are drawn over it.
        let inside = self.region.is_points() || self.region.contains(&vector);
        if !inside || self.region.is_excluded(&vector) {
            return Kind::Outside;
        }
        let reached = ring.solved.as_ref().is_some_and(|solved| {
            self.range
                .azimuths(&self.model.kinematics.meridian, solved.second)
                .contains(azimuth)
        });
        if reached {
            Kind::Covered
        } else {
            Kind::NotReached
        }
    }

    /// Cells of the whole dome; `value` is asked for a covered ring and sector.
    fn cells(&self, value: impl Fn(&RingResult, usize) -> f64) -> Vec<DomeRing> {
        self.rings
            .iter()
            .flat_map(|ring| self.ring_cells(ring, &value))
            .collect()
    }

    /// A ring as whole sectors, and in parts where an edge runs through a sector.
    fn ring_cells(&self, ring: &Ring, value: &impl Fn(&RingResult, usize) -> f64) -> Vec<DomeRing> {
        let cell = |kind: Kind, sector: usize| match (kind, &ring.solved) {
            (Kind::Covered, Some(solved)) => DomeCell::Value(value(solved, sector)),
            (Kind::NotReached, _) | (Kind::Covered, None) => DomeCell::NotReached,
            (Kind::Outside, _) => DomeCell::Outside,
        };
        let parts: Vec<Vec<Kind>> = (0..SECTORS).map(|s| self.part_kinds(ring, s)).collect();
        let mixed = |sector: usize| parts[sector].iter().any(|k| *k != parts[sector][0]);
        let whole = (0..SECTORS)
            .map(|sector| {
                if mixed(sector) {
                    DomeCell::Outside
                } else {
                    cell(parts[sector][0], sector)
                }
            })
            .collect();
        let dome_ring = |edges: [f64; 2], cells: Vec<DomeCell>| DomeRing {
            polar_deg: edges.map(f64::to_degrees),
            azimuth_start_deg: 0.0,
            cells,
        };
        let mut rings = vec![dome_ring(ring.edges, joined(whole))];
        if (0..SECTORS).any(mixed) {
            let [across, along] = PARTS;
            let width = (ring.edges[1] - ring.edges[0]) / along as f64;
            for layer in 0..along {
                let low = ring.edges[0] + width * layer as f64;
                let cells = (0..SECTORS * across)
                    .map(|i| {
                        let sector = i / across;
                        if mixed(sector) {
                            cell(parts[sector][layer * across + i % across], sector)
                        } else {
                            DomeCell::Outside
                        }
                    })
                    .collect();
                rings.push(dome_ring([low, low + width], cells));
            }
        }
        rings
    }

    /// What the parts of a sector are, innermost layer first.
    fn part_kinds(&self, ring: &Ring, sector: usize) -> Vec<Kind> {
        let [across, along] = PARTS;
        let [low, high] = ring.edges;
        let width = std::f64::consts::TAU / (SECTORS * across) as f64;
        (0..along)
            .flat_map(|layer| {
                let share = (layer as f64 + 0.5) / along as f64;
                let polar = low + (high - low) * share;
                (0..across).map(move |part| {
                    let azimuth = ((sector * across + part) as f64 + 0.5) * width;
                    self.kind(ring, polar, azimuth)
                })
            })
            .collect()
    }

    fn map(
        &self,
        found: &Found,
        title: &str,
        depends: &str,
        scale: ColourScale,
        rings: Vec<DomeRing>,
        worst: Option<(sphere::Direction, String)>,
    ) -> Figure {
        let axis = sphere::Direction::of(&self.region.axis());
        let straight = axis.polar < 1e-6;
        let note = if straight {
            "Seen from outside along the base axis; azimuth 0° to the right.".to_string()
        } else {
            format!(
                "Seen from outside along the region's axis, {}.",
                words::place(axis, true)
            )
        };
        let caption = format!(
            "Equal-area projection, base frame. {depends} Required: {} of the region; covered: {}.",
            words::number(found.brief.value.coverage_min, 3),
            words::number(found.analysis.conditioning.coverage.fraction, 3)
        );
        let grid = format!(
            "{} rings of at most {RING_WIDTH_DEG}° × {SECTORS} sectors, finer along edges",
            self.rings.len()
        );
        let panel = DomePanel {
            rings,
            outlines: outlines(&self.region),
            excluded: self
                .region
                .excluded
                .iter()
                .map(|zone| circle(&zone.axis, zone.half_angle))
                .collect(),
            marks: worst
                .map(|(direction, label)| DomeMark {
                    at: shown(direction),
                    label,
                })
                .into_iter()
                .collect(),
            ..DomePanel::default()
        };
        let plot = Plot::DomeMap(DomeMap {
            scale,
            panels: vec![panel],
            view: DomeView {
                axis: if straight {
                    Direction::default()
                } else {
                    shown(axis)
                },
                right_azimuth_deg: 0.0,
                note,
            },
            not_reached: if self.region.is_points() {
                "not reached".to_string()
            } else {
                "required, not covered".to_string()
            },
            excluded: "excluded by the brief".to_string(),
        });
        figure(found, title, caption, &grid, plot)
    }

    /// The same polar angle at an azimuth that is covered: a row that depends on
    /// the polar angle only names azimuth 0, which need not belong to the region.
    fn on_covered(&self, place: sphere::Direction) -> sphere::Direction {
        let off = |polar: f64| (polar - place.polar).abs();
        let points = self.region.points();
        if self.region.is_points() {
            return points
                .iter()
                .map(sphere::Direction::of)
                .min_by(|a, b| off(a.polar).total_cmp(&off(b.polar)))
                .unwrap_or(place);
        }
        let middle = |ring: &Ring| 0.5 * (ring.edges[0] + ring.edges[1]);
        let covered =
            |ring: &Ring, azimuth: f64| self.kind(ring, middle(ring), azimuth) == Kind::Covered;
        let azimuths = || std::iter::once(place.azimuth).chain((0..SECTORS).map(sector_middle));
        self.rings
            .iter()
            .filter_map(|ring| Some((ring, azimuths().find(|azimuth| covered(ring, *azimuth))?)))
            .min_by(|a, b| off(middle(a.0)).total_cmp(&off(middle(b.0))))
            .map_or(place, |(_, azimuth)| sphere::Direction {
                polar: place.polar,
                azimuth,
            })
    }

    fn lci(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, _| ring.lci);
        let worst = worst(found, Quantity::LciMin, "minimum")
            .map(|(place, label)| (self.on_covered(place), label));
        let scale = ColourScale {
            better: Better::More,
            ..ColourScale::new("Local conditioning index (LCI)", "")
        };
        let title = "Conditioning over the dome";
        self.map(found, title, POLAR_ONLY, scale, cells, worst)
    }

    fn stiffness(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, _| ring.stiffness.least / 1e3);
        let worst = worst(found, Quantity::Stiffness, "minimum");
        let scale = ColourScale {
            better: Better::More,
            ..ColourScale::new("Minimum translational stiffness", "N/mm")
        };
        let title = "Minimum stiffness over the dome";
        self.map(found, title, POLAR_ONLY, scale, cells, worst)
    }

    fn contact(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, sector| {
            let all = &ring.points[sector].cases;
            all.iter().map(|case| case.deflection).fold(0.0, f64::max) * 1e3
        });
        let worst = worst(found, Quantity::ContactDeflection, "worst");
        let names: Vec<&str> = found.brief.value.loads.iter().map(load_name).collect();
        let depends = format!(
            "Displacement of the tool tip by the load case that moves it most at each direction (of: {}), without own weight.",
            names.join(", ")
        );
        let scale = ColourScale::new("Contact deflection, worst load case", "mm");
        let title = "Contact deflection over the dome";
        self.map(found, title, &depends, scale, cells, worst)
    }

    fn centre_shift(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, sector| {
            let all = &ring.points[sector].cases;
            all.iter().map(|case| case.centre_shift).fold(0.0, f64::max) * 1e3
        });
        let worst = worst(found, Quantity::CentreShift, "worst");
        let names: Vec<&str> = found.brief.value.loads.iter().map(load_name).collect();
        let depends = format!(
            "Distance by which the tool's line misses the remote centre under the load case that moves it most at each direction (of: {}), without own weight.",
            names.join(", ")
        );
        let scale = ColourScale::new("Centre shift, worst load case", "mm");
        let title = "Centre shift over the dome";
        self.map(found, title, &depends, scale, cells, worst)
    }

    fn sag(&self, found: &Found) -> Figure {
        let cells = self.cells(|ring, sector| ring.points[sector].sag.norm() * 1e3);
        let worst = worst(found, Quantity::Sag, "worst");
        let depends =
            "Displacement of the tool tip by the weight of linkage and tool, without contact load.";
        let scale = ColourScale::new("Sag by own weight", "mm");
        self.map(found, "Sag over the dome", depends, scale, cells, worst)
    }
}

/// Why one mark stands for its whole ring.
const POLAR_ONLY: &str =
    "It depends on the polar angle only: the marked place stands for every azimuth on its ring.";

fn load_name(load: &LoadCase) -> &str {
    &load.name
}

/// A ring of equal cells as one cell: the same picture, fewer bytes.
fn joined(cells: Vec<DomeCell>) -> Vec<DomeCell> {
    let equal = |cell: &DomeCell| match (cell, &cells[0]) {
        (DomeCell::Value(a), DomeCell::Value(b)) => (a - b).abs() <= EQUAL * b.abs(),
        (a, b) => a == b,
    };
    if cells.iter().all(equal) {
        vec![cells[0]]
    } else {
        cells
    }
}

/// Place and label of the worst row of a kind: the same number as in the table.
fn worst(found: &Found, quantity: Quantity, word: &str) -> Option<(sphere::Direction, String)> {
    found
        .analysis
        .rows
        .iter()
        .filter(|row| row.quantity == quantity)
        .filter_map(|row| Some((row, *row.got.as_ref().ok()?, row.worst_at?)))
        .max_by(|a, b| {
            let sign = if a.0.at_least() { -1.0 } else { 1.0 };
            (sign * a.1).total_cmp(&(sign * b.1))
        })
        .map(|(row, value, place)| {
            (
                place,
                format!("{word} {}", words::value_of(row.quantity, value)),
            )
        })
}

/// Middle of a sector, rad.
fn sector_middle(sector: usize) -> f64 {
    (sector as f64 + 0.5) * std::f64::consts::TAU / SECTORS as f64
}

/// Edges of the rings, rad: a plain grid, and every polar angle at which the
/// region or the reach begins or ends.
fn ring_edges(range: &WorkingRange, region: &Region) -> Vec<f64> {
    let far = region
        .polar_extent()
        .map_or(std::f64::consts::FRAC_PI_2, |[_, hi]| hi);
    let width = RING_WIDTH_DEG.to_radians();
    let mut edges: Vec<f64> = (0..=(far / width).ceil() as usize)
        .map(|i| (i as f64 * width).min(far))
        .collect();
    edges.extend(region.polar_breaks());
    edges.extend([range.polar_min(), range.polar_max()]);
    edges.retain(|edge| (0.0..=far).contains(edge));
    edges.push(far);
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|a, b| (*a - *b).abs() < 1e-4);
    edges
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_ring_of_equal_cells_is_joined() {
        let value = DomeCell::Value;
        assert_eq!(joined(vec![value(1.0), value(1.0 + 1e-12)]).len(), 1);
        assert_eq!(joined(vec![value(1.0), value(1.001)]).len(), 2);
        assert_eq!(joined(vec![value(1.0), DomeCell::Outside]).len(), 2);
    }
}
