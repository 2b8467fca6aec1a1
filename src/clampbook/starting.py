"""From a book and a few words to a walk: a run is frozen and opened, or taken up again, and recorded at its end."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal

import msgspec

from clampbook.book import toolbox
from clampbook.book.alongside import Alongside, alongside
from clampbook.book.book import PROCEDURES, Book
from clampbook.book.keys import announced
from clampbook.book.news import ToolNews, WithdrawalNews
from clampbook.book.runs import Opening, abandoned_entry, new_run
from clampbook.book.troubles import Telling, tell_troubles
from clampbook.ledger.formats import BEFORE, FORMAT, unlike
from clampbook.ledger.inside import inside
from clampbook.ledger.lines import UNREADABLE
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, stamp_of
from clampbook.people import Person
from clampbook.procedure.model import Procedure
from clampbook.run import plan as plans
from clampbook.run.doubting import Suspect
from clampbook.run.events import Earlier, Opened, fields, read
from clampbook.run.fastener import known_loose
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.walk import Walk, read_progress
from clampbook.run_folder import PLAN, PROCEDURE, RunFolder
from clampbook.slug import slug
from clampbook.text import clean, printable


class Work(msgspec.Struct, frozen=True):
    """What is to be done: a procedure, the very bytes it was read from, and the short name of its runs."""

    procedure: Procedure
    data: bytes
    slug: str


class Terms(msgspec.Struct, frozen=True, kw_only=True):
    """What is settled before a run exists. `of` is the run that a follow-up follows, `despite` why it is begun though
    its procedure is withdrawn."""

    person: Person
    hands: Person | None = None
    trial: bool = False
    joint: str | None = None
    unit: str | None = None
    follow_up: str | None = None
    of: RunFolder | None = None
    despite: str | None = None


def work_named(book: Book, name: str) -> Work:
    """The procedure of this short name in the book, or in the file of this name.

    Raises Faulty with all faults of the file, LedgerFault where there is no such procedure, or where
    that of the book is a link out of it.
    """
    own = next((path for path in book.procedures() if path.stem == name), None)
    path = own if own is not None else Path(name)
    if own is None and path.suffix != ".toml" and not path.exists():
        known = ", ".join(each.stem for each in book.procedures()) or "none yet"
        raise LedgerFault(
            f"there is no procedure {shown(path)} in this book: give the path of a file, or one of {known}"
        )
    from clampbook.procedure import reader

    if own is not None:
        inside(book.root, PROCEDURES, own.name)
    procedure, data = reader.read_file(path)
    if procedure.status == "released":
        from clampbook.book.approvals import held_to_the_log

        procedure = held_to_the_log(book, procedure)
    return Work(procedure, data, slug(path.stem, "run"))


def work_of(run: RunFolder) -> Work:
    """The procedure that a run was made by, as it was frozen then."""
    from clampbook.procedure import reader

    data = run.procedure()
    return Work(reader.read(data, str(run.path / PROCEDURE)), data, plan_frozen(run).slug)


def plan_frozen(run: RunFolder) -> Plan:
    """The plan of a run as it was frozen. Raises LedgerFault where it is not the one that its first line names."""
    if run.made_before:
        raise LedgerFault(f"{run.id} was {BEFORE}: use the version that wrote it")
    data, path = run.plan(), run.path / PLAN
    first = first_event(run)
    if first is not None and sha256(data).hexdigest() != first.plan_sha256:
        raise LedgerFault(f"{shown(path)} is not the plan that this run was opened with: put back the file as it was")
    try:
        plan = plans.decode(data)
    except UNREADABLE as error:
        raise LedgerFault(f"{shown(path)} is no plan that can be read: {error}") from error
    if (told := unlike(shown(path), plan.plan)) is not None:
        raise LedgerFault(told)
    return plan


def plan_for(work: Work, terms: Terms) -> Plan:
    """The plan of a run on these terms. Raises LedgerFault where joint or follow-up are none of the procedure's."""
    from clampbook.run.planning import plan as plan_of

    try:
        return plan_of(work.procedure, work.slug, trial=terms.trial, joint=terms.joint, follow_up=terms.follow_up)
    except ValueError as error:
        raise LedgerFault(str(error)) from error


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
            done_by=terms.hands.id if terms.hands is not None and terms.hands.id != terms.person.id else None,
            daybook=FORMAT,
            run=opening.run,
            book=opening.book,
            log_head=opening.log_head,
            procedure_sha256=opening.procedure_sha256,
            plan_sha256=opening.plan_sha256,
            person=terms.person,
            version=version("clampbook"),
            clock=source,
            unit=terms.unit,
            series=series or (opening.run if terms.joint is not None else None),
            of_run=first.earlier if first is not None else None,
            hands=terms.hands,
            alongside=tuple(each.run for each in beside),
            despite=despite,
        )
        return fields(event)

    return new_run(book, work.slug, now.date(), work.data, plans.encode(plan), opened)


def _despite(work: Work, terms: Terms) -> str | None:
    """Why a withdrawn procedure is walked all the same, as it is kept. Raises LedgerFault where nobody says so."""
    if work.procedure.status != "withdrawn" or terms.of is not None:
        return None
    why = clean(terms.despite or "", what="the reason", most=200)
    if not why:
        raise LedgerFault(f"{printable(work.procedure.title)} is withdrawn: say why it is begun all the same")
    return why


