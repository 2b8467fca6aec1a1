"""The commands that walk: `walk` a procedure or an open run, and `demo`."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.on_screen import at_the_bench, begin_at_once, is_a_screen
from clampbook.commands.on_screen import walking as walking_on_screen
from clampbook.commands.options import Unforeseen, book_option, open_book, say, today
from clampbook.text import TextFault, clean, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.plain.beginning import Beginning
    from clampbook.plain.face import Face
    from clampbook.plain.lines import Lines
    from clampbook.run.prompts import Prompt
    from clampbook.run.walk import Walk
    from clampbook.run_folder import RunFolder
    from clampbook.starting import Terms, Work

FINE, LOOK_AT_IT, INTERRUPTED = 0, 1, 130
_CLEAN_ENDS = frozenset({"done", "trial", "paused", "held"})
_A_PIPE = 80  # columns, where nothing says how wide the terminal is


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was said on the command line about the walk."""

    procedure: str | None = None
    resume: str | None = None  # "" where no run was named
    as_json: bool = False
    by: str | None = None
    hands: str | None = None
    trial: bool = False
    joint: str | None = None
    unit: str | None = None
    follow_up: str | None = None
    of: str | None = None


def _as_kept(_: click.Context, option: click.Parameter, text: str | None) -> str | None:
    """A text from the command line as a daybook keeps it. Raises BadParameter for signs that cannot be seen."""
    if text is None:
        return None
    try:
        return clean(text, what=f"what follows --{option.name}") or None
    except TextFault as fault:
        raise click.BadParameter(fault.sentence) from fault


@click.command()
@click.argument("procedure", required=False)
@click.option(
    "--unit", metavar="NAME", callback=_as_kept, help="The thing worked on, such as an engine's serial number."
)
@click.option("--plain", is_flag=True, help="Line by line: for screen readers, serial lines and scripts.")
@click.option("--json", "as_json", is_flag=True, help="Plain, with one JSON object for each question.")
@click.option("--as", "by", metavar="PERSON", help="Who is at the keyboard.")
@click.option("--hands", metavar="PERSON", help="Who does the work, where that is another person.")
@click.option("--trial", is_flag=True, help="A trial assembly: without the stages that the sheet leaves out then.")
@click.option("--joint", metavar="NAME", help="Which of the joints that the procedure makes several times.")
@click.option("--follow-up", metavar="TITLE", help="Work that falls due after a run.")
@click.option("--of", metavar="RUN", help="The run that the follow-up is about.")
@click.option("--resume", is_flag=False, flag_value="", metavar="[RUN]", help="Go on with an open run.")
@click.option("--alone", is_flag=True, help="Nobody else has this book open, though its disk cannot lock.")
@book_option
def walk(folder: Path | None, alone: bool, plain: bool, **said: str | bool | None) -> int:
    """Walk through a procedure, by its name in the book or the path of its file, one fastener at a time."""
    asked = Asked(**said)  # type: ignore[arg-type]
    _hold_together(asked)
    book = open_book(folder, alone=alone, make=asked.resume is None)
    return walk_in(book, asked) if plain or asked.as_json or not is_a_screen() else _on_screen(book, asked)


@click.command()
@click.option("--into", type=click.Path(path_type=Path, file_okay=False), metavar="DIR", help="Where to make it.")
@click.option("--only-make", is_flag=True, help="Make the demo book and nothing else.")
@click.option("--plain", is_flag=True, help="Line by line, straight to the cylinder head.")
@click.option("--as", "by", metavar="PERSON", help="Who is at the keyboard.")
@click.option("--json", "as_json", is_flag=True, help="Plain, with one JSON object for each question.")
def demo(into: Path | None, only_make: bool, plain: bool, by: str | None, as_json: bool) -> int:
    """Make the demo book (invented values!) and open its bench; line by line, walk through its cylinder head."""
    from clampbook.demo import HEAD, default_folder, make

    place = into if into is not None else default_folder()
    book, new = make(place, today())
    say(f"The demo book {'was made' if new else 'is there already'}: {book.root}")
    if only_make:
        return FINE
    if is_a_screen() and not as_json and not plain:
        return at_the_bench(book)
    mine = [run for run in book.open_runs() if f"-{HEAD}-" in run.id]
    if mine:
        say(f"Its head was begun: going on with {mine[-1].id}.")
        return walk_in(book, Asked(resume=mine[-1].id, by=by, as_json=as_json))
    return walk_in(book, Asked(procedure=HEAD, by=by, as_json=as_json))


