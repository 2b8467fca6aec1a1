"""The cause that calls a tool into question, in a clause behind its name: as a person said it, or as it is known."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from clampbook.run.progress import InQuestion, WhyInQuestion
from clampbook.tools.model import happened
from clampbook.tools.state import found_off


def cause(asked: InQuestion) -> str:
    """ "it creaks", "dropped on 2026-03-02", "check 20260302-w5-aaaaaaaa of 2 March 2026 found it off by +6.10 %"."""
    return cause_words(asked.why, asked.because, asked.on, asked.check, asked.off, here=asked.here)


def cause_words(
    why: WhyInQuestion, because: str | None, on: str | None, check: str | None, off: str | None, *, here: bool
) -> str:
    """The same of its facts, wherever they stand."""
    if here and because is not None:
        return because
    match why:
        case "failed":
            return found_off(check or "", on or "", None if off is None else Decimal(off))
        case "dropped" | "suspect" | "zero wrong" | "zero unknown":
            return happened(why, on or "", because)
        case _:
            assert_never(why)
