// Written by a test of crate calotte-page from the types of the program. Do not edit.

/** One linkage, complete: the keys of a design file. */
export interface DesignFile {
  /** What turns each active joint, one entry for each. Without it: the drives are rigid and without mass. */
  drive?: ({
    /** The active joint it turns. */
    joint?: "every" | "left" | "right" | "swing" | "opening" | "base" | "elbow";
    /** Its mass, on the axis of its joint; with weight it enters sag and holding torque unless it rides on the base [kg]. Without it: the drive is taken as without mass. */
    mass_kg?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** What carries its mass: "base", or a bar that the joint's axis goes through, by name (base-left or base-right of a scissor linkage, proximal-left or proximal-right of a five-bar, first-arc or second-arc of a two-arc arm); it lies at that bar's radius. Without it: what its joint turns from: the base, or the first arc for the elbow of a two-arc arm. */
    rides_on?: string;
    /** Stiffness with which it holds its joint, at the joint, of gear, coupling and brake in series [N·m/rad]. Without it: the drive is rigid. */
    stiffness_nm_per_rad?: number | {
      from: number;
      to: number;
      value: number;
    };
  })[];
  /** How it is driven. */
  drives?: {
    /** Which joints are turned; of no effect for a two-arc arm, whose active joints are base and elbow, and for a five-bar, whose are left and right. */
    layout?: "two-bars" | "swing-and-opening";
    /** Limits of the mechanism angles in degrees, whatever the layout. */
    range_deg?: {
      /** Base angle of a two-arc arm [°]. Without it: no limit. */
      base?: [number, number];
      /** Elbow angle of a two-arc arm; 0 = arcs stretched in line [°]. Without it: no limit. */
      elbow?: [number, number];
      /** Left angle of a five-bar, from the direction of the right base axis; whole turns aside [°]. Without it: no limit. */
      left?: [number, number];
      /** Opening of a scissor linkage [°]. Without it: no limit. */
      opening?: [number, number];
      /** Right angle of a five-bar, from the direction of the left base axis; whole turns aside [°]. Without it: no limit. */
      right?: [number, number];
      /** Swing of a scissor linkage [°]. Without it: no limit. */
      swing?: [number, number];
    };
    /** Active joint angle per mechanism angle, in the order of the active joints. */
    ratio?: [number, number];
  };
  /** Every joint, base joints included. */
  joints: {
    /** Stiffness along the joint's own axis, which is radial to the sphere; not along the arc [N/m]. Without it: required without `bearing`, unless `rigid = true`. */
    axial_n_per_m?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** Bearings from which the stiffness follows; then no stiffness is given. Without it: the joints have the three stiffnesses given. */
    bearing?: {
      /** Which bearings of the pair hold the pin along its axis. */
      axial_hold?: "both" | "one";
      /** Stiffness of one bearing along its axis, radial to the sphere [N/m]. Without it: typical of the shipped size: enter the maker's. */
      axial_n_per_m?: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Internal play along its axis, from end to end [mm]. Without it: typical of the shipped size; 0 for another. */
      axial_play_mm?: number;
      /** Bore [mm]. Without it: the shipped table's, for a designation of the table. */
      bore_mm?: number;
      /** Dynamic load rating C [N]. Without it: typical of the shipped size: enter the maker's. */
      dynamic_rating_n?: number;
      /** How it carries. Without it: "ball". */
      kind?: "ball" | "bushing";
      /** Load along the axis of one bearing at which its stiffness is taken, with load_radial_n [N]. Without it: none: the typical band, or the stiffness stated. */
      load_axial_n?: number;
      /** Load across the axis of one bearing at which its stiffness is taken, with load_axial_n [N]. Without it: none: the typical band, or the stiffness stated. */
      load_radial_n?: number;
      /** Mass of one bearing [kg]. Without it: typical of the shipped size; 0 for another. */
      mass_kg?: number;
      /** Designation of the shipped table, or any other name with its sizes and stiffnesses. */
      name: string;
      /** Outer diameter [mm]. Without it: the shipped table's, for a designation of the table. */
      outer_diameter_mm?: number;
      /** Axial preload of a ball bearing, from which its stiffness follows; takes its play away and holds while the loads that act leave some of it [N]. Without it: none: the typical band, or the stiffness stated. */
      preload_n?: number;
      /** Stiffness of one bearing across its axis, tangential to the sphere [N/m]. Without it: typical of the shipped size: enter the maker's. */
      radial_n_per_m?: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Internal play across its axis, difference of the diameters [mm]. Without it: typical of the shipped size; 0 for another. */
      radial_play_mm?: number;
      /** Distance between the middles of the two bearings [mm]. Without it: its width + 1 mm. */
      spacing_mm?: number;
      /** Static load rating C0 [N]. Without it: typical of the shipped size: enter the maker's. */
      static_rating_n?: number;
      /** Width along its axis [mm]. Without it: the shipped table's, for a designation of the table. */
      width_mm?: number;
    };
    /** Diameter of the boss about each joint; its radius is a rigid end zone of every arc; 0 = none, but with a bearing it is the bearing's outer diameter + 5 mm unless given [mm]. */
    boss_diameter_mm?: number;
    /** Joints of a level that differ, one entry for each level. Without it: all joints are alike. */
    level?: ({
      /** Stiffness along the joint's own axis, which is radial to the sphere [N/m]. Without it: that of [joints]. */
      axial_n_per_m?: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Bearings of the level; spacing_mm and axial_hold are its own too. Without it: that of [joints], with its spacing. */
      bearing?: {
        /** Which bearings of the pair hold the pin along its axis. */
        axial_hold?: "both" | "one";
        /** Stiffness of one bearing along its axis, radial to the sphere [N/m]. Without it: typical of the shipped size: enter the maker's. */
        axial_n_per_m?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Internal play along its axis, from end to end [mm]. Without it: typical of the shipped size; 0 for another. */
        axial_play_mm?: number;
        /** Bore [mm]. Without it: the shipped table's, for a designation of the table. */
        bore_mm?: number;
        /** Dynamic load rating C [N]. Without it: typical of the shipped size: enter the maker's. */
        dynamic_rating_n?: number;
        /** How it carries. Without it: "ball". */
        kind?: "ball" | "bushing";
        /** Load along the axis of one bearing at which its stiffness is taken, with load_radial_n [N]. Without it: none: the typical band, or the stiffness stated. */
        load_axial_n?: number;
        /** Load across the axis of one bearing at which its stiffness is taken, with load_axial_n [N]. Without it: none: the typical band, or the stiffness stated. */
        load_radial_n?: number;
        /** Mass of one bearing [kg]. Without it: typical of the shipped size; 0 for another. */
        mass_kg?: number;
        /** Designation of the shipped table, or any other name with its sizes and stiffnesses. */
        name: string;
        /** Outer diameter [mm]. Without it: the shipped table's, for a designation of the table. */
        outer_diameter_mm?: number;
        /** Axial preload of a ball bearing, from which its stiffness follows; takes its play away and holds while the loads that act leave some of it [N]. Without it: none: the typical band, or the stiffness stated. */
        preload_n?: number;
        /** Stiffness of one bearing across its axis, tangential to the sphere [N/m]. Without it: typical of the shipped size: enter the maker's. */
        radial_n_per_m?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Internal play across its axis, difference of the diameters [mm]. Without it: typical of the shipped size; 0 for another. */
        radial_play_mm?: number;
        /** Distance between the middles of the two bearings [mm]. Without it: its width + 1 mm. */
        spacing_mm?: number;
        /** Static load rating C0 [N]. Without it: typical of the shipped size: enter the maker's. */
        static_rating_n?: number;
        /** Width along its axis [mm]. Without it: the shipped table's, for a designation of the table. */
        width_mm?: number;
      };
      /** Diameter of the boss about each joint of the level [mm]. Without it: that of [joints]; with a bearing of its own the bearing's outer diameter + 5 mm. */
      boss_diameter_mm?: number;
      /** The level: 0 the base joints, then the stage of a scissor linkage (its side joints and apex); 1 the elbow of an arm, elbows and apex of a five-bar. */
      level: number;
      /** Mass of pin and bearing of one joint; with a bearing, added to theirs [kg]. Without it: that of [joints]. */
      mass_kg?: number;
      /** Sizes of the pin. Without it: that of [joints]; with a bearing of its own a solid one of its bore. */
      pin?: {
        /** Diameter of its bore; 0 = solid [mm]. */
        bore_mm?: number;
        /** Outer diameter, at most the bearing's bore [mm]. Without it: the bearing's bore. */
        diameter_mm?: number;
      };
      /** Stiffness across the joint's own axis, tangential to the sphere [N/m]. Without it: that of [joints]. */
      radial_n_per_m?: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Stiffness against tilting about any axis across the joint's own [N·m/rad]. Without it: that of [joints]. */
      tilt_nm_per_rad?: number | {
        from: number;
        to: number;
        value: number;
      };
    })[];
    /** Mass of pin and bearing of one joint; with a bearing, added to theirs [kg]. */
    mass_kg?: number;
    /** Factors that measuring a prototype has shown; needs `bearing`. Without it: the joints are as stiff as their parts predict. */
    measured?: {
      /** Factor on the radial and the axial stiffness; its band replaces theirs. */
      radial_factor?: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Factor on the tilt stiffness; its band replaces its own. */
      tilt_factor?: number | {
        from: number;
        to: number;
        value: number;
      };
    };
    /** The pin; needs `bearing`. Without it: a solid steel pin of the bearing's bore. */
    pin?: {
      /** Diameter of its bore; 0 = solid [mm]. */
      bore_mm?: number;
      /** Bar that holds the pin. */
      clamped_in?: "inner" | "outer";
      /** Outer diameter, at most the bearing's bore [mm]. Without it: the bearing's bore. */
      diameter_mm?: number;
      /** Material of pins, spacers and shafts. */
      material?: {
        /** Deformation under a load that stays over that right after loading; widens sag by own weight, and nothing else. Without it: the shipped value: 1 for metals and laminates, 1 to 2 for thermoplastics (common practice, no source). */
        creep_factor?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Density [kg/m³]. Without it: the shipped value. */
        density_kg_m3?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Name of the shipped table, or any other name with all four values. */
        name: string;
        /** How parts of it are made; walls and lands are held against what it usually leaves. Without it: the usual one of the shipped material, else "milled". */
        process?: "milled" | "turned" | "filament-printed" | "laser-sintered" | "sheet-cut" | "laminated";
        /** Shear modulus [GPa]. Without it: the shipped value, or from Young's modulus with the table's Poisson's ratio. */
        shear_modulus_gpa?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Where the values come from. Without it: the shipped source, or "as given" where values differ from the table. */
        source?: string;
        /** Yield strength; for polymers and laminates the tensile strength used as limit [MPa]. Without it: the shipped value. */
        yield_mpa?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Young's modulus; alone for a shipped material it keeps the table's Poisson's ratio [GPa]. Without it: the shipped value. */
        youngs_modulus_gpa?: number | {
          from: number;
          to: number;
          value: number;
        };
      };
    };
    /** Stiffness across the joint's own axis, tangential to the sphere [N/m]. Without it: required without `bearing`, unless `rigid = true`. */
    radial_n_per_m?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** Joints with directions that carry no load. Without it: no joint is released. */
    releases?: {
      /** `true` to free it along its own axis, which is radial to the sphere. */
      axial?: boolean;
      /** Name of the joint, as results print it. */
      joint: string;
      /** `true` to free it to tilt about any axis across its own. */
      tilt?: boolean;
    }[];
    /** `true` for rigid joints; then no stiffness is given. */
    rigid?: boolean;
    /** Compliance between a bearing and its boss; needs `bearing`. Without it: the bearings sit rigidly. */
    seat?: {
      /** Stiffness along the joint's axis [N/m]. */
      axial_n_per_m: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Play, difference of the diameters [mm]. */
      play_mm?: number;
      /** Stiffness across the joint's axis [N/m]. */
      radial_n_per_m: number | {
        from: number;
        to: number;
        value: number;
      };
    };
    /** Stiffness against tilting about any axis across the joint's own [N·m/rad]. Without it: required without `bearing`, unless `rigid = true`. */
    tilt_nm_per_rad?: number | {
      from: number;
      to: number;
      value: number;
    };
  };
  /** How the bars lie over one another. Without it: all bars lie at joint_radius_mm and pass through one another. */
  layers?: {
    /** Which bar lies in which layer. */
    arrangement: "two" | "nested" | "fewest" | "given";
    /** Radial size of the bosses [mm]. Without it: the greater of the bar's radial size and what the bearing pair takes. */
    boss_height_mm?: number;
    /** Distance kept between parts that pass each other in one layer; the usable range ends where less is left [mm]. */
    clearance_mm?: number;
    /** Free radial distance between neighbouring layers [mm]. */
    gap_mm?: number;
    /** Bore of the hollow shaft of the outer base bar, in which the solid shaft turns [mm]. Without it: the solid shaft's diameter + 2. */
    hollow_shaft_bore_mm?: number;
    /** Outer diameter of the hollow shaft [mm]. Without it: its bore + 4. */
    hollow_shaft_diameter_mm?: number;
    /** Diameter of the housing of the base bearings, a round about the base axis [mm]. Without it: 2.5 times the hollow shaft's diameter. */
    housing_diameter_mm?: number;
    /** Radial size of that housing, outside all layers [mm]. Without it: twice the boss height. */
    housing_height_mm?: number;
    /** Layer of each bar, 0 innermost: base-left, base-right, bar-left-1, bar-right-1 and so on; first-arc, second-arc. Without it: required by arrangement = "given". */
    of_bars?: number[];
    /** Solid shaft of the inner base bar [mm]. Without it: twice the pin's diameter, at least 6, at most 8 less than the boss. */
    shaft_diameter_mm?: number;
  };
  /** The family and its angles. */
  linkage: {
    /** First and second arc [°]. */
    arcs_deg?: [number, number];
    /** Assembly mode per stage, 1 or -1: the sign of the second part of the stage along the centre line. Without it: 1 for every stage. */
    assembly_modes?: number[];
    /** Bars with angles of their own, one entry for each; measuring takes them as they are, everything else the mean of left and right. Without it: left and right bars are alike. */
    bar?: {
      /** Its bend at the apex, its stage's entry of bends_deg; not of base bars and of the last stage [°]. Without it: that of the list. */
      bend_deg?: number;
      /** Its arc from the joint nearer to the base: the first entry of proximal_arcs_deg of a base bar, else its stage's entry of distal_arcs_deg [°]. Without it: that of the list. */
      first_arc_deg?: number;
      /** The bar: base-left, base-right, or bar-left-1 and so on from the base outward. */
      name: string;
      /** Its arc beyond the apex, the next stage's entry of proximal_arcs_deg; not of base bars and of the last stage [°]. Without it: that of the list. */
      second_arc_deg?: number;
    }[];
    /** Arc between the base axes of a five-bar, which lie in the x-z plane of the base frame, symmetric about z, left towards -x [°]. */
    base_arc_deg?: number;
    /** Bend of the crossing bars between stages, one fewer than stages; a positive bend opens the next stage [°]. Without it: no bends. */
    bends_deg?: number[];
    /** Scissor linkage: arc from the side joint to the next apex, per stage; five-bar: arcs of the distal bars, left and right [°]. */
    distal_arcs_deg?: number[];
    /** Working mode of a five-bar, as seen with the tool on the +y side of the base axes. Without it: "out". */
    elbows?: "out" | "in" | "crossed";
    /** Family of the linkage. */
    family: "scissor-linkage" | "two-arc-arm" | "five-bar";
    /** Radius of every bar's centre line about the centre [mm]. */
    joint_radius_mm: number;
    /** Scissor linkage: arc from the apex to the side joint, per stage; five-bar: arcs of the proximal bars, left and right [°]. */
    proximal_arcs_deg?: number[];
    /** Stiffness of bars with a free length under four times the larger section size, over that of beam theory; one number for all of them. Without it: with a free length under four times the section a range about 1 that solids of such bars gave; else 1. */
    short_bar_stiffness_factor?: number | {
      from: number;
      to: number;
      value: number;
    };
  };
  /** Material of every bar. */
  material: {
    /** Deformation under a load that stays over that right after loading; widens sag by own weight, and nothing else. Without it: the shipped value: 1 for metals and laminates, 1 to 2 for thermoplastics (common practice, no source). */
    creep_factor?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** Density [kg/m³]. Without it: the shipped value. */
    density_kg_m3?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** Name of the shipped table, or any other name with all four values. */
    name: string;
    /** How parts of it are made; walls and lands are held against what it usually leaves. Without it: the usual one of the shipped material, else "milled". */
    process?: "milled" | "turned" | "filament-printed" | "laser-sintered" | "sheet-cut" | "laminated";
    /** Shear modulus [GPa]. Without it: the shipped value, or from Young's modulus with the table's Poisson's ratio. */
    shear_modulus_gpa?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** Where the values come from. Without it: the shipped source, or "as given" where values differ from the table. */
    source?: string;
    /** Yield strength; for polymers and laminates the tensile strength used as limit [MPa]. Without it: the shipped value. */
    yield_mpa?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** Young's modulus; alone for a shipped material it keeps the table's Poisson's ratio [GPa]. Without it: the shipped value. */
    youngs_modulus_gpa?: number | {
      from: number;
      to: number;
      value: number;
    };
  };
  /** Where the base stands. */
  mount?: {
    /** Base axis in the world. */
    axis?: [number, number, number];
    /** A straight column between the ground and the base. Without it: rigid ground, unless there are springs. */
    column?: {
      /** Distance of the column's head from the centre along the base axis [mm]. Without it: the joint radius. */
      at_radius_mm?: number;
      /** From the column's head to its foot, in the base frame. */
      direction: [number, number, number];
      /** Length [mm]. */
      length_mm: number;
      /** Material. */
      material: {
        /** Deformation under a load that stays over that right after loading; widens sag by own weight, and nothing else. Without it: the shipped value: 1 for metals and laminates, 1 to 2 for thermoplastics (common practice, no source). */
        creep_factor?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Density [kg/m³]. Without it: the shipped value. */
        density_kg_m3?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Name of the shipped table, or any other name with all four values. */
        name: string;
        /** How parts of it are made; walls and lands are held against what it usually leaves. Without it: the usual one of the shipped material, else "milled". */
        process?: "milled" | "turned" | "filament-printed" | "laser-sintered" | "sheet-cut" | "laminated";
        /** Shear modulus [GPa]. Without it: the shipped value, or from Young's modulus with the table's Poisson's ratio. */
        shear_modulus_gpa?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Where the values come from. Without it: the shipped source, or "as given" where values differ from the table. */
        source?: string;
        /** Yield strength; for polymers and laminates the tensile strength used as limit [MPa]. Without it: the shipped value. */
        yield_mpa?: number | {
          from: number;
          to: number;
          value: number;
        };
        /** Young's modulus; alone for a shipped material it keeps the table's Poisson's ratio [GPa]. Without it: the shipped value. */
        youngs_modulus_gpa?: number | {
          from: number;
          to: number;
          value: number;
        };
      };
      /** Cross-section; `radial` lies in the plane of column and base axis. */
      section: {
        /** Axial stiffness E·A along the bar [N]. */
        axial_n?: number;
        /** Bending stiffness in the arc's plane [N·m²]. */
        bending_in_plane_nm2?: number;
        /** Bending stiffness out of the arc's plane [N·m²]. */
        bending_out_of_plane_nm2?: number;
        /** Diameter [mm]. */
        diameter_mm?: number;
        /** Inner diameter, below the outer [mm]. */
        inner_diameter_mm?: number;
        /** Mass per length [kg/m]. */
        mass_per_length_kg_m?: number;
        /** Outer diameter [mm]. */
        outer_diameter_mm?: number;
        /** Overall size along the sphere's radius [mm]. */
        radial_mm?: number;
        /** Shape of the section. */
        shape: "rectangle" | "tube" | "rod" | "custom";
        /** Shear stiffness in the arc's plane [N]. Without it: infinite: shear is neglected. */
        shear_in_plane_n?: number;
        /** Shear stiffness out of the arc's plane [N]. Without it: infinite: shear is neglected. */
        shear_out_of_plane_n?: number;
        /** Overall size across the bar, along the sphere [mm]. */
        tangential_mm?: number;
        /** Torsional stiffness [N·m²]. */
        torsional_nm2?: number;
        /** Wall of a hollow rectangle [mm]. Without it: the rectangle is solid. */
        wall_mm?: number;
      };
    };
    /** The centre in the world [mm]. */
    position_mm?: [number, number, number];
    /** Direction of azimuth 0 in the world; its part along the axis is removed. Without it: [1, 0, 0], or [0, 1, 0] where the axis is parallel to that. */
    reference?: [number, number, number];
    /** Springs between the ground and the base. Without it: rigid ground, unless there is a column. */
    springs?: {
      /** Distance of the point from the centre along the base axis [mm]. Without it: the joint radius. */
      at_radius_mm?: number;
      /** Along the base axis [N/m]. */
      axial_n_per_m: number | {
        from: number;
        to: number;
        value: number;
      };
      /** Across the base axis [N/m]. */
      lateral_n_per_m: number | {
        from: number;
        to: number;
        value: number;
      };
      /** About any axis across the base axis [N·m/rad]. */
      tilt_nm_per_rad: number | {
        from: number;
        to: number;
        value: number;
      };
      /** About the base axis [N·m/rad]. */
      twist_nm_per_rad: number | {
        from: number;
        to: number;
        value: number;
      };
    };
  };
  /** Cross-section of the bars. */
  section: {
    /** Axial stiffness E·A along the bar [N]. */
    axial_n?: number;
    /** Sections of single bars, one entry for each; they go before that of their level. Without it: bars have the section of their level, or the one above. */
    bar?: ({
      /** Axial stiffness E·A along the bar [N]. */
      axial_n?: number;
      /** Bending stiffness in the arc's plane [N·m²]. */
      bending_in_plane_nm2?: number;
      /** Bending stiffness out of the arc's plane [N·m²]. */
      bending_out_of_plane_nm2?: number;
      /** Diameter [mm]. */
      diameter_mm?: number;
      /** Inner diameter, below the outer [mm]. */
      inner_diameter_mm?: number;
      /** Mass per length [kg/m]. */
      mass_per_length_kg_m?: number;
      /** The bar, as results print it: base-left, bar-left-1 and so on; first-arc and second-arc of an arm; proximal-left, distal-left of a five-bar. */
      name: string;
      /** Outer diameter [mm]. */
      outer_diameter_mm?: number;
      /** Overall size along the sphere's radius [mm]. */
      radial_mm?: number;
      /** Shape of the section. */
      shape: "rectangle" | "tube" | "rod" | "custom";
      /** Shear stiffness in the arc's plane [N]. Without it: infinite: shear is neglected. */
      shear_in_plane_n?: number;
      /** Shear stiffness out of the arc's plane [N]. Without it: infinite: shear is neglected. */
      shear_out_of_plane_n?: number;
      /** Overall size across the bar, along the sphere [mm]. */
      tangential_mm?: number;
      /** Torsional stiffness [N·m²]. */
      torsional_nm2?: number;
      /** Wall of a hollow rectangle [mm]. Without it: the rectangle is solid. */
      wall_mm?: number;
    })[];
    /** Bending stiffness in the arc's plane [N·m²]. */
    bending_in_plane_nm2?: number;
    /** Bending stiffness out of the arc's plane [N·m²]. */
    bending_out_of_plane_nm2?: number;
    /** Diameter [mm]. */
    diameter_mm?: number;
    /** Inner diameter, below the outer [mm]. */
    inner_diameter_mm?: number;
    /** Sections of the bars that start from the joints of a level, one entry for each. Without it: all bars have the section above. */
    level?: ({
      /** Axial stiffness E·A along the bar [N]. */
      axial_n?: number;
      /** Bending stiffness in the arc's plane [N·m²]. */
      bending_in_plane_nm2?: number;
      /** Bending stiffness out of the arc's plane [N·m²]. */
      bending_out_of_plane_nm2?: number;
      /** Diameter [mm]. */
      diameter_mm?: number;
      /** Inner diameter, below the outer [mm]. */
      inner_diameter_mm?: number;
      /** The level: 0 the base joints, then the stage of a scissor linkage (its side joints and apex); 1 the elbow of an arm, elbows and apex of a five-bar. */
      level: number;
      /** Mass per length [kg/m]. */
      mass_per_length_kg_m?: number;
      /** Outer diameter [mm]. */
      outer_diameter_mm?: number;
      /** Overall size along the sphere's radius [mm]. */
      radial_mm?: number;
      /** Shape of the section. */
      shape: "rectangle" | "tube" | "rod" | "custom";
      /** Shear stiffness in the arc's plane [N]. Without it: infinite: shear is neglected. */
      shear_in_plane_n?: number;
      /** Shear stiffness out of the arc's plane [N]. Without it: infinite: shear is neglected. */
      shear_out_of_plane_n?: number;
      /** Overall size across the bar, along the sphere [mm]. */
      tangential_mm?: number;
      /** Torsional stiffness [N·m²]. */
      torsional_nm2?: number;
      /** Wall of a hollow rectangle [mm]. Without it: the rectangle is solid. */
      wall_mm?: number;
    })[];
    /** Mass per length [kg/m]. */
    mass_per_length_kg_m?: number;
    /** Outer diameter [mm]. */
    outer_diameter_mm?: number;
    /** Overall size along the sphere's radius [mm]. */
    radial_mm?: number;
    /** Shape of the section. */
    shape: "rectangle" | "tube" | "rod" | "custom";
    /** Shear stiffness in the arc's plane [N]. Without it: infinite: shear is neglected. */
    shear_in_plane_n?: number;
    /** Shear stiffness out of the arc's plane [N]. Without it: infinite: shear is neglected. */
    shear_out_of_plane_n?: number;
    /** Overall size across the bar, along the sphere [mm]. */
    tangential_mm?: number;
    /** Torsional stiffness [N·m²]. */
    torsional_nm2?: number;
    /** Wall of a hollow rectangle [mm]. Without it: the rectangle is solid. */
    wall_mm?: number;
  };
  /** Name printed in results. */
  title?: string;
  /** What is carried, and by what. */
  tool?: {
    /** Tool direction beyond the last apex along its carrier, when no tool fits into the last pin [°]. */
    bracket_arc_deg?: number;
    /** What carries the tool; of no effect for a two-arc arm, which has one last bar. */
    carried_by?: "left" | "right" | "bisector";
    /** Where its centre of mass lies: on the tool direction, from the centre [mm]. Without it: the tip radius. */
    centre_of_mass_radius_mm?: number;
    /** Diameter of a round about the tool direction that holds the whole tool, from the tip outward [mm]. Without it: the tool's room is not looked at. */
    envelope_diameter_mm?: number;
    /** Distance of the outer end of that round from the centre [mm]. Without it: the inner face of its carrier. */
    envelope_to_mm?: number;
    /** Where it is gripped: on the tool direction, from the centre [mm]. Without it: the tip. */
    grip_radius_mm?: number;
    /** Mass of the tool [kg]. Without it: no sag and no holding torque of the tool. */
    mass_kg?: number | {
      from: number;
      to: number;
      value: number;
    };
    /** The tool's own roll on its carrier, right-handed about the tool direction [°]. */
    roll_deg?: number;
    /** Where it touches: on the tool direction, from the centre [mm]. Without it: the joint radius. */
    tip_radius_mm?: number;
  };
}

