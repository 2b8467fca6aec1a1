"""Reviewing and estimating a long plan, against reading the file and planning it without estimates."""

from time import perf_counter

from benchmarks.estimating import sheet
from benchmarks.walking import Pair
from clampbook.procedure.reader import read
from clampbook.review.review import review
from clampbook.run.planning import plan
from clampbook.run.told.estimating import clampings
from clampbook.tools.model import Stock, Tool
from clampbook.units import parse

GOAL = 2.0
_STEPS = 10_000
_BOLTS = """\
property_class = "10.9"
lubrication = "engine oil on thread and under head"
friction = { thread = [0.10, 0.14], head = [0.10, 0.14] }
clamped = ["12 mm steel", "60 mm aluminium"]
into = "cast iron"
fastener = "new every time"
"""


def stock() -> Stock:
    """Twenty tools of the same kind."""
    most, step = parse("100 N·m").value, parse("0.5 N·m").value
    return Stock(
        tuple(
            Tool(id=f"w{n}", name=f"W{n}", kind="setting", unit="N·m", maximum=most, resolution=step) for n in range(20)
        )
    )


def reviewed() -> Pair:
    """All queries, with tools, and the estimates, against all else that makes a plan; the better of three each."""
    bare, full, tools = sheet(""), read(sheet(_BOLTS), "hull.toml"), stock()
    ours, theirs = [], []
    for _ in range(3):
        begun = perf_counter()
        steps = plan(read(bare, "hull.toml"), "hull").steps
        theirs.append(perf_counter() - begun)
        assert len(steps) == _STEPS
        begun = perf_counter()
        queries = review(full, tools).queries
        made = clampings(full.groups, full.stages, full.unit)
        ours.append(perf_counter() - begun)
        assert queries and sum(len(each.positions) * len(each.stages) for each in made) == _STEPS
    return Pair(min(ours), min(theirs))
