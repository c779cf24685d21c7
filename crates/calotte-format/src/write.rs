//! From a design to its text.

use calotte::Uncertain;
use calotte::design::{
    Arrangement, ClampedIn, Design, Drive, DriveRange, Drives, EachFamily, Family, FiveBar,
    JointParts, JointProperties, JointStiffness, Layers, MeasuredJoints, Mount, RidesOn,
    ScissorLinkage, SectionOf, Support, Tool, TwoArcArm,
};
use calotte::family::parameters::BarAngle;
use calotte::stock::{BearingKind, Material, Process, Section, StiffnessAt};
use nalgebra::Vector3;

use crate::keys::words::carrier_name;
use crate::read::{implied_source, key_of};
use crate::units::Unit;
use crate::words::steers;

/// The text of a design file: tidy TOML that [`read_design`](crate::read_design) turns into exactly
/// the same design.
///
/// `header_comment` is put in front, each of its lines behind a `#`; it may be empty.
/// Numbers must be what a design file allows (the keys' bounds), as in any
/// design that was read; else the text does not read back.
pub fn write_design(design: &Design, header_comment: &str) -> String {
    let mut text = Text::default();
    text.comment(header_comment);
    text.line("title", &quoted(&design.title));
    text.linkage(design);
    text.header("section");
    text.section(&design.section);
    text.own_sections(design);
    text.header("material");
    text.material(&design.material);
    text.joints(&design.joints);
    text.own_joints(design);
    if let Some(layers) = &design.layers {
        text.layers(layers);
    }
    text.drives(&design.drives, &design.family);
    text.tool(&design.tool);
    text.mount(&design.mount);
    text.0
}

/// The design with every number moved to the short decimal beside it, within a
/// few units in the last place: what a person would have written. A search
/// that steps through angles arrives at 23.500000000000004°; analysing the
/// tidied design gives the numbers that its file gives.
pub fn tidied(design: &Design) -> Design {
    mapped(design, &|unit, si| unit.tidied(si))
}

/// The design with every number mapped, by its unit in the file.
fn mapped(design: &Design, map: &dyn Fn(Unit, f64) -> f64) -> Design {
    let mut design = design.clone();
    let angles = |angles: &mut [f64]| {
        for angle in angles {
            *angle = map(Unit::Degree, *angle);
        }
    };
    for angle in design.family.angles_mut() {
        *angle = map(Unit::Degree, *angle);
    }
    let range = &mut design.drives.range;
    for limits in [&mut range.first, &mut range.second].into_iter().flatten() {
        angles(limits);
    }
    let length = |si: f64| map(Unit::Millimetre, si);
    design.joint_radius = length(design.joint_radius);
    for joints in design.each_joints_mut() {
        joints.boss_diameter = length(joints.boss_diameter);
        if let Some(parts) = &mut joints.parts {
            parts.pair_spacing = length(parts.pair_spacing);
            parts.pin.diameter = length(parts.pin.diameter);
            parts.pin.bore = length(parts.pin.bore);
            // A joint whose sizes make no pair keeps its stiffness.
            if let Ok(stiffness) = parts.pair_stiffness() {
                joints.stiffness = Some(stiffness);
            }
        }
    }
    if let Some(layers) = &mut design.layers {
        let base = &mut layers.base;
        for size in [
            Some(&mut layers.gap),
            Some(&mut layers.clearance),
            layers.boss_height.as_mut(),
            base.shaft_diameter.as_mut(),
            base.hollow_shaft_bore.as_mut(),
            base.hollow_shaft_diameter.as_mut(),
            base.housing_diameter.as_mut(),
            base.housing_height.as_mut(),
        ]
        .into_iter()
        .flatten()
        {
            *size = length(*size);
        }
    }
    design.tool.tip_radius = length(design.tool.tip_radius);
    design.tool.centre_of_mass_radius = length(design.tool.centre_of_mass_radius);
    design.tool.grip_radius = design.tool.grip_radius.map(length);
    design.tool.bracket_arc = map(Unit::Degree, design.tool.bracket_arc);
    design.tool.roll = map(Unit::Degree, design.tool.roll);
    design.mount.position = design.mount.position.map(length);
    let own = design.own.sections.iter_mut().map(|own| &mut own.section);
    for section in std::iter::once(&mut design.section).chain(own) {
        map_section(section, &length);
    }
    design
}

