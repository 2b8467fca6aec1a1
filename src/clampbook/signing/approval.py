"""The text of a release or a withdrawal of a procedure: short, signed where the person has a key, saved with the file.

Its last line is one of sha256sum, so that `sha256sum -c` says whether the saved file is the one that was meant.
"""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

_SAID = {
    "release": "I compared this with the manual named below, line by line, and release it.",
    "withdrawal": "I withdraw this. Nobody should work by it any more.",
}


class Approval(Struct, frozen=True, kw_only=True):
    """A release or withdrawal. `key` None: the name was typed. `file` and `sha256` are of the saved file."""

    act: str  # release or withdrawal
    person: str
    name: str
    at: datetime
    key: str | None
    title: str
    revision: str
    book: str
    file: str
    sha256: str
    says: str
    compared_with: str | None = None
    look_again_by: str | None = None
    because: str | None = None
    queries: tuple[str, ...] = ()
    since: str | None = None  # the revision released before it, where there is one
    changes: tuple[str, ...] = ()  # in what it differs from that one


def text(approval: Approval) -> bytes:
    """The text, as it is signed."""
    rows = [
        ("Name", f"{approval.name} ({approval.person})"),
        ("Reason", approval.because),
        ("Signed at" if approval.key else "Given at", approval.at.isoformat(timespec="seconds")),
        ("With key", approval.key or "none: the name was typed"),
        ("Procedure", approval.title),
        ("Revision", approval.revision),
        ("Compared with", approval.compared_with),
        ("Compare by", approval.look_again_by),
        *(("Query answered", query) for query in approval.queries),
        ("Changes since", approval.since if approval.changes else None),
        *(("Changed", change) for change in approval.changes),
        ("Book", approval.book),
        ("What it says", f"{approval.says} (SHA-256 of its values)"),
    ]
    head = f"Clampbook, {approval.act} of a procedure\n\n{_SAID[approval.act]}\n\n"
    told = "".join(f"{f'{name}:':<16}{' '.join(value.split())}\n" for name, value in rows if value is not None)
    return f"{head}{told}\nThe file, as sha256sum -c reads it:\n{approval.sha256}  {approval.file}\n".encode()
