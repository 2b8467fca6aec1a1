"""Looking through the runs of a book for what a tool touched: one run after the other, once each, from its folder."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from clampbook.archive.touched import Span, TouchedRun, names, touched
from clampbook.check.profile import Profile
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.frozen import RecordFault
from clampbook.run_folder import RunFolder

MOST_OF_A_DAYBOOK = 500_000_000  # bytes
Progress = Callable[[int, int], None]  # runs looked at, of how many


class Found(Struct, frozen=True):
    """The runs that a tool touched, and a sentence for each that could not be looked through."""

    runs: tuple[TouchedRun, ...] = ()
    unread: tuple[str, ...] = ()

    @property
    def outside(self) -> int:
        """How many pulls that count would have been outside."""
        return sum(len(run.outside) for run in self.runs)

    @property
    def undecided(self) -> int:
        """How many lie too near to an end of their window to tell."""
        return sum(run.undecided for run in self.runs)

    @property
    def pulls(self) -> int:
        """How many uses of the tool there are, whatever became of them."""
        return sum(len(run.readings) for run in self.runs)

    @property
    def kept(self) -> int:
        """How many of them count."""
        return sum(len(run.kept) for run in self.runs)


def look_through(
    runs: Sequence[RunFolder], tool: str, span: Span, off: Profile | None, progress: Progress | None = None
) -> Found:
    """What a tool (by id) did in these runs during a span. The time it takes grows with the size of the daybooks.

    `progress` is told after each run; what it raises ends the search.
    """
    found: list[TouchedRun] = []
    unread: list[str] = []
    for done, run in enumerate(runs, start=1):
        try:
            one = _one(run, tool, span, off)
        except (LedgerFault, RecordFault) as fault:
            unread.append(f"{run.id} could not be looked through: {fault.sentence}")
        else:
            if one is not None:
                found.append(one)
        if progress is not None:
            progress(done, len(runs))
    return Found(tuple(found), tuple(unread))


def _one(run: RunFolder, tool: str, span: Span, off: Profile | None) -> TouchedRun | None:
    """A daybook that does not name the tool is read, but not folded; one whose last line is torn counts up to there."""
    daybook = read_file(run.daybook, MOST_OF_A_DAYBOOK)
    if not names(daybook, tool):
        return None
    whole = daybook[: daybook.rfind(b"\n") + 1]
    return touched(run.procedure(), run.plan(), whole, tool, span, off)
