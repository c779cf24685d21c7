//! The design.

use std::collections::BTreeMap;

use calotte::brief::{FamilyName, drive_of};
use calotte::built::{Built, BuiltError};
use calotte::design::{
    Design, DriveLayout, DriveRange, Drives, Elbows, Family, FiveBar, JointProperties, Mount, Own,
    ScissorLinkage, Support, Tool, ToolCarrier,
};
use calotte::family::parameters::{Capability, Dimension};

use super::check::{Checker, FileKind};
use super::choice::FEWEST;
use super::drives::ActiveJoint;
use super::fields::Fields;
use super::parts::envelope;
use super::syntax;
use crate::keys::brief::BRIEF;
use crate::keys::design::DESIGN;
use crate::keys::words;
use crate::problem::FormatError;
use crate::units::Unit;

/// The design among the files.
pub(super) const FILE: FileKind = FileKind {
    name: "design",
    table: &DESIGN,
    other_name: "brief",
    other: &BRIEF,
};

/// Reads a design.
pub(super) fn read(text: &str) -> Result<Design, FormatError> {
    let (table, problems) = syntax::parse(text)?;
    let mut checker = Checker::new(text, FILE, problems);
    let fields = checker.file(table.get_ref());
    let design = checker.design(&fields);
    checker.finish(design)
}

