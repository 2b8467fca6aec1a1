"""Entries of one hand-written list put at the end of another: people, tools, adapters of two books. Bytes to bytes.

tomlkit keeps what a person wrote around the entries that are there already.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from msgspec import Struct

_UNREADABLE = (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError, ValueError)


class Joined(Struct, frozen=True):
    """The longer file, the ids that came in, and those that both have with other content: theirs stay away."""

    data: bytes
    came: tuple[str, ...] = ()
    collide: tuple[str, ...] = ()
    why_not: str = ""  # where the file cannot be made longer by a program


def joined(ours: bytes, theirs: bytes, name: str) -> Joined:
    """Our file with the entries of this list that only they have, by id."""
    try:
        held, other = _entries(ours, name), _entries(theirs, name)
    except _UNREADABLE as error:
        return Joined(ours, why_not=f"one of them is not valid TOML ({error})")
    came = {id: entry for id, entry in other.items() if id not in held}
    collide = tuple(id for id, entry in other.items() if id in held and held[id] != entry)
    if not came:
        return Joined(ours, collide=collide)
    longer = _longer(ours, name, came)
    if longer is None:
        return Joined(ours, collide=collide, why_not="its layout allows changes by hand only")
    return Joined(longer, tuple(came), collide)


def _entries(data: bytes, name: str) -> dict[str, Mapping[str, Any]]:
    rows = tomllib.loads(data.decode()).get(name, [])
    return {str(row.get("id")): row for row in rows if isinstance(row, dict)} if isinstance(rows, list) else {}


def _longer(ours: bytes, name: str, came: Mapping[str, Mapping[str, Any]]) -> bytes | None:
    """The file with these entries at its end; None where it would then say anything else."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    addition = tomlkit.document()
    several = tomlkit.aot()
    for entry in came.values():
        several.append(tomlkit.item(dict(entry)))
    addition.add(name, several)
    try:
        gap = b"\n" if ours.strip() else b""
        data = ours.rstrip(b"\n") + b"\n" + gap + tomlkit.dumps(addition).encode()
        held = tomllib.loads(ours.decode())
        wanted = {**held, name: [*held.get(name, []), *came.values()]}
        return data if tomllib.loads(data.decode()) == wanted else None
    except (TOMLKitError, *_UNREADABLE):
        return None
