"""The run that a follow-up follows: what is carried over from it, and what is told of it, however little is known.

Nothing is forbidden because its record does not know something. Unknown counts as unknown, and is told.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from clampbook.book.book import Book
from clampbook.book.starting.frozen import first_event, plan_frozen
from clampbook.book.starting.terms import Terms, Work, plan_for, work_named, work_of
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.run.events import Earlier, LeftAt, Opened
from clampbook.run.fold.fastener import known_loose
from clampbook.run.meters import meters_of
from clampbook.run.plan import DueLater, Plan
from clampbook.run.progress import Progress
from clampbook.run.told.left_before import at_the_bolts
from clampbook.run.use import Meter
from clampbook.run.walk import read_events, read_progress
from clampbook.run_folder import RunFolder
from clampbook.text import as_sentence, printable

_LOOK = "Inspect every position first."


class FollowedUp(Struct, frozen=True, kw_only=True):
    """The run that a follow-up follows: how it left its positions, what it was on, and which joint of it, or which of
    several where it left others out.

    `ended` is how it ended, None where its daybook cannot be read; then `unread` says why.
    """

    earlier: Earlier
    series: str | None = None
    worked_on: str | None = None
    joint: str | None = None
    only: tuple[str, ...] = ()
    ended: str | None = None
    ended_reason: str | None = None
    unread: str | None = None

    def carried(self, terms: Terms) -> Terms:
        """The terms with the thing and the joint of the first run. Raises LedgerFault where others were named."""
        run = self.earlier.run
        for named, known, what in ((terms.equipment, self.worked_on, "on"), (terms.joint, self.joint, "of joint")):
            if named is not None and known is not None and named.casefold() != known.casefold():
                raise LedgerFault(
                    f"{run} was {what} {printable(known)}, not {printable(named)}. A follow-up is on the same one"
                )
        on = self.worked_on or terms.equipment
        return replace(terms, equipment=on, joint=self.joint or terms.joint, only=self.only)


class _Read(Struct, frozen=True):
    """The plan and the progress of a run, as far as they can be read, and why where they cannot."""

    plan: Plan | None = None
    progress: Progress | None = None
    meters: tuple[Meter, ...] = ()
    why: str | None = None


def work_followed(book: Book, run: RunFolder, named: str | None = None) -> Work:
    """The procedure of a follow-up: the one that is `named`; else that of the first run as it was frozen then, or,
    where this cannot be read, the one of the book that has its name. Raises Faulty, LedgerFault."""
    if named is not None:
        return work_named(book, named)
    try:
        return work_of(run)
    except (Faulty, LedgerFault) as unread:
        try:
            return work_named(book, run.id[9:-9])
        except LedgerFault:
            raise unread from None


def followed_up(work: Work, terms: Terms) -> FollowedUp | None:
    """The run that is followed up, which must be over; None where none is. Raises LedgerFault."""
    run = terms.of
    if run is None or terms.follow_up is None:
        return None
    if run.addendum_to is not None:
        raise LedgerFault(f"{run.id} is an addendum to {run.addendum_to}. An addendum has no follow-up")
    if run.state == "open":
        raise LedgerFault(f"{run.id} is still open. Close it first: clampbook walk --resume {run.id}")
    opened, read = _opened(run), _read(run)
    progress, plan = read.progress, read.plan
    late = None if plan is None else _due_then(plan, work, terms.follow_up)
    return FollowedUp(
        earlier=Earlier(
            run=run.id,
            follow_up=terms.follow_up,
            positions={} if progress is None else _positions(progress),
            damaged=progress is None or progress.ended == "damaged",
            loosened={} if progress is None else _loosened(progress),
            meters=read.meters,
            or_use=None if late is None else late.or_use,
            called_then=None if late is None or late.title == terms.follow_up else late.title,
            left_open=_left_open(run) if plan is not None and plan.late else {},
        ),
        series=None if opened is None else opened.series,
        worked_on=progress.worked_on if progress is not None else opened.equipment if opened is not None else None,
        joint=None if plan is None else plan.joint,
        only=tuple(joint.name for joint in plan.joints) if plan is not None and plan.joints_left_out else (),
        ended=None if progress is None else progress.ended,
        ended_reason=None if progress is None else progress.ended_reason,
        unread=read.why,
    )


def _due_then(plan: Plan, work: Work, title: str) -> DueLater | None:
    """The follow-up as the first run announced it: by its title, or, where a newer revision calls it otherwise, the
    only one whose title that revision has no more; None where neither tells."""
    same = next((each for each in plan.due_later if each.title == title), None)
    if same is not None:
        return same
    titles = {each.title for each in work.procedure.follow_ups}
    gone = [each for each in plan.due_later if each.title not in titles]
    return gone[0] if len(gone) == 1 else None


def told_before(book: Book, work: Work, terms: Terms) -> tuple[str, ...]:
    """Tell what is to be read before a follow-up: where the first run leaves something open, and where the same work is
    under way. Raises LedgerFault."""
    first = followed_up(work, terms)
    if first is None:
        return ()
    plan = plan_for(work, first.carried(terms))
    return (*_told(first, plan), *_under_way(book, first.earlier))


def _under_way(book: Book, earlier: Earlier) -> Iterator[str]:
    for run in book.unfinished_runs():
        of = None if (opened := _opened(run)) is None else opened.of_run
        if of is not None and of.named == earlier.named:
            yield f"Run {run.id} of this follow-up is open. Resume it, or start a second one."


def _told(first: FollowedUp, plan: Plan) -> Iterator[str]:
    run = first.earlier.run
    why = f": {printable(first.ended_reason)}" if first.ended_reason else ""
    match first.ended:
        case None:
            unread = as_sentence(first.unread or "it has no line")
            yield f"{run} cannot be read. How often each bolt was tightened is not known. {_LOOK} {unread}"
            return
        case "damaged":
            told = "What was done after that is not known, nor how often each bolt was tightened"
            yield f"{run} was closed with a damaged daybook. {told}. {_LOOK}"
        case "abandoned":
            yield f"{run} was abandoned{why}. What it left undone is not known. {_LOOK}"
        case "not accepted":
            yield f"{run} was closed as not accepted{why}. {_LOOK}"
        case "trial":
            yield f"{run} was a trial assembly, without its final stages. {_LOOK}"
        case _:
            pass
    if left := tuple(at_the_bolts(plan, first.earlier.left_open)):
        yield f"{run} was typed in from a paper form. {' '.join(left)}"
    new = [position for position in plan.steps_of if position not in first.earlier.positions]
    if new:
        told = "How often they were tightened is not known"
        yield f"{run} does not know these positions: {', '.join(map(printable, new))}. {told}."


def _opened(run: RunFolder) -> Opened | None:
    return None if run.made_before else first_event(run)


def _read(run: RunFolder) -> _Read:
    try:
        plan = plan_frozen(run)
    except LedgerFault as fault:
        return _Read(why=fault.sentence)
    try:
        lines = run.lines()[0]
        progress = read_progress(run.daybook, plan, lines)
        return _Read(plan, progress, meters_of(plan, read_events(run.daybook, lines)))
    except LedgerFault as fault:
        return _Read(plan, why=fault.sentence)


def _left_open(run: RunFolder) -> dict[LeftAt, tuple[str, ...]]:
    """The positions that its paper form left open, by its record; none where that cannot be made."""
    from clampbook.record.pages.left_by_a_form import positions_left
    from clampbook.record.rebuilt import rebuilt

    try:
        return positions_left(tomllib.loads(rebuilt(run).text))
    except (LedgerFault, tomllib.TOMLDecodeError):
        return {}


def _positions(progress: Progress) -> dict[str, tuple[int, int]]:
    return {position: (state.attempt, state.tightenings) for position, state in progress.positions.items()}


def _loosened(progress: Progress) -> dict[str, str | None]:
    """Positions that a run left loosened: by how many degrees, None where fully, or where nothing is in the hole."""
    return {
        position: None if known_loose(state.fastener) else format(state.fastener.loosened_by, "f")
        for position, state in progress.positions.items()
        if known_loose(state.fastener) or state.fastener.loosened_by is not None
    }