def open_beside(book: Book, work: Work, terms: Terms) -> tuple[Alongside, ...]:
    """Open runs of the same work on what may be the same thing; a follow-up is none."""
    return () if terms.of is not None else alongside(book, work.slug, terms.joint, terms.unit)


class _Followed(msgspec.Struct, frozen=True, kw_only=True):
    """The run that a follow-up follows: how it left its positions, what it was on, and which joint of it."""

    opened: Opened
    earlier: Earlier
    worked_on: str | None
    joint: str | None

    def carried(self, terms: Terms) -> Terms:
        """The terms with the thing and the joint of the first run. Raises LedgerFault where others were named."""
        run = self.earlier.run
        for named, known, what in ((terms.unit, self.worked_on, "on"), (terms.joint, self.joint, "of joint")):
            if named is not None and known is not None and named.casefold() != known.casefold():
                raise LedgerFault(
                    f"{run} was {what} {printable(known)}, not {printable(named)}: a follow-up is of the same one"
                )
        return msgspec.structs.replace(terms, unit=self.worked_on or terms.unit, joint=self.joint)


def _followed_up(terms: Terms) -> _Followed | None:
    """The run that is followed up, which must be closed; None where none is."""
    if terms.of is None or terms.follow_up is None:
        return None
    if terms.of.addendum_to is not None:
        raise LedgerFault(f"{terms.of.id} is an addendum to {terms.of.addendum_to}, and an addendum has no follow-up")
    plan, opened = plan_frozen(terms.of), first_event(terms.of)
    progress = read_progress(terms.of.daybook, plan, terms.of.lines()[0])
    if opened is None or progress.ended in (None, "abandoned"):
        raise LedgerFault(f"{terms.of.id} was not closed: only a finished run has a follow-up")
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
    )


def _loosened(progress: Progress) -> dict[str, str | None]:
    """Positions that a run left loosened: by how many degrees, None where fully, or where nothing is in the hole."""
    return {
        position: None if known_loose(state.fastener) else format(state.fastener.loosened_by, "f")
        for position, state in progress.positions.items()
        if known_loose(state.fastener) or state.fastener.loosened_by is not None
    }


def of_a_damaged_one(terms: Terms) -> tuple[str, ...]:
    """What is to be read before a follow-up of a run that was closed as damaged; nothing of any other."""
    if terms.of is None or terms.follow_up is None or (terms.of.last() or {}).get("outcome") != "damaged":
        return ()
    told = "what was done on the joint after that is not known, and neither is how often each bolt was tightened"
    return (f"{terms.of.id} was closed with a damaged daybook: {told}. Look at every position first.",)


def first_event(run: RunFolder) -> Opened | None:
    """The first line of a run; None where it cannot be read."""
    line = run.first_line()
    try:
        event = read(line) if line is not None else None
    except UNREADABLE:
        return None
    return event if isinstance(event, Opened) else None


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


@contextlib.contextmanager
def walking(
    book: Book,
    run: RunFolder,
    *,
    clock: Clock,
    person: Person,
    hands: Person | None = None,
    exempt: bool = False,
    fresh: bool = False,
    tools_later: bool = False,
) -> Iterator[Walk]:
    """The walk of a run for as long as the `with` lasts; nobody else can write to it meanwhile.

    With `tools_later` it begins without tools, whose file takes a moment to read, and without what was answered last
    time: hand them on with `use` before any is asked for, and with `remind`.
    Raises LockHeld where somebody else does, LedgerFault where the run is over or its files are not whole.
    """
    plan = plan_frozen(run)
    stock, unread = (None, None) if tools_later else toolbox.stock_or_fault(book)
    with book.writing(run, person.name) as ledger:
        walk = Walk.take_up(
            plan,
            ledger,
            clock=clock,
            person=person,
            hands=hands,
            stock=stock,
            unread=unread,
            people=book.people(),
            keys=announced(book),
            exempt=exempt,
            fresh=fresh,
        )
        telling, news = Telling(book, run), ToolNews(book, lambda: walk.use(*toolbox.stock_or_fault(book)))

        def heard() -> Sequence[Suspect]:
            telling.again()
            return news()

        told = WithdrawalNews(book, plan)
        walk.listen(heard, telling, lambda to: book.written_by(run, to.name), told)
        if not tools_later:
            from clampbook.book.last_time import remind

            remind(walk, book, run)
        yield walk


def conclude(book: Book, run: RunFolder) -> Path | None:
    """After a walk: a run that ended gets its record, one that was given up its line in the book's log.

    Gives the record's path; None where the run is still open. Raises LedgerFault where something finds no room, or
    cannot be written; all that is missing then is made at the next start.
    """
    state = run.state
    if state not in ("closed", "abandoned"):
        return None
    try:
        return _concluded(book, run, state)
    except LedgerFault as fault:
        stored = f"every answer of {run.id} is stored, and its record is made at the next start"
        raise type(fault)(f"{fault.sentence}; {stored}") from fault


def _concluded(book: Book, run: RunFolder, state: str) -> Path:
    from clampbook.archive.index import noted
    from clampbook.book.toolbox import tell_use
    from clampbook.record.written import write

    last = run.last_line()
    tell_troubles(book, run)
    tell_use(book, run)
    if state == "abandoned" and last is not None:
        with book.log() as log:
            log.append(abandoned_entry(run.id, last))
    record = write(run.path)
    noted(book.root, run)
    return record
