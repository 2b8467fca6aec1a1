"""The commands that walk: `walk` a procedure or an open run, and `demo`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.asked import Asked, all_given, given, named_run, of_joints, work_asked
from clampbook.commands.completing import open_runs, people, procedures, runs
from clampbook.commands.exit_status import FINE
from clampbook.commands.keys import lines
from clampbook.commands.line_by_line import walk_in
from clampbook.commands.on_screen import at_the_bench, begin_at_once, is_a_screen
from clampbook.commands.on_screen import walking as walking_on_screen
from clampbook.commands.options import book_option, example, new_option, now, open_book, say, there, today
from clampbook.streams import json_text
from clampbook.text import TextFault, clean

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.starting.terms import Work
    from clampbook.people import Person
    from clampbook.screens.paper_form import PaperForm


def _as_kept(_: click.Context, option: click.Parameter, text: str | None) -> str | None:
    """A text from the command line as a daybook keeps it. Raises BadParameter for signs that cannot be seen."""
    if text is None:
        return None
    try:
        return clean(text, what=f"what follows --{option.name}") or None
    except TextFault as fault:
        raise click.BadParameter(fault.sentence) from fault


@click.command(epilog=example("walk whinchat-pattern-c-head --as Ines --equipment 4107"))
@click.argument("procedure", required=False, shell_complete=procedures)
@click.option("--equipment", metavar="NAME", callback=_as_kept, help="Equipment, such as an engine's serial number")
@click.option("--plain", is_flag=True, help="Walk line by line, for screen readers, serial lines and scripts")
@click.option("--json", "as_json", is_flag=True, help="Walk line by line, each question one JSON object")
@click.option("--as", "by", metavar="PERSON", help="Your name", shell_complete=people)
@click.option(
    "--done-by", multiple=True, metavar="PERSON", help="Who pulls, if not you, with --late all", shell_complete=people
)
@click.option("--trial", is_flag=True, help="Make a trial assembly, without the stages that it leaves out")
@click.option("--joint", metavar="NAME", help="Which joint, if the procedure has several")
@click.option("--only", metavar="NAMES", help="Only these of the joints that one run does, such as 1,3")
@click.option("--follow-up", metavar="TITLE", help="Do this follow-up work")
@click.option("--of", metavar="RUN", help="The run to follow up", shell_complete=runs)
@click.option("--reason", metavar="TEXT", callback=_as_kept, help="Why use a withdrawn procedure anyway")
@click.option("--late", is_flag=True, help="Type in a filled paper form")
@click.option("--began", metavar="TIME", help="When the form begins, such as '2026-03-02 8:10'")
@click.option("--form", metavar="CODE", help="The code at the foot of the form")
@click.option(
    "--scan",
    "scans",
    multiple=True,
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Add a scan of the form (PDF, PNG or JPEG)",
)
@new_option
@click.option(
    "--resume", is_flag=False, flag_value="", metavar="[RUN]", help="Resume an open run", shell_complete=open_runs
)
@click.option("--alone", is_flag=True, help="Write without a lock, if nobody else has the book open")
@book_option
def walk(folder: Path | None, alone: bool, plain: bool, **said: str | bool | tuple[Path | str, ...] | None) -> int:
    """Tighten a joint, step by step.

    PROCEDURE is the name of a procedure of the book, or the path of its file.
    """
    asked = Asked(**said)  # type: ignore[arg-type]
    _hold_together(asked)
    book = open_book(folder, alone=alone)
    return walk_in(book, asked) if plain or asked.as_json or not is_a_screen() else _on_screen(book, asked)


@click.command(epilog=example("demo --plain --as Ines"))
@click.option("--into", type=click.Path(path_type=Path, file_okay=False), metavar="DIR", help="Make it in this folder")
@click.option("--only-make", is_flag=True, help="Make it, and open nothing")
@click.option("--plain", is_flag=True, help="Walk its cylinder head line by line")
@click.option("--tour", is_flag=True, help="Explain its screens once more, as when it was new")
@click.option("--as", "by", metavar="PERSON", help="Your name", shell_complete=people)
@click.option("--json", "as_json", is_flag=True, help="Walk line by line, each question one JSON object")
@new_option
def demo(into: Path | None, only_make: bool, plain: bool, tour: bool, by: str | None, as_json: bool, new: bool) -> int:
    """Make a demo book and open it.

    Its values are invented. While it is new, notes explain the screens. Esc leaves this tour.
    """
    from clampbook.demo import HEAD, default_folder, make

    place = into if into is not None else default_folder()
    book, made = make(place, today())
    say(f"{'New demo book' if made else 'Demo book'}: {book.root}")
    if only_make:
        if as_json:
            sys.stdout.write(json_text({"book": str(book.root), "name": book.name}))
        return FINE
    if is_a_screen() and not as_json and not plain:
        return at_the_bench(book, tour=made or tour)
    mine = [run for run in book.open_runs() if f"-{HEAD}-" in run.id]
    if mine:
        say(f"Run {mine[-1].id} resumed.")
        return walk_in(book, Asked(resume=mine[-1].id, by=by, as_json=as_json, new=new))
    return walk_in(book, Asked(procedure=HEAD, by=by, as_json=as_json, new=new))


def _on_screen(book: Book, asked: Asked) -> int:
    """The walk on the full screen, which asks by itself what was not said."""
    begin_at_once()
    from clampbook.commands.on_paper import scans_of
    from clampbook.screens.opening import Wanted

    scans = scans_of(asked)
    if asked.resume is not None:
        run = named_run(book, asked.resume)
        person, done_by = _who(book, asked)
        return walking_on_screen(book, Wanted(run=run, person=person, done_by=done_by, scans=scans))
    work, asked = work_asked(book, asked)
    of = book.run(asked.of) if asked.of is not None else None
    person, done_by = _who(book, asked)
    wanted = Wanted(
        work=work,
        person=person,
        done_by=done_by,
        trial=asked.trial or (False if person is not None else None),
        joint=asked.joint,
        only=of_joints(work.procedure, asked.only) if asked.only else None,
        equipment=asked.equipment,
        follow_up=asked.follow_up,
        of=of,
        despite=asked.reason,
        form=_form(book, work, asked),
        scans=scans,
    )
    return walking_on_screen(book, wanted)


def _form(book: Book, work: Work, asked: Asked) -> PaperForm | None:
    """The paper form that is typed in, as far as it was said; None where the work is done now."""
    if not asked.late:
        return None
    from clampbook.book.starting.of_the_form import revisions, with_code
    from clampbook.commands.on_paper import said_to_begin
    from clampbook.screens.paper_form import PaperForm

    known = revisions(book, work)
    chosen = known.index(with_code(known, asked.form)) if asked.form is not None else None
    return PaperForm(known, now(), there(), chosen, began=said_to_begin(asked))


def _who(book: Book, asked: Asked) -> tuple[Person | None, tuple[Person, ...]]:
    """Give who is at the keyboard and who does the work, as far as that was said; a new name is asked about."""
    typed = lines()
    return given(book, asked.by, typed, new=asked.new), all_given(book, asked.done_by, typed, new=asked.new)


def _hold_together(asked: Asked) -> None:
    """Options that exclude or need each other. Raises UsageError."""
    if (asked.of is not None or asked.follow_up is not None) and asked.only is not None:
        raise click.UsageError("A follow-up is on the joints of its run. Leave out --only.")
    terms = (asked.procedure, asked.trial, asked.joint, asked.only, asked.follow_up, asked.of)
    if len(asked.done_by) > 1 and not asked.late:
        raise click.UsageError("--done-by names one person who pulls. Name several with --late only.")
    if asked.resume is not None and any(terms):
        raise click.UsageError("--resume keeps the terms of the run. Leave out the procedure and other terms.")
    if asked.resume is not None and (asked.late or asked.began):
        raise click.UsageError("--resume keeps the terms of the run. Leave out --late and --began.")
    if asked.scans and not (asked.late or asked.resume is not None):
        raise click.UsageError("--scan is for a form that is typed in. Give --late too.")
    if asked.form is not None and not asked.late:
        raise click.UsageError("--form is for a form that is typed in. Give --late too.")
    if asked.began is not None and not asked.late:
        raise click.UsageError("--began is for a form that is typed in. Give --late too.")
    if asked.resume is None and asked.procedure is None and asked.of is None:
        raise click.UsageError("Name a procedure of the book or a file, or use --resume.")
