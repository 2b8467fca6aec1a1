"""The pulls of a record as flat rows: what was read where with what by whom, and how far it lay from its target."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from clampbook.archive.foreign import Table, moment, number, rows
from clampbook.procedure.naming import own
from clampbook.record import standing as in_words

_MOST = 120  # characters of a text
_DAY = 10  # of them are the day of a time (ISO 8601)
_WITH_TARGET = frozenset({"pull", "turn"})
MEASUREMENT = "measurement"
_KINDS = frozenset(
    {
        "pull",
        "turn",
        "slot",
        "prevailing torque",
        "final torque",
        "stretch",
        MEASUREMENT,
        "recheck",
        "bad pull",
        "wrong position",
    }
)
# What was pulled and did not stay: a stroke is a part of a turn, a void pull and a mistyped one are no readings.
_NO_PULL = frozenset({"void", "corrected", "from memory alone", "earlier stroke"})
LONGEST_PULL = 600.0  # seconds after which something else was done in between
_LINES = 2**53


class Pull(Struct, frozen=True, kw_only=True, gc=False):
    """One row of a record. Numbers are texts, exactly as they stand there; `deviation` is in percent of the target.

    `seconds` since the pull before in the same run; None for the first, and after a longer break. `shown` is what is
    judged, and empty for what gave no number, such as a release, which is no reading. `measured` is what a
    measure stage names, such as "Crankshaft end play".
    """

    line: int
    at: str
    time: float | None
    step: str
    stage: str
    group: str
    position: str
    fastener: str
    kind: str
    outcome: str
    standing: str
    value: str
    unit: str
    shown: str
    shown_unit: str
    target: str
    low: str
    high: str
    set_to: str
    set_to_unit: str
    tool: str
    serial: str
    adapter: str
    person: str
    deviation: float | None
    seconds: float | None
    measured: str = ""
    typed: str = ""  # when, where it was typed in late from a paper form
    told: str = ""  # its stage as people know it, where several joints have the same ones; else as `stage`
    until: str = ""  # the end of its round, where that stands on a paper form


class OfPlan(Struct, frozen=True):
    """Words of the plan about stages by their numbers that the record does not have: the name of what a measure stage
    measures, of several joints the number by which each stage is told, and the stages whose pressure a tensioner puts
    on."""

    measured: Mapping[int, str] = MappingProxyType({})
    numbered: Mapping[int, int] = MappingProxyType({})
    tensioned: tuple[int, ...] = ()


NOTHING_SAID = OfPlan()


class _Stage:
    """Target and lower end of a stage's window as the group's table has them."""

    def __init__(self, group: str, target: str, low: str) -> None:
        self.group, self._target, self._low = group, target, low
        self._known: dict[str, tuple[float | None, str]] = {}

    def target_of(self, low: str) -> tuple[float | None, str]:
        """The target, as a number and written; a window that prevailing torque moved, moved the target as much."""
        found = self._known.get(low)
        if found is None:
            found = self._known[low] = self._moved(low)
        return found

    def _moved(self, low: str) -> tuple[float | None, str]:
        target, planned, now = number(self._target), number(self._low), number(low)
        if target is not None and planned is not None and now is not None and now != planned:
            target += now - planned
        return target, "" if target is None else format(target, ".12g")


def pulls(record: Table, plan: OfPlan = NOTHING_SAID) -> Iterator[Pull]:
    """Every row of the record that is about a pull, a turn or a measurement, in the order of the daybook."""
    stages = _stages(record)
    homes, serials = _homes(record), _serials(record)
    before: float | None = None
    made: dict[tuple[int, str], Pull] = {}
    for row in rows(record, "reading"):
        pull = _pull(row, stages, homes, serials, before, plan)
        if pull is None:
            continue
        first = _put_right(row, pull, made)
        if first is not None:
            pull = replace(pull, at=first.at, time=first.time, seconds=first.seconds)
        elif pull.time is not None:
            before = pull.time
        made[pull.line, pull.step] = pull
        yield pull


def _put_right(row: Table, pull: Pull, made: Mapping[tuple[int, str], Pull]) -> Pull | None:
    """The pull that a row puts right: its number is another one, and it was made when it was made."""
    line = row.get("corrects")
    return made.get((line, pull.step)) if isinstance(line, int) else None


def has_measured(record: Table) -> bool:
    """True where a measure stage gave a value."""
    return any(row.get("kind") == MEASUREMENT for row in rows(record, "reading"))


def _pull(
    row: Table,
    stages: Mapping[tuple[str, str], _Stage],
    homes: Mapping[str, tuple[str, str]],
    serials: Mapping[str, list[tuple[int, str]]],
    before: float | None,
    plan: OfPlan,
) -> Pull | None:
    said = {key: value[:_MOST] for key, value in row.items() if isinstance(value, str)}
    told = said.get
    stage, kind, position = f"{row.get('stage')}.{row.get('round')}"[:_MOST], told("kind", ""), told("position", "")
    line = row.get("line")
    if kind not in _KINDS or not isinstance(line, int) or not 0 < line < _LINES:
        return None
    known = stages.get((stage, kind))
    group, fits = homes.get(position, ("", ""))
    shown = told("at_fastener") or told("sum") or told("result") or ""
    at = told("time_on_form", "") or told("on_form_since", "") or told("at", "")
    time = moment(at)
    if row.get("no_time_on_form"):  # its place in the order is known, and the day that stands on top of the form
        at = at[:_DAY]
    low = told("window_from", "")
    pumped_up = told("outcome") == "under" and row.get("stage") in plan.tensioned
    standing = in_words.told(told("standing", ""), pumped_up=pumped_up)
    target, written = known.target_of(low) if known is not None and kind in _WITH_TARGET else (None, "")
    return Pull(
        line=line,
        at=at,
        time=time,
        step=told("step", ""),
        stage=stage,
        group=known.group if known is not None else group,
        position=own(position),
        fastener=fits,
        kind=kind,
        outcome=told("outcome", ""),
        standing=standing,
        value=told("value", ""),
        unit=told("unit", ""),
        shown=shown,
        shown_unit=told("judged_unit", ""),
        target=written,
        low=low,
        high=told("window_to", ""),
        set_to=told("set_to", ""),
        set_to_unit=told("set_to_unit", ""),
        tool=told("tool", ""),
        serial=next((serial for since, serial in serials.get(told("tool", ""), ()) if since <= line), ""),
        adapter=told("adapter", ""),
        person=told("done_by", "") or told("by", ""),
        deviation=_deviation(shown, target) if standing not in _NO_PULL else None,
        seconds=None if time is None or before is None or not 0 < time - before <= LONGEST_PULL else time - before,
        measured=_measured(row, plan),
        typed=told("typed_at", ""),
        told=f"{_numbered(row, plan)}.{row.get('round')}"[:_MOST],
        until=told("on_form_until", ""),
    )


def _numbered(row: Table, plan: OfPlan) -> object:
    stage = row.get("stage")
    return plan.numbered.get(stage, stage) if isinstance(stage, int) else stage


def _measured(row: Table, plan: OfPlan) -> str:
    stage = row.get("stage")
    named = plan.measured.get(stage, "") if isinstance(stage, int) and row.get("kind") == MEASUREMENT else ""
    return named[:_MOST]


def _deviation(shown: str, target: float | None) -> float | None:
    value = number(shown)
    if value is None or target is None or target <= 0:
        return None
    percent = (value - target) / target * 100
    return percent if math.isfinite(percent) else None


def _stages(record: Table) -> dict[tuple[str, str], _Stage]:
    found = {}
    for group in rows(record, "group"):
        for row in rows(group, "stage"):
            place = f"{row.get('stage')}.{row.get('round')}"[:_MOST], _text(row, "what")
            found[place] = _Stage(_text(group, "group"), _text(row, "target"), _text(row, "window_from"))
    for stage, kind in tuple(found):
        if kind == "stretch" and (stage, "pull") in found:  # the torque before it is not what is aimed at
            found[stage, "pull"] = _Stage(found[stage, kind].group, "", "")
    return found


def _serials(record: Table) -> dict[str, list[tuple[int, str]]]:
    """The serial number of each tool, by its id, since which line of the daybook; the latest first."""
    found: dict[str, list[tuple[int, str]]] = {}
    for tool in rows(record, "tool"):
        for taken in rows(tool, "taken"):
            line = taken.get("line")
            if isinstance(line, int):
                found.setdefault(_text(tool, "tool"), []).append((line, _text(tool, "serial")))
    return {id: sorted(each, reverse=True) for id, each in found.items()}


def _homes(record: Table) -> dict[str, tuple[str, str]]:
    """Group and fastener of each position: what fits it, else the group's thread."""
    threads = {_text(row, "group"): _text(row, "thread") for row in rows(record, "group")}
    found = {}
    for row in rows(record, "position"):
        group = _text(row, "group")
        found[_text(row, "position")] = group, _text(row, "fits") or threads.get(group, "")
    return found


def _text(row: Table, key: str) -> str:
    value = row.get(key)
    return value[:_MOST] if isinstance(value, str) else ""
