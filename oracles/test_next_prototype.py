"""The next prototype and the comparison with what was measured, from outside: kept angles, bands,
pointing error and stiffness worked out again by `next_prototype.py` from fit.json alone.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_next_prototype.py
CALOTTE_LONG=1 takes more random campaigns.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from bench_example import POINTS
from campaigns import campaign
from frame_model import tip_compliance_by_library
from next_prototype import (
    MARGINS_WITHOUT_BRIEF,
    as_found,
    as_it_will_be,
    designed_of,
    directions,
    drawn_from_fit,
    fitted_values,
    kept_angles,
    kept_arm_angles,
    kept_bodies,
    nominal_of,
    pointing_at,
    pointing_error,
    pulled_stiffness,
    read_design,
)
from next_runs import (
    ARCS,
    ARM_ARCS,
    BENCH,
    BENDS,
    BRIEF,
    MARGINS,
    SHIPPED,
    SMALL_MARGINS,
    answered,
    other_brief,
    possible_grids,
    read_json,
    run,
    same_pointing_error,
    small_brief,
)
from program import LONG_FORM
from weights_campaigns import invented_compliance, weights_campaign

#: Angles, deg: written with all digits, turned into rad and back twice.
ANGLE_DEG = 1e-12
#: Stiffness, relative. The straight frame is extrapolated to about 1e-6 (test_frame.py allows
#: 1e-5), readings with the same tool direction are found to 1e-12.
STIFFNESS = 1e-5


# ---------------------------------------------------------------- the shipped bench


@dataclass
class Followed:
    """The bench prototype's fit, the next design, and their comparison."""

    folder: Path
    fit: dict
    prototype: dict
    next: dict
    results: dict
    #: with the brief and without
    compared: dict

    def column(self, which, with_brief=True):
        """0: promised, 1: as measured, 2: the next."""
        return self.compared[with_brief]["designs"][which]


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    folder = tmp_path_factory.mktemp("next")
    measured = ("measure", "fit", BENCH / "design.toml", BENCH / "points.csv")
    answered(*measured, "--weights", BENCH / "weights.csv", "--out", folder / "fit", status=(1,))
    fit, built = folder / "fit" / "fit.json", BENCH / "design.toml"
    follow = ("--from", built, "--keep", "base,bars:1", "--use", fit)
    answered("design", BRIEF, *follow, "--out", folder / "next")
    design = folder / "next" / "design.toml"
    compared = {
        with_brief: json.loads(
            answered("compare", built, design, "--measured", fit, "--json", *("--brief", BRIEF) * with_brief)
        )
        for with_brief in (True, False)
    }
    return Followed(
        folder,
        read_json(fit),
        read_design(built),
        read_design(design),
        read_json(folder / "next" / "results.json"),
        compared,
    )


def test_kept_arcs_are_the_means_found_and_the_rest_is_of_the_brief(bench):
    linkage, values = bench.next["linkage"], fitted_values(bench.fit)
    # 0.5 deg longer on the left as planted, so that the mean is neither side nor the design.
    # (the fit shares a part of it among parts that look alike).
    assert values["base-left.first_arc_deg"] - values["base-right.first_arc_deg"] > 0.3
    kept = kept_angles(values, 2, True, [1])
    choice = read_design(BRIEF)["choice"]
    steps = np.arange(choice["arc_deg"]["from"], choice["arc_deg"]["to"] + 0.1, choice["arc_deg"]["step"])
    assert len(linkage["proximal_arcs_deg"]) == 2  # of three and more stages none is stiff enough
    for key in ("proximal_arcs_deg", "distal_arcs_deg", "bends_deg"):
        for place, angle in enumerate(linkage[key]):
            if (key, place) in kept:
                assert angle == pytest.approx(kept[key, place], abs=ANGLE_DEG), (key, place)
            else:
                assert angle in steps, (key, place)
    assert set(kept) == {
        ("proximal_arcs_deg", 0),
        ("distal_arcs_deg", 0),
        ("bends_deg", 0),
        ("proximal_arcs_deg", 1),
    }
    assert linkage["joint_radius_mm"] == bench.prototype["linkage"]["joint_radius_mm"]
    for table in ("mount", "drives", "section"):
        assert bench.next[table] == bench.prototype[table], table
    follows = bench.results["follows"]
    assert follows["kept"] == ["base-left", "base-right", "bar-left-1", "bar-right-1"]
    assert follows["ground_kept"] is True


