"""The printed list of affected work, as a PDF of its own; a list of a day, no record."""

from __future__ import annotations

from datetime import UTC, datetime

from clampbook.archive.affected_runs import Found
from clampbook.archive.affected_words import Suspicion, blocks
from clampbook.record.pages.blocks import Pages
from clampbook.record.pages.pages import encoded
from clampbook.record.report import Paper, typeset
from clampbook.text import grouped


def pdf(suspicion: Suspicion, found: Found, *, made: datetime, log_head: str, paper: Paper = "a4") -> bytes:
    """The list as PDF/A; `log_head` is the hash of the last line of the book's log when it was made.

    Raises RecordFault where the pages cannot be set.
    """
    at = made.astimezone(UTC)
    pages = Pages(
        title=f"Affected work of {suspicion.tool.name}",
        run=f"{suspicion.tool.name}, looked through on {made:%Y-%m-%d}",
        fingerprint=grouped(log_head[:16]),
        made=(at.year, at.month, at.day, at.hour, at.minute, at.second),
        blocks=tuple(blocks(suspicion, found)),
        attached=(),
        anchor="Last line of the book’s log",
    )
    return typeset(encoded(pages), {}, paper)
