"""What the next prototype must be, worked out apart from calotte: which angles a kept part
brings, where a design works, how far a real linkage points from it, how stiff it is to a pull.

Directions come from `physical_linkage.py` (rigid bars by trigonometry), stiffness from the
straight-segment frame of `frame_model.py`. Angles in degrees, lengths in mm unless named.
"""

from __future__ import annotations

import tomllib

import numpy as np

from bar_section import Material, rectangle
from frame_model import JointStiffness, extrapolated, frame_of
from linkage_geometry import ScissorLinkage, TwoArcArm
from nominal_linkage import Nominal
from own_frame import tip_compliance_by_own_frame
from physical_linkage import NoClosure, heading

#: Margins without a brief, as docs/reference/files.md says at `transmission_angle_min_deg`.
MARGINS_WITHOUT_BRIEF = {"lci_min": 0.0, "transmission_angle_min_deg": 20.0}
#: Distance of the samples between which the ends of ranges are looked for, deg.
SAMPLE_STEP = 0.5
#: Step of the differences for the conditioning index, rad; they are of sixth order, so that
#: 4e-3 leaves about 1e-11 of truncation and 1e-13 of round-off.
DIFFERENCE_STEP = 4e-3
#: Where the pointing error is looked at: steps of the first and the second mechanism angle, deg.
STEPS = (15.0, 5.0)


def read_design(path):
    """A design file as a dictionary."""
    return tomllib.loads(path.read_text(encoding="utf-8"))


def nominal_of(design):
    """The linkage that a design file says."""
    linkage, drives, tool = design["linkage"], design["drives"], design["tool"]
    shared = {
        "bracket_arc": tool.get("bracket_arc_deg", 0.0),
        "joint_radius": linkage["joint_radius_mm"],
        "tip_radius": tool["tip_radius_mm"],
        "ratio": tuple(drives.get("ratio", (1.0, 1.0))),
    }
    if linkage["family"] == "two-arc-arm":
        return Nominal("arm", arcs=linkage["arcs_deg"], **shared)
    lists = (linkage[f"{name}_deg"] for name in ("proximal_arcs", "distal_arcs"))
    bends = linkage.get("bends_deg", [])
    layout = drives.get("layout", "two-bars")
    return Nominal(
        "scissor", None, *lists, bends, layout=layout, carried_by=tool.get("carried_by", "left"), **shared
    )


def designed_of(design):
    """The physical linkage that a design file says, bars of their own included."""
    linkage = nominal_of(design).physical()
    for bar in design["linkage"].get("bar", []):
        for key, value in bar.items():
            if key != "name":
                linkage.parameters[f"{bar['name']}.{key}"] = value
    return linkage


# ---------------------------------------------------------------- angles that kept parts bring


def fitted_values(fit):
    """Value of every parameter of a fit by name."""
    return {one["name"]: one["value"] for one in fit["parameters"]}


def mean_of_sides(values, bar, what):
    """Mean of left and right of one quantity: `bar` is "base", or the number of a bar from 1."""
    names = ["base-left", "base-right"] if bar == "base" else [f"bar-{s}-{bar}" for s in ("left", "right")]
    return 0.5 * sum(values[f"{name}.{what}_deg"] for name in names)


def kept_angles(values, stages, base, bars):
    """`{(key of the design file, place): angle}` that the kept parts of a scissor linkage bring.

    Bar i is the pair that runs from stage i over its apex into stage i + 1.
    """
    angles = {("proximal_arcs_deg", 0): mean_of_sides(values, "base", "first_arc")} if base else {}
    for bar in bars:
        angles["distal_arcs_deg", bar - 1] = mean_of_sides(values, bar, "first_arc")
        if bar < stages:
            angles["bends_deg", bar - 1] = mean_of_sides(values, bar, "bend")
            angles["proximal_arcs_deg", bar] = mean_of_sides(values, bar, "second_arc")
    return angles


def kept_arm_angles(values, base, bars):
    """The same of a two-arc arm: its base holds the first arc, bar 1 is the second arc."""
    angles = {("arcs_deg", 0): values["first-arc.first_arc_deg"]} if base else {}
    if 1 in bars:
        angles["arcs_deg", 1] = values["second-arc.first_arc_deg"]
    return angles


def kept_bodies(family, base, bars):
    """Names of the bodies kept, from the base outward."""
    if family == "two-arc-arm":
        return ["first-arc"] * base + ["second-arc"] * (1 in bars)
    return ["base-left", "base-right"] * base + [f"bar-{s}-{bar}" for bar in bars for s in ("left", "right")]


def as_it_will_be(nominal, values, base, bars):
    """The next linkage with kept parts as they are and all others as designed.

    With the base stay zeros, scales and base axes; backlash is left out, as readings are taken
    from neither side; the sensor is not the tool.
    """
    linkage = nominal.physical()
    family = "two-arc-arm" if nominal.kind == "arm" else "scissor-linkage"
    bodies = kept_bodies(family, base, bars)
    for name in linkage.parameters:
        body, what = name.split(".")
        ground = base and (what in ("zero_deg", "scale") or body == "axis")
        if name in values and (body in bodies or ground):
            linkage.parameters[name] = values[name]
    return linkage


