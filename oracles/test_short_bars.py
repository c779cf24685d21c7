"""Short bars: the range that the program takes for their stiffness holds solids of them.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_short_bars.py
"""

from __future__ import annotations

from math import pi

import pytest

from program import analysis_of
from short_bars import random_bars

KEY = "linkage.short_bar_stiffness_factor"
BARS = list(random_bars(4, seed=11))
DESIGN = """[linkage]
family = "scissor-linkage"
proximal_arcs_deg = [45]
distal_arcs_deg = [45]
joint_radius_mm = 150
[section]
shape = "rectangle"
tangential_mm = {size}
radial_mm = 6
[material]
name = "aluminium 6061-T6"
[joints]
axial_n_per_m = 3e6
radial_n_per_m = 6e6
tilt_nm_per_rad = 300
"""


def range_of(folder, ratio):
    """What the program takes for bars of this ratio of free length to section size."""
    size = 150.0 * pi / 4.0 / ratio
    (folder / "design.toml").write_text(DESIGN.format(size=size))
    found = analysis_of(folder / "design.toml")
    ends = [
        value["value"]
        for row in found["requirements"]
        for end in row.get("band_inputs") or []
        for value in end
        if value["key"] == KEY
    ]
    return min(ends, default=1.0), max(ends, default=1.0)


@pytest.mark.parametrize("index", range(len(BARS)))
def test_the_range_holds_a_random_solid(tmp_path, index):
    """Every load on the solid is met by the element with a factor within the range."""
    bar = BARS[index]
    low, high = bar.stiffness_factors()
    taken = range_of(tmp_path, bar.ratio)
    assert taken[0] <= low <= 1.3 and 0.7 <= high <= taken[1], (bar, low, high, taken)


@pytest.mark.parametrize(("ratio", "short"), [(3.9, True), (4.1, False)])
def test_only_short_bars_have_a_range(tmp_path, ratio, short):
    """Four times the section is where beam theory is trusted again."""
    assert (range_of(tmp_path, ratio) != (1.0, 1.0)) == short
