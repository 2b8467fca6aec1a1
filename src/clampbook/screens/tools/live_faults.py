"""What the reader of tools.toml says of an entry that is still being typed: its rules, before anything is written."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import tomli_w

from clampbook.faults import Fault, Faulty
from clampbook.tools.editing import List, Value
from clampbook.tools.reader import read_stock

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
