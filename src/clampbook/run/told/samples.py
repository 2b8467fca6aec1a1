"""Words for a sample: how many are drawn, and what becomes of it where one fails."""

from __future__ import annotations

from typing import assert_never

from clampbook.procedure.model import Sample
from clampbook.units import show


def limits(sample: Sample | None) -> tuple[str, ...]:
    """A line for a form and a heading: "sample: 10 %, at least 2, drawn by an inspector"; none without a sample."""
    if sample is None:
        return ()
    least = f"at least {sample.least}" if sample.share is not None else str(sample.least)
    share = "" if sample.share is None else f"{show(sample.share, '%')}, "
    if sample.share is not None and sample.least == 1:
        share, least = share.removesuffix(", "), ""
    return (f"sample: {share}{least}, drawn by an inspector", f"if one fails: {_then(sample)}")


def _then(sample: Sample) -> str:
    match sample.then:
        case "as many again":
            return "as many again"
        case "all":
            return "all of them"
        case _ as never:
            assert_never(never)


def drawn(sample: tuple[int, int, int] | None) -> tuple[str, ...]:
    """The sample that a bolt is in: "sample: 4 of 20, 2 added after a failure"; none without a sample."""
    if sample is None:
        return ()
    size, of, added = sample
    more = f", {added} added after a failure" if added else ""
    return (f"sample: {size} of {of}{more}",)
