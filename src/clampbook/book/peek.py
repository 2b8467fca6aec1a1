"""A quick look at the small files of a book that are plainly in order: without the reader that finds all faults.

Loading that reader takes longer than all else at the bench; whatever is not plainly in order is left to it.
"""

from __future__ import annotations

import stat
import tomllib
from pathlib import Path
from typing import Any

from clampbook.people import Person, known_name
from clampbook.slug import is_slug
from clampbook.text import TextFault, clean
from clampbook.unit_table import UNITS_OF, Kind

_OF_A_BOOK, _OF_PEOPLE = 1, 2  # formats of book.toml and of people.toml
_PLAIN = {"paper": ("a4", "letter"), "unit": UNITS_OF[Kind.TORQUE]}  # what may stand on a cover, too
_SMALL = 65536  # bytes
_LONGEST = 2000  # characters of a text, as everywhere in files


def small(path: Path) -> bytes:
    """The bytes of a small regular file; empty where it is none, so that it is read with care."""
    try:
        found = path.stat()
        return path.read_bytes() if stat.S_ISREG(found.st_mode) and found.st_size < _SMALL else b""
    except OSError:
        return b""


def cover(data: bytes) -> tuple[str, str] | None:
    """Id and name of a book, or None where its book.toml must be read with care."""
    table = _loaded(data)
    if (
        table is None
        or table.keys() - _PLAIN != {"format", "id", "name"}
        or not _is_format(table["format"], _OF_A_BOOK)
    ):
        return None
    if any(table.get(key, words[0]) not in words for key, words in _PLAIN.items()):
        return None
    id, name = _text(table["id"]), _text(table["name"])
    return (id, name) if id and name else None


def people(data: bytes) -> tuple[Person, ...] | None:
    """The people of a book, or None where its people.toml must be read with care."""
    table = _loaded(data)
    if (
        table is None
        or not table.keys() <= {"format", "person"}
        or not _is_format(table.get("format", _OF_PEOPLE), _OF_PEOPLE)
    ):
        return None
    rows = table.get("person", [])
    found = [_person(row) for row in rows] if isinstance(rows, list) else [None]
    known = [person for person in found if person is not None]
    if len(known) != len(found) or len({person.id for person in known}) != len(known):
        return None
    return tuple(known)


def _person(row: object) -> Person | None:
    if not isinstance(row, dict) or row.keys() - {"key"} != {"id", "name"} or not _are_keys(row.get("key", [])):
        return None
    id, name = _text(row["id"]), _text(row["name"])
    if not id or not name or not is_slug(id):
        return None
    try:
        return Person(id, known_name(name))
    except TextFault:
        return None


def _are_keys(rows: object) -> bool:
    """Tell whether these are keys as the program writes them; whether they can be used is seen when one is wanted."""
    if not isinstance(rows, list):
        return False
    wanted, known = {"public", "added"}, {"public", "added", "withdrawn", "why"}
    return all(
        isinstance(row, dict) and wanted <= row.keys() <= known and all(map(_text, row.values())) for row in rows
    )


def _loaded(data: bytes) -> dict[str, Any] | None:
    try:
        return tomllib.loads(data.decode())
    except (ValueError, RecursionError):
        return None


def _is_format(value: object, known: int) -> bool:
    return type(value) is int and value == known


def _text(value: object) -> str | None:
    """The text as it is kept, where nothing about it needs telling."""
    if not isinstance(value, str):
        return None
    try:
        kept = clean(value, most=_LONGEST)
    except TextFault:
        return None
    return kept if kept == value else None
