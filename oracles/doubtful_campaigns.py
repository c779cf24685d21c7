"""Simulated measuring campaigns that give a fit every reason to doubt: several faults at once,
drift, narrow ranges, outliers, and shifts that no parameter of a linkage describes.

What a workshop leaves within tolerance is off in every parameter of every campaign, whether the
points can tell it or not. Everything is invented by seeded generators; truth comes from
`physical_linkage` alone. The swing's or base's zero is 0, as it and the tracker's unknown
rotation are one: what is found can be held against the truth one by one.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.spatial.transform import Rotation

from campaigns import OUTLIER_SIZES, TRACKER_DISTANCE, near, points_file, readings_of, with_repeats
from fit_bound import bound, information
from nominal_linkage import BASE_RANGE, ELBOW_RANGE, OPENING_RANGE, SWING_RANGE, Nominal, drawn_nominal
from physical_linkage import NoClosure, PhysicalLinkage

#: Workshop tolerance of each parameter by the last word of its name: within it a part is good.
TOLERANCES = {
    "zero_deg": 0.5,
    "scale": 1e-3,
    "backlash_deg": 0.1,
    "first_arc_deg": 0.2,
    "second_arc_deg": 0.2,
    "bend_deg": 0.2,
    "tilt_x_deg": 0.2,
    "tilt_y_deg": 0.2,
    "offset_mm": 0.3,
    "offset_x_mm": 0.3,
    "offset_y_mm": 0.3,
    "radius_mm": 1.0,
    "along_mm": 1.0,
    "across_mm": 1.0,
}
#: A fault's size in tolerances.
FAULT_SIZES = (3.0, 10.0)
#: Standard deviation, in tolerances, of what a part that may be faulty is off.
FAULTY_SPREAD = 4.0
#: Widths of a narrow campaign, deg: of swing or base, and of opening or elbow.
NARROW = (40.0, 25.0)
#: Share of the rows that a displaced block takes.
BLOCK = (0.1, 0.3)
SHIFTS = ("encoder", "sag", "block")
LINKAGES = [
    ("scissor", layout, stages) for layout in ("two-bars", "swing-and-opening") for stages in (1, 2, 3)
] + [("arm", "two-bars", 0)]


def part_of(name):
    """The part that a parameter belongs to, as a verdict names it."""
    body, what = name.split(".")
    if body in ("sensor", "axis"):
        return {"sensor": "sensor", "axis": "base axes"}[body]
    kind = what.removesuffix("_deg")
    return f"{kind} of {body}" if kind in ("zero", "scale", "backlash") else body


def tolerance(name):
    """Workshop tolerance of a parameter, in its unit."""
    return TOLERANCES[name.split(".")[1]]


def spreads_of(names, faulty_parts=()):
    """Standard deviation of the prior of each parameter; those of parts known faulty are wide."""
    return {
        name: tolerance(name) * (FAULTY_SPREAD if part_of(name) in faulty_parts else 1.0) for name in names
    }


@dataclass
class DoubtfulCampaign:
    """Files of a campaign, how it was drawn, and what is true."""

    nominal: Nominal
    design: str
    points: str
    #: what it was drawn with
    options: dict
    #: the true linkage, and the readings as in the file, deg
    linkage: PhysicalLinkage
    readings: np.ndarray
    #: design's value of every parameter
    designed: dict
    #: names of the parameters that are beyond tolerance
    faulty: list
    rotation: np.ndarray
    translation_mm: np.ndarray
    #: places in the tracker's frame without noise, drift or shifts, and these last two
    places_mm: np.ndarray
    shifts_mm: np.ndarray
    noise_mm: float
    #: rows far off, 0 = first
    outlier_rows: list
    #: parameters that a user asks the fit to hold at the design's values
    held: list = field(default_factory=list)

    @property
    def faulty_parts(self):
        """The parts that are faulty."""
        return sorted({part_of(name) for name in self.faulty})

    @property
    def unknown(self):
        """Names of all parameters but the zero that no campaign tells."""
        return [name for name in self.designed if name != unseen_zero(self.linkage)]

    @property
    def good_rows(self):
        """Rows that are no outliers."""
        return np.setdiff1d(np.arange(len(self.readings)), self.outlier_rows)

    def bound(self):
        """Least standard error of every unknown parameter, priors counted, faulty parts known."""
        told = information(self.linkage, self.readings, self.noise_mm, self.unknown, self.good_rows)
        return bound(told, spreads_of(self.unknown, self.faulty_parts))


# ---------------------------------------------------------------- the linkage


def unseen_zero(linkage):
    """Name of the zero that the tracker's rotation takes up."""
    return f"{linkage.mechanism[0]}.zero_deg"


