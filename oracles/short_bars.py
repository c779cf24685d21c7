"""Random short bars between two bosses as solids, against the arc element with rigid zones.

Derived: the extreme eigenvalues of one 6 x 6 compliance over the other are the most that any
load can make of their difference. `python oracles/short_bars.py 48` prints 48 random bars with
three lengths each; the ranges in `crates/calotte/src/elasticity/short_bars.rs` hold the
extremes of 100 of them, rounded outwards.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh

from curved_beam import arc_compliance
from solid_links import Boss, Bricks, Link, bossed_arc_compliance

ALUMINIUM = {"modulus": 68900.0, "poisson_ratio": 0.33}


@dataclass(frozen=True)
class ShortBar:
    """A bar between two bosses, mm; `ratio` is free length over the larger section size."""

    link: Link
    boss: Boss
    ratio: float

    def stiffness_factors(self):
        """Least and greatest stiffness of the solid over that of the element."""
        size = max(self.link.tangential, self.link.radial)
        along = max(10, round(8.0 * self.link.arc * self.link.radius / size))
        solid, _ = bossed_arc_compliance(self.link, self.boss, Bricks(along, 3, 2, 8, 2))
        element = arc_compliance(self.link, self.boss.rigid_zone(self.link))
        softer = eigh(0.5 * (solid + solid.T), 0.5 * (element + element.T), eigvals_only=True)
        return 1.0 / softer[-1], 1.0 / softer[0]


def random_bars(count, seed=5):
    """Bars whose bosses do not run into one another, three lengths of each section."""
    random = np.random.default_rng(seed)
    for _ in range(count):
        radius = random.uniform(90.0, 180.0)
        tangential, radial = random.uniform(6.0, 20.0), random.uniform(4.0, 14.0)
        diameter = tangential * random.uniform(1.1, 1.8)
        boss = Boss(diameter, random.uniform(0.25, 0.8) * diameter, radial * random.uniform(1.0, 2.2))
        zone = boss.rigid_zone(Link(radius, 1.0, tangential, radial, **ALUMINIUM))
        for ratio in random.uniform(0.4, 4.0, 3):
            arc = (ratio * max(tangential, radial) + 2.0 * zone) / radius
            if 1.15 * diameter <= arc * radius <= 2.0 * radius:
                yield ShortBar(Link(radius, arc, tangential, radial, **ALUMINIUM), boss, ratio)


if __name__ == "__main__":
    for bar in random_bars(int(sys.argv[1])):
        low, high = bar.stiffness_factors()
        print(f"ratio {bar.ratio:.2f}: {low:.3f} to {high:.3f}  {bar.boss}", flush=True)
