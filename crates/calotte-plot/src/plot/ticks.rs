//! Where an axis is marked and what stands beside the marks.

use crate::number::{fixed, power_of_ten, shortest, significant};

/// One mark of an axis.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tick {
    pub value: f64,
    /// Empty for a minor mark.
    pub label: String,
}

/// A step m·10ᵉ, kept as integers so that marks fall on exact decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Step {
    multiple: i64,
    exponent: i32,
}

impl Step {
    fn times(self, count: f64) -> f64 {
        let whole = count * self.multiple as f64;
        if self.exponent < 0 {
            whole / 10f64.powi(-self.exponent)
        } else {
            whole * 10f64.powi(self.exponent)
        }
    }
}

/// The smallest step of 1, 2 or 5 times a power of ten that cuts `span` into at most
/// `parts_max` parts.
fn decimal_step(span: f64, parts_max: usize) -> Step {
    let least = span / parts_max.max(1) as f64;
    let exponent = least.log10().floor() as i32;
    for exponent in [exponent, exponent + 1] {
        for multiple in [1, 2, 5] {
            let step = Step { multiple, exponent };
            // The slack lets 0.1 through where rounding made the least step 0.1000…1.
            if step.times(1.0) >= least * (1.0 - 1e-9) {
                return step;
            }
        }
    }
    Step {
        multiple: 1,
        exponent: exponent + 2,
    }
}

fn multiples(step: Step, low: f64, high: f64) -> Vec<f64> {
    let size = step.times(1.0);
    let slack = (high - low) * 1e-9;
    let first = ((low - slack) / size).ceil();
    let last = ((high + slack) / size).floor();
    // At most `parts_max` + 1 by the choice of the step; the cap guards against rounding.
    let count = (last - first).clamp(-1.0, 1000.0) as i64;
    (0..=count).map(|i| step.times(first + i as f64)).collect()
}

/// Marks at multiples of 1, 2 or 5 times a power of ten, at most `parts_max` intervals.
pub(crate) fn linear(low: f64, high: f64, parts_max: usize) -> Vec<Tick> {
    let step = decimal_step(high - low, parts_max);
    let size = low.abs().max(high.abs());
    let plain = (1e-4..1e7).contains(&size);
    multiples(step, low, high)
        .into_iter()
        .map(|value| {
            let label = if plain {
                fixed(value, (-step.exponent).max(0) as usize)
            } else if value.abs() < size * 1e-9 {
                "0".to_owned()
            } else {
                // As many digits as tell neighbours apart.
                let digits = (size.log10().floor() as i32 - step.exponent + 1).clamp(1, 15);
                scientific(value, digits as usize)
            };
            Tick { value, label }
        })
        .collect()
}

fn scientific(value: f64, digits: usize) -> String {
    let rounded = format!("{:.*e}", digits - 1, value);
    let (mantissa, exponent) = rounded.split_once('e').unwrap_or((&rounded, "0"));
    let mantissa = shortest(mantissa.parse().unwrap_or(value), digits - 1);
    let power = power_of_ten(exponent.parse().unwrap_or(0));
    if mantissa == "1" {
        power
    } else {
        format!("{mantissa}×{power}")
    }
}

/// Marks of an angle in degrees: 1-2-5 steps below 15°, then 15, 30, 45, 90, 180.
pub(crate) fn angle(low: f64, high: f64, parts_max: usize) -> Vec<Tick> {
    let least = (high - low) / parts_max.max(1) as f64;
    if least <= 10.0 + 1e-9 {
        return linear(low, high, parts_max);
    }
    let multiple = [15, 30, 45, 90, 180]
        .into_iter()
        .find(|step| *step as f64 >= least - 1e-9);
    match multiple {
        Some(multiple) => {
            let step = Step {
                multiple,
                exponent: 0,
            };
            labelled(multiples(step, low, high))
        }
        None => linear(low, high, parts_max),
    }
}

/// Marks at whole numbers only, at most `parts_max` intervals where that is possible.
pub(crate) fn integer(low: f64, high: f64, parts_max: usize) -> Vec<Tick> {
    let step = decimal_step(high - low, parts_max);
    if step.exponent < 0 {
        let step = Step {
            multiple: 1,
            exponent: 0,
        };
        return labelled(multiples(step, low, high));
    }
    linear(low, high, parts_max)
}

fn labelled(values: Vec<f64>) -> Vec<Tick> {
    values
        .into_iter()
        .map(|value| Tick {
            value,
            label: fixed(value, 0),
        })
        .collect()
}

