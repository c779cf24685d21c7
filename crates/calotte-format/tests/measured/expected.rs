//! What each damaged file gives: places counted by hand, and words of the message.

/// Line, column, words of the message, of what is allowed or of the hint.
pub type ProblemAt = (usize, usize, &'static [&'static str]);

/// Number of the data row, line, words of the reason.
pub type RowAt = (usize, usize, &'static [&'static str]);

/// What a file gives.
pub enum Expected {
    /// The whole file is refused.
    File(&'static [ProblemAt]),
    /// The file is read, with some rows refused.
    Rows {
        /// Rows that remain.
        remain: usize,
        /// Rows refused.
        refused: &'static [RowAt],
        /// Words of notes.
        notes: &'static [&'static str],
    },
}

use Expected::{File, Rows};

/// By file, without its extension.
pub const EXPECTED: &[(&str, Expected)] = &[
    (
        "arm_points_other_layout",
        File(&[
            (2, 1, &["`left`", "`base` and `elbow`", "this design"]),
            (2, 10, &["`right`", "measured with this design"]),
        ]),
    ),
    (
        "bars_points_other_layout",
        File(&[
            (2, 1, &["two-bars", "left = swing + opening/2"]),
            (2, 11, &["`left` and `right`", "right = swing - opening/2"]),
        ]),
    ),
    (
        "points_absurd",
        Rows {
            remain: 7,
            refused: &[
                (7, 9, &["`x_mm`", "inf", "not finite"]),
                (8, 10, &["`x_mm`", "1e999", "not finite"]),
                (9, 11, &["`swing_deg`", "36001", "100 turns"]),
                (10, 12, &["`x_mm`", "-100001", "100 m"]),
            ],
            notes: &["4 of 11 rows refused: 7, 8, 9, 10"],
        },
    ),
    (
        "points_are_weights",
        File(&[(2, 1, &["file of weights", "read as points", "x_mm"])]),
    ),
    (
        "points_between_blanks",
        File(&[(2, 1, &["one column", "comma", "blanks do not separate"])]),
    ),
    (
        "points_column_twice",
        File(&[(2, 38, &["`x`", "two columns", "keep one"])]),
    ),
    (
        "points_column_with_unit",
        File(&[(2, 38, &["height_mm", "no known column", "without a unit"])]),
    ),
    (
        "points_decimal_commas",
        File(&[
            (2, 1, &["6 of 6", "remain: 0", "reasons follow"]),
            (
                3,
                20,
                &["row 1", "9 values", "6 names", "semicolons or tabs"],
            ),
            (4, 20, &["row 2", "9 values"]),
            (5, 20, &["row 3", "9 values"]),
            (6, 21, &["row 4", "9 values"]),
            (7, 21, &["row 5", "9 values"]),
            (8, 21, &["row 6", "9 values"]),
        ]),
    ),
    (
        "points_empty",
        File(&[(1, 1, &["no heading and no rows", "swing_deg", "template"])]),
    ),
    (
        "points_half_an_orientation",
        File(&[(2, 1, &["missing", "`qz`"])]),
    ),
    (
        "points_hardly_filled_in",
        File(&[
            (2, 1, &["13 of 14", "remain: 1", "first ten reasons"]),
            (4, 30, &["row 2", "`x_mm`, `y_mm` and `z_mm` are missing"]),
            (5, 31, &["row 3"]),
            (6, 31, &["row 4"]),
            (7, 31, &["row 5"]),
            (8, 31, &["row 6"]),
            (9, 31, &["row 7"]),
            (10, 31, &["row 8"]),
            (11, 31, &["row 9"]),
            (12, 31, &["row 10"]),
            (13, 31, &["row 11"]),
        ]),
    ),
    (
        "points_heading_again",
        File(&[(7, 1, &["heading stands here again", "keep one"])]),
    ),
    (
        "points_heading_only",
        File(&[(2, 1, &["no row", "at least 4 rows"])]),
    ),
    (
        "points_heading_quote",
        File(&[(2, 11, &["quote", "not closed"])]),
    ),
    (
        "points_missing",
        Rows {
            remain: 6,
            refused: &[
                (7, 9, &["`x_mm` is missing"]),
                (8, 10, &["`x_mm` is missing"]),
                (9, 11, &["`x_mm` and `y_mm` are missing"]),
                (10, 14, &["`x_mm`, `y_mm` and `z_mm` are missing"]),
                (11, 15, &["`swing_deg` is missing"]),
                (12, 16, &["`opening_deg` is missing"]),
            ],
            notes: &["6 of 12 rows refused"],
        },
    ),
    (
        "points_missing_columns",
        File(&[(2, 1, &["missing", "`opening_deg` and `z_mm`"])]),
    ),
    (
        "points_mixed_marks",
        Rows {
            remain: 6,
            refused: &[(7, 9, &["`x_mm`", "60.1", "decimal comma"])],
            notes: &["decimal commas"],
        },
    ),
    (
        "points_mixed_marks_points",
        Rows {
            remain: 6,
            refused: &[(7, 9, &["`x_mm`", "1,234", "decimal point"])],
            notes: &["1 of 7"],
        },
    ),
    (
        "points_nameless",
        Rows {
            remain: 6,
            refused: &[(7, 9, &["value 8", "without a name"])],
            notes: &["1 of 7"],
        },
    ),
    (
        "points_no_heading",
        File(&[(2, 1, &["numbers where the names", "above the first row"])]),
    ),
    (
        "points_no_numbers",
        Rows {
            remain: 6,
            refused: &[
                (7, 9, &["`x_mm`", "abc is not a number"]),
                (8, 10, &["`x_mm`", "74.9 mm", "more than a number"]),
                (9, 11, &["`x_mm`", "1.2.3 is not a number"]),
                (10, 12, &["`swing_deg`", "30°", "more than a number"]),
            ],
            notes: &["4 of 10 rows refused: 7, 8, 9, 10"],
        },
    ),
    (
        "points_no_units",
        File(&[
            (
                2,
                1,
                &[
                    "`swing` does not say its unit",
                    "`swing_deg` or `swing_rad`",
                ],
            ),
            (2, 7, &["`opening`", "`opening_deg`"]),
            (2, 15, &["`x`", "`x_mm`", "`x_in`"]),
            (2, 17, &["`y`"]),
            (2, 19, &["`z`"]),
        ]),
    ),
    (
        "points_of_an_arm",
        File(&[
            (
                2,
                1,
                &["`base`", "swing-and-opening", "measured with this design"],
            ),
            (2, 10, &["`elbow`"]),
        ]),
    ),
    (
        "points_orientations",
        Rows {
            remain: 8,
            refused: &[
                (7, 9, &["length 0.9899", "1 %"]),
                (8, 10, &["`qy` is missing"]),
                (11, 13, &["length 0.0000"]),
            ],
            notes: &["without an orientation: row 9", "3 of 11"],
        },
    ),
    (
        "points_other_layout",
        File(&[
            (
                2,
                1,
                &[
                    "`left`",
                    "swing-and-opening",
                    "swing = (left + right)/2",
                    "1 and -2.5",
                ],
            ),
            (2, 10, &["`right`", "opening = left - right"]),
        ]),
    ),
    (
        "points_other_layout_beside",
        File(&[
            (2, 23, &["`left`", "take the column out"]),
            (2, 32, &["`right`", "take the column out"]),
        ]),
    ),
    (
        "points_other_orientation",
        File(&[
            (2, 38, &["`q0`", "`qw`"]),
            (2, 41, &["`q1`"]),
            (2, 44, &["`q2`"]),
            (2, 47, &["`q3`"]),
        ]),
    ),
    (
        "points_quotes",
        Rows {
            remain: 7,
            refused: &[
                (7, 9, &["quote", "not closed"]),
                (8, 10, &["closing quote"]),
            ],
            notes: &["2 of 9"],
        },
    ),
    (
        "points_remarks",
        Rows {
            remain: 6,
            refused: &[],
            notes: &[
                "`opening_rad` is read in radians",
                "`x_um` is read in micrometres",
                "`z_m` is read in metres",
                "`operator` and `time`",
                "remark behind the values, not read: row 1, 2, 3, 4, 5, 6",
                "separators only, passed over: line 9",
            ],
        },
    ),
    (
        "points_repeated",
        Rows {
            remain: 10,
            refused: &[(10, 12, &["`x_mm` is missing"])],
            notes: &["same as the row before, kept: row 3, 9"],
        },
    ),
    (
        "points_slips",
        File(&[
            (2, 1, &["swng_deg", "`swing_deg`"]),
            (2, 10, &["openning_deg", "`opening_deg`"]),
            (2, 38, &["gruop", "`group`"]),
        ]),
    ),
    (
        "points_thousands",
        Rows {
            remain: 6,
            refused: &[
                (7, 9, &["1 234.5", "in groups"]),
                (8, 10, &["1,234.5", "in groups"]),
                (9, 11, &["1'234.5", "in groups"]),
                (10, 12, &["1.234,5", "in groups"]),
                (11, 13, &["in groups"]),
            ],
            notes: &["5 of 11"],
        },
    ),
    (
        "points_three_rows",
        File(&[(2, 1, &["3 rows are too few", "at least 4"])]),
    ),
    (
        "points_title_line",
        File(&[(2, 1, &["missing", "`swing_deg`", "# before lines above"])]),
    ),
    (
        "points_twelve_reasons",
        File(&[
            (2, 1, &["12 of 17", "remain: 5", "first ten"]),
            (8, 7, &["row 6", "? is not a number"]),
            (9, 7, &["row 7"]),
            (10, 7, &["row 8"]),
            (11, 7, &["row 9"]),
            (12, 7, &["row 10"]),
            (13, 7, &["row 11"]),
            (14, 7, &["row 12"]),
            (15, 7, &["row 13"]),
            (16, 7, &["row 14"]),
            (17, 7, &["row 15"]),
        ]),
    ),
    (
        "points_units_in_brackets",
        File(&[
            (2, 1, &["swing [deg]", "write `swing_deg`"]),
            (2, 13, &["write `opening_deg`"]),
            (2, 27, &["write `x_mm`"]),
            (2, 32, &["write `y_mm`"]),
            (2, 37, &["write `z_mm`"]),
        ]),
    ),
    (
        "points_units_row",
        File(&[(3, 1, &["second line of names or units", "x_mm", "#"])]),
    ),
    (
        "points_unknown_unit",
        File(&[
            (2, 23, &["`x` cannot be read in ft", "`x_mm`"]),
            (2, 28, &["`y`", "ft"]),
            (2, 33, &["`z`", "kg", "`z_um`"]),
        ]),
    ),
    (
        "points_wrong_counts",
        Rows {
            remain: 7,
            refused: &[
                (7, 9, &["5 values", "6 names"]),
                (8, 10, &["7 values", "6 names"]),
                (9, 11, &["1 value,", "6 names"]),
                (10, 12, &["8 values"]),
            ],
            notes: &["4 of 11"],
        },
    ),
    (
        "weights_are_points",
        File(&[(2, 1, &["file of points", "read as weights", "mass_kg"])]),
    ),
    (
        "weights_courses",
        Rows {
            remain: 7,
            refused: &[
                (7, 9, &["`course`", "up is no course", "loading, unloading"]),
                (8, 10, &["`course` is missing"]),
            ],
            notes: &["straight down"],
        },
    ),
    (
        "weights_directions",
        Rows {
            remain: 7,
            refused: &[
                (
                    7,
                    9,
                    &["`gauge_x`, `gauge_y` and `gauge_z`", "no direction"],
                ),
                (8, 10, &["`pull_x`, `pull_y` and `pull_z`", "no direction"]),
                (9, 11, &["`pull_y` is missing"]),
            ],
            notes: &["3 of 10"],
        },
    ),
    (
        "weights_masses",
        Rows {
            remain: 6,
            refused: &[
                (7, 9, &["`mass_kg`", "-1 is below zero"]),
                (8, 10, &["`mass_kg`", "20000", "10000 kg"]),
                (9, 11, &["`mass_kg`", "1 kg", "more than a number"]),
            ],
            notes: &["3 of 9"],
        },
    ),
    (
        "weights_no_axis",
        File(&[(2, 1, &["`gauge_x`, `gauge_y` and `gauge_z`"])]),
    ),
    (
        "weights_no_course",
        File(&[(2, 1, &["missing", "`course`"])]),
    ),
    (
        "weights_part_of_pull",
        File(&[(2, 1, &["missing", "`pull_y` and `pull_z`"])]),
    ),
    (
        "weights_places",
        Rows {
            remain: 7,
            refused: &[
                (7, 9, &["`place`", "tp is no place", "bar-left-2", "tip"]),
                (8, 10, &["bar-left-3 is no place", "bar-left-2"]),
                (9, 11, &["tip@0.5", "no bar"]),
                (10, 12, &["bar-left-2@1.5", "fraction"]),
                (11, 13, &["bar-left-2@middle", "fraction"]),
                (13, 15, &["- is no place"]),
            ],
            notes: &["6 of 13"],
        },
    ),
    (
        "weights_seen_twice",
        File(&[(2, 1, &["along an axis and as a vector", "keep one"])]),
    ),
    (
        "weights_two_components",
        File(&[(2, 1, &["missing", "`dy_mm`"])]),
    ),
];
