"""Ranges over the stated uncertainty against an outside optimiser over the box of inputs.

The worse end of a row is looked for by `scipy.optimize` from random starts, every value being
the program's own verdict on a design with exact inputs: no start may come out worse by more
than 0.5 %, and the program finds its own end again for the inputs it names.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_ranges.py
"""

from __future__ import annotations

import copy
import json
import os
import subprocess
import tomllib

import numpy as np
import pytest
from scipy.optimize import minimize

from designs import design_file
from program import LONG_FORM
from test_worst_places import brief_text, case

#: Designs, and starts of the optimiser for each.
DESIGNS, STARTS = (30, 20) if LONG_FORM else (3, 3)
#: How much worse than the end a start may come out.
BEYOND = 5e-3
#: Keys whose numbers are made uncertain.
KEYS = [
    ("material", "youngs_modulus_gpa"),
    ("material", "shear_modulus_gpa"),
    ("material", "density_kg_m3"),
    ("joints", "axial_n_per_m"),
    ("joints", "radial_n_per_m"),
    ("joints", "tilt_nm_per_rad"),
    ("tool", "mass_kg"),
]
#: Rows looked at, one for each design in turn; whether more is better.
ROWS = [
    ("contact_deflection", "turns", False),
    ("sag", None, False),
    ("safety_factor_yield", None, True),
    ("contact_deflection", "stands", False),
    ("holding_torque", None, False),
]


class Judge:
    """The program, asked line by line."""

    def __init__(self, brief):
        binary = os.environ.get("CALOTTE_BIN")
        if not binary:
            pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
        self.process = subprocess.Popen(
            [binary, "judge", str(brief)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.stdin.close()
        self.process.wait(timeout=60)

    def rows(self, design):
        """Rows of one design."""
        self.process.stdin.write(json.dumps(design) + "\n")
        self.process.stdin.flush()
        answer = json.loads(self.process.stdout.readline())
        assert "requirements" in answer, answer
        return answer["requirements"]


def the_row(rows, quantity, load):
    """The row of a quantity and load."""
    return next(row for row in rows if row["quantity"] == quantity and row.get("load") == load)


def value_of(row, prefix):
    """Its value whose key begins with a prefix, whatever the unit."""
    skipped = ("band_inputs", "band_met")
    return next(value for key, value in row.items() if key.startswith(prefix) and key not in skipped)


@pytest.mark.parametrize("number", range(DESIGNS))
def test_no_place_in_the_box_is_worse_than_the_end(tmp_path, number):
    random = np.random.default_rng([2630, number])
    design, opening, cap, loads = case(number)
    quantity, load, more_is_better = ROWS[number % len(ROWS)]
    document = tomllib.loads(design_file(design))
    document["drives"]["range_deg"] = {"opening": np.degrees(opening).tolist()}
    # Bars as beam theory has them: short ones would add a number of their own.
    document["linkage"]["short_bar_stiffness_factor"] = 1.0
    keys = [(table, key) for table, key in KEYS if key in document[table]]
    box = []
    for table, key in keys:
        value = document[table][key]
        box.append((value * random.uniform(0.6, 1.0), value * random.uniform(1.0, 1.6)))
    box = np.array(box)
    given = copy.deepcopy(document)
    for (table, key), (low, high) in zip(keys, box, strict=True):
        given[table][key] = {"value": document[table][key], "from": low, "to": high}
    brief = tmp_path / "brief.toml"
    brief.write_text(brief_text(design, cap, loads), encoding="utf-8")
    with Judge(brief) as judge:
        row = the_row(judge.rows(given), quantity, load)
        if value_of(row, "predicted") is None:
            return
        low, high = value_of(row, "band")
        end = low if more_is_better else high

        def at(inputs):
            there = copy.deepcopy(document)
            for (table, key), value in zip(keys, inputs, strict=True):
                there[table][key] = float(value)
            return value_of(the_row(judge.rows(there), quantity, load), "predicted")

        named = {entry["key"]: entry["value"] for entry in row["band_inputs"][0 if more_is_better else 1]}
        again = at([named[f"{table}.{key}"] for table, key in keys])
        assert again == pytest.approx(end, rel=1e-9)

        def cost(share):
            value = at(box[:, 0] + np.clip(share, 0.0, 1.0) * (box[:, 1] - box[:, 0]))
            return value / end if more_is_better else -value / end

        for _ in range(STARTS):
            start = random.uniform(0.0, 1.0, len(keys))
            found = minimize(
                cost,
                start,
                method="L-BFGS-B",
                bounds=[(0.0, 1.0)] * len(keys),
                options={"maxiter": 12, "eps": 1e-4},
            )
            worst = found.fun if more_is_better else -found.fun
            beyond = 1.0 / worst - 1.0 if more_is_better else worst - 1.0
            assert beyond <= BEYOND, (design.name, quantity, load, worst, found.x, named)
