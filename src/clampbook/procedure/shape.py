"""The shape of a procedure file: all slips of shape in the data at once, and the sheet as far as it goes.

A part with a slip is replaced by `UNREAD` or by an empty table that says so, and the rest is read on, so that slips of
shape and of meaning are told together.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from clampbook.procedure.codes import Code
from clampbook.procedure.key_words import meant, table_of
from clampbook.procedure.shape_words import slip_of
from clampbook.procedure.sheet import NEWEST_FORMAT, Sheet
from clampbook.procedure.sheet_stages import TAGS
from clampbook.procedure.sheet_values import is_number
from clampbook.procedure.slips import KeyPath, Slip, Slips, short
from clampbook.procedure.washing import UNREAD

_STAND_INS: dict[str, dict[str, Any]] = {
    "stage": {"do": "inspect", "ask": UNREAD},
    "steps": {"do": "inspect", "ask": UNREAD},
    "group": {"name": UNREAD},
    "ask": {"name": UNREAD},
    "part": {"name": UNREAD},
    "follow_up": {"title": UNREAD, "after": UNREAD, "stage": [{"do": "inspect", "ask": UNREAD}]},
    "accepted": {"query": UNREAD, "because": UNREAD},
}
_MOST_ROUNDS = 12
MOST_TOLD = 2000
"""Of more slips of shape than this the first are told: no person wrote such a file, and none would read them all."""


def shaped(data: dict[str, Any], slips: Slips) -> Sheet | None:
    """The sheet, complete where `slips` stays empty; None where too little is left of it. `data` is changed."""
    if not _known_format(data, slips):
        return None
    tries: dict[KeyPath, int] = {}
    for again in range(_MOST_ROUNDS):
        try:
            return Sheet.model_validate(data)
        except ValidationError as refused:
            errors = refused.errors(include_url=False)
        if not again:
            slips.found.extend(_told(errors[:MOST_TOLD]))
        if len(errors) > MOST_TOLD:
            return None
        for error in errors:
            if not _mended(data, error, tries, slips):
                return None
    return None


def _known_format(data: dict[str, Any], slips: Slips) -> bool:
    """True where the file's format is one that can be read; of a newer one nothing else is said."""
    found = data.get("format")
    if isinstance(found, int) and not isinstance(found, bool) and found > NEWEST_FORMAT:
        slips.add(
            Code.FORMAT,
            ("format",),
            f"the file is in format {short(repr_of(found))}, and this version reads format {NEWEST_FORMAT}",
            found=repr_of(found),
            allowed=str(NEWEST_FORMAT),
            hint="use a newer Clampbook",
        )
        return False
    if is_number(found) and found != NEWEST_FORMAT:
        slips.add(
            Code.FORMAT,
            ("format",),
            f"the file is in format {short(repr_of(found))}, and this version reads format {NEWEST_FORMAT}",
            found=repr_of(found),
            allowed=str(NEWEST_FORMAT),
            hint=f"write format = {NEWEST_FORMAT}",
        )
        data["format"] = NEWEST_FORMAT
    return True


def repr_of(number: object) -> str:
    """A number for a sentence; Python refuses to write out one of more than 4300 digits."""
    return "a very large number" if isinstance(number, int) and abs(number) >= 10**20 else str(number)


def _told(errors: Iterable[ErrorDetails]) -> list[Slip]:
    """One slip a place, without keys that are missing only because they are misspelled or stand further down."""
    found: dict[tuple[KeyPath, str], Slip] = {}
    meant_keys: set[KeyPath] = set()
    for error in errors:
        if _faulted(error["input"]):
            continue
        at = _path(error)
        slip = slip_of(error, at)
        found.setdefault((slip.at, slip.code), slip)
        if slip.code == Code.BELOW_A_TABLE:
            meant_keys |= {at[-1:], (*at[:-2], at[-1])}
        elif error["type"] == "extra_forbidden" and (key := _meant(error)):
            meant_keys.add((*at[:-1], key))
    return [slip for slip in found.values() if slip.code != Code.MISSING_KEY or slip.at not in meant_keys]


def _meant(error: ErrorDetails) -> str | None:
    return meant(str(error["loc"][-1]), table_of(error["loc"]))


def _faulted(value: object) -> bool:
    """True where a slip was told of this value already."""
    return value == UNREAD or (isinstance(value, dict) and value.get("do") == UNREAD)


def _path(error: ErrorDetails) -> KeyPath:
    """pydantic's place as a key path of the file: without tags, and without its mark for a key."""
    loc = error["loc"]
    if error["type"] == "extra_forbidden":  # its last part is a key of the file, whatever it looks like
        return (*(part for part in loc[:-1] if part not in TAGS), loc[-1])
    return tuple(part for part in loc if part not in TAGS and part != "[key]")


def _mended(data: dict[str, Any], error: ErrorDetails, tries: dict[KeyPath, int], slips: Slips) -> bool:
    """Take the part at fault out, at each try a larger one; False where nothing would be left."""
    at = _path(error)
    tries[at] = tries.get(at, 0) + 1
    if error["type"] == "extra_forbidden":
        _misspelled(data, at, _meant(error))
        return _without(data, at)
    if error["loc"][-1] == "[key]":
        return _without(data, at)
    if at == ("format",):
        data["format"] = NEWEST_FORMAT
        return True
    if tries[at] == 1 and error["type"] != "no_such_stage":
        return _with(data, at, UNREAD)
    if tries[at] == 2 and isinstance(at[-1], str):
        slips.unread.add(at)
        return _without(data, at)
    return _stand_in(data, at)


def _misspelled(data: Any, at: KeyPath, key: str | None) -> None:
    """Take the key that was meant as written, so that it is not missed as well."""
    table = _reached(data, at[:-1])
    if key is not None and isinstance(table, dict) and key not in table:
        table[key] = UNREAD


def _with(data: Any, at: KeyPath, value: object) -> bool:
    table, last = _reached(data, at[:-1]), at[-1]
    if isinstance(table, dict) or (isinstance(table, list) and isinstance(last, int) and last < len(table)):
        table[last] = value  # type: ignore[index]
    return True


def _without(data: Any, at: KeyPath) -> bool:
    table = _reached(data, at[:-1])
    if isinstance(table, dict):
        table.pop(at[-1], None)
    return True


def _stand_in(data: Any, at: KeyPath) -> bool:
    """Put an empty entry in place of the nearest list entry around, else take the nearest table away."""
    for length in range(len(at), 1, -1):
        name = at[length - 2]
        if isinstance(at[length - 1], int) and isinstance(name, str) and name in _STAND_INS:
            return _with(data, at[:length], dict(_STAND_INS[name]))
    return len(at) > 1 and _without(data, at[:1])


def _reached(data: Any, at: KeyPath) -> Any:
    for part in at:
        if isinstance(data, dict):
            data = data.get(part)
        elif isinstance(data, list) and isinstance(part, int) and part < len(data):
            data = data[part]
        else:
            return None
    return data
