//! Bearings, seat and pin of `[joints]`, and `[layers]`.

use calotte::Uncertain;
use calotte::design::{
    Arrangement, BaseSizes, ClampedIn, JointParts, JointProperties, Layers, MeasuredJoints, Pin,
    Seat, ToolEnvelope,
};
use calotte::stock::Material;
use calotte::stock::{Bearing, BearingKind, StiffnessAt, shipped_bearings};

use super::check::Checker;
use super::fields::Fields;
use super::source::short;
use super::suggest::nearest;
use crate::units::Unit;

/// Material of pins where the file says nothing.
const PIN_MATERIAL: &str = "stainless steel 304";

/// What a bearing that is not shipped must say.
const OWN_BEARING: [&str; 5] = [
    "bore_mm",
    "outer_diameter_mm",
    "width_mm",
    "radial_n_per_m",
    "axial_n_per_m",
];

impl Checker<'_> {
    /// Bearing, seat and pin of `[joints]`.
    pub(super) fn joint_parts(&mut self, fields: &Fields) -> Option<JointParts> {
        let table = fields.table("bearing");
        let bearing = table.and_then(|table| self.bearing(table));
        let pin = fields.table("pin");
        let material = match pin.and_then(|pin| pin.table("material")) {
            Some(table) => self.material(table),
            None => Material::shipped(PIN_MATERIAL),
        };
        let refused = ["bearing", "pin", "seat", "measured"]
            .iter()
            .any(|name| fields.refused.contains(name));
        let (table, bearing, material) = (table?, bearing?, material?);
        if refused || !table.refused.is_empty() || pin.is_some_and(|pin| !pin.refused.is_empty()) {
            return None;
        }
        let usual = JointParts::usual(bearing.clone(), material.clone());
        let spacing = self.spacing(table, &usual)?;
        let seat = match fields.table("seat") {
            None => None,
            Some(seat) => Some(Seat {
                radial: seat.band("radial_n_per_m")?,
                axial: seat.band("axial_n_per_m")?,
                play: seat.number("play_mm")?,
            }),
        };
        Some(JointParts {
            pair_spacing: spacing,
            both_locate: table.text("axial_hold")? == "both",
            seat,
            pin: self.pin(fields, pin, &bearing, material)?,
            bearing,
            measured: match fields.table("measured") {
                None => MeasuredJoints::AS_DESIGNED,
                Some(measured) => MeasuredJoints {
                    radial: measured.band("radial_factor")?,
                    tilt: measured.band("tilt_factor")?,
                },
            },
        })
    }

    /// Distance of the two bearings of a pair: as the bearing's table says, else the usual one.
    pub(super) fn spacing(&mut self, table: &Fields, usual: &JointParts) -> Option<f64> {
        let width = usual.bearing.width;
        let spacing = table.number("spacing_mm").unwrap_or(usual.pair_spacing);
        if spacing >= width * (1.0 - 1e-9) {
            return Some(spacing);
        }
        let message = format!(
            "the two bearings overlap: they are {} mm wide and their middles {} mm apart",
            Unit::Millimetre.write(width),
            Unit::Millimetre.write(spacing)
        );
        self.object(table, "spacing_mm", None, message).hint =
            "give at least the bearing's width".to_string();
        None
    }

    /// Diameter and bore of a pin in a bearing's bore; this diameter unless given.
    pub(super) fn pin_sizes(
        &mut self,
        table: &Fields,
        bearing_bore: f64,
        usual: f64,
    ) -> Option<[f64; 2]> {
        let diameter = table.number("diameter_mm").unwrap_or(usual);
        let bore = table.number("bore_mm")?;
        let millimetres = |si: f64| Unit::Millimetre.write(si);
        if diameter > bearing_bore * (1.0 + 1e-9) {
            let message = format!(
                "the pin of {} mm does not go into the bearing's bore of {} mm",
                millimetres(diameter),
                millimetres(bearing_bore)
            );
            self.object(table, "diameter_mm", None, message).hint =
                "leave it out for a pin of the bearing's bore".to_string();
            return None;
        }
        if bore >= diameter {
            let message = format!(
                "the pin's bore of {} mm leaves nothing of its {} mm",
                millimetres(bore),
                millimetres(diameter)
            );
            self.object(table, "bore_mm", None, message).hint =
                "give a smaller bore, or 0 for a solid pin".to_string();
            return None;
        }
        Some([diameter, bore])
    }

    fn pin(
        &mut self,
        joints: &Fields,
        table: Option<&Fields>,
        bearing: &Bearing,
        material: Material,
    ) -> Option<Pin> {
        let usual = JointParts::usual(bearing.clone(), material.clone()).pin;
        let Some(table) = table else {
            return Some(usual);
        };
        let [diameter, bore] = self.pin_sizes(table, bearing.bore, usual.diameter)?;
        debug_assert!(joints.written("bearing"));
        Some(Pin {
            diameter,
            bore,
            material,
            clamped_in: if table.text("clamped_in")? == "outer" {
                ClampedIn::Outer
            } else {
                ClampedIn::Inner
            },
        })
    }

    /// A shipped bearing with what the file says better, or one of the user's own.
    pub(super) fn bearing(&mut self, fields: &Fields) -> Option<Bearing> {
        let name = fields.text("name")?;
        if !fields.refused.is_empty() {
            return None;
        }
        let given = BearingValues::of(fields);
        let Some(base) = Bearing::shipped(name).or_else(|| given.own(name)) else {
            self.bearing_unknown(fields, name);
            return None;
        };
        let bearing = self.loaded(fields, &given, given.over(base))?;
        if bearing.bore >= bearing.outer_diameter {
            let message = format!(
                "the bore of {} mm is not below the outer diameter of {} mm",
                Unit::Millimetre.write(bearing.bore),
                Unit::Millimetre.write(bearing.outer_diameter)
            );
            self.object(fields, "bore_mm", None, message);
            return None;
        }
        Some(bearing)
    }

    /// The bearing with the stiffness it has under the preload or load the file gives.
    fn loaded(
        &mut self,
        fields: &Fields,
        given: &BearingValues,
        bearing: Bearing,
    ) -> Option<Bearing> {
        let (key, found) = match (given.preload, given.loads) {
            (None, [None, None]) => return Some(bearing),
            (Some(preload), [None, None]) => ("preload_n", bearing.preloaded(preload)),
            (None, [Some(radial), Some(axial)]) => {
                ("load_radial_n", bearing.at_load(radial, axial))
            }
            (Some(_), _) => {
                self.object(
                    fields,
                    "preload_n",
                    None,
                    "stiffness is asked for under a preload and at a load: one of the two",
                )
                .hint = "keep preload_n, or load_radial_n and load_axial_n".to_string();
                return None;
            }
            (None, loads) => {
                let (there, missing) = if loads[0].is_some() {
                    ("load_radial_n", "load_axial_n")
                } else {
                    ("load_axial_n", "load_radial_n")
                };
                let message = format!("`{there}` is given without `{missing}`");
                self.object(fields, there, None, message).hint =
                    format!("add {missing}: `calotte analyse` prints what acts");
                return None;
            }
        };
        if given.radial.is_some() || given.axial.is_some() {
            let message = format!("`{key}` asks for a stiffness that is stated too");
            self.object(fields, key, None, message).hint =
                "leave out radial_n_per_m and axial_n_per_m, or the load".to_string();
            return None;
        }
        match found {
            Ok(bearing) => Some(bearing),
            Err(error) => {
                self.object(fields, key, None, error.to_string()).hint =
                    "leave it out for the typical band, or state the stiffness".to_string();
                None
            }
        }
    }

    fn bearing_unknown(&mut self, fields: &Fields, name: &str) {
        let missing: Vec<&str> = OWN_BEARING
            .into_iter()
            .filter(|key| !fields.given(key))
            .collect();
        let names: Vec<String> = shipped_bearings()
            .iter()
            .map(|row| row.designation.to_string())
            .collect();
        let close = nearest(name, &names);
        let message = format!(
            "bearing \"{}\" is not in the shipped table, and {} {} missing",
            short(name),
            missing.join(", "),
            if missing.len() == 1 { "is" } else { "are" }
        );
        let problem = self.object(fields, "name", None, message);
        problem.allowed = format!(
            "{}, or any name with its sizes and stiffnesses",
            crate::keys::describe::quoted(&names)
        );
        problem.hint = match close {
            Some(close) => format!("write \"{close}\", or give {}", missing.join(", ")),
            None => format!("give {}", missing.join(", ")),
        };
    }

    /// `[layers]`.
    pub(super) fn layers(
        &mut self,
        fields: &Fields,
        joints: Option<&JointProperties>,
        bar_height: Option<f64>,
    ) -> Option<Layers> {
        if !fields.refused.is_empty() {
            return None;
        }
        let arrangement = match fields.text("arrangement")? {
            "nested" => Arrangement::Nested,
            "given" => {
                let Some(layers) = fields.wholes("of_bars") else {
                    self.object(
                        fields,
                        "of_bars",
                        None,
                        "`of_bars` is missing in [layers] with arrangement = \"given\"",
                    )
                    .hint = "give the layer of each bar, base-left, base-right, bar-left-1, bar-right-1 and so on; 0 is the innermost".to_string();
                    return None;
                };
                Arrangement::Given(
                    layers
                        .iter()
                        .filter_map(|layer| usize::try_from(*layer).ok())
                        .collect(),
                )
            }
            _ => Arrangement::Two,
        };
        let parts = joints.and_then(|joints| joints.parts.as_ref());
        let boss_height = fields.number("boss_height_mm");
        let usual_height = boss_height.unwrap_or_else(|| {
            let pair = parts.map_or(0.0, |parts| parts.pair_spacing + parts.bearing.width);
            bar_height.unwrap_or(0.0).max(pair)
        });
        let pin = parts.map_or(0.0, |parts| parts.pin.diameter);
        let base = BaseSizes {
            shaft_diameter: fields.number("shaft_diameter_mm"),
            hollow_shaft_bore: fields.number("hollow_shaft_bore_mm"),
            hollow_shaft_diameter: fields.number("hollow_shaft_diameter_mm"),
            housing_diameter: fields.number("housing_diameter_mm"),
            housing_height: fields.number("housing_height_mm"),
        };
        let boss = joints.map_or(0.0, |joints| joints.boss_diameter);
        let drives = base.beside(pin, boss, usual_height);
        let [hollow, bore] = drives.hollow_shaft;
        let order = [
            (
                "hollow_shaft_bore_mm",
                drives.shaft_diameter,
                bore,
                "the solid shaft turns in it",
            ),
            (
                "hollow_shaft_diameter_mm",
                bore,
                hollow,
                "its wall is what is left",
            ),
        ];
        for (key, below, above, why) in order {
            if above <= below {
                let message = format!(
                    "`{key}` is {} mm, must lie above {} mm: {why}",
                    Unit::Millimetre.write(above),
                    Unit::Millimetre.write(below)
                );
                self.object(fields, key, None, message);
                return None;
            }
        }
        Some(Layers {
            arrangement,
            gap: fields.number("gap_mm")?,
            clearance: fields.number("clearance_mm")?,
            boss_height,
            base,
        })
    }
}

