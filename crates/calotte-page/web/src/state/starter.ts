/** A design to begin with where the folder has none. Invented; no device stands behind it. */
export const STARTER = `
title = "New linkage"
linkage = { family = "scissor-linkage", proximal_arcs_deg = [24, 24], distal_arcs_deg = [24, 24], bends_deg = [0], joint_radius_mm = 150 }
section = { shape = "rectangle", tangential_mm = 12, radial_mm = 8 }
material = { name = "aluminium 6061-T6" }
joints = { axial_n_per_m = 3e6, radial_n_per_m = 6e6, tilt_nm_per_rad = 300, boss_diameter_mm = 14 }
drives = { layout = "two-bars" }
tool = { carried_by = "bisector", tip_radius_mm = 110, mass_kg = 0.5, centre_of_mass_radius_mm = 160 }
`;
