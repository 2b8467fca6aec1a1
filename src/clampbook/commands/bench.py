"""Commands that look into a book: what stands open, and the record of a run."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.completing import runs_and_checks
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.on_screen import at_the_bench, at_the_first_page, is_a_screen
from clampbook.commands.options import book_option, example, json_option, open_book, say
from clampbook.streams import json_text, toml_text
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.record.rebuilt import Rebuilt
    from clampbook.run_folder import RunFolder


@click.command(epilog=example("runs --json"))
@book_option
@json_option
def runs(folder: Path | None, as_json: bool) -> int:
    """List open runs."""
    book = open_book(folder)
    standing = [_standing(book, run) for run in book.unfinished_runs()]
    if as_json:
        sys.stdout.write(json_text({"runs": standing}, indent=1))
        return 0
    click.echo("\n".join(_line(each) for each in standing) if standing else "No open runs.")
    return 0


@click.command(epilog=example("record crank-caps"))
@click.argument("run", shell_complete=runs_and_checks)
@book_option
@json_option
def record(run: str, folder: Path | None, as_json: bool) -> int:
    """Print the record of a run or check.

    It is made again from the files of the run. A stored record that differs is named.
    """
    from clampbook.book.checks import check_or_none
    from clampbook.book.notices import notices
    from clampbook.record.rebuilt import rebuilt

    book = open_book(folder)
    check = check_or_none(book, run)
    found = check if check is not None else book.run(run)
    say(*notices(book, found.id))
    shown = rebuilt(found)
    say(*(told for told in (shown.differs, shown.unchecked) if told))
    sys.stdout.write(_as_object(shown) if as_json else toml_text(_with_its_head(shown)))
    return FINE if shown.sound else LOOK_AT_IT


def _with_its_head(shown: Rebuilt) -> str:
    return f"# {printable(shown.unchecked)}\n{shown.text}" if shown.unchecked else shown.text


def _as_object(shown: Rebuilt) -> str:
    """Give the content of a record as one object; one that was not checked says so before all else."""
    import tomllib

    if not shown.unchecked:
        return json_text(tomllib.loads(shown.text), indent=1, default=str)
    try:
        told = tomllib.loads(shown.text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        told = {"text": shown.text}
    return json_text({"not_checked": shown.unchecked, **told}, indent=1, default=str)


def bench(folder: Path | None) -> int:
    """Open the bench, or the first page where there is no book yet; without a screen, print the open runs and what can
    be typed."""
    from clampbook.book.book import BOOK, default_folder

    place = folder if folder is not None else default_folder()
    if folder is not None and not (place / BOOK).exists():
        open_book(folder)  # which says that there is none, and which one was probably meant
    if (place / BOOK).exists() and is_a_screen():
        return at_the_bench(open_book(folder))
    if folder is None and not (place / BOOK).exists() and is_a_screen():
        return at_the_first_page(place)
    if (place / BOOK).exists():
        _say_book(open_book(folder))
    else:
        click.echo(f"No book in {place}. Make one: clampbook new. Look at the demo: clampbook demo")
    click.echo("clampbook walk PROCEDURE       Tighten a joint, step by step")
    click.echo("clampbook walk --resume [RUN]  Resume an open run")
    click.echo("clampbook find WORDS           Search closed runs")
    click.echo("clampbook review PROCEDURE     Find errors and queries in a procedure")
    click.echo("clampbook --help               List all commands")
    return 0


def _say_book(book: Book) -> None:
    from clampbook.book.book import PROCEDURES
    from clampbook.book.checks import unsealed_checks
    from clampbook.book.runs import unsealed

    click.echo(f"{book.name}: {book.root}")
    open_ones = book.unfinished_runs()
    for run in open_ones:
        click.echo(_line(_standing(book, run)))
    if not open_ones:
        click.echo("No open runs.")
    for run in unsealed(book):
        click.echo(f"Run {run.id} is closed, not sealed. Seal it with: clampbook seal {run.id}")
    for check in unsealed_checks(book):
        click.echo(f"Check {check.id} is closed, not sealed. Seal it with: clampbook seal {check.id}")
    named = ", ".join(path.stem for path in book.procedures())
    none = f"No procedures yet. Put one in {book.path(PROCEDURES)}, or answer questions: clampbook draft"
    click.echo(f"Procedures: {named}" if named else none)


def _standing(book: Book, run: RunFolder) -> dict[str, Any]:
    """Tell the standing of an open run; one whose files are not whole says so instead."""
    from clampbook.book.starting.frozen import first_event, plan_frozen
    from clampbook.ledger.refusals import LedgerFault
    from clampbook.run.fold.frames import at_hand
    from clampbook.run.walk import read_progress

    first, last, writer = first_event(run), run.last(), book.writer(run)
    told = {
        "run": run.id,
        "person": first.person.name if first is not None else None,
        "opened_by": first.person.name if first is not None else None,
        "opened": (first.typed_at or first.at) if first is not None else None,
        "from_paper": first is not None and first.typed_at is not None,
        "last": last.get("at") if last is not None else None,
        "in_hand_of": (writer.who or "another program") if writer is not None else None,
        "in_hand_since": writer.since.isoformat(timespec="minutes") if writer is not None else None,
    }
    try:
        plan = plan_frozen(run)
        progress = read_progress(run.daybook, plan, run.lines()[0])
    except LedgerFault as fault:
        return told | {"title": None, "joint": None, "step": None, "of": None, "state": fault.sentence}
    name = book.name_of(progress.by) or told["person"]  # who has it now: it may have been handed over
    place = {"person": name, "title": plan.title, "joint": plan.joint, "of": len(plan.steps)}
    step = min(at_hand(progress) + 1, len(plan.steps))
    state = progress.stopped or "open"
    return told | place | {"step": step, "state": f"{state}: {progress.stop_reason}" if state == "held" else state}


def _line(standing: dict[str, Any]) -> str:
    where = f"step {standing['step']} of {standing['of']}" if standing["step"] is not None else standing["state"]
    since = f"since {(standing['opened'] or '?')[:10]}"
    late = "typed in from paper" if standing["from_paper"] else None
    who = f"{standing['person'] or '?'}, {since}"
    parts = [standing["run"], standing["title"], standing["joint"], where, late, who]
    if standing["step"] is not None and standing["state"].startswith("held"):
        parts.append(f"on hold{standing['state'].removeprefix('held')}")
    if standing["in_hand_of"] is not None:
        parts.append(f"open elsewhere: {standing['in_hand_of']}, since {standing['in_hand_since'].replace('T', ' ')}")
    return " · ".join(part for part in parts if part)
