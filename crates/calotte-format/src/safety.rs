//! What can hurt someone who builds, fits or uses what these numbers describe: the one home
//! of those words, for every output.
//!
//! Hazards are named and no limit is claimed: which limits and standards apply is decided by
//! the responsible person. What the model cannot say of a number is another matter; that
//! belongs to the analysis (`calotte-report::cautions`).
//!
//! Three lengths: [`Safety::short`] for a terminal, [`Safety::notice`] for what travels alone
//! and has room for a paragraph (a cell of a table, the description of a figure), and the
//! lists ([`Safety::hazards`], [`EXCLUDED`], [`BENCH`], [`STANDARDS`]) for documents and pages.

use calotte::design::{Design, EachFamily, FiveBar, ScissorLinkage, TwoArcArm};

/// First among the cautions, in every output.
pub const FIRST: &str = "Design aid. Local codes and licensed practice come first.";

/// What stands in a sentence of what no result answers, in short.
const EXCLUDED_SHORT: &str =
    "Not assessed: injury, brakes, control, impact, vibration, fatigue, tipping.";

/// What stands below a figure, which may be printed without its description.
const SEEN: &str = "Not for use on people without ethical and regulatory approval. Whether a standard applies is decided by the responsible person.";

/// All that a mesh says of it: the 80 bytes of a binary STL hold no more.
pub const MESH_HEADER: &str =
    "Design aid. Local codes and licensed practice come first. Not on a person. mm";

/// What meshes leave out.
pub const MESHES: &str = "Meshes are for mock-ups: they say nothing of fits, tolerances and strength of what is printed. Do not use a printed mock-up on or over a person.";

/// What no result answers, in whole sentences.
pub const EXCLUDED: [&str; 5] = [
    "Results are inputs to risk management and testing by responsible, licensed people under local rules; they do not replace either.",
    "No injury is assessed: no limit of force, pressure, gap or temperature for a person is computed or quoted. A requirement that is met says something about the model, not that the instrument is safe.",
    "Not assessed: brakes, drives and control; impact and vibration; fatigue and wear of bars and pins; tipping of the stand; cables and hoses; electrical safety; heat, light and fields of the tool.",
    MESHES,
    "Whether a standard applies is decided by the responsible person. The list of standards is not complete, titles are given from memory, and no value is quoted from a standard: enter the limits that apply from the text itself.",
];

/// What to do while weights hang on a prototype, without commas: the sentences stand in
/// tables too.
pub const BENCH: [&str; 11] = [
    "Wear eye protection.",
    "Hang weights by a cord rated for them; a pulley is anchored and turns freely.",
    "Secure the stand against tipping before anything hangs on the arm.",
    "Check the torque of the brakes before the first weight.",
    "Hold the arm first and then brake the joints and lock the drives off: a drive that loses its power drops tool and weight together.",
    "Do not work alone.",
    "Stop and unload at any creak (a noise of parts that slip) or creep (a slow movement under load).",
    "Falling weights injure: hang them low over a soft stop and tie them to the frame; keep hands and feet and eyes out of the way.",
    "Keep people out of the instrument and away from below it while weights hang.",
    "Do not use printed mock-ups on or over a person.",
    "Local rules for lifting come first.",
];

/// Standards by number and title, from memory, each with why it may matter.
pub const STANDARDS: [(&str, &str); 6] = [
    (
        "ISO 14971, Medical devices: application of risk management",
        "results are inputs to it, not a substitute",
    ),
    (
        "IEC 60601-1, Medical electrical equipment: basic safety and essential performance",
        "moving parts, instability, support systems",
    ),
    (
        "IEC 80601-2-77, Robotically assisted surgical equipment",
        "where the linkage carries a surgical instrument",
    ),
    (
        "IEC 62366-1, Usability engineering for medical devices",
        "hands, reach and mistakes are part of the design",
    ),
    (
        "ASME V&V 40, Credibility of computational modeling for medical devices",
        "how far a computed number may be relied on",
    ),
    (
        "ISO 13854, Safety of machinery: minimum gaps to avoid crushing of parts of the human body",
        "bars and joints trap and crush",
    ),
];

