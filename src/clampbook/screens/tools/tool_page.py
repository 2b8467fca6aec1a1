"""One tool: its state, what is known of it, the picture of its checks, and what can be done with it."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual import work
from textual.content import Content
from textual.worker import get_current_worker

from clampbook.book.checks import open_check_of
from clampbook.book.toolbox import stock, tools_file
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.choosing import choices_shown, wrapped
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS, BACK_HINT, HELP
from clampbook.screens.page import Page
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.tools.telling import HELP_LINES, facts
from clampbook.screens.widgets.band_drawing import Band, drawn
from clampbook.screens.widgets.band_picture import painted
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import printable
from clampbook.tools.label import in_a_line
from clampbook.tools.model import MEASURING, WORKING, Tool, Use
from clampbook.tools.state import state

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.screens.actions import Action
    from clampbook.screens.tools.past import PastCheck

_PICTURE = 9  # rows of the picture of its checks
_MORE = 8  # rows that it takes where there are more than enough
_AROUND = 6  # rows of a screen that are no list: top, sentence, field, notice, keys
_GO_ON = "Resume its check"
_LEGEND = "Its checks, lowest torque to highest. │ spans the readings:"


class ToolPage(Questions):
    """Opened from the list of tools; `after` is called when something was changed."""

    def __init__(self, book: Book, tool: str, clock: Clock, after: Callable[[], None]) -> None:
        self.book = book
        self.clock = clock
        self.after = after
        self.tool, self.use = self._look_up(tool)
        self.is_open = open_check_of(book, self.tool) is not None
        self.past: tuple[PastCheck, ...] = ()
        self.band: Band | None = None
        super().__init__(self._part())

    def on_mount(self) -> None:
        """The checks are read while the person reads the rest. A changed serial number is asked about first."""
        self.look_back()
        self._ask_about_its_serial()

    def _ask_about_its_serial(self) -> None:
        if self.use.serial_was is not None:
            self.call_after_refresh(self.tell_apart)

    # What is shown.

    def heading(self) -> str:
        """The name of the book and of the tool; where both have no room, the tool's."""
        whole = f"{self.book.name} · tools · {self.tool.name}"
        return whole if cell_len(whole) <= self.app.size.width - 2 else f"tools · {self.tool.name}"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (KeyHint("number", "choose"), KeyHint("PgUp PgDn", "page"), BACK_HINT, HELP, ACTIONS)

    def listed(self) -> Content:
        """State, facts, picture and choices where all of it fits; else the choices stand before picture and facts."""
        choices = choices_shown(self.part.choices, self.field, self.columns)
        told, picture = self._lines(facts(self.tool, self.use)), self._picture()
        rows = len(told) + len(self.part.choices) + _rows(picture) + 2
        spare = min(self.size.height - rows - _AROUND, _MORE)
        if picture and spare > 0:
            picture = self._picture(_PICTURE + spare)
        gap = [Content()]
        if rows + _AROUND <= self.size.height:
            parts = [*told, *gap, *picture, *(gap if picture else []), choices]
        else:
            parts = [choices, *picture, *gap, *told]
        return Content("\n").join(parts)

    def _lines(self, lines: tuple[str, ...]) -> list[Content]:
        return [Content(row) for line in lines for row in wrapped(printable(line), self.columns)]

    def _picture(self, rows: int = _PICTURE) -> list[Content]:
        if self.band is None:
            return []
        return [*self._lines((_LEGEND,)), painted(drawn(self.band, self.columns, rows))]

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: one tool", HELP_LINES))

    def actions(self) -> tuple[Action, ...]:
        """The same as the numbers."""
        from clampbook.screens.actions import Action

        return tuple(Action(text, str(n), do) for n, (text, do) in enumerate(self.deeds, 1))

    # What can be done.

    @property
    def deeds(self) -> tuple[tuple[str, Callable[[], None]], ...]:
        """Each with its text, in the order of their numbers."""
        tool, works = self.tool, self.tool.kind in WORKING
        found: list[tuple[str, Callable[[], None]]] = []
        if self.use.serial_was is not None:
            found.append((f"Say if it is the tool with serial {self.use.serial_was}", self.tell_apart))
        if works:
            found.append((_GO_ON if self.is_open else "Check against a reference", self.check))
        found.append(("Edit its entry", self.edit))
        if tool.withdrawn is None:
            found.append(("Take out of service", self.withdraw))
        else:
            found.append(("Return to service", self.put_back))
        if works:
            found.append(("Add pulls done elsewhere", self.add_pulls))
        if works or tool.kind in MEASURING:
            found.append(("List affected work", self.affected))
        found.append(("Print its label", self.label))
        if self.past:
            found.append(("View its checks", self.read_checks))
        return tuple(found)

    def take(self, line: str) -> None:
        """Do what has this number."""
        place = self.picked(line)
        if place is None:
            return
        try:
            self.deeds[place][1]()
        except (Faulty, LedgerFault):
            self.again()

    def check(self) -> None:
        """Start a check, or resume the one that is open; of which tool must be known first."""
        if self.use.serial_was is not None:
            self.tell_apart()
            return
        from clampbook.screens.tools.deeds import begin_check

        begin_check(self)

    def tell_apart(self) -> None:
        """Is it the same tool?"""
        from clampbook.screens.tools.telling_apart import tell_apart

        tell_apart(self)

    def edit(self) -> None:
        """The entry as a form."""
        from clampbook.screens.tools.form import EntryForm

        self.app.push_screen(EntryForm(self.book, "tool", self.tool.id, tools_file(self.book), self.again))

    def withdraw(self) -> None:
        """Ask why, and withdraw the tool."""
        from clampbook.screens.tools.deeds import withdraw

        withdraw(self)

    def put_back(self) -> None:
        """It may be used again."""
        from clampbook.screens.tools.deeds import put_back

        put_back(self)

    def add_pulls(self) -> None:
        """Ask how many, and who says so."""
        from clampbook.screens.tools.deeds import add_pulls

        add_pulls(self)

    def affected(self) -> None:
        """Look through the runs; how far an instrument was off is of no matter to them."""
        if self.tool.kind in MEASURING:
            self.search(None)
            return
        from clampbook.screens.tools.deeds import ask_deviation

        def search(percent: Decimal | None) -> None:
            self.search(percent)

        ask_deviation(self, search)

    def label(self) -> None:
        """One line, to be put on it."""
        from clampbook.tools.label import label

        self.app.push_screen(Page(f"Label of {self.tool.name}", (label(self.tool, self.use),)))

    def read_checks(self) -> None:
        """The list of its checks."""
        from clampbook.screens.tools.check_list import CheckList

        self.app.push_screen(CheckList(self.tool.name, self.past))

    # What takes a moment.

    @work(thread=True, exclusive=True, group="past", exit_on_error=False)
    def look_back(self) -> None:
        """Read the checks that this tool had."""
        from clampbook.screens.tools import past

        worker = get_current_worker()
        found = past.past_checks(self.book, self.tool)
        if not worker.is_cancelled:
            self.from_thread(self._known, found, past.drawn(found, self.tool))

    def _known(self, found: tuple[PastCheck, ...], band: Band | None) -> None:
        self.past, self.band = found, band
        self.part = self._part()
        if self.is_attached:
            self.paint()

    @work(thread=True, exclusive=True, group="affected", exit_on_error=False)
    def search(self, percent: Decimal | None) -> None:
        """Search all runs for what the tool affected; Esc stops."""
        from clampbook.screens.check.aftermath import Cancelled
        from clampbook.screens.tools import affected_page

        worker = get_current_worker()

        def progress(done: int, of: int) -> None:
            if worker.is_cancelled:
                raise Cancelled
            if done % 50 == 0:
                self.from_thread(self.tell, f"{done} of {of} runs searched. Esc stops.")

        found = affected_page.search(self.book, self.tool, percent, progress)
        if found is not None and not worker.is_cancelled:
            self.from_thread(self._show_affected, found)

    def _show_affected(self, lines: tuple[str, ...]) -> None:
        self.tell("")
        if self.is_current:
            self.app.push_screen(Page(f"Affected work of {self.tool.name}", lines))

    def back(self) -> None:
        """Back to the list; a search that is going on ends."""
        searching = [worker for worker in self.workers if worker.group == "affected" and not worker.is_finished]
        if searching:
            self.workers.cancel_group(self, "affected")
            self.tell("Search stopped.")
        elif self.is_current:
            self.dismiss()

    def again(self, told: str = "") -> None:
        """Look at the tool again, after something was done with it."""
        self.after()
        try:
            self.tool, self.use = self._look_up(self.tool.id)
            self.is_open = open_check_of(self.book, self.tool) is not None
        except (Faulty, LedgerFault):
            self.dismiss()  # the list says what is wrong with the file
            return
        self.part = self._part()
        self.notice = told
        if self.is_attached:
            self.ask()
            self.look_back()
            self._ask_about_its_serial()

    def _look_up(self, id: str) -> tuple[Tool, Use]:
        """The tool as it stands in the book now. Raises Faulty, LedgerFault."""
        found = stock(self.book)
        tool = next((tool for tool in found.tools if tool.id == id), None)
        if tool is None:
            raise LedgerFault(f"Tool {id} is no longer in tools.toml.")
        return tool, found.use(id)

    def _part(self) -> Question:
        today = self.clock.now().date()
        lines = tuple(Line(str(n), text) for n, (text, _) in enumerate(self.deeds, 1))
        text = f"{self.tool.name}, {in_a_line(self.tool)}: {state(self.tool, today, self.use).told}."
        return Question("tool", text, "choice", lines)


def _rows(parts: list[Content]) -> int:
    return sum(part.plain.count("\n") + 1 for part in parts)