/// The room a tool takes; `Err` if a value of it was refused.
pub(super) fn envelope(fields: &Fields) -> Result<Option<ToolEnvelope>, ()> {
    let names = ["envelope_diameter_mm", "envelope_to_mm"];
    if names.iter().any(|name| fields.refused.contains(name)) {
        return Err(());
    }
    Ok(fields
        .number("envelope_diameter_mm")
        .map(|diameter| ToolEnvelope {
            diameter,
            outer_radius: fields.number("envelope_to_mm"),
        }))
}

/// What a file says of a bearing.
struct BearingValues {
    kind: Option<BearingKind>,
    sizes: [Option<f64>; 3],
    radial: Option<Uncertain>,
    axial: Option<Uncertain>,
    mass: Option<f64>,
    ratings: [Option<f64>; 2],
    plays: [Option<f64>; 2],
    preload: Option<f64>,
    /// Across and along the axis.
    loads: [Option<f64>; 2],
}

impl BearingValues {
    fn of(fields: &Fields) -> Self {
        Self {
            kind: fields.text("kind").map(|kind| match kind {
                "bushing" => BearingKind::Bushing,
                _ => BearingKind::Ball,
            }),
            sizes: ["bore_mm", "outer_diameter_mm", "width_mm"].map(|key| fields.number(key)),
            radial: fields.band("radial_n_per_m"),
            axial: fields.band("axial_n_per_m"),
            mass: fields.number("mass_kg"),
            ratings: ["static_rating_n", "dynamic_rating_n"].map(|key| fields.number(key)),
            plays: ["radial_play_mm", "axial_play_mm"].map(|key| fields.number(key)),
            preload: fields.number("preload_n"),
            loads: ["load_radial_n", "load_axial_n"].map(|key| fields.number(key)),
        }
    }

