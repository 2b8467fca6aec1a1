"""The entry of a run in the index, taken from its record: whatever that holds, texts of bounded length or nothing.

A record may have been written by anybody: its own name for itself is not believed, only that of its folder.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from clampbook.archive.entry import BETWEEN, Entry, Later
from clampbook.archive.foreign import Table, moment, rows, text
from clampbook.archive.pulls import NOTHING_SAID, OfPlan, pulls
from clampbook.people import NOT_NAMED
from clampbook.record.left_open import FROM_PAPER
from clampbook.record.pages.left_by_a_form import left_open
from clampbook.run.use import answered_last
from clampbook.run_folder import ADDENDUM

_MOST_IN_ALL = 20_000  # characters of all texts of one kind
_MOST_DEVIATIONS = 2_000_000_000


def entry(run: str, record: Table, plan: OfPlan = NOTHING_SAID) -> Entry:
    """The entry of the run in the folder of this name, with what its frozen plan says of the stages."""
    at = text(record.get("closed_at")) or text(record.get("opened_at"))
    when = moment(at)
    title = text(record.get("title"))
    left = left_open(_sound_for_it(record))
    return Entry(
        run=run,
        title=title,
        revision=text(record.get("revision")),
        equipment=text(record.get("equipment")),
        joint=text(record.get("joint")),
        day=at[:10] if when is not None else "",
        ended=when if when is not None else 0.0,
        outcome=text(record.get("outcome")),
        deviations=_count(record.get("deviations")),
        late=record.get("from_paper") is True,
        unknown=left.unknown,
        undecided=left.undecided,
        unsigned=_joined(left.unsigned),
        people=_joined(_people(record)),
        tools=_joined(_tools(record)),
        lots=_joined(_lots(record)),
        due=_joined(_due(record)),
        procedure=f"{title} {run[9:-9]}",
        rest=_joined((run, *_rest(record))),
        of_run=_belongs_to(run, record),
        follows="" if _belongs_to(run, record) else text(record.get("of_run")),
        follow_up=text(record.get("of_follow_up")) or text(record.get("follow_up")),
        book=text(record.get("book")),
        pulls=tuple(pulls(record, plan)),
        later=tuple(_later(record)),
        meters=answered_last(_meters(record)),
    )


def unreadable(run: str, why: str) -> Entry:
    """The entry of a run whose record cannot be read: it can still be found by its name."""
    return Entry(run=run, procedure=run[9:-9], rest=run, fault=text(why))


def _belongs_to(run: str, record: Table) -> str:
    addendum = run[9:-9] == ADDENDUM and record.get("follow_up") == ADDENDUM
    return text(record.get("of_run")) if addendum else ""


def _count(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        return 0
    return min(max(value, 0), _MOST_DEVIATIONS)


def _joined(texts: Iterator[str] | tuple[str, ...]) -> str:
    return BETWEEN.join(dict.fromkeys(each for each in texts if each))[:_MOST_IN_ALL]


def _sound_for_it(record: Table) -> dict[str, Any]:
    """The parts of a record by which a form left something open, each value of the kind that it should be."""
    deviations = [
        {
            "position": text(row.get("position")),
            "departed": [{"kind": text(each.get("kind"))} for each in rows(row, "departed")],
            "decided": [{"choice": text(each.get("choice"))} for each in rows(row, "decided")],
        }
        for row in rows(record, "deviation")
    ]
    return {
        "from_paper": record.get("from_paper") is True,
        "position": [
            {"state": text(row.get("state")), "outcome": {step: text(word) for step, word in _outcomes(row)}}
            for row in rows(record, "position")
        ],
        "deviation": deviations,
        "sign_off": [{**row, "role": text(row.get("role"))} for row in rows(record, "sign_off")],
    }


def _outcomes(row: Table) -> list[tuple[str, object]]:
    found = row.get("outcome")
    return list(found.items()) if isinstance(found, dict) else []


NOBODY_NAMED = "not named on the form"  # who did the work of a run that was typed in from paper


def _who_worked_first(record: Table) -> list[Table]:
    """All who are named; of a form those who did the work come before whoever only typed it in."""
    named = rows(record, "person")
    if record.get("from_paper") is not True:
        return named
    worked = _who_worked(record)
    return sorted(named, key=lambda row: text(row.get("id")) not in worked)


def _who_worked(record: Table) -> set[str]:
    return {text(row.get("done_by")) or text(row.get("by")) for row in rows(record, "reading")}


def _people(record: Table) -> Iterator[str]:
    for row in _who_worked_first(record):
        name, id = text(row.get("name")), text(row.get("id"))
        if id == NOT_NAMED.id:
            if _who_worked(record) == {id}:
                yield NOBODY_NAMED
            continue
        yield f"{name} ({id})" if name.casefold() != id.casefold() else name


def _tools(record: Table) -> Iterator[str]:
    for row in rows(record, "tool"):
        name, id, serial = (text(row.get(key)) for key in ("name", "tool", "serial"))
        more = ", ".join(each for each in (id if id.casefold() != name.casefold() else "", serial) if each)
        yield f"{name} ({more})" if more else name


def _lots(record: Table) -> Iterator[str]:
    for row in rows(record, "part"):
        if row.get("recorded") != "left over":
            yield _pair(row.get("part"), row.get("what"))
    for row in rows(record, "reading"):
        if "lot" in row:
            yield _pair(row.get("what"), row.get("lot"))


def _pair(name: object, value: object) -> str:
    return f"{text(name)}: {text(value)}" if text(value) else ""


def _due(record: Table) -> Iterator[str]:
    for row in rows(record, "follow_up"):
        at, use = text(row.get("due_at"))[:10], text(row.get("or_use"))
        when = " or ".join(each for each in (f"due {at}" if at else "", f"after {use}" if use else "") if each)
        yield ", ".join(each for each in (text(row.get("title")), when) if each)


def _later(record: Table) -> Iterator[Later]:
    for row in rows(record, "follow_up"):
        if title := text(row.get("title")):
            yield Later(title, text(row.get("due_at")), text(row.get("or_use")))


def _meters(record: Table) -> Iterator[tuple[str, str, str]]:
    """Yield every answer about what counts use: the meter, its value and unit."""
    for row in rows(record, "answer"):
        if row.get("is") == "usage":
            value = text(row.get("value")) or text(row.get("answer"))
            yield text(row.get("asked")), value, text(row.get("unit"))


def _rest(record: Table) -> Iterator[str]:
    """All else that somebody may remember of a run."""
    if record.get("from_paper"):
        yield FROM_PAPER
    for key in (
        "outcome",
        "joint",
        "source",
        "series",
        "follow_up",
        "of_follow_up",
        "of_run",
        "reason",
        "procedure_status",
    ):
        yield text(record.get(key))
    for row in rows(record, "answer"):
        yield _pair(row.get("asked"), row.get("answer"))
    for row in rows(record, "deviation"):
        facts = [text(value) for each in rows(row, "departed") for value in each.values()]
        yield " ".join(each for each in (*facts, text(row.get("position"))) if each)
    for name, keys in _TOLD:
        for row in rows(record, name):
            yield " ".join(each for key in keys if (each := text(row.get(key))))


_TOLD = (
    ("note", ("note",)),
    ("decision", ("choice", "reason")),
    ("interruption", ("kind", "what", "reason")),
    ("sign_off", ("person_name", "meaning")),
    ("group", ("group", "thread", "property_class")),
)
