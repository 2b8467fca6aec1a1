"""The findings of the book about tools meanwhile, and what they mean for a run: which of its lines carry a
question mark.

A failed check goes back to the last good one: nobody knows since when the tool was off. A drop or a suspicion goes
forward from its own moment.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from msgspec import Struct

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.fold.trouble import Used
from clampbook.run.progress import Progress
from clampbook.tools.identity import folded
from clampbook.tools.model import LastCheck, Trouble
from clampbook.units import plain


class Suspect(Struct, frozen=True, kw_only=True):
    """A tool that something speaks against: the check that found it off, or `trouble`, what happened to it in a run.

    `found` (UTC) is when that check found it off, by `off` percent, where that is known.
    `others` are the serial numbers (folded) of other tools that have, or had, its id.
    `after` (UTC) is since when: its last passed check, None where it never had one; for a trouble its own moment.
    `good_again` is when it passed next, None where it has not yet.
    """

    tool: str
    others: frozenset[str] = frozenset()
    check: str | None = None
    found: str | None = None
    off: Decimal | None = None
    trouble: Trouble | None = None
    after: str | None = None
    good_again: str | None = None

    def is_this(self, id: str, serial: str | None) -> bool:
        """True where a tool of a run is the one."""
        return id == self.tool and (serial is None or folded(serial) not in self.others)


def suspected(
    events: Sequence[e.Event], progress: Progress, suspects: Iterable[Suspect]
) -> tuple[tuple[Suspect, int], ...]:
    """The suspects that this run used, or has in hand now, each with the first line that is in question; those that the
    daybook tells of already are left out."""
    told = set(_told(events))
    found = []
    for suspect in suspects:
        if _key(suspect) in told or (suspect.trouble is not None and suspect.trouble.run == progress.run):
            continue
        since = first_use(events, suspect)
        held = progress.hand.get(suspect.tool)
        in_hand = held is not None and suspect.is_this(held.tool.id, held.tool.serial)
        if since is None and suspect.good_again is None and in_hand:
            since = progress.seq + 1
        if since is not None:
            found.append((suspect, since))
    return tuple(found)


def good_again(progress: Progress, suspects: Iterable[Suspect]) -> dict[str, str]:
    """The tools that this run knows in question and that passed a check since, with when that was (UTC)."""
    passed = {_key(each): each.good_again for each in suspects}
    found = {}
    for tool in dict.fromkeys((*progress.failed, *progress.troubles)):
        failed = progress.failed.get(tool)
        known = [each.told_at for each in progress.troubles.get(tool, ()) if each.kind in ("dropped", "suspect")]
        moments = [passed.get(key) for key in (*known, *((failed,) if failed is not None else ()))]
        if moments and None not in moments:
            found[tool] = max(each for each in moments if each is not None)
    return found


def flagged(suspect: Suspect, since: int, stamp: Stamp) -> e.ToolSuspected:
    """The line that a run keeps of it."""
    return e.ToolSuspected(
        at=stamp.text,
        offset=stamp.offset,
        by=stamp.by,
        done_by=stamp.other_hands,
        tool=suspect.tool,
        since=since,
        check=suspect.check,
        found=suspect.found,
        off=None if suspect.off is None else plain(suspect.off),
        withdrawn=suspect.check is not None and suspect.good_again is None,
        trouble=suspect.trouble,
    )


def passed(tool: str, at: str, check: LastCheck | None, stamp: Stamp) -> e.ToolPassed:
    """The line that a run keeps of a tool that is good again."""
    return e.ToolPassed(
        at=stamp.text,
        offset=stamp.offset,
        by=stamp.by,
        done_by=stamp.other_hands,
        tool=tool,
        passed=at,
        last_check=check,
    )


def first_use(events: Iterable[e.Event], suspect: Suspect) -> int | None:
    """The first line that was done with a tool while it was in question; None where none was.

    After a failed check a tool counts that was only taken up: what its zero was is in question too.
    """
    meant = True
    for event in events:
        if isinstance(event, e.ToolTaken) and event.tool.id == suspect.tool:
            meant = suspect.is_this(event.tool.id, event.tool.serial)
        if suspect.after is not None and event.at <= suspect.after:
            continue
        if suspect.good_again is not None and event.at > suspect.good_again:
            continue
        if isinstance(event, e.ToolTaken):
            if suspect.check is not None and meant and event.tool.id == suspect.tool:
                return event.seq
        elif isinstance(event, Used) and meant and event.tool == suspect.tool:
            return event.seq
    return None


def _key(suspect: Suspect) -> object:
    return suspect.check if suspect.trouble is None else suspect.trouble.told_at


def _told(events: Iterable[e.Event]) -> Iterator[object]:
    """Yield what the lines tell of already: a tool that was taken up all the same is in question from there
    on by itself.
    """
    for event in events:
        if isinstance(event, e.ToolSuspected):
            yield event.check if event.trouble is None else event.trouble.told_at
        elif isinstance(event, e.ToolTaken):
            yield from (each.told_at for each in event.troubles)