def test_the_search_keeps_the_same_and_chooses_the_rest_between_the_brief_s_ends(bench, tmp_path):
    """The shipped brief, which is searched: what is kept as before, the rest to 0.05 deg."""
    fit, built = bench.folder / "fit" / "fit.json", BENCH / "design.toml"
    follow = ("--from", built, "--keep", "base,bars:1", "--use", fit, "--out", tmp_path / "next")
    answered("design", SHIPPED, *follow)
    linkage = read_design(tmp_path / "next" / "design.toml")["linkage"]
    stages = len(linkage["proximal_arcs_deg"])
    kept = kept_angles(fitted_values(bench.fit), stages, True, [1])
    choice, free = read_design(SHIPPED)["choice"], 0
    for key in ("proximal_arcs_deg", "distal_arcs_deg", "bends_deg"):
        for place, angle in enumerate(linkage[key]):
            if (key, place) in kept:
                assert angle == pytest.approx(kept[key, place], abs=ANGLE_DEG), (key, place)
                continue
            free += 1
            ends = choice["bend_deg" if key == "bends_deg" else "arc_deg"]
            assert ends["from"] <= angle <= ends["to"]
            assert abs(angle / 0.05 - round(angle / 0.05)) < 1e-9, (key, place)
    assert free == 3 * stages - 1 - len(kept)


def test_stiffness_is_the_design_s_times_what_weights_told_with_two_standard_errors(bench):
    told = {one["name"]: one for one in bench.fit["weights"]["parameters"]}
    pairs = [("material", f"{name}_modulus_gpa", "bar_modulus") for name in ("youngs", "shear")]
    pairs += [("joints", f"{name}_n_per_m", "joint_radial_stiffness") for name in ("axial", "radial")]
    pairs += [("joints", "tilt_nm_per_rad", "joint_tilt_stiffness")]
    for table, key, name in pairs:
        one, built = told[name], bench.prototype[table][key]
        nominal = built["value"] if isinstance(built, dict) else built
        assert one["identifiable"] and not one["at_bound"]
        # Errors of the points and of what is held; of a factor they are those of its logarithm.
        assert one["standard_error"] > 1.1 * one["standard_error_by_noise"]
        ratio = np.exp(2.0 * one["standard_error"] / one["value"])
        expected = {"value": nominal * one["value"]}
        expected |= {"from": expected["value"] / ratio, "to": expected["value"] * ratio}
        # Products of three numbers: some units in the last of sixteen digits.
        assert bench.next[table][key] == pytest.approx(expected, rel=1e-14), key
    changed = {key for table, key, _ in pairs if table == "material"} | {"source"}
    rest = {key: value for key, value in bench.next["material"].items() if key not in changed}
    assert rest == {key: value for key, value in bench.prototype["material"].items() if key not in changed}
    for key in ("boss_diameter_mm", "mass_kg"):
        assert bench.next["joints"][key] == bench.prototype["joints"][key]
    shown = {one["name"]: one for one in bench.results["follows"]["measured_by_weights"]}
    assert set(shown) == {name for name, one in told.items() if one["identifiable"]}
    for name, one in shown.items():
        assert one["value"] == pytest.approx(told[name]["value"], rel=1e-14)
        assert one["standard_error"] == pytest.approx(told[name]["standard_error"], rel=1e-14)


def reach_of(column):
    """What the program says of the second mechanism angle's range, deg."""
    return column["reach"]["second_mechanism_angle_deg"]


@pytest.mark.parametrize("which", [0, 2])
def test_the_working_range_found_here_is_the_program_s(bench, which):
    """Margins of LCI and transmission angle by vectors and differences, with the brief."""
    column = bench.column(which)
    own, _ = possible_grids((bench.prototype, None, bench.next)[which], MARGINS, reach_of(column))
    # The LCI here is good to 1e-11 and falls by 0.35 a rad: 3e-9 deg.
    assert reach_of(column) == pytest.approx(own, abs=1e-8)
    assert own[0] > 30.0  # the LCI ends it there, without a margin it begins at 0


