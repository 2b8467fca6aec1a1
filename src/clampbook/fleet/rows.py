"""The rows of a record: each key as it stands, with what other tables of the same record say of it.

A record may have been written by anybody. What is not of the kind that a column holds stands among `other`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

import msgspec

from clampbook.archive.foreign import Table as Record
from clampbook.archive.foreign import rows
from clampbook.fleet.columns import Holds, Table
from clampbook.fleet.of_checks import CHECK_READINGS, CHECKS
from clampbook.fleet.of_runs import ACTS, DEVIATIONS, ESTIMATES, PARTS, RUNS, TOOLS

Row = dict[str, Any]
_BELOW_A_RUN = frozenset(
    {"person", "answer", "part", "caution", "prepared", "tool", "group", "position", "reading", "wait", "inspection"}
    | {"deviation", "decision", "sign_off", "clamp_load", "interruption", "note", "in_question", "sample", "scan"}
)
_BELOW_A_CHECK = frozenset({"person", "phase", "point", "at_the_joint", "beside", "reading", "interruption", "note"})


class Lies(NamedTuple):
    """All that is known of a run or check besides its record."""

    name: str
    book_name: str
    sealed: bool
    sha256: str

    @property
    def columns(self) -> Row:
        """As columns."""
        return {"book_name": self.book_name, "sealed": self.sealed, "record_sha256": self.sha256}


def of_run(lies: Lies, record: Record) -> Iterator[tuple[Table, Row]]:
    """Every row of a run."""
    own = {"run": lies.name}
    serials = {str(each.get("tool")): each.get("serial") for each in rows(record, "tool")}
    groups = {each.get("group"): each for each in rows(record, "group")}
    of_position = {each.get("position"): each.get("group") for each in rows(record, "position")}
    yield from _acts(record, own, _Joint(groups, of_position, serials))
    for tool in rows(record, "tool"):
        taken = rows(tool, "taken")
        yield TOOLS, _row(TOOLS, tool, {**own, "taken_at": taken[0].get("at") if taken else None})
    yield from _deviations(record, own, of_position)
    for load in rows(record, "clamp_load"):
        about = {key: load.get(key) for key in ("stage", "round", "do", "group", "unit")}
        yield from ((ESTIMATES, _row(ESTIMATES, at, own | about)) for at in rows(load, "at"))
    yield from ((PARTS, _row(PARTS, part, own)) for part in rows(record, "part"))
    heading = {key: value for key, value in record.items() if key not in _BELOW_A_RUN}
    yield RUNS, _row(RUNS, heading, {"of_book": heading.pop("book", None), **lies.columns, **own})


class _Joint(NamedTuple):
    """All that the record says of groups and tools, for the acts on them."""

    groups: Mapping[Any, Record]
    of_position: Mapping[Any, Any]
    serials: Mapping[str, Any]

    def aims(self) -> Callable[[Row], Row]:
        """Gives what an act aimed at and which bolt it was, from its stage, round, kind and position."""
        aims = {
            (group, each.get("stage"), each.get("round"), each.get("what")): each
            for group, about in self.groups.items()
            for each in rows(about, "stage")
        }
        same = {
            group: {"group": group, **{key: about.get(key) for key in ("thread", "property_class", "lubrication")}}
            for group, about in self.groups.items()
        }

        def told(act: Row) -> Row:
            group = self.of_position.get(act.get("position"))
            found = dict(same.get(group, {}))
            found["tool_serial"] = self.serials.get(act.get("tool", ""))
            aim = aims.get((group, act.get("stage"), act.get("round"), act.get("kind")))
            if aim is not None and "target" in aim:
                found["target"] = aim["target"]
                found["target_unit"] = aim.get("unit") or act.get("judged_unit") or act.get("sheet_unit")
            return found

        return told


def _acts(record: Record, own: Row, joint: _Joint) -> Iterator[tuple[Table, Row]]:
    told = joint.aims()
    found: list[tuple[Record, str, Row]] = [(act, "reading", {}) for act in rows(record, "reading")]
    found += [(act, "wait", {"kind": "wait"}) for act in rows(record, "wait")]
    found += [(act, "inspection", {"kind": "inspection"}) for act in rows(record, "inspection")]
    for act, row, more in sorted(found, key=lambda each: _line(each[0])):
        yield ACTS, _row(ACTS, act, {**told(dict(act)), **more, **own, "row": row})


def _line(row: Record) -> int:
    line = row.get("line")
    return line if isinstance(line, int) else 0


def _deviations(record: Record, own: Row, of_position: Mapping[Any, Any]) -> Iterator[tuple[Table, Row]]:
    for number, deviation in enumerate(rows(record, "deviation"), start=1):
        last = (rows(deviation, "decided") or [{}])[-1]
        about = {key: value for key, value in deviation.items() if key not in ("departed", "decided")}
        more = {
            "deviation": number,
            "group": of_position.get(deviation.get("position")),
            "choice": last.get("choice"),
            "decided_reason": last.get("reason"),
            "decided_person": last.get("person"),
        }
        for place, departure in enumerate(rows(deviation, "departed"), start=1):
            yield DEVIATIONS, _row(DEVIATIONS, {**about, **departure}, {**own, **more, "departure": place})


def of_check(lies: Lies, record: Record) -> Iterator[tuple[Table, Row]]:
    """Every row of a check."""
    tool, reference = (found if isinstance(found := record.get(key), dict) else {} for key in ("tool", "reference"))
    both = {
        "check": lies.name,
        "tool_serial": tool.get("serial"),
        "reference_serial": reference.get("serial"),
        "closed_at": record.get("closed_at"),
        "unit": record.get("unit"),
    }
    for reading in rows(record, "reading"):
        yield CHECK_READINGS, _row(CHECK_READINGS, reading, both)
    heading = {key: value for key, value in record.items() if key not in _BELOW_A_CHECK | {"tool", "reference"}}
    named = {
        "tool": tool.get("id"),
        "tool_name": tool.get("name"),
        "tool_kind": tool.get("kind"),
        "permissible_percent": tool.get("permissible_percent"),
        "reference": reference.get("id"),
        "reference_name": reference.get("name"),
        "reference_certificate": reference.get("certificate"),
    }
    yield CHECKS, _row(CHECKS, heading, {"of_book": heading.pop("book", None), **lies.columns, **both, **named})


_LISTS = {table.name: [key for key, holds in table.keys.items() if holds is Holds.TEXTS] for table in (RUNS, ACTS)}
_KEYS = {
    table.name: table.keys.keys() - {"other"}
    for table in (RUNS, ACTS, TOOLS, DEVIATIONS, ESTIMATES, PARTS, CHECKS, CHECK_READINGS)
}


def _row(table: Table, said: Record, more: Row) -> Row:
    """All that is said, then what is known besides; of a key that no column has, only among `other`."""
    row = {**said, **more}
    strange = row.keys() - _KEYS[table.name]
    strange |= {key for key in _LISTS.get(table.name, ()) if key in row and not _is_texts(row[key])}
    if strange:
        other = {key: row.pop(key) for key in sorted(strange)}
        row["other"] = msgspec.json.encode(other, enc_hook=str).decode()
    return row


def _is_texts(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(each, str) for each in value)
