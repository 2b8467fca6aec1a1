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
    from clampbook.archive.index import Archive
    from clampbook.archive.trend import Trend, Wanted
    from clampbook.book.book import Book
    from clampbook.tools.identity import Identity


@click.command()
@click.option("--fastener", metavar="WORDS", help="Size such as M10, or a group's name")
@click.option("--stage", metavar="STAGE", help="Stage number such as 3 or 3.1, or pull, turn")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Save the chart as PDF")
@click.option("--serial", metavar="NUMBER", help="Serial number, if several tools had this id")
@filter_options
@book_option
@json_option
def trend(
    fastener: str | None,
    stage: str | None,
    pdf: Path | None,
    serial: str | None,
    folder: Path | None,
    as_json: bool,
    **filters: str | None,
) -> int:
    """Chart readings over time.

    Each reading against its target. Choose them by tool, person, fastener or stage.
    """
    from clampbook.archive import trend as trends
    from clampbook.archive.trend_words import as_data, told
    from clampbook.text import printable

    book = as_it_lies(folder)
    name = _name(filters, fastener, stage)
    with archive_of(book) as archive:
        wanted = _wanted(book, archive, fastener, stage, serial, filters)
        found = trends.trend(archive.asked(lambda connection: trends.points(connection, wanted)))
    if as_json:
        sys.stdout.write(json_text(as_data(name, found)))
    elif found is None:
        click.echo(f"{printable(name)}: no readings with a target. A click is not a reading, so none is charted.")
    else:
        click.echo("\n".join(printable(line) for line in told(name, found)))
    if pdf is not None and found is not None:
        _print(book, name, found, pdf)
    return 0


def _wanted(
    book: Book,
    archive: Archive,
    fastener: str | None,
    stage: str | None,
    serial: str | None,
    filters: dict[str, str | None],
) -> Wanted:
    from clampbook.archive.trend import Wanted

    return Wanted(
        tool=_tool(book, archive, filters["tool"], serial),
        person=_person(book, filters["person"] or ""),
        fastener=fastener or "",
        stage=stage or "",
        runs=query_of((), {**filters, "tool": None, "person": None}),
    )


def _tool(book: Book, archive: Archive, named: str | None, serial: str | None) -> Identity | None:
    """A tool of the book, or the one of that id that has, or had, a serial number. Raises UsageError."""
    from clampbook.book import toolbox
    from clampbook.book.told_apart import by_serial, identity

    if not named:
        if serial is not None:
            raise click.UsageError("Add --tool: whose serial number is it?")
        return None
    wanted = named.casefold()
    stock, _ = toolbox.stock_or_fault(book)
    tool = next((tool for tool in stock.tools if wanted in (tool.id.casefold(), tool.name.casefold())), None)
    id, now = (wanted, None) if tool is None else (tool.id, tool.serial)
    if serial is not None:
        return by_serial(book, id, serial, now)
    return identity(book, id, now) if tool is not None else _not_in_the_file(archive, id)


def _not_in_the_file(archive: Archive, id: str) -> Identity:
    """A tool that only runs name any more, where they name one. Raises UsageError where they name several."""
    from clampbook.archive.trend import of_that_id
    from clampbook.text import printable
    from clampbook.tools.identity import Identity, folded

    known = archive.asked(lambda connection: of_that_id(connection, id))
    serials = {folded(serial): serial for _, serial in known if serial}
    if len(serials) > 1:
        which = ", ".join(sorted(serials.values()))
        raise click.UsageError(printable(f"Several tools were called {id}. Choose one with --serial: {which}."))
    return Identity(id, frozenset(book for book, _ in known), frozenset(serials), own="")


def _person(book: Book, named: str) -> str:
    from clampbook.people import find

    found = find(book.people(), named) if named else None
    return found.id if found is not None else named.casefold()


def _name(filters: dict[str, str | None], fastener: str | None, stage: str | None) -> str:
    """Name in a few words what the chart is of."""
    given = [filters["tool"], filters["person"], fastener, f"stage {stage}" if stage else None]
    given += [filters[name] for name in ("procedure", "equipment", "lot", "outcome")]
    return ", ".join(each for each in given if each) or "All readings"


def _print(book: Book, name: str, found: Trend, path: Path) -> None:
    from clampbook.archive.trend_pages import pdf
    from clampbook.commands.options import now
    from clampbook.ledger import atomic
    from clampbook.ledger.lines import NOTHING_BEFORE, digest

    lines = book.log_lines()
    head = digest(lines[-1]) if lines else NOTHING_BEFORE
    atomic.write(path, pdf(name, found, made=now(), log_head=head, paper=book.paper()), mode=0o644)
    say(f"Chart: {path}")