/// A section with every length mapped.
fn map_section(section: &mut Section, length: &dyn Fn(f64) -> f64) {
    match section {
        Section::Rectangle { tangential, radial } => {
            (*tangential, *radial) = (length(*tangential), length(*radial));
        }
        Section::RectangleTube {
            tangential,
            radial,
            wall,
        } => {
            (*tangential, *radial, *wall) = (length(*tangential), length(*radial), length(*wall));
        }
        Section::Tube {
            outer_diameter,
            inner_diameter,
        } => {
            (*outer_diameter, *inner_diameter) = (length(*outer_diameter), length(*inner_diameter));
        }
        Section::Rod { diameter } => *diameter = length(*diameter),
        Section::Custom { .. } => {}
    }
}

/// A file in the making.
#[derive(Debug, Default)]
struct Text(String);

impl Text {
    fn comment(&mut self, comment: &str) {
        for line in comment.lines() {
            let clean: String = line
                .chars()
                .map(|c| if c.is_control() && c != '\t' { ' ' } else { c })
                .collect();
            self.0.push_str(format!("# {clean}").trim_end());
            self.0.push('\n');
        }
        if !comment.is_empty() {
            self.0.push('\n');
        }
    }

    fn header(&mut self, name: &str) {
        self.0.push_str(&format!("\n[{name}]\n"));
    }

    fn line(&mut self, key: &str, value: &str) {
        self.0.push_str(&format!("{key} = {value}\n"));
    }

    fn number(&mut self, key: &str, unit: Unit, si: f64) {
        self.line(key, &unit.write(si));
    }

    fn numbers(&mut self, key: &str, unit: Unit, si: &[f64]) {
        self.line(key, &list(unit, si));
    }

    fn band(&mut self, key: &str, unit: Unit, number: &Uncertain) {
        let [value, low, high] = [number.value, number.low, number.high].map(|si| unit.write(si));
        if low == value && high == value {
            self.line(key, &value);
        } else {
            self.line(
                key,
                &format!("{{ value = {value}, from = {low}, to = {high} }}"),
            );
        }
    }

    fn vector(&mut self, key: &str, unit: Unit, vector: &Vector3<f64>) {
        self.numbers(key, unit, vector.as_slice());
    }

    fn linkage(&mut self, design: &Design) {
        self.header("linkage");
        self.line("family", &quoted(design.family.name()));
        design.family.each(LinkageKeys(self));
        self.number("joint_radius_mm", Unit::Millimetre, design.joint_radius);
        if let Some(factor) = &design.short_bars {
            self.band("short_bar_stiffness_factor", Unit::One, factor);
        }
        design.family.each(BarTables(self));
    }

    fn section(&mut self, section: &Section) {
        let shape = match section {
            Section::Rectangle { .. } | Section::RectangleTube { .. } => "rectangle",
            Section::Tube { .. } => "tube",
            Section::Rod { .. } => "rod",
            Section::Custom { .. } => "custom",
        };
        self.line("shape", &quoted(shape));
        let sizes: &[(&str, f64)] = match section {
            Section::Rectangle { tangential, radial } => {
                &[("tangential_mm", *tangential), ("radial_mm", *radial)]
            }
            Section::RectangleTube {
                tangential,
                radial,
                wall,
            } => &[
                ("tangential_mm", *tangential),
                ("radial_mm", *radial),
                ("wall_mm", *wall),
            ],
            Section::Tube {
                outer_diameter,
                inner_diameter,
            } => &[
                ("outer_diameter_mm", *outer_diameter),
                ("inner_diameter_mm", *inner_diameter),
            ],
            Section::Rod { diameter } => &[("diameter_mm", *diameter)],
            Section::Custom {
                radial, tangential, ..
            } => &[("tangential_mm", *tangential), ("radial_mm", *radial)],
        };
        for (key, size) in sizes {
            self.number(key, Unit::Millimetre, *size);
        }
        self.custom_section(section);
    }