def within_tolerance(random, name):
    """An error that a workshop leaves: normal, half a tolerance as deviation, cut at tolerance.

    Where the sensor sits is nobody's tolerance: a whole one as deviation, cut at two.
    """
    size, limit = (1.0, 2.0) if part_of(name) == "sensor" else (0.5, 1.0)
    while True:
        error = size * random.normal()
        if abs(error) <= limit:
            return tolerance(name) * (abs(error) if name.endswith("backlash_deg") else error)


def faults_drawn(random, names, count, least):
    """`count` parameters of different parts and how far each is beyond the design.

    `least`: size below which a parameter's fault is not drawn; one that would have to be greater
    than the greatest fault is left out.
    """
    by_part = {}
    for name in names:
        if part_of(name) != "sensor" and least[name] < FAULT_SIZES[1] * tolerance(name):
            by_part.setdefault(part_of(name), []).append(name)
    parts = random.choice(sorted(by_part), min(count, len(by_part)), replace=False)
    faults = {}
    for part in parts:
        name = by_part[part][random.integers(len(by_part[part]))]
        smallest = max(FAULT_SIZES[0], least[name] / tolerance(name))
        size = random.uniform(smallest, FAULT_SIZES[1]) * tolerance(name)
        faults[name] = float(size if name.endswith("backlash_deg") else size * random.choice([-1.0, 1.0]))
    return faults


# ---------------------------------------------------------------- the rows


def mechanism_rows(random, kind, count, order, narrow):
    """Mechanism angles in the order of measuring, deg.

    "raster": to and fro at rising, then falling levels; "random": the same rows in any order.
    """
    ranges = (BASE_RANGE, ELBOW_RANGE) if kind == "arm" else (SWING_RANGE, OPENING_RANGE)
    if narrow:
        starts = [random.uniform(low, high - width) for (low, high), width in zip(ranges, NARROW, strict=True)]
        ranges = [(start, start + width) for start, width in zip(starts, NARROW, strict=True)]
    (fast_range, slow_range), sweeps = ranges, max(2, round(np.sqrt(count / 2.0)))
    levels = np.linspace(*slow_range, sweeps)
    levels = np.concatenate([levels[::2], levels[1::2][::-1]])
    jitter = [0.5 * np.ptp(slow_range) / sweeps, 0.2 * np.ptp(fast_range) * sweeps / count]
    rows = []
    for number, steps in enumerate(np.array_split(np.arange(count), sweeps)):
        fast = np.linspace(*fast_range, len(steps))[:: -1 if number % 2 else 1]
        slow = near(random, np.full(len(steps), levels[number]), jitter[0], slow_range)
        if kind == "arm" and not narrow and number % 4 in (1, 2):  # beyond the stretched position
            slow = -slow
        rows.append(np.column_stack([near(random, fast, jitter[1], fast_range), slow]))
    rows = np.concatenate(rows)
    return rows if order == "raster" else random.permutation(rows)


def with_returns(readings):
    """The first row's readings again in the middle and at the end, and each row's group."""
    middle = len(readings) // 2
    first = readings[:1]
    rows = np.concatenate([readings[:middle], first, readings[middle:], first])
    groups = [""] * len(rows)
    for row in (0, middle, len(rows) - 1):
        groups[row] = "return"
    return rows, groups


def rows_measured(random, nominal, rows, order, narrow, repeats):
    """Readings and groups: `repeats` is "", "scattered", "standing" or "returned"."""
    alone = rows - {"": 0, "returned": 2}.get(repeats, 12)
    readings = readings_of(nominal, mechanism_rows(random, nominal.kind, alone, order, narrow))
    if repeats == "returned":
        return with_returns(readings)
    return with_repeats(random, readings, 0 if repeats == "" else 3, repeats == "standing")


# ---------------------------------------------------------------- what no parameter describes


def direction_drawn(random):
    """A random direction."""
    direction = random.normal(size=3)
    return direction / np.linalg.norm(direction)


def drifted(random, rows, drift, wandering):
    """A tracker's drift in units of the noise: `drift` is gone along a line in 100 rows, and
    `wandering` in any direction, by chance from row to row (root mean square after 100 rows)."""
    line = np.arange(rows)[:, None] / 100.0 * drift * direction_drawn(random)
    steps = random.normal(size=(rows, 3)) * wandering / np.sqrt(300.0)
    steps[0] = 0.0
    return line + np.cumsum(steps, axis=0)