def _on_screen(book: Book, asked: Asked) -> int:
    """The walk on the full screen, which asks by itself what was not said."""
    begin_at_once()
    from clampbook.screens.opening import Wanted
    from clampbook.starting import work_named, work_of

    person = book.person_named(asked.by) if asked.by is not None else None
    hands = _given(book, asked.hands)
    if asked.resume is not None:
        return walking_on_screen(book, Wanted(run=_named_run(book, asked.resume), person=person, hands=hands))
    of = book.run(asked.of) if asked.of is not None else None
    wanted = Wanted(
        work=work_of(of) if of is not None else work_named(book, asked.procedure or ""),
        person=person,
        hands=hands,
        trial=asked.trial or (False if person is not None else None),
        joint=asked.joint,
        unit=asked.unit,
        follow_up=asked.follow_up,
        of=of,
    )
    return walking_on_screen(book, wanted)


def _hold_together(asked: Asked) -> None:
    """Options that exclude or need each other. Raises UsageError."""
    if (asked.follow_up is None) != (asked.of is None):
        raise click.UsageError("--follow-up and --of belong together: which work, and of which run.")
    if asked.resume is not None and (asked.procedure or asked.trial or asked.joint or asked.follow_up):
        raise click.UsageError("--resume goes on with a run as it was begun: give no procedure and no terms with it.")
    if asked.resume is None and asked.procedure is None and asked.of is None:
        raise click.UsageError("Say what to walk: a procedure of the book or a file; or --resume.")


def walk_in(book: Book, asked: Asked) -> int:
    """Ask what is missing, open or take up the run, walk it, and record it where it ended."""
    from clampbook.plain.beginning import Beginning, NothingBegun
    from clampbook.plain.clock import NAME, clock_of
    from clampbook.plain.lines import Interrupted, Lines

    try:
        clock = clock_of(os.environ.get(NAME))
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    lines = Lines(sys.stdin.buffer, terminal=sys.stdin.isatty())
    face = _face(asked.as_json)
    with lines.safe_to_stop():
        try:
            named = _naming(book, face)
            begun = _begun(book, asked, Beginning(face, lines, named), clock)
            return _walked(book, begun, face, lines, clock, named)
        except NothingBegun:
            say("Nothing was begun.")
            return FINE
        except Interrupted:
            say("Stopped; everything answered is stored.")
            return INTERRUPTED


@dataclass(frozen=True, slots=True)
class _Begun:
    """A run that is about to be walked, and by whom."""

    run: RunFolder
    person: Person
    hands: Person | None
    fresh: bool


def _begun(book: Book, asked: Asked, beginning: Beginning, clock: Clock) -> _Begun:
    if asked.resume is not None:
        run = _to_resume(book, asked.resume, beginning)
        say(*_about_tools(book))
        return _Begun(run, _person(book, asked.by, beginning), _given(book, asked.hands), False)
    from clampbook.plain.clock import source
    from clampbook.starting import open_run, work_named, work_of

    work = work_of(book.run(asked.of)) if asked.of is not None else work_named(book, asked.procedure or "")
    terms = _terms(book, asked, beginning, work)
    _tell_before(book, work, terms)
    run = open_run(book, work, terms, clock, source(clock))
    say(f"Run {run.id} is open.")
    return _Begun(run, terms.person, terms.hands, True)


def _to_resume(book: Book, name: str, beginning: Beginning) -> RunFolder:
    run = _named_run(book, name)
    if run is not None:
        return run
    open_ones = book.open_runs()
    return open_ones[beginning.run(tuple(run.id for run in open_ones))]


def _named_run(book: Book, name: str) -> RunFolder | None:
    """The open run of this name, or the only one there is; None where several are open and none is named."""
    from clampbook.ledger.refusals import LedgerFault

    if name:
        run = book.run(name)
        if run.state != "open":
            raise LedgerFault(f"the run {run.id} is {run.state}: it cannot be taken up again")
        return run
    open_ones = book.open_runs()
    if not open_ones:
        raise LedgerFault("no run is open in this book: begin one with clampbook walk PROCEDURE")
    return open_ones[0] if len(open_ones) == 1 else None


