"""From what was chosen at the bench, or said on the command line, to a run in hand on the screen."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace
from textual.screen import Screen

from clampbook.book import toolbox
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.release import before_start, not_released
from clampbook.run.asked import wants_a_tool
from clampbook.screens.settled import Settled, in_short, next_part, with_form

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.scans import Scan
    from clampbook.book.starting.terms import Terms, Work
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.procedure.model import Procedure
    from clampbook.run_folder import RunFolder
    from clampbook.screens.app import Clampbook
    from clampbook.screens.open_run import Taken
    from clampbook.screens.paper_form import PaperForm
    from clampbook.tools.model import Stock


class Wanted(Struct, frozen=True, kw_only=True):
    """The work that is to be walked, as far as it was said: an open run, or work on terms. `form` is the paper form
    that is typed in, None where the work is done now."""

    run: RunFolder | None = None
    work: Work | None = None
    person: Person | None = None
    done_by: tuple[Person, ...] = ()
    trial: bool | None = None
    joint: str | None = None
    only: tuple[str, ...] | None = None
    equipment: str | None = None
    follow_up: str | None = None
    of: RunFolder | None = None
    despite: str | None = None
    form: PaperForm | None = None
    scans: tuple[Scan, ...] = ()


def begin(app: Clampbook, book: Book, clock: Clock, wanted: Wanted) -> Screen[None]:
    """The screen that asks what is missing; where nothing is, the walk itself."""
    if wanted.run is None and wanted.work is None:
        from clampbook.screens.which_run import WhichRun

        return WhichRun(book.open_runs(), partial(_chosen, app, book, clock, wanted))
    settled = _settled(wanted)
    if next_part(settled, book.people()) is None:
        if _lacking(book, clock, wanted, settled):
            return _without_a_tool(app, book, clock, wanted, settled)
        from clampbook.screens.walk import WalkScreen

        taken = take(book, clock, wanted, settled)
        app.hold(taken)
        return WalkScreen(taken, app.walked)
    from clampbook.screens.beginning import Beginning

    return Beginning(settled, book.people(), book.person_named, partial(_begun, app, book, clock, wanted))


def _chosen(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, run: RunFolder) -> None:
    """This one of several open runs is resumed."""
    try:
        app.push_screen(begin(app, book, clock, replace(wanted, run=run)))
    except LedgerFault as fault:
        app.screen.tell(fault.sentence)  # type: ignore[attr-defined]


def _settled(wanted: Wanted) -> Settled:
    if wanted.run is not None:
        from clampbook.book.starting.frozen import plan_frozen

        plan = plan_frozen(wanted.run)
        return Settled(f"{plan.title} · {wanted.run.id}", person=wanted.person)
    assert wanted.work is not None
    procedure = wanted.work.procedure
    told = in_short(procedure)
    if wanted.of is not None:
        return Settled(f"{wanted.follow_up} · {told}", person=wanted.person)
    settled = Settled(told, procedure, wanted.person, wanted.trial, wanted.joint, wanted.only, wanted.despite)
    if wanted.form is None:
        return settled
    return with_form(settled, replace(wanted.form, done_by=wanted.done_by))


def _begun(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, settled: Settled | None) -> None:
    """All is known, or the person went back."""
    if settled is None:
        if wanted.form is not None and app.bench is not None:  # back to the list of forms
            app.pop_screen()
        else:
            app.walked()
        return
    try:
        if _lacking(book, clock, wanted, settled):
            app.push_screen(_without_a_tool(app, book, clock, wanted, settled))
            return
    except LedgerFault as fault:
        app.screen.tell(fault.sentence)  # type: ignore[attr-defined]
        return
    _walk(app, book, clock, wanted, settled)


def _walk(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, settled: Settled) -> None:
    """The run is opened, or resumed, and walked; what is refused is told."""
    try:
        taken = take(book, clock, wanted, settled)
    except LedgerFault as fault:
        app.screen.tell(fault.sentence)  # type: ignore[attr-defined]
        return
    app.walk(taken)


def _lacking(book: Book, clock: Clock, wanted: Wanted, settled: Settled) -> tuple[str, ...]:
    """Tell what the first pull lacks; nothing where a run is resumed. Raises LedgerFault for terms that do not fit."""
    from clampbook.book.starting.without_a_tool import without_a_tool

    if wanted.run is not None:
        return ()
    return without_a_tool(book, *_terms(wanted, settled), clock.now().date())


def _without_a_tool(app: Clampbook, book: Book, clock: Clock, wanted: Wanted, settled: Settled) -> Screen[None]:
    from clampbook.screens.without_a_tool import WithoutATool

    lacking = partial(_lacking, book, clock, wanted, settled)
    start = partial(_walk, app, book, clock, wanted, settled)
    return WithoutATool(book, settled.title, lacking, start, app.walked)


def _terms(wanted: Wanted, settled: Settled) -> tuple[Work, Terms]:
    """The work of a new run, and the terms on which it is done."""
    from clampbook.book.starting.of_the_form import digits_of
    from clampbook.book.starting.terms import Terms
    from clampbook.people import NOT_NAMED

    assert settled.person is not None
    form = settled.form
    hands = wanted.done_by or (() if form is None else form.done_by)
    work = (form.work if form is not None else None) or wanted.work
    assert work is not None
    return work, Terms(
        person=settled.person,
        done_by=hands[0] if hands else None if form is None else NOT_NAMED,
        also_done_by=hands[1:],
        on_paper_from=form.began if form is not None else None,
        form=digits_of(work) if form is not None else None,
        trial=bool(settled.trial),
        joint=settled.joint if wanted.of is None else wanted.joint,
        only=settled.only or (),
        equipment=wanted.equipment,
        follow_up=wanted.follow_up,
        of=wanted.of,
        despite=settled.despite,
    )


def take(book: Book, clock: Clock, wanted: Wanted, settled: Settled) -> Taken:
    """The run in hand: opened now, or resumed. Raises LedgerFault, LockHeld."""
    from clampbook.book.starting.new_run import open_run
    from clampbook.people import first_of
    from clampbook.procedure.cautions import IN_SHORT
    from clampbook.screens.open_run import Taken

    assert settled.person is not None
    if wanted.run is not None:
        before = wanted.run.last()
        taken = Taken(
            book, wanted.run, clock, settled.person, first_of(wanted.done_by), fresh=False, scans=wanted.scans
        )
        taken.gathering.tell(_back(book, before or {}, wanted.run.last() or {}))
        return taken
    work, terms = _terms(wanted, settled)
    tools = toolbox.stock_or_fault(book, terms.on_paper_from)
    read_first = _out_of_the_usual(book, work, terms, tools)
    run = open_run(book, work, terms, clock, "system")
    taken = Taken(
        book,
        run,
        clock,
        settled.person,
        terms.done_by,
        fresh=True,
        tools=tools,
        read_first=read_first,
        scans=(*wanted.scans, *(settled.form.scans if settled.form is not None else ())),
    )
    cautions = (IN_SHORT,) if settled.form is None else ()  # nobody works while a form is typed in
    taken.gathering.tell(" ".join((*cautions, *_of_the_release(taken, work.procedure, clock))))
    return taken


def _of_the_release(taken: Taken, procedure: Procedure, clock: Clock) -> tuple[str, ...]:
    """A list of tools needs all the room; that it is a plain draft was said where it was chosen."""
    if wants_a_tool(taken.walk.prompt) and not_released(procedure) is None and procedure.status == "draft":
        return ()
    return before_start(procedure, clock.now().date())


def _back(book: Book, before: Mapping[str, Any], resumed: Mapping[str, Any]) -> str:
    """Tell somebody who comes back who stopped and when; and what a break left behind."""
    from clampbook.run.told.breaks import after_a_break
    from clampbook.screens.bench_lists import moment_in_words

    by = before.get("by")
    who = next((person.name for person in book.people() if person.id == by), by)
    told = f"Resumed. Last answer: {moment_in_words(before.get('typed_at') or before.get('at'))}, {who}."
    return " ".join((told, *after_a_break(resumed)))


def _out_of_the_usual(book: Book, work: Work, terms: Terms, tools: tuple[Stock, str | None]) -> tuple[str, ...]:
    """Tell what a person should have read as the run begins; none of it holds them up."""
    from clampbook.book.starting.followed_up import told_before
    from clampbook.book.starting.new_run import open_beside, twins

    told = [*told_before(book, work, terms)]
    told += [each.told for each in open_beside(book, work, terms)]
    unread = tools[1]
    if unread is not None:
        told.append(f"The tools cannot be read: {unread}. Correct that before the first pull.")
    for joint, event in twins(book, work, terms.joint):
        if event.person.id == terms.person.id:
            told.append(f"{terms.person.name} also did {joint}. Let someone else do this one if possible.")
            break
    return tuple(told)