def shifted(random, shift, linkage, readings):
    """A shift of every place that no parameter describes; the greatest has length 1.

    "encoder": the disc of one joint's encoder runs out of true, its reading is wrong once per turn.
    "sag": along the meridian and outward, by azimuth, once or twice a turn.
    "block": some rows in a sequence are displaced, as after a knock that was put right.
    """
    places = linkage.sensor(readings)
    if shift == "encoder":
        joint, phase = random.integers(2), random.uniform(0.0, 2.0 * np.pi)
        wrong = np.array(readings)
        wrong[:, joint] += 1e-4 * np.sin(np.radians(readings[:, joint]) + phase)
        moved = linkage.sensor(wrong) - places
    elif shift == "sag":
        outward = places / np.linalg.norm(places, axis=1, keepdims=True)
        across = np.cross([0.0, 0.0, 1.0], outward)
        meridian = np.cross(across / np.linalg.norm(across, axis=1, keepdims=True), outward)
        azimuth = np.arctan2(places[:, 1], places[:, 0])
        wave = np.cos(random.integers(1, 3) * azimuth + random.uniform(0.0, 2.0 * np.pi))
        moved = wave[:, None] * (meridian * random.normal() + outward * random.normal())
    elif shift == "block":
        length = round(random.uniform(*BLOCK) * len(places))
        start = random.integers(1, len(places) - length)
        moved = np.zeros_like(places)
        moved[start : start + length] = direction_drawn(random)
    else:
        raise ValueError(f"shift is {shift!r}; allowed are {', '.join(map(repr, SHIFTS))}")
    return moved / np.linalg.norm(moved, axis=1).max()


# ---------------------------------------------------------------- the campaign


def doubtful_campaign(
    seed,
    kind="scissor",
    layout="two-bars",
    stages=2,
    *,
    faults=0,
    errors_min=0.0,
    planted=None,
    rows=100,
    noise_mm=0.1,
    order="raster",
    narrow=False,
    repeats="",
    outlier_share=0.0,
    drift=0.0,
    wandering=0.0,
    shift=None,
    shift_size=0.0,
    held=0,
):
    """One campaign; drift, wandering and the greatest shift in standard deviations of the noise.

    `faults`: parts that are faulty, each in one parameter, by FAULT_SIZES and at least
    `errors_min` times the least standard error that the campaign allows. `planted`: errors of
    named parameters, instead of what was drawn; nothing else changes by them. `held`: how many
    parameters a user asks to be held at the design's values.
    """
    options = {name: value for name, value in locals().items() if name != "planted"}
    for attempt in range(20):
        # Each thing has a generator of its own: one option does not change what others draw.
        streams = [np.random.default_rng([seed, attempt, number]) for number in range(10)]
        nominal = drawn_nominal(streams[0], kind, layout, stages)
        linkage = nominal.physical()
        designed = dict(linkage.parameters)
        unknown = [name for name in designed if name != unseen_zero(linkage)]
        linkage.parameters |= {n: designed[n] + within_tolerance(streams[1], n) for n in unknown}
        readings, groups = rows_measured(streams[2], nominal, rows, order, narrow, repeats)
        outliers = np.sort(streams[7].choice(rows, round(outlier_share * rows), replace=False))
        try:
            least = dict.fromkeys(unknown, 0.0)
            if errors_min > 0.0:
                good = np.setdiff1d(np.arange(rows), outliers)
                told = information(linkage, readings, noise_mm, unknown, good)
                for name in unknown:
                    least[name] = errors_min * bound(told, spreads_of(unknown, [part_of(name)]))[name]
            errors = faults_drawn(streams[3], unknown, faults, least) if faults else {}
            errors |= planted or {}
            linkage.parameters |= {name: designed[name] + error for name, error in errors.items()}
            in_base = linkage.sensor(readings)
            shifts = noise_mm * drifted(streams[4], rows, drift, wandering)
            if shift:
                moved = shifted(streams[5], shift, linkage, readings)
                shifts = shifts + shift_size * noise_mm * moved
            break
        except NoClosure:
            continue
    else:
        raise ValueError(f"seed {seed}: no linkage closes with its faults in 20 attempts")
    rotation = Rotation.random(rng=streams[6]).as_matrix()
    translation = TRACKER_DISTANCE * streams[6].uniform() ** (1.0 / 3.0) * direction_drawn(streams[6])
    places, shifts = in_base @ rotation.T + translation, shifts @ rotation.T
    measured = places + shifts + noise_mm * streams[8].normal(size=places.shape)
    for row in outliers:
        measured[row] += noise_mm * streams[7].uniform(*OUTLIER_SIZES) * direction_drawn(streams[7])
    beyond = [n for n in unknown if abs(linkage.parameters[n] - designed[n]) > tolerance(n) * (1.0 + 1e-9)]
    free = [name for name in unknown if name not in beyond and part_of(name) != "sensor"]
    return DoubtfulCampaign(
        nominal=nominal,
        design=nominal.design_file(),
        points=points_file(linkage.active, readings, measured, groups),
        options=options,
        linkage=linkage,
        readings=readings,
        designed=designed,
        faulty=[name for name in beyond if part_of(name) != "sensor"],
        rotation=rotation,
        translation_mm=translation,
        places_mm=places,
        shifts_mm=shifts,
        noise_mm=noise_mm,
        outlier_rows=outliers.tolist(),
        held=sorted(streams[9].choice(free, held, replace=False).tolist()) if held else [],
    )
