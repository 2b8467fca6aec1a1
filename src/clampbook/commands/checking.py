"""The command that checks a tool: at the bench, line by line or from a file of readings."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampbook.commands.completing import people, tools
from clampbook.commands.directions import Way, directions_of
from clampbook.commands.exit_status import FINE, INTERRUPTED, LOOK_AT_IT
from clampbook.commands.keys import lines
from clampbook.commands.naming import person_meant
from clampbook.commands.on_screen import checking as on_screen
from clampbook.commands.on_screen import is_a_screen
from clampbook.commands.options import (
    book_option,
    clock_said,
    example,
    in_this_book,
    json_option,
    new_option,
    open_book,
    say,
)
from clampbook.commands.telling_apart import told_apart
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.starting.checking import Source
    from clampbook.check.folder import CheckFolder
    from clampbook.check.plan import CheckPlan, Phase
    from clampbook.ledger.stamp import Clock
    from clampbook.people import Person
    from clampbook.plain.lines import Lines

_SYSTEM: Source = "system"
_FILE = click.Path(path_type=Path, dir_okay=False)
_NOT_OF_A_FILE = {"targets": "--at", "techniques": "--technique", "times": "--times", "bring": "--bring"}
_OF_A_NEW_ONE = {**_NOT_OF_A_FILE, "direction": "--direction", "reference": "--reference"}


@click.command(epilog=example("check W5 --reference R1 --as Ines"))
@click.argument("tool", shell_complete=tools)
@click.option("--reference", metavar="ID", help="Reference, if the book has several", shell_complete=tools)
@click.option("--plain", is_flag=True, help="Check line by line, for screen readers, serial lines and scripts")
@click.option(
    "--readings", type=_FILE, metavar="FILE.csv", help="Take readings from a file: reference,indicated[,technique]"
)
@click.option("--as-left", is_flag=True, help="The readings were taken after an adjustment")
@click.option("--at", "targets", multiple=True, metavar="TORQUE", help="Torque of the work, instead of the standard's")
@click.option(
    "--technique", "techniques", multiple=True, metavar="WORDS", help="Technique. Give several to compare them"
)
@click.option("--direction", type=Way(), help="Clockwise if not said, or the one way the tool works")
@click.option("--times", type=int, metavar="N", help="Readings at each point, instead of the standard's")
@click.option("--bring", type=click.Choice(["tool", "reference"]), help="Bring this one to the check point")
@click.option("--as", "by", metavar="PERSON", help="Your name", shell_complete=people)
@new_option
@click.option("--new-check", is_flag=True, help="Start a new check, even if one is open")
@book_option
@json_option
def check(folder: Path | None, tool: str, as_json: bool, **said: Any) -> int:
    """Check a tool against a reference.

    It does not replace calibration.
    """
    from clampbook.check.planning import NoCheck
    from clampbook.ledger.refusals import LedgerFault

    book = open_book(folder)
    try:
        if said["readings"] is not None:
            return _from_file(book, tool, said, as_json)
        return _at_the_bench(book, tool, said, as_json)
    except NoCheck as no:
        raise LedgerFault(no.sentence) from no


def _from_file(book: Book, name: str, said: dict[str, Any], as_json: bool) -> int:
    from clampbook.book.starting.checking import read_in
    from clampbook.book.toolbox import reference_for, tool_named
    from clampbook.check.from_file import plan_of_file
    from clampbook.procedure.intake import load

    _only_of_a_file(said)
    who = cache(partial(_person_if_said, book, said))
    tool, path = told_apart(book, tool_named(book, name), lines(), who), said["readings"]
    phase: Phase = "as left" if said["as_left"] else "as found"
    direction = directions_of(said["direction"], tool)[0]
    data, (clock, source) = load(path), _clock()
    reference, today = reference_for(book, said["reference"]), clock.now().date()
    plan, readings = plan_of_file(tool, reference, data, str(path), phase=phase, direction=direction, today=today)
    return _ended(book, read_in(book, plan, readings, data, _known(who()), clock, source), clock, lines(), as_json)


def _only_of_a_file(said: dict[str, Any]) -> None:
    """Refuse beside a file what it says by itself, and more than one direction, in which its readings were taken."""
    for key, option in _NOT_OF_A_FILE.items():
        if said[key]:
            raise click.UsageError(f"{option} does not go with --readings. Points and techniques are in the file.")
    if said["direction"] == "both":
        raise click.UsageError("--direction both does not go with --readings. Use a file for each direction.")


def _at_the_bench(book: Book, name: str, said: dict[str, Any], as_json: bool) -> int:
    from clampbook.book.checks import open_check_of
    from clampbook.book.starting.checking import open_check
    from clampbook.book.toolbox import tool_named
    from clampbook.ledger.stamp import SystemClock

    who = cache(partial(_person_if_said, book, said))
    tool = told_apart(book, tool_named(book, name), lines(), who)
    found = None if said["new_check"] else open_check_of(book, tool)
    if found is not None:
        _only_of_a_new_one(found.id, said)
    screen = is_a_screen() and not said["plain"] and not as_json
    # Only line by line a clock is handed in.
    clock, source = (SystemClock(), _SYSTEM) if screen else _clock()
    plan = None if found is not None else _planned(book, tool.id, said, clock)

    def opened(person: Person) -> CheckFolder:
        if plan is not None:
            return open_check(book, plan, person, clock, source)
        assert found is not None
        return found

    if screen:
        return _on_screen(book, tool.name, opened, who(), clock, fresh=found is None)
    person = _known(who())
    check = opened(person)
    say(f"Check {check.id} {'started' if found is None else 'resumed'}.")
    return _plainly(book, check, person, clock, fresh=found is None, as_json=as_json)


def _on_screen(
    book: Book,
    tool: str,
    opened: Callable[[Person], CheckFolder],
    person: Person | None,
    clock: Clock,
    *,
    fresh: bool,
) -> int:
    """A check on the full screen, which asks by itself who is there; a check that was not begun leaves nothing."""
    begun: list[CheckFolder] = []

    def kept(person: Person) -> CheckFolder:
        begun.append(opened(person))
        return begun[-1]

    went_on = on_screen(book, f"Check of {tool}", kept, person, clock, fresh=fresh)
    if not went_on:
        say("Stopped. All answers are saved.", f"Resume with: clampbook check {tool}{in_this_book(book)}")
        return INTERRUPTED
    return _ended(book, begun[-1], clock, None, as_json=False) if begun else FINE


def _only_of_a_new_one(check: str, said: dict[str, Any]) -> None:
    """Hold an open check to what was settled as it was opened; raises UsageError where something else is wished now."""
    wished = [option for key, option in _OF_A_NEW_ONE.items() if said[key]]
    if wished:
        raise click.UsageError(
            f"Check {check} is open and keeps its terms. "
            f"Leave out {', '.join(wished)}, or start a new one with --new-check."
        )


def _planned(book: Book, name: str, said: dict[str, Any], clock: Clock) -> CheckPlan:
    from clampbook.book.starting.checking import targets_of
    from clampbook.book.toolbox import reference_for, tool_named
    from clampbook.check.planning import planned

    tool = tool_named(book, name)
    return planned(
        tool,
        reference_for(book, said["reference"]),
        targets=targets_of(tool, said["targets"]),
        techniques=said["techniques"] or ("slow",),
        directions=directions_of(said["direction"], tool),
        readings=said["times"],
        held={"tool": "indicated", "reference": "reference", None: None}[said["bring"]],
        today=clock.now().date(),
    )


def _plainly(book: Book, check: CheckFolder, person: Person, clock: Clock, *, fresh: bool, as_json: bool) -> int:
    """Line by line on standard output; with --json the talk goes to standard error and one object comes at the end."""
    from clampbook.book.checks import tell_book
    from clampbook.book.starting.checking import checking
    from clampbook.check import rests_on
    from clampbook.plain.checking import CheckLoop, Face
    from clampbook.plain.lines import Interrupted, Lines

    typed = Lines(sys.stdin.buffer, terminal=sys.stdin.isatty())
    width = shutil.get_terminal_size((80, 24)).columns
    face = Face(sys.stderr if as_json else sys.stdout, width, sys.stdin.isatty())
    face.tell(rests_on.told(check.frozen()) if fresh else ())
    with typed.safe_to_stop():
        try:
            with checking(book, check, clock=clock, person=person, fresh=fresh) as now:

                def after() -> None:
                    if tell_book(book, check, now.plan, now.progress):
                        face.say(f"Failed !: {now.plan.tool.name}, now out of service.")

                after()
                CheckLoop(now, face, typed, clock, after).run()
        except Interrupted:
            say(
                "Stopped. All answers are saved.",
                f"Resume with: clampbook check {check.frozen().tool.id}{in_this_book(book)}",
            )
            return INTERRUPTED
    return _ended(book, check, clock, typed, as_json)


def _ended(book: Book, check: CheckFolder, clock: Clock, typed: Lines | None, as_json: bool) -> int:
    """Tell the result of a check, its record, its report, its seal, and give the exit status: 0 passed or over for
    today, 1 to look at. `typed` None: on the screen whoever closed it was asked already."""
    from clampbook.book.checks import still_against
    from clampbook.book.starting.checking import conclude
    from clampbook.check.at_the_joint import told_at_the_joint
    from clampbook.check.loading import both, load
    from clampbook.check.wording import VERIFICATION, concluded, told

    record = conclude(book, check)
    plan, progress = load(check)
    against = still_against(book, check, plan.tool) if record is not None else ""
    found, left = both(plan, progress)
    if as_json:
        from clampbook.commands.check_objects import of_check

        sys.stdout.write(json_text(of_check(check.id, plan, progress)))
    elif record is not None:
        for phase, judgement in (("As found", found), ("As left", left)):
            if judgement is not None:
                click.echo(f"{phase}:")
                click.echo("\n".join(f"  {line}" for line in told(judgement)))
        click.echo(concluded(plan.tool.name, found, left))
        for line in (
            *told_at_the_joint(found, "as found", plan.tool),
            *told_at_the_joint(left, "as left", plan.tool),
        ):
            click.echo(line)
        if against:
            click.echo(against)
        click.echo(VERIFICATION)
    if record is None:
        say(f"Check {check.id} stays open. Resume with: clampbook check {plan.tool.id}{in_this_book(book)}")
        return FINE
    say(f"Record: {record}", _sealed(book, check, clock, typed))
    if found is not None and found.verdict == "failed":
        from clampbook.commands.affected import tell_runs_of

        tell_runs_of(book, plan.tool)
    verdicts = {each.verdict for each in (found, left) if each is not None}
    return FINE if verdicts == {"passed"} else LOOK_AT_IT


def _sealed(book: Book, check: CheckFolder, clock: Clock, typed: Lines | None) -> str:
    """Ask whoever closed a check for their passphrase, where they have a key, and seal it; what came of it."""
    from clampbook.book.sealing.finishing import finish
    from clampbook.book.sealing.of_check import CheckSigning
    from clampbook.ledger.refusals import LedgerFault
    from clampbook.plain.signing import sign_all
    from clampbook.plain.words import Words
    from clampbook.record.checks.report import print_beside

    if check.state != "closed":
        return print_beside(check, book.paper())
    try:
        signing = CheckSigning(book, check, clock)
        if typed is not None:
            sign_all(signing, Words(sys.stderr, width=80, marker=typed.terminal), typed, None)
    except LedgerFault as refused:
        return f"The check is over, not sealed: {refused.sentence}"
    return " ".join(finish(signing))


def _person_if_said(book: Book, said: dict[str, Any]) -> Person | None:
    """Give the person who was named, or the only one of the book; None where it is to be asked."""
    if said["by"] is not None:
        return person_meant(book, said["by"], lines(), new=said["new"])
    people = book.people()
    return people[0] if len(people) == 1 else None


def _known(person: Person | None) -> Person:
    from clampbook.ledger.refusals import LedgerFault

    if person is None:
        raise LedgerFault("say who you are with --as NAME")
    return person


def _clock() -> tuple[Clock, Source]:
    from clampbook.plain.clock import source

    clock = clock_said()
    return clock, source(clock)
