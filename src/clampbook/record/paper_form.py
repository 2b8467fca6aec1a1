"""The paper form of a procedure, as a PDF of its own: a form of a day, no record."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from hashlib import sha256

from clampbook.record.form.blocks import Block, Sheets
from clampbook.record.form.chosen import NOTHING, Taken
from clampbook.record.form.closing import closing
from clampbook.record.form.front import front
from clampbook.record.form.picture import captions, picture
from clampbook.record.form.rules import rules
from clampbook.record.form.work import work
from clampbook.record.pages.pages import encoded
from clampbook.record.report import FORM, Paper, typeset
from clampbook.run.plan import Plan
from clampbook.text import grouped


def blocks(plan: Plan, taken: Taken = NOTHING) -> Iterator[Block]:
    """Give what stands on the form, in the order of the work."""
    yield from front(plan, taken)
    yield rules(plan)
    yield from work(plan, taken)
    yield closing(plan)


def pdf(plan: Plan, procedure: bytes, *, made: datetime, paper: Paper = "a4", taken: Taken = NOTHING) -> bytes:
    """The form of this plan as PDF/A; each page names the bytes of the procedure's file that it was made from.

    Raises RecordFault where the pages cannot be set.
    """
    at = made.astimezone(UTC)
    named = f"{plan.title}, revision {plan.revision}, {plan.status}"
    drawn = picture(plan)
    form = Sheets(
        title=f"Paper form: {named}",
        named=named,
        fingerprint=grouped(sha256(procedure).hexdigest()[:16]),
        made=(at.year, at.month, at.day, at.hour, at.minute, at.second),
        picture=drawn,
        captions=captions(plan) if drawn is not None else (),
        blocks=tuple(blocks(plan, taken)),
    )
    return typeset(encoded(form), {}, paper, template=FORM)
