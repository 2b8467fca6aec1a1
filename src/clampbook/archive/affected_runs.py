"""Looking through the runs of a book for affected work: one run after the other, once each, from its folder."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from clampbook.archive.affected import AffectedRun, Span, affected, names
from clampbook.check.profile import Profile
from clampbook.ledger.inside import read_file
from clampbook.ledger.lines import decode
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import DAMAGED, RunFolder
from clampbook.tools.identity import Identity
from clampbook.work.frozen import RecordFault

MOST_OF_A_DAYBOOK = 500_000_000  # bytes
Progress = Callable[[int, int], None]  # runs looked at, of how many


class Found(Struct, frozen=True):
    """The runs that a tool was used on, and a sentence for each that could not be looked through."""

    runs: tuple[AffectedRun, ...] = ()
    unread: tuple[str, ...] = ()

    @property
    def outside(self) -> int:
        """The number of pulls that count and would have been outside."""
        return sum(len(run.outside) for run in self.runs)

    @property
    def undecided(self) -> int:
        """The number of pulls too near to an end of their window to tell."""
        return sum(run.undecided for run in self.runs)

    @property
    def pulls(self) -> int:
        """The number of uses of the tool, whatever became of them."""
        return sum(len(run.readings) for run in self.runs)

    @property
    def kept(self) -> int:
        """The number of them that count."""
        return sum(len(run.kept) for run in self.runs)


def look_through(
    runs: Sequence[RunFolder], tool: Identity, span: Span, off: Profile | None, progress: Progress | None = None
) -> Found:
    """Find what a tool did in these runs during a span. The time it takes grows with the size of the daybooks.

    `progress` is told after each run; what it raises ends the search.
    """
    found: list[AffectedRun] = []
    unread: list[str] = []
    for done, run in enumerate(runs, start=1):
        try:
            one, told = _one(run, tool, span, off), _damaged(run, tool.id, span)
        except (LedgerFault, RecordFault) as fault:
            unread.append(f"{run.id} could not be looked through: {fault.sentence}")
        else:
            if one is not None:
                found.append(one)
            if told:
                unread.append(told)
        if progress is not None:
            progress(done, len(runs))
    return Found(tuple(found), tuple(unread))


def _damaged(run: RunFolder, tool: str, span: Span) -> str:
    """Say what is to be known of a run with a damaged daybook skipped, where that names the tool, or cannot be
    read so far that it may; "" where it does not."""
    aside = sorted(path for path in run.path.glob(f"{DAMAGED}*") if path.is_file() and not path.is_symlink())
    if not aside or not _overlaps(run, span):
        return ""
    kept = frozenset(read_file(run.daybook, MOST_OF_A_DAYBOOK).split(b"\n"))
    for path in aside:
        lost = [line for line in read_file(path, MOST_OF_A_DAYBOOK).split(b"\n") if line not in kept]
        if any(f'"{tool}"'.encode() in line for line in lost):
            return f"{run.id}: the damaged part of its daybook names {tool}, and what was done with it is not known"
        if not all(map(_legible, lost)):
            told = f"whether {tool} was used in the damaged part of its daybook is not known"
            return f"{run.id}: {told}, as lines of it cannot be read"
    return ""


def _overlaps(run: RunFolder, span: Span) -> bool:
    """True where any of the run can lie in the span: it was closed after it began, and opened before it ended."""
    opened, closed = (str((line or {}).get("at", "")) for line in (run.first(), run.last()))
    return (span.after is None or closed > span.after) and (span.until is None or opened <= span.until)


def _legible(line: bytes) -> bool:
    try:
        decode(line)
    except LedgerFault:
        return False
    return True


def _one(run: RunFolder, tool: Identity, span: Span, off: Profile | None) -> AffectedRun | None:
    """A daybook that does not name the tool is read, but not folded; one whose last line is torn counts up to there."""
    daybook = read_file(run.daybook, MOST_OF_A_DAYBOOK)
    if not names(daybook, tool.id):
        return None
    whole = daybook[: daybook.rfind(b"\n") + 1]
    return affected(run.procedure(), run.plan(), whole, tool, span, off)
