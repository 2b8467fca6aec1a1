"""The command about what is due: the one list of a book, and a follow-up that is crossed off."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import people, runs
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.extras import needs
from clampbook.commands.options import as_it_lies, book_option, example, json_option, new_option, now, open_book, say
from clampbook.streams import json_text
from clampbook.text import counted

if TYPE_CHECKING:
    from clampbook.archive.follow_ups import FollowUp
    from clampbook.book.book import Book
    from clampbook.book.due.entries import By, Due
    from clampbook.book.due.listing import Span

_MOST_SECONDS = 100 * 366 * 86400


@click.command(epilog=example("due --within '60 days' --by person"))
@click.option("--within", metavar="TIME", default="30 days", show_default=True, help="Look so far ahead")
@click.option("--by", type=click.Choice(("day", "equipment", "person")), default="day", help="Sort by this")
@click.option("--all", "every", is_flag=True, help="Show follow-ups that were crossed off too")
@click.option(
    "--ics",
    "calendar",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write a calendar file",
)
@click.option("--cross-off", metavar="RUN", help="Cross off the follow-up of this run", shell_complete=runs)
@click.option("--due-again", metavar="RUN", help="Take back a crossing off", shell_complete=runs)
@click.option("--follow-up", metavar="TITLE", help="Which follow-up, if the run has several")
@click.option("--reason", metavar="TEXT", help="Where and when it was done, or why it is not needed")
@click.option("--as", "who", metavar="PERSON", help="Your name", shell_complete=people)
@new_option
@book_option
@json_option
def due(
    within: str,
    by: By,
    every: bool,
    calendar: Path | None,
    cross_off: str | None,
    due_again: str | None,
    follow_up: str | None,
    reason: str | None,
    who: str | None,
    new: bool,
    folder: Path | None,
    as_json: bool,
) -> int:
    """List follow-ups, calibrations and checks due.

    Procedures to compare again stand there too. Work that is due after so much use stands in every list, as nobody
    knows what was used since. A calendar file (--ics) can be taken in again: its days move, none comes twice.
    """
    if cross_off is not None and due_again is not None:
        raise click.UsageError("Give one of --cross-off RUN and --due-again RUN.")
    if (run := cross_off or due_again) is not None:
        said = _Said(run, follow_up, who, reason, new, again=due_again is not None)
        return _written(open_book(folder), said, as_json)
    if follow_up is not None or reason is not None or who is not None:
        raise click.UsageError("--follow-up, --reason and --as go with --cross-off RUN, or --due-again RUN.")
    span, book = _span(within), as_it_lies(folder)
    if calendar is not None:
        return _written_for_calendars(book, span, calendar, as_json)
    entries = _entries(book, span, every=every)
    if as_json:
        from clampbook.book.due.words import as_data

        sys.stdout.write(json_text({"due": [as_data(each) for each in _sorted(entries, by)]}, indent=1))
    else:
        click.echo("\n".join(_lines(_sorted(entries, by), by)) or f"Nothing is due before {span.until}.")
    return LOOK_AT_IT if any(each.crossed_off is None for each in entries) else FINE


def _written_for_calendars(book: Book, span: Span, into: Path, as_json: bool) -> int:
    """Write what is due as a calendar file. What was crossed off stands there as cancelled. Raises ClickException,
    LedgerFault."""
    needs("icalendar")
    from clampbook.book.due.calendar import on_days, written
    from clampbook.ledger import atomic

    entries = _entries(book, span, every=True)
    data, count = written(book.id, book.name, entries, span.now), len(on_days(entries))
    if without := len(entries) - count:
        say(f"Left out: {counted(without, 'entry', 'entries')} without a day, due by use alone.")
    atomic.write(into, data, mode=0o644)
    if as_json:
        sys.stdout.write(json_text({"calendar": str(into), "entries": count, "without_a_day": without}, indent=1))
    else:
        click.echo(f"{counted(count, 'entry', 'entries')} written to {into}.")
    return FINE


def _span(within: str) -> Span:
    """Read how far a list looks ahead. Raises UsageError."""
    from clampbook.book.due.listing import Span
    from clampbook.units import Kind, UnitFault, convert, parse

    try:
        typed = parse(within, Kind.TIME)
        seconds = convert(typed.value, typed.unit, "s")
    except UnitFault as fault:
        raise click.UsageError(f'--within: {fault.sentence}. Give a time, such as "30 days".') from fault
    if not 0 <= seconds <= _MOST_SECONDS:
        raise click.UsageError('--within: give 0 days or more, up to 100 years, such as "30 days".')
    return Span(now(), timedelta(seconds=float(seconds)))


def _entries(book: Book, span: Span, *, every: bool) -> tuple[Due, ...]:
    """List what is due in the book; a part that cannot be read is told, and the rest listed all the same."""
    from clampbook.book.due.listing import follow_ups, of_stock_and_procedures, still_due
    from clampbook.book.due.procedures import released
    from clampbook.book.toolbox import stock_or_fault
    from clampbook.commands.finding import archive_of

    with archive_of(book) as archive:
        found = follow_ups(book, archive, book.unfinished_runs(), span.now)
    stock, fault = stock_or_fault(book)
    if fault is not None:
        say(f"The tools cannot be read: {fault}.")
    gone = (each for each in found if each.crossed_off is not None) if every else ()
    return (*still_due(found, span), *gone, *of_stock_and_procedures(stock, released(book, book.procedures()), span))


def _sorted(entries: tuple[Due, ...], by: By) -> tuple[Due, ...]:
    from clampbook.book.due.entries import in_order

    return in_order(entries, by)


def _lines(entries: tuple[Due, ...], by: By) -> Iterator[str]:
    """Each entry in a line, under its thing or person where the list goes by those; a follow-up has its run below."""
    from clampbook.archive.follow_ups import FollowUp
    from clampbook.book.due.entries import heading
    from clampbook.book.due.words import line
    from clampbook.text import printable

    under: str | None = None
    for entry in entries:
        named = heading(entry, by)
        if by != "day" and named != under:
            yield f"{printable(named)}:" if named else f"No {by}:"
            under = named
        yield printable(line(entry))
        if isinstance(entry.what, FollowUp):
            yield printable("    " + " · ".join(filter(None, (entry.what.run, entry.what.person))))


@dataclass(frozen=True, slots=True)
class _Said:
    """The words of the command line about one follow-up: that it is crossed off, or due `again`."""

    run: str
    title: str | None
    who: str | None
    reason: str | None
    new: bool
    again: bool


def _written(book: Book, said: _Said, as_json: bool) -> int:
    """Cross off one follow-up, or take that back. Raises UsageError, LedgerFault, TextFault, KeyFault."""
    from clampbook.book.due import crossed
    from clampbook.commands.keys import lines
    from clampbook.commands.naming import person_meant
    from clampbook.ledger.stamp import stamp_of
    from clampbook.text import printable

    if said.who is None or said.reason is None:
        raise click.UsageError("Add your name and a reason: --as PERSON --reason TEXT")
    found = _follow_up_of(book, said.run, said.title)
    person = person_meant(book, said.who, lines(), new=said.new)
    stamp = stamp_of(now(), person.id)
    if said.again:
        line = crossed.due_again(book, found, person, said.reason, stamp)
        told = f"{printable(found.title)} of {found.run} is due again."
    else:
        line = crossed.cross_off(book, found, person, said.reason, stamp)
        told = line.says
    if as_json:
        key = "due_again" if said.again else "crossed_off"
        about = {"run": line.run, "follow_up": line.follow_up, "by": line.name, "at": line.at, "reason": line.reason}
        sys.stdout.write(json_text({key: about}, indent=1))
    else:
        click.echo(told)
    return FINE


def _follow_up_of(book: Book, run: str, title: str | None) -> FollowUp:
    """The follow-up of a run that is still due. Raises UsageError, LedgerFault."""
    from clampbook.archive.follow_ups import waiting
    from clampbook.commands.finding import archive_of
    from clampbook.text import printable

    folder = book.run(run)
    with archive_of(book) as archive:
        there = [each for each in archive.asked(waiting) if each.run == folder.id]
    named = [each for each in there if title is None or each.title.casefold() == title.casefold()]
    if len(named) == 1:
        return named[0]
    titles = ", ".join(f"“{printable(each.title)}”" for each in there)
    if not titles:
        raise click.UsageError(f"{folder.id} has no follow-up that is still to be done.")
    raise click.UsageError(f"Choose one with --follow-up. {folder.id} has {titles}.")
