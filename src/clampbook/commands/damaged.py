"""`clampbook close-damaged` ends a run or check with a damaged daybook: the sound is kept, the damaged moved aside."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import people, runs_and_checks
from clampbook.commands.exit_status import LOOK_AT_IT
from clampbook.commands.folding import folded
from clampbook.commands.keys import lines
from clampbook.commands.naming import person_meant
from clampbook.commands.options import book_option, clock_said, example, json_option, new_option, open_book
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.run_folder import RunFolder


@click.command("close-damaged", epilog=example("close-damaged crank-caps --as Ines"))
@click.argument("run", shell_complete=runs_and_checks)
@click.option("--as", "by", metavar="PERSON", required=True, help="Your name", shell_complete=people)
@click.option("--alone", is_flag=True, help="Write without a lock, if nobody else has the book open")
@new_option
@book_option
@json_option
def close_damaged(run: str, by: str, alone: bool, new: bool, folder: Path | None, as_json: bool) -> int:
    """Close a run with a damaged daybook.

    The lines before the damage count. The damaged file stays beside it, unchanged. RUN can be a check.
    """
    from clampbook.book.checks import check_or_none
    from clampbook.book.damaged import closing_run

    clock = clock_said()
    book = open_book(folder, alone=alone)
    check = check_or_none(book, run)
    if check is not None:
        from clampbook.book.damaged.closing_check import close_damaged_check

        person = person_meant(book, by, lines(), new=new)
        return _tell(check, tuple(close_damaged_check(book, check, person, clock)), as_json)
    found = book.run(run)
    person = person_meant(book, by, lines(), new=new)
    closed = closing_run.close_damaged(book, found, person, clock)
    made = f"Record made. Print the report and seal it with: clampbook seal {found.id}"
    return _tell(found, (*closing_run.in_sentences(found, closed), made), as_json)


def _tell(found: RunFolder, told: tuple[str, ...], as_json: bool) -> int:
    if as_json:
        sys.stdout.write(json_text({"run": found.id, "state": found.state, "told": list(told)}))
    else:
        click.echo("\n".join(folded(told)))
    return LOOK_AT_IT