/**
 * One problem of a file or of a design on the page.
 */
export type FileProblem = { 
/**
 * Line in the text, from 1.
 */
line: number, 
/**
 * The key with its tables; empty where there is none.
 */
key: string, 
/**
 * The value as written.
 */
value: string, 
/**
 * What is wrong.
 */
message: string, 
/**
 * What is allowed.
 */
allowed: string, 
/**
 * What to try.
 */
hint: string, };

/**
 * A design as an object and as the text of its file.
 */
export type DesignAnswer = { 
/**
 * The design with every key written out.
 */
design: DesignFile, 
/**
 * The same as the text of a file.
 */
text: string, };

/**
 * What a brief says, for choosing loads and objectives on the page.
 */
export type BriefAnswer = { 
/**
 * Its title.
 */
title: string, 
/**
 * The need in a few sentences.
 */
words: Array<string>, 
/**
 * Names of the load cases.
 */
loads: Array<string>, 
/**
 * Combinations that a search goes through; null where it searches without going through all.
 */
combinations: number | null, 
/**
 * Kinds of linkage that are searched, each by itself.
 */
kinds: number, 
/**
 * What no search can mend, in words.
 */
precheck: Array<string>, 
/**
 * Whether people are near the instrument.
 */
people_near: boolean, 
/**
 * Why the brief judges a design but cannot start a search; null if it can.
 */
no_search: string | null, };

