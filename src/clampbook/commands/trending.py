"""The command that shows how readings lie against their targets over time."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, assert_never

import click

from clampbook.commands.finding import archive_of, filter_options, query_of
from clampbook.commands.options import as_it_lies, book_option, example, json_option, say
from clampbook.streams import json_text
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.archive.index import Archive
    from clampbook.archive.trend import Wanted
    from clampbook.book.book import Book
    from clampbook.tools.identity import Identity


@click.command(epilog=example("trend --tool W5 --pdf w5.pdf"))
@click.option("--fastener", metavar="WORDS", help="Size such as M10, or a group's name")
@click.option("--stage", metavar="STAGE", help="Stage number such as 3 or 3.1, or pull, turn")
@click.option("--measured", metavar="WORDS", help="Chart values of a measure stage, such as end play")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), metavar="FILE", help="Save the chart as PDF")
@click.option("--serial", metavar="NUMBER", help="Serial number, if several tools had this id")
@filter_options
@book_option
@json_option
def trend(
    fastener: str | None,
    stage: str | None,
    measured: str | None,
    pdf: Path | None,
    serial: str | None,
    folder: Path | None,
    as_json: bool,
    **filters: str | None,
) -> int:
    """Chart readings over time.

    Each reading against its target. Choose them by tool, person, fastener or stage. With --measured the values
    themselves, such as the end play of an engine.
    """
    book = as_it_lies(folder)

    def name(what: str | None) -> str:
        return _name(filters, what, fastener, stage)

    with archive_of(book) as archive:
        wanted = _wanted(book, archive, fastener, stage, serial, filters)
        if measured is None:
            charted = _against_target(archive, name(None), wanted)
        else:
            charted = _measured(archive, name, wanted, measured)
    if as_json:
        sys.stdout.write(json_text(charted.data))
    else:
        click.echo("\n".join(printable(line) for line in charted.lines))
    if pdf is not None and charted.pages is not None:
        _print(book, charted.pages, pdf)
    return 0


class _Charted(NamedTuple):
    """A chart as an object, as lines, and as what sets its pages; no pages where there is nothing to chart."""

    data: dict[str, Any]
    lines: tuple[str, ...]
    pages: Callable[..., bytes] | None = None


def _against_target(archive: Archive, name: str, wanted: Wanted) -> _Charted:
    from clampbook.archive import trend as trends
    from clampbook.archive.trend_pages import pdf
    from clampbook.archive.trend_words import as_data, told

    found = trends.trend(archive.asked(lambda connection: trends.points(connection, wanted)))
    if found is None:
        none = f"{name}: no readings with a target. A click is not a reading, so none is charted."
        return _Charted(as_data(name, None), (none, "Chart measured values with --measured."))
    return _Charted(as_data(name, found), tuple(told(name, found)), partial(pdf, name, found))


def _measured(archive: Archive, name: Callable[[str], str], wanted: Wanted, words: str) -> _Charted:
    """The chart of measured values. Raises UsageError where one chart cannot hold them."""
    from clampbook.archive import measured as measuring
    from clampbook.archive.measured_pages import pdf
    from clampbook.archive.measured_words import as_data, cannot_share, none_found, told

    found = measuring.measured(archive.asked(lambda connection: measuring.values(connection, wanted, words)))
    match found:
        case None:
            return _Charted(as_data(name(words), None), (none_found(name(words), archive.asked(measuring.names)),))
        case measuring.OtherKind():
            raise click.UsageError(printable(cannot_share(found)))
        case measuring.Measured():
            of = name(found.whats[0] if len(found.whats) == 1 else words)
            return _Charted(as_data(of, found), tuple(told(of, found)), partial(pdf, of, found))
        case _ as never:
            assert_never(never)


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


def _name(filters: dict[str, str | None], measured: str | None, fastener: str | None, stage: str | None) -> str:
    """Name in a few words what the chart is of."""
    given = [measured, filters["tool"], filters["person"], fastener, f"stage {stage}" if stage else None]
    given += [filters[name] for name in ("procedure", "equipment", "lot", "outcome")]
    return ", ".join(each for each in given if each) or "All readings"


def _print(book: Book, pages: Callable[..., bytes], path: Path) -> None:
    from clampbook.commands.options import now
    from clampbook.ledger import atomic
    from clampbook.ledger.lines import NOTHING_BEFORE, digest

    lines = book.log_lines()
    head = digest(lines[-1]) if lines else NOTHING_BEFORE
    atomic.write(path, pages(made=now(), log_head=head, paper=book.paper()), mode=0o644)
    say(f"Chart: {path}")
