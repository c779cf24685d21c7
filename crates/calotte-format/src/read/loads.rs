//! `[[load]]`, `[[together]]` and `[[limits.load]]`.

use calotte::brief::{
    Directions, Limits, Load, LoadCase, LoadFrame, LoadPlace, LoadVector, Sought,
};
use calotte::quantity::Quantity;
use nalgebra::Vector3;

use super::brief::BARS;
use super::check::Checker;
use super::fields::Fields;
use super::source::short;
use super::suggest::nearest;
use crate::keys::describe::quoted;

impl Checker<'_> {
    /// The load cases: every load by itself, then what acts together; each with its limits.
    pub(super) fn loads(&mut self, fields: &Fields) -> Option<Vec<LoadCase>> {
        let mut cases: Vec<LoadCase> = Vec::new();
        let mut sound = ["load", "together"]
            .iter()
            .all(|name| !fields.refused.contains(name));
        for table in fields.tables("load") {
            let Some(case) = self.load(table) else {
                sound = false;
                continue;
            };
            sound &= self.has_own_name(table, &case.name, &cases);
            cases.push(case);
        }
        // Where a load is refused, its name may be the one that is missing.
        if !sound {
            return None;
        }
        let alone = cases.clone();
        for table in fields.tables("together") {
            let Some(case) = self.together(table, &alone) else {
                sound = false;
                continue;
            };
            sound &= self.has_own_name(table, &case.name, &cases);
            cases.push(case);
        }
        let limits = fields.table("limits");
        let mut limited: Vec<usize> = Vec::new();
        for table in limits.map_or(&[][..], |limits| limits.tables("load")) {
            match self.load_limits(table, &cases) {
                Some((at, _)) if limited.contains(&at) => {
                    let name = short(&cases[at].name).to_string();
                    let message = format!("limits of load \"{name}\" are given twice");
                    self.object(table, "name", None, message).hint =
                        "write them in one table".to_string();
                    sound = false;
                }
                Some((at, own)) => {
                    limited.push(at);
                    cases[at].limits = own;
                }
                None => sound = false,
            }
        }
        sound.then_some(cases)
    }

    fn has_own_name(&mut self, table: &Fields, name: &str, others: &[LoadCase]) -> bool {
        let taken = others.iter().any(|other| other.name == name);
        if taken {
            let message = format!("two loads are called \"{}\"", short(name));
            let problem = self.object(table, "name", None, message);
            problem.allowed = "a name of its own for every load".to_string();
        }
        !taken
    }

    fn load(&mut self, fields: &Fields) -> Option<LoadCase> {
        let place = self.load_place(fields);
        let force = self.load_vector(fields, "force_n");
        let moment = self.load_vector(fields, "moment_nm");
        let (force, moment) = (force?, moment?);
        let nothing = |load: &LoadVector| match load {
            LoadVector::Local(vector) | LoadVector::World(vector) => *vector == Vector3::zeros(),
            LoadVector::Any(sought) => sought.size == 0.0,
        };
        let name = self.load_name(fields)?;
        if nothing(&force) && nothing(&moment) {
            let problem = self.object(
                fields,
                "force_n",
                None,
                format!("load \"{}\" has no force and no moment", short(name)),
            );
            problem.allowed = "force_n, moment_nm or both, not all zero".to_string();
            problem.hint =
                "write force_n = { radial = 8 }; it acts on the mechanism, radial is outward"
                    .to_string();
            return None;
        }
        let any = |vector: &LoadVector| matches!(vector, LoadVector::Any(_));
        if any(&force) && any(&moment) {
            let message = format!(
                "load \"{}\" has a force and a moment of any direction",
                short(name)
            );
            let problem = self.object(fields, "moment_nm", None, message);
            problem.allowed = "any direction for one of the two".to_string();
            problem.hint = "give the moment its components, or write two [[load]] entries; the \
                            worst pair of directions is not available yet"
                .to_string();
            return None;
        }
        if fields.refused.contains(&"fixed_in") {
            return None;
        }
        let frame = fields.text("fixed_in").map(|word| match word {
            "world" => LoadFrame::World,
            _ => LoadFrame::Tool,
        });
        let load = Load {
            on: place?,
            force,
            moment,
            frame,
        };
        Some(LoadCase::single(name, load))
    }

    fn load_name<'f>(&mut self, fields: &'f Fields) -> Option<&'f str> {
        let name = fields.text("name")?;
        if name.trim().is_empty() {
            self.object(fields, "name", None, "the load has no name");
            return None;
        }
        Some(name)
    }

    /// Loads that act at the same time.
    fn together(&mut self, fields: &Fields, alone: &[LoadCase]) -> Option<LoadCase> {
        let name = self.load_name(fields)?;
        let names = fields.words("loads")?;
        let mut loads: Vec<Load> = Vec::new();
        for (index, wanted) in names.iter().enumerate() {
            let Some(case) = alone.iter().find(|case| case.name == *wanted) else {
                self.no_such_load(fields, "loads", Some(index), wanted, alone);
                return None;
            };
            loads.extend(case.loads.iter().cloned());
        }
        let any = loads
            .iter()
            .flat_map(|load| [&load.force, &load.moment])
            .filter(|vector| matches!(vector, LoadVector::Any(_)));
        if any.count() > 1 {
            let message = format!("\"{}\" holds two loads of any direction", short(name));
            let problem = self.object(fields, "loads", None, message);
            problem.allowed = "one load of any direction at most".to_string();
            problem.hint = "give one of them its components; the worst pair of directions is not \
                            available yet"
                .to_string();
            return None;
        }
        Some(LoadCase {
            loads,
            ..LoadCase::single(name, Load::NOTHING)
        })
    }

    fn no_such_load(
        &mut self,
        fields: &Fields,
        key: &str,
        item: Option<usize>,
        wanted: &str,
        cases: &[LoadCase],
    ) {
        let names: Vec<String> = cases.iter().map(|case| case.name.clone()).collect();
        let message = format!("no load is called \"{}\"", short(wanted));
        let problem = self.object(fields, key, item, message);
        if names.is_empty() {
            problem.allowed = "the name of a [[load]], of which there is none".to_string();
            problem.hint =
                "add [[load]] with name = \"press\" and force_n = { radial = 8 }".to_string();
            return;
        }
        let close = nearest(wanted, &names).map(|close| format!("write \"{}\"", short(&close)));
        problem.allowed = quoted(
            &names
                .iter()
                .map(|name| short(name).to_string())
                .collect::<Vec<_>>(),
        );
        problem.hint = close.unwrap_or_else(|| "write the name of a load".to_string());
    }

    /// Limits of one load case, with its place.
    fn load_limits(&mut self, fields: &Fields, cases: &[LoadCase]) -> Option<(usize, Limits)> {
        if !fields.refused.is_empty() {
            return None;
        }
        let name = fields.text("name")?;
        let Some(at) = cases.iter().position(|case| case.name == name) else {
            self.no_such_load(fields, "name", None, name, cases);
            return None;
        };
        let limits = Quantity::LIMITS.into_iter().filter_map(|quantity| {
            let key = quantity.facts().limit?.key;
            fields.spec.key(key)?;
            Some((quantity, fields.number(key)?))
        });
        let limits = Limits::of(limits);
        if limits == Limits::default() {
            let message = format!("load \"{}\" is limited in nothing", short(name));
            let problem = self.object(fields, "name", None, message);
            problem.allowed = "a limit beside the name".to_string();
            problem.hint = "write contact_deflection_mm = 0.3 under it, or take it out".to_string();
            return None;
        }
        Some((at, limits))
    }

    fn load_place(&mut self, fields: &Fields) -> Option<LoadPlace> {
        let on = fields.text("on")?;
        let bar = is_bar(on);
        if !bar && on != "tip" && on != "grip" {
            let known = [&["tip", "grip", "bar-left-1", "bar-right-1"][..], &BARS].concat();
            let known: Vec<String> = known.iter().map(|name| (*name).to_string()).collect();
            let close = nearest(on, &known);
            let message = format!("no place of a load is called \"{}\"", short(on));
            let problem = self.object(fields, "on", None, message);
            problem.allowed =
                "\"tip\", \"grip\", or a bar: \"base-left\", \"base-right\", \"bar-left-1\", \
                               \"bar-right-1\" and so on by stage, \"first-arc\", \"second-arc\""
                    .to_string();
            if let Some(close) = close {
                problem.hint = format!("write \"{close}\"");
            }
            return None;
        }
        if !bar && fields.written("at") {
            let message = format!("`at` is given for a load on the {on}");
            let problem = self.object(fields, "at", None, message);
            problem.hint =
                "`at` is a place along a bar; take it out, or name a bar in `on`".to_string();
            return None;
        }
        if fields.refused.contains(&"at") {
            return None;
        }
        Some(match on {
            "tip" => LoadPlace::Tip,
            "grip" => LoadPlace::Grip,
            bar => LoadPlace::Bar {
                name: bar.to_string(),
                fraction: fields.number("at").unwrap_or(0.5),
            },
        })
    }

    /// Force or moment; a table that is not given is none.
    fn load_vector(&mut self, fields: &Fields, name: &str) -> Option<LoadVector> {
        if fields.refused.contains(&name) {
            return None;
        }
        let Some(table) = fields.table(name) else {
            return Some(LoadVector::ZERO);
        };
        let local = ["polar", "azimuth", "radial"];
        if table.written("direction") {
            return self.any_direction(table);
        }
        if table.written("size") {
            let problem = self.object(table, "size", None, "`size` is given without `direction`");
            problem.allowed = "size with direction, or components".to_string();
            problem.hint = "write direction = \"any\" beside it".to_string();
            return None;
        }
        if table.written("world") {
            if let Some(other) = local.into_iter().find(|part| table.written(part)) {
                let message = format!("`{other}` is given beside `world`");
                let problem = self.object(table, other, None, message);
                problem.allowed = "world alone, or polar, azimuth and radial".to_string();
                problem.hint =
                    "split the load into two [[load]] entries, or give one of the two".to_string();
                return None;
            }
            return table.vector("world").map(LoadVector::World);
        }
        let [polar, azimuth, radial] = local.map(|part| table.number(part));
        Some(LoadVector::Local(Vector3::new(polar?, azimuth?, radial?)))
    }

    /// A vector of any direction.
    fn any_direction(&mut self, table: &Fields) -> Option<LoadVector> {
        let parts = ["polar", "azimuth", "radial", "world"];
        if let Some(other) = parts.into_iter().find(|part| table.written(part)) {
            let message = format!("`{other}` is given beside `direction`");
            let problem = self.object(table, other, None, message);
            problem.allowed = "direction and size alone, or components".to_string();
            problem.hint = "split the load into two [[load]] entries and name both in [[together]]"
                .to_string();
            return None;
        }
        let directions = match table.text("direction")? {
            "any tangential" => Directions::Tangential,
            "any inward" => Directions::Inward,
            _ => Directions::All,
        };
        if !table.written("size") {
            let problem = self.object(
                table,
                "direction",
                None,
                "`direction` is given without `size`",
            );
            problem.allowed = "direction with size".to_string();
            problem.hint = "write size = 15 beside it, the size of the force or moment".to_string();
            return None;
        }
        let size = table.number("size")?;
        Some(LoadVector::Any(Sought { size, directions }))
    }
}

/// Whether results can print this name for a bar.
fn is_bar(name: &str) -> bool {
    let stage = ["bar-left-", "bar-right-"]
        .into_iter()
        .find_map(|begin| name.strip_prefix(begin));
    let counted = stage.is_some_and(|stage| {
        let number = stage.parse::<usize>().is_ok_and(|number| number > 0);
        number && stage.bytes().all(|byte| byte.is_ascii_digit()) && !stage.starts_with('0')
    });
    counted || BARS.contains(&name)
}
