"""The tolerance of each round, from what a manual says of the last torque.

A share of the torque is one in every round. Newton metres are those of the last round: each before it gets the same
share of its own torque, since ±5 N·m of 70 would be half of the 10 that a first round pulls to.
"""

from __future__ import annotations

from decimal import ROUND_DOWN, Decimal

import tomli_w

from clampbook.faults import Faulty
from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.model import Tighten
from clampbook.procedure.reader import read
from clampbook.procedure.sheet import NEWEST_FORMAT

_DIGITS = Decimal("0.01")  # per cent; rounded down, so that no round is allowed more than the last


def share_of_the_last(answers: Answers) -> str | None:
    """The share of its torque that each round before the last may be off; None where it may be off as the last is."""
    if answers.within is None or "%" in answers.within or len(answers.torques) < 2:
        return None
    last = _last(answers, answers.within)
    if last is None or not last.target or last.window.low is None or last.window.high is None:
        return None
    below, above = last.target - last.window.low, last.window.high - last.target
    down, up = (_percent(each / last.target) for each in (below, above))
    return f"±{up} %" if down == up else f"+{up} −{down} %"


def _last(answers: Answers, within: str) -> Tighten | None:
    """The last round as the reader takes it."""
    group = {"name": "Bolts", "positions": "1", **({"target": answers.target} if answers.target else {})}
    stage = {"do": "tighten", "to": answers.torques[-1], "within": within}
    top = {"format": NEWEST_FORMAT, "title": "Joint", "revision": "A", "unit": "N·m"}
    file = {**top, "group": [group], "stage": [stage]}
    try:
        found = read(tomli_w.dumps(file).encode()).stages[0]
    except Faulty:
        return None
    return found if isinstance(found, Tighten) else None


def _percent(share: Decimal) -> str:
    shown = f"{(share * 100).quantize(_DIGITS, rounding=ROUND_DOWN):f}"
    return shown.rstrip("0").rstrip(".")