    /// A bearing that is not shipped, if everything it needs is given.
    fn own(&self, name: &str) -> Option<Bearing> {
        let [bore, outer_diameter, width] = self.sizes;
        Some(Bearing {
            name: name.to_string(),
            kind: BearingKind::Ball,
            bore: bore?,
            outer_diameter: outer_diameter?,
            width: width?,
            radial: self.radial.or(self.computed_later())?,
            axial: self.axial.or(self.computed_later())?,
            mass: 0.0,
            static_rating: None,
            dynamic_rating: None,
            radial_play: 0.0,
            axial_play: 0.0,
            stiffness_at: StiffnessAt::Stated,
        })
    }

    /// Holds the place of a stiffness that follows from the load.
    fn computed_later(&self) -> Option<Uncertain> {
        let loads = [self.preload, self.loads[0], self.loads[1]];
        loads
            .iter()
            .any(Option::is_some)
            .then(|| Uncertain::exact(0.0))
    }

    /// The values given, in place of those of a bearing.
    fn over(&self, base: Bearing) -> Bearing {
        let [bore, outer_diameter, width] = self.sizes;
        let [static_rating, dynamic_rating] = self.ratings;
        let [radial_play, axial_play] = self.plays;
        Bearing {
            kind: self.kind.unwrap_or(base.kind),
            bore: bore.unwrap_or(base.bore),
            outer_diameter: outer_diameter.unwrap_or(base.outer_diameter),
            width: width.unwrap_or(base.width),
            radial: self.radial.unwrap_or(base.radial),
            axial: self.axial.unwrap_or(base.axial),
            mass: self.mass.unwrap_or(base.mass),
            static_rating: static_rating.or(base.static_rating),
            dynamic_rating: dynamic_rating.or(base.dynamic_rating),
            radial_play: radial_play.unwrap_or(base.radial_play),
            axial_play: axial_play.unwrap_or(base.axial_play),
            stiffness_at: StiffnessAt::Stated,
            name: base.name,
        }
    }
}