/**
 * A material of the table shipped.
 */
export type MaterialRow = { 
/**
 * Name, as files write it.
 */
name: string, 
/**
 * Its table as files write it, with all values.
 */
table: DesignFile['material'], };

/**
 * What does not depend on any design.
 */
export type AboutAnswer = { 
/**
 * Version of the program.
 */
version: string, 
/**
 * Materials shipped.
 */
materials: Array<MaterialRow>, 
/**
 * What comes first among the cautions, in one sentence.
 */
first: string, 
/**
 * What can hurt someone, where no design is open.
 */
safety: Safety, 
/**
 * What a map can vary: word, label, unit, least and greatest value.
 */
variables: Array<VariableRow>, 
/**
 * What a map can show: word, label, unit.
 */
quantities: Array<QuantityRow>, 
/**
 * What the dome can be coloured by.
 */
colours: Array<ColourRow>, 
/**
 * A commented brief to start from.
 */
brief_template: string, };

/**
 * What a map can vary.
 */
export type VariableRow = { 
/**
 * The word of the command line.
 */
word: string, 
/**
 * Label in figures.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, 
/**
 * Least value.
 */
least: number, 
/**
 * Greatest value.
 */
greatest: number, };

/**
 * What a map can show.
 */
export type QuantityRow = { 
/**
 * The word of the command line.
 */
word: string, 
/**
 * Label in figures.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, };

/**
 * What the dome can be coloured by.
 */
export type ColourRow = { 
/**
 * The word to ask with.
 */
word: string, 
/**
 * What a list of choices calls it.
 */
choice: string, 
/**
 * Whether each load case of the brief has its own.
 */
per_load: boolean, 
/**
 * What a list of curves along a path calls it; null where it is not drawn there.
 */
curve: string | null, };

/**
 * The shape of a section, all sizes in mm.
 */
export type SectionShape = { "kind": "rectangle", 
/**
 * Across the bar along the sphere, mm.
 */
tangential_mm: number, 
/**
 * Along the sphere's radius, mm.
 */
radial_mm: number, 
/**
 * Wall, mm; null if solid.
 */
wall_mm: number | null, } | { "kind": "round", 
/**
 * Outer diameter, mm.
 */
outer_mm: number, 
/**
 * Inner diameter, mm; null if solid.
 */
inner_mm: number | null, };

/**
 * A body in its own frame.
 */
export type BodyShape = { 
/**
 * Name as results print it.
 */
name: string, 
/**
 * Joint directions, unit vectors.
 */
stations: Array<[number, number, number]>, 
/**
 * Arcs between stations, by index.
 */
arcs: Array<[number, number]>, 
/**
 * Its section.
 */
section: SectionShape, };

/**
 * What a joint is in its linkage.
 */
export type JointRole = "base" | "side" | "apex" | "tool";

/**
 * A joint.
 */
export type JointShape = { 
/**
 * Name as results print it.
 */
name: string, 
/**
 * What it is in its linkage.
 */
role: JointRole, 
/**
 * Body by which its place is drawn.
 */
body: number, 
/**
 * Station of that body.
 */
station: number, 
/**
 * Whether it can be dragged: moving it moves the linkage.
 */
handle: boolean, };

/**
 * The linkage as drawn, with what follows at once.
 */
export type LinkageAnswer = { 
/**
 * The family with its angles in words.
 */
words: string, 
/**
 * Number of stages; null for families without.
 */
stages: number | null, 
/**
 * Sum of the arcs of a branch, °.
 */
total_arc_deg: number, 
/**
 * Radius of the centre lines, mm.
 */
joint_radius_mm: number, 
/**
 * Section of bars that have none of their own.
 */
section: SectionShape, 
/**
 * What differs from it and from the joints of most levels, in words; empty where all are
 * alike.
 */
differing: Array<string>, 
/**
 * Diameter of the bosses, mm; 0 for none.
 */
boss_diameter_mm: number, 
/**
 * Bodies; the first is the ground.
 */
bodies: Array<BodyShape>, 
/**
 * Joints.
 */
joints: Array<JointShape>, 
/**
 * The tool.
 */
tool: ToolShape, 
/**
 * Base components to world components, 3×3, row by row.
 */
world_from_base: [number, number, number, number, number, number, number, number, number], 
/**
 * Names of the active joints, in order.
 */
active_names: [string, string], 
/**
 * Bars a load can name.
 */
bars: Array<string>, 
/**
 * Where to begin: active joint angles in the middle of the range, °.
 */
start_joints_deg: [number, number], 
/**
 * Number of layers of what is built; null where nothing is.
 */
layers: number | null, };

/**
 * The tool on its body.
 */
export type ToolShape = { 
/**
 * Body that carries it.
 */
body: number, 
/**
 * Tool direction in that body's frame, unit.
 */
direction: [number, number, number], 
/**
 * Distance of the tip from the centre, mm.
 */
tip_radius_mm: number, 
/**
 * Distance of the centre of mass from the centre, mm.
 */
centre_of_mass_radius_mm: number, };

/**
 * What a part is.
 */
export type PartKind = "bar" | "pin" | "spacer" | "shaft" | "housing" | "tool";

/**
 * Where a body lies among the layers.
 */
export type BodyPlace = { 
/**
 * Layer, 0 innermost; null for ground and follower.
 */
layer: number | null, 
/**
 * Distance of its centre line from the remote centre, mm; of the ground: the middle
 * of the base bearings.
 */
radius_mm: number, };

/**
 * A part as a closed triangle mesh in the frame of the body it moves with.
 */
export type PartShape = { 
/**
 * Name as results print it.
 */
name: string, 
/**
 * What it is.
 */
kind: PartKind, 
/**
 * Index of the body it moves with.
 */
body: number, 
/**
 * Layer of a bar, 0 innermost; null for other parts.
 */
layer: number | null, 
/**
 * Name of the joint of a pin, spacer or shaft; null for other parts.
 */
joint: string | null, 
/**
 * The two bodies of that joint, by index.
 */
between: [number, number] | null, 
/**
 * Least and greatest distance from the remote centre, mm.
 */
radii_mm: [number, number], 
/**
 * Corners x, y, z one after the other, body frame, mm.
 */
positions_mm: Array<number>, 
/**
 * Three corners a triangle by index, anticlockwise seen from outside.
 */
triangles: Array<number>, };

/**
 * The parts of a design.
 */
export type PartsAnswer = { 
/**
 * Why there are none; null where there are.
 */
reason: string | null, 
/**
 * Number of layers; 0 where nothing is built.
 */
layers: number, 
/**
 * Radial distance of neighbouring layers, mm.
 */
pitch_mm: number, 
/**
 * Places of the bodies, in the order of the linkage; the first is the ground.
 */
bodies: Array<BodyPlace>, 
/**
 * The parts, in the order of `calotte parts`, then housing and tool.
 */
parts: Array<PartShape>, };

/**
 * A direction that cannot be reached.
 */
export type NotReached = { 
/**
 * What was asked.
 */
wanted_deg: PolarAzimuth, 
/**
 * How far the nearest reachable one is, °.
 */
distance_deg: number, };

/**
 * The pose asked for.
 */
export type PoseAnswer = { 
/**
 * Per body base components from body components, 3×3, row by row.
 */
rotations: Array<[number, number, number, number, number, number, number, number, number]>, 
/**
 * The numbers, as `analyse --json` gives them.
 */
configuration: ConfigurationDocument, 
/**
 * Set where the nearest direction is shown instead of the one asked for.
 */
not_reached: NotReached | null, 
/**
 * Whether the configuration lies in the working range.
 */
in_range: boolean, 
/**
 * The stage nearest to type 2 with its transmission angle; null for families without.
 */
closing: ClosingStage | null, 
/**
 * What the load does.
 */
load: LoadAnswer | null, 
/**
 * Why the load has no answer.
 */
load_reason: string | null, 
/**
 * Time the program took, ms.
 */
computed_ms: number, };

/**
 * An answer over the WebSocket of poses.
 */
export type PoseReply = { 
/**
 * The pose.
 */
pose: PoseAnswer, } | { 
/**
 * What is wrong and what to try.
 */
refused: { error: string; hint: string | null }, 
/**
 * The status that a request would have.
 */
status: number, };

/**
 * The stage nearest to a type 2 singularity.
 */
export type ClosingStage = { 
/**
 * Counted from 1 at the base.
 */
stage: number, 
/**
 * Its transmission angle, °.
 */
transmission_angle_deg: number, 
/**
 * The margin asked for, °.
 */
margin_deg: number, };

/**
 * A loaded linkage.
 */
export type LoadAnswer = { 
/**
 * Name of the load.
 */
name: string, 
/**
 * Point of attack, base frame, mm.
 */
at_mm: [number, number, number], 
/**
 * Force, base frame, N.
 */
force_n: [number, number, number], 
/**
 * Displacement of the tip, mm.
 */
deflection_mm: number, 
/**
 * Share of the strain energy in each body's arcs, in the order of the bodies.
 */
shares: Array<number>, 
/**
 * Shares of the strain energy: arcs, joints, pins, drives, base.
 */
causes: [number, number, number, number, number], 
/**
 * Centre lines and where the load takes them.
 */
arcs: Array<ArcUnderLoad>, 
/**
 * The tip without and with the load, base frame, mm.
 */
tip: [[number, number, number], [number, number, number]], };

/**
 * A centre line under load, base frame, mm.
 */
export type ArcUnderLoad = { 
/**
 * Points without load.
 */
points: Array<[number, number, number]>, 
/**
 * The same points displaced, not enlarged.
 */
moved: Array<[number, number, number]>, };

/**
 * A requirement as `calotte analyse --json` has it; its numbers again under names that hold
 * for any unit, and in words.
 */
export type RequirementRow = { 
/**
 * As the document has it.
 */
requirement: Requirement, 
/**
 * Name, as the terminal prints it.
 */
name: string, 
/**
 * Unit of the numbers below; empty for none.
 */
unit: string, 
/**
 * Required; null without a limit.
 */
required: number | null, 
/**
 * Predicted; null with a reason.
 */
predicted: number | null, 
/**
 * Range over the stated uncertainty.
 */
band: [number, number] | null, 
/**
 * Required, in words.
 */
required_words: string, 
/**
 * Predicted, in words.
 */
predicted_words: string, 
/**
 * Margin, in words.
 */
margin_words: string, 
/**
 * Predicted for the ideal linkage, with rigid joints and all bars on one sphere; null
 * where nothing is built or it has no value.
 */
ideal: number | null, 
/**
 * The same in words.
 */
ideal_words: string | null, };

/**
 * A polar angle.
 */
export type RingRow = { 
/**
 * Polar angle, °.
 */
polar_deg: number, 
/**
 * Shares of the compliance along the softest direction: arcs, joints, pins, drives, base.
 */
causes: [number, number, number, number, number], };

/**
 * One curve of a figure.
 */
export type CurveShape = { 
/**
 * Its name.
 */
name: string, 
/**
 * The worst around the axis at each ring, in their order; null without a value.
 */
values: Array<number | null>, };

/**
 * A figure of curves along the polar angle.
 */
export type CurveFigure = { 
/**
 * What a list of choices calls it.
 */
choice: string, 
/**
 * Label of its scale.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, 
/**
 * Its curves; none where each load case has its own and there is no load case.
 */
curves: Array<CurveShape>, };

/**
 * The whole analysis.
 */
export type AnalysisAnswer = { 
/**
 * Whether what was asked is met; null if nothing is required.
 */
met: boolean | null, 
/**
 * The verdict in words.
 */
verdict: string, 
/**
 * Requirements with a limit first, then what is worth knowing.
 */
rows: Array<RequirementRow>, 
/**
 * Both types of singularity, in words.
 */
singular_words: string, 
/**
 * Cautions that follow from the numbers.
 */
cautions: Array<string>, 
/**
 * What can hurt someone.
 */
safety: Safety, 
/**
 * Polar angles over the covered directions, ascending.
 */
rings: Array<RingRow>, 
/**
 * Quantities along them, by figures.
 */
figures: Array<CurveFigure>, 
/**
 * Names of the load cases.
 */
loads: Array<string>, 
/**
 * Greatest load on each joint.
 */
joint_loads: Array<JointLoad>, 
/**
 * Polar angle at which the least stiffness lies, °.
 */
softest_polar_deg: number | null, 
/**
 * Shares of the compliance by cause where the ideal linkage of a built design is
 * softest, as in the rings; null where nothing is built.
 */
ideal_causes: [number, number, number, number, number] | null, 
/**
 * What layers, bosses and pins leave of the motion; null where nothing is built.
 */
clearing: ClearingShape | null, };

/**
 * What layers, bosses and pins leave of the motion.
 */
export type ClearingShape = { 
/**
 * Number of layers.
 */
layers: number, 
/**
 * Distance that parts keep, mm.
 */
clearance_mm: number, 
/**
 * Least and greatest polar angle of the working range, °; null without one.
 */
polar_deg: [number, number] | null, 
/**
 * The same if no parts were in each other's way.
 */
ideal_polar_deg: [number, number] | null, 
/**
 * Pairs that end the working range.
 */
ends: Array<PairShape>, 
/**
 * The pairs that come nearest within it, without those that end it and without
 * pairs whose distance no motion changes; nearest first.
 */
nearest: Array<PairShape>, };

/**
 * Two parts where they come nearest.
 */
export type PairShape = { 
/**
 * Names of the two parts.
 */
names: [string, string], 
/**
 * Their distance, mm; negative where they pass through one another.
 */
distance_mm: number, 
/**
 * Polar angle of the tool there, °.
 */
polar_deg: number, 
/**
 * Active joint angles there, °, with the first turn as near to 0 as it may be.
 */
joints_deg: [number, number], };

/**
 * A cap on the sphere.
 */
export type CapShape = { 
/**
 * Base frame, unit.
 */
axis: [number, number, number], 
/**
 * Half angle, °.
 */
half_angle_deg: number, 
/**
 * Whether it is taken out of the region (else it is the region itself).
 */
excluded: boolean, 
/**
 * Why it is excluded.
 */
why: string, };

/**
 * What a zone is.
 */
export type ZoneKind = "region" | "excluded" | "reach" | "type-1" | "type-2";

/**
 * A part of the sphere to be marked.
 */
export type ZoneShape = { 
/**
 * What it is.
 */
kind: ZoneKind, 
/**
 * In words.
 */
name: string, 
/**
 * Polylines of unit vectors, base frame.
 */
outlines: Array<Array<[number, number, number]>>, 
/**
 * Bands about the base axis, polar from and to, °.
 */
bands_deg: Array<[number, number]>, };

/**
 * A quantity on a grid of polar angle by azimuth, base frame.
 */
export type DomeAnswer = { 
/**
 * Label.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, 
/**
 * Polar angles, °, ascending.
 */
polar_deg: Array<number>, 
/**
 * Azimuths, °, ascending from 0 to 360.
 */
azimuth_deg: Array<number>, 
/**
 * Row by row (a row is one polar angle); null without a value.
 */
values: Array<number | null>, 
/**
 * 0 covered, 1 outside the working range, 2 excluded, 3 outside the region.
 */
state: Array<number>, 
/**
 * Least value over the covered nodes; null without any.
 */
low: number | null, 
/**
 * Greatest value over the covered nodes.
 */
high: number | null, 
/**
 * Circular edges.
 */
caps: Array<CapShape>, 
/**
 * Zones.
 */
zones: Array<ZoneShape>, 
/**
 * Why there is no value anywhere; null if there is one.
 */
reason: string | null, };

/**
 * Least stiffness by number of stages.
 */
export type StagesAnswer = { 
/**
 * One row each.
 */
rows: Array<StageRow>, 
/**
 * Stiffest with rigid joints.
 */
best_rigid: number | null, 
/**
 * Stiffest with the design's joints.
 */
best_real: number | null, };

/**
 * One number of stages.
 */
export type StageRow = { 
/**
 * Number of stages.
 */
stages: number, 
/**
 * Least stiffness with rigid joints, N/mm.
 */
rigid_n_per_mm: number | null, 
/**
 * Least stiffness with the design's joints, N/mm.
 */
real_n_per_mm: number | null, };

/**
 * An axis of a map.
 */
export type MapAxis = { 
/**
 * The word of the variable.
 */
word: string, 
/**
 * Label.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, 
/**
 * Values.
 */
values: Array<number>, };

/**
 * One cell of a map.
 */
export type MapCell = { 
/**
 * Position, one row of x after the other.
 */
index: number, 
/**
 * Value with rigid joints.
 */
rigid: number | null, 
/**
 * Value with the design's joints.
 */
real: number | null, 
/**
 * Why there is none, or why it does not compare.
 */
reason: string | null, };

/**
 * What a map sends as it goes.
 */
export type MapPart = { 
/**
 * Axes and quantity; only in the first part.
 */
head: MapHead | null, 
/**
 * Cells done since the last part.
 */
cells: Array<MapCell>, };

/**
 * Axes and quantity of a map.
 */
export type MapHead = { 
/**
 * Along the figure.
 */
x: MapAxis, 
/**
 * Up the figure.
 */
y: MapAxis, 
/**
 * What is shown.
 */
quantity: QuantityRow, 
/**
 * What the values stand beside, in words; null for one kind of value.
 */
beside: string | null, 
/**
 * What stays, in words.
 */
settings: Array<[string, string]>, 
/**
 * Number of cells.
 */
cells: number, };

/**
 * The end of a map.
 */
export type MapDone = { 
/**
 * Lines of equal reach.
 */
lines: Array<EqualReach>, };

/**
 * Designs of one reach on a map.
 */
export type EqualReach = { 
/**
 * The reach, °.
 */
reach_deg: number, 
/**
 * Points in the units of the axes, x then y; null where the map does not enclose it.
 */
points: Array<[number, number] | null>, };

/**
 * One candidate with elastic values.
 */
export type CandidateRow = { 
/**
 * Its number: in the order in which candidates come, in the end that of `calotte design`.
 */
index: number, 
/**
 * What it is called in asking for it.
 */
key: string, 
/**
 * Whether every limit is met.
 */
met: boolean, 
/**
 * Values in the order of the columns.
 */
values: Array<number | null>, 
/**
 * The linkage in a few words.
 */
name: string, };

/**
 * A column of the candidates.
 */
export type CandidateColumn = { 
/**
 * The word of the brief's objectives.
 */
word: string, 
/**
 * Label.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, 
/**
 * Whether more is better; as the brief has it, or as is plain.
 */
more_is_better: boolean, 
/**
 * The brief's limit on it, in the unit; null without one.
 */
limit: number | null, };

/**
 * What a search sends as it goes.
 */
export type SearchPart = { 
/**
 * Columns; only in the first part.
 */
columns: Array<CandidateColumn> | null, 
/**
 * Candidates that are looked at at most.
 */
of: number, 
/**
 * Candidates looked at so far.
 */
looked_at: number, 
/**
 * Candidates judged since the last part that have elastic values.
 */
candidates: Array<CandidateRow>, 
/**
 * The front so far, by index.
 */
front: Array<number>, 
/**
 * The choice so far, by index.
 */
chosen: number | null, 
/**
 * Candidates so far that meet every limit as the search looks at them.
 */
feasible: number, 
/**
 * In the last part: candidates told before as meeting every limit, by index, that miss one
 * by the whole analysis.
 */
withdrawn: Array<number>, 
/**
 * Whether candidates stand in place of all that were told before, with other numbers.
 */
afresh: boolean, };

/**
 * The end of a search.
 */
export type SearchDone = { 
/**
 * What is said of the choice.
 */
said: ChoiceSaid | null, 
/**
 * Why nothing is.
 */
reason: string | null, };

/**
 * What is said of the choice, in the words of `calotte design`.
 */
export type ChoiceSaid = { 
/**
 * The choice, by index.
 */
candidate: number, 
/**
 * The chosen design.
 */
chosen: Labelled, 
/**
 * What it beat.
 */
rejected: Array<string>, 
/**
 * The limits that govern; null where none is near.
 */
binds: Labelled | null, 
/**
 * The nearest need that it meets; null where it meets the brief.
 */
nearest_need: NearestNeed | null, };

/**
 * Words and what stands before them.
 */
export type Labelled = { 
/**
 * What stands before them.
 */
label: string, 
/**
 * The words.
 */
words: string, };

/**
 * What a design meets where it misses the brief.
 */
export type NearestNeed = { 
/**
 * What stands above it.
 */
heading: string, 
/**
 * A line for each limit that is not met.
 */
limits: Array<string>, };

/**
 * A plan.
 */
export type PlanAnswer = { 
/**
 * Names of the active joints, in the order of readings.
 */
joints: [string, string], 
/**
 * Where the tool points in each row, in the order of measuring.
 */
directions_deg: Array<PolarAzimuth>, 
/**
 * What `measure plan --json` says.
 */
plan: PlanDocument, 
/**
 * The file of points to fill in.
 */
points_csv: string, 
/**
 * The file of weights to fill in.
 */
weights_csv: string, };

/**
 * How far a fit has come.
 */
export type FitPart = { 
/**
 * Usable rows of the points; 0 as long as they are not read.
 */
rows: number, 
/**
 * Where the fit is, as `calotte measure fit` says it.
 */
words: string, 
/**
 * How often the rows were weighed in this round.
 */
weighed: number, };

/**
 * What the measurements say.
 */
export type FitAnswer = { 
/**
 * Names of the active joints: rows hold their readings as `NAME_deg`.
 */
joints: [string, string], 
/**
 * What `measure fit --json` says, without `run`.
 */
fit: FitDocument, };

/**
 * Where the tool is to be.
 */
export type Target = { "joints-deg": [number, number] } | { "direction-deg": PolarAzimuth } | { "joint": { 
/**
 * Index of the joint.
 */
joint: number, 
/**
 * Where it is pulled, base frame.
 */
towards: [number, number, number], 
/**
 * Active joint angles now, °: the nearest solution is taken.
 */
from_deg: [number, number], } };

/**
 * What acts on the linkage.
 */
export type LoadAsked = { "case": string } | "weight" | { "tip-n": [number, number, number] };

/**
 * What the dome is coloured by.
 */
export type DomeQuantity = { 
/**
 * One of the words that the program's colours have.
 */
word: string, 
/**
 * The load case of the brief, where each has a value of its own.
 */
load: string | null, };

/**
 * What is drawn along a path.
 */
export type PathQuantity = { "quantity": DomeQuantity } | { "deflection-by": LoadAsked };

/**
 * A quantity along a path.
 */
export type PathAnswer = { 
/**
 * Label of the scale.
 */
label: string, 
/**
 * Unit; empty for none.
 */
unit: string, 
/**
 * Value at each point; null out of reach or without a value there.
 */
values: Array<number | null>, };

/**
 * What is required beside what is predicted. The numbers stand as `required`, `predicted`, `ideal`, `over_region`
 * (minimum and maximum over the covered directions) and `band` with the unit of the quantity behind the name, as in `predicted_mm`.
 */
export type Requirement = { 
/**
 * Name of the quantity.
 */
quantity: string, 
/**
 * The load case, where each has a value of its own.
 */
load?: string, 
/**
 * At least or at most.
 */
sense: string, 
/**
 * Why there is no value.
 */
reason?: string, 
/**
 * Whether the limit is met at the value it is judged by; null without a limit.
 */
met: boolean | null, 
/**
 * Whether it is met at nominal values; null without a limit.
 */
met_at_nominal: boolean | null, 
/**
 * Whether it is met over the bands too; null without a limit or bands.
 */
band_met: boolean | null, 
/**
 * Inputs that give the lower and the upper end of the band, all other numbers at their
 * nominal values; absent without one.
 */
band_inputs?: [Array<InputValue>, Array<InputValue>], 
/**
 * Whether it is missed over the bands only because beam theory does not say how stiff short
 * bars are.
 */
hangs_on_short_bars: boolean, 
/**
 * What each uncertain number does to a limited value by itself, all others at their nominal
 * values; empty without a limit or where nothing uncertain changes it.
 */
each_alone?: Array<AloneValue>, 
/**
 * Each uncertain number that makes the limit hold by itself, where it is met at nominal
 * values and not over the stated uncertainty; empty where none does.
 */
each_suffices?: Array<Sufficient>, 
/**
 * Margin over the limit, 1; null without a limit.
 */
relative_margin: number | null, 
/**
 * Where it is worst.
 */
worst_at_deg: PolarAzimuth | null, 
/**
 * What governs.
 */
note: string, };

/**
 * An uncertain number of a design at a value.
 */
export type InputValue = { 
/**
 * Key in the design file, from its top.
 */
key: string, 
/**
 * Value as the file writes it.
 */
value: number, };

/**
 * One uncertain number at its worse end, all others at their nominal values.
 */
export type AloneValue = { 
/**
 * Key in the design file, from its top.
 */
key: string, 
/**
 * Value as the file writes it.
 */
value: number, 
/**
 * What is predicted then, in the unit of the row's `predicted`.
 */
predicted: number, 
/**
 * Whether the limit is met then.
 */
met: boolean, };

/**
 * An uncertain number by which alone a limit holds, all others at their worst end for it.
 */
export type Sufficient = { 
/**
 * Key in the design file, from its top.
 */
key: string, 
/**
 * The limit holds from here on, as the file writes it.
 */
from: number, 
/**
 * Up to the end of the stated range away from the worst one.
 */
to: number, };

/**
 * The maximum load on a joint.
 */
export type JointLoad = { 
/**
 * The joint.
 */
joint: string, 
/**
 * Along its own axis.
 */
axial_n: number, 
/**
 * Across it.
 */
radial_n: number, 
/**
 * Tilting it.
 */
tilt_nm: number, };

/**
 * A direction in the base frame.
 */
export type PolarAzimuth = { 
/**
 * From the base axis, °.
 */
polar: number, 
/**
 * About the base axis, °.
 */
azimuth: number, };

/**
 * Scalars of the translational compliance at the tip.
 */
export type StiffnessDocument = { 
/**
 * Minimum over all directions of the force.
 */
minimum_n_per_m: number, 
/**
 * Maximum.
 */
maximum_n_per_m: number, 
/**
 * Arithmetic mean of the principal values.
 */
mean_n_per_m: number, 
/**
 * Geometric mean.
 */
geometric_mean_n_per_m: number, 
/**
 * Sum of the principal values.
 */
trace_n_per_m: number, 
/**
 * Along growing polar angle.
 */
polar_n_per_m: number, 
/**
 * Along growing azimuth.
 */
azimuth_n_per_m: number, 
/**
 * Outward.
 */
radial_n_per_m: number, 
/**
 * Minimum over maximum along the dome, 1.
 */
tangential_isotropy: number, 
/**
 * Softest direction, local frame: polar, azimuth, radial.
 */
softest_direction: [number, number, number], };

/**
 * Compliance shares: how much each kind of part deforms, of 1.
 */
export type EnergyShares = { 
/**
 * Arcs.
 */
arcs: number, 
/**
 * Joints.
 */
joints: number, 
/**
 * Pins.
 */
pins: number, 
/**
 * Drives.
 */
drives: number, 
/**
 * Base.
 */
base: number, };

/**
 * One configuration of the agreed list of `analyse --json`.
 */
export type ConfigurationDocument = { 
/**
 * Active joint angles.
 */
joints_deg: [number, number], 
/**
 * Tool direction, base frame.
 */
direction_deg: PolarAzimuth, 
/**
 * Passive joint angles by name.
 */
passive_deg: { [key in string]: number }, 
/**
 * Roll of the tool.
 */
roll_deg: number, 
/**
 * Local conditioning index.
 */
lci: number, 
/**
 * Minimum transmission angle; null for families without.
 */
transmission_angle_deg: number | null, 
/**
 * 6×6, SI, local frame polar, azimuth, radial at the tip.
 */
compliance: Array<Array<number>> | null, 
/**
 * Why there is none.
 */
compliance_reason?: string, 
/**
 * How many digits of it are sure, where they are few, and why.
 */
precision?: string, 
/**
 * Its scalars.
 */
stiffness?: StiffnessDocument, 
/**
 * Torque the drives give against weight.
 */
holding_torque_nm: [number, number] | null, 
/**
 * Why there is none.
 */
holding_torque_reason?: string, 
/**
 * The virtual joint model, where one configuration is asked for.
 */
cross_check?: CrossCheck, 
/**
 * Centre lines of the parts, where they are built.
 */
parts?: Parts, 
/**
 * Distances of parts, where they are built.
 */
clearing?: Array<PartDistance>, };

/**
 * What to know before anything is built, fitted or used from these numbers. The paragraph
 * stands in every document; the lists are left out where many documents follow one another.
 */
export type Safety = { 
/**
 * What comes first, the hazards and what is not assessed, in one paragraph.
 */
notice: string, 
/**
 * Each hazard in a sentence.
 */
hazards?: Array<string>, 
/**
 * What no result answers.
 */
excluded?: Array<string>, 
/**
 * What to do at the bench; only of measurements.
 */
bench?: Array<string>, 
/**
 * Standards from memory; whether one applies is decided by the responsible person.
 */
standards?: Array<string>, };

/**
 * The virtual joint model and the hand estimate beside the reference, rigid joints.
 */
export type CrossCheck = { 
/**
 * Entries of the compliance.
 */
entries: Array<CrossCheckEntry>, 
/**
 * Check of assembly, 1.
 */
assembly_difference: number, 
/**
 * What the numbers say.
 */
explanation: string, };

/**
 * One entry of the compliance by three models.
 */
export type CrossCheckEntry = { 
/**
 * Which.
 */
entry: string, 
/**
 * By the reference.
 */
reference_rigid_joints_m_per_n: number, 
/**
 * By virtual joints.
 */
virtual_joints_m_per_n: number, 
/**
 * Their difference over the reference; null where that is nought.
 */
virtual_joints_relative_difference: number | null, 
/**
 * By the hand estimate; null where it has none.
 */
hand_estimate_m_per_n: number | null, 
/**
 * Why it has none.
 */
hand_estimate_reason: string | null, 
/**
 * Its difference over the reference.
 */
hand_estimate_relative_difference: number | null, };

/**
 * Every bar with its section and every joint with its level, where any of them differ.
 */
export type Differing = { 
/**
 * Bars, from the base outward.
 */
bars: Array<BarSection>, 
/**
 * Joints, from the base outward.
 */
joints: Array<JointAtLevel>, };

/**
 * A bar and its section.
 */
export type BarSection = { 
/**
 * Its name.
 */
name: string, 
/**
 * Level of the joints it starts from, 0 at the base.
 */
level: number, 
/**
 * Its section in words.
 */
section: string, 
/**
 * Overall size across the bar, along the sphere.
 */
tangential_mm: number, 
/**
 * Overall size along the sphere's radius.
 */
radial_mm: number, };

/**
 * A joint and what it is made of.
 */
export type JointAtLevel = { 
/**
 * Its name.
 */
name: string, 
/**
 * Its level, 0 at the base.
 */
level: number, 
/**
 * Its bearings; null where joints are given by stiffness, or rigid.
 */
bearing: string | null, 
/**
 * Distance of the two bearings; null without bearings.
 */
spacing_mm: number | null, 
/**
 * Diameter of its pin; null without bearings.
 */
pin_diameter_mm: number | null, 
/**
 * Stiffness of the pair, or of the joint, along its own axis; null for a rigid joint.
 */
axial_n_per_m: number | null, 
/**
 * Across its own axis; null for a rigid joint.
 */
radial_n_per_m: number | null, 
/**
 * Against tilting; null for a rigid joint.
 */
tilt_nm_per_rad: number | null, 
/**
 * Diameter of its bosses; 0 for none.
 */
boss_diameter_mm: number, };

/**
 * Two parts at one configuration.
 */
export type PartDistance = { 
/**
 * The one.
 */
first: string, 
/**
 * The other.
 */
second: string, 
/**
 * Their distance; negative where they pass through one another.
 */
distance_mm: number, };

/**
 * Centre lines of the parts at one configuration, base frame.
 */
export type Parts = { 
/**
 * Diameter of the bosses of joints whose level has none of its own.
 */
boss_diameter_mm: number, 
/**
 * Bars.
 */
bars: Array<BarLines>, 
/**
 * Pins.
 */
pins: Array<PinLine>, 
/**
 * The tool.
 */
tool: ToolLine, };

/**
 * A bar.
 */
export type BarLines = { 
/**
 * Its name.
 */
name: string, 
/**
 * Radius of its sphere.
 */
radius_mm: number, 
/**
 * Its arcs.
 */
arcs: Array<ArcLine>, };

/**
 * An arc.
 */
export type ArcLine = { 
/**
 * From.
 */
from_mm: [number, number, number], 
/**
 * To.
 */
to_mm: [number, number, number], 
/**
 * Lengths within bosses, at both ends.
 */
rigid_mm: [number, number], };

/**
 * A pin.
 */
export type PinLine = { 
/**
 * Its joint.
 */
joint: string, 
/**
 * What it is clamped in.
 */
clamped_in: string, 
/**
 * What holds its bearings.
 */
bearings_in: string, 
/**
 * From.
 */
from_mm: [number, number, number], 
/**
 * To.
 */
to_mm: [number, number, number], 
/**
 * Diameter.
 */
diameter_mm: number, 
/**
 * Bore.
 */
bore_mm: number, 
/**
 * Whether a drive turns it.
 */
driven: boolean, };

/**
 * The tool.
 */
export type ToolLine = { 
/**
 * What carries it.
 */
carried_by: string, 
/**
 * Its tip.
 */
tip_mm: [number, number, number], 
/**
 * Where it points.
 */
direction: [number, number, number], };

/**
 * What `calotte measure plan --json` says.
 */
export type PlanDocument = { 
/**
 * Rows in the order of measuring.
 */
rows: Array<PlannedRow>, 
/**
 * Minimum singular value over the noise, of the parameters in `chosen_for`.
 */
minimum_singular_value: number, 
/**
 * The same of a regular grid of as many configurations.
 */
minimum_singular_value_of_grid: number, 
/**
 * The same of random plans of as many.
 */
minimum_singular_value_of_random: RandomPlans, 
/**
 * Parameters that a fit of these rows will call identifiable, in nine of ten campaigns of
 * prototypes within tolerance.
 */
identifiable: Array<PlannedParameter>, 
/**
 * Names of those that are not.
 */
not_identifiable: Array<string>, 
/**
 * Parameters that the configurations are chosen for: their tolerance moves the points by
 * more than the noise, and nothing else makes up for it.
 */
chosen_for: Array<string>, 
/**
 * Motion of the joints in all, °.
 */
motion_deg: number, 
/**
 * How the rows are ordered.
 */
order: PlanOrder, 
/**
 * Ends of the tool's polar angle over all rows, °.
 */
polar_deg: [number, number], 
/**
 * What a narrow range costs; null where the range is the linkage's own.
 */
narrow_range: NarrowRange | null, 
/**
 * Rows that a straight way of the joints from the row before reaches only nearer to a
 * keep-out of the brief than it allows.
 */
rows_not_straight: Array<number>, 
/**
 * What differs between brief and design, what of the brief is not looked at, and what
 * takes the mean of left and right.
 */
warnings: Array<string>, 
/**
 * Weights to hang.
 */
weights: Array<PlannedLoad>, 
/**
 * What to take care of, at the bench above all.
 */
safety: Safety, };

/**
 * One configuration to measure.
 */
export type PlannedRow = { 
/**
 * Readings to set, °.
 */
readings_deg: [number, number], 
/**
 * Where the sensor is expected, base frame, mm.
 */
expected_mm: [number, number, number], 
/**
 * Name shared by repeats; empty for a row measured once.
 */
group: string, };

/**
 * A parameter that the plan identifies.
 */
export type PlannedParameter = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * Standard error that the fit is expected to print, in that unit: the median of simulated
 * campaigns.
 */
expected_error: number, };