def as_found(nominal, values):
    """The prototype as it was found, without backlash; the place on the tool's own line at the
    radius of the sensor is meant, which is seen from the centre where base axes miss it."""
    linkage = nominal.physical()
    for name in linkage.parameters:
        if not name.endswith("backlash_deg") and name not in ("sensor.along_mm", "sensor.across_mm"):
            linkage.parameters[name] = values[name]
    return linkage


# ---------------------------------------------------------------- where a design works


def readings_of(linkage, mechanism_deg):
    """Readings, one row each, of an ideal linkage at mechanism angles."""
    first, second = np.asarray(mechanism_deg, dtype=float).T
    if linkage.active == ("left", "right"):
        first, second = first + 0.5 * second, first - 0.5 * second
    return np.column_stack([first, second]) * linkage.ratio


def directions(linkage, readings):
    """Tool directions, one row each."""
    places = linkage.sensor(readings)
    return places / np.linalg.norm(places, axis=1, keepdims=True)


def transmission_sines(linkage, second_deg):
    """sin of the angle between the two bars at every apex of a scissor linkage, inner to outer."""
    places = linkage.stations(np.zeros(1), np.radians([second_deg]), (0.0, 0.0))
    sines = []
    for stage in range(1, linkage.stages + 1):
        apex = places[f"apex-{stage}"]
        left, right = (heading(apex, places[f"{side}-{stage}"]) for side in ("left", "right"))
        sines.append(float(np.sum(np.cross(left, right) * apex)))
    return sines


def state(linkage, second_deg):
    """LCI, sines at the apexes, and signed polar angle (rad) with its slope; `None` without closure."""
    h = DIFFERENCE_STEP
    ratio = np.abs(linkage.ratio)
    active = np.radians(readings_of(linkage, [[0.0, second_deg]])[0])
    shifts = [n * h * ratio[joint] * np.eye(2)[joint] for joint in (0, 1) for n in (-3, -2, -1, 1, 2, 3)]
    rows = np.degrees(active + np.array([np.zeros(2), *shifts]))
    try:
        found = directions(linkage, rows)
        sines = transmission_sines(linkage, second_deg) if hasattr(linkage, "stages") else []
    except NoClosure:
        return None
    weights = np.array([-1.0, 9.0, -45.0, 45.0, -9.0, 1.0]) / 60.0
    columns = [weights @ found[1 + 6 * j : 7 + 6 * j] / (h * ratio[j]) for j in (0, 1)]
    singular = np.linalg.svd(np.array(columns), compute_uv=False)
    near = readings_of(linkage, [[0.0, second_deg + d] for d in (-1e-3, 0.0, 1e-3)])
    if hasattr(linkage, "stages"):
        # The tool stays on the meridian of azimuth 0, on either side of the base axis.
        polar = np.arctan2(*directions(linkage, near)[:, [0, 2]].T)
    else:
        polar = np.arccos(directions(linkage, near)[:, 2])
    slope = (polar[2] - polar[0] + np.pi) % (2.0 * np.pi) - np.pi
    return singular[-1] / singular[0], sines, float(polar[1]), float(slope)


def mode(linkage, second_deg, margins):
    """Signs that stay the same within one range; `None` where a margin is not kept."""
    found = state(linkage, second_deg)
    if found is None:
        return None
    lci, sines, polar, slope = found
    if lci < margins["lci_min"]:
        return None
    if any(abs(sine) < np.sin(np.radians(margins["transmission_angle_min_deg"])) for sine in sines):
        return None
    return (np.sin(polar) > 0.0, slope > 0.0, *(sine > 0.0 for sine in sines))


def working_ranges(linkage, margins, limits=None):
    """All connected ranges of the second mechanism angle with the margins, deg, ascending."""
    lower, upper = limits or ((0.0, 360.0) if hasattr(linkage, "stages") else (-180.0, 180.0))
    samples = np.linspace(lower, upper, round((upper - lower) / SAMPLE_STEP) + 1)
    if limits is None:
        samples = np.clip(samples, lower + 1e-6, upper - 1e-6)  # singular at the very ends
    modes = [mode(linkage, at, margins) for at in samples]

    def end(inside, outside, own):
        while abs(outside - inside) > 1e-12 * (1.0 + abs(inside)):
            middle = 0.5 * (inside + outside)
            if mode(linkage, middle, margins) == own:
                inside = middle
            else:
                outside = middle
        return inside

    ranges, index = [], 0
    while index < len(samples):
        own, start = modes[index], index
        while index + 1 < len(samples) and modes[index + 1] == own:
            index += 1
        if own is not None:
            low, high = samples[start], samples[index]
            if start > 0:
                low = end(low, samples[start - 1], own)
            if index + 1 < len(samples):
                high = end(high, samples[index + 1], own)
            ranges.append((float(low), float(high)))
        index += 1
    return ranges


