//! Stacked bars: shares of a whole, such as strain energy by cause.

use super::ROWS_MAX;
use crate::number::{MAGNITUDE_MAX, fixed};
use crate::plot::colour::{Colour, ColourMap};
use crate::plot::colour_scale::shown;
use crate::plot::error::PlotError;
use crate::plot::geometry::Rect;
use crate::plot::legend::{Entry, Sample, legend_rows};
use crate::plot::sheet::Sheet;
use crate::plot::svg::{Anchor, Stroke};
use crate::plot::text::{ASCENT, MIDDLE, WIDER, width};

/// Most parts of one bar.
const PARTS_MAX: usize = 8;

/// Bars cut into the parts of a whole, one bar a row; all bars are equally long.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StackedBars {
    /// What is shared out, such as "Strain energy by cause"; empty for none.
    pub label: String,
    /// Names of the parts, in drawing order.
    pub parts: Vec<String>,
    /// Bars.
    pub rows: Vec<StackedRow>,
}

/// One bar.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StackedRow {
    /// Name left of the bar; empty for none.
    pub name: String,
    /// Size of each part in any one unit, zero or more; `None` counts as zero and is noted.
    pub values: Vec<Option<f64>>,
}

impl StackedBars {
    fn check(&self) -> Result<(), PlotError> {
        let counts = [
            ("parts of a bar", self.parts.len(), PARTS_MAX),
            ("bars", self.rows.len(), ROWS_MAX),
        ];
        for (what, found, allowed) in counts {
            if found > allowed {
                return Err(PlotError::TooMany {
                    what: what.to_owned(),
                    found,
                    allowed,
                });
            }
        }
        for row in &self.rows {
            if row.values.len() != self.parts.len() {
                return Err(PlotError::Length {
                    what: format!("bar `{}`", row.name),
                    expected: self.parts.len(),
                    found: row.values.len(),
                });
            }
            for (part, value) in self.parts.iter().zip(&row.values) {
                if let Some(value) = shown(*value).filter(|v| !(0.0..=MAGNITUDE_MAX).contains(v)) {
                    return Err(PlotError::OutOfRange {
                        what: format!("bar `{}`, part `{part}`", row.name),
                        value,
                        from: 0.0,
                        to: MAGNITUDE_MAX,
                    });
                }
            }
        }
        Ok(())
    }

    pub(crate) fn draw(&self, sheet: &mut Sheet) -> Result<(), PlotError> {
        self.check()?;
        let left = sheet.left();
        let room = sheet.right() - left;
        if !self.label.is_empty() {
            let lines = sheet.wrapped(&self.label, sheet.em, room, 2);
            let size = sheet.em;
            sheet.paragraph(&lines, left, size, false);
            sheet.y += sheet.em * 0.25;
        }
        let names = self
            .rows
            .iter()
            .map(|row| width(&row.name, sheet.small) * WIDER)
            .fold(0.0, f64::max)
            .min(room * 0.35);
        let bar_left = if names > 0.0 {
            left + names + sheet.em * 0.6
        } else {
            left
        };
        let bar_width = sheet.right() - bar_left;
        let beside = self.rows.len() == 1 && self.names_fit(sheet, &self.rows[0], bar_width);
        for row in &self.rows {
            self.bar(sheet, row, bar_left, bar_width, names);
        }
        if self.rows.is_empty() || self.parts.is_empty() {
            sheet.notes.push("No data in this figure.".to_owned());
            let size = sheet.small;
            sheet.paragraph(&["No data".to_owned()], left, size, false);
        } else if beside {
            self.names_below(sheet, &self.rows[0], bar_left, bar_width);
        } else {
            let entries: Vec<Entry> = self
                .parts
                .iter()
                .enumerate()
                .map(|(index, name)| Entry {
                    sample: Sample::Fill(self.colour(index)),
                    text: name.clone(),
                })
                .collect();
            legend_rows(sheet, &entries, bar_left, sheet.right());
        }
        Ok(())
    }

    /// Colours of growing lightness: neighbours differ in grey too.
    fn colour(&self, index: usize) -> Colour {
        let last = self.parts.len().saturating_sub(1).max(1) as f64;
        ColourMap::Cividis.at(0.06 + 0.88 * index as f64 / last)
    }