/**
 * A configuration to hang weights on.
 */
export type PlannedLoad = { 
/**
 * Readings to set, °.
 */
readings_deg: [number, number], 
/**
 * Polar angle of the tool, °.
 */
polar_deg: number, 
/**
 * Where the weight pulls, world.
 */
pull: [number, number, number], 
/**
 * Masses in the order of putting them on, kg; none where none is safe.
 */
masses_kg: Array<number>, 
/**
 * Weights of a set as sold that make up each of them, kg.
 */
pieces_kg: Array<Array<number>>, 
/**
 * Torque that each drive gives against arm and tool alone, N·m, signed as its reading.
 */
own_weight_torque_nm: [number, number], 
/**
 * Torque that each drive gives with each of the masses, own weight included, N·m.
 */
torque_nm: Array<[number, number]>, 
/**
 * Torque that every drive or brake is to hold by the brief, N·m; null where nothing says it.
 */
holding_torque_nm: number | null, 
/**
 * Masses that need more than that, kg.
 */
masses_not_held_kg: Array<number>, 
/**
 * Direction of the gauge, world.
 */
gauge_axis: [number, number, number], 
/**
 * Displacement by one newton, µm/N.
 */
displacement_um_per_n: number, 
/**
 * Minimum safety factor against yield; null where it is not known.
 */
safety_factor_yield: number | null, 
/**
 * Displacement by the smallest weight over the gauge's noise.
 */
signal_to_noise_of_smallest: number, };

