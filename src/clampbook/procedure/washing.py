"""Text of a procedure file as it is kept: every string and key cleaned, before anything asks what it means."""

from __future__ import annotations

from typing import Any

from clampbook.procedure.codes import Code
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.text import TextFault, clean

UNREAD = "\0"
"""Stands for a value that has a fault already, so that no second one is told of it; a file cannot hold it."""

_DEEPEST = 12
_LONGEST = 2000
_MAY_HAVE_LINES = frozenset({"note", "caution", "cautions", "prepare", "because"})


def washed(data: dict[str, Any], slips: Slips) -> dict[str, Any]:
    """A copy with all text cleaned; what cannot be cleaned is a slip and becomes UNREAD."""
    copy = _value(data, (), slips)
    assert isinstance(copy, dict)
    return copy


def _value(value: object, at: KeyPath, slips: Slips) -> object:
    if len(at) > _DEEPEST:
        slips.add(
            Code.TOO_DEEP,
            at[:_DEEPEST],
            "lists or tables are nested too deep",
            allowed="a few levels",
            hint="remove some of the brackets",
        )
        return UNREAD
    match value:
        case str():
            return _text(value, at, slips)
        case list():
            return [_value(entry, (*at, index), slips) for index, entry in enumerate(value)]
        case dict():
            return _table(value, at, slips)
        case _:
            return value


def _table(table: dict[str, Any], at: KeyPath, slips: Slips) -> dict[str, Any]:
    copy: dict[str, Any] = {}
    for key, value in table.items():
        here = (*at, key)
        kept = _text(key, here, slips, what="the key")
        if kept == UNREAD:
            continue
        if kept in copy:
            slips.add(Code.TWICE, here, "the key is there twice, its letters written in two ways", hint="remove one")
        copy[kept] = _value(value, here, slips)
    return copy


def _text(text: str, at: KeyPath, slips: Slips, what: str = "the text") -> str:
    named = next((part for part in reversed(at) if isinstance(part, str)), "")
    try:
        return clean(text, what=what, most=_LONGEST, lines=named in _MAY_HAVE_LINES)
    except TextFault as fault:
        code = Code.WRONG_LENGTH if len(text) > _LONGEST else Code.UNSEEN_SIGN
        slips.add(code, at, fault.sentence, found=text)
        return UNREAD
