"""The faults that the reader of tools.toml finds in an entry still being typed, before anything is written."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import tomli_w

from clampbook.faults import Fault, Faulty
from clampbook.procedure.codes import Code as Shared
from clampbook.screens.tools.form_items import ITEMS
from clampbook.text import as_sentence, ended, quoted
from clampbook.tools.codes import Code
from clampbook.tools.editing import List, Value
from clampbook.tools.reader import read_stock

_WORD = re.compile(r"\b\w+\b")
_KEY = re.compile(r"(\w+)\[(\d+)\](?:\.(\w+))?.*")


def faults_of(
    held: Mapping[str, Any], kind: List, at: int | None, entry: Mapping[str, Value]
) -> dict[str, tuple[Fault, ...]]:
    """All faults of one entry by its keys ("" for the entry as a whole), as if it stood in the file `held`.

    `at` is its place in the list, None for a new one at its end.
    """
    rows = list(held.get(kind, []))
    place = len(rows) if at is None else at
    rows[place:] = [dict(entry), *rows[place + 1 :]]
    found: dict[str, tuple[Fault, ...]] = {}
    try:
        read_stock(tomli_w.dumps({**held, kind: rows}).encode(), "tools.toml")
    except Faulty as faulty:
        for fault in faulty.faults:
            key = _KEY.fullmatch(fault.key)
            if key is not None and key[1] == kind and int(key[2]) == place + 1:
                found[key[3] or ""] = (*found.get(key[3] or "", ()), fault)
    return found


def said(fault: Fault, kind: List) -> str:
    """Tell what is wrong, as it is said beside the item itself: in the words of the form, without lines of a file."""
    if fault.code in (Shared.MISSING_KEY, Code.NO_SCALE, Shared.WRONG_LENGTH) and fault.key:
        return "this is needed"
    words = {item.key: item.words for item in ITEMS[kind] if "_" in item.key}
    text, hint = (
        _WORD.sub(lambda word: quoted(words[word[0]]) if word[0] in words else word[0], part)
        for part in (fault.text, fault.hint)
    )
    return f"{ended(text)} {as_sentence(hint)}" if hint and " = " not in hint else text