@pytest.mark.parametrize("with_brief", [True, False])
def test_pointing_error_of_the_next_is_of_the_kept_parts_as_found(bench, with_brief):
    margins = MARGINS if with_brief else MARGINS_WITHOUT_BRIEF
    column = bench.column(2, with_brief)
    found = column["measuring"]["pointing_error"]
    real = as_it_will_be(nominal_of(bench.next), fitted_values(bench.fit), True, [1])
    same_pointing_error(found, bench.next, real, margins, reach_of(column))
    # The kept base bars stand in the design as they were found; what is left is zeros and axes.
    assert found["rms_mm"] < 1.0
    if with_brief:
        assert bench.results["follows"]["pointing_error"] == found


@pytest.mark.parametrize("with_brief", [True, False])
def test_pointing_error_of_the_prototype_as_found(bench, with_brief):
    margins = MARGINS if with_brief else MARGINS_WITHOUT_BRIEF
    found = bench.column(1, with_brief)["measuring"]["pointing_error"]
    real = as_found(nominal_of(bench.prototype), fitted_values(bench.fit))
    # The readings are those of the design that was built, so is the range.
    same_pointing_error(found, bench.prototype, real, margins, reach_of(bench.column(0, with_brief)))
    assert found["rms_mm"] > bench.column(2, with_brief)["measuring"]["pointing_error"]["rms_mm"]


@pytest.mark.parametrize("which", [1, 2])
def test_pointing_error_agrees_with_what_was_planted(bench, which):
    """With the planted values instead of the fitted: within four standard deviations of what
    drawing from the fit's covariance gives (held parameters are planted at the design's values,
    so that noise alone is between the two)."""
    design = bench.prototype if which == 1 else bench.next
    nominal, tip = nominal_of(design), nominal_of(design).tip_radius
    built = nominal_of(bench.prototype).physical().parameters
    planted = {name: value + POINTS.get(name, 0.0) for name, value in built.items()}

    def linkage(values):
        return as_found(nominal, values) if which == 1 else as_it_will_be(nominal, values, True, [1])

    column = bench.column(which)
    reach = reach_of(bench.column(0 if which == 1 else 2))
    found = column["measuring"]["pointing_error"]
    fitted = linkage(fitted_values(bench.fit))
    grid = same_pointing_error(found, design, fitted, MARGINS, reach)
    designed = designed_of(design)
    true = pointing_error(designed, linkage(planted), grid.readings, tip)
    random = np.random.default_rng(5)
    drawn = [
        pointing_error(designed, linkage(values), grid.readings, tip)
        for values in drawn_from_fit(bench.fit, random, 200)
    ]
    for key in ("rms_mm", "max_mm"):
        spread = np.std([one[key] for one in drawn])
        print(f"\n{key}: told {found[key]:.4f}, planted {true[key]:.4f}, spread {spread:.4f} mm")
        assert abs(found[key] - true[key]) < 4.0 * spread
        if which == 1:  # otherwise this would say nothing; bars of their own leave little to say
            assert spread < 0.15 * true[key]


def test_the_pointing_error_takes_a_reading_every_15_degrees_of_a_full_turn(bench):
    """24 azimuths as in the table of corrections."""
    rows = (bench.folder / "fit" / "corrections.csv").read_text(encoding="utf-8").splitlines()
    swings = {row.split(",")[0] for row in rows if row[0] in "-0123456789"}
    assert len(swings) == 24
    for which, design in ((1, bench.prototype), (2, bench.next)):
        reach = reach_of(bench.column(0 if which == 1 else 2))
        count = bench.column(which)["measuring"]["pointing_error"]["configurations"]
        _, grids = possible_grids(design, MARGINS, reach)
        (grid,) = (grid for grid in grids if len(grid.readings) == count)
        assert grid.azimuths == 24, (which, count)


@pytest.mark.parametrize("which", [1, 2])
def test_the_pointing_error_is_of_the_working_range_alone(bench, which):
    """Not of a range that the reach does not count, beyond openings at which no stage closes."""
    design = bench.prototype if which == 1 else bench.next
    reach = reach_of(bench.column(0 if which == 1 else 2))
    count = bench.column(which)["measuring"]["pointing_error"]["configurations"]
    _, grids = possible_grids(design, MARGINS, reach)
    (grid,) = (grid for grid in grids if len(grid.readings) == count)
    assert grid.one_range, f"{count} configurations; reach {reach}"