/**
 * The same of random plans.
 */
export type RandomPlans = { 
/**
 * Median.
 */
median: number, 
/**
 * Each plan.
 */
plans: Array<number>, };

/**
 * What an order of rows could mistake a drift in time for.
 */
export type PlanOrder = { 
/**
 * What the random order began with.
 */
seed: number, 
/**
 * Motion of the joints in all over that of the shortest way found once through all
 * configurations.
 */
motion_over_shortest: number, 
/**
 * Maximum correlation of the row number with either reading, without sign.
 */
correlation_with_readings: number, 
/**
 * The same with polar angle and azimuth, their cosines and sines.
 */
correlation_with_directions: number, 
/**
 * Parameter whose effect goes along most with a steady drift of the tracker.
 */
drift_most_like: string | null, 
/**
 * Multiple correlation of that effect with the drift, the tracker's pose free.
 */
correlation_with_drift: number | null, 
/**
 * Whether these correlations are as small as is aimed at.
 */
drift_separable: boolean, };

/**
 * A parameter that a narrow range identifies worse.
 */
export type WorseParameter = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * Its standard error over that from the whole range.
 */
times: number, };

/**
 * What a range narrower than the linkage's own costs.
 */
export type NarrowRange = { 
/**
 * Whether the drives' range narrows it.
 */
by_drives: boolean, 
/**
 * Whether the brief does.
 */
by_brief: boolean, 
/**
 * Parameters that the whole range identifies and this one does not.
 */
not_identifiable: Array<string>, 
/**
 * Parameters with at least three times the standard error.
 */
worse: Array<WorseParameter>, };