impl Checker<'_> {
    /// Every part is built before any is missed, so that all problems come at once.
    fn design(&mut self, fields: &Fields) -> Option<Design> {
        let linkage = fields.table("linkage");
        let joint_radius = linkage.and_then(|linkage| linkage.number("joint_radius_mm"));
        let family = linkage.and_then(|linkage| self.family(linkage));
        let short_bars = linkage.and_then(|linkage| linkage.band("short_bar_stiffness_factor"));
        let section = fields
            .table("section")
            .and_then(|table| self.section(table));
        let material = fields
            .table("material")
            .and_then(|table| self.material(table));
        let own_sections = fields
            .table("section")
            .and_then(|table| self.own_sections(table));
        let joints = fields.table("joints").and_then(|table| self.joints(table));
        let own_joints = match (fields.table("joints"), &joints) {
            (Some(table), Some(joints)) => self.own_joints(table, joints),
            _ => None,
        };
        let at_base = own_joints.as_ref().and_then(|own| {
            let own = own.iter().find(|own| own.level == 0)?;
            Some(&own.joints)
        });
        // What no level and no bar states more of is the rule's.
        let bar_height = section
            .as_ref()
            .filter(|_| own_sections.as_ref().is_some_and(Vec::is_empty))
            .map(|section| section.depth());
        let layers = fields
            .table("layers")
            .map(|table| self.layers(table, at_base.or(joints.as_ref()), bar_height));
        if fields.refused.contains(&"layers") {
            return None;
        }
        if let Some(table) = fields.table("layers") {
            self.design_layers(table);
        }
        let drives = fields
            .table("drives")
            .and_then(|table| self.drives(table, fields, family.as_ref()));
        let tool = fields
            .table("tool")
            .and_then(|table| tool(table, joint_radius));
        let mount = fields
            .table("mount")
            .and_then(|table| self.mount(table, joint_radius));
        if let (Some(joints), Some(family), Some(radius), Some(table)) =
            (&joints, &family, joint_radius, fields.table("joints"))
            && own_joints.as_ref().is_some_and(Vec::is_empty)
        {
            self.boss_fits(table, joints, family, radius);
        }
        if let (Some(tool), Some(family), Some(table)) = (&tool, &family, fields.table("tool")) {
            self.carrier_offered(table, tool, family);
        }
        let design = Design {
            title: fields.text("title")?.to_string(),
            family: family?,
            joint_radius: joint_radius?,
            section: section?,
            material: material?,
            short_bars,
            joints: joints?,
            own: Own {
                sections: own_sections?,
                joints: own_joints?,
            },
            layers: match layers {
                None => None,
                Some(layers) => Some(layers?),
            },
            drives: drives?,
            tool: tool?,
            mount: mount?,
        };
        match fields.table("layers") {
            Some(table) if !self.layers_fit(table, &design) => None,
            // Of a design with problems nothing more is asked.
            _ if !self.sound() || self.buildable(fields, &design) => Some(design),
            _ => None,
        }
    }

    /// Whether the family's tool can stand on what is said to carry it.
    fn carrier_offered(&mut self, fields: &Fields, tool: &Tool, family: &Family) {
        if tool.carried_by == ToolCarrier::Bisector
            && let Err(error) = family.offers(Capability::Follower)
        {
            let problem = self.object(fields, "carried_by", None, error.to_string());
            problem.allowed = "\"left\" or \"right\"".to_string();
            problem.hint = "put the tool on the left or the right distal bar".to_string();
        }
    }

    /// A design says where its bars lie; what the fewest are depends on a brief.
    fn design_layers(&mut self, fields: &Fields) {
        if fields.text("arrangement") == Some(FEWEST) {
            let problem = self.object(
                fields,
                "arrangement",
                None,
                "a design says which bar lies in which layer: \"fewest\" depends on what a brief uses of the range",
            );
            problem.allowed = "\"two\", \"nested\" or \"given\"".to_string();
            problem.hint = "write \"two\", run `calotte analyse DESIGN --layers`, and give the list it marks as fewest in `of_bars`".to_string();
        }
    }

    /// Whether the layers belong to the linkage; a linkage that cannot be built is
    /// another's concern.
    fn layers_fit(&mut self, fields: &Fields, design: &Design) -> bool {
        let Ok(linkage) = calotte::family::build(design) else {
            return true;
        };
        let Err(error) = Built::new(design, &linkage) else {
            return true;
        };
        let millimetres = |si: f64| Unit::Millimetre.write((si * 1e7).round() / 1e7);
        let (key, message, hint) = match error {
            BuiltError::NotAvailable(error) => (
                "arrangement",
                error.to_string(),
                "leave [layers] out: all bars then lie at joint_radius_mm".to_string(),
            ),
            BuiltError::LayerCount {
                got,
                expected,
                bars,
            } => (
                "of_bars",
                format!("{got} layers are given for {expected} bars"),
                format!("give one for each of {}, in this order", bars.join(", ")),
            ),
            BuiltError::JointInOneLayer {
                joint,
                first,
                second,
                layer,
            } => (
                "of_bars",
                format!("{first} and {second} share joint {joint} and lie in one layer, {layer}"),
                "put them into different layers".to_string(),
            ),
            BuiltError::TooNearCentre { inner, least } => (
                "arrangement",
                format!(
                    "the innermost layer reaches to {} mm from the centre, must stay above {} mm",
                    millimetres(inner),
                    millimetres(least)
                ),
                "take a larger joint_radius_mm or smaller bosses".to_string(),
            ),
            BuiltError::Shafts {
                solid,
                bore,
                hollow,
                boss,
            } => (
                "arrangement",
                format!(
                    "the solid shaft of {} mm, the bore of {} mm around it, the hollow shaft of {} mm and the boss of {} mm must grow in this order",
                    millimetres(solid),
                    millimetres(bore),
                    millimetres(hollow),
                    millimetres(boss)
                ),
                "leave them out for the usual sizes".to_string(),
            ),
            BuiltError::NothingLeft(wall) => (
                "arrangement",
                format!("nothing is left of {}", wall.words()),
                format!("change {}", wall.keys()),
            ),
            BuiltError::BossTooSmall { boss, bearing, .. } => (
                "arrangement",
                format!(
                    "the boss of {} mm has no room for the bearing of {} mm",
                    millimetres(boss),
                    millimetres(bearing)
                ),
                "give a larger boss_diameter_mm in [joints]".to_string(),
            ),
        };
        self.object(fields, key, None, message).hint = hint;
        false
    }

    fn family(&mut self, fields: &Fields) -> Option<Family> {
        let name = fields.text("family")?;
        if name == FamilyName::TWO_ARC_ARM.name() {
            return Some(Family::two_arc_arm(fields.two("arcs_deg")?));
        }
        if name == FamilyName::FIVE_BAR.name() {
            return self.five_bar(fields);
        }
        let proximal = fields.numbers("proximal_arcs_deg");
        let distal = fields.numbers("distal_arcs_deg");
        if let (Some(proximal), Some(distal)) = (proximal, distal)
            && proximal.len() != distal.len()
        {
            let message = format!(
                "{} for {}",
                count(distal.len(), "distal arc"),
                count(proximal.len(), "proximal arc")
            );
            let problem = self.object(fields, "distal_arcs_deg", None, message);
            problem.allowed = "one proximal and one distal arc per stage".to_string();
            problem.hint = "give both lists as many entries as the linkage has stages".to_string();
            return None;
        }
        let proximal = proximal?;
        let stages = proximal.len();
        let bends = self.bends(fields, stages);
        let modes = self.assembly_modes(fields, stages);
        let scissor = ScissorLinkage {
            proximal_arcs: proximal.to_vec(),
            distal_arcs: distal?.to_vec(),
            bends: bends?,
            assembly_modes: modes?,
            sides: BTreeMap::new(),
        };
        self.with_bars(fields, scissor).map(Family::scissor_linkage)
    }

    fn five_bar(&mut self, fields: &Fields) -> Option<Family> {
        for key in ["proximal_arcs_deg", "distal_arcs_deg"] {
            if let Some(arcs) = fields.numbers(key)
                && arcs.len() != 2
            {
                let message = format!(
                    "{} for a {}",
                    count(arcs.len(), "arc"),
                    FamilyName::FIVE_BAR.words()
                );
                let problem = self.object(fields, key, None, message);
                problem.allowed = "two arcs, left and right".to_string();
                problem.hint = format!("write {key} = [50, 50]");
            }
        }
        Some(Family::five_bar(FiveBar {
            base_arc: fields.number("base_arc_deg")?,
            proximal_arcs: fields.two("proximal_arcs_deg")?,
            distal_arcs: fields.two("distal_arcs_deg")?,
            elbows: match fields.text("elbows") {
                Some(name) => words::elbows(name)?,
                None if fields.refused.contains(&"elbows") => return None,
                None => Elbows::Out,
            },
        }))
    }

    fn bends(&mut self, fields: &Fields, stages: usize) -> Option<Vec<f64>> {
        if fields.refused.contains(&"bends_deg") {
            return None;
        }
        let wanted = stages - 1;
        let Some(bends) = fields.numbers("bends_deg") else {
            return Some(vec![0.0; wanted]);
        };
        if bends.len() == wanted {
            return Some(bends.to_vec());
        }
        let message = format!(
            "{} for {}",
            count(bends.len(), "bend"),
            count(stages, "stage")
        );
        let problem = self.object(fields, "bends_deg", None, message);
        problem.allowed = format!(
            "one fewer than stages: {wanted} for {}",
            count(stages, "stage")
        );
        problem.hint = "leave `bends_deg` out for bars without bends".to_string();
        None
    }

    fn assembly_modes(&mut self, fields: &Fields, stages: usize) -> Option<Vec<i8>> {
        if fields.refused.contains(&"assembly_modes") {
            return None;
        }
        let Some(modes) = fields.wholes("assembly_modes") else {
            return Some(vec![1; stages]);
        };
        if modes.len() == stages {
            return Some(
                modes
                    .iter()
                    .map(|mode| if *mode < 0 { -1 } else { 1 })
                    .collect(),
            );
        }
        let message = format!(
            "{} for {}",
            count(modes.len(), "assembly mode"),
            count(stages, "stage")
        );
        let problem = self.object(fields, "assembly_modes", None, message);
        problem.allowed = "1 or -1 for every stage".to_string();
        problem.hint = "leave `assembly_modes` out for 1 everywhere".to_string();
        None
    }

    /// `[drives]`, and `[[drive]]` of the whole file.
    fn drives(
        &mut self,
        fields: &Fields,
        file: &Fields,
        family: Option<&Family>,
    ) -> Option<Drives> {
        let range = fields
            .table("range_deg")
            .and_then(|table| self.drive_range(table, family));
        let layout = words::layout(fields.text("layout")?).unwrap_or(DriveLayout::TwoBars);
        let joints = family.map(|family| ActiveJoint::of(family.family_name(), layout));
        let needs = self.drives_of(file, joints.as_ref().map_or(&[], |joints| joints), false);
        let (names, needs) = (family?.active_names(layout), needs?);
        Some(Drives {
            layout,
            ratio: fields.two("ratio")?,
            range: range?,
            each: names.map(|name| drive_of(&needs, name)),
        })
    }

    /// Mechanism angles are named by the family: swing and opening, or base and elbow.
    fn drive_range(&mut self, fields: &Fields, family: Option<&Family>) -> Option<DriveRange> {
        let family = family?.family_name();
        let (own, name) = (family.mechanism_names(), family.words());
        let others = FamilyName::ALL.into_iter().filter(|other| *other != family);
        for other in others.flat_map(FamilyName::mechanism_names) {
            if fields.written(other) {
                let message = format!("a {name} has no mechanism angle `{other}`");
                let problem = self.object(fields, other, None, message);
                problem.allowed = format!("{} and {}", own[0], own[1]);
                problem.hint = format!(
                    "the mechanism angles of a {name} are {} and {}",
                    own[0], own[1]
                );
            }
        }
        if own.iter().any(|name| fields.refused.contains(name)) {
            return None;
        }
        let [first, second] = own.map(|name| fields.two(name));
        Some(DriveRange { first, second })
    }

    fn mount(&mut self, fields: &Fields, joint_radius: Option<f64>) -> Option<Mount> {
        let axes = self.axis_and_reference(fields);
        let support = self.support(fields, joint_radius);
        let (axis, reference) = axes?;
        Some(Mount {
            axis,
            reference,
            position: fields.vector("position_mm")?,
            support: support?,
        })
    }

    /// The outer `None` is a support that could not be read.
    pub(super) fn support(
        &mut self,
        fields: &Fields,
        joint_radius: Option<f64>,
    ) -> Option<Option<Support>> {
        if fields.refused.contains(&"springs") || fields.refused.contains(&"column") {
            return None;
        }
        match (fields.table("springs"), fields.table("column")) {
            (None, None) => Some(None),
            (Some(_), Some(_)) => {
                let problem = self.object(
                    fields,
                    "column",
                    None,
                    "the mount has both springs and a column",
                );
                problem.allowed = "[mount.springs] or [mount.column]".to_string();
                problem.hint =
                    "a column on a soft floor: put the floor's compliance into springs that replace both"
                        .to_string();
                None
            }
            (Some(springs), None) => springs_of(springs, joint_radius).map(Some),
            (None, Some(column)) => self.column(column, joint_radius).map(Some),
        }
    }

    fn column(&mut self, fields: &Fields, joint_radius: Option<f64>) -> Option<Support> {
        let section = fields
            .table("section")
            .and_then(|table| self.section(table));
        let material = fields
            .table("material")
            .and_then(|table| self.material(table));
        Some(Support::Column {
            at_radius: number_or(fields, "at_radius_mm", joint_radius)?,
            direction: fields.vector("direction")?,
            length: fields.number("length_mm")?,
            section: section?,
            material: material?,
        })
    }

    /// A boss is a rigid end zone at both ends of an arc, so an arc is longer
    /// than one boss diameter.
    fn boss_fits(
        &mut self,
        fields: &Fields,
        joints: &JointProperties,
        family: &Family,
        radius: f64,
    ) {
        // Where left and right differ, the arcs of both.
        let arcs = family.values(Dimension::Arc);
        let arcs = arcs.unwrap_or_else(|| family.branch_arcs());
        let shortest = arcs.into_iter().fold(f64::INFINITY, f64::min);
        let length = shortest * radius;
        if joints.boss_diameter < length {
            return;
        }
        let [boss, length] = [joints.boss_diameter, length].map(|si| Unit::Millimetre.from_si(si));
        let degrees = Unit::Degree.from_si(shortest);
        let message = format!(
            "a boss of {boss} mm leaves nothing of the shortest arc, {degrees}° or {length:.1} mm long"
        );
        let problem = self.object(fields, "boss_diameter_mm", None, message);
        problem.allowed = format!("below {length:.1} mm: half a boss lies at each end of an arc");
        problem.hint = "take a smaller boss, a longer arc or a larger joint_radius_mm".to_string();
    }
}