def test_roles_and_what_only_measuring_knows(bench):
    promised, found, following = (bench.column(which)["measuring"] for which in range(3))
    assert [one["role"] for one in (promised, found, following)] == ["predicted", "measured", "predicted"]
    before, after = bench.fit["residual_mm"], bench.fit["after"]["residual_mm"]
    for one, residual in ((promised, before), (found, after)):
        assert one["residual_rms_mm"] == pytest.approx(residual["rms"], rel=1e-14)
        assert one["residual_max_mm"] == pytest.approx(residual["max"], rel=1e-14)
    told = {one["name"]: one["value"] for one in bench.fit["weights"]["parameters"]}
    for name in ("play_mm", "friction_hysteresis_mm"):
        assert found[name] == pytest.approx(told[name], rel=1e-14)
        assert promised[name] is None and following[name] is None
    assert following["residual_rms_mm"] is None and promised["pointing_error"] is None
    measured = bench.fit["weights"]["configurations"]
    assert len(measured) == 8
    for shown, one in zip(found["stiffness_at"], measured, strict=True):
        assert shown["n_per_mm"] == pytest.approx(one["measured_stiffness_n_per_mm"]["value"], rel=1e-14)
        error = one["measured_stiffness_n_per_mm"]["standard_error"]
        assert shown["standard_error_n_per_mm"] == pytest.approx(error, rel=1e-14)
        assert shown["measured_at_deg"] == pytest.approx([one["swing_deg"], one["opening_deg"]], abs=1e-10)


@pytest.mark.parametrize("which", [0, 2])
def test_stiffness_at_the_same_direction_and_pull(bench, which):
    """Where the design points as the prototype was thought to, by the straight-segment frame."""
    design = bench.prototype if which == 0 else bench.next
    built, linkage = nominal_of(bench.prototype).physical(), nominal_of(design).physical()
    mount = design["mount"]
    assert mount["axis"] == [0, 0, 1] and mount["reference"] == [1, 0, 0]  # the base frame is the world
    worst = 0.0
    stations = bench.column(which)["measuring"]["stiffness_at"]
    measured = bench.fit["weights"]["configurations"]
    for number, (shown, one) in enumerate(zip(stations, measured, strict=True)):
        assert one["place"] == shown["place"] == "tip"
        readings = np.array([[one["swing_deg"], one["opening_deg"]]])
        mechanism = pointing_at(linkage, directions(built, readings)[0])
        if which == 0:
            assert mechanism == pytest.approx(readings[0], abs=1e-10)
        pull, gauge = np.array(one["pull"]), np.array(one["gauge"])
        for end, key in (("value", "n_per_mm"), ("from", "soft_n_per_mm"), ("to", "stiff_n_per_mm")):
            expected = pulled_stiffness(design, mechanism, pull, gauge, end)
            worst = max(worst, abs(shown[key] / expected - 1.0))
            assert shown[key] == pytest.approx(expected, rel=STIFFNESS), (number, key)
        if number == 0:
            library = pulled_stiffness(design, mechanism, pull, gauge, "value", tip_compliance_by_library)
            assert shown["n_per_mm"] == pytest.approx(library, rel=STIFFNESS)
    print(f"\ngreatest relative difference {worst:.1e}")