/// Marks of a logarithmic axis: decades with 2 and 5 between where there is room, minor
/// marks at the other whole multiples. Less than a decade is marked as a linear axis is.
pub(crate) fn logarithmic(low: f64, high: f64, parts_max: usize) -> Vec<Tick> {
    let decades = (high / low).log10();
    if decades < 1.0 {
        return linear(low, high, parts_max);
    }
    let first = low.log10().floor() as i32;
    let last = high.log10().ceil() as i32;
    let labelled_multiples: &[u32] = if decades * 3.0 <= parts_max as f64 {
        &[1, 2, 5]
    } else {
        &[1]
    };
    let stride = (decades / parts_max.max(1) as f64).ceil().max(1.0) as i32;
    let room = 1.0 + 1e-9;
    let mut ticks = Vec::new();
    for exponent in first..=last {
        for multiple in 1..=9_u32 {
            let value = Step {
                multiple: i64::from(multiple),
                exponent,
            }
            .times(1.0);
            if value * room < low || value > high * room {
                continue;
            }
            let named = labelled_multiples.contains(&multiple) && exponent.rem_euclid(stride) == 0;
            if named {
                let label = decade_label(multiple, exponent);
                ticks.push(Tick { value, label });
            } else if stride == 1 && decades <= 6.0 {
                let label = String::new();
                ticks.push(Tick { value, label });
            }
        }
    }
    ticks
}

fn decade_label(multiple: u32, exponent: i32) -> String {
    match exponent {
        -3..=4 => significant(f64::from(multiple) * 10f64.powi(exponent), 1),
        _ if multiple == 1 => power_of_ten(exponent),
        _ => format!("{multiple}×{}", power_of_ten(exponent)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(ticks: &[Tick]) -> Vec<&str> {
        ticks.iter().map(|t| t.label.as_str()).collect()
    }

    #[test]
    fn linear_steps_are_one_two_or_five() {
        assert_eq!(
            labels(&linear(0.0, 1.0, 5)),
            ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]
        );
        assert_eq!(
            labels(&linear(-0.3, 0.3, 6)),
            [
                "\u{2212}0.3",
                "\u{2212}0.2",
                "\u{2212}0.1",
                "0.0",
                "0.1",
                "0.2",
                "0.3"
            ]
        );
        assert_eq!(labels(&linear(0.0, 94.0, 5)), ["0", "20", "40", "60", "80"]);
    }

    #[test]
    fn steps_hold_over_sixty_orders_of_magnitude() {
        for exponent in -30..=30 {
            for mantissa in [1.0, 1.7, 3.3, 7.9] {
                let low = -0.31 * 10f64.powi(exponent);
                let high = mantissa * 10f64.powi(exponent);
                for parts in 1..=12 {
                    let ticks = linear(low, high, parts);
                    assert!(ticks.len() <= parts + 1, "{low} {high} {parts}");
                    for pair in ticks.windows(2) {
                        let step = pair[1].value - pair[0].value;
                        let lead = step / 10f64.powf(step.log10().floor());
                        let lead = if lead > 9.99 { lead / 10.0 } else { lead };
                        assert!(
                            [1.0, 2.0, 5.0].iter().any(|m| (lead - m).abs() < 1e-6),
                            "step {step}"
                        );
                        assert_ne!(pair[0].label, pair[1].label);
                    }
                }
            }
        }
    }

    #[test]
    fn narrow_range_far_from_zero_has_distinct_labels() {
        let ticks = linear(1000.0, 1000.002, 4);
        assert!(ticks.len() >= 3);
        for pair in ticks.windows(2) {
            assert_ne!(pair[0].label, pair[1].label);
        }
    }

    #[test]
    fn angles_are_cut_as_angles_are() {
        assert_eq!(
            labels(&angle(0.0, 360.0, 4)),
            ["0", "90", "180", "270", "360"]
        );
        assert_eq!(
            labels(&angle(0.0, 90.0, 6)),
            ["0", "15", "30", "45", "60", "75", "90"]
        );
        assert_eq!(labels(&angle(8.0, 40.0, 4)), ["10", "20", "30", "40"]);
    }

    #[test]
    fn whole_numbers_stay_whole() {
        assert_eq!(labels(&integer(0.5, 3.5, 20)), ["1", "2", "3"]);
        assert_eq!(labels(&integer(1.0, 40.0, 4)), ["10", "20", "30", "40"]);
    }

    #[test]
    fn logarithmic_marks() {
        let ticks = logarithmic(0.01, 10.0, 4);
        let named: Vec<&str> = labels(&ticks)
            .into_iter()
            .filter(|l| !l.is_empty())
            .collect();
        assert_eq!(named, ["0.01", "0.1", "1", "10"]);
        assert_eq!(ticks.len(), 28);
        let ticks = logarithmic(1e-12, 1e12, 4);
        assert!(ticks.len() <= 6);
        assert!(ticks.iter().any(|t| t.label == "10⁻⁶"));
        let ticks = logarithmic(3.0, 70.0, 9);
        let named: Vec<&str> = labels(&ticks)
            .into_iter()
            .filter(|l| !l.is_empty())
            .collect();
        assert_eq!(named, ["5", "10", "20", "50"]);
    }
}
