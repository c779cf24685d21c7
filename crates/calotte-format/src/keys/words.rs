//! The words a key can take, with their meanings.

use calotte::brief::FamilyName;
use calotte::design::{DriveLayout, Elbows, ToolCarrier};
use calotte::quantity::JudgedAt;
use calotte::quantity::Quantity;
use calotte::stock::{Process, shipped_bearings, shipped_materials};

/// One word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Word {
    /// The word as the file writes it.
    pub name: String,
    /// What it means.
    pub meaning: String,
    /// For a word refused until the program can follow it: what to do meanwhile.
    pub not_yet: Option<&'static str>,
}

/// A list of words.
#[derive(Debug, Clone, Copy)]
pub struct Vocabulary {
    /// What one of them is called, such as `family`.
    pub item: &'static str,
    /// The words, in the order they are documented.
    pub words: fn() -> Vec<Word>,
}

impl Vocabulary {
    /// The names of the words that can be used now.
    pub fn names(&self) -> Vec<String> {
        (self.words)()
            .into_iter()
            .filter(|word| word.not_yet.is_none())
            .map(|word| word.name)
            .collect()
    }
}

fn word(name: &str, meaning: &str) -> Word {
    Word {
        name: name.to_string(),
        meaning: meaning.to_string(),
        not_yet: None,
    }
}

fn not_yet(name: &str, meaning: &str, meanwhile: &'static str) -> Word {
    Word {
        not_yet: Some(meanwhile),
        ..word(name, meaning)
    }
}

const OTHER_FAMILIES: &str = "use \"scissor-linkage\", \"two-arc-arm\" or \"five-bar\" meanwhile";
const SEARCHED_FAMILIES: &str = "use \"scissor-linkage\" or \"two-arc-arm\" meanwhile";

/// Families of linkages.
pub const FAMILY: Vocabulary = Vocabulary {
    item: "family",
    words: || {
        vec![
            word(
                "scissor-linkage",
                "crossing bars between apexes on one great circle",
            ),
            word("two-arc-arm", "two arcs in series"),
            word("five-bar", "two base axes, two chains that meet"),
            not_yet("custom", "bodies and joints listed by hand", OTHER_FAMILIES),
        ]
    },
};

/// Families a search can use.
pub const CHOICE_FAMILY: Vocabulary = Vocabulary {
    item: "family",
    words: || {
        let mut words = (FAMILY.words)();
        for word in &mut words {
            if word.name == "five-bar" || word.not_yet.is_some() {
                word.not_yet = Some(SEARCHED_FAMILIES);
            }
        }
        words
    },
};

/// Working modes of a five-bar.
pub const ELBOWS: Vocabulary = Vocabulary {
    item: "mode",
    words: || {
        vec![
            word("out", "both elbows away from the other chain"),
            word("in", "both elbows towards the other chain"),
            word(
                "crossed",
                "the left elbow out, the right one in; the opposite is its mirror image",
            ),
        ]
    },
};

/// The mode a word of [`ELBOWS`] names.
pub fn elbows(name: &str) -> Option<Elbows> {
    Elbows::ALL.into_iter().find(|elbows| elbows.name() == name)
}

/// The family a word of [`FAMILY`] names.
pub fn family(name: &str) -> Option<FamilyName> {
    FamilyName::ALL
        .into_iter()
        .find(|family| family.name() == name)
}

/// Shapes of regions.
pub const REGION_SHAPE: Vocabulary = Vocabulary {
    item: "shape",
    words: || {
        vec![
            word("cap", "all directions within an angle of an axis"),
            word("band", "all directions between two angles from an axis"),
            word("polygon", "the inside of a polygon of great-circle edges"),
            word("points", "single directions of equal weight"),
            not_yet(
                "surface",
                "the directions of given surfaces",
                "give a cap, band or polygon that holds the surface meanwhile",
            ),
        ]
    },
};

/// How the centre is placed.
pub const CENTRE_PLACE: Vocabulary = Vocabulary {
    item: "place",
    words: || {
        vec![
            word("given", "at `position_mm`"),
            not_yet(
                "best",
                "where incidence, radial travel and cap are smallest",
                "write place = \"given\" with position_mm meanwhile",
            ),
        ]
    },
};