def test_stiffness_is_that_of_the_range_in_which_the_design_works(tmp_path):
    """A next design that works with its base bars crossed, at openings beyond 180 deg, points the
    same way in a second range, which its reach does not count and where it is stiffer."""
    made = campaign(40, "scissor", "two-bars", 2, rows=80, noise_mm=0.05)
    compliance = invented_compliance(made.nominal)
    weights, _ = weights_campaign(
        40, made.nominal, compliance, configurations=8, gauge_noise_mm=0.005, pulley_share=0.5
    )
    brief = small_brief(made.nominal.tip_radius - 20.0)
    texts = {"built.toml": made.design, "points.csv": made.points, "weights.csv": weights}
    texts |= {"brief.toml": brief}
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    measured = ("built.toml", "points.csv", "--weights", "weights.csv", "--out", "fit")
    answered("measure", "fit", *measured, folder=tmp_path)
    follow = ("--from", "built.toml", "--keep", "bars:1-2", "--use", "fit/fit.json", "--out", "next")
    answered("design", "brief.toml", *follow, folder=tmp_path)
    following = read_design(tmp_path / "next" / "design.toml")
    results = read_json(tmp_path / "next" / "results.json")
    span, reach = reach_of(results), results["reach"]
    assert span[0] > 180.0
    compare = ("compare", "built.toml", "next/design.toml", "--measured", "fit/fit.json")
    text = answered(*compare, "--brief", "brief.toml", "--json", folder=tmp_path)
    built, linkage = made.nominal.physical(), nominal_of(following).physical()
    reached = []
    for shown in json.loads(text)["designs"][2]["measuring"]["stiffness_at"]:
        (direction,) = directions(built, np.array([shown["measured_at_deg"]]))
        polar = np.degrees(np.arccos(direction[2]))
        if reach["polar_min_deg"] < polar < reach["polar_max_deg"]:
            mechanism = pointing_at(linkage, direction, span)
            pull = np.array(shown["pull"])
            reached.append((shown["n_per_mm"], pulled_stiffness(following, mechanism, pull, pull)))
    assert len(reached) >= 3
    shown, expected = np.transpose(reached)
    assert shown == pytest.approx(expected, rel=STIFFNESS)


# ---------------------------------------------------------------- random campaigns

#: kind, layout, stages, all bars
CAMPAIGNS = [
    ("scissor", "two-bars", 2, "bars:1-2"),
    ("scissor", "swing-and-opening", 3, "bars:1-3"),
    ("arm", "two-bars", 0, "bars:1"),
]
SEEDS = range(40, 48) if LONG_FORM else range(40, 41)
def angles_of(linkage):
    """`{(key, place): angle}` of a table [linkage]."""
    lists = {key: value for key, value in linkage.items() if isinstance(value, list) and key != "bar"}
    return {(key, place): angle for key, list_ in lists.items() for place, angle in enumerate(list_)}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("choice", CAMPAIGNS, ids=str)
