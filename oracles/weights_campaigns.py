"""Simulated weights on the tool tip with known compliance, play, friction and gauge noise.

Loads are put on step by step and taken off again in every configuration. Displacement along
the load, from the place before the first weight: C f + p/2 for any force (the play p is taken
up first, half of it to this side), w/2 less while loading and w/2 more while unloading
(friction loop of width w). Everything is invented by a seeded generator.
"""

from __future__ import annotations

import numpy as np

from campaigns import mechanism_rows, readings_of
from physical_linkage import Z, heading

#: Standard gravity, m/s^2 (ISO 80000-3).
GRAVITY = 9.80665
DOWN = np.array([0.0, 0.0, -1.0])


def invented_compliance(nominal, polar=0.05, azimuth=0.09, radial=0.02, coupled=0.015):
    """`compliance(readings)` of a tip that gives way more across than along, mm/N, base frame as world.

    Invented values in the local frame (polar, azimuth, radial), with one coupling.
    """
    linkage = nominal.physical()
    local = np.diag([polar, azimuth, radial])
    local[0, 2] = local[2, 0] = coupled

    def compliance(readings_deg):
        tip = linkage.sensor(np.atleast_2d(readings_deg))[0]
        tip /= np.linalg.norm(tip)
        axes = np.array([-heading(tip, Z), np.cross(tip, -heading(tip, Z)), tip])
        return axes.T @ local @ axes

    return compliance


def displacement(compliance, force, play_mm, friction_mm, unloading):
    """Displacement of the tip from the place without any force, mm (vector).

    `compliance` 3x3 in mm/N, `force` in N, with its size signed along a unit vector: (size,
    pull). Without force there is no play taken up; what friction holds back on unloading stays.
    """
    size, pull = force
    if size == 0.0:
        return 0.5 * friction_mm * pull if unloading else np.zeros(3)
    loop = 0.5 * friction_mm if unloading else -0.5 * friction_mm
    return compliance @ pull * size + (0.5 * play_mm + loop) * pull


def weights_campaign(
    seed,
    nominal,
    compliance,
    configurations=6,
    masses_kg=(0.0, 0.5, 1.0, 1.5, 2.0),
    play_mm=0.0,
    friction_mm=0.0,
    gauge_noise_mm=0.0,
    pulley_share=0.0,
    slanted_gauge=False,
):
    """CSV text of one campaign, and its truth.

    `compliance(readings_deg)` gives the tip's displacement per force in the world, 3x3 in mm/N.
    Weights pull straight down, in `pulley_share` of the configurations over a pulley in any
    level direction. The gauge looks along the pull, or anywhere within 30 deg of it. It reads 0
    before the first weight.
    """
    if masses_kg[0] != 0.0 or list(masses_kg) != sorted(masses_kg):
        raise ValueError("masses must start at 0 and grow")
    random = np.random.default_rng(seed)
    readings = readings_of(nominal, mechanism_rows(random, nominal.kind, max(configurations, 8)))
    readings = readings[np.sort(random.choice(len(readings), configurations, replace=False))]
    steps = [(mass, "loading") for mass in masses_kg] + [(mass, "unloading") for mass in masses_kg[-2::-1]]
    names = [f"{joint}_deg" for joint in nominal.physical().active]
    columns = ["mass_kg", "place", *(f"{what}_{axis}" for what in ("pull", "gauge") for axis in "xyz")]
    lines, matrices = [",".join([*names, *columns, "displacement_mm", "course"])], []
    for number, reading in enumerate(readings):
        pull = DOWN
        if number < round(pulley_share * configurations):
            angle = random.uniform(-np.pi, np.pi)
            pull = np.array([np.cos(angle), np.sin(angle), 0.0])
        gauge = pull
        if slanted_gauge:
            across = np.cross(pull, random.normal(size=3))
            gauge = pull + np.tan(random.uniform(0.0, np.pi / 6.0)) * across / np.linalg.norm(across)
        # rounded as in the file, so that the file holds exactly what was used
        pull, gauge = (np.round(vector / np.linalg.norm(vector), 9) for vector in (pull, gauge))
        matrix = np.asarray(compliance(reading), dtype=float)
        matrices.append(matrix.tolist())
        for mass, course in steps:
            moved = displacement(
                matrix, (mass * GRAVITY, pull), play_mm, friction_mm, course == "unloading"
            )
            shown = gauge @ moved + gauge_noise_mm * random.normal()
            cells = [f"{value:.4f}" for value in reading] + [f"{mass:g}", "tip"]
            cells += [f"{value:.9f}" for value in (*pull, *gauge, shown)] + [course]
            lines.append(",".join(cells))
    truth = {
        "readings_deg": readings.tolist(),
        "compliance_mm_per_n": matrices,
        "play_mm": play_mm,
        "friction_mm": friction_mm,
        "gauge_noise_mm": gauge_noise_mm,
    }
    return "\n".join(lines) + "\n", truth
