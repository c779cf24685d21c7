//! `[[linkage.bar]]`: what one bar has of its own.

use std::collections::BTreeMap;

use calotte::design::ScissorLinkage;
use calotte::family::parameters::{BarAngle, PairedAngle};

use super::check::Checker;
use super::fields::Fields;
use super::source::short;

/// The key of a bar's angle.
pub(crate) fn key_of(angle: BarAngle) -> &'static str {
    match angle {
        BarAngle::FirstArc => "first_arc_deg",
        BarAngle::SecondArc => "second_arc_deg",
        BarAngle::Bend => "bend_deg",
    }
}

impl Checker<'_> {
    /// The linkage with what its bars state of their own; `None` where an entry is refused.
    pub(super) fn with_bars(
        &mut self,
        fields: &Fields,
        mut scissor: ScissorLinkage,
    ) -> Option<ScissorLinkage> {
        let mut sound = !fields.refused.contains(&"bar");
        let mut stated: BTreeMap<PairedAngle, [Option<f64>; 2]> = BTreeMap::new();
        let mut named: Vec<&str> = Vec::new();
        for table in fields.tables("bar") {
            let Some(name) = table.text("name") else {
                sound = false;
                continue;
            };
            let has = angles_of(&scissor, name);
            if has.is_empty() {
                self.no_such_bar(table, name, &scissor);
                sound = false;
                continue;
            }
            if named.contains(&name) {
                let message = format!("\"{name}\" is described twice");
                self.object(table, "name", None, message).hint =
                    "write all of it into one entry".to_string();
                sound = false;
            }
            named.push(name);
            let mut any = false;
            for angle in BarAngle::ALL {
                let key = key_of(angle);
                any |= table.refused.contains(&key) || table.number(key).is_some();
                sound &= !table.refused.contains(&key);
                let Some(value) = table.number(key) else {
                    continue;
                };
                match has.iter().find(|(paired, _)| paired.of_bar() == angle) {
                    Some((paired, side)) => stated.entry(*paired).or_default()[*side] = Some(value),
                    None => {
                        let message = format!("\"{name}\" has no {}", angle.words());
                        let problem = self.object(table, key, None, message);
                        problem.allowed = keys_of(&has);
                        problem.hint =
                            "base bars and the bars of the last stage are one arc each".to_string();
                        sound = false;
                    }
                }
            }
            if !any {
                let message = format!("\"{name}\" states nothing of its own");
                let problem = self.object(table, "name", None, message);
                problem.allowed = format!("with {}", keys_of(&has));
                problem.hint =
                    "take the entry out: the bar then has the angles of the lists".to_string();
                sound = false;
            }
        }
        for (angle, values) in stated {
            let [left, right] = scissor.both(angle)?;
            let [of_left, of_right] = values;
            scissor.state(angle, [of_left.unwrap_or(left), of_right.unwrap_or(right)]);
        }
        sound.then_some(scissor)
    }

    fn no_such_bar(&mut self, table: &Fields, name: &str, scissor: &ScissorLinkage) {
        let mut bars: Vec<String> = Vec::new();
        for bar in scissor
            .paired_angles()
            .into_iter()
            .flat_map(PairedAngle::bars)
        {
            if !bars.contains(&bar) {
                bars.push(bar);
            }
        }
        let message = format!("the linkage has no bar \"{}\"", short(name));
        let problem = self.object(table, "name", None, message);
        problem.allowed = bars.join(", ");
        problem.hint =
            "bars are numbered from the base outward, one pair for each stage".to_string();
    }
}

/// The angles of a bar, each with the side that the bar is on; none of a bar that there is not.
fn angles_of(scissor: &ScissorLinkage, name: &str) -> Vec<(PairedAngle, usize)> {
    let all = scissor.paired_angles().into_iter();
    all.filter_map(|angle| {
        let side = angle.bars().iter().position(|bar| bar == name)?;
        Some((angle, side))
    })
    .collect()
}

/// The keys that a bar can have.
fn keys_of(angles: &[(PairedAngle, usize)]) -> String {
    let keys: Vec<&str> = angles.iter().map(|(a, _)| key_of(a.of_bar())).collect();
    keys.join(", ")
}
