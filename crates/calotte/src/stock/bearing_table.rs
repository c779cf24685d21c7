//! The ball bearings that ship with the program: sizes of ISO 15, typical ratings and balls.
//!
//! Each row says whether its sizes were read in print or are from memory; part lists in
//! circulation hold wrong widths and diameters, so none was copied. Widths are those of the shielded bearing, as most small bearings are sold;
//! `open_width` is that of the open one where it is narrower.
//!
//! Ratings are typical and differ by 15 % between makers: enter the maker's value.
//! Balls are an estimate: the stock ball size and whole number that give the typical
//! ratings by ISO 76 and ISO 281. The pitch circle is half way between bore and outer
//! diameter.

use std::f64::consts::FRAC_PI_4;

use super::ball_set::BallSet;
use super::bearing::{Bearing, BearingKind, StiffnessAt};
use super::error::MachineElementError;
use crate::uncertain::Uncertain;

/// Share of the full steel ring between bore and outer diameter that a shielded
/// bearing weighs: 0.65 to 0.68 by the catalogue masses of 608 (12 g), 624 (3.1 g) and
/// 6000 (19 g), from memory.
const MASS_SHARE: f64 = 0.66;
/// Density of bearing steel, kg/m³.
const STEEL_DENSITY: f64 = 7800.0;

/// Bearings of one series are alike in shape and grow with the bore.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BearingSeries {
    /// Thinnest: 6700 and the small sizes MR74 to MR128.
    Series67,
    /// 683 to 688, 6800 and up.
    Series68,
    /// 693 to 698, 6900 and up.
    Series69,
    /// 604 to 608, 6000 and up.
    Series60,
    /// 623 to 628, 6200 and up.
    Series62,
    /// MR105 and MR126, between the series.
    SeriesMr,
}

/// A row of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct ShippedBearing {
    /// Designation of the trade, such as `624`.
    pub designation: &'static str,
    /// Its series.
    pub series: BearingSeries,
    /// Bore, m.
    pub bore: f64,
    /// Outer diameter, m.
    pub outer_diameter: f64,
    /// Width with shields, m.
    pub width: f64,
    /// Width without shields, m.
    pub open_width: f64,
    /// Number of balls, an estimate.
    pub ball_count: usize,
    /// Ball diameter, m, an estimate.
    pub ball_diameter: f64,
    /// Typical dynamic load rating C, N.
    pub dynamic_rating: f64,
    /// Typical static load rating C0, N.
    pub static_rating: f64,
    /// Whether sizes and ratings were read in print or are from memory.
    pub source: RowSource,
}

/// Where a row of the table comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowSource {
    /// Sizes and ratings from a maker's catalogue.
    Catalogue,
    /// Sizes checked against public part lists, ratings from memory.
    SizesChecked,
    /// Sizes and ratings from memory.
    FromMemory,
}

use BearingSeries::{Series60, Series62, Series67, Series68, Series69, SeriesMr};
use RowSource::{Catalogue, FromMemory, SizesChecked};

