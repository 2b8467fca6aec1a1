"""A small share of the long tests, so that no row goes blind; the whole table is `python tests/endurance/run.py`.

Each row begins as the command does: what it kills are children of its own, and they outlive no typesetter that another
test has already begun in this process.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from endurance.table import ROWS

COMMAND = Path(__file__).with_name("run.py")
PATIENCE = 300  # seconds, on a machine that has much else to do


@pytest.mark.endurance
@pytest.mark.parametrize("name", [name for name, row in ROWS.items() if row.quick])
def test_a_few_tries_of_each_row(name: str) -> None:
    """None fails."""
    tries = str(ROWS[name].quick)
    row = [sys.executable, str(COMMAND), "--row", name, "--tries", tries, "--seed", "7"]

    done = subprocess.run(row, capture_output=True, text=True, timeout=PATIENCE, check=False)

    assert (0, "") == (done.returncode, done.stderr), done.stdout
    found = re.search(rf"^{re.escape(name)} +([0-9]+) +([0-9]+) ", done.stdout, re.MULTILINE)
    assert found is not None, done.stdout
    assert int(found[1]) >= ROWS[name].quick
    assert "0" == found[2]