/// Shapes of sections.
pub const SECTION_SHAPE: Vocabulary = Vocabulary {
    item: "shape",
    words: || {
        vec![
            word("rectangle", "solid rectangle, or hollow with `wall_mm`"),
            word("tube", "round tube"),
            word("rod", "solid round"),
            word("custom", "all stiffnesses given"),
        ]
    },
};

/// Shapes of sections a search can size.
pub const CHOICE_SECTION_SHAPE: Vocabulary = Vocabulary {
    item: "shape",
    words: || {
        let mut words = (SECTION_SHAPE.words)();
        words.retain(|word| word.name != "custom");
        words
    },
};

/// Materials of the shipped table.
pub const MATERIAL: Vocabulary = Vocabulary {
    item: "material",
    words: || {
        shipped_materials()
            .into_iter()
            .map(|material| word(&material.name, &material.source))
            .collect()
    },
};

/// Ways to make a part.
pub const PROCESS: Vocabulary = Vocabulary {
    item: "process",
    words: || {
        Process::ALL
            .into_iter()
            .map(|process| word(process.word(), process.meaning()))
            .collect()
    },
};

/// Where in the stated uncertainty limits must hold.
pub const JUDGE: Vocabulary = Vocabulary {
    item: "way to judge",
    words: || {
        vec![
            word(
                "uncertainty",
                "limits hold at the worst end of all that is stated as uncertain",
            ),
            word("nominal", "limits hold at nominal values only"),
        ]
    },
};

/// What a word of [`JUDGE`] means.
pub fn judged_at(name: &str) -> JudgedAt {
    match name {
        "nominal" => JudgedAt::Nominal,
        _ => JudgedAt::WorstEnd,
    }
}

/// Drive layouts.
pub const LAYOUT: Vocabulary = Vocabulary {
    item: "layout",
    words: || {
        vec![
            word(
                "two-bars",
                "each base bar is turned: active joints left, right",
            ),
            word(
                "swing-and-opening",
                "one joint swings the whole, one opens it: active joints swing, opening",
            ),
        ]
    },
};

/// Active joints, of whichever family and layout.
pub const ACTIVE_JOINT: Vocabulary = Vocabulary {
    item: "active joint",
    words: || {
        vec![
            word(EVERY_JOINT, "every active joint that no other entry names"),
            word(
                "left",
                "left base joint of a scissor linkage with two bars driven, or of a five-bar",
            ),
            word(
                "right",
                "right base joint of a scissor linkage with two bars driven, or of a five-bar",
            ),
            word(
                "swing",
                "swing of a scissor linkage with swing and opening driven",
            ),
            word(
                "opening",
                "opening of a scissor linkage with swing and opening driven",
            ),
            word("base", "base joint of a two-arc arm"),
            word("elbow", "elbow of a two-arc arm"),
        ]
    },
};

/// The word of [`ACTIVE_JOINT`] for all of them.
pub const EVERY_JOINT: &str = "every";

/// The layout a word of [`LAYOUT`] names.
pub fn layout(name: &str) -> Option<DriveLayout> {
    [DriveLayout::TwoBars, DriveLayout::SwingAndOpening]
        .into_iter()
        .find(|layout| layout.name() == name)
}

/// What carries the tool.
pub const CARRIER: Vocabulary = Vocabulary {
    item: "carrier",
    words: || {
        vec![
            word(
                "left",
                "the last bar that comes from the left side joint of the last stage",
            ),
            word(
                "right",
                "the last bar that comes from the right side joint of the last stage",
            ),
            word(
                "bisector",
                "a follower on the last pin that keeps the tool on the meridian",
            ),
        ]
    },
};

/// The carrier a word of [`CARRIER`] names.
pub fn carrier(name: &str) -> Option<ToolCarrier> {
    match name {
        "left" => Some(ToolCarrier::Left),
        "right" => Some(ToolCarrier::Right),
        "bisector" => Some(ToolCarrier::Bisector),
        _ => None,
    }
}

/// The word of [`CARRIER`] for a carrier.
pub fn carrier_name(carrier: ToolCarrier) -> &'static str {
    match carrier {
        ToolCarrier::Left => "left",
        ToolCarrier::Right => "right",
        ToolCarrier::Bisector => "bisector",
    }
}

/// How a bearing carries.
pub const BEARING_KIND: Vocabulary = Vocabulary {
    item: "kind",
    words: || {
        vec![
            word("ball", "deep groove ball bearing"),
            word("bushing", "plain bushing"),
        ]
    },
};

