"""The command that shows how readings lie against their targets over time."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.finding import archive_of, filter_options, query_of
from clampbook.commands.options import as_it_lies, book_option, json_option, say
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.archive.trend import Trend, Wanted
    from clampbook.book.book import Book


@click.command()
@click.option("--fastener", metavar="WORDS", help="A size such as M10, or the name of a group.")
@click.option("--stage", metavar="STAGE", help="Its number in the plan, such as 3 or 3.1; or: pull, turn.")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="The run chart on paper.")
@filter_options
@book_option
@json_option
def trend(
    fastener: str | None,
    stage: str | None,
    pdf: Path | None,
    folder: Path | None,
    as_json: bool,
    **filters: str | None,
) -> int:
    """The run chart of readings against their targets, by tool, person, fastener or stage, in the order of time.

    A tool that drifts, or a hand that gets hasty, shows before a check of the tool does.
    """
    from clampbook.archive import trend as trends
    from clampbook.archive.trend_words import as_data, told
    from clampbook.text import printable

    book = as_it_lies(folder)
    wanted = _wanted(book, fastener, stage, filters)
    name = _name(filters, fastener, stage)
    with archive_of(book) as archive:
        found = trends.trend(archive.asked(lambda connection: trends.points(connection, wanted)))
    if as_json:
        sys.stdout.write(json_text(as_data(name, found)))
    elif found is None:
        click.echo(
            f"{printable(name)}: no reading with a target was found. Releases have no number, and are not charted."
        )
    else:
        click.echo("\n".join(printable(line) for line in told(name, found)))
    if pdf is not None and found is not None:
        _print(book, name, found, pdf)
    return 0


def _wanted(book: Book, fastener: str | None, stage: str | None, filters: dict[str, str | None]) -> Wanted:
    from clampbook.archive.trend import Wanted

    return Wanted(
        tool=_tool(book, filters["tool"] or ""),
        person=_person(book, filters["person"] or ""),
        fastener=fastener or "",
        stage=stage or "",
        runs=query_of((), {**filters, "tool": None, "person": None}),
    )


def _tool(book: Book, named: str) -> str:
    """The id of a tool of the book; one that is not in its file any more goes by its id."""
    from clampbook.book import toolbox

    wanted = named.casefold()
    stock, _ = toolbox.stock_or_fault(book)
    return next((tool.id for tool in stock.tools if wanted in (tool.id.casefold(), tool.name.casefold())), wanted)


def _person(book: Book, named: str) -> str:
    from clampbook.people import find

    found = find(book.people(), named) if named else None
    return found.id if found is not None else named.casefold()


def _name(filters: dict[str, str | None], fastener: str | None, stage: str | None) -> str:
    """What the chart is of, in a few words."""
    given = [filters["tool"], filters["person"], fastener, f"stage {stage}" if stage else None]
    given += [filters[name] for name in ("procedure", "unit", "lot", "outcome")]
    return ", ".join(each for each in given if each) or "All readings"


def _print(book: Book, name: str, found: Trend, path: Path) -> None:
    from clampbook.archive.trend_pages import pdf
    from clampbook.commands.options import now
    from clampbook.ledger import atomic
    from clampbook.ledger.lines import NOTHING_BEFORE, digest

    lines = book.log_lines()
    head = digest(lines[-1]) if lines else NOTHING_BEFORE
    atomic.write(path, pdf(name, found, made=now(), log_head=head, paper=book.paper()), mode=0o644)
    say(f"The run chart is in {path}.")