/// Hazards that every linkage shares, in whole sentences.
const HAZARDS: [&str; 13] = [
    "Falling: make sure that the arm and its tool cannot fall when power is lost or a brake slips.",
    "Brakes: both released together drop the arm; worn, wet or dirty ones hold less than new ones.",
    "A tool removed under a counterweight or spring lets the arm fly up: lock the arm first.",
    "Springs, bent wires and counterweights store energy: release the energy before you loosen them.",
    "A drive may start unexpectedly: switch the drives off and lock them so before reaching in.",
    "Unintended contact with face and eyes: limit the contact force by means that do not depend on software.",
    "A head or hand may be caught between the arm and its support: provide release without power to free the person, with the arm supported so that it does not drop.",
    "Hair, clothing and cables may be caught in joints and between bars.",
    "The stand may tip, most easily with the arm stretched out.",
    "The tool may give off heat, light or a field, or attract magnetic objects; implants may be disturbed by it.",
    "Cut, printed and broken parts have sharp edges.",
    "What is built is cleaned, and touches skin: choose materials and gaps for both.",
    "Do not use what is built from these results on people without ethical and regulatory approval.",
];

/// Who may be hurt by what, in words for one setting.
///
/// # Example
/// ```
/// use calotte_format::safety::{FIRST, Safety};
///
/// let safety = Safety::general();
/// assert!(safety.short().starts_with(FIRST));
/// assert!(safety.notice().starts_with(FIRST));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Safety {
    trap: Trap,
    people_near: bool,
}

/// How a linkage traps: in a clause, and in a sentence with what to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Trap {
    clause: &'static str,
    sentence: &'static str,
}

/// Bars that cross in cells.
const SCISSOR: Trap = Trap {
    clause: "A scissor closes on fingers; bars and joints can trap and crush",
    sentence: "A scissor closes on fingers: bars and joints can trap, shear and crush in every cell. Close or cover every gap that can crush a part of the body.",
};

/// Bars in a row or a loop.
const BARS: Trap = Trap {
    clause: "Bars and joints can trap and crush",
    sentence: "Bars and joints can trap and crush. Close or cover every gap that can crush a part of the body.",
};

/// Any of them.
const ANY: Trap = Trap {
    clause: "Bars and joints can trap and crush, and a scissor closes on fingers",
    sentence: "Bars and joints can trap and crush, and a scissor closes on fingers. Close or cover every gap that can crush a part of the body.",
};

impl Safety {
    /// Where no one design is spoken of.
    pub const fn general() -> Self {
        Self {
            trap: ANY,
            people_near: true,
        }
    }

    /// Of a design.
    ///
    /// # Arguments
    /// - `people_near`: what the brief says; true where there is none.
    pub fn of(design: &Design, people_near: bool) -> Self {
        Self {
            trap: design.family.each(TrapOf),
            people_near,
        }
    }