def test_random_campaigns_with_different_keeps(tmp_path, choice, seed):
    kind, layout, stages, all_bars = choice
    made = campaign(seed, kind, layout, stages, rows=80, noise_mm=0.05)
    (tmp_path / "built.toml").write_text(made.design, encoding="utf-8")
    (tmp_path / "points.csv").write_text(made.points, encoding="utf-8")
    tip = made.nominal.tip_radius - 20.0
    (tmp_path / "brief.toml").write_text(small_brief(tip), encoding="utf-8")
    answered("measure", "fit", "built.toml", "points.csv", "--out", "fit", folder=tmp_path)
    fit, built = read_json(tmp_path / "fit" / "fit.json"), read_design(tmp_path / "built.toml")
    values, family = fitted_values(fit), built["linkage"]["family"]
    for keep in ("bars:1", "base", all_bars, f"base,{all_bars}"):
        base = keep.startswith("base")
        last = stages if all_bars in keep else 1
        bars = list(range(1, max(last, 1) + 1)) if "bars" in keep else []
        follow = ("brief.toml", "--from", "built.toml", "--keep", keep, "--use", "fit/fit.json")
        for threads in (1, 2):
            out = ("--out", "next", "--force", "--threads", threads)
            answered("design", *follow, *out, folder=tmp_path)
            texts = {
                path.relative_to(tmp_path / "next"): path.read_bytes()
                for path in sorted((tmp_path / "next").rglob("*"))
                if path.is_file() and path.name not in ("manifest.json", "summary.html")
            }
            if threads == 1:
                first = texts
        assert first == texts and len(texts) > 3, keep

        following = read_design(tmp_path / "next" / "design.toml")
        found, follows = following["linkage"], read_json(tmp_path / "next" / "results.json")["follows"]
        assert found["family"] == family
        assert follows["kept"] == kept_bodies(family, base, bars), keep
        assert follows["ground_kept"] is base
        assert follows["measured_by_points"] == [p["name"] for p in fit["parameters"] if p["identifiable"]]
        assert follows["measured_by_weights"] == []
        if kind == "arm":
            kept = kept_arm_angles(values, base, bars)
        else:
            kept = kept_angles(values, stages, base, bars)
            count = len(found["proximal_arcs_deg"])
            assert count == stages if stages in bars else count in (2, 3)
        free = set()
        for (key, place), angle in angles_of(found).items():
            if (key, place) in kept:
                assert angle == pytest.approx(kept[key, place], abs=ANGLE_DEG), (keep, key, place)
                continue
            allowed = {"bends_deg": BENDS, "arcs_deg": ARM_ARCS}.get(key, ARCS)
            assert min(abs(angle - one) for one in allowed) < ANGLE_DEG, (keep, key, place)
            free.add((key == "bends_deg", angle))
        if kind != "arm":  # free half-links are equal, free bends too
            assert len(free) == len({of_bend for of_bend, _ in free}), (keep, free)
        assert set(kept) <= set(angles_of(found))
        # Who keeps a part keeps its section, joints and radius; the tool is the brief's.
        for table in ("section", "joints"):
            same = {key: following[table][key] for key in built[table]}
            assert same == built[table], (keep, table)
        assert found["joint_radius_mm"] == built["linkage"]["joint_radius_mm"]
        assert following["tool"]["tip_radius_mm"] == tip
        if base:
            assert following["drives"]["range_deg"] == built["drives"]["range_deg"]
            assert following["drives"].get("layout", layout) == layout or kind == "arm"
        else:
            assert "range_deg" not in following["drives"]

        pointing = follows["pointing_error"]
        real = as_it_will_be(nominal_of(following), values, base, bars)
        reach = read_json(tmp_path / "next" / "results.json")["reach"]["second_mechanism_angle_deg"]
        grid = same_pointing_error(pointing, following, real, SMALL_MARGINS, reach)
        print(
            f"\n{kind} {stages} {keep}: {pointing['rms_mm']:.4f} mm, greatest {pointing['max_mm']:.4f} at "
            f"{pointing['worst_at_deg']}, {pointing['configurations']} configurations, "
            f"{'working range' if grid.one_range else 'all ranges'}, {grid.azimuths} azimuths, reach {reach}"
        )
        # Of an arm whose base is kept see the test below.
        if kind != "arm" or not base:
            assert compared_pointing(tmp_path) == pointing, keep


def compared_pointing(folder):
    """The next design's pointing error in a comparison."""
    compare = ("compare", "built.toml", "next/design.toml", "--measured", "fit/fit.json")
    text = answered(*compare, "--brief", "brief.toml", "--json", folder=folder)
    return json.loads(text)["designs"][2]["measuring"]["pointing_error"]


@pytest.mark.parametrize("keep", ["base", "base,bars:1"])
def test_a_comparison_knows_the_kept_base_of_an_arm(tmp_path, keep):
    """The drive layout has no effect for an arm (docs/reference/files.md); files may leave it out."""
    made = campaign(40, "arm", rows=80, noise_mm=0.05)
    (tmp_path / "built.toml").write_text(made.design, encoding="utf-8")
    (tmp_path / "points.csv").write_text(made.points, encoding="utf-8")
    (tmp_path / "brief.toml").write_text(small_brief(150.0), encoding="utf-8")
    answered("measure", "fit", "built.toml", "points.csv", "--out", "fit", folder=tmp_path)
    follow = ("--from", "built.toml", "--keep", keep, "--use", "fit/fit.json", "--out", "next")
    answered("design", "brief.toml", *follow, folder=tmp_path)
    pointing = read_json(tmp_path / "next" / "results.json")["follows"]["pointing_error"]
    assert pointing["rms_mm"] > 0.1
    assert compared_pointing(tmp_path) == pointing


