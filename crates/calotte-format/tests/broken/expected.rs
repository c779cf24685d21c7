//! What is wrong with each broken file: line, key, and words of the message,
//! of what is allowed, of the hint or of the value.

/// Line, key, words.
pub type Expected = (usize, &'static str, &'static [&'static str]);

/// By file, without its extension.
pub const EXPECTED: &[(&str, &[Expected])] = &[
    (
        "design_own_bar_unknown",
        &[(
            18,
            "section.bar[1].name",
            &["no bar is named", "base-left", "bar-right-2"],
        )],
    ),
    (
        "design_own_level_unknown",
        &[(
            25,
            "joints.level[2].level",
            &["level 3", "0 (the base) to 2"],
        )],
    ),
    (
        "design_own_level_twice",
        &[(
            18,
            "section.level[2].level",
            &["level 1 is given own sections twice", "one entry"],
        )],
    ),
    (
        "design_own_level_half",
        &[(
            13,
            "section.level[1].level",
            &["whole number", "0 for the base joints"],
        )],
    ),
    (
        "design_own_bearing_alone",
        &[(
            22,
            "joints.level[1].bearing",
            &[
                "all others have stiffnesses without bearings",
                "give stiffnesses here",
            ],
        )],
    ),
    (
        "design_own_stiffness_beside_bearings",
        &[(
            20,
            "joints.level[1].radial_n_per_m",
            &["all others have bearings", "give a bearing here"],
        )],
    ),
    (
        "design_own_stiffness_of_rigid",
        &[(
            20,
            "joints.level[1].tilt_nm_per_rad",
            &["all others are rigid", "take it out"],
        )],
    ),
    (
        "design_own_nothing",
        &[(
            19,
            "joints.level[1].level",
            &["states nothing of its own", "bearing"],
        )],
    ),
    (
        "design_own_boss_small",
        &[(
            20,
            "joints.level[1].boss_diameter_mm",
            &["no room", "19 mm"],
        )],
    ),
    (
        "design_own_pin_thick",
        &[(
            21,
            "joints.level[1].pin.diameter_mm",
            &["does not go into", "4 mm"],
        )],
    ),
    (
        "brief_load_any_and_component",
        &[(
            16,
            "load[1].force_n.radial",
            &["beside `direction`", "[[together]]"],
        )],
    ),
    (
        "brief_load_any_slip",
        &[(
            16,
            "load[1].force_n.direction",
            &["unknown direction", "write \"any tangential\""],
        )],
    ),
    (
        "brief_load_any_twice",
        &[(
            17,
            "load[1].moment_nm",
            &["a force and a moment of any direction", "not available yet"],
        )],
    ),
    (
        "brief_load_moment_inward",
        &[(
            16,
            "load[1].moment_nm.direction",
            &["unknown direction", "\"any\""],
        )],
    ),
    (
        "brief_load_size_alone",
        &[(
            16,
            "load[1].force_n.size",
            &["without `direction`", "direction = \"any\""],
        )],
    ),
    (
        "brief_load_size_missing",
        &[(
            16,
            "load[1].force_n.direction",
            &["without `size`", "size = 15"],
        )],
    ),
    (
        "brief_together_any_twice",
        &[(
            24,
            "together[1].loads",
            &["two loads of any direction", "not available yet"],
        )],
    ),
    (
        "brief_together_name",
        &[(
            24,
            "together[1].loads",
            &["no load is called \"cabel\"", "write \"cable\""],
        )],
    ),
    (
        "brief_together_one",
        &[(
            24,
            "together[1].loads",
            &["1 entry", "2 to 64 loads in quotes"],
        )],
    ),
    (
        "brief_limits_load_name",
        &[(
            24,
            "limits.load[1].name",
            &["no load is called \"hans\"", "write \"hand\""],
        )],
    ),
    (
        "brief_limits_load_nothing",
        &[(
            24,
            "limits.load[1].name",
            &["limited in nothing", "contact_deflection_mm"],
        )],
    ),
    (
        "brief_limits_load_twice",
        &[(28, "limits.load[2].name", &["given twice", "one table"])],
    ),
    (
        "brief_limits_load_sag",
        &[
            (24, "limits.load[1].name", &["limited in nothing"]),
            (
                25,
                "limits.load[1].sag_mm",
                &["unknown key", "belongs in [limits]"],
            ),
        ],
    ),
    (
        "brief_key_renamed",
        &[(24, "space.way_in", &["now called", "insertion_direction"])],
    ),
    (
        "brief_arc_of_range",
        &[(23, "choice.arc_deg", &["to 190°", "0° to 180°"])],
    ),
    (
        "brief_band_upside_down",
        &[(5, "region.polar_from_deg", &["upside down", "75°", "20°"])],
    ),
    (
        "brief_boss_too_large",
        &[(27, "joints.boss_diameter_mm", &["300 mm", "282.7 mm"])],
    ),
    (
        "brief_contact_without_load",
        &[(16, "limits.contact_deflection_mm", &["no load", "[[load]]"])],
    ),
    (
        "brief_coverage_percent",
        &[(6, "region.coverage_min", &["98", "0 to 1", "percentage"])],
    ),
    (
        "brief_title_steers",
        &[(1, "title", &["U+001B", "steers", "without that character"])],
    ),
    (
        "brief_coverage_zero",
        &[(6, "region.coverage_min", &["not allowed", "above 0"])],
    ),
    (
        "brief_empty",
        &[
            (1, "region", &["[region]", "missing", "half_angle_deg"]),
            (1, "tool", &["[tool]", "missing"]),
        ],
    ),
    (
        "brief_exclude_all",
        &[(7, "exclude", &["empty", "excluded zones"])],
    ),
    (
        "brief_exclude_single_brackets",
        &[(7, "exclude", &["[[exclude]]", "double brackets"])],
    ),
    (
        "brief_half_angle",
        &[(
            5,
            "region.half_angle_deg",
            &["200°", "0.1° to 180°", "hemisphere"],
        )],
    ),
    (
        "brief_half_angle_of_band",
        &[
            (3, "region.polar_from_deg", &["polar_from_deg", "missing"]),
            (3, "region.polar_to_deg", &["polar_to_deg", "missing"]),
            (
                5,
                "region.half_angle_deg",
                &["does not belong", "shape = \"band\"", "shape = \"cap\""],
            ),
        ],
    ),
    (
        "brief_is_a_design",
        &[
            (1, "region", &["[region]", "missing"]),
            (1, "linkage", &["belongs in a design"]),
            (8, "section", &["belongs in a design"]),
            (13, "material", &["belongs in a design"]),
            (21, "drives", &["belongs in a design"]),
            (27, "tool.carried_by", &["unknown key"]),
            (32, "mount.axis", &["unknown key"]),
            (33, "mount.reference", &["unknown key"]),
        ],
    ),
    (
        "brief_joints_missing",
        &[
            (
                19,
                "limits.contact_deflection_mm",
                &["asks for stiffness", "[joints]", "rigid = true"],
            ),
            (26, "objectives.maximise", &["\"stiffness\"", "[joints]"]),
        ],
    ),
    (
        "brief_key_in_wrong_table",
        &[(9, "tool.joint_radius_mm", &["belongs in [space]"])],
    ),
    (
        "brief_limits_range",
        &[
            (19, "limits.lci_min", &["not allowed", "below 1"]),
            (
                20,
                "limits.transmission_angle_min_deg",
                &["90°", "below 90°"],
            ),
            (21, "limits.sag_mm", &["0 mm", "above 0 mm"]),
            (22, "limits.safety_factor_yield", &["-2", "above 0"]),
        ],
    ),
    (
        "brief_limits_unit",
        &[
            (
                19,
                "limits.contact_deflection_um",
                &["unknown key", "write contact_deflection_mm = 0.5"],
            ),
            (20, "limits.moving_mass_g", &["write moving_mass_kg = 1.5"]),
            (21, "limits.safety_factor", &["safety_factor_yield"]),
        ],
    ),
    (
        "brief_load_at_outside",
        &[(17, "load[1].at", &["1.5", "0 to 1"])],
    ),
    (
        "brief_load_at_tip",
        &[(16, "load[1].at", &["load on the tip", "take it out"])],
    ),
    (
        "brief_load_component_slip",
        &[(
            16,
            "load[1].force_n.radially",
            &["[[load]] 1", "write `radial`"],
        )],
    ),
    (
        "brief_load_name_twice",
        &[(19, "load[2].name", &["two loads", "\"press\""])],
    ),
    (
        "brief_load_on_slip",
        &[(16, "load[1].on", &["\"tipp\"", "\"grip\"", "write \"tip\""])],
    ),
    (
        "brief_load_single_brackets",
        &[(14, "load", &["[[load]]", "double brackets"])],
    ),
    (
        "brief_load_without_name",
        &[(14, "load[1].name", &["missing", "[[load]] 1"])],
    ),
    (
        "brief_load_world_and_local",
        &[(16, "load[1].force_n.radial", &["beside `world`"])],
    ),
    (
        "brief_load_zero",
        &[(
            16,
            "load[1].force_n",
            &["no force and no moment", "radial is outward"],
        )],
    ),
    (
        "brief_material_slip",
        &[
            (
                23,
                "choice.materials",
                &["\"aluminum 6061-T6\"", "write \"aluminium 6061-T6\""],
            ),
            (23, "choice.materials", &["\"PEEK\"", "twice"]),
        ],
    ),
    (
        "brief_not_available_yet",
        &[
            (
                4,
                "region.incidence_max_deg",
                &["`incidence_max_deg` is not available yet"],
            ),
            (6, "surface", &["`surface` is not available yet"]),
            (
                11,
                "centre.place",
                &["place \"best\" is not available yet", "position_mm"],
            ),
            (
                12,
                "centre.placement_error_mm",
                &["`placement_error_mm` is not available yet"],
            ),
            (21, "tool.roll", &["`roll` is not available yet"]),
            (22, "tool.slide", &["`slide` is not available yet"]),
            (
                25,
                "limits.rcm_error_mm",
                &["`rcm_error_mm` is not available yet"],
            ),
            (
                28,
                "choice.families",
                &[
                    "family \"five-bar\" is not available yet",
                    "scissor-linkage",
                ],
            ),
            (
                28,
                "choice.families",
                &["family \"custom\" is not available yet"],
            ),
        ],
    ),
    (
        "brief_objective_slip",
        &[
            (
                29,
                "objectives.maximise",
                &["\"stifness\"", "write \"stiffness\""],
            ),
            (
                30,
                "objectives.minimise",
                &["\"mass\"", "write \"moving-mass\""],
            ),
        ],
    ),
    (
        "brief_objectives_both_ways",
        &[(30, "objectives.minimise", &["maximised and minimised"])],
    ),
    (
        "brief_objectives_one",
        &[(29, "objectives.minimise", &["1 of the two or more"])],
    ),
    (
        "brief_people_near_as_text",
        &[(1, "people_near", &["a text", "true or false"])],
    ),
    (
        "brief_points_file_angle",
        &[(
            5,
            "region.file",
            &["points_outside.csv, line 5", "200°", "0° to 180°"],
        )],
    ),
    (
        "brief_points_file_header",
        &[(
            5,
            "region.file",
            &["points_without_header.csv, line 1", "polar_deg,azimuth_deg"],
        )],
    ),
    (
        "brief_points_file_missing",
        &[(5, "region.file", &["there is no file no_such_points.csv"])],
    ),
    (
        "brief_points_file_text",
        &[(
            5,
            "region.file",
            &["points_with_text.csv, line 2", "\"east\""],
        )],
    ),
    (
        "brief_points_none",
        &[(3, "region.points_deg", &["no points", "points_deg", "file"])],
    ),
    (
        "brief_points_twice",
        &[(5, "region.file", &["in the brief and in a file"])],
    ),
    (
        "brief_polygon_crossing",
        &[(5, "region.vertices_deg", &["vertex 1", "vertex 3", "cross"])],
    ),
    (
        "brief_polygon_pair",
        &[
            (7, "region.vertices_deg", &["vertex 2", "[polar, azimuth]"]),
            (8, "region.vertices_deg", &["vertex 3", "190°"]),
        ],
    ),
    (
        "brief_polygon_repeated",
        &[(5, "region.vertices_deg", &["vertex 2 repeats"])],
    ),
    (
        "brief_polygon_two_corners",
        &[(5, "region.vertices_deg", &["2 entries", "3 to 64"])],
    ),
    (
        "brief_polygon_wide",
        &[(5, "region.vertices_deg", &["hemisphere"])],
    ),
    (
        "brief_range_part_slip",
        &[(12, "space.joint_radius_mm", &["`form`", "write `from`"])],
    ),
    (
        "brief_range_upside_down",
        &[(12, "space.joint_radius_mm", &["upside down", "240", "180"])],
    ),
    (
        "brief_reference_parallel",
        &[(6, "region.reference", &["parallel"])],
    ),
    (
        "brief_section_custom",
        &[(26, "choice.section.shape", &["\"custom\"", "\"rectangle\""])],
    ),
    (
        "brief_section_none",
        &[(26, "choice.section.shape", &["none of the sizes"])],
    ),
    (
        "brief_section_too_many",
        &[(26, "choice.section.shape", &["39601", "10000"])],
    ),
    (
        "brief_shape_slip",
        &[(4, "region.shape", &["\"kap\"", "write \"cap\""])],
    ),
    (
        "brief_shape_surface",
        &[(
            4,
            "region.shape",
            &["\"surface\" is not available yet", "polygon"],
        )],
    ),
    (
        "brief_stages_empty",
        &[(22, "choice.stages", &["empty", "1 to 16"])],
    ),
    (
        "brief_stages_half",
        &[
            (22, "choice.stages", &["2.5", "whole"]),
            (22, "choice.stages", &["twice"]),
        ],
    ),
    (
        "brief_step_tiny",
        &[(12, "space.joint_radius_mm", &["400000 steps", "10000"])],
    ),
    (
        "brief_step_zero",
        &[(12, "space.joint_radius_mm", &["step 0 mm", "above 0"])],
    ),
    (
        "brief_tilt_empty",
        &[
            (23, "choice.mount_tilt_deg", &["empty"]),
            (24, "choice.drive_layout", &["a list", "[\"two-bars\"]"]),
        ],
    ),
    (
        "design_arc_half_turn",
        &[(
            6,
            "linkage.distal_arcs_deg",
            &["stage 2", "distal arc 180°", "below 180°"],
        )],
    ),
    (
        "design_arc_too_large",
        &[(
            3,
            "linkage.proximal_arcs_deg",
            &[
                "stage 2",
                "proximal arc 215°",
                "0° to 180°",
                "between two joint axes",
            ],
        )],
    ),
    (
        "design_arc_zero",
        &[(
            3,
            "linkage.proximal_arcs_deg",
            &["stage 1", "0°", "above 0°"],
        )],
    ),
    (
        "design_arm_without_arcs",
        &[
            (1, "linkage.arcs_deg", &["arcs_deg", "missing"]),
            (3, "linkage.proximal_arcs_deg", &["does not belong"]),
            (4, "linkage.distal_arcs_deg", &["does not belong"]),
            (5, "linkage.bends_deg", &["does not belong", "two-arc-arm"]),
        ],
    ),
    (
        "design_assembly_mode_zero",
        &[(
            6,
            "linkage.assembly_modes",
            &["stage 2", "0 is not allowed"],
        )],
    ),
    (
        "design_assembly_modes_count",
        &[(
            6,
            "linkage.assembly_modes",
            &["1 assembly mode for 2 stages"],
        )],
    ),
    ("design_axis_zero", &[(32, "mount.axis", &["no direction"])]),
    (
        "design_band_incomplete",
        &[(29, "tool.mass_kg", &["`low`", "value, from, to"])],
    ),
    (
        "design_band_upside_down",
        &[(
            15,
            "material.youngs_modulus_gpa",
            &["Young's modulus", "upside down", "70", "60"],
        )],
    ),
    (
        "design_bearing",
        &[(
            20,
            "joints.bearing",
            &["`bearing` is a text, not a table", "{ name = \"624\" }"],
        )],
    ),
    (
        "design_bends_count",
        &[(
            5,
            "linkage.bends_deg",
            &["2 bends for 2 stages", "one fewer"],
        )],
    ),
    (
        "design_boss_too_large",
        &[(
            20,
            "joints.boss_diameter_mm",
            &["62 mm", "23.5°", "61.5 mm"],
        )],
    ),
    (
        "design_bracket_missing",
        &[(24, "", &["not TOML", "line before"])],
    ),
    (
        "design_carrier_slip",
        &[(27, "tool.carried_by", &["\"lefft\"", "write \"left\""])],
    ),
    (
        "design_column_section",
        &[
            (
                37,
                "mount.column.section.diameter",
                &["`diameter`", "write `diameter_mm`"],
            ),
            (
                38,
                "mount.column.material.name",
                &["\"stainless steel 340\"", "write \"stainless steel 304\""],
            ),
        ],
    ),
    (
        "design_custom_family",
        &[
            (35, "body", &["`body` is not available yet"]),
            (38, "joint", &["`joint` is not available yet"]),
        ],
    ),
    (
        "design_density_negative",
        &[(15, "material.density_kg_m3", &["-2700 kg/m³", "above 0"])],
    ),
    (
        "design_empty",
        &[
            (1, "linkage", &["[linkage]"]),
            (1, "section", &["[section]"]),
            (1, "material", &["[material]"]),
            (1, "joints", &["[joints]", "rigid"]),
        ],
    ),
    (
        "design_five_bar_arcs",
        &[(
            4,
            "linkage.proximal_arcs_deg",
            &["3 arcs for a spherical five-bar", "left and right"],
        )],
    ),
    (
        "design_five_bar_follower",
        &[
            (24, "drives.range_deg.swing", &["swing"]),
            (
                27,
                "tool.carried_by",
                &["not available yet for the spherical five-bar", "\"left\""],
            ),
        ],
    ),
    (
        "design_family_slip",
        &[(
            2,
            "linkage.family",
            &["\"scisor-linkage\"", "write \"scissor-linkage\""],
        )],
    ),
    (
        "design_flag_as_text",
        &[(17, "joints.rigid", &["a text", "write rigid = true"])],
    ),
    (
        "design_is_a_brief",
        &[
            (1, "linkage", &["[linkage]"]),
            (1, "section", &["[section]"]),
            (1, "material", &["[material]"]),
            (3, "region", &["belongs in a brief"]),
            (11, "space", &["belongs in a brief"]),
            (14, "load", &["belongs in a brief"]),
            (18, "limits", &["belongs in a brief"]),
            (21, "choice", &["belongs in a brief"]),
        ],
    ),
    (
        "design_joints_missing",
        &[(1, "joints", &["[joints]", "missing", "tilt_nm_per_rad"])],
    ),
    (
        "design_key_after_table",
        &[(34, "mount.title", &["top of the file"])],
    ),
    (
        "design_key_other_unit",
        &[(
            6,
            "linkage.joint_radius_m",
            &["joint_radius_m", "write joint_radius_mm = 150"],
        )],
    ),
    (
        "design_key_slip",
        &[(
            3,
            "linkage.proximal_arc_deg",
            &["write `proximal_arcs_deg`"],
        )],
    ),
    (
        "design_key_twice",
        &[
            (24, "drives.layout", &["`layout` is given twice"]),
            (25, "drives.ratio", &["`ratio` is given twice"]),
        ],
    ),
    (
        "design_key_without_unit",
        &[(
            6,
            "linkage.radius",
            &["`radius`", "write `joint_radius_mm`"],
        )],
    ),
    (
        "design_keys_unknown",
        &[
            (5, "linkage.bend_deg", &["`bend_deg`", "write `bends_deg`"]),
            (8, "section.shape", &["`shape` is missing"]),
            (9, "section.form", &["`form`", "keys here: shape"]),
            (29, "tool.mas_kg", &["`mas_kg`", "write `mass_kg`"]),
            (31, "mout", &["`mout`", "write `mount`"]),
        ],
    ),
    (
        "design_layers",
        &[
            (
                8,
                "layers.arrangement",
                &["`arrangement` is missing", "\"two\""],
            ),
            (9, "layers.radii_mm", &["unknown key `radii_mm`"]),
        ],
    ),
    (
        "design_lists_unequal",
        &[(
            4,
            "linkage.distal_arcs_deg",
            &["1 distal arc for 2 proximal arcs"],
        )],
    ),
    (
        "design_mass_nan",
        &[(29, "tool.mass_kg", &["nan", "not a number"])],
    ),
    (
        "design_mass_negative",
        &[(29, "tool.mass_kg", &["-0.8 kg", "from 0 kg"])],
    ),
    (
        "design_material_unknown",
        &[(
            14,
            "material.name",
            &[
                "\"PA12 laser sintered\"",
                "write \"PA12 laser-sintered\"",
                "shear_modulus_gpa",
            ],
        )],
    ),
    (
        "design_modulus_zero",
        &[(
            15,
            "material.youngs_modulus_gpa",
            &["Young's modulus 0 GPa", "above 0 GPa"],
        )],
    ),
    (
        "design_multibyte",
        &[
            (14, "material.name", &["µ-aluminium"]),
            (24, "drives.\"ö\"", &["`\"ö\"`", "keys here: layout"]),
        ],
    ),
    (
        "design_number_absurd",
        &[(28, "tool.tip_radius_mm", &["1e300 mm", "0 mm to 10000 mm"])],
    ),
    (
        "design_number_as_date",
        &[(
            6,
            "linkage.joint_radius_mm",
            &["a date or time", "a number"],
        )],
    ),
    (
        "design_number_as_text",
        &[(
            6,
            "linkage.joint_radius_mm",
            &["a text", "write 150 without quotes"],
        )],
    ),
    (
        "design_number_too_large",
        &[(28, "tool.tip_radius_mm", &["1e999", "too large"])],
    ),
    ("design_quote_missing", &[(9, "", &["not TOML", "quotes"])]),
    (
        "design_radius_infinite",
        &[(28, "tool.tip_radius_mm", &["inf", "not a number"])],
    ),
    (
        "design_range_of_other_family",
        &[(
            24,
            "drives.range_deg.elbow",
            &["scissor linkage", "`elbow`", "swing and opening"],
        )],
    ),
    (
        "design_range_upside_down",
        &[(
            24,
            "drives.range_deg.opening",
            &["170°", "10°", "not below"],
        )],
    ),
    (
        "design_ratio_three",
        &[(23, "drives.ratio", &["3 entries", "2 numbers"])],
    ),
    (
        "design_ratio_zero",
        &[(23, "drives.ratio", &["ratio 2", "not 0"])],
    ),
    (
        "design_reference_parallel",
        &[(33, "mount.reference", &["parallel", "azimuth 0"])],
    ),
    (
        "design_release_of_nothing",
        &[(22, "joints.releases[1].joint", &["nothing is released"])],
    ),
    (
        "design_release_twice",
        &[(20, "joints.releases[2].joint", &["released twice"])],
    ),
    (
        "design_rigid_and_stiff",
        &[
            (18, "joints.axial_n_per_m", &["rigid"]),
            (19, "joints.radial_n_per_m", &["rigid"]),
            (20, "joints.tilt_nm_per_rad", &["rigid"]),
        ],
    ),
    (
        "design_section_key_of_other_shape",
        &[(
            12,
            "section.radial_mm",
            &[
                "does not belong",
                "outer_diameter_mm",
                "\"rectangle\" or \"custom\"",
            ],
        )],
    ),
    (
        "design_section_size_missing",
        &[(
            8,
            "section.radial_mm",
            &["`radial_mm` is missing", "[section]"],
        )],
    ),
    (
        "design_section_wall",
        &[(
            12,
            "section.wall_mm",
            &["no hollow", "half of the smaller size"],
        )],
    ),
    (
        "design_slide",
        &[(30, "tool.slide", &["`slide` is not available yet"])],
    ),
    (
        "design_springs_and_column",
        &[(40, "mount.column", &["both springs and a column"])],
    ),
    (
        "design_stiffness_missing",
        &[(
            16,
            "joints.tilt_nm_per_rad",
            &[
                "`tilt_nm_per_rad` is missing",
                "rigid = true",
                "along the joint",
            ],
        )],
    ),
    (
        "design_table_as_list",
        &[(8, "section", &["list of tables", "[section]"])],
    ),
    (
        "design_table_twice",
        &[
            (13, "section", &["`section` is given twice"]),
            (14, "section.shape", &["`shape` is given twice"]),
        ],
    ),
    (
        "design_tube_inner",
        &[(
            11,
            "section.inner_diameter_mm",
            &["not below the outer", "\"rod\""],
        )],
    ),
    (
        "design_value_missing",
        &[(23, "", &["not TOML", "key = value"])],
    ),
    (
        "design_value_outside_band",
        &[(29, "tool.mass_kg", &["0.8", "0.9 to 1"])],
    ),
    (
        "design_vector_short",
        &[(33, "mount.reference", &["2 entries", "[x, y, z]"])],
    ),
    (
        "brief_keep_outs",
        &[
            (8, "keep_out[1].normal", &["`normal` is missing"]),
            (
                9,
                "keep_out[1].name",
                &["[[keep_out]] is given without [layers]", "[layers]"],
            ),
            (17, "keep_out[2].to_mm", &["the cylinder has no length"]),
            (
                22,
                "keep_out[3].name",
                &["two keep-outs are called \"post\""],
            ),
            (
                30,
                "keep_out[4].file",
                &["there is no file missing.stl", "STL"],
            ),
            (35, "keep_out[5].file", &["points_with_text.csv", "STL"]),
            (43, "choice.bearings", &["for joints without a bearing"]),
            (44, "choice.layers", &["without [layers]"]),
        ],
    ),
    (
        "brief_layers_given",
        &[(
            10,
            "layers.arrangement",
            &["the bars are not chosen yet", "\"two\""],
        )],
    ),
    (
        "brief_bearing_without_rating",
        &[(
            15,
            "limits.bearing_static_safety",
            &["\"own 5 x 14\"", "no static rating", "static_rating_n"],
        )],
    ),
    (
        "brief_transmission_without_loops",
        &[(
            14,
            "limits.transmission_angle_min_deg",
            &[
                "transmission angle",
                "scissor-linkage",
                "leave the limit out",
            ],
        )],
    ),
    (
        "brief_sag_without_tool_mass",
        &[
            (14, "limits.sag_mm", &["the tool has no mass", "mass_kg"]),
            (25, "objectives.minimise", &["sag", "no mass", "mass_kg"]),
        ],
    ),
    (
        "brief_bearings_missing",
        &[(
            16,
            "limits.bearing_static_safety",
            &["for joints without a bearing"],
        )],
    ),
    (
        "design_layers_fewest",
        &[(
            16,
            "layers.arrangement",
            &["depends on what a brief uses", "--layers"],
        )],
    ),
    (
        "design_preload_stated",
        &[(
            15,
            "joints.bearing.preload_n",
            &["a stiffness that is stated too"],
        )],
    ),
    (
        "design_preload_and_load",
        &[(15, "joints.bearing.preload_n", &["one of the two"])],
    ),
    (
        "design_load_alone",
        &[(
            15,
            "joints.bearing.load_radial_n",
            &["without `load_axial_n`"],
        )],
    ),
    (
        "design_preload_of_bushing",
        &[(
            16,
            "joints.bearing.preload_n",
            &["only ball bearings have balls"],
        )],
    ),
    (
        "design_bearing_unknown",
        &[(
            15,
            "joints.bearing.name",
            &[
                "bearing \"642\" is not in the shipped table",
                "624",
                "bore_mm",
            ],
        )],
    ),
    (
        "design_joints_mixed",
        &[
            (12, "joints.axial_n_per_m", &["for joints with bearings"]),
            (16, "joints.bearing.spacing_mm", &["overlap"]),
        ],
    ),
    (
        "design_layers_do_not_fit",
        &[(
            16,
            "layers.of_bars",
            &["2 layers are given for 4 bars", "bar-left-1"],
        )],
    ),
    (
        "design_layers_joint",
        &[(
            16,
            "layers.of_bars",
            &[
                "base-left and bar-left-1 share joint side-left-1",
                "different layers",
            ],
        )],
    ),
    (
        "design_pin",
        &[(
            16,
            "joints.pin.diameter_mm",
            &["the pin of 5 mm does not go into the bearing's bore of 4 mm"],
        )],
    ),
    (
        "design_seat_alone",
        &[(14, "joints.seat", &["without `bearing`"])],
    ),
    (
        "design_shafts",
        &[(
            18,
            "layers.hollow_shaft_bore_mm",
            &["must lie above 8 mm", "the solid shaft turns in it"],
        )],
    ),
    (
        "design_drives_holding",
        &[(
            21,
            "drives.holding_nm_per_rad",
            &["stiffness_nm_per_rad", "[[drive]]"],
        )],
    ),
    (
        "design_drive_of_another_family",
        &[(
            21,
            "drive[1].joint",
            &["no active joint \"elbow\"", "\"left\"", "\"right\""],
        )],
    ),
    (
        "design_drive_rides_beside",
        &[(
            23,
            "drive[1].rides_on",
            &["axis of left", "bar-left-1", "\"base-right\""],
        )],
    ),
    (
        "design_drive_rides_without_mass",
        &[(22, "drive[1].rides_on", &["no mass", "mass_kg"])],
    ),
    (
        "design_bar_unknown",
        &[(
            8,
            "linkage.bar[1].name",
            &["no bar \"bar-left-3\"", "base-left", "bar-right-2"],
        )],
    ),
    (
        "design_bar_twice",
        &[(16, "linkage.bar[3].name", &["described twice"])],
    ),
    (
        "design_bar_nothing",
        &[(
            8,
            "linkage.bar[1].name",
            &["states nothing", "with first_arc_deg"],
        )],
    ),
    (
        "design_bar_one_arc",
        &[
            (
                9,
                "linkage.bar[1].second_arc_deg",
                &["\"base-left\" has no second arc", "first_arc_deg"],
            ),
            (14, "linkage.bar[2].bend_deg", &["has no bend"]),
        ],
    ),
    (
        "design_bar_half_turn",
        &[
            (9, "linkage.bar[1].first_arc_deg", &["180"]),
            (10, "linkage.bar[1].second_arc_deg", &["0"]),
            (11, "linkage.bar[1].bend_deg", &["not a number"]),
        ],
    ),
    (
        "design_bar_key_slip",
        &[
            (9, "linkage.bar[1].first_arc", &["first_arc_deg"]),
            (11, "linkage.bar[2].name", &["`name` is missing"]),
        ],
    ),
    (
        "design_bar_of_arm",
        &[(6, "linkage.bar", &["does not belong", "scissor-linkage"])],
    ),
    (
        "design_drive_twice",
        &[(24, "drive[2].joint", &["described twice"])],
    ),
    (
        "brief_drive_of_some",
        &[(
            14,
            "drive[1].joint",
            &[
                "rigid drives beside others",
                "right, elbow",
                "without `joint`",
            ],
        )],
    ),
    (
        "brief_drive_without_candidate",
        &[(
            14,
            "drive[1].joint",
            &["no active joint \"swing\"", "\"elbow\""],
        )],
    ),
    (
        "brief_mount_axis",
        &[(
            14,
            "mount.axis",
            &["unknown key `axis`", "keys here: springs, column"],
        )],
    ),
];
