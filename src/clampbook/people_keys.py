"""The public keys in people.toml, in the order of the file: read, one more written, one withdrawn, all else left alone.

tomlkit is taken for writing because it keeps comments and order of what somebody wrote by hand.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import datetime
from typing import Any

from clampbook.signing import public
from clampbook.signing.held import HeldKey, written
from clampbook.signing.wire import KeyFault
from clampbook.text import as_sentence


def read_keys(data: bytes) -> tuple[HeldKey, ...]:
    """All keys of a people file that can be read as TOML. Raises KeyFault naming whose key is not whole."""
    found: list[HeldKey] = []
    for person in tomllib.loads(data.decode()).get("person", []):
        for entry in person.get("key", []):
            try:
                found.append(_held(str(person["id"]), entry))
            except (KeyFault, KeyError, TypeError, ValueError) as fault:
                told = fault.sentence if isinstance(fault, KeyFault) else "it needs public and added, each as text"
                raise KeyFault(
                    f"people.toml: a key of {person.get('id')} cannot be used. {as_sentence(told)}"
                ) from fault
    return tuple(found)


def with_key(data: bytes, held: HeldKey) -> bytes:
    """The file with one more key at the end of its person."""

    def add(person: Any) -> None:
        import tomlkit

        entry = tomlkit.table()
        entry.update({"public": held.key.text, "added": written(held.added)})
        entry.add(tomlkit.nl())
        person.setdefault("key", tomlkit.aot()).append(entry)

    return _changed(data, held.person, add)


def with_withdrawal(data: bytes, held: HeldKey) -> bytes:
    """The file with the time from which a key is not valid any more, and why."""

    def withdraw(person: Any) -> None:
        for entry in person["key"]:
            if entry["public"] == held.key.text and held.withdrawn is not None:
                entry["withdrawn"] = written(held.withdrawn)
                if held.why:
                    entry["why"] = held.why
                if held.known_since is not None:
                    entry["known_since"] = written(held.known_since)

    return _changed(data, held.person, withdraw)


def _held(person: str, entry: Any) -> HeldKey:
    until = entry.get("withdrawn")
    return HeldKey(
        person,
        public.read(entry["public"]),
        _moment(entry["added"]),
        None if until is None else _moment(until),
        entry.get("why"),
        _moment(entry["known_since"]) if "known_since" in entry else None,
    )


def _moment(text: str) -> datetime:
    at = datetime.fromisoformat(text)
    if at.tzinfo is None:
        raise KeyFault(f"{text} has no time zone. Write it like 2026-03-02T09:14:07Z")
    return at


def _changed(data: bytes, person: str, change: Callable[[Any], None]) -> bytes:
    import tomlkit

    document: Any = tomlkit.parse(data.decode())
    for each in document["person"]:
        if each["id"] == person:
            change(each)
    return tomlkit.dumps(document).encode()