def test_a_comparison_knows_a_base_that_is_kept_under_another_centre(bench, tmp_path):
    """What is kept stands where the brief's centre is; its errors stay as they were found."""
    text = BRIEF.read_text(encoding="utf-8")
    assert "position_mm = [0, 0, 0]" in text
    brief = tmp_path / "brief.toml"
    brief.write_text(text.replace("position_mm = [0, 0, 0]", "position_mm = [0, 0, 50]"), encoding="utf-8")
    built, fit = BENCH / "design.toml", bench.folder / "fit" / "fit.json"
    follow = ("--from", built, "--keep", "base,bars:1", "--use", fit, "--out", tmp_path / "next")
    answered("design", brief, *follow)
    pointing = read_json(tmp_path / "next" / "results.json")["follows"]["pointing_error"]
    # The centre moves nothing against the base: the same error as with the centre of the design.
    assert pointing == bench.results["follows"]["pointing_error"]
    compare = ("compare", built, tmp_path / "next" / "design.toml", "--measured", fit, "--brief", brief)
    column = json.loads(answered(*compare, "--json"))["designs"][2]
    assert column["measuring"]["pointing_error"] == pointing


@pytest.mark.parametrize("material", ["aluminium 6061-T6", "PA12 laser-sintered"])
def test_without_kept_parts_the_brief_s_material_and_joints_are_as_measured(bench, tmp_path, material):
    """The factors go onto the brief's joints; onto its material if it is the prototype's."""
    small = {"stages": "[2]", "arc_deg": "{ from = 20, to = 23, step = 0.5 }", "bend_deg": "0"}
    small |= {"materials": f'["{material}"]', "radial_n_per_m": "4e6"}
    small |= {"tilt_nm_per_rad": "{ value = 1500, from = 1200, to = 1600 }"}
    brief = other_brief(tmp_path, **small)
    measured = ("--from", BENCH / "design.toml", "--use", bench.folder / "fit" / "fit.json")
    answered("design", brief, "--out", tmp_path / "published")
    answered("design", brief, *measured, "--out", tmp_path / "next")
    published, found = (read_design(tmp_path / name / "design.toml") for name in ("published", "next"))
    told = {one["name"]: one for one in bench.fit["weights"]["parameters"]}

    def as_measured(nominal, name):
        ratio = np.exp(2.0 * told[name]["standard_error"] / told[name]["value"])
        value = nominal * told[name]["value"]
        return {"value": value, "from": value / ratio, "to": value * ratio}

    joints = {"axial_n_per_m": 3e6, "radial_n_per_m": 4e6}
    for key, nominal in joints.items():
        expected = as_measured(nominal, "joint_radial_stiffness")
        assert found["joints"][key] == pytest.approx(expected, rel=1e-14), key
    expected = as_measured(1500.0, "joint_tilt_stiffness")
    assert found["joints"]["tilt_nm_per_rad"] == pytest.approx(expected, rel=1e-14)
    if material == bench.prototype["material"]["name"]:
        for key in ("youngs_modulus_gpa", "shear_modulus_gpa"):
            expected = as_measured(published["material"][key]["value"], "bar_modulus")
            assert found["material"][key] == pytest.approx(expected, rel=1e-14), key
    else:
        assert found["material"] == published["material"]
    follows = read_json(tmp_path / "next" / "results.json")["follows"]
    assert follows["kept"] == [] and follows["ground_kept"] is False


# ---------------------------------------------------------------- refusals


def changed_fit(fit, change):
    """Text of a fit with something changed."""
    copy = json.loads(json.dumps(fit))
    change(copy)
    return json.dumps(copy)


def far_away(fit):
    one = next(one for one in fit["parameters"] if one["name"] == "bar-left-1.first_arc_deg")
    one["value"] = 321.5


def without_a_parameter(fit):
    fit["parameters"] = [one for one in fit["parameters"] if one["name"] != "swing.scale"]


def with_no_factor(fit):
    fit["weights"]["parameters"][0]["value"] = -0.5


