"""What is read, damaged in every way that the tests know: whatever it is, a sentence comes of it, or it is taken."""

from __future__ import annotations

import random
import tomllib
import traceback
from collections.abc import Callable
from functools import partial
from pathlib import Path

import tomli_w

from clampbook.faults import Faulty, show
from clampbook.tools.reader import read_tools
from damages import FINISHED, bytes_damaged, chained, daybook_damaged, frozen, kept, told, value_damaged, without_none
from endurance.rows import Found
from sealing import TOOLS
from test_any_answer import Wanderer
from test_damaged import SHEETS, TestDaybooks, TestProcedures

Damage = Callable[[random.Random], object]


def damaged(damage: Damage, place: Path, tries: int, seed: int) -> Found:
    """So many damages at one entrance."""
    del place
    found = Found()
    for number in range(tries):
        found.tries += 1
        try:
            found.seen[str(damage(random.Random(f"{seed} {number}")))] += 1
        except Exception:
            found.failures.append(f"{number}: {traceback.format_exc()[-1500:]}")
    return found


def _sheet_bytes(chance: random.Random) -> str:
    return _refused(TestProcedures.faults(bytes_damaged(chance, chance.choice(SHEETS))))


def _sheet_values(chance: random.Random) -> str:
    tree = tomllib.loads(chance.choice(SHEETS).decode())
    for _ in range(chance.choice((1, 1, 2, 4))):
        value_damaged(chance, tree)
    return _refused(TestProcedures.faults(tomli_w.dumps(without_none(tree)).encode()))


def _tools(chance: random.Random) -> str:
    try:
        read_tools(bytes_damaged(chance, TOOLS.encode()), "tools.toml")
    except Faulty as faulty:
        for fault in faulty.faults:
            told(show(fault))
        return _refused(True)
    return _refused(False)


def _daybook_bytes(chance: random.Random) -> str:
    name = chance.choice(FINISHED)
    return _refused(TestDaybooks.told_or_taken(name, bytes_damaged(chance, frozen(name)[2])))


def _daybook_lines(chance: random.Random) -> str:
    name = chance.choice(FINISHED)
    lines = chained(daybook_damaged(chance, kept(name)))
    return _refused(TestDaybooks.told_or_taken(name, b"".join(line + b"\n" for line in lines)))


class _Wandering:
    """Whoever types, or answers, anything goes on where the last try left off."""

    def __init__(self, what: Callable[[Wanderer], str]) -> None:
        self.what = what
        self.walkers: dict[str, Wanderer] = {}

    def __call__(self, chance: random.Random) -> str:
        name = chance.choice(FINISHED)
        walker = self.walkers.setdefault(name, Wanderer(chance, name))
        walker.chance = chance
        return self.what(walker)


def _refused(refused: bool) -> str:
    return "refused" if refused else "taken"


_DAMAGES: dict[str, Damage] = {
    "procedures as bytes": _sheet_bytes,
    "values of procedures": _sheet_values,
    "tools.toml": _tools,
    "daybooks as bytes": _daybook_bytes,
    "lines of daybooks": _daybook_lines,
    "typed lines": _Wandering(Wanderer.types_anything),
    "answers": _Wandering(Wanderer.answers_anything),
}
ENTRANCES = {name: partial(damaged, damage) for name, damage in _DAMAGES.items()}
