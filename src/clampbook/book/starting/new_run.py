"""A new run is frozen and opened: what it uses, what it follows, and which open run is of the same work."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

from clampbook import __version__
from clampbook.book.book import RUNS, Book
from clampbook.book.runs import Opening, new_run
from clampbook.book.settled import settled
from clampbook.book.starting.alongside import Alongside, alongside
from clampbook.book.starting.followed_up import followed_up
from clampbook.book.starting.frozen import first_event, plan_frozen
from clampbook.book.starting.terms import Terms, Work, plan_for
from clampbook.ledger.formats import FORMAT, RULES
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock, Stamp, offset_of, stamp_of
from clampbook.run import plan as plans
from clampbook.run.events import Opened, fields
from clampbook.run_folder import RunFolder, latest_first
from clampbook.text import clean, printable

_read_once: dict[Path, tuple[str | None, Opened] | None] = {}  # of runs in series, while this program goes on


def open_run(book: Book, work: Work, terms: Terms, clock: Clock, source: Literal["system", "handed in"]) -> RunFolder:
    """Freeze what a new run uses and write its first line. Raises LedgerFault, and then there is no run."""
    despite = _despite(work, terms)
    first = followed_up(work, terms)
    if first is not None:
        terms = first.carried(terms)
    plan = plan_for(work, terms)
    series = first.series if first is not None else _series(book, work, terms)
    beside = open_beside(book, work, terms)
    stamp = _first_stamp(terms, clock)

    def opened(opening: Opening) -> dict[str, Any]:
        event = Opened(
            at=stamp.text,
            offset=stamp.offset,
            by=stamp.by,
            typed_at=stamp.typed_text,
            done_by=terms.done_by.id if terms.done_by is not None and terms.done_by.id != terms.person.id else None,
            daybook=FORMAT,
            rules=RULES,
            run=opening.run,
            book=opening.book,
            log_head=opening.log_head,
            procedure_sha256=opening.procedure_sha256,
            plan_sha256=opening.plan_sha256,
            person=terms.person,
            version=__version__,
            clock=source,
            equipment=terms.equipment,
            series=series or (opening.run if terms.joint is not None else None),
            of_run=first.earlier if first is not None else None,
            done_by_person=terms.done_by,
            also_done_by=terms.also_done_by or None,
            alongside=tuple(each.run for each in beside),
            despite=despite,
            form=terms.form,
        )
        return fields(event)

    return new_run(book, work.slug, stamp.at.date(), work.data, plans.encode(plan), opened)


def _first_stamp(terms: Terms, clock: Clock) -> Stamp:
    """The time of the first line: now, or that of the form, which begins before now. Raises LedgerFault."""
    now, began = clock.now(), terms.on_paper_from
    if began is None:
        return stamp_of(now, terms.person.id)
    if began > now:
        raise LedgerFault(f"{began:%Y-%m-%d %H:%M} is still to come. A form that is filled began before now")
    return Stamp(began, offset_of(began), terms.person.id, typed=now)


def _despite(work: Work, terms: Terms) -> str | None:
    """Give the reason why a withdrawn procedure is walked all the same, as it is kept. Raises LedgerFault where
    there is none."""
    if work.procedure.status != "withdrawn" or terms.of is not None or terms.on_paper_from is not None:
        return None
    why = clean(terms.despite or "", what="the reason", most=200)
    if not why:
        raise LedgerFault(f"{printable(work.procedure.title)} is withdrawn. Say why you use it anyway")
    return why


def open_beside(book: Book, work: Work, terms: Terms) -> tuple[Alongside, ...]:
    """Open runs of the same work on what may be the same thing; a follow-up is none."""
    return () if terms.of is not None else alongside(book, work.slug, terms.joint, terms.equipment)


def twins(book: Book, work: Work, joint: str | None) -> Iterator[tuple[str, Opened]]:
    """The latest runs of the other joints that the same procedure makes, each with its first line."""
    for other, event in _in_series(book, work.slug) if joint is not None else ():
        if event.of_run is None and other is not None and other != joint:
            yield other, event


def _series(book: Book, work: Work, terms: Terms) -> str | None:
    """The series of the joint's latest twin that has no run of this joint yet; None where a new one begins, and where
    the procedure makes no more than one joint."""
    if terms.joint is None:
        return None
    own = {event.series for joint, event in _in_series(book, work.slug) if joint == terms.joint}
    return next((event.series for _, event in twins(book, work, terms.joint) if event.series not in own), None)


def _in_series(book: Book, slug: str) -> Iterator[tuple[str | None, Opened]]:
    """The runs of a procedure that are part of a series, the latest first, each with its joint and its first line.

    Every start of a run asks several times; of a run that is over, what was read once stays.
    """
    over, folder = settled(book).over, book.path(RUNS)
    for name in latest_first(folder, slug):
        run = RunFolder(folder / name)
        if name not in over or run.path not in _read_once:
            found = _joint_of(run)
            _read_once[run.path] = found
        known = _read_once[run.path]
        if known is not None:
            yield known


def _joint_of(run: RunFolder) -> tuple[str | None, Opened] | None:
    """The joint of a run and its first line; None where it is in no series."""
    event = None if run.made_before else first_event(run)
    return None if event is None or event.series is None else (plan_frozen(run).joint, event)