FITS = {
    "not a fit": (lambda fit: '{"designs": []}', ["is no fit", "fit.json"]),
    "not JSON": (lambda fit: "swing_deg,opening_deg\n", ["is no fit", "fit.json"]),
    "truncated": (lambda fit: json.dumps(fit)[: len(json.dumps(fit)) // 2], ["is no fit", "line 1"]),
    "empty": (lambda fit: "", ["is no fit"]),
    "far away": (
        lambda fit: changed_fit(fit, far_away),
        ["bar-left-1.first_arc_deg", "321.5", "21.5"],
    ),
    "parameter missing": (lambda fit: changed_fit(fit, without_a_parameter), ["swing.scale"]),
    "factor below 0": (lambda fit: changed_fit(fit, with_no_factor), ["bar_modulus", "-0.5"]),
}


def refused(arguments, out, words):
    """Asserts exit status 2, that nothing was written, and that the message has these words."""
    done = run(*arguments)
    assert done.returncode == 2, done.stdout + done.stderr
    assert done.stdout == ""
    assert not out.exists()
    # However wide the terminal is said to be, lines may be broken at spaces.
    message = " ".join(done.stderr.split())
    for word in words:
        assert word in message, f"{word!r} is not in:\n{done.stderr}"
    return done.stderr


@pytest.mark.parametrize("name", FITS)
def test_files_that_are_no_fit_are_refused(bench, tmp_path, name):
    make, words = FITS[name]
    path, out = tmp_path / "wrong.json", tmp_path / "out"
    path.write_text(make(bench.fit), encoding="utf-8")
    follow = ("--from", BENCH / "design.toml", "--keep", "base", "--use", path)
    refused(("design", BRIEF, *follow, "--out", out), out, [*words, "wrong.json"])
    compared = ("compare", BENCH / "design.toml", "--measured", path, "--json")
    refused(compared, out, [*words, "wrong.json"])


def test_the_fit_of_another_design_is_refused(bench, tmp_path):
    """A comment is enough: what was measured is told by the file's SHA-256."""
    other, out = tmp_path / "other.toml", tmp_path / "out"
    text = (BENCH / "design.toml").read_text(encoding="utf-8")
    other.write_text(text + "# changed\n", encoding="utf-8")
    fit = bench.folder / "fit" / "fit.json"
    own = next(one["sha256"] for one in bench.fit["run"]["inputs"] if one["kind"] == "design")
    follow = ("--from", other, "--keep", "base,bars:1", "--use", fit)
    words = ["another design", own, "calotte measure fit"]
    refused(("design", BRIEF, *follow, "--out", out), out, words)
    refused(("compare", other, "--measured", fit), out, words)


REFUSALS = {
    "no such bar": ({}, "bars:9", ["bar 9", "bars 1 to 2"]),
    "bars past the last": ({}, "bars:1-3", ["bar 3", "bars 1 to 2"]),
    "no such part": ({}, "wings", ["--keep wings", "base (ground and base bars), bars:N, bars:N-M"]),
    "bars from 0": ({}, "bars:0", ["--keep bars:0", "counted from 1"]),
    "bars backward": ({}, "bars:2-1", ["--keep bars:2-1", "bars:N-M"]),
    "half of it wrong": ({}, "base,bars:x", ["--keep bars:x", "bars:N"]),
    "the last bar crosses": ({"stages": "[1]"}, "bars:1", ["stages", "2 or more"]),
    "the last bar has no second arc": ({"stages": "[1, 3, 4]"}, "base,bars:2", ["stages", "2 is required"]),
    "family": ({"families": '["two-arc-arm"]'}, "bars:1", ["families", "scissor"]),
    "family with the base": ({"families": '["two-arc-arm"]'}, "base", ["families", "scissor"]),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_parts_that_cannot_be_kept_are_refused(bench, tmp_path, name):
    choice, keep, words = REFUSALS[name]
    brief, out = other_brief(tmp_path, **choice), tmp_path / "out"
    follow = ("--from", BENCH / "design.toml", "--keep", keep, "--use", bench.folder / "fit" / "fit.json")
    refused(("design", brief, *follow, "--out", out), out, words)
    # The same brief without keeping any part is taken, so that it is the part that is refused.
    if "stages" in choice:
        answered("design", brief, *follow[:2], *follow[4:], "--out", out)


@pytest.mark.parametrize("option", ["--use", "--keep"])
def test_options_of_a_prototype_need_one(bench, tmp_path, option):
    value = bench.folder / "fit" / "fit.json" if option == "--use" else "base"
    out = tmp_path / "out"
    refused(("design", BRIEF, option, value, "--out", out), out, ["--from"])


def test_a_prototype_that_is_not_there_is_refused(bench, tmp_path):
    out = tmp_path / "out"
    follow = ("--from", tmp_path / "none.toml", "--keep", "base")
    refused(("design", BRIEF, *follow, "--out", out), out, ["none.toml"])
