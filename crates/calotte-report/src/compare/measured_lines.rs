//! What only measuring knows, line by line.

use calotte::measurement::PointingError;
use calotte_format::units::degrees;
use calotte_format::words;

use super::column::Column;
use super::line::Line;
use super::measured::{Measured, Stiffness};
use crate::found::FitRead;
use crate::input::Input;

/// Lines that only a measured prototype has.
pub(super) fn measured_lines(columns: &[Column], fit: &Input<FitRead>) -> Vec<Line> {
    let of = |column: &Column, text: &dyn Fn(&Measured) -> Option<String>| {
        let text = column.measured.as_ref().and_then(text);
        text.unwrap_or("–".to_string())
    };
    let line = |name: &str, text: &dyn Fn(&Measured) -> Option<String>| {
        Line::plain(name, columns, |column| of(column, text))
    };
    let millimetres = |value: f64| words::three(value * 1e3);
    let at_tip = |measured: &Measured, part: fn(&PointingError) -> f64| {
        let pointing = measured.pointing.as_ref()?;
        Some(millimetres(part(pointing) * measured.tip_radius))
    };
    let mut lines = vec![
        line("Pointing error, rms, mm", &|m| at_tip(m, |p| p.rms)),
        line("Pointing error, maximum, mm", &|m| at_tip(m, |p| p.max)),
        line("Residual of points, rms, mm", &|m| {
            m.residual.map(|of| millimetres(of[0]))
        }),
        line("Play at the tip, mm", &|m| m.play[0].map(millimetres)),
        line("Friction hysteresis, mm", &|m| m.play[1].map(millimetres)),
    ];
    for (place, station) in fit.value.stations.iter().enumerate() {
        let [a, b] = station.readings.map(|r| words::number(degrees(r), 0));
        let name = format!("Stiffness {a}°, {b}°, N/mm");
        lines.push(line(&name, &|m| {
            Some(match m.stations.get(place)? {
                Stiffness::Measured([value, error]) => {
                    format!(
                        "{} ± {}",
                        words::three(value / 1e3),
                        words::number(error / 1e3, 2)
                    )
                }
                Stiffness::Predicted(found) => words::three(found.nominal / 1e3),
                Stiffness::None => return None,
            })
        }));
    }
    lines
}