/// Which bearings of a pair hold the pin along its axis.
pub const AXIAL_HOLD: Vocabulary = Vocabulary {
    item: "axial hold",
    words: || {
        vec![
            word("both", "both, as in a pair preloaded against each other"),
            word("one", "one locates, the other slides"),
        ]
    },
};

/// The bar that holds a pin.
pub const CLAMPED_IN: Vocabulary = Vocabulary {
    item: "place of the clamp",
    words: || {
        vec![
            word("inner", "the bar nearer to the remote centre"),
            word("outer", "the bar farther from the remote centre"),
        ]
    },
};

/// Which bar lies in which layer.
pub const ARRANGEMENT: Vocabulary = Vocabulary {
    item: "arrangement",
    words: || {
        let mut words = (CHOICE_ARRANGEMENT.words)();
        words.push(word("given", "as `of_bars` says"));
        words
    },
};

/// Arrangements a search can choose from.
pub const CHOICE_ARRANGEMENT: Vocabulary = Vocabulary {
    item: "arrangement",
    words: || {
        vec![
            word(
                "two",
                "bars from left side joints in one layer, bars from right side joints in the other, the tool's carrier innermost",
            ),
            word(
                "nested",
                "every bar in a layer of its own, the tool's carrier innermost",
            ),
            word(
                "fewest",
                "the fewest layers that leave free what the region uses of the range; in a brief",
            ),
        ]
    },
};

/// Bearings of the shipped table.
pub const BEARING: Vocabulary = Vocabulary {
    item: "bearing",
    words: || {
        shipped_bearings()
            .into_iter()
            .map(|bearing| {
                let millimetres = |si: f64| crate::units::Unit::Millimetre.write(si);
                word(
                    bearing.designation,
                    &format!(
                        "{} × {} × {} mm",
                        millimetres(bearing.bore),
                        millimetres(bearing.outer_diameter),
                        millimetres(bearing.width)
                    ),
                )
            })
            .collect()
    },
};

/// What a load keeps its direction to while the linkage moves.
pub const LOAD_FRAME: Vocabulary = Vocabulary {
    item: "frame",
    words: || {
        vec![
            word("tool", "it turns with the local frame at the tool"),
            word("world", "it stays as it is in the world"),
        ]
    },
};

/// Directions of a force that are sought at their worst.
pub const FORCE_DIRECTION: Vocabulary = Vocabulary {
    item: "direction",
    words: || {
        vec![
            word("any", "any direction"),
            word("any tangential", "any direction across the tool"),
            word(
                "any inward",
                "any direction across the tool or towards the centre",
            ),
        ]
    },
};

/// Directions of a moment that are sought at their worst.
pub const MOMENT_DIRECTION: Vocabulary = Vocabulary {
    item: "direction",
    words: || {
        let mut words = (FORCE_DIRECTION.words)();
        words.retain(|word| word.name != "any inward");
        words
    },
};

/// Shapes of keep-outs.
pub const KEEP_OUT_SHAPE: Vocabulary = Vocabulary {
    item: "shape",
    words: || {
        vec![
            word("sphere", "a ball about `position_mm`"),
            word(
                "cylinder",
                "a round cylinder with flat ends from `from_mm` to `to_mm`",
            ),
            word("box", "a box along the world's axes about `position_mm`"),
            word("half-space", "everything on the far side of a plane"),
            word("stl", "a closed surface of triangles from a file"),
        ]
    },
};

/// Units of length of a file of triangles.
pub const LENGTH_UNIT: Vocabulary = Vocabulary {
    item: "unit",
    words: || {
        vec![
            word("mm", "millimetre"),
            word("m", "metre"),
            word("inch", "25.4 mm"),
        ]
    },
};

/// What the choice can weigh.
pub const OBJECTIVE: Vocabulary = Vocabulary {
    item: "objective",
    words: || {
        let weighed = |quantity: Quantity| Some((quantity, quantity.facts().objective?));
        Quantity::OBJECTIVES
            .into_iter()
            .filter_map(weighed)
            .map(|(quantity, objective)| word(quantity.word(), objective.meaning))
            .collect()
    },
};

/// The quantity a word of [`OBJECTIVE`] names.
pub fn objective(name: &str) -> Option<Quantity> {
    Quantity::OBJECTIVES
        .into_iter()
        .find(|quantity| quantity.word() == name)
}
