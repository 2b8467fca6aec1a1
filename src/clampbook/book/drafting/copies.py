"""A copy of what is typed into a draft and not saved yet, in the user's own folder for state.

It is no procedure: it stands outside every book, in a form that nothing walks by, and is only offered when the same
file is drafted again. It names the bytes that the draft began from, so that it never goes over a file that has changed.
"""

from __future__ import annotations

import contextlib
from datetime import datetime
from hashlib import sha256
from pathlib import Path

import msgspec

from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.slug import slug

_FOLDER = "drafts"
_FORM = 1
_MOST = 8_000_000  # bytes: JSON may take six for one
_SHORT = 16  # digits of a hash


class Copy(msgspec.Struct, frozen=True, kw_only=True):
    """The text that was typed, with time and file. `before` is the SHA-256 of that file's bytes, None where it was
    new."""

    copy: int = _FORM
    path: str
    before: str | None
    at: datetime
    text: str


def keep(path: Path, text: str, before: str | None, at: datetime) -> None:
    """Save this text aside in place of the copy before it; `before` as in Copy. Raises LedgerFault."""
    place = _place(path)
    try:
        make_folder(place.parent)
    except OSError as error:
        raise refusal(place.parent, error, "be made") from error
    made = Copy(path=str(path.resolve()), before=before, at=at, text=text)
    atomic.write(place, msgspec.json.encode(made))


def kept(path: Path) -> Copy | None:
    """Give the copy of this file's draft; None where there is none, or nothing can be read of it."""
    try:
        place = _place(path)
        return msgspec.json.decode(read_file(place, _MOST), type=Copy) if place.exists() else None
    except (OSError, LedgerFault, msgspec.MsgspecError):
        return None


def forget(path: Path) -> None:
    """The draft is saved, or nobody wants it: there is no copy any more."""
    with contextlib.suppress(OSError):
        _place(path).unlink(missing_ok=True)


def digest(data: bytes | None) -> str | None:
    """The SHA-256 by which a copy names what it began from."""
    return None if data is None else sha256(data).hexdigest()


def _place(path: Path) -> Path:
    from platformdirs import user_state_path

    name = sha256(str(path.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:_SHORT]
    return user_state_path("clampbook", appauthor=False) / _FOLDER / f"{slug(path.stem, 'draft')}-{name}.json"
