"""Sums of files in the form of sha256sum, which checks them with `sha256sum -c`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from hashlib import sha256

from clampbook.record.sealed.names import place

_LINE = re.compile(rb"([0-9a-f]{64})  ([^\n\\]+)")


def digests(files: Mapping[str, bytes]) -> dict[str, str]:
    """The SHA-256 of each file."""
    return {name: sha256(data).hexdigest() for name, data in files.items()}


def sums(hashes: Mapping[str, str]) -> bytes:
    """The file of these sums, in the one order that they have."""
    return "".join(f"{hashes[name]}  {name}\n" for name in sorted(hashes, key=place)).encode()


def entries(data: bytes) -> Iterator[tuple[int, str, str] | int]:
    """Number, name and sum of each line; the number alone where a line has not this form."""
    *whole, rest = data.split(b"\n")
    for number, line in enumerate(whole, start=1):
        found = _LINE.fullmatch(line)
        if found is None:
            yield number
        else:
            yield number, found[2].decode("utf-8", "backslashreplace"), found[1].decode()
    if rest:
        yield len(whole) + 1


def first_difference(one: bytes, other: bytes) -> int:
    """The line, from 1, in which two files differ first."""
    if one == other:
        return 0
    ours, theirs = one.split(b"\n"), other.split(b"\n")
    pairs = enumerate(zip(ours, theirs, strict=False), start=1)
    return next((number for number, (mine, its) in pairs if mine != its), min(len(ours), len(theirs)) + 1)
