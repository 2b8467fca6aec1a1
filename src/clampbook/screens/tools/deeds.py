"""The questions before something is done with a tool: a check, service, pulls, affected work."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Protocol

from clampbook.book.book import Book
from clampbook.book.checks import open_check_of
from clampbook.book.starting.checking import open_check, targets_of
from clampbook.book.toolbox import IN_SERVICE, OUT_OF_SERVICE, references, tools_file
from clampbook.book.toolbox import add_pulls as enter_pulls
from clampbook.check.plan import CheckPlan, Direction
from clampbook.check.planning import TECHNIQUES, NoCheck, beyond, planned, points_of, readings_of, takes_its_maximum
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person
from clampbook.run.acts.at_hand import NOT_KNOWN
from clampbook.run.gather.asking import numbered, who
from clampbook.run.gather.draft import NONE, Part
from clampbook.run.prompts import Choice
from clampbook.screens.tools.dialogue import Dialogue, Steps
from clampbook.screens.tools.writing import change
from clampbook.text import as_sentence
from clampbook.tools.editing import Changes
from clampbook.tools.model import Tool, Use
from clampbook.units import UnitFault, number, show

if TYPE_CHECKING:
    from textual.app import App

    from clampbook.ledger.stamp import Clock


class ToolPage(Protocol):
    """The page of one tool, as far as what is done there needs it."""

    book: Book
    clock: Clock
    tool: Tool
    use: Use

    @property
    def app(self) -> App[object]:
        """The program."""

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""

    def again(self, told: str = "") -> None:
        """Look at the tool again, after something was done with it."""


_HOW = "Which technique first? It decides the verdict."
REASONS = {
    "dropped": "dropped",
    "overloaded": "overloaded",
    "damaged": "damaged",
    "calibration": "away for calibration",
    "lost": "lost",
}
_FAILED = " It needs a passed check first."
_WAYS: dict[str, tuple[str, ...]] = {
    "slow": ("slow",),
    **{f"slow_then_{other.replace(' ', '_')}": ("slow", other) for other in TECHNIQUES[1:]},
}
_DIRECTIONS: dict[str, tuple[Direction, ...]] = {
    "clockwise": ("clockwise",),
    "anticlockwise": ("anticlockwise",),
    "both": ("clockwise", "anticlockwise"),
}
_MOST_OFF = Decimal(90)  # percent: beyond that it is no longer that tool


def begin_check(page: ToolPage) -> None:
    """Ask who, and how; then the check is on the screen. One that is open is resumed."""
    from clampbook.screens.check.opening import show as show_check

    book, tool, clock = page.book, page.tool, page.clock

    def done(wanted: tuple[Person, CheckPlan | None]) -> None:
        person, plan = wanted
        try:
            check = open_check_of(book, tool) if plan is None else open_check(book, plan, person, clock, "system")
            if check is None:
                page.tell("That check is over.")
                return
            app = page.app
            show_check(app, book, check, person, clock, fresh=plan is not None, after=page.again)  # type: ignore[arg-type]
        except LedgerFault as fault:
            page.tell(fault.sentence)

    try:
        steps = _check(book, tool, clock.now().date())
        page.app.push_screen(Dialogue(f"Check of {tool.name}", steps, book.person_named, done))
    except NoCheck as no:
        page.tell(as_sentence(no.sentence))


def _check(book: Book, tool: Tool, today: date) -> Steps[tuple[Person, CheckPlan | None]]:
    """Ask who, against what, in which ways, at which torques. What cannot be is said before anything is asked."""
    is_open = open_check_of(book, tool) is not None
    able: tuple[Tool, ...] = ()
    if not is_open:
        planned(tool, None)
        able = _able(tool, references(book))
    return _check_asked(book, tool, today, is_open, able)


def _able(tool: Tool, found: tuple[Tool, ...]) -> tuple[Tool, ...]:
    """The references that stand the tool's maximum. Raises NoCheck where there are some, and none does."""
    able = tuple(one for one in found if tool.maximum is None or not beyond(one, tool, tool.maximum))
    if found and not able:
        takes_its_maximum(tool, found[0])
    return able


def _check_asked(
    book: Book, tool: Tool, today: date, is_open: bool, found: tuple[Tool, ...]
) -> Steps[tuple[Person, CheckPlan | None]]:
    person = yield who(book.people())
    assert isinstance(person, Person)
    if is_open:
        return person, None
    reference = found[0] if found else None
    if len(found) > 1:
        at = yield Part(
            "reference", "Against which reference?", "choice", numbered({one.id: one.name for one in found})
        )
        reference = next(one for one in found if one.id == at)
    way = yield Part("ways", _HOW, "choice", numbered({code: _way(ways) for code, ways in _WAYS.items()}))
    directions = _DIRECTIONS["clockwise" if tool.directions != "anticlockwise" else "anticlockwise"]
    if tool.directions == "both":
        texts = {
            "clockwise": "clockwise",
            "anticlockwise": "counterclockwise",
            "both": "clockwise, then counterclockwise",
        }
        directions = _DIRECTIONS[str((yield Part("direction", "Which direction?", "choice", numbered(texts))))]
    said = ""
    while True:
        points = ", ".join(show(point.value, tool.unit) for point in points_of(tool))
        usual = f"{points}: by ISO 6789, {readings_of(tool)} readings each"
        texts = {"usual": usual, "of_the_work": "the torques of your work"}
        other = yield Part("points", f"{said}At which torques?", "choice", numbered(texts))
        typed = ""
        if other == "of_the_work":
            typed = str((yield Part("torques", f"Which torques, in {tool.unit}? Put a space between them.", "line")))
        try:
            targets = targets_of(tool, tuple(typed.split()))
            ways = _WAYS[str(way)]
            return person, planned(
                tool, reference, targets=targets, techniques=ways, directions=directions, today=today
            )
        except (NoCheck, LedgerFault) as no:
            said = f"{as_sentence(no.sentence)} "


