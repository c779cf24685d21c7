//! What the table says about one quantity.

use super::unit::Unit;

/// Which way a quantity is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Better {
    /// More is better; a limit is a least value.
    More,
    /// Less is better; a limit is a greatest value.
    Less,
}

/// Over what a quantity is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Over {
    /// The working range; no uncertain number of joints or materials changes it.
    WorkingRange,
    /// Every direction by itself; over a region the worst of those covered.
    Directions,
    /// The linkage as a whole, wherever it stands.
    Linkage,
}

/// What must be described for a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Whether joints give way and how far: `[joints]`.
    Joints,
    /// A load case, of which each has a value of its own.
    Load,
    /// Load cases, where there are any, together with weight: the worst of all.
    AnyLoad,
    /// Mass of anything.
    Weight,
    /// Mass of the tool.
    ToolMass,
    /// A section whose fibres are known.
    Fibres,
    /// Bearings in the joints, with their static rating.
    BearingRating,
    /// Stages.
    Stages,
    /// A hole or void in a bar.
    Hole,
    /// Two holes in a bar.
    TwoHoles,
}

/// How a number is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Three decimals; margins are differences.
    Index,
    /// An angle; margins are differences.
    Angle,
    /// An angle far below a degree: three significant digits.
    SmallAngle,
    /// Three significant digits, cut where more says nothing.
    Factor,
    /// A whole number.
    Count,
    /// Three significant digits with the unit.
    Measure,
}

/// Numbers a limit can be, in the unit of the quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower bound.
    pub low: f64,
    /// Upper bound.
    pub high: f64,
    /// Whether the lower bound itself is allowed.
    pub low_allowed: bool,
    /// Whether the upper bound itself is allowed.
    pub high_allowed: bool,
}

impl Bounds {
    /// Above a bound, up to another that is allowed.
    pub const fn above(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            low_allowed: false,
            high_allowed: true,
        }
    }

    /// From a bound that is allowed to below another.
    pub const fn from_below(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            low_allowed: true,
            high_allowed: false,
        }
    }
}

/// As a row of results.
#[derive(Debug, Clone, Copy)]
pub struct RowUse {
    /// Place among the rows.
    pub place: u8,
    /// What the row is called.
    pub label: &'static str,
}

/// As a limit of a brief.
#[derive(Debug, Clone, Copy)]
pub struct LimitUse {
    /// Place among the keys.
    pub place: u8,
    /// The key, with its unit.
    pub key: &'static str,
    /// Numbers allowed.
    pub bounds: Bounds,
    /// What holds without it.
    pub absent: &'static str,
    /// A number that is allowed.
    pub example: &'static str,
    /// One line on what it means.
    pub meaning: &'static str,
}

/// As an objective.
#[derive(Debug, Clone, Copy)]
pub struct ObjectiveUse {
    /// Place among the objectives.
    pub place: u8,
    /// One line on what it means.
    pub meaning: &'static str,
    /// Whether it is weighed where a brief gives no objectives.
    pub usual: bool,
}

/// On a map.
#[derive(Debug, Clone, Copy)]
pub struct MapUse {
    /// Place among the quantities of a map.
    pub place: u8,
    /// What it is, in words that open a caption.
    pub definition: &'static str,
}

/// As a column of the candidates.
#[derive(Debug, Clone, Copy)]
pub struct ColumnUse {
    /// Place among the columns.
    pub place: u8,
    /// The column without its unit.
    pub name: &'static str,
}

/// As a colour of the dome.
#[derive(Debug, Clone, Copy)]
pub struct ColourUse {
    /// Place among the colours.
    pub place: u8,
    /// The word asked with.
    pub word: &'static str,
    /// Label of the scale.
    pub label: &'static str,
    /// What a list of choices calls it.
    pub choice: &'static str,
}

/// As a curve along the polar angle.
#[derive(Debug, Clone, Copy)]
pub struct CurveUse {
    /// Place of its figure among the figures; curves of one figure have the same.
    pub place: u8,
    /// What a list of choices calls the figure.
    pub choice: &'static str,
    /// Label of the figure's scale.
    pub label: &'static str,
    /// What the curve is called beside others; where every load case has its own, its name
    /// instead.
    pub name: &'static str,
}

