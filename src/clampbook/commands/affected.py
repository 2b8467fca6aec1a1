"""The command that lists the work a bad tool was used on."""

from __future__ import annotations

import re
import sys
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import tools_and_adapters
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import book_option, example, json_option, open_book, say
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.archive.affected_runs import Found
    from clampbook.archive.affected_words import Suspicion
    from clampbook.book.book import Book
    from clampbook.check.standing import Failure
    from clampbook.tools.model import Adapter, Tool

_SHARE = re.compile(r"\s*([+\-−]?[0-9]{1,3}(?:[.,][0-9]{1,6})?)\s*%?\s*")


@click.command(epilog=example("affected W5 --since 2026-01-01"))
@click.argument("tool", shell_complete=tools_and_adapters)
@click.option("--since", metavar="DAY", help="From this day on, not since the last passed check")
@click.option("--deviation", metavar="PERCENT", help="How far off it was, if no check says so")
@click.option("--serial", metavar="NUMBER", help="Serial number, if several tools had this id")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Save the list as PDF")
@book_option
@json_option
def affected(
    tool: str,
    since: str | None,
    deviation: str | None,
    serial: str | None,
    pdf: Path | None,
    folder: Path | None,
    as_json: bool,
) -> int:
    """List work a bad tool was used on.

    Each run, group and position since its last passed check, and what would have been outside. TOOL can be gone
    from tools.toml. It can be an adapter: a wrong length makes every torque through it wrong.
    """
    from clampbook.book.past_tools import tool_or_past
    from clampbook.book.suspicion import tell_runs
    from clampbook.book.toolbox import adapter_named

    book = open_book(folder)
    adapter = adapter_named(book, tool)
    if adapter is None:
        suspicion, failure = _suspicion(book, tool_or_past(book, tool, serial), since, deviation)
    else:
        suspicion, failure = _of_adapter(adapter, since, deviation), None
    found = _looked_through(book, suspicion)
    if failure is not None and (told := tell_runs(book, suspicion, failure, found)):
        say(told)
    if pdf is not None:
        _print(book, suspicion, found, pdf)
    _say(suspicion, found, as_json)
    return LOOK_AT_IT if found.outside or found.unread else FINE


def tell_runs_of(book: Book, tool: Tool) -> None:
    """After a failed check: notices beside the finished runs that the tool was used on, and how much it is."""
    from clampbook.archive.affected_words import summary
    from clampbook.book.suspicion import tell_runs

    suspicion, failure = _suspicion(book, tool, None, None)
    if failure is None:
        return
    found = _looked_through(book, suspicion)
    if told := tell_runs(book, suspicion, failure, found):
        say(told)
    say(f"Affected work: {summary(found, suspicion)}. List it with: clampbook affected {tool.id}")


def _suspicion(book: Book, tool: Tool, since: str | None, deviation: str | None) -> tuple[Suspicion, Failure | None]:
    """Tell why and how far the tool is in question, from what was said or else from its latest failed check."""
    from clampbook.book.suspicion import failure_of, suspicion_by_hand, suspicion_of
    from clampbook.tools.model import MEASURING

    if deviation is not None and tool.kind in MEASURING:
        raise click.UsageError(
            f"No percentage says how far {tool.name} was off, for it measures no torque. "
            "Leave out --deviation, and compare each reading listed with its window."
        )
    failure = failure_of(book, tool) if since is None and deviation is None else None
    if failure is not None:
        suspicion, told = suspicion_of(book, tool, failure)
        if told:
            say(told)
        return suspicion, failure
    after = f"{_day(since)}T00:00:00.000Z" if since is not None else None
    return suspicion_by_hand(book, tool, after, _share(deviation) if deviation is not None else None), None


def _of_adapter(adapter: Adapter, since: str | None, deviation: str | None) -> Suspicion:
    from clampbook.book.suspicion import suspicion_of_adapter

    after = f"{_day(since)}T00:00:00.000Z" if since is not None else None
    return suspicion_of_adapter(adapter, after, None if deviation is None else _share(deviation))


def _share(deviation: str) -> Decimal:
    found = _SHARE.fullmatch(deviation)
    share = Decimal(found[1].replace(",", ".").replace("−", "-")) if found else None
    if share is None or not -90 < share < 900:
        raise click.UsageError(
            f"--deviation {deviation} is not a percentage. Write it like +5 % if the tool read high."
        )
    return share


def _day(written: str) -> str:
    try:
        return date.fromisoformat(written).isoformat()
    except ValueError as error:
        raise click.UsageError(f"--since {written} is not a day. Write it like 2026-03-02.") from error


def _looked_through(book: Book, suspicion: Suspicion) -> Found:
    from clampbook.book.suspicion import affected_by

    shown = sys.stderr.isatty()

    def progress(done: int, of: int) -> None:
        if shown and (done % 50 == 0 or done == of):
            sys.stderr.write(f"\r{done} of {of} runs searched" + ("\n" if done == of else ""))
            sys.stderr.flush()

    return affected_by(book, suspicion, progress)


def _print(book: Book, suspicion: Suspicion, found: Found, path: Path) -> None:
    from datetime import datetime

    from clampbook.archive.affected_list import pdf
    from clampbook.ledger import atomic
    from clampbook.ledger.lines import NOTHING_BEFORE, digest

    lines = book.log_lines()
    head = digest(lines[-1]) if lines else NOTHING_BEFORE
    atomic.write(
        path, pdf(suspicion, found, made=datetime.now().astimezone(), log_head=head, paper=book.paper()), mode=0o644
    )
    say(f"List: {path}")


def _say(suspicion: Suspicion, found: Found, as_json: bool) -> None:
    from clampbook.archive.affected_words import as_data, told
    from clampbook.text import printable

    if as_json:
        sys.stdout.write(json_text(as_data(suspicion, found)))
    else:
        click.echo("\n".join(printable(line) for line in told(suspicion, found)))