    fn custom_section(&mut self, section: &Section) {
        let Section::Custom {
            axial,
            bending_in_plane,
            bending_out_of_plane,
            torsional,
            shear_in_plane,
            shear_out_of_plane,
            mass_per_length,
            ..
        } = section
        else {
            return;
        };
        self.number("axial_n", Unit::Newton, *axial);
        for (key, stiffness) in [
            ("bending_in_plane_nm2", bending_in_plane),
            ("bending_out_of_plane_nm2", bending_out_of_plane),
            ("torsional_nm2", torsional),
        ] {
            self.number(key, Unit::NewtonSquareMetre, *stiffness);
        }
        for (key, stiffness) in [
            ("shear_in_plane_n", shear_in_plane),
            ("shear_out_of_plane_n", shear_out_of_plane),
        ] {
            if stiffness.is_finite() {
                self.number(key, Unit::Newton, *stiffness);
            }
        }
        self.number(
            "mass_per_length_kg_m",
            Unit::KilogramPerMetre,
            *mass_per_length,
        );
    }

    fn material(&mut self, material: &Material) {
        self.line("name", &quoted(&material.name));
        self.band(
            "youngs_modulus_gpa",
            Unit::Gigapascal,
            &material.youngs_modulus,
        );
        self.band(
            "shear_modulus_gpa",
            Unit::Gigapascal,
            &material.shear_modulus,
        );
        self.band(
            "density_kg_m3",
            Unit::KilogramPerCubicMetre,
            &material.density,
        );
        self.band("yield_mpa", Unit::Megapascal, &material.yield_strength);
        let shipped = Material::shipped(&material.name);
        let creep = shipped.as_ref().map_or(Uncertain::exact(1.0), |m| m.creep);
        if material.creep != creep {
            self.band("creep_factor", Unit::One, &material.creep);
        }
        if material.process != shipped.map_or(Process::Milled, |m| m.process) {
            self.line("process", &quoted(material.process.word()));
        }
        if material.source != implied_source(material) {
            self.line("source", &quoted(&material.source));
        }
    }

    /// `[[section.level]]`, then `[[section.bar]]`, as they are read.
    fn own_sections(&mut self, design: &Design) {
        for levels in [true, false] {
            for own in &design.own.sections {
                match &own.of {
                    SectionOf::Level(level) if levels => {
                        self.0.push_str("\n[[section.level]]\n");
                        self.line("level", &level.to_string());
                    }
                    SectionOf::Bar(name) if !levels => {
                        self.0.push_str("\n[[section.bar]]\n");
                        self.line("name", &quoted(name));
                    }
                    _ => continue,
                }
                self.section(&own.section);
            }
        }
    }

    /// `[[joints.level]]`: all that a level may state, whether it is that of the rule or not.
    fn own_joints(&mut self, design: &Design) {
        for own in &design.own.joints {
            let joints = &own.joints;
            self.0.push_str("\n[[joints.level]]\n");
            self.line("level", &own.level.to_string());
            if let (None, Some(stiffness)) = (&joints.parts, &joints.stiffness) {
                self.stiffness(stiffness);
            }
            self.number("boss_diameter_mm", Unit::Millimetre, joints.boss_diameter);
            self.number("mass_kg", Unit::Kilogram, joints.mass);
            if let Some(parts) = &joints.parts {
                self.bearing("joints.level.bearing", parts);
                self.header("joints.level.pin");
                self.number("diameter_mm", Unit::Millimetre, parts.pin.diameter);
                self.number("bore_mm", Unit::Millimetre, parts.pin.bore);
            }
        }
    }

    fn stiffness(&mut self, stiffness: &JointStiffness) {
        self.band("axial_n_per_m", Unit::NewtonPerMetre, &stiffness.axial);
        self.band("radial_n_per_m", Unit::NewtonPerMetre, &stiffness.radial);
        self.band(
            "tilt_nm_per_rad",
            Unit::NewtonMetrePerRadian,
            &stiffness.tilt,
        );
    }

