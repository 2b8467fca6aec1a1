"""A walk line by line: what is missing is asked, the work told of, and the walk gone through to its end."""

from __future__ import annotations

import gc
import shutil
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from clampbook.commands.asked import Asked, all_given, given, named_run, of_joints, work_asked
from clampbook.commands.exit_status import FINE, INTERRUPTED, LOOK_AT_IT
from clampbook.commands.options import Unforeseen, clock_said, in_this_book, say, today
from clampbook.text import TextFault, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.scans import Scan
    from clampbook.book.starting.terms import Terms, Work
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.plain.beginning import Beginning
    from clampbook.plain.face import Face
    from clampbook.plain.lines import Lines
    from clampbook.run.plan import Plan
    from clampbook.run.prompts import Prompt
    from clampbook.run.walk import Walk
    from clampbook.run_folder import RunFolder

_CLEAN_ENDS = frozenset({"done", "trial", "paused", "held"})
_A_PIPE = 80  # columns, where nothing says how wide the terminal is


def walk_in(book: Book, asked: Asked) -> int:
    """Ask what is missing, open or take up the run, walk it, and record it where it ended."""
    from clampbook.plain.beginning import Beginning, NothingBegun
    from clampbook.plain.lines import Interrupted, Lines

    gc.disable()  # nothing that is loaded up to the first question is thrown away again before it
    clock = clock_said()
    lines = Lines(sys.stdin.buffer, terminal=sys.stdin.isatty())
    face = face_of(as_json=asked.as_json)
    begun: _Begun | None = None
    with lines.safe_to_stop():
        try:
            named = _naming(book, face)
            begun = _begun(book, asked, Beginning(face, lines, named), lines, clock)
            return _walked(book, begun, face, lines, clock, named)
        except NothingBegun:
            say("Nothing started.")
            return FINE
        except Interrupted:
            say("Stopped. All answers are saved.")
            if begun is not None:
                say(f"Resume with: clampbook walk --resume {begun.run.id}{in_this_book(book)}")
            return INTERRUPTED


@dataclass(frozen=True, slots=True)
class _Begun:
    """A run that is about to be walked, and by whom."""

    run: RunFolder
    person: Person
    done_by: Person | None
    fresh: bool
    scans: tuple[Scan, ...] = ()


def _begun(book: Book, asked: Asked, beginning: Beginning, lines: Lines, clock: Clock) -> _Begun:
    from clampbook.commands.on_paper import scans_of
    from clampbook.people import first_of

    scans = scans_of(asked)
    if asked.resume is not None:
        run = _to_resume(book, asked.resume, beginning)
        say(*_about_tools(book))
        person, done_by = _who(book, asked, beginning, lines)
        return _Begun(run, person, first_of(done_by), False, scans)
    from clampbook.book.starting.new_run import open_run
    from clampbook.book.starting.without_a_tool import without_a_tool
    from clampbook.plain.clock import source

    work, asked = work_asked(book, asked)
    if asked.late:
        from clampbook.commands.on_paper import of_the_form

        work = of_the_form(book, work, asked, beginning)
    terms = _terms(book, asked, beginning, lines, work)
    _tell_before(book, work, terms)
    lacking = without_a_tool(book, work, terms, today())
    say(*lacking)
    if lacking and lines.terminal and not asked.as_json:
        beginning.without_a_tool()
    run = open_run(book, work, terms, clock, source(clock))
    say(f"Run {run.id} started.")
    return _Begun(run, terms.person, terms.done_by, True, scans)


def _to_resume(book: Book, name: str, beginning: Beginning) -> RunFolder:
    run = named_run(book, name)
    if run is not None:
        return run
    open_ones = book.open_runs()
    return book.run(beginning.run(tuple(run.id for run in open_ones)))


def _terms(book: Book, asked: Asked, beginning: Beginning, lines: Lines, work: Work) -> Terms:
    from clampbook.book.starting.of_the_form import digits_of
    from clampbook.book.starting.terms import Terms
    from clampbook.commands.on_paper import began
    from clampbook.people import NOT_NAMED, first_of

    procedure = work.procedure
    person, done_by = _who(book, asked, beginning, lines)
    asks = asked.of is None and asked.by is None
    asks_joints = asks or (asked.of is None and not asked.as_json and not asked.late)
    on_paper_from = began(asked, beginning) if asked.late else None
    if asked.late and not done_by:
        done_by = (() if asked.began is not None else beginning.hands(book.people())) or (NOT_NAMED,)
    return Terms(
        person=person,
        done_by=first_of(done_by),
        also_done_by=done_by[1:],
        on_paper_from=on_paper_from,
        form=digits_of(work) if asked.late else None,
        trial=asked.trial or (asks and beginning.trial(procedure)),
        joint=asked.joint if asked.joint is not None or asked.of is not None else beginning.joint(procedure),
        only=of_joints(procedure, asked.only) if asked.only or not asks_joints else beginning.only(procedure),
        equipment=asked.equipment,
        follow_up=asked.follow_up,
        of=book.run(asked.of) if asked.of is not None else None,
        despite=asked.reason or (None if asked.of is not None or asked.late else beginning.despite(procedure)),
    )


def _who(book: Book, asked: Asked, beginning: Beginning, lines: Lines) -> tuple[Person, tuple[Person, ...]]:
    """Give who is at the keyboard, and who does the work where that was said."""
    person = given(book, asked.by, lines, new=asked.new) or beginning.who(book.people())
    return person, all_given(book, asked.done_by, lines, new=asked.new)