def _terms(book: Book, asked: Asked, beginning: Beginning, work: Work) -> Terms:
    from clampbook.starting import Terms

    procedure = work.procedure
    return Terms(
        person=_person(book, asked.by, beginning),
        hands=_given(book, asked.hands),
        trial=asked.trial or (asked.of is None and asked.by is None and beginning.trial(procedure)),
        joint=asked.joint if asked.joint is not None or asked.of is not None else beginning.joint(procedure),
        unit=asked.unit,
        follow_up=asked.follow_up,
        of=book.run(asked.of) if asked.of is not None else None,
    )


def _person(book: Book, name: str | None, beginning: Beginning) -> Person:
    return book.person_named(name) if name is not None else beginning.who(book.people())


def _given(book: Book, name: str | None) -> Person | None:
    return book.person_named(name) if name is not None else None


def _tell_before(book: Book, work: Work, terms: Terms) -> None:
    """What a person should know before the run is opened; none of it holds them up."""
    from clampbook.procedure.cautions import IN_SHORT
    from clampbook.procedure.release import before_start
    from clampbook.starting import open_beside, twins

    procedure = work.procedure
    say(f"{procedure.title}, revision {procedure.revision}, {procedure.status}.")
    say(IN_SHORT)
    say(*before_start(procedure, today()))
    say(*(printable(each.told) for each in open_beside(book, work, terms)))
    say(*_about_tools(book))
    for joint, event in twins(book, work, terms.joint):
        if event.person.id == terms.person.id:
            say(f"{terms.person.name} did {joint} too: twins are better done by different people.")
            break


def _about_tools(book: Book) -> tuple[str, ...]:
    """That there are no tools yet, or all that is wrong with their file; a pull waits for it, all else goes on."""
    from clampbook.faults import Faulty, show

    try:
        if book.tools():
            return ()
    except Faulty as faulty:
        return (*map(show, faulty.faults), "No tool can be taken up until that is mended; all else can be done.")
    return (f"The book has no tools yet: write them into {book.path('tools.toml')}.",)


def _naming(book: Book, face: Face) -> Callable[[str], Person]:
    """Finds the person of a typed name, and says where somebody new was entered."""

    def named(typed: str) -> Person:
        known = {person.id for person in book.people()}
        person = book.person_named(typed)
        if person.id not in known:
            face.tell([f"{person.name} is new in this book."])
        return person

    return named


def _face(as_json: bool) -> Face:
    from clampbook.plain.objects import Objects
    from clampbook.plain.words import Words

    if as_json:
        return Objects(sys.stdout.buffer, sys.stderr)
    width = shutil.get_terminal_size((_A_PIPE, 24)).columns
    return Words(sys.stdout, width=width, marker=sys.stdin.isatty())


def _walked(book: Book, begun: _Begun, face: Face, lines: Lines, clock: Clock, named: Callable[[str], Person]) -> int:
    """The walk itself, and after it the record. Raises Unforeseen with the daybook's place for what nobody foresaw."""
    from clampbook.faults import Faulty
    from clampbook.ledger.refusals import LedgerFault
    from clampbook.plain.lines import Interrupted
    from clampbook.record.frozen import RecordFault
    from clampbook.run.wording import sentence as in_words
    from clampbook.starting import conclude
    from clampbook.text import TextFault

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
    face.finished(outcome, begun.run.id, f"{sentence} The record is in {record}. {told}")
    return FINE if outcome in _CLEAN_ENDS and done else LOOK_AT_IT


def _through(
    book: Book, begun: _Begun, face: Face, lines: Lines, clock: Clock, named: Callable[[str], Person]
) -> tuple[str, Prompt]:
    """How the walk ended, as a word, and the last prompt, which says so in a sentence."""
    from clampbook.book.alongside import once_known
    from clampbook.plain.helping import taken_up_again
    from clampbook.plain.loop import Loop
    from clampbook.starting import walking

    before = begun.run.last()
    with walking(
        book,
        begun.run,
        clock=clock,
        person=begun.person,
        hands=begun.hands,
        exempt=not lines.terminal,
        fresh=begun.fresh,
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

        outcome = Loop(
            walk, face, lines, clock, named_here, sign, partial(once_known, book, begun.run, walk.plan)
        ).run()
        return outcome, walk.prompt


def _renew(walk: Walk, book: Book) -> None:
    """The walk knows the people of the book as they are now."""
    walk.know(book.people())