    fn joints(&mut self, joints: &JointProperties) {
        self.header("joints");
        match (&joints.parts, &joints.stiffness) {
            (Some(_), _) => {}
            (None, None) => self.line("rigid", "true"),
            (None, Some(stiffness)) => self.stiffness(stiffness),
        }
        self.number("boss_diameter_mm", Unit::Millimetre, joints.boss_diameter);
        self.number("mass_kg", Unit::Kilogram, joints.mass);
        if let Some(parts) = &joints.parts {
            self.joint_parts(parts);
        }
        for release in &joints.releases {
            self.0.push_str("\n[[joints.releases]]\n");
            self.line("joint", &quoted(&release.joint));
            self.line("axial", &release.axial.to_string());
            self.line("tilt", &release.tilt.to_string());
        }
    }

    /// A bearing with its pair, as a table of this name.
    fn bearing(&mut self, table: &str, parts: &JointParts) {
        let bearing = &parts.bearing;
        self.header(table);
        self.line("name", &quoted(&bearing.name));
        let kind = match bearing.kind {
            BearingKind::Ball => "ball",
            BearingKind::Bushing => "bushing",
        };
        self.line("kind", &quoted(kind));
        self.number("bore_mm", Unit::Millimetre, bearing.bore);
        self.number(
            "outer_diameter_mm",
            Unit::Millimetre,
            bearing.outer_diameter,
        );
        self.number("width_mm", Unit::Millimetre, bearing.width);
        let mut play = [bearing.radial_play, bearing.axial_play];
        match bearing.stiffness_at {
            StiffnessAt::Stated => {
                self.band("radial_n_per_m", Unit::NewtonPerMetre, &bearing.radial);
                self.band("axial_n_per_m", Unit::NewtonPerMetre, &bearing.axial);
            }
            StiffnessAt::Preload { axial, play_before } => {
                self.number("preload_n", Unit::Newton, axial);
                play = play_before;
            }
            StiffnessAt::Load { radial, axial } => {
                self.number("load_radial_n", Unit::Newton, radial);
                self.number("load_axial_n", Unit::Newton, axial);
            }
        }
        self.number("mass_kg", Unit::Kilogram, bearing.mass);
        for (key, rating) in [
            ("static_rating_n", bearing.static_rating),
            ("dynamic_rating_n", bearing.dynamic_rating),
        ] {
            if let Some(rating) = rating {
                self.number(key, Unit::Newton, rating);
            }
        }
        self.number("radial_play_mm", Unit::Millimetre, play[0]);
        self.number("axial_play_mm", Unit::Millimetre, play[1]);
        self.number("spacing_mm", Unit::Millimetre, parts.pair_spacing);
        let hold = if parts.both_locate { "both" } else { "one" };
        self.line("axial_hold", &quoted(hold));
    }

    fn joint_parts(&mut self, parts: &JointParts) {
        self.bearing("joints.bearing", parts);
        if let Some(seat) = &parts.seat {
            self.header("joints.seat");
            self.band("radial_n_per_m", Unit::NewtonPerMetre, &seat.radial);
            self.band("axial_n_per_m", Unit::NewtonPerMetre, &seat.axial);
            self.number("play_mm", Unit::Millimetre, seat.play);
        }
        if parts.measured != MeasuredJoints::AS_DESIGNED {
            self.header("joints.measured");
            self.band("radial_factor", Unit::One, &parts.measured.radial);
            self.band("tilt_factor", Unit::One, &parts.measured.tilt);
        }
        self.header("joints.pin");
        self.number("diameter_mm", Unit::Millimetre, parts.pin.diameter);
        self.number("bore_mm", Unit::Millimetre, parts.pin.bore);
        let clamp = match parts.pin.clamped_in {
            ClampedIn::Inner => "inner",
            ClampedIn::Outer => "outer",
        };
        self.line("clamped_in", &quoted(clamp));
        self.header("joints.pin.material");
        self.material(&parts.pin.material);
    }