def middles(span, step):
    """Middles of as many equal parts as steps go into a span, those that fit to 1e-9 included."""
    count = max(1, int(np.floor((span[1] - span[0]) / step + 1e-9)))
    return span[0] + (span[1] - span[0]) * (np.arange(count) + 0.5) / count


def readings_over(linkage, ranges, first_range, steps=STEPS):
    """Readings at the middles of steps over ranges of the second mechanism angle."""
    first = middles(first_range, steps[0])
    rows = [(a, b) for span in ranges for b in middles(span, steps[1]) for a in first]
    return readings_of(linkage, rows)


# ---------------------------------------------------------------- how far it points off


def reached(linkage, readings):
    """Directions of a real linkage; rows of not-a-number where its bars do not close."""
    try:
        return directions(linkage, readings)
    except NoClosure:
        found = np.full((len(readings), 3), np.nan)
        for row, reading in enumerate(readings):
            try:
                found[row] = directions(linkage, reading[None])[0]
            except NoClosure:
                continue
        return found


def pointing_error(designed, real, readings, tip_radius):
    """rms_mm, max_mm, configurations; and of each the error (mm) and where the design points.

    The error is the angle between both directions times the tip's radius.
    """
    wanted, got = reached(designed, readings), reached(real, readings)
    here = ~np.isnan(wanted + got).any(axis=1)
    wanted, got = wanted[here], got[here]
    angle = np.arctan2(np.linalg.norm(np.cross(wanted, got), axis=1), np.sum(wanted * got, axis=1))
    return {
        "rms_mm": float(np.sqrt(np.mean(angle**2)) * tip_radius),
        "max_mm": float(angle.max() * tip_radius),
        "configurations": int(here.sum()),
        "errors_mm": angle * tip_radius,
        "designed": wanted,
    }


def drawn_from_fit(fit, random, count):
    """Values of all parameters, `count` times, from the fit's covariance about what it found."""
    values, names = fitted_values(fit), fit["correlation"]["names"]
    errors = {one["name"]: one["standard_error"] for one in fit["parameters"]}
    deviations = np.array([errors[name] for name in names])
    covariance = np.array(fit["correlation"]["matrix"]) * np.outer(deviations, deviations)
    centre = np.array([values[name] for name in names])
    for drawn in random.multivariate_normal(centre, covariance, count):
        yield values | dict(zip(names, drawn.tolist(), strict=True))


# ---------------------------------------------------------------- stiffness to a pull


def at_end(value, end):
    """A number of a design file at "value", or at the soft ("from") or stiff ("to") end of its band."""
    return value[end] if isinstance(value, dict) else value


def geometry_of(nominal):
    """The linkage for the frame oracle."""
    bracket = np.radians(nominal.bracket_arc)
    if nominal.kind == "arm":
        return TwoArcArm(np.radians(nominal.arcs).tolist(), bracket)
    lists = (np.radians(v).tolist() for v in (nominal.proximal_arcs, nominal.distal_arcs, nominal.bends))
    return ScissorLinkage(*lists, nominal.carried_by, bracket)


def pointing_at(linkage, direction, span=(1e-6, 180.0)):
    """Mechanism angles (deg) of a scissor linkage without bracket that points along a direction.

    On a span of openings over which the polar angle is monotone, by halving; a span may end
    beyond the closure of its stages, where the polar angle counts as least.
    """
    wanted = np.arctan2(np.hypot(direction[0], direction[1]), direction[2])

    def polar(opening):
        try:
            return np.arctan2(*directions(linkage, readings_of(linkage, [[0.0, opening]]))[0, [0, 2]])
        except NoClosure:
            return -np.inf

    low, high = span
    falls = polar(low) > polar(high)
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if (polar(middle) > wanted) == falls else (low, middle)
    return np.degrees(np.arctan2(direction[1], direction[0])), 0.5 * (low + high)


def pulled_stiffness(design, mechanism_deg, pull, gauge, end="value", solve=tip_compliance_by_own_frame):
    """Force along the pull over displacement along the gauge at the tip, N/mm.

    The base frame is the world. Every number of the design is taken at one `end` of its band.
    """
    nominal, joints = nominal_of(design), design["joints"]
    section = design["section"]
    moduli = [at_end(design["material"][f"{name}_modulus_gpa"], end) * 1e9 for name in ("youngs", "shear")]
    names = ("axial_n_per_m", "radial_n_per_m", "tilt_nm_per_rad")
    stiffness = JointStiffness(*(at_end(joints[name], end) for name in names))
    linkage = geometry_of(nominal).configuration(*np.radians(mechanism_deg))

    def build(members):
        return frame_of(
            linkage,
            Material(*moduli),
            rectangle(section["tangential_mm"] / 1e3, section["radial_mm"] / 1e3),
            stiffness,
            nominal.joint_radius / 1e3,
            nominal.tip_radius / 1e3,
            members,
            joints.get("boss_diameter_mm", 0.0) / 1e3,
        )

    local = extrapolated(solve, build)[:3, :3]
    axes = build(20).tip_frame
    return 1e-3 / float(gauge @ axes.T @ local @ axes @ pull)
