"""The paper form of a procedure, as a PDF of its own: a form of a day, no record."""

from __future__ import annotations

from datetime import UTC, datetime
from hashlib import sha256

from clampbook.record.pages.blank import blocks
from clampbook.record.pages.blocks import Pages
from clampbook.record.pages.pages import encoded
from clampbook.record.pages.proof import grouped
from clampbook.record.report import Paper, typeset
from clampbook.run.plan import Plan


def pdf(plan: Plan, procedure: bytes, *, made: datetime, paper: Paper = "a4") -> bytes:
    """The form of this plan as PDF/A; each page names the bytes of the procedure's file that it was made from.

    Raises RecordFault where the pages cannot be set.
    """
    at = made.astimezone(UTC)
    named = f"{plan.title}, revision {plan.revision}, {plan.status}"
    pages = Pages(
        title=f"Paper form: {named}",
        run=named,
        fingerprint=grouped(sha256(procedure).hexdigest()[:16]),
        made=(at.year, at.month, at.day, at.hour, at.minute, at.second),
        blocks=tuple(blocks(plan)),
        attached=(),
        anchor="SHA-256 of the procedure’s file",
    )
    return typeset(encoded(pages), {}, paper)