def _tell_before(book: Book, work: Work, terms: Terms) -> None:
    """Tell a person what they should know before the run is opened; none of it holds them up."""
    from clampbook.book.starting.followed_up import told_before
    from clampbook.book.starting.new_run import open_beside, twins
    from clampbook.procedure.cautions import IN_SHORT
    from clampbook.procedure.release import before_start

    procedure = work.procedure
    say(f"{procedure.title}, revision {procedure.revision}, {procedure.status}.")
    if terms.on_paper_from is None:  # nobody works while a form is typed in
        say(IN_SHORT)
    say(*before_start(procedure, today()))
    say(*told_before(book, work, terms))
    say(*(printable(each.told) for each in open_beside(book, work, terms)))
    say(*_faults_of_tools(book))
    for joint, event in twins(book, work, terms.joint):
        if event.person.id == terms.person.id:
            say(f"{terms.person.name} also did {joint}. Let someone else do this one if possible.")
            break


def _about_tools(book: Book) -> tuple[str, ...]:
    """That there are no tools yet, or all that is wrong with their file; a pull waits for it, all else goes on."""
    faults = _faults_of_tools(book)
    if faults or book.tools():
        return faults
    return (f"No tools yet. Write them into {book.path('tools.toml')}.",)


def _faults_of_tools(book: Book) -> tuple[str, ...]:
    """All that is wrong with the file of tools."""
    from clampbook.faults import Faulty, show

    try:
        book.tools()
    except Faulty as faulty:
        return (*map(show, faulty.faults), "Correct this first. Until then no tool can be picked up.")
    return ()


def _naming(book: Book, face: Face) -> Callable[[str], Person]:
    """Finds the person of a typed name, and says where somebody new was entered."""

    def named(typed: str) -> Person:
        known = {person.id for person in book.people()}
        person = book.person_named(typed)
        if person.id not in known:
            face.tell([f"{person.name} is new in this book."])
        return person

    return named


def face_of(*, as_json: bool) -> Face:
    """The plain face on standard output: sentences, or objects."""
    from clampbook.plain.objects import Objects
    from clampbook.plain.words import Words

    if as_json:
        return Objects(sys.stdout.buffer, sys.stderr)
    width = shutil.get_terminal_size((_A_PIPE, 24)).columns
    return Words(sys.stdout, width=width, marker=sys.stdin.isatty())


def _walked(book: Book, begun: _Begun, face: Face, lines: Lines, clock: Clock, named: Callable[[str], Person]) -> int:
    """The walk itself, and after it the record. Raises Unforeseen with the daybook's place for what nobody foresaw."""
    from clampbook.book.starting.walking import closed_late, conclude
    from clampbook.faults import Faulty
    from clampbook.ledger.refusals import LedgerFault
    from clampbook.plain.lines import Interrupted
    from clampbook.run.asked import sentence as in_words
    from clampbook.work.frozen import RecordFault

    try:
        outcome, ended = _through(book, begun, face, lines, clock, named)
        sentence = in_words(ended)
        record = conclude(book, begun.run)
    except (LedgerFault, Faulty, TextFault, RecordFault, Interrupted, BrokenPipeError):
        raise
    except Exception as error:
        raise Unforeseen(error, begun.run.daybook) from error
    if record is None:
        face.finished(outcome, begun.run.id, sentence)
        return FINE if outcome in _CLEAN_ENDS else LOOK_AT_IT
    from clampbook.plain.signing import sign_and_seal

    told, done = sign_and_seal(book, begun.run, face, lines, clock, ended)
    late = closed_late(begun.run, record)
    face.finished(outcome, begun.run.id, f"{late or sentence} Record: {record}. {told}", late)
    return FINE if outcome in _CLEAN_ENDS and done else LOOK_AT_IT


def _through(
    book: Book, begun: _Begun, face: Face, lines: Lines, clock: Clock, named: Callable[[str], Person]
) -> tuple[str, Prompt]:
    """Lead through the walk; gives its ending as a word, and the last prompt, which says it in a sentence."""
    from clampbook.book.starting.alongside import once_known
    from clampbook.book.starting.walking import walking
    from clampbook.plain.helping import taken_up_again
    from clampbook.plain.loop import Loop

    before = begun.run.last()
    with walking(
        book,
        begun.run,
        clock=clock,
        person=begun.person,
        done_by=begun.done_by,
        exempt=not lines.terminal,
        fresh=begun.fresh,
        scans=begun.scans,
    ) as walk:
        if not begun.fresh and before is not None:
            face.tell(taken_up_again(before, begun.run.last() or {}, walk.session))

        def named_here(typed: str) -> Person:
            person = named(typed)
            _renew(walk, book)
            return person

        def sign() -> None:
            from clampbook.plain.signing import sign_now

            sign_now(book, begun.run, face, lines, clock, walk.prompt)

        gc.freeze()  # what is loaded stays, and garbage is looked for again from here on
        gc.enable()
        beside = partial(once_known, book, begun.run, walk.plan)
        outcome = Loop(
            walk, face, lines, clock, named_here, sign, beside, partial(_departed, begun.run, walk.plan)
        ).run()
        return outcome, walk.prompt


def _departed(run: RunFolder, plan: Plan, prompt: Prompt) -> Sequence[str]:
    """Name what departed before the run is closed; what makes a record is loaded then, and not before."""
    from clampbook.run.asked import only_closing

    if not only_closing(prompt):
        return ()
    from clampbook.record.pages.so_far import before_closing

    return before_closing(run, plan, prompt)


def _renew(walk: Walk, book: Book) -> None:
    """The walk knows the people of the book as they are now."""
    from clampbook.book.keys import announced

    walk.know(book.people(), announced(book))
