"""Every derived row of `calotte verify` against the file of this folder that it names.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_derived.py
"""

from __future__ import annotations

import importlib
import json
import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FILES = sorted(path.relative_to(ROOT).as_posix() for path in Path(__file__).parent.glob("derived_*.py"))


@pytest.fixture(scope="module")
def derived():
    """Derived rows by file and id."""
    binary = os.environ.get("CALOTTE_BIN")
    if not binary:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    run = subprocess.run([binary, "verify", "--json"], capture_output=True, text=True, timeout=600, check=False)
    found = {}
    for row in json.loads(run.stdout)["checks"]:
        assert (row["file"] is not None) == (row["kind"] == "derived"), row["id"]
        if row["file"]:
            found.setdefault(row["file"], {})[row["id"]] = row
    return found


def test_rows_name_files_of_this_folder(derived):
    assert sorted(derived) == FILES


@pytest.mark.parametrize("file", FILES)
def test_file_derives_its_rows(derived, file):
    values = importlib.import_module(Path(file).stem).values()
    rows = derived[file]
    assert sorted(values) == sorted(rows), "each row has one value, and each value a row"
    apart = {
        name: (values[name], row["reference"])
        for name, row in rows.items()
        if not abs(values[name] - row["reference"]) <= row["tolerance"]
    }
    assert not apart
