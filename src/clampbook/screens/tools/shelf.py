"""The tools of a book: each with its state, what is due this month, and a way to add one more."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from textual.content import Content

from clampbook.book.toolbox import stock, tools_file
from clampbook.faults import Faulty, show
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.choosing import choices_shown
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS
from clampbook.screens.listing import KEYS_OF_A_LIST, Listing
from clampbook.screens.page import Page
from clampbook.screens.questions import Line, Question
from clampbook.screens.tools.telling import due_lines
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import printable
from clampbook.tools.label import adapter_in_the_list, in_the_list, kinds_across, names_across
from clampbook.tools.model import Adapter, Stock, Tool
from clampbook.tools.state import NOTHING_DUE

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.screens.actions import Action

Deed = Literal["add a tool", "add an adapter", "all labels"]
Chosen = Tool | Adapter | Deed
_DEEDS: tuple[Deed, ...] = ("add a tool", "add an adapter", "all labels")
_TEXTS: dict[Deed, str] = {
    "add a tool": "Add a tool",
    "add an adapter": "Add an adapter",
    "all labels": "Print all labels",
}
_SENTENCE = "Which tool or adapter?"
_LOW = 20  # rows; below that none is spared for an empty line


class ToolShelf(Listing):
    """All tools and adapters; the one chosen is opened."""

    def __init__(self, book: Book, clock: Clock) -> None:
        self.book = book
        self.clock = clock
        self.stock = Stock()
        self.faults: tuple[str, ...] = ()
        super().__init__(self.read())

    def heading(self) -> str:
        """The name of the book."""
        return f"{self.book.name} · tools"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (*super().keys(), ACTIONS)

    @property
    def rows(self) -> tuple[tuple[str, str, Chosen], ...]:
        """Section, text and meaning of each line, in the order of their numbers."""
        if self.faults:
            return ()
        today = self.clock.now().date()
        tools, uses = self.stock.tools, self.stock.use
        names, kinds = names_across((*tools, *self.stock.adapters)), kinds_across(tools)
        return (
            *(("Tools", in_the_list(tool, uses(tool.id), today, names, kinds), tool) for tool in tools),
            *(("Adapters", adapter_in_the_list(each, names, kinds), each) for each in self.stock.adapters),
            *(("Add" if "add" in deed else "Labels", _TEXTS[deed], deed) for deed in _DEEDS),
        )

    def listed(self) -> Content:
        """List what is due first, then the lines under the names of their sections."""
        if self.faults:
            lines = ("tools.toml has errors. Correct it by hand:", *self.faults)
            return Content("\n").join(Content(printable(line)) for line in lines)
        apart = [] if self.size.height < _LOW else [Content()]
        lines_shown: list[Content] = []
        section, longest = "", max(len(choice.key) for choice in self.part.choices)
        for choice, (named, _, _) in zip(self.part.choices, self.rows, strict=True):
            if named != section:
                lines_shown += [*(apart if section else []), Content.styled(named, "bold")]
                section = named
            lines_shown.append(choices_shown((choice,), self.field, self.columns, longest))
            if named == "Tools" and choice is self.part.choices[len(self.stock.tools) - 1]:
                lines_shown += self._due(apart)
        return Content("\n").join(lines_shown)

    def _due(self, apart: list[Content]) -> list[Content]:
        due = due_lines(self.stock, self.clock.now().date())
        told = due or (NOTHING_DUE,)
        return [*apart, Content.styled("Due this month", "bold"), *map(Content, map(printable, told))]

    def open(self, place: int) -> None:
        """A tool, an adapter, or something to be done."""
        self.choose(self.rows[place][2])

    def choose(self, chosen: Chosen) -> None:
        """Open it, where the file still holds it; else it is told, and the list read again."""
        try:
            self._open(chosen)
        except (Faulty, LedgerFault) as fault:
            self.again(fault.sentence if isinstance(fault, LedgerFault) else "")

    def _open(self, chosen: Chosen) -> None:
        """The page of a tool, the form of an adapter or of something new, or all labels."""
        from clampbook.screens.tools.form import EntryForm
        from clampbook.screens.tools.tool_page import ToolPage

        match chosen:
            case Tool():
                self.app.push_screen(ToolPage(self.book, chosen.id, self.clock, self.again))
            case Adapter():
                self.app.push_screen(EntryForm(self.book, "adapter", chosen.id, tools_file(self.book), self.again))
            case "add a tool":
                self.app.push_screen(EntryForm(self.book, "tool", None, tools_file(self.book), self.again))
            case "add an adapter":
                self.app.push_screen(EntryForm(self.book, "adapter", None, tools_file(self.book), self.again))
            case "all labels":
                self.app.push_screen(Page("Labels, one line a tool", self._labels()))

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: tools", HELP_LINES))

    def actions(self) -> tuple[Action, ...]:
        """List what can be done here."""
        from functools import partial

        from clampbook.screens.actions import Action

        return tuple(Action(_TEXTS[deed], "", partial(self.choose, deed)) for deed in _DEEDS if not self.faults)

    def read(self) -> Question:
        """The tools as the file has them now; none, and its faults, where it cannot be read."""
        self.faults = ()
        try:
            self.stock = stock(self.book)
        except Faulty as faulty:
            self.faults = tuple(line for fault in faulty.faults for line in show(fault).splitlines())
        except LedgerFault as fault:
            self.faults = (fault.sentence,)
        lines = tuple(Line(str(number), text) for number, (_, text, _) in enumerate(self.rows, 1))
        return Question("tools", _SENTENCE if lines else "The tools cannot be read.", "choice", lines)

    def _labels(self) -> tuple[str, ...]:
        from clampbook.tools.label import label

        return tuple(label(tool, self.stock.use(tool.id)) for tool in self.stock.tools)


HELP_LINES = (
    "# States",
    "ready: the tool may be used.",
    "check due: it was never checked, or its last check was undecided.",
    "check due, use needs a reason: it was dropped or flagged as suspect and has passed no check since.",
    "calibration overdue: its day, or its number of pulls, is over.",
    "calibration date in the future: it was mistyped, or this machine's clock is wrong.",
    "out of service: somebody took it out, or it failed its check. After that only a passed check returns it.",
    "",
    "# The file",
    "The tools are in tools.toml in the book. You may edit it by hand. A change made here leaves the rest of it alone.",
    "If someone else changed the file, nothing is saved.",
    "",
    "# Keys",
    *KEYS_OF_A_LIST,
    "Esc or * goes back. F1 help, F2 actions, F4 dark or bright.",
)
