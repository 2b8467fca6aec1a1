"""The text that goes with a seal: who sealed what, when, over which sums, and how long the log of the book was by then.

It is signed, in a namespace of its own, wherever the person who sealed has a key; else the name in it stands as typed.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import Literal

from msgspec import Struct

Sealed = Literal["run", "check"]
_ROW = re.compile(r"^([A-Z][a-z ]+|seal\.sha256): +(.+)$", re.MULTILINE)
_WHO = re.compile(r"(.+) \(([a-z0-9-]+)\)")
_LOG = re.compile(r"(\d{1,9}) lines, the last of them ([0-9a-f]{64}) \(SHA-256\)")
SHORTEST = 32  # hex digits of a hash that is noted; fewer could be met by trying
_NOBODY = "not said"
_TYPED = "none: nobody signed this seal"


class LogHead(Struct, frozen=True):
    """The end of a book's log at a moment: how many lines it had, and the SHA-256 of the last of them (64
    zeros of an empty one); of one that was noted on paper perhaps only its beginning.
    """

    book: str
    lines: int
    sha256: str

    @property
    def shown(self) -> str:
        """As it is noted down outside the book, and as verifying takes it: BOOK:N:HASH."""
        return f"{self.book}:{self.lines}:{self.sha256[:SHORTEST]}"


class SealStatement(Struct, frozen=True, kw_only=True):
    """Words of a seal. `of` is the name of what is sealed; `person` and `name` are None where nobody said who sealed,
    `key` is the fingerprint that it is signed with, None where it is not signed; `seal` is the SHA-256 of seal.sha256;
    `log` is where the book's log stood before."""

    what: Sealed
    of: str
    person: str | None
    name: str | None
    at: datetime
    key: str | None
    seal: str
    log: LogHead


def text(said: SealStatement) -> bytes:
    """The text, as it is signed."""
    rows = (
        ("Name", _NOBODY if said.person is None else f"{said.name} ({said.person})"),
        ("Sealed at", said.at.isoformat(timespec="seconds")),
        ("With key", said.key or _TYPED),
        (said.what.capitalize(), said.of),
        ("Book", said.log.book),
        ("seal.sha256", f"{said.seal} (SHA-256)"),
        ("Log before", f"{said.log.lines} lines, the last of them {said.log.sha256} (SHA-256)"),
    )
    head = f"Clampbook, seal of a {said.what}\n\nI seal every file named in seal.sha256, the report among them.\n\n"
    return (head + "".join(f"{f'{name}:':<16}{value}\n" for name, value in rows)).encode()


def read(data: bytes) -> SealStatement | None:
    """Statement that a text makes; None where it is not byte for byte as one is written."""
    try:
        rows = dict(_ROW.findall(data.decode()))
        what: Sealed = "run" if "Run" in rows else "check"
        who, log = _WHO.fullmatch(rows["Name"]), _LOG.fullmatch(rows["Log before"])
        if log is None or (who is None and rows["Name"] != _NOBODY):
            return None
        said = SealStatement(
            what=what,
            of=rows[what.capitalize()],
            person=None if who is None else who[2],
            name=None if who is None else who[1],
            at=datetime.fromisoformat(rows["Sealed at"]),
            key=None if rows["With key"] == _TYPED else rows["With key"],
            seal=rows["seal.sha256"].removesuffix(" (SHA-256)"),
            log=LogHead(rows["Book"], int(log[1]), log[2]),
        )
    except (UnicodeDecodeError, KeyError, ValueError):
        return None
    return said if said.at.tzinfo is not None and text(said) == data else None