/**
 * What `calotte measure fit --json` says.
 */
export type FitDocument = { 
/**
 * The sphere of the points.
 */
sphere: SphereDocument, 
/**
 * How the tracker's frame lies with the design's values.
 */
registration: RegistrationDocument, 
/**
 * Residuals with the design.
 */
residual_mm: ResidualNumbers, 
/**
 * After the fit.
 */
after: AfterFit, 
/**
 * The verdict.
 */
verdict: PointsVerdict, 
/**
 * Parameters, identified and fixed at nominal.
 */
parameters: Array<FoundParameter>, 
/**
 * What no points identify.
 */
never_identifiable: NeverIdentifiable, 
/**
 * Singular values over the noise, those of the fitted parameters.
 */
singular_values_over_noise: Array<number>, 
/**
 * Correlations of the fitted parameters.
 */
correlation: CorrelationDocument, 
/**
 * Rows far off.
 */
outlier_rows: Array<number>, 
/**
 * Rows out of the linkage's reach.
 */
unreachable_rows: Array<number>, 
/**
 * Rows not used.
 */
refused_rows: Array<RefusedRowShape>, 
/**
 * Rows counted.
 */
rows_used: number, 
/**
 * Every row that the design reaches.
 */
rows: Array<MeasuredRow>, 
/**
 * Withheld rows, predicted; null where there are too few.
 */
hold_out: HoldOutShape | null, 
/**
 * Causes, the one most probably at fault first, then by what each explains alone.
 */
causes: Array<PointsCause>, 
/**
 * Whether what the fit leaves is noise; null in fits of older programs.
 */
lack_of_fit: LackDocument | null, 
/**
 * What the points identify of parameters together.
 */
combinations: Array<PointsCombination>, 
/**
 * Residuals by polar angle.
 */
zones: Array<ResidualZone>, 
/**
 * Repeated configurations.
 */
groups: Array<RepeatedGroup>, 
/**
 * Remarks on the file.
 */
notes: Array<string>, 
/**
 * What orientations say; null where none was measured.
 */
orientation: OrientationShape | null, 
/**
 * What the weights say; null without them.
 */
weights: WeightsDocument | null, 
/**
 * What to know before anything is built, fitted or used; empty in fits of older programs.
 */
safety: Safety, };

