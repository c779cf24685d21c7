"""Invented nominal linkages for simulated campaigns, and what a real one may differ from them.

Angles in degrees and lengths in millimetres throughout, as in the design file, so that the
file holds exactly what the oracle uses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkage_geometry import NoClosure, ScissorLinkage, polar_and_azimuth
from physical_linkage import PhysicalArm, PhysicalScissor

#: Working range of the campaigns, deg.
OPENING_RANGE = (40.0, 150.0)
SWING_RANGE = (-155.0, 155.0)
BASE_RANGE = (-180.0, 180.0)
ELBOW_RANGE = (30.0, 150.0)
#: Sizes of the errors of a real linkage, uniform to either side; invented, typical of printed parts.
ERROR_SIZES = {
    "first_arc_deg": 0.3,
    "second_arc_deg": 0.3,
    "bend_deg": 0.3,
    "zero_deg": 1.0,
    "scale": 0.002,
    "tilt_x_deg": 0.3,
    "tilt_y_deg": 0.3,
    "offset_mm": 0.3,
    "offset_x_mm": 0.3,
    "offset_y_mm": 0.3,
    "radius_mm": 1.0,
    "along_mm": 0.5,
    "across_mm": 0.5,
}
#: Backlash lies between nothing and this, deg.
BACKLASH = 0.2
#: Kept by every stage of a drawn scissor linkage from its singularities, deg of distal half-angle.
MARGIN = 12.0


@dataclass
class Nominal:
    """A design as its file says it: a scissor linkage, or a two-arc arm."""

    kind: str
    arcs: list[float] | None = None
    proximal_arcs: list[float] | None = None
    distal_arcs: list[float] | None = None
    bends: list[float] | None = None
    layout: str = "two-bars"
    carried_by: str = "left"
    bracket_arc: float = 0.0
    joint_radius: float = 150.0
    tip_radius: float = 150.0
    ratio: tuple[float, float] = (1.0, 1.0)

    @property
    def stages(self):
        """Number of stages; 0 for an arm."""
        return len(self.proximal_arcs or [])

    def physical(self):
        """The linkage with every parameter at its nominal value."""
        shared = {"ratio": self.ratio, "bracket_arc_deg": self.bracket_arc}
        if self.kind == "arm":
            linkage = PhysicalArm(**shared)
        else:
            linkage = PhysicalScissor(
                layout=self.layout, stages=self.stages, carried_by=self.carried_by, **shared
            )
        linkage.parameters = {name: self.nominal(name) for name in linkage.names()}
        return linkage

    def nominal(self, name):
        """Nominal value of the parameter `name`."""
        body, what = name.split(".")
        if what == "scale":
            return 1.0
        if what == "radius_mm":
            return self.tip_radius
        if body in ("first-arc", "second-arc"):
            return self.arcs[body == "second-arc"]
        if body.startswith("base-"):
            return self.proximal_arcs[0]
        if body.startswith("bar-"):
            stage = int(body.rsplit("-", 1)[1])
            return {
                "first_arc_deg": self.distal_arcs,
                "second_arc_deg": self.proximal_arcs[1:],
                "bend_deg": self.bends,
            }[what][stage - 1]
        return 0.0

    def design_file(self):
        """The design as TOML text."""
        if self.kind == "arm":
            family = f'family = "two-arc-arm"\narcs_deg = {self.arcs}'
            drives, carrier = f"range_deg = {{ base = {list(BASE_RANGE)} }}", ""
        else:
            family = (
                f'family = "scissor-linkage"\nproximal_arcs_deg = {self.proximal_arcs}\n'
                f"distal_arcs_deg = {self.distal_arcs}\nbends_deg = {self.bends}"
            )
            ranges = f"{{ swing = {list(SWING_RANGE)}, opening = {list(OPENING_RANGE)} }}"
            drives = f'layout = "{self.layout}"\nrange_deg = {ranges}'
            carrier = f'carried_by = "{self.carried_by}"\n'
        if self.bracket_arc:
            carrier += f"bracket_arc_deg = {self.bracket_arc}\n"
        return f"""# Invented for a simulated measuring campaign.
title = "simulated campaign"

[linkage]
{family}
joint_radius_mm = {self.joint_radius}

[section]
shape = "rectangle"
tangential_mm = 12.0
radial_mm = 6.0

[material]
name = "aluminium 6061-T6"

[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 300.0

[drives]
{drives}
ratio = {list(self.ratio)}

[tool]
{carrier}tip_radius_mm = {self.tip_radius}
"""


def keeps_margin(nominal):
    """Whether a scissor linkage closes over the whole opening range, away from singularities."""
    angles = (nominal.proximal_arcs, nominal.distal_arcs, nominal.bends)
    geometry = ScissorLinkage(*(np.radians(values).tolist() for values in angles))
    for opening in np.radians(np.linspace(*OPENING_RANGE, 12)):
        try:
            half_angles = np.degrees(geometry.half_angles(opening))
        except NoClosure:
            return False
        polar, _ = polar_and_azimuth(geometry.configuration(0.0, opening).tool_direction)
        if half_angles.min() < MARGIN or half_angles[:, 1].max() > 90.0 - MARGIN:
            return False
        if not 10.0 < np.degrees(polar) < 150.0:
            return False
    return True


def drawn_nominal(random, kind="scissor", layout="two-bars", stages=2, carried_by="left", **changes):
    """A nominal design with arcs, bends and tip radius drawn anew until it keeps its margins."""
    sizes = {"tip_radius": float(np.round(random.uniform(120.0, 180.0)))} | changes
    if kind == "arm":
        return Nominal("arm", arcs=np.round(random.uniform(35.0, 70.0, 2), 1).tolist(), **sizes)
    if kind != "scissor":
        raise ValueError(f"kind is {kind!r}; allowed are 'scissor' and 'arm'")
    while True:
        proximal = np.round(random.uniform(0.9, 1.1, stages) * 44.0 / stages, 1)
        distal = np.round(proximal * random.uniform(1.0, 1.15, stages), 1)
        bends = np.round(random.uniform(-6.0, 10.0, stages - 1), 1)
        lists = (values.tolist() for values in (proximal, distal, bends))
        nominal = Nominal("scissor", None, *lists, layout=layout, carried_by=carried_by, **sizes)
        if keeps_margin(nominal):
            return nominal


def drawn_errors(random, linkage, size=1.0):
    """True parameters: the nominal ones with errors of realistic sizes times `size`."""
    true = {}
    for name, value in linkage.parameters.items():
        what = name.split(".")[1]
        if what == "backlash_deg":
            true[name] = float(size * random.uniform(0.0, BACKLASH))
        else:
            true[name] = float(value + size * ERROR_SIZES[what] * random.uniform(-1.0, 1.0))
    return true