    /// Of several designs: what they have in common, or of any.
    pub fn of_all<'a>(designs: impl IntoIterator<Item = &'a Design>, people_near: bool) -> Self {
        let mut each = designs
            .into_iter()
            .map(|design| Self::of(design, people_near));
        let trap = match each.next() {
            Some(first) if each.all(|other| other.trap == first.trap) => first.trap,
            _ => ANY,
        };
        Self { trap, people_near }
    }

    /// A few lines for a terminal: the first sentence, the gravest hazards, what is excluded.
    pub fn short(&self) -> String {
        let rest = if self.people_near {
            "prevent falling; limit contact force; provide release without power."
        } else {
            "prevent falling; switch the drives off and lock them so before reaching in. With no person near, fitters and those at the bench still are."
        };
        format!("{FIRST} {}; {rest} {EXCLUDED_SHORT}", self.trap.clause)
    }

    /// One paragraph for what travels alone.
    pub fn notice(&self) -> String {
        let whom = if self.people_near {
            ""
        } else {
            " With no person near, fitters and those at the bench still are."
        };
        format!(
            "{FIRST} {}.{whom} Further hazards: falling when power is lost, when both brakes are released together or brakes are worn, wet or dirty; a tool removed under a counterweight or spring; energy stored in springs and wires; unexpected start; unintended contact with face and eyes, so limit the contact force; a head or hand caught between arm and support; hair, clothing and cables; tipping of the stand; heat, light, field and magnetic attraction of the tool, and implants; sharp edges; cleaning and skin contact. {EXCLUDED_SHORT} A requirement that is met says something about the model, not that the instrument is safe. {SEEN}",
            self.trap.clause
        )
    }

    /// The lines that are seen below a figure, trapping first.
    pub fn seen(&self) -> String {
        format!("{FIRST} {}. {EXCLUDED_SHORT} {SEEN}", self.trap.clause)
    }

    /// Every hazard in a sentence of its own, trapping first.
    pub fn hazards(&self) -> Vec<String> {
        let whom = (!self.people_near).then_some(
            "The brief says that no person is near. Those who fit, adjust, measure and clean it are: all of this holds for them.",
        );
        std::iter::once(self.trap.sentence)
            .chain(whom)
            .chain(HAZARDS)
            .map(str::to_string)
            .collect()
    }
}

/// [`STANDARDS`] as lines.
pub fn standards() -> Vec<String> {
    STANDARDS
        .iter()
        .map(|(standard, why)| format!("{standard}: {why}."))
        .collect()
}

/// A family is asked how it traps, so that a new one cannot be without an answer.
struct TrapOf;

impl EachFamily<'_> for TrapOf {
    type Answer = Trap;

    fn scissor_linkage(self, _: &ScissorLinkage) -> Trap {
        SCISSOR
    }

    fn two_arc_arm(self, _: &TwoArcArm) -> Trap {
        BARS
    }

    fn five_bar(self, _: &FiveBar) -> Trap {
        BARS
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Asked for by the reviewers, hazard by hazard.
    const NAMED: [&str; 17] = [
        "face and eyes",
        "head or hand",
        "hair, clothing and cables",
        "springs",
        "wires",
        "both",
        "worn",
        "dirty",
        "removed under a counterweight",
        "start",
        "power is lost",
        "tip",
        "heat, light",
        "implants",
        "sharp edges",
        "skin",
        "without ethical and regulatory approval",
    ];

    #[test]
    fn every_hazard_is_in_the_paragraph_and_in_the_list() {
        for people_near in [true, false] {
            let safety = Safety {
                trap: BARS,
                people_near,
            };
            let list = safety.hazards().join(" ").to_lowercase();
            let notice = safety.notice().to_lowercase();
            for hazard in NAMED {
                assert!(list.contains(hazard), "{hazard:?} is not in the list");
                assert!(notice.contains(hazard), "{hazard:?} is not in the notice");
            }
            for text in [safety.short(), safety.notice(), safety.seen()] {
                assert!(text.starts_with(FIRST));
                assert!(text.contains("Bars and joints can trap and crush"));
                assert!(text.contains("Not assessed"));
                assert_eq!(
                    text.contains("fitters"),
                    !people_near && text != safety.seen()
                );
            }
        }
    }

    #[test]
    fn a_mesh_has_room_for_its_header() {
        assert!(MESH_HEADER.starts_with(FIRST));
        assert!(MESH_HEADER.len() <= 80, "{}", MESH_HEADER.len());
    }

    #[test]
    fn what_stands_in_tables_to_fill_in_has_no_comma() {
        for sentence in BENCH.iter().chain([&FIRST]) {
            assert!(!sentence.contains(','), "{sentence}");
        }
    }
}