    fn layers(&mut self, layers: &Layers) {
        self.header("layers");
        let name = match &layers.arrangement {
            Arrangement::Two => "two",
            Arrangement::Nested => "nested",
            Arrangement::Given(_) => "given",
        };
        self.line("arrangement", &quoted(name));
        if let Arrangement::Given(given) = &layers.arrangement {
            let given: Vec<String> = given.iter().map(usize::to_string).collect();
            self.line("of_bars", &format!("[{}]", given.join(", ")));
        }
        let base = &layers.base;
        let sizes = [
            ("gap_mm", Some(layers.gap)),
            ("clearance_mm", Some(layers.clearance)),
            ("boss_height_mm", layers.boss_height),
            ("shaft_diameter_mm", base.shaft_diameter),
            ("hollow_shaft_bore_mm", base.hollow_shaft_bore),
            ("hollow_shaft_diameter_mm", base.hollow_shaft_diameter),
            ("housing_diameter_mm", base.housing_diameter),
            ("housing_height_mm", base.housing_height),
        ];
        for (key, size) in sizes {
            if let Some(size) = size {
                self.number(key, Unit::Millimetre, size);
            }
        }
    }

    fn drives(&mut self, drives: &Drives, family: &Family) {
        self.header("drives");
        self.line("layout", &quoted(drives.layout.name()));
        self.numbers("ratio", Unit::One, &drives.ratio);
        if drives.range != DriveRange::default() {
            let limits: Vec<String> = family
                .mechanism_names()
                .into_iter()
                .zip([drives.range.first, drives.range.second])
                .filter_map(|(name, limits)| {
                    limits.map(|limits| format!("{name} = {}", list(Unit::Degree, &limits)))
                })
                .collect();
            self.line("range_deg", &format!("{{ {} }}", limits.join(", ")));
        }
        let names = family.active_names(drives.layout);
        for (name, drive) in names.into_iter().zip(&drives.each) {
            self.drive(name, drive);
        }
    }

    fn drive(&mut self, joint: &str, drive: &Drive) {
        if *drive == Drive::default() {
            return;
        }
        self.0.push_str("\n[[drive]]\n");
        self.line("joint", &quoted(joint));
        if let Some(stiffness) = &drive.stiffness {
            self.band(
                "stiffness_nm_per_rad",
                Unit::NewtonMetrePerRadian,
                stiffness,
            );
        }
        if let Some(mass) = &drive.mass {
            self.band("mass_kg", Unit::Kilogram, mass);
        }
        match &drive.rides_on {
            RidesOn::Joint => {}
            RidesOn::Base => self.line("rides_on", &quoted("base")),
            RidesOn::Bar(bar) => self.line("rides_on", &quoted(bar)),
        }
    }

    fn tool(&mut self, tool: &Tool) {
        self.header("tool");
        self.line("carried_by", &quoted(carrier_name(tool.carried_by)));
        self.number("tip_radius_mm", Unit::Millimetre, tool.tip_radius);
        if let Some(mass) = &tool.mass {
            self.band("mass_kg", Unit::Kilogram, mass);
        }
        self.number(
            "centre_of_mass_radius_mm",
            Unit::Millimetre,
            tool.centre_of_mass_radius,
        );
        if let Some(grip) = tool.grip_radius {
            self.number("grip_radius_mm", Unit::Millimetre, grip);
        }
        self.number("bracket_arc_deg", Unit::Degree, tool.bracket_arc);
        self.number("roll_deg", Unit::Degree, tool.roll);
        if let Some(envelope) = &tool.envelope {
            self.number("envelope_diameter_mm", Unit::Millimetre, envelope.diameter);
            if let Some(outer) = envelope.outer_radius {
                self.number("envelope_to_mm", Unit::Millimetre, outer);
            }
        }
    }

