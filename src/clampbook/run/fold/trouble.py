"""The troubles that a run knows of its tools: what it stored of them itself, and what it heard of other runs and
of checks.

A drop, a suspicion and a zero that is not good count from their own line on; what a check found counts back to the last
good one. A zero goes back to the last good zero, for nobody knows when it was lost.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from clampbook.ledger.stamp import day_there
from clampbook.run import events as e
from clampbook.run.progress import InHand, InQuestion, Progress
from clampbook.tools.model import Trouble, TroubleKind

_OF_A_ZERO: tuple[TroubleKind, ...] = ("zero wrong", "zero unknown")
USED = (e.ReadingTaken, e.Clicked, e.Confirmed, e.Turned, e.PrevailingRead, e.Measured, e.Rechecked)
Used = e.ReadingTaken | e.Clicked | e.Confirmed | e.Turned | e.PrevailingRead | e.Measured | e.Rechecked


def used(progress: Progress, event: Used) -> Progress:
    """Something was pulled, turned or measured with a tool: if that is in question, so is this."""
    if event.tool is None:
        return progress
    asked = progress.in_question
    if asked and any(_open(each, event.tool) and not each.pulled for each in asked):
        asked = tuple(replace(each, pulled=True) if _open(each, event.tool) else each for each in asked)
    return replace(progress, used=progress.used.insert(event.tool, event.seq), in_question=asked)


def known_of(progress: Progress, event: e.ToolTaken) -> Progress:
    """A tool is taken up although something happened to it: all that is pulled with it is in question."""
    heard = {each.told_at for each in progress.troubles.get(event.tool.id, ())}
    for trouble in event.troubles:
        if trouble.told_at not in heard:
            progress = _happened(progress, event.tool.id, trouble, event.seq, event.seq)
    return progress


def dropped(progress: Progress, event: e.ToolDropped) -> Progress:
    """It fell in this run."""
    return _happened(progress, event.tool, _here(progress, event, "dropped"), event.seq, event.seq)


def suspected(progress: Progress, event: e.ToolSuspected) -> Progress:
    """A person suspects it, something happened to it in another run, or a check found it off."""
    progress = replace(progress, deviations=progress.deviations + 1)
    if event.check is not None:
        return _found_off(progress, event)
    trouble = event.trouble or _here(progress, event, "suspect", event.why)
    return _happened(progress, event.tool, trouble, event.seq, event.since)


def zero_is_not_good(progress: Progress, event: e.ToolZeroed, held: InHand) -> Progress:
    """All that it showed since its last good zero is in question."""
    kind: TroubleKind = "zero wrong" if event.state == "wrong" else "zero unknown"
    progress = zero_is_good(progress, event)
    trouble = _here(progress, event, kind)
    if kind == "zero unknown":  # nobody says that it was off
        return _known(progress, event.tool, trouble)
    return _happened(progress, event.tool, trouble, event.seq, held.good_since)


def zero_is_good(progress: Progress, event: e.ToolZeroed) -> Progress:
    """Clear a tool of what its zero was before."""
    kept = tuple(each for each in progress.troubles.get(event.tool, ()) if each.kind not in _OF_A_ZERO)
    troubles = progress.troubles.insert(event.tool, kept) if kept else progress.troubles.discard(event.tool)
    return _ended(replace(progress, troubles=troubles), event.tool, event.seq, _OF_A_ZERO)


def borne(progress: Progress, tool: str, causes: Iterable[str], reason: str) -> Progress:
    """A tool is used for a reason, whatever of this speaks against it; that holds for the rest of the run."""
    reasons = progress.reasons
    for cause in causes:
        reasons = reasons.insert((tool, cause), reason)
    return replace(progress, reasons=reasons)


def zero_is_borne(progress: Progress, tool: str, reason: str) -> Progress:
    """The same of a zero that is not good."""
    return borne(progress, tool, causes_of_a_zero(progress, tool), reason)


def causes_of_a_zero(progress: Progress, tool: str) -> frozenset[str]:
    """Gather what speaks against a tool because of its zero; the next good zero takes it away."""
    return frozenset(each.cause for each in progress.troubles.get(tool, ()) if each.kind in _OF_A_ZERO)


def passed(progress: Progress, event: e.ToolPassed) -> Progress:
    """It is ready again; what was pulled before stays in question."""
    troubles, failed = progress.troubles.discard(event.tool), progress.failed.discard(event.tool)
    return _ended(replace(progress, troubles=troubles, failed=failed), event.tool, event.seq)


def another(progress: Progress, tool: str, line: int) -> Progress:
    """Another tool has this id from here on: what was pulled before stays in question, what comes after it does not."""
    reasons = progress.reasons
    for key in progress.reasons:
        if key[0] == tool:
            reasons = reasons.remove(key)
    troubles, failed, used = (kept.discard(tool) for kept in (progress.troubles, progress.failed, progress.used))
    return _ended(replace(progress, troubles=troubles, failed=failed, used=used, reasons=reasons), tool, line)


def _found_off(progress: Progress, event: e.ToolSuspected) -> Progress:
    assert event.check is not None
    asked = InQuestion(
        tool=event.tool,
        why="failed",
        line=event.seq,
        since=event.since,
        at=event.at,
        on=event.found,
        check=event.check,
        off=event.off,
    )
    return _asked(replace(progress, failed=progress.failed.insert(event.tool, event.check)), asked)


def _happened(progress: Progress, tool: str, trouble: Trouble, line: int, since: int) -> Progress:
    here = trouble.run == progress.run
    asked = InQuestion(
        tool=tool,
        why=trouble.kind,
        line=line,
        since=since,
        at=trouble.at,
        because=trouble.why,
        on=trouble.on,
        here=here,
    )
    return _asked(_known(progress, tool, trouble), asked)


def _asked(progress: Progress, asked: InQuestion) -> Progress:
    pulled = progress.used.get(asked.tool, 0) >= asked.since
    return replace(progress, in_question=(*progress.in_question, replace(asked, pulled=pulled)))


def _known(progress: Progress, tool: str, trouble: Trouble) -> Progress:
    before = progress.troubles.get(tool, ())
    return replace(progress, troubles=progress.troubles.insert(tool, (*before, trouble)))


def _open(one: InQuestion, tool: str) -> bool:
    return one.tool == tool and one.until is None


def _ended(progress: Progress, tool: str, line: int, kinds: tuple[TroubleKind, ...] | None = None) -> Progress:
    """From here on it is in question no more: for these reasons, or for any."""
    asked = tuple(
        replace(each, until=line) if _open(each, tool) and (kinds is None or each.why in kinds) else each
        for each in progress.in_question
    )
    return replace(progress, in_question=asked)


def _here(
    progress: Progress, event: e.ToolDropped | e.ToolSuspected | e.ToolZeroed, kind: TroubleKind, why: str | None = None
) -> Trouble:
    on = day_there(event.at, event.offset)
    return Trouble(kind=kind, at=event.at, on=on, run=progress.run, line=event.seq, why=why)
