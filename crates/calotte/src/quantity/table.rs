//! The table.
//!
//! Its own order is the order in which limits are judged; each use of a quantity has its
//! place in the list of that use.

use super::facts::{Better, Bounds, ColourUse, CurveUse, Facts, Form, LimitUse, Need, Over};
use super::unit::Unit;

/// Declares the quantities with their lines of the table, so that neither is without the
/// other.
macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident: $facts:expr;)*) => {
        /// A number that is asked for.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Quantity {
            $($(#[$doc])* $name,)*
        }

        impl Quantity {
            /// All of them.
            pub const ALL: [Quantity; [$(Quantity::$name),*].len()] = [$(Quantity::$name),*];
        }

        /// What is known of each, in the order of [`Quantity::ALL`].
        pub(super) const FACTS: [Facts; Quantity::ALL.len()] = [$($facts),*];
    };
}

quantities! {
    /// Covered share of the region, 1.
    Coverage: Facts::new("coverage", "Coverage", Unit::One, Better::More, Over::WorkingRange)
        .row(0, "Coverage")
        .objective(3, "coverage of the region")
        .map(11, "Covered share of the required region")
        .column(0, "coverage");

    /// Area-weighted GCI over the required region, unreached directions counted 0; 1.
    Gci: Facts::new("gci", "GCI", Unit::One, Better::More, Over::WorkingRange)
        .row(7, "GCI (area)")
        .limit(LimitUse {
            place: 8,
            key: "gci_min",
            bounds: Bounds::from_below(0.0, 1.0),
            absent: "no limit",
            example: "0.4",
            meaning: "minimum global conditioning index over the required region",
        })
        .usual_objective(1, "area-weighted GCI over the required region")
        .map(8, "Global conditioning index, area-weighted mean of the LCI over the required region, unreached directions counted 0")
        .column(1, "gci");

    /// Area-weighted GCI over the part of the region reached, 1.
    GciReached: Facts::new(
        "gci-reached",
        "GCI of the part reached",
        Unit::One,
        Better::More,
        Over::WorkingRange,
    )
    .over_what_is_reached()
    .map(9, "Global conditioning index, area-weighted mean of the LCI over the part of the region that is reached");

    /// Minimum local conditioning index over the part of the region reached, 1.
    LciMin: Facts::new("lci-min", "Minimum LCI", Unit::One, Better::More, Over::WorkingRange)
        .over_what_is_reached()
        .margin()
        .row(6, "Minimum LCI")
        .limit(LimitUse {
            place: 2,
            key: "lci_min",
            bounds: Bounds::from_below(0.0, 1.0),
            absent: "no limit",
            example: "0.2",
            meaning: "minimum local conditioning index; a margin of the working range too",
        })
        .objective(2, "minimum LCI over the covered directions")
        .map(10, "Minimum local conditioning index over the part of the region reached")
        .column(2, "lci_min")
        .colour(ColourUse {
            place: 0,
            word: "lci",
            label: "LCI",
            choice: "LCI (local conditioning index)",
        })
        .curves(&[CurveUse {
            place: 2,
            choice: "LCI",
            label: "LCI",
            name: "LCI",
        }]);

    /// Maximum polar angle of the working range without margins, rad.
    Reach: Facts::new("reach", "Reach", Unit::Degree, Better::More, Over::WorkingRange)
        .map(12, "Maximum polar angle of the working range, without margins");

    /// Minimum translational stiffness at the tip, N/m.
    Stiffness: STIFFNESS
        .named("minimum_translational_stiffness")
        .row(10, "Minimum stiffness")
        .usual_objective(
            0,
            "minimum translational stiffness over the covered directions; needs [joints]",
        )
        .map(0, "Minimum translational stiffness at the tool tip, 1/λmax of the force–displacement block")
        .column(3, "minimum_stiffness")
        .colour(ColourUse {
            place: 1,
            word: "stiffness",
            label: "Minimum stiffness",
            choice: "minimum stiffness",
        })
        .curves(&[
            STIFFNESS_CURVE,
            CurveUse {
                place: 1,
                choice: "minimum stiffness",
                label: "Minimum stiffness at the tip",
                name: "minimum",
            },
        ]);

    /// Mean of the three principal stiffnesses at the tip, N/m.
    StiffnessMean: Facts {
        word: "stiffness-mean",
        label: "Mean stiffness",
        ..STIFFNESS
    }
    .map(1, "Mean of the three principal stiffnesses at the tool tip");

    /// Geometric mean of the three principal stiffnesses at the tip, N/m.
    StiffnessGeometricMean: Facts {
        word: "stiffness-geometric-mean",
        label: "Geometric mean stiffness",
        ..STIFFNESS
    }
    .map(2, "Geometric mean of the three principal stiffnesses at the tool tip");

    /// Harmonic mean of the principal stiffnesses at the tip, 3 over the trace, N/m.
    StiffnessTrace: Facts {
        word: "stiffness-trace",
        label: "Harmonic mean stiffness",
        ..STIFFNESS
    }
    .map(3, "Harmonic mean of the principal stiffnesses at the tool tip, 3/trace of the compliance");

    /// Stiffness at the tip along the polar direction, all else free, N/m.
    StiffnessPolar: Facts {
        word: "stiffness-polar",
        label: "Polar stiffness",
        ..STIFFNESS
    }
    .map(4, "Stiffness at the tool tip along the polar direction, 1/C with all else free")
    .curves(&[CurveUse {
        name: "polar",
        ..STIFFNESS_CURVE
    }]);

    /// As along the polar direction, along azimuth, N/m.
    StiffnessAzimuth: Facts {
        word: "stiffness-azimuth",
        label: "Azimuth stiffness",
        ..STIFFNESS
    }
    .map(5, "Stiffness at the tool tip along azimuth, 1/C with all else free")
    .curves(&[CurveUse {
        name: "azimuth",
        ..STIFFNESS_CURVE
    }]);

    /// As along the polar direction, radially, N/m.
    StiffnessRadial: Facts {
        word: "stiffness-radial",
        label: "Radial stiffness",
        ..STIFFNESS
    }
    .map(6, "Radial stiffness at the tool tip, 1/C with all else free")
    .curves(&[CurveUse {
        name: "radial",
        ..STIFFNESS_CURVE
    }]);

    /// Minimum over maximum eigenvalue of the tangential compliance at the tip, 1.
    Isotropy: Facts::new(
        "isotropy",
        "Tangential isotropy",
        Unit::One,
        Better::More,
        Over::Directions,
    )
    .needing(&[Need::Joints])
    .map(7, "Stiffness isotropy at the tool tip, λmin/λmax of the tangential compliance");

    /// Norm of the tip's displacement by a load case, without own weight, m.
    ContactDeflection: Facts::new(
        "contact-deflection",
        "Contact deflection",
        Unit::Millimetre,
        Better::Less,
        Over::Directions,
    )
    .needing(&[Need::Joints, Need::Load])
    .row(1, "Deflection")
    .map(16, "Displacement of the tool tip by the worst load case, without own weight")
    .limit(LimitUse {
        place: 0,
        key: "contact_deflection_mm",
        bounds: Bounds::above(0.0, 1000.0),
        absent: "no limit",
        example: "0.5",
        meaning: "norm of the tip's displacement by one load case, without own weight; needs a [[load]]",
    })
    .objective(
        6,
        "maximum contact deflection over load cases and covered directions; needs [joints] and a [[load]]",
    )
    .column(4, "contact_deflection")
    .colour(ColourUse {
        place: 2,
        word: "contact",
        label: "Deflection",
        choice: "deflection",
    })
    .curves(&[CurveUse {
        place: 4,
        choice: "contact deflection",
        label: "Contact deflection",
        name: "contact deflection",
    }]);

    /// Norm of the tip's displacement by own weight, m.
    Sag: Facts::new("sag", "Sag", Unit::Millimetre, Better::Less, Over::Directions)
        .needing(&[Need::Joints, Need::Weight, Need::ToolMass])
        .row(2, "Sag by own weight")
        .limit(LimitUse {
            place: 1,
            key: "sag_mm",
            bounds: Bounds::above(0.0, 1000.0),
            absent: "no limit",
            example: "2",
            meaning: "norm of the tip's displacement by own weight; it can be calibrated away, contact cannot",
        })
        .objective(5, "maximum sag over the covered directions; needs [joints]")
        .map(13, "Displacement of the tool tip by own weight")
        .column(5, "sag")
        .colour(ColourUse {
            place: 3,
            word: "sag",
            label: "Sag by own weight",
            choice: "sag by own weight",
        })
        .curves(&[CurveUse {
            place: 5,
            choice: "sag",
            label: "Sag by own weight",
            name: "sag",
        }]);

    /// Distance by which the tool's line misses the remote centre under a load case, without
    /// own weight, m.
    CentreShift: Facts::new(
        "centre-shift",
        "Centre shift",
        Unit::Millimetre,
        Better::Less,
        Over::Directions,
    )
    .needing(&[Need::Joints, Need::Load])
    .row(2, "Centre shift")
    .limit(LimitUse {
        place: 1,
        key: "centre_shift_mm",
        bounds: Bounds::above(0.0, 1000.0),
        absent: "no limit",
        example: "0.3",
        meaning: "maximum distance by which the tool's line misses the remote centre under one load case, without own weight; needs a [[load]]",
    })
    .objective(
        6,
        "maximum centre shift over load cases and covered directions; needs [joints] and a [[load]]",
    )
    .map(16, "Distance by which the tool's line misses the remote centre under the worst load case, without own weight")
    .column(5, "centre_shift")
    .colour(ColourUse {
        place: 5,
        word: "centre-shift",
        label: "Centre shift",
        choice: "centre shift",
    })
    .curves(&[CurveUse {
        place: 7,
        choice: "centre shift",
        label: "Centre shift",
        name: "centre shift",
    }]);

    /// Angle by which the tool's line tilts under a load case, without own weight, rad.
    ToolTilt: Facts::new(
        "tool-tilt",
        "Tool tilt",
        Unit::Degree,
        Better::Less,
        Over::Directions,
    )
    .written(Form::SmallAngle)
    .needing(&[Need::Joints, Need::Load])
    .row(2, "Tool tilt")
    .aside()
    .limit(LimitUse {
        place: 1,
        key: "tool_tilt_deg",
        bounds: Bounds::above(0.0, 90.0),
        absent: "no limit",
        example: "0.2",
        meaning: "maximum angle by which the tool's line tilts under one load case, without own weight; needs a [[load]]",
    })
    .map(16, "Angle by which the tool's line tilts under the worst load case, without own weight")
    .column(5, "tool_tilt")
    .colour(ColourUse {
        place: 5,
        word: "tool-tilt",
        label: "Tool tilt",
        choice: "tool tilt",
    });

    /// Distance by which the tool's line misses the remote centre by own weight, m.
    SagCentreShift: Facts::new(
        "sag-centre-shift",
        "Centre shift by own weight",
        Unit::Millimetre,
        Better::Less,
        Over::Directions,
    )
    .needing(&[Need::Joints, Need::Weight, Need::ToolMass])
    .row(2, "Centre shift by weight")
    .limit(LimitUse {
        place: 1,
        key: "sag_centre_shift_mm",
        bounds: Bounds::above(0.0, 1000.0),
        absent: "no limit",
        example: "0.5",
        meaning: "maximum distance by which the tool's line misses the remote centre by own weight; it can be calibrated away",
    })
    .map(16, "Distance by which the tool's line misses the remote centre by own weight")
    .column(5, "sag_centre_shift")
    .colour(ColourUse {
        place: 5,
        word: "sag-centre-shift",
        label: "Centre shift by own weight",
        choice: "centre shift by own weight",
    })
    .curves(&[CurveUse {
        place: 8,
        choice: "centre shift by own weight",
        label: "Centre shift by own weight",
        name: "centre shift by own weight",
    }]);

    /// Angle by which the tool's line tilts by own weight, rad.
    SagToolTilt: Facts::new(
        "sag-tool-tilt",
        "Tool tilt by own weight",
        Unit::Degree,
        Better::Less,
        Over::Directions,
    )
    .written(Form::SmallAngle)
    .needing(&[Need::Joints, Need::Weight, Need::ToolMass])
    .row(2, "Tool tilt by weight")
    .aside()
    .limit(LimitUse {
        place: 1,
        key: "sag_tool_tilt_deg",
        bounds: Bounds::above(0.0, 90.0),
        absent: "no limit",
        example: "0.3",
        meaning: "maximum angle by which the tool's line tilts by own weight; it can be calibrated away",
    })
    .map(16, "Angle by which the tool's line tilts by own weight")
    .column(5, "sag_tool_tilt");

    /// Mass of everything that moves, without the tool, kg.
    MovingMass: Facts::new(
        "moving-mass",
        "Moving mass",
        Unit::Kilogram,
        Better::Less,
        Over::Linkage,
    )
    .row(9, "Moving mass")
    .limit(LimitUse {
        place: 6,
        key: "moving_mass_kg",
        bounds: Bounds::above(0.0, 1000.0),
        absent: "no limit",
        example: "1.5",
        meaning: "maximum mass of bars, bosses, pins and bearings, without the tool",
    })
    .usual_objective(4, "mass of everything that moves, without the tool")
    .map(15, "Mass of what moves, without the tool")
    .column(9, "moving_mass");

    /// Maximum torque of an active joint against weight, N·m.
    HoldingTorque: Facts::new(
        "holding-torque",
        "Holding torque",
        Unit::NewtonMetre,
        Better::Less,
        Over::Directions,
    )
    .needing(&[Need::Weight])
    .row(3, "Holding torque")
    .limit(LimitUse {
        place: 7,
        key: "holding_torque_nm",
        bounds: Bounds::above(0.0, 1e6),
        absent: "no limit",
        example: "2",
        meaning: "maximum torque any drive must give against weight",
    })
    .objective(7, "maximum holding torque over the covered directions")
    .map(14, "Maximum torque of a drive against weight")
    .column(6, "holding_torque")
    .colour(ColourUse {
        place: 4,
        word: "holding-torque",
        label: "Maximum holding torque",
        choice: "holding torque",
    })
    .curves(&[CurveUse {
        place: 6,
        choice: "holding torque",
        label: "Maximum holding torque",
        name: "holding torque",
    }]);

    /// Maximum torque of an active joint against weight and a load case together, N·m.
    LoadHoldingTorque: Facts::new(
        "load-holding-torque",
        "Holding torque under load",
        Unit::NewtonMetre,
        Better::Less,
        Over::Directions,
    )
    .needing(&[Need::Load, Need::Weight])
    .row(3, "Holding torque")
    .limit(LimitUse {
        place: 7,
        key: "load_holding_torque_nm",
        bounds: Bounds::above(0.0, 1e6),
        absent: "no limit",
        example: "4",
        meaning: "maximum torque any drive must give against weight and one load case together; needs a [[load]]",
    })
    .objective(
        7,
        "maximum holding torque over load cases with weight and covered directions; needs a [[load]]",
    )
    .map(16, "Maximum torque of a drive against weight and the worst load case together")
    .column(6, "load_holding_torque")
    .colour(ColourUse {
        place: 5,
        word: "load-holding-torque",
        label: "Maximum holding torque with weight",
        choice: "holding torque under load",
    });

    /// Force by which contact rises where the body moves towards the tool, drives held, N/m.
    ContactStiffness: Facts {
        word: "contact-stiffness",
        label: "Contact stiffness",
        better: Better::Less,
        ..STIFFNESS
    }
    .row(10, "Maximum contact stiffness")
    .aside()
    .limit(LimitUse {
        place: 7,
        key: "contact_stiffness_n_per_mm",
        bounds: Bounds::above(0.0, 1e9),
        absent: "no limit",
        example: "150",
        meaning: "maximum force by which contact rises for each millimetre that the body moves radially towards the tool, drives held and without friction in the contact",
    })
    .map(7, "Force by which contact rises for each millimetre that the body moves radially towards the tool, drives held")
    .column(3, "contact_stiffness")
    .colour(ColourUse {
        place: 5,
        word: "contact-stiffness",
        label: "Contact stiffness",
        choice: "contact stiffness",
    });

    /// Minimum safety factor against yield of bars and pins, under weight and any one load
    /// case, 1.
    SafetyFactor: Facts::new(
        "safety-factor",
        "Safety factor",
        Unit::One,
        Better::More,
        Over::Directions,
    )
    .named("safety_factor_yield")
    .written(Form::Factor)
    .needing(&[Need::Joints, Need::Fibres, Need::Weight, Need::AnyLoad])
    .row(4, "Safety factor, yield")
    .limit(LimitUse {
        place: 4,
        key: "safety_factor_yield",
        bounds: Bounds::above(0.0, 1000.0),
        absent: "no limit",
        example: "2",
        meaning: "minimum safety factor against yield, of bars and pins",
    })
    .column(7, "safety_factor_yield");

    /// Minimum static safety of the bearings by ISO 76, under weight and any one load case, 1.
    BearingStaticSafety: Facts::new(
        "bearing-static-safety",
        "Bearing static safety",
        Unit::One,
        Better::More,
        Over::Directions,
    )
    .written(Form::Factor)
    .needing(&[Need::Joints, Need::BearingRating, Need::Weight, Need::AnyLoad])
    .row(5, "Bearings, static safety")
    .limit(LimitUse {
        place: 5,
        key: "bearing_static_safety",
        bounds: Bounds::above(0.0, 1000.0),
        absent: "no limit",
        example: "2",
        meaning: "minimum static safety of the bearings by ISO 76, static rating over equivalent load; 1 is usual, 2 where they must run smoothly (bearing makers' guides)",
    })
    .column(8, "bearing_static_safety");

    /// Minimum transmission angle, rad.
    TransmissionAngle: Facts::new(
        "transmission-angle",
        "Transmission angle",
        Unit::Degree,
        Better::More,
        Over::WorkingRange,
    )
    .over_what_is_reached()
    .margin()
    .needing(&[Need::Stages])
    .row(8, "Transmission angle")
    .limit(LimitUse {
        place: 3,
        key: "transmission_angle_min_deg",
        bounds: Bounds::from_below(0.0, 90.0),
        absent: "no limit on reach; stiffness, deflection and torque over the region then use 20",
        example: "20",
        meaning: "minimum transmission angle; a margin of the working range too",
    })
    .curves(&[CurveUse {
        place: 3,
        choice: "transmission angle",
        label: "Transmission angle",
        name: "transmission angle",
    }]);

    /// How far the tool turns about its own direction over the covered part of the region, rad;
    /// at one second mechanism angle its roll there.
    ToolRollRange: Facts::new(
        "tool-roll-range",
        "Tool roll range",
        Unit::Degree,
        Better::Less,
        Over::WorkingRange,
    )
    .over_what_is_reached()
    .row(8, "Tool roll range")
    .aside()
    .limit(LimitUse {
        place: 3,
        key: "tool_roll_range_deg",
        bounds: Bounds::above(0.0, 3600.0),
        absent: "no limit",
        example: "60",
        meaning: "maximum by which the tool turns about its own direction, against the meridian of the base axis, between any two directions of the covered part of the region; whole turns count",
    })
    .map(12, "Range of the tool's roll about its own direction, against the meridian of the base axis, over the covered part of the required region")
    .column(2, "tool_roll_range")
    .colour(ColourUse {
        place: 6,
        word: "tool-roll",
        label: "Tool roll against the meridian",
        choice: "tool roll",
    })
    .curves(&[CurveUse {
        place: 9,
        choice: "tool roll",
        label: "Tool roll against the meridian",
        name: "tool roll",
    }]);

    /// Thickness of the thinnest wall of a bar, around a hole or void, m.
    Wall: Facts::new("wall", "Thinnest wall", Unit::Millimetre, Better::More, Over::Linkage)
        .named("thinnest_wall")
        .needing(&[Need::Hole])
        .row(11, "Thinnest wall")
        .limit(LimitUse {
            place: 9,
            key: "wall_min_mm",
            bounds: Bounds::above(0.0, 1000.0),
            absent: "what `process` of [choice] usually leaves, where that is given; else no limit, and thinner walls are cautioned about",
            example: "1.5",
            meaning: "minimum material around a hole or void of a bar",
        });

    /// Width of the narrowest land between two holes of a bar, m.
    Land: Facts::new("land", "Narrowest land", Unit::Millimetre, Better::More, Over::Linkage)
        .named("narrowest_land")
        .needing(&[Need::TwoHoles])
        .row(12, "Narrowest land")
        .limit(LimitUse {
            place: 10,
            key: "land_min_mm",
            bounds: Bounds::above(0.0, 1000.0),
            absent: "what `process` of [choice] usually leaves, where that is given; else no limit, and narrower lands are cautioned about",
            example: "1.5",
            meaning: "minimum material between two holes of a bar",
        });

    /// Number of joints.
    Joints: Facts::new("joints", "Joints", Unit::One, Better::Less, Over::Linkage)
        .written(Form::Count)
        .objective(8, "number of joints");
}

/// A stiffness at the tip.
const STIFFNESS: Facts = Facts::new(
    "stiffness",
    "Minimum stiffness",
    Unit::NewtonPerMillimetre,
    Better::More,
    Over::Directions,
)
.needing(&[Need::Joints]);

/// A stiffness in the figure of several.
const STIFFNESS_CURVE: CurveUse = CurveUse {
    place: 0,
    choice: "stiffness",
    label: "Stiffness at the tip",
    name: "minimum",
};
