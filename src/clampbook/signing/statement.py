"""The text that a person signs: short, to be read before the passphrase is typed, and never changed."""

from __future__ import annotations

import re
from datetime import datetime

from msgspec import Struct

_SIGNED = re.compile(rb"^Signed at:      (.+)$", re.MULTILINE)
_SAID = {
    "performed": "I tightened these, as the record says.",
    "independently inspected": "I inspected these. I did none of the work.",
    "inspected again by the same person": "I inspected these myself, and I had a part in the work.",
    "answers for the work of others": "I answer for this work. I did not pull.",
    "concession": "I accept this as it is. I had no part in the work.",
    "addendum": "I add this to a sealed record.",
    "typed in from a paper form": "I typed in what stands on the form.",
}


class Statement(Struct, frozen=True, kw_only=True):
    """Vouching of a person for lines of a run. `at` holds the zone; `facts` is the SHA-256 of facts.sha256,
    None where it is signed while the run goes on; `step` names the place then, `reason` is as it was given. `stated`
    are the facts of the work that it is about, each with its label."""

    number: int
    person: str
    name: str
    role: str
    meaning: str
    key: str
    at: datetime
    title: str
    run: str
    book: str
    line: int
    lines: int
    head: str
    step: str | None = None
    reason: str | None = None
    facts: str | None = None
    stated: tuple[tuple[str, str], ...] = ()


def text(statement: Statement) -> bytes:
    """The text, as it is signed."""
    rows = [
        ("Work", statement.title),
        *statement.stated,
        ("Reason", statement.reason),
        ("Name", f"{statement.name} ({statement.person})"),
        ("As", f"{statement.role}, {statement.meaning}"),
        ("Signed at", statement.at.isoformat(timespec="seconds")),
        ("With key", statement.key),
        ("Run", f"{statement.run} of book {statement.book}"),
        ("Step", statement.step),
        ("Given in line", str(statement.line)),
        ("Lines by then", str(statement.lines)),
        ("Last of them", f"{statement.head} (SHA-256)"),
        ("facts.sha256", None if statement.facts is None else f"{statement.facts} (SHA-256)"),
    ]
    head = f"Clampbook, sign-off {statement.number}\n\n{said(statement.meaning)}\n\n"
    return (head + "".join(f"{f'{name}:':<16}{value}\n" for name, value in rows if value is not None)).encode()


def said(meaning: str) -> str:
    """A meaning as the sentence that is signed."""
    return _SAID.get(meaning, f"I vouch for this: {meaning}.")


def signed_at(data: bytes) -> datetime | None:
    """Read when a text says that it was signed; None where it says no such time."""
    found = _SIGNED.findall(data)
    try:
        at = datetime.fromisoformat(found[0].decode()) if len(found) == 1 else None
    except ValueError:
        return None
    return at if at is not None and at.tzinfo is not None else None