    fn names_fit(&self, sheet: &Sheet, row: &StackedRow, bar_width: f64) -> bool {
        shares(row).is_some_and(|shares| {
            self.parts.iter().zip(shares).all(|(name, share)| {
                name.is_empty() || width(name, sheet.small) + sheet.em * 0.4 <= share * bar_width
            })
        })
    }

    fn bar(&self, sheet: &mut Sheet, row: &StackedRow, left: f64, bar_width: f64, names: f64) {
        let height = sheet.em * 1.5;
        let bar = Rect::new(left, sheet.y, bar_width, height);
        let baseline = bar.centre()[1] + MIDDLE * sheet.small;
        let name = sheet.fitted(&row.name, sheet.small, names / WIDER);
        let label = sheet.label(name, [left - sheet.em * 0.6, baseline], Anchor::End);
        sheet.text(&label);
        let missing = row.values.iter().filter(|v| shown(**v).is_none()).count();
        if missing > 0 {
            sheet.notes.push(format!(
                "{missing} parts of bar “{}” have no value and count as zero.",
                row.name
            ));
        }
        match shares(row) {
            None => {
                let stroke = Stroke::solid(sheet.palette.hatch, sheet.em * 0.06);
                sheet
                    .svg
                    .rect(&bar, Some(sheet.palette.blank), Some(stroke));
                let at = [bar.centre()[0], baseline];
                let label = sheet.label("No value", at, Anchor::Middle);
                sheet.text(&label);
            }
            Some(shares) => self.segments(sheet, &shares, &bar),
        }
        sheet.y += height + sheet.em * 0.45;
    }

    fn segments(&self, sheet: &mut Sheet, shares: &[f64], bar: &Rect) {
        let baseline = bar.centre()[1] + MIDDLE * sheet.small;
        let mut x = bar.left;
        for (index, share) in shares.iter().enumerate() {
            let wide = share * bar.width();
            let segment = Rect::new(x, bar.top, wide, bar.height());
            x += wide;
            if wide <= 0.0 {
                continue;
            }
            let colour = self.colour(index);
            let gap = Stroke::solid(sheet.palette.paper, sheet.em * 0.12);
            sheet.svg.rect(&segment, Some(colour), Some(gap));
            let whole = format!("{} %", fixed(share * 100.0, 0));
            let bare = fixed(share * 100.0, 0);
            let text = [whole, bare]
                .into_iter()
                .find(|t| width(t, sheet.small) + sheet.em * 0.6 <= wide);
            if let Some(text) = text {
                let mut label = sheet.label(text, [segment.centre()[0], baseline], Anchor::Middle);
                label.colour = colour.ink_on();
                sheet.text(&label);
            }
        }
    }

    fn names_below(&self, sheet: &mut Sheet, row: &StackedRow, left: f64, bar_width: f64) {
        let Some(shares) = shares(row) else { return };
        let mut x = left;
        for (name, share) in self.parts.iter().zip(shares) {
            let centre = x + share * bar_width / 2.0;
            x += share * bar_width;
            let at = [centre, sheet.y - sheet.em * 0.2 + ASCENT * sheet.small];
            let label = sheet.label(name.clone(), at, Anchor::Middle);
            sheet.text(&label);
        }
        sheet.y += sheet.small * 1.1;
    }
}

/// Parts of the whole, 0 to 1; `None` where the whole is nothing.
fn shares(row: &StackedRow) -> Option<Vec<f64>> {
    let values: Vec<f64> = row
        .values
        .iter()
        .map(|v| shown(*v).unwrap_or(0.0))
        .collect();
    let whole: f64 = values.iter().sum();
    (whole > 0.0).then(|| values.iter().map(|v| v / whole).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_to_one() {
        let row = StackedRow {
            name: String::new(),
            values: vec![Some(38.0), Some(9.0), None, Some(f64::NAN), Some(53.0)],
        };
        let shares = shares(&row).expect("a whole");
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!((shares[0] - 0.38).abs() < 1e-12);
        assert_eq!(shares[2], 0.0);
    }
}