    fn mount(&mut self, mount: &Mount) {
        self.header("mount");
        self.vector("axis", Unit::One, &mount.axis);
        self.vector("reference", Unit::One, &mount.reference);
        self.vector("position_mm", Unit::Millimetre, &mount.position);
        match &mount.support {
            None => {}
            Some(Support::Springs {
                at_radius,
                axial,
                lateral,
                tilt,
                twist,
            }) => {
                self.header("mount.springs");
                self.number("at_radius_mm", Unit::Millimetre, *at_radius);
                self.band("axial_n_per_m", Unit::NewtonPerMetre, axial);
                self.band("lateral_n_per_m", Unit::NewtonPerMetre, lateral);
                self.band("tilt_nm_per_rad", Unit::NewtonMetrePerRadian, tilt);
                self.band("twist_nm_per_rad", Unit::NewtonMetrePerRadian, twist);
            }
            Some(Support::Column {
                at_radius,
                direction,
                length,
                section,
                material,
            }) => {
                self.header("mount.column");
                self.number("at_radius_mm", Unit::Millimetre, *at_radius);
                self.vector("direction", Unit::One, direction);
                self.number("length_mm", Unit::Millimetre, *length);
                self.header("mount.column.section");
                self.section(section);
                self.header("mount.column.material");
                self.material(material);
            }
        }
    }
}

/// `[1, 2]`.
fn list(unit: Unit, si: &[f64]) -> String {
    let numbers: Vec<String> = si.iter().map(|si| unit.write(*si)).collect();
    format!("[{}]", numbers.join(", "))
}

/// A text in quotes, as TOML writes it. What steers a terminal would be refused when read and
/// becomes a space.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for character in text.chars() {
        match character {
            '"' => quoted.push_str("\\\""),
            '\\' => quoted.push_str("\\\\"),
            steering if steers(steering) => quoted.push(' '),
            plain => quoted.push(plain),
        }
    }
    quoted.push('"');
    quoted
}

/// The keys of `[linkage]` that fix the bars.
struct LinkageKeys<'w>(&'w mut Text);

impl EachFamily<'_> for LinkageKeys<'_> {
    type Answer = ();

    fn scissor_linkage(self, scissor: &ScissorLinkage) {
        let Self(writer) = self;
        writer.numbers("proximal_arcs_deg", Unit::Degree, &scissor.proximal_arcs);
        writer.numbers("distal_arcs_deg", Unit::Degree, &scissor.distal_arcs);
        writer.numbers("bends_deg", Unit::Degree, &scissor.bends);
        if scissor.assembly_modes.iter().any(|mode| *mode != 1) {
            let modes: Vec<String> = scissor.assembly_modes.iter().map(i8::to_string).collect();
            writer.line("assembly_modes", &format!("[{}]", modes.join(", ")));
        }
    }

    fn two_arc_arm(self, arm: &TwoArcArm) {
        self.0.numbers("arcs_deg", Unit::Degree, &arm.arcs);
    }

    fn five_bar(self, five_bar: &FiveBar) {
        let Self(writer) = self;
        writer.number("base_arc_deg", Unit::Degree, five_bar.base_arc);
        writer.numbers("proximal_arcs_deg", Unit::Degree, &five_bar.proximal_arcs);
        writer.numbers("distal_arcs_deg", Unit::Degree, &five_bar.distal_arcs);
        writer.line("elbows", &quoted(five_bar.elbows.name()));
    }
}

/// The bars that have angles of their own, each a table below `[linkage]`.
struct BarTables<'w>(&'w mut Text);

impl EachFamily<'_> for BarTables<'_> {
    type Answer = ();

    fn scissor_linkage(self, scissor: &ScissorLinkage) {
        let Self(writer) = self;
        let mut bars: Vec<(String, Vec<(BarAngle, f64)>)> = Vec::new();
        for angle in scissor.paired_angles() {
            let Some(values) = scissor.sides.get(&angle) else {
                continue;
            };
            for (name, value) in angle.bars().into_iter().zip(values) {
                let stated = (angle.of_bar(), *value);
                match bars.iter_mut().find(|(bar, _)| *bar == name) {
                    Some((_, angles)) => angles.push(stated),
                    None => bars.push((name, vec![stated])),
                }
            }
        }
        for (name, angles) in bars {
            writer.0.push_str("\n[[linkage.bar]]\n");
            writer.line("name", &quoted(&name));
            for (angle, value) in angles {
                writer.number(key_of(angle), Unit::Degree, value);
            }
        }
    }

    fn two_arc_arm(self, _: &TwoArcArm) {}

    fn five_bar(self, _: &FiveBar) {}
}