/// Designation, series, source.
type Head = (&'static str, BearingSeries, RowSource);
/// Bore, outer diameter, width with and without shields in mm; number of balls and their
/// diameter in mm; C and C0 in N.
type Sizes = [f64; 8];

/// In ascending bore, then outer diameter.
#[rustfmt::skip]
const TABLE: [(Head, Sizes); 45] = [
    (("683", Series68, SizesChecked), [3., 7., 3., 2., 7., 1.2, 390., 130.]),
    (("693", Series69, SizesChecked), [3., 8., 4., 3., 6., 1.588, 560., 180.]),
    (("623", Series62, SizesChecked), [3., 10., 4., 4., 7., 1.588, 630., 220.]),
    (("MR74", Series67, SizesChecked), [4., 7., 2.5, 2., 8., 1.0, 315., 115.]),
    (("684", Series68, FromMemory), [4., 9., 4., 2.5, 7., 1.588, 640., 225.]),
    (("694", Series69, SizesChecked), [4., 11., 4., 4., 7., 2.0, 960., 350.]),
    (("604", Series60, FromMemory), [4., 12., 4., 4., 7., 2.0, 960., 350.]),
    (("624", Series62, SizesChecked), [4., 13., 5., 5., 7., 2.381, 1300., 490.]),
    (("MR85", Series67, SizesChecked), [5., 8., 2.5, 2., 8., 1.0, 310., 120.]),
    (("MR105", SeriesMr, SizesChecked), [5., 10., 4., 3., 8., 1.2, 430., 170.]),
    (("685", Series68, FromMemory), [5., 11., 5., 3., 8., 1.588, 715., 281.]),
    (("695", Series69, SizesChecked), [5., 13., 4., 4., 8., 2.0, 1080., 430.]),
    (("605", Series60, FromMemory), [5., 14., 5., 5., 7., 2.381, 1330., 505.]),
    (("625", Series62, SizesChecked), [5., 16., 5., 5., 7., 2.778, 1730., 670.]),
    (("MR106", Series67, FromMemory), [6., 10., 3., 2.5, 10., 1.2, 495., 218.]),
    (("MR126", SeriesMr, SizesChecked), [6., 12., 4., 3., 8., 1.588, 715., 292.]),
    (("686", Series68, FromMemory), [6., 13., 5., 3.5, 8., 2.0, 1080., 440.]),
    (("696", Series69, SizesChecked), [6., 15., 5., 5., 7., 2.778, 1735., 670.]),
    (("606", Series60, FromMemory), [6., 17., 6., 6., 6., 3.5, 2260., 835.]),
    (("626", Series62, SizesChecked), [6., 19., 6., 6., 6., 3.5, 2340., 885.]),
    (("MR117", Series67, FromMemory), [7., 11., 3., 2.5, 9., 1.2, 455., 201.]),
    (("687", Series68, FromMemory), [7., 14., 5., 3.5, 9., 2.0, 1170., 510.]),
    (("697", Series69, FromMemory), [7., 17., 5., 5., 9., 2.381, 1610., 715.]),
    (("607", Series60, FromMemory), [7., 19., 6., 6., 6., 3.5, 2340., 885.]),
    (("627", Series62, FromMemory), [7., 22., 7., 7., 7., 3.969, 3300., 1370.]),
    (("MR128", Series67, FromMemory), [8., 12., 3.5, 2.5, 12., 1.2, 545., 274.]),
    (("688", Series68, SizesChecked), [8., 16., 5., 4., 10., 2.0, 1250., 590.]),
    (("698", Series69, FromMemory), [8., 19., 6., 6., 7., 3.175, 2240., 910.]),
    (("608", Series60, SizesChecked), [8., 22., 7., 7., 7., 3.969, 3450., 1370.]),
    (("628", Series62, FromMemory), [8., 24., 8., 8., 7., 3.969, 3350., 1430.]),
    (("6700", Series67, Catalogue), [10., 15., 4., 3., 11., 1.588, 855., 435.]),
    (("6800", Series68, Catalogue), [10., 19., 5., 5., 11., 2.381, 1830., 925.]),
    (("6900", Series69, Catalogue), [10., 22., 6., 6., 9., 3.175, 2700., 1270.]),
    (("6000", Series60, Catalogue), [10., 26., 8., 8., 7., 4.762, 4550., 1960.]),
    (("6200", Series62, FromMemory), [10., 30., 9., 9., 8., 4.762, 5100., 2390.]),
    (("6701", Series67, Catalogue), [12., 18., 4., 4., 13., 1.588, 930., 530.]),
    (("6801", Series68, Catalogue), [12., 21., 5., 5., 12., 2.381, 1920., 1040.]),
    (("6901", Series69, Catalogue), [12., 24., 6., 6., 10., 3.175, 2890., 1460.]),
    (("6001", Series60, Catalogue), [12., 28., 8., 8., 8., 4.762, 5100., 2390.]),
    (("6201", Series62, FromMemory), [12., 32., 10., 10., 7., 5.953, 6800., 3050.]),
    (("6702", Series67, SizesChecked), [15., 21., 4., 4., 14., 1.588, 940., 585.]),
    (("6802", Series68, SizesChecked), [15., 24., 5., 5., 14., 2.381, 2070., 1260.]),
    (("6902", Series69, SizesChecked), [15., 28., 7., 7., 10., 3.969, 4300., 2260.]),
    (("6002", Series60, SizesChecked), [15., 32., 9., 9., 9., 4.762, 5600., 2840.]),
    (("6202", Series62, FromMemory), [15., 35., 11., 11., 8., 5.953, 7650., 3750.]),
];

impl ShippedBearing {
    fn from_row(((designation, series, source), sizes): &(Head, Sizes)) -> Self {
        let [bore, outer, width, open, count, ball, dynamic, fixed] = *sizes;
        // Division, so that 35 mm is the number nearest to 0.035 m.
        let metres = |millimetres: f64| millimetres / 1000.0;
        Self {
            designation,
            series: *series,
            bore: metres(bore),
            outer_diameter: metres(outer),
            width: metres(width),
            open_width: metres(open),
            ball_count: count as usize,
            ball_diameter: metres(ball),
            dynamic_rating: dynamic,
            static_rating: fixed,
            source: *source,
        }
    }

    /// Its balls with a given internal play across the axis, m.
    pub fn ball_set(&self, radial_play: f64) -> BallSet {
        let pitch_diameter = 0.5 * (self.bore + self.outer_diameter);
        BallSet::steel(
            self.ball_count,
            self.ball_diameter,
            pitch_diameter,
            radial_play,
        )
    }

    /// Typical internal play across the axis, m: the middle of ISO 5753's normal group,
    /// 2 to 13 µm up to a bore of 10 mm and 3 to 18 µm up to 18 mm (public tables).
    pub fn typical_radial_play(&self) -> f64 {
        if self.bore < 10.5e-3 { 7.5e-6 } else { 10.5e-6 }
    }

    /// The bearing with its typical mass, play and band of stiffness.
    ///
    /// # Errors
    /// None for the rows of the table; the models it calls check their input.
    pub fn bearing(&self) -> Result<Bearing, MachineElementError> {
        let ring = FRAC_PI_4 * (self.outer_diameter.powi(2) - self.bore.powi(2)) * self.width;
        let radial_play = self.typical_radial_play();
        let bearing = Bearing {
            name: self.designation.to_string(),
            kind: BearingKind::Ball,
            bore: self.bore,
            outer_diameter: self.outer_diameter,
            width: self.width,
            radial: Uncertain::exact(0.0),
            axial: Uncertain::exact(0.0),
            mass: MASS_SHARE * STEEL_DENSITY * ring,
            static_rating: Some(self.static_rating),
            dynamic_rating: Some(self.dynamic_rating),
            stiffness_at: StiffnessAt::Stated,
            radial_play,
            axial_play: self.ball_set(radial_play).axial_play()?,
        };
        bearing.with_typical_stiffness()
    }
}

/// All shipped bearings in ascending bore, then outer diameter.
pub fn shipped_bearings() -> Vec<ShippedBearing> {
    TABLE.iter().map(ShippedBearing::from_row).collect()
}

/// The row of a designation.
pub(crate) fn shipped_row(designation: &str) -> Option<ShippedBearing> {
    let row = TABLE.iter().find(|((name, _, _), _)| *name == designation);
    row.map(ShippedBearing::from_row)
}

/// All shipped bearings of the series a designation belongs to, in ascending bore; empty
/// for a designation that is not shipped.
///
/// # Example
/// ```
/// # use calotte::stock::series_of;
/// let bores = series_of("688").iter().map(|row| row.bore).collect::<Vec<_>>();
/// assert!(bores.contains(&10e-3) && bores.is_sorted());
/// assert!(series_of("no such bearing").is_empty());
/// ```
pub fn series_of(designation: &str) -> Vec<ShippedBearing> {
    let Some(given) = shipped_row(designation) else {
        return Vec::new();
    };
    let rows = shipped_bearings().into_iter();
    rows.filter(|row| row.series == given.series).collect()
}

/// The bearing of the next smaller bore in the same series, if the table has one.
///
/// Bores of 9 mm are left out of the table, being seldom kept in stock.
///
/// # Example
/// ```
/// # use calotte::stock::one_size_down;
/// let smaller = |name: &str| one_size_down(name).map(|bearing| bearing.designation);
/// assert_eq!(smaller("624"), Some("623"));
/// assert_eq!(smaller("6800"), Some("688"));
/// assert_eq!(smaller("623"), None);
/// ```
pub fn one_size_down(designation: &str) -> Option<ShippedBearing> {
    let given = shipped_row(designation)?;
    shipped_bearings()
        .into_iter()
        .rfind(|row| row.series == given.series && row.bore < given.bore)
}

impl Bearing {
    /// The shipped bearing of this designation with its typical values; `None` if the
    /// table has none.
    ///
    /// # Example
    /// ```
    /// # use calotte::stock::Bearing;
    /// let bearing = Bearing::shipped("624").unwrap();
    /// assert_eq!((bearing.bore, bearing.outer_diameter, bearing.width), (4e-3, 13e-3, 5e-3));
    /// assert!(Bearing::shipped("no such bearing").is_none());
    /// ```
    pub fn shipped(designation: &str) -> Option<Bearing> {
        shipped_row(designation)?.bearing().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_in_order_and_can_be_built() {
        let rows = shipped_bearings();
        let key = |row: &ShippedBearing| (row.bore, row.outer_diameter);
        for pair in rows.windows(2) {
            assert!(key(&pair[0]) < key(&pair[1]), "{}", pair[1].designation);
        }
        for row in &rows {
            let name = row.designation;
            assert_eq!(shipped_row(name).as_ref(), Some(row), "{name}");
            row.ball_set(row.typical_radial_play()).validate().unwrap();
            assert!(row.open_width <= row.width && row.width < row.outer_diameter);
            // Balls leave walls of both rings.
            let room = 0.5 * (row.outer_diameter - row.bore);
            assert!(row.ball_diameter < 0.7 * room, "{name}");
            let bearing = Bearing::shipped(name).unwrap();
            for band in [bearing.radial, bearing.axial] {
                assert!(0.0 < band.low && band.low < band.value && band.value < band.high);
            }
            assert!(bearing.mass > 0.0 && bearing.axial_play > bearing.radial_play);
        }
    }

    /// Catalogue masses from memory: 608 12 g, 624 3.1 g, 6000 19 g, 688 4 g with shields.
    #[test]
    fn masses_are_near_those_of_catalogues() {
        for (name, grams) in [("608", 12.0), ("624", 3.1), ("6000", 19.0)] {
            let mass = Bearing::shipped(name).unwrap().mass;
            assert!((mass * 1e3 / grams - 1.0).abs() < 0.05, "{name}: {mass}");
        }
    }

    /// A size down is the next smaller bore, and a series never changes.
    #[test]
    fn a_size_down_is_the_next_in_its_series() {
        for row in shipped_bearings() {
            if let Some(smaller) = one_size_down(row.designation) {
                assert_eq!(smaller.series, row.series);
                assert!(smaller.bore < row.bore);
                let between = shipped_bearings().into_iter().any(|other| {
                    other.series == row.series && smaller.bore < other.bore && other.bore < row.bore
                });
                assert!(!between, "{}", row.designation);
            }
        }
        for (name, smaller) in [("625", "624"), ("626", "625"), ("6000", "608")] {
            assert_eq!(one_size_down(name).unwrap().designation, smaller);
        }
        assert!(one_size_down("").is_none() && one_size_down("x").is_none());
    }
}