/**
 * The sphere of the points.
 */
export type SphereDocument = { 
/**
 * Its centre, in the frame of the points.
 */
centre_mm: [number, number, number], 
/**
 * Its radius.
 */
radius_mm: number, 
/**
 * Distance of the points from it, root mean square.
 */
rms_mm: number, };

/**
 * How the tracker's frame lies to the base.
 */
export type RegistrationDocument = { 
/**
 * Rotation, row by row.
 */
rotation: [[number, number, number], [number, number, number], [number, number, number]], 
/**
 * Translation.
 */
translation_mm: [number, number, number], };

/**
 * After the fit.
 */
export type AfterFit = { 
/**
 * Residuals.
 */
residual_mm: ResidualNumbers, 
/**
 * How the tracker's frame lies.
 */
registration: RegistrationDocument, 
/**
 * Noise of one component, mm.
 */
noise_mm: number, };

/**
 * Whether the prototype is the design.
 */
export type PointsVerdict = { 
/**
 * agrees, deviates, lack of fit, undecided, or not of this design.
 */
outcome: string, 
/**
 * Whether there is no deviation beyond workshop tolerance, and a fault would have been
 * seen.
 */
agrees_within_assumed_tolerances: boolean, 
/**
 * Probability that every part is within tolerance, 0 to 1.
 */
within_tolerance_probability: number, 
/**
 * Sets of parts of which each explains the points, most probable first; one is certain,
 * several are not separable. Empty where most probably nothing is beyond tolerance.
 */
explanations: Array<PointsExplanation>, 
/**
 * What to measure next to separate the most probable explanations; null where there is
 * one alone.
 */
measure_next: MeasureNext | null, 
/**
 * How the file may have been misread, likeliest first; empty where nothing hints at it.
 */
perhaps: Array<string>, 
/**
 * Parts whose faults these points would not have shown, by a parameter of each.
 */
not_judged: Array<string>, 
/**
 * What deviates.
 */
off: Array<OffParameter>, 
/**
 * What the verdict leaves open: parts of which it is not decided whether they are at fault,
 * and parts that are not judged.
 */
open: Array<string>, 
/**
 * What to change on the controller, its sense and how to check it; empty where nothing is.
 */
controller: Array<string>, 
/**
 * What to do about the parts that are at fault for certain; null without.
 */
remedy: string | null, 
/**
 * Share of the squares that the first of the causes takes away by itself.
 */
remedy_explains: number, 
/**
 * Whether these can be points of this design.
 */
of_this_design: boolean, 
/**
 * Parts of which the points do not separate which is at fault.
 */
rivals: Array<string>, 
/**
 * The same in a sentence.
 */
words: string, };

/**
 * Parts that together explain the points.
 */
export type PointsExplanation = { 
/**
 * The parts; none where all is within tolerance.
 */
parts: Array<string>, 
/**
 * How probable it is, 0 to 1.
 */
probability: number, 
/**
 * What is beyond tolerance then.
 */
off: Array<OffParameter>, };

/**
 * The configuration in which the two most probable explanations differ most.
 */
export type MeasureNext = { 
/**
 * Readings of the active joints, °.
 */
joints_deg: [number, number], 
/**
 * How far apart the two put the sensor there, mm.
 */
distance_mm: number, 
/**
 * How often it is to be measured; null if no point separates them, only the parts by
 * themselves.
 */
times: number | null, 
/**
 * The parts of either explanation; none where all is within tolerance.
 */
separates: Array<Array<string>>, 
/**
 * The same in a sentence.
 */
words: string, };

/**
 * Parameters that the points identify together although none alone.
 */
export type PointsCombination = { 
/**
 * Each by name with unit, and how often it counts.
 */
terms: Array<NamedValue>, 
/**
 * The sum found less the design's, in the unit of the first.
 */
by: number, 
/**
 * One standard error of it.
 */
standard_error: number, 
/**
 * The same in a line.
 */
words: string, };

/**
 * Whether what the fit leaves is noise.
 */
export type LackDocument = { 
/**
 * Probability that any test finds something where there is only noise.
 */
level: number, 
/**
 * Even drift from the first row to the last that nine of ten such campaigns would have
 * shown, mm; null where none is separable from a turn of the tracker.
 */
minimum_drift_seen_mm: number | null, 
/**
 * Whether anything was found.
 */
found: boolean, 
/**
 * What was found, the surest first.
 */
words: Array<string>, 
/**
 * Every test.
 */
tests: Array<LackTestShape>, 
/**
 * Configurations and readings of which no row counts.
 */
rejected: Array<RejectedShape>, 
/**
 * Outliers as share of all rows.
 */
outlier_share: number, };

/**
 * Residuals tested against one thing.
 */
export type LackTestShape = { 
/**
 * Against what.
 */
name: string, 
/**
 * Ratio of variances; null where it cannot be tested.
 */
statistic: number | null, 
/**
 * Degrees of freedom of numerator and denominator; null for a known noise.
 */
degrees: [number | null, number | null] | null, 
/**
 * Probability of a ratio as great by noise alone.
 */
p_value: number | null, 
/**
 * Level of this test, its share of that of all.
 */
level: number | null, 
/**
 * Root mean square length of what it explains, mm.
 */
effect_mm: number | null, 
/**
 * Whether the probability is below its level.
 */
found: boolean, 
/**
 * Why it cannot be tested with these points; null where it was.
 */
not_tested_because: string | null, };

/**
 * Rows with something in common that are all outliers.
 */
export type RejectedShape = { 
/**
 * Their numbers.
 */
rows: Array<number>, 
/**
 * Name of their group; empty without.
 */
group: string, 
/**
 * Probability that it happens by chance.
 */
by_chance: number, 
/**
 * Whether that is less than chance is allowed.
 */
found: boolean, 
/**
 * The same in a sentence.
 */
words: string, };

/**
 * A parameter that deviates.
 */
export type OffParameter = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * By how much, in that unit: of the verdict the value found less the design's; of an
 * explanation what it would be by that explanation.
 */
by: number, 
/**
 * Standard error of it; absent for a parameter that is held, and in an explanation.
 */
standard_error?: number, 
/**
 * The same in errors that workshops leave.
 */
in_assumed_tolerances: number, };

/**
 * A parameter that no points identify.
 */
export type NeverIdentifiable = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * Why.
 */
reason: string, };

/**
 * One measured row. It holds the readings of the joints as `NAME_deg` too.
 */
export type MeasuredRow = { 
/**
 * Number of the row in the file, from 1.
 */
row: number, 
/**
 * Where the design puts the tool for its readings, base frame.
 */
direction_deg: PolarAzimuth, 
/**
 * Where the sensor was, base frame.
 */
measured_mm: [number, number, number], 
/**
 * Measured less the design's.
 */
before_mm: LocalResidual, 
/**
 * Measured less the fit's.
 */
after_mm: LocalResidual, 
/**
 * Measured less the design's, base frame.
 */
before_base_mm: [number, number, number], 
/**
 * Measured less the fit's, base frame.
 */
after_base_mm: [number, number, number], 
/**
 * Whether the fit counts it.
 */
used: boolean, };

/**
 * A residual vector in the local frame of its direction, mm.
 */
export type LocalResidual = { 
/**
 * Along growing polar angle.
 */
polar: number, 
/**
 * Along growing azimuth.
 */
azimuth: number, 
/**
 * Outward.
 */
radial: number, };

/**
 * Withheld rows, predicted.
 */
export type HoldOutShape = { 
/**
 * In how many parts the rows were left out.
 */
parts: number, 
/**
 * With the design, mm.
 */
rms_before_mm: number, 
/**
 * With the fit, mm.
 */
rms_after_mm: number, 
/**
 * Whether the fit predicts better than the design.
 */
learned: boolean, };

/**
 * The squares left when one cause alone is fitted.
 */
export type PointsCause = { 
/**
 * In words.
 */
cause: string, 
/**
 * Probability that something of it is beyond tolerance.
 */
probability: number, 
/**
 * Share of the squares it takes away, 0 to 1.
 */
explains: number, 
/**
 * Its values.
 */
values: Array<NamedValue>, 
/**
 * Deviation it would be, in errors that workshops leave.
 */
in_assumed_tolerances: number, };

/**
 * A value by name.
 */
export type NamedValue = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * Value in that unit.
 */
value: number, };

/**
 * Residuals over a band of polar angles.
 */
export type ResidualZone = { 
/**
 * From, °.
 */
polar_from_deg: number, 
/**
 * To, °.
 */
polar_to_deg: number, 
/**
 * With the design.
 */
before_mm: ResidualNumbers, 
/**
 * With the fit.
 */
after_mm: ResidualNumbers, };

/**
 * Configurations measured again and again.
 */
export type RepeatedGroup = { 
/**
 * Name of the group.
 */
group: string, 
/**
 * Rows.
 */
count: number, 
/**
 * Distance of the mean from where it should be, mm.
 */
pose_accuracy_mm: number, 
/**
 * Scatter about the mean, mm.
 */
pose_repeatability_mm: number, };

/**
 * What measured orientations say of the fit, which does not use them.
 */
export type OrientationShape = OrientationsFound | OrientationReason;

