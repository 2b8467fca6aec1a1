"""The results of each group, stage by stage: figures of kept readings, and how many pulls gave no reading at all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from clampbook.procedure.model import Group
from clampbook.record.figures import DIGITS, plain, rounded
from clampbook.record.frozen import Frozen
from clampbook.record.history import History
from clampbook.record.left_out import left_out
from clampbook.record.pull import COUNTS, Pull
from clampbook.record.tables import Row
from clampbook.record.wording import ends
from clampbook.run.fold.acts import (
    AT_THE_SLOT,
    BY_CONCESSION,
    BY_THE_MARK,
    CLICKED,
    CONFIRMED,
    NO_MOVEMENT,
    NOT_JUDGED,
    TOO_FAR_APART,
)
from clampbook.statistical import sample

Place = tuple[int, int, int]  # stage, round, and place of the kind in _COUNTED

_COUNTED = ("prevailing torque", "pull", "stretch", "turn", "final torque", "measurement", "recheck")
_OUTCOMES = (
    "within",
    "under",
    "over",
    TOO_FAR_APART,
    BY_CONCESSION,
    CLICKED,
    CONFIRMED,
    BY_THE_MARK,
    AT_THE_SLOT,
    "still",
    "moved",
    NO_MOVEMENT,
    NOT_JUDGED,
)


def groups(run: Frozen, history: History) -> list[Row]:
    """One table a group, with one for each stage, round and kind of pull that anything was kept of."""
    kept: dict[str, dict[Place, list[Pull]]] = {}
    for row in history.pulls:
        if row.standing == COUNTS and row.kind in _COUNTED and row.step.group is not None and row.position is not None:
            place = (row.step.stage, row.step.round, _COUNTED.index(row.kind))
            kept.setdefault(row.step.group, {}).setdefault(place, []).append(row)
    without: dict[tuple[int, int, str], list[str]] = {}
    for each in left_out(run, history):
        for kind in each.kinds:
            without.setdefault((each.step.stage, each.step.round, kind), []).append(each.position)
    return [_group(run, group, kept.get(group.name, {}), without) for group in run.plan.groups]


def _group(
    run: Frozen, group: Group, kept: dict[Place, list[Pull]], without: dict[tuple[int, int, str], list[str]]
) -> Row:
    return {
        "group": group.name,
        "one": group.one,
        "positions": len(group.positions),
        "thread": group.thread,
        "property_class": group.property_class,
        "lubrication": group.lubrication,
        "fastener": group.fastener,
        "significant_digits": DIGITS,
        "stage": [
            {
                **_stage(run, kept[place]),
                "accepted_without_at": without.get((place[0], place[1], _COUNTED[place[2]])),
            }
            for place in sorted(kept)
        ],
    }


def _stage(run: Frozen, rows: Sequence[Pull]) -> Row:
    """Figures of the readings alone: a release has no number and takes no part in them."""
    step, kind = rows[0].step, rows[0].kind
    stage = run.plan.stage_of(step)
    values = [row.exact for row in rows if row.shown is not None]
    found = sample([value for value in values if value is not None])
    outcomes = Counter(row.outcome for row in rows)
    target = step.target if kind in ("pull", "turn", "recheck") else None
    return {
        "stage": step.stage,
        "do": step.kind,
        "what": kind,
        "round": step.round,
        "rounds": getattr(stage, "rounds", 1),
        "manual": stage.manual,
        "target": None if target is None else plain(target),
        **(ends(step.window) if kind in ("pull", "turn", "recheck", "measurement") else {}),
        "unit": next((row.shown_unit for row in rows if row.shown_unit is not None), None),
        "readings": 0 if found is None else found.n,
        "mean": None if found is None else rounded(found.mean),
        "standard_deviation": None if found is None or found.scatter is None else rounded(found.scatter),
        "least": None if found is None else plain(found.least),
        "most": None if found is None else plain(found.most),
        "spread": None if found is None else plain(found.spread),
        **{_key(outcome): outcomes[outcome] for outcome in _OUTCOMES if outcomes[outcome]},
    }


def _key(outcome: str) -> str:
    return outcome.replace(" ", "_")