def _way(ways: tuple[str, ...]) -> str:
    return "slow" if len(ways) == 1 else f"slow, then {ways[1]}"


def withdraw(page: ToolPage) -> None:
    """Ask who says so, since today, and why; it stands in the log by name."""

    def steps() -> Steps[tuple[Person, str]]:
        text = f"Why take {page.tool.name} out of service?"
        reason = str((yield Part("reason", text, "line", numbered(REASONS))))
        person = yield who(page.book.people())
        assert isinstance(person, Person)
        return person, reason

    def done(given: tuple[Person, str]) -> None:
        person, reason = given
        today = page.clock.now().date()
        changes: Changes = {"withdrawn_on": today, "withdrawn_because": reason}
        entry = _signed_for(page, OUT_OF_SERVICE, person) | {"because": reason}
        told = change(page.book, before, "tool", page.tool.id, changes, entry)
        page.again(told or f"{page.tool.name} is out of service from today.")

    before = tools_file(page.book)
    page.app.push_screen(Dialogue(f"Take {page.tool.name} out of service", steps(), page.book.person_named, done))


def _signed_for(page: ToolPage, event: str, person: Person) -> dict[str, Any]:
    """The line of the log by which a person answers for it."""
    tool = page.tool
    serial = {} if tool.serial is None else {"serial": tool.serial}
    by = stamp_of(page.clock.now(), person.id)
    about = {"event": event, "tool": tool.id, **serial, "name": person.name}
    return {**about, "at": by.text, "offset": by.offset, "by": person.id}


def put_back(page: ToolPage) -> None:
    """Return a tool that somebody took out of service; who says so is in the log, and a failed check still counts."""

    def steps() -> Steps[Person | None]:
        text = f"Return {page.tool.name} to service?{_FAILED if page.use.failed is not None else ''}"
        sure = yield Part(
            "sure", text, "choice", numbered({"yes": "Return it to service", "no": "Leave it out of service"})
        )
        if sure != "yes":
            return None
        person = yield who(page.book.people())
        assert isinstance(person, Person)
        return person

    def done(person: Person | None) -> None:
        if person is None:
            return
        changes: Changes = {"withdrawn_on": None, "withdrawn_because": None}
        entry = _signed_for(page, IN_SERVICE, person)
        told = change(page.book, before, "tool", page.tool.id, changes, entry)
        page.again(told or f"{page.tool.name} is returned to service. Check it before you use it.")

    before = tools_file(page.book)
    page.app.push_screen(Dialogue(f"Return {page.tool.name} to service", steps(), page.book.person_named, done))


def add_pulls(page: ToolPage) -> None:
    """Ask how many, and who says so."""
    tool, book = page.tool, page.book

    def steps() -> Steps[tuple[int, Person]]:
        said = ""
        while True:
            typed = str((yield Part("pulls", f"{said}How many pulls did {tool.name} do elsewhere?", "number")))
            if typed.isdecimal() and 0 < len(typed) < 8 and int(typed):
                break
            said = f"“{typed}” is not a number of pulls. "
        person = yield who(book.people())
        assert isinstance(person, Person)
        return int(typed), person

    def done(given: tuple[int, Person]) -> None:
        count, person = given
        now = page.clock.now()
        stamp = stamp_of(now).when | {"by": person.id}
        try:
            enter_pulls(book, tool, count, now.date(), stamp)
        except LedgerFault as fault:
            page.tell(as_sentence(fault.sentence))
            return
        page.again(f"{count} pulls added.")

    page.app.push_screen(Dialogue(f"Pulls of {tool.name}", steps(), book.person_named, done))


def ask_deviation(page: ToolPage, search: Callable[[Decimal | None], None]) -> None:
    """Ask how far off a tool is; where a check found it off, that says it, and a person may leave it open."""
    from clampbook.book.suspicion import failure_of

    try:
        known = failure_of(page.book, page.tool) is not None
    except LedgerFault as fault:
        page.tell(fault.sentence)
        return
    if known:
        search(None)
        return
    page.app.push_screen(
        Dialogue(f"Affected work of {page.tool.name}", _off(page.tool), page.book.person_named, search)
    )


def _off(tool: Tool) -> Steps[Decimal | None]:
    said = ""
    while True:
        text = f"{said}How far off was {tool.name}, in percent? 6 reads high, −6 reads low."
        typed = str((yield Part("off", text, "number", (Choice(NONE, "not known", NOT_KNOWN),))))
        if typed == NOT_KNOWN:
            return None
        try:
            percent = number(typed.removesuffix("%").strip())
        except UnitFault as fault:
            said = f"{as_sentence(fault.sentence)} "
            continue
        if abs(percent) <= _MOST_OFF:
            return percent
        said = f"{typed} % is too far off. "