/**
 * Orientations beside the fit.
 */
export type OrientationsFound = { 
/**
 * Rows with an orientation.
 */
rows: number, 
/**
 * Rows with large deviations.
 */
off_rows: Array<number>, 
/**
 * With the design.
 */
before: OrientationAngles, 
/**
 * With the fit.
 */
after: OrientationAngles, 
/**
 * Standard error of how the sensor sits, °.
 */
sensor_standard_error_deg: number, 
/**
 * Whether they agree better with the fit than with the design.
 */
fit_made_them_agree: string, };

/**
 * Orientations that cannot be judged.
 */
export type OrientationReason = { 
/**
 * Why.
 */
reason: string, };

/**
 * Angles by which orientations miss, °.
 */
export type OrientationAngles = { 
/**
 * Of the whole turn.
 */
angle_deg: ResidualNumbers, 
/**
 * About the tool.
 */
roll_deg: ResidualNumbers, 
/**
 * Of the tool's direction.
 */
direction_deg: ResidualNumbers, 
/**
 * How the sensor sits on the tool, unit quaternion.
 */
sensor_on_tool_wxyz: [number, number, number, number], };

/**
 * Correlations of the fitted parameters.
 */
export type CorrelationDocument = { 
/**
 * Their names, with unit.
 */
names: Array<string>, 
/**
 * Row by row.
 */
matrix: Array<Array<number>>, };

/**
 * One parameter of the real linkage, or one unknown of the weights.
 */
export type FoundParameter = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * Found; the design's where it is held.
 */
value: number, 
/**
 * The design's.
 */
nominal: number, 
/**
 * One standard error, with what is held; null where it is held itself. Of points with all
 * that they cannot separate from it too.
 */
standard_error: number | null, 
/**
 * Part of it that the noise makes.
 */
standard_error_by_noise?: number, 
/**
 * Tolerance that workshops are assumed to keep; only of points.
 */
assumed_tolerance?: number, 
/**
 * The minimum fault that would have been seen in nine of ten such campaigns; absent if none
 * would. Only of points.
 */
minimum_fault_seen?: number, 
/**
 * Whether the measurements identify it.
 */
identifiable: boolean, 
/**
 * Whether it stands at a limit; only of weights.
 */
at_bound?: boolean, 
/**
 * What its assumed tolerance moves all rows by, over the noise.
 */
signal_to_noise: number, 
/**
 * What it is not separable from.
 */
held_because_not_separable_from: Array<NotSeparable>, };

/**
 * What a parameter fixed at nominal is not separable from.
 */
export type NotSeparable = { 
/**
 * The other parameter, with its unit.
 */
name: string, 
/**
 * So much of the other for one of this, in their units; only of points.
 */
for_one?: number, 
/**
 * So many assumed tolerances (1σ) of the other for one of this; only of weights.
 */
assumed_tolerances_for_one?: number, };

/**
 * A row that was not used.
 */
export type RefusedRowShape = { 
/**
 * Number of the row, from 1.
 */
row: number, 
/**
 * Line of the file, from 1.
 */
line: number, 
/**
 * Why.
 */
reason: string, };

/**
 * Statistics of residuals, in the unit of the key that holds them.
 */
export type ResidualNumbers = { 
/**
 * Rows counted.
 */
count: number, 
/**
 * Mean length.
 */
mean: number, 
/**
 * Root mean square.
 */
rms: number, 
/**
 * 95 % of the rows miss by less.
 */
p95: number, 
/**
 * Maximum.
 */
max: number, };

/**
 * What the weights say.
 */
export type WeightsDocument = { 
/**
 * Unknowns.
 */
parameters: Array<FoundParameter>, 
/**
 * Noise of one reading, mm.
 */
noise_mm: number, 
/**
 * Scatter about each configuration's own line, mm.
 */
scatter_mm: number | null, 
/**
 * Whether the model explains the readings; null where that is not decided.
 */
explained: boolean | null, 
/**
 * The verdict.
 */
verdict: WeightsVerdict, 
/**
 * Residuals as designed.
 */
residual_mm: ResidualNumbers, 
/**
 * After the fit.
 */
after: AfterWeights, 
/**
 * What each row misses after the fit.
 */
rows: Array<GaugeResidual>, 
/**
 * What was read.
 */
readings: Array<GaugeReading>, 
/**
 * Rows counted.
 */
rows_used: number, 
/**
 * Rows far off.
 */
outlier_rows: Array<number>, 
/**
 * Rows out of the linkage's reach.
 */
unreachable_rows: Array<number>, 
/**
 * Rows whose gauge looks across the motion.
 */
across_rows: Array<number>, 
/**
 * Rows not used.
 */
refused_rows: Array<RefusedRowShape>, 
/**
 * Whether any weight was taken off again.
 */
unloaded_again: boolean, 
/**
 * Correlations of the fitted unknowns.
 */
correlation: CorrelationDocument, 
/**
 * Causes, the one that explains most first.
 */
causes: Array<WeightsCause>, 
/**
 * Configurations.
 */
configurations: Array<LoadedConfiguration>, 
/**
 * Remarks on the file.
 */
notes: Array<string>, };

/**
 * After the fit of weights.
 */
export type AfterWeights = { 
/**
 * Residuals.
 */
residual_mm: ResidualNumbers, };

/**
 * Whether the prototype is as stiff as the design.
 */
export type WeightsVerdict = { 
/**
 * Whether it is, within the bands.
 */
agrees_within_bands: boolean, 
/**
 * Whether the model explains the readings, so that they are used.
 */
believed: boolean, 
/**
 * Configurations below the predicted range.
 */
below: number, 
/**
 * Configurations above it.
 */
above: number, 
/**
 * Configurations judged.
 */
judged: number, 
/**
 * Unknowns that are off.
 */
off: Array<OffWeight>, 
/**
 * What would explain the stiffness; null where nothing deviates.
 */
cause_of_stiffness: string | null, 
/**
 * Which parts these weights judge, which are taken as designed, and which no weight judges.
 */
scope: string, 
/**
 * The verdict in a sentence.
 */
words: string, };

/**
 * An unknown of the weights that deviates.
 */
export type OffWeight = { 
/**
 * Name with its unit.
 */
name: string, 
/**
 * By how much, in standard errors.
 */
in_standard_errors: number, };

/**
 * An unknown of the weights fitted alone.
 */
export type WeightsCause = { 
/**
 * In words.
 */
cause: string, 
/**
 * Name with its unit.
 */
name: string, 
/**
 * Share of the squares it takes away, 0 to 1.
 */
explains: number, 
/**
 * Its value.
 */
value: number, };

/**
 * What a row of the weights misses after the fit.
 */
export type GaugeResidual = { 
/**
 * Number of the row, from 1.
 */
row: number, 
/**
 * Measured less fitted: along the gauge in x, or all three components.
 */
residual_mm: [number, number, number], };

/**
 * One reading of the gauge.
 */
export type GaugeReading = { 
/**
 * Number of the row, from 1.
 */
row: number, 
/**
 * What hangs, kg.
 */
mass_kg: number, 
/**
 * Along the gauge, or along the pull where all three components were read.
 */
displacement_mm: number, 
/**
 * Direction of the gauge; null where all three components were read.
 */
gauge: [number, number, number] | null, 
/**
 * Put on or taken off.
 */
course: LoadCourse, };

/**
 * Whether weights were being put on or taken off.
 */
export type LoadCourse = "loading" | "unloading";

/**
 * One configuration loaded. It holds the readings of the joints as `NAME_deg` too.
 */
export type LoadedConfiguration = { 
/**
 * What the weight pulls on.
 */
place: string, 
/**
 * Direction of the pull.
 */
pull: [number, number, number], 
/**
 * Direction of the gauge; null where all three components were read.
 */
gauge: [number, number, number] | null, 
/**
 * Its rows in the file.
 */
rows: Array<number>, 
/**
 * Along the gauge.
 */
measured_stiffness_n_per_mm: SeenValue | null, 
/**
 * The design's.
 */
nominal_stiffness_n_per_mm: number | null, 
/**
 * Lower end of the predicted range.
 */
soft_stiffness_n_per_mm: number | null, 
/**
 * Upper end of the predicted range.
 */
stiff_stiffness_n_per_mm: number | null, 
/**
 * Of the fitted model.
 */
fitted_stiffness_n_per_mm: number | null, 
/**
 * Against the band.
 */
standing: StiffnessStanding | null, 
/**
 * Compliance shares of the fitted model.
 */
compliance_shares: EnergyShares | null, 
/**
 * Play as seen here.
 */
play_mm: SeenValue | null, 
/**
 * Width of the friction hysteresis as seen here.
 */
friction_hysteresis_mm: SeenValue | null, };

/**
 * A value with its error.
 */
export type SeenValue = { 
/**
 * Value.
 */
value: number, 
/**
 * One standard error.
 */
standard_error: number, };

/**
 * How a measured stiffness stands to the predicted range.
 */
export type StiffnessStanding = "within" | "below" | "above";

/**
 * `GET /api/files`: the TOML files of the folder, and tables of measurements.
 */
export type Listing = { 
/**
 * SHA-256 of the folder's path: the browser keeps work apart by it.
 */
folder: string, 
/**
 * Sorted by path.
 */
files: Array<Listed>, 
/**
 * Whether there are more files, or more names than were looked at.
 */
more: boolean, };

/**
 * One file of the folder.
 */
export type Listed = { 
/**
 * Path within the folder, with slashes.
 */
path: string, 
/**
 * Bytes.
 */
size: number, 
/**
 * SHA-256 of its bytes; null for a file longer than one of its kind may be, one that
 * cannot be read, and a table that holds no measurements.
 */
sha256: string | null, 
/**
 * What it is.
 */
kind: Kind, };

/**
 * What a file is, by the tables it holds or the columns of its heading.
 */
export type Kind = "brief" | "design" | "points" | "weights" | "other";

/**
 * `GET /api/file?path=`: one file, whole.
 */
export type FileText = { 
/**
 * Path within the folder, with slashes.
 */
path: string, 
/**
 * What it says.
 */
text: string, 
/**
 * SHA-256 of its bytes.
 */
sha256: string, };

/**
 * The body of `POST /api/file/save`.
 */
export type Save = { 
/**
 * Path within the folder, with slashes.
 */
path: string, 
/**
 * What the file is to say.
 */
text: string, 
/**
 * SHA-256 of the file as the page knows it, which alone is replaced; without it nothing
 * is known to be there, and only a new file is made.
 */
expect_sha256?: string, 
/**
 * Files of measurements that the page holds for the design at this path, beside those
 * that lie in its folder.
 */
measured?: Array<string>, 
/**
 * Whether a design that measurements belong to may be replaced; false where it is not
 * given.
 */
replace_measured?: boolean, };

/**
 * `POST /api/file/save`: the file as it is now.
 */
export type Saved = { 
/**
 * Path within the folder, with slashes.
 */
path: string, 
/**
 * SHA-256 of its bytes.
 */
sha256: string, 
/**
 * What a save cut short before had left and was mended, as sentences.
 */
notes: Array<string>, };

/**
 * Event `changed` of `GET /api/watch`: a file that is new, says something else, or is gone.
 */
export type Changed = { 
/**
 * Path within the folder, with slashes.
 */
path: string, 
/**
 * SHA-256 of its bytes; null if it is gone, or too long to be read.
 */
sha256: string | null, };
