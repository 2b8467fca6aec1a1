"""Estimating the clamp load of every step of a long plan, against reading the file and planning it without."""

from time import perf_counter

from benchmarks.walking import Pair
from clampbook.procedure.reader import read
from clampbook.run.planning import plan
from clampbook.run.told.estimating import clampings

GOAL = 2.0
_STAGES = 10
_POSITIONS = 1000
_BOLTS = """\
property_class = "10.9"
friction = { thread = [0.10, 0.14], head = [0.10, 0.14] }
clamped = ["12 mm steel", "60 mm aluminium"]
into = "cast iron"
"""


def sheet(bolts: str) -> bytes:
    """A procedure of 10 000 steps, half of them turns, with fasteners of twenty kinds."""
    head = 'format = 2\ntitle = "Hull"\nrevision = "A"\nunit = "N·m"\n\n[[group]]\nname = "Bolts"\n'
    each = _POSITIONS // 20
    fits = ", ".join(f'"{n * each + 1}-{(n + 1) * each}" = "M10x1.25 x {60 + n} mm"' for n in range(20))
    text = f'{head}positions = "1-{_POSITIONS}"\nfits = {{ {fits} }}\n{bolts}\n'
    for n in range(_STAGES // 2):
        text += f'[[stage]]\ndo = "tighten"\nto = "{20 + n} N·m"\nwithin = "±2 N·m"\n\n'
        text += '[[stage]]\ndo = "turn"\nby = "10°"\nwithin = "±2°"\n\n'
    return text.encode()


def estimated() -> Pair:
    """Estimates alone, against all else that makes a plan; the better of three each."""
    bare, full = sheet(""), read(sheet(_BOLTS), "hull.toml")
    ours, theirs = [], []
    for _ in range(3):
        begun = perf_counter()
        steps = plan(read(bare, "hull.toml"), "hull").steps
        theirs.append(perf_counter() - begun)
        assert len(steps) == _STAGES * _POSITIONS
        begun = perf_counter()
        made = clampings(full.groups, full.stages, full.unit)
        ours.append(perf_counter() - begun)
        assert sum(len(each.positions) * len(each.stages) for each in made) == _STAGES * _POSITIONS
    return Pair(min(ours), min(theirs))