/// One line of the table.
#[derive(Debug, Clone, Copy)]
pub struct Facts {
    /// The word that files and the command line write.
    pub word: &'static str,
    /// The name in results where it is not the word with underlines.
    pub name: Option<&'static str>,
    /// Label in figures and lists.
    pub label: &'static str,
    /// Unit in which it is shown.
    pub unit: Unit,
    /// How its numbers are written.
    pub form: Form,
    /// Which way it is better.
    pub better: Better,
    /// Over what it is taken.
    pub over: Over,
    /// What must be described for it.
    pub needs: &'static [Need],
    /// Whether its limit is a margin of the working range.
    pub margin: bool,
    /// Whether it is taken over what is reached alone, so that designs compare only where
    /// they reach the same.
    pub at_equal_reach: bool,
    /// As a row of results.
    pub row: Option<RowUse>,
    /// Whether its row stands in the full results alone where nothing limits it.
    pub aside: bool,
    /// As a limit of a brief.
    pub limit: Option<LimitUse>,
    /// As an objective.
    pub objective: Option<ObjectiveUse>,
    /// On a map.
    pub map: Option<MapUse>,
    /// As a column of the candidates.
    pub column: Option<ColumnUse>,
    /// As a colour of the dome.
    pub colour: Option<ColourUse>,
    /// As curves along the polar angle, each in a figure of its own.
    pub curves: &'static [CurveUse],
}

impl Facts {
    /// A quantity that can be asked for nowhere yet.
    pub const fn new(
        word: &'static str,
        label: &'static str,
        unit: Unit,
        better: Better,
        over: Over,
    ) -> Self {
        Self {
            word,
            name: None,
            label,
            unit,
            form: match unit {
                Unit::One => Form::Index,
                Unit::Degree => Form::Angle,
                _ => Form::Measure,
            },
            better,
            over,
            needs: &[],
            margin: false,
            at_equal_reach: matches!(over, Over::Directions),
            row: None,
            aside: false,
            limit: None,
            objective: None,
            map: None,
            column: None,
            colour: None,
            curves: &[],
        }
    }

    /// The name in results, where it is not the word.
    pub const fn named(self, name: &'static str) -> Self {
        Self {
            name: Some(name),
            ..self
        }
    }

    /// How its numbers are written, where the unit does not say.
    pub const fn written(self, form: Form) -> Self {
        Self { form, ..self }
    }

    /// What must be described for it.
    pub const fn needing(self, needs: &'static [Need]) -> Self {
        Self { needs, ..self }
    }

    /// Its limit is a margin of the working range.
    pub const fn margin(self) -> Self {
        Self {
            margin: true,
            ..self
        }
    }

    /// Taken over what is reached alone.
    pub const fn over_what_is_reached(self) -> Self {
        Self {
            at_equal_reach: true,
            ..self
        }
    }

    /// A row of results.
    pub const fn row(self, place: u8, label: &'static str) -> Self {
        Self {
            row: Some(RowUse { place, label }),
            ..self
        }
    }

    /// Without a limit its row stands in the full results alone, not in the summary.
    pub const fn aside(self) -> Self {
        Self {
            aside: true,
            ..self
        }
    }

    /// A limit of a brief.
    pub const fn limit(self, limit: LimitUse) -> Self {
        Self {
            limit: Some(limit),
            ..self
        }
    }

    /// An objective.
    pub const fn objective(self, place: u8, meaning: &'static str) -> Self {
        Self {
            objective: Some(ObjectiveUse {
                place,
                meaning,
                usual: false,
            }),
            ..self
        }
    }

    /// An objective that is weighed where a brief gives none.
    pub const fn usual_objective(self, place: u8, meaning: &'static str) -> Self {
        Self {
            objective: Some(ObjectiveUse {
                place,
                meaning,
                usual: true,
            }),
            ..self
        }
    }

    /// A quantity of a map.
    pub const fn map(self, place: u8, definition: &'static str) -> Self {
        Self {
            map: Some(MapUse { place, definition }),
            ..self
        }
    }

    /// A column of the candidates.
    pub const fn column(self, place: u8, name: &'static str) -> Self {
        Self {
            column: Some(ColumnUse { place, name }),
            ..self
        }
    }

    /// A colour of the dome.
    pub const fn colour(self, colour: ColourUse) -> Self {
        Self {
            colour: Some(colour),
            ..self
        }
    }
    /// Curves along the polar angle.
    pub const fn curves(self, curves: &'static [CurveUse]) -> Self {
        Self { curves, ..self }
    }
}