/// `1 bend`, `2 bends`.
fn count(number: usize, what: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {what}{plural}")
}

/// `[tool]`.
fn tool(fields: &Fields, joint_radius: Option<f64>) -> Option<Tool> {
    let tip_radius = number_or(fields, "tip_radius_mm", joint_radius)?;
    if ["mass_kg", "grip_radius_mm"]
        .iter()
        .any(|name| fields.refused.contains(name))
    {
        return None;
    }
    Some(Tool {
        carried_by: words::carrier(fields.text("carried_by")?).unwrap_or(ToolCarrier::Left),
        tip_radius,
        mass: fields.band("mass_kg"),
        centre_of_mass_radius: number_or(fields, "centre_of_mass_radius_mm", Some(tip_radius))?,
        grip_radius: fields.number("grip_radius_mm"),
        bracket_arc: fields.number("bracket_arc_deg")?,
        roll: fields.number("roll_deg")?,
        envelope: envelope(fields).ok()?,
    })
}

/// `[mount.springs]`.
fn springs_of(fields: &Fields, joint_radius: Option<f64>) -> Option<Support> {
    Some(Support::Springs {
        at_radius: number_or(fields, "at_radius_mm", joint_radius)?,
        axial: fields.band("axial_n_per_m")?,
        lateral: fields.band("lateral_n_per_m")?,
        tilt: fields.band("tilt_nm_per_rad")?,
        twist: fields.band("twist_nm_per_rad")?,
    })
}

/// A number of the file, or another where the file says nothing.
pub(super) fn number_or(fields: &Fields, name: &str, other: Option<f64>) -> Option<f64> {
    if fields.refused.contains(&name) {
        return None;
    }
    fields.number(name).or(other)
}
