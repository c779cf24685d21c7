"""Writes the invented bench campaign of `examples/head-dome/bench`: a prototype of the shipped
head arm with simulated faults, measured by a tracker and loaded with weights.

Points come from the campaigns' own trigonometry. Displacements under weights come from the
compliance that the program gives for a design with a really softer material (the program fits
factors; here the material itself is changed), with play and friction added here.

`CALOTTE_BIN=… python oracles/bench_example.py examples/head-dome/bench`
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from campaigns import campaign
from nominal_linkage import Nominal
from physical_linkage import Z, heading
from program import configuration_of
from weights_campaigns import weights_campaign

#: What is planted, beside noise of 0.05 mm on points and 0.001 mm on the gauge.
POINTS = {"base-left.first_arc_deg": 0.5, "swing.backlash_deg": 0.3}
SOFTER = 0.6
PLAY_MM, FRICTION_MM = 0.08, 0.03
#: Invented, as everything here.
REMARK = """# Demo data, invented: a prototype of the head arm with simulated faults. Nobody measured this.
"""


def nominal_arm():
    """The head arm as the shipped brief has it chosen."""
    return Nominal(
        "scissor",
        None,
        [21.5, 21.5],
        [21.5, 21.5],
        [0.0],
        layout="swing-and-opening",
        joint_radius=140.0,
        tip_radius=100.0,
    )


def compliance_of(folder, design):
    """`compliance(readings_deg)` of the tip in the world, mm/N, by the program for a design."""

    def compliance(readings):
        found = configuration_of(folder / "softer.toml", design, np.radians(readings))
        local = np.array(found["compliance"])[:3, :3] * 1e3
        polar, azimuth = (np.radians(found["direction_deg"][name]) for name in ("polar", "azimuth"))
        tip = np.array(
            [np.sin(polar) * np.cos(azimuth), np.sin(polar) * np.sin(azimuth), np.cos(polar)]
        )
        along_polar = -heading(tip, Z)
        axes = np.array([along_polar, np.cross(tip, along_polar), tip])
        return axes.T @ local @ axes

    return compliance


def bench(folder, design):
    """Texts of points and weights for the design's text, and the planted values."""
    nominal = nominal_arm()
    parameters = dict(nominal.physical().parameters)
    for name, error in POINTS.items():
        parameters[name] += error
    made = campaign(
        20261128,
        rows=60,
        noise_mm=0.05,
        repeats=3,
        outlier_share=0.03,
        nominal=nominal,
        parameters=parameters,
    )
    value = "value = 68.9, from = 68.9, to = 69.5"
    assert value in design
    softer = design.replace(value, f"value = {68.9 * SOFTER}, from = {68.9 * SOFTER}, to = 69.5")
    softer = softer.replace("value = 26, from = 26", f"value = {26 * SOFTER}, from = {26 * SOFTER}")
    weights, _ = weights_campaign(
        20261128,
        nominal,
        compliance_of(folder, softer),
        configurations=8,
        masses_kg=(0.0, 1.0, 2.0, 3.0, 4.0),
        play_mm=PLAY_MM,
        friction_mm=FRICTION_MM,
        gauge_noise_mm=0.001,
        pulley_share=0.5,
    )
    return REMARK + made.points, REMARK + weights, made.truth


#: The second campaign, `examples/head-dome/bench-two-faults`: two causes at once, without weights.
TWO_FAULTS = {"bar-left-1.first_arc_deg": 1.6, "opening.scale": -0.012}


def two_faults():
    """Text of the points of the second campaign, and what is true."""
    nominal = nominal_arm()
    parameters = dict(nominal.physical().parameters)
    for name, error in TWO_FAULTS.items():
        parameters[name] += error
    made = campaign(
        20261131,
        rows=80,
        noise_mm=0.04,
        repeats=4,
        outlier_share=0.02,
        nominal=nominal,
        parameters=parameters,
    )
    return REMARK + made.points, made.truth


def main():
    """Writes the files beside the design that lies in the folder, and the second campaign."""
    folder = Path(sys.argv[1])
    design = (folder / "design.toml").read_text(encoding="utf-8")
    points, weights, truth = bench(folder, design)
    (folder / "points.csv").write_text(points, encoding="utf-8")
    (folder / "weights.csv").write_text(weights, encoding="utf-8")
    (folder / "softer.toml").unlink()
    second = folder.parent / "bench-two-faults"
    second.mkdir(exist_ok=True)
    (second / "design.toml").write_text(design, encoding="utf-8")
    (second / "points.csv").write_text(two_faults()[0], encoding="utf-8")
    print("planted:", POINTS, SOFTER, PLAY_MM, FRICTION_MM, "outliers", [r + 1 for r in truth["outlier_rows"]])


if __name__ == "__main__":
    main()
