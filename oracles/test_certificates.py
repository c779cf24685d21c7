"""What certificates bound, by a plain optimiser that knows no bound.

Run: python -m pytest oracles/test_certificates.py
"""

from __future__ import annotations

from math import radians, sin

import pytest

from best_index import CLASSES, greatest_least_index, least_index

#: The numbers that the tests and the theory of certificates quote for the band of 12 to 80 deg.
QUOTED = {"two-bars": 0.62904, "swing-and-opening": 0.74701, "two-arc-arm": 0.29605}


@pytest.mark.parametrize("kind", CLASSES)
def test_greatest_minimum_lci_of_the_band(kind):
    value, arcs = greatest_least_index(kind, (12.0, 80.0))
    assert value == pytest.approx(QUOTED[kind], abs=6e-6), arcs


def test_the_model_meets_values_of_other_programs():
    """One stage 38/50 deg at 65 deg half-angle points to 57.505687 deg; its index there."""
    near, far, polar = map(radians, (38.0, 50.0, 57.505687))
    offset = sin(near) * sin(radians(65.0))
    # Tangent of the distal half-angle by the sine rule.
    slope = offset / (sin(far) ** 2 - offset**2) ** 0.5
    assert least_index("two-bars", near, far, [polar]) == pytest.approx(min(slope, 1 / slope), abs=1e-7)
    expected = min(slope / 2, 2 / slope)
    assert least_index("swing-and-opening", near, far, [polar]) == pytest.approx(expected, abs=1e-7)
