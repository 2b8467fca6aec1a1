"""A new run is frozen and opened: what it uses, what it follows, and which open run is of the same work."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

import msgspec

from clampbook.book.book import Book
from clampbook.book.runs import Opening, new_run
from clampbook.book.starting.alongside import Alongside, alongside
from clampbook.book.starting.frozen import first_event, plan_frozen
from clampbook.book.starting.terms import Terms, Work, plan_for
from clampbook.ledger.formats import FORMAT
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock, stamp_of
from clampbook.run import plan as plans
from clampbook.run.events import Earlier, Opened, fields
from clampbook.run.fold.fastener import known_loose
from clampbook.run.progress import Progress
from clampbook.run.walk import read_progress
from clampbook.run_folder import RunFolder
from clampbook.text import clean, printable


def open_run(book: Book, work: Work, terms: Terms, clock: Clock, source: Literal["system", "handed in"]) -> RunFolder:
    """Freeze what a new run uses and write its first line. Raises LedgerFault, and then there is no run."""
    from importlib.metadata import version

    despite = _despite(work, terms)
    first = _followed_up(terms)
    if first is not None:
        terms = first.carried(terms)
    plan = plan_for(work, terms)
    series = first.opened.series if first is not None else _series(book, work, terms)
    beside = open_beside(book, work, terms)
    now = clock.now()
    stamp = stamp_of(now, terms.person.id)

    def opened(opening: Opening) -> dict[str, Any]:
        event = Opened(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            done_by=terms.done_by.id if terms.done_by is not None and terms.done_by.id != terms.person.id else None,
            daybook=FORMAT,
            run=opening.run,
            book=opening.book,
            log_head=opening.log_head,
            procedure_sha256=opening.procedure_sha256,
            plan_sha256=opening.plan_sha256,
            person=terms.person,
            version=version("clampbook"),
            clock=source,
            equipment=terms.equipment,
            series=series or (opening.run if terms.joint is not None else None),
            of_run=first.earlier if first is not None else None,
            done_by_person=terms.done_by,
            alongside=tuple(each.run for each in beside),
            despite=despite,
        )
        return fields(event)

    return new_run(book, work.slug, now.date(), work.data, plans.encode(plan), opened)


def _despite(work: Work, terms: Terms) -> str | None:
    """Give the reason why a withdrawn procedure is walked all the same, as it is kept. Raises LedgerFault where
    there is none."""
    if work.procedure.status != "withdrawn" or terms.of is not None:
        return None
    why = clean(terms.despite or "", what="the reason", most=200)
    if not why:
        raise LedgerFault(f"{printable(work.procedure.title)} is withdrawn. Say why you use it anyway")
    return why


def open_beside(book: Book, work: Work, terms: Terms) -> tuple[Alongside, ...]:
    """Open runs of the same work on what may be the same thing; a follow-up is none."""
    return () if terms.of is not None else alongside(book, work.slug, terms.joint, terms.equipment)


class _Followed(msgspec.Struct, frozen=True, kw_only=True):
    """The run that a follow-up follows: how it left its positions, what it was on, and which joint of it, or which of
    several where it left others out."""

    opened: Opened
    earlier: Earlier
    worked_on: str | None
    joint: str | None
    only: tuple[str, ...]

    def carried(self, terms: Terms) -> Terms:
        """The terms with the thing and the joint of the first run. Raises LedgerFault where others were named."""
        run = self.earlier.run
        for named, known, what in ((terms.equipment, self.worked_on, "on"), (terms.joint, self.joint, "of joint")):
            if named is not None and known is not None and named.casefold() != known.casefold():
                raise LedgerFault(
                    f"{run} was {what} {printable(known)}, not {printable(named)}. A follow-up is on the same one"
                )
        on = self.worked_on or terms.equipment
        return msgspec.structs.replace(terms, equipment=on, joint=self.joint, only=self.only)


def _followed_up(terms: Terms) -> _Followed | None:
    """The run that is followed up, which must be closed; None where none is."""
    if terms.of is None or terms.follow_up is None:
        return None
    if terms.of.addendum_to is not None:
        raise LedgerFault(f"{terms.of.id} is an addendum to {terms.of.addendum_to}. An addendum has no follow-up")
    plan, opened = plan_frozen(terms.of), first_event(terms.of)
    progress = read_progress(terms.of.daybook, plan, terms.of.lines()[0])
    if opened is None or progress.ended in (None, "abandoned"):
        raise LedgerFault(f"{terms.of.id} is not closed. Only a closed run has a follow-up")
    positions = {position: (state.attempt, state.tightenings) for position, state in progress.positions.items()}
    return _Followed(
        opened=opened,
        earlier=Earlier(
            run=terms.of.id,
            follow_up=terms.follow_up,
            positions=positions,
            damaged=progress.ended == "damaged",
            loosened=_loosened(progress),
        ),
        worked_on=progress.worked_on,
        joint=plan.joint,
        only=tuple(joint.name for joint in plan.joints) if plan.joints_left_out else (),
    )


def _loosened(progress: Progress) -> dict[str, str | None]:
    """Positions that a run left loosened: by how many degrees, None where fully, or where nothing is in the hole."""
    return {
        position: None if known_loose(state.fastener) else format(state.fastener.loosened_by, "f")
        for position, state in progress.positions.items()
        if known_loose(state.fastener) or state.fastener.loosened_by is not None
    }


def of_a_damaged_one(terms: Terms) -> tuple[str, ...]:
    """Tell what is to be read before a follow-up of a run that was closed as damaged; nothing of any other."""
    if terms.of is None or terms.follow_up is None or (terms.of.last() or {}).get("outcome") != "damaged":
        return ()
    told = "What was done after that is not known, nor how often each bolt was tightened"
    return (f"{terms.of.id} was closed with a damaged daybook. {told}. Inspect every position first.",)


def twins(book: Book, work: Work, joint: str | None) -> Iterator[tuple[str, Opened]]:
    """The latest runs of the other joints that the same procedure makes, each with its first line."""
    if joint is None:
        return
    for run in reversed(book.runs()):
        if f"-{work.slug}-" not in run.id or run.made_before:
            continue
        event = first_event(run)
        if event is None or event.series is None or event.of_run is not None:
            continue
        other = plan_frozen(run).joint
        if other is not None and other != joint:
            yield other, event


def _series(book: Book, work: Work, terms: Terms) -> str | None:
    """The series of the joint's latest twin that has no run of this joint yet; None where a new one begins."""
    own = {
        event.series
        for run in book.runs()
        if f"-{work.slug}-" in run.id
        and not run.made_before
        and (event := first_event(run)) is not None
        and event.series is not None
        if plan_frozen(run).joint == terms.joint
    }
    return next((event.series for _, event in twins(book, work, terms.joint) if event.series not in own), None)
