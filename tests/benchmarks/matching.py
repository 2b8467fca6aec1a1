"""Ranking many tools for a long plan, against reading the files that both come from."""

from datetime import date
from time import perf_counter

from benchmarks.walking import Pair
from clampbook.procedure.reader import read
from clampbook.run.in_hand.outlook import outlook
from clampbook.run.planning import plan
from clampbook.tools.reader import read_stock

GOAL = 3.0
_TOOL = """\
[[tool]]
id = "w{n}"
name = "W{n}"
kind = "{kind}"
iso_6789 = "{iso}"
unit = "{unit}"
range = ["{low} {unit}", "{high} {unit}"]
resolution = "0.5 {unit}"
lever = "400 mm"
calibrated_on = 2026-01-12
interval_months = 12

"""


def shop(count: int = 200) -> bytes:
    """A tools file of so many tools of both types, in two units, of all sizes."""
    return "".join(
        _TOOL.format(
            n=n,
            kind=("setting", "indicating")[n % 2],
            iso=("II A", "I C")[n % 2],
            unit=("N·m", "lbf·ft")[n // 2 % 2],
            low=2 + n % 7,
            high=20 + 3 * n,
        )
        for n in range(count)
    ).encode()


def sheet(stages: int) -> bytes:
    """A procedure of 1 000 steps in so many stages, each to another torque."""
    head = 'format = 2\ntitle = "Hull"\nrevision = "A"\nunit = "N·m"\n\n[[group]]\nname = "Bolts"\n'
    text = f'{head}positions = "1-{1000 // stages}"\n\n'
    for n in range(stages):
        text += f'[[stage]]\ndo = "tighten"\nto = "{20 + n} N·m"\nwithin = "±2 N·m"\n\n'
    return text.encode()


def ranked(stages: int = 10) -> Pair:
    """200 tools for 1 000 steps, against reading both files; the better of three each."""
    tools, procedure = shop(), sheet(stages)
    ours, theirs = [], []
    for _ in range(3):
        begun = perf_counter()
        stock, made = read_stock(tools, "tools.toml"), read(procedure, "hull.toml")
        theirs.append(perf_counter() - begun)
        planned = plan(made, "hull")
        assert len(planned.steps) == 1000
        begun = perf_counter()
        found = outlook(planned, stock, date(2026, 3, 2))
        ours.append(perf_counter() - begun)
        assert len(found) == stages
    return Pair(min(ours), min(theirs))
