"""The bench: open runs with who, where and since when; procedures to start; records; what is due."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from decimal import Decimal
from importlib import import_module
from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace
from textual import work
from textual.content import Content
from textual.worker import get_current_worker

from clampbook.screens import bench_lists
from clampbook.screens.bench_lists import DueLine, OpenCheck, OpenRun, Sheet, Tools, ToSeal
from clampbook.screens.choosing import choices_shown
from clampbook.screens.hinting import ACTIONS, HELP
from clampbook.screens.listing import CHOOSE, KEYS_OF_A_LIST, OPEN
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.tools.model import Stock

QUIT = "0"
Deed = Literal["paper forms", "people and keys", "releases of procedures", "a new procedure", "all that is due"]
Chosen = OpenRun | OpenCheck | Sheet | DueLine | ToSeal | Tools | Deed | None  # None: the records
_DEEDS: tuple[Deed, ...] = ("paper forms", "people and keys", "releases of procedures", "a new procedure")
_TEXTS: dict[Deed, str] = {
    "paper forms": "Paper forms: type in a filled one, or print one",
    "people and keys": "People and keys",
    "releases of procedures": "Procedures: release or withdraw",
    "a new procedure": "Start a new procedure, by questions",
    "all that is due": "Sort this list, or cross off what was done elsewhere",
}
_BEGINNING = (  # what beginning a run needs
    "procedure.reader",
    "run.planning",
    "run.gather.parts",
    "screens.beginning",
    "screens.walk",
    "book.starting.new_run",
    "book.starting.walking",
)
_MOST_DUE = 5  # entries of the list of what is due; the rest stands on its own screen
_LOW = 20  # rows; below that none is spared for an empty line
_SENTENCE = "What do you want to do?"


class Standing(Struct, frozen=True):
    """The lists of the bench; `told` are sentences that somebody should read."""

    runs: tuple[OpenRun, ...] = ()
    sheets: tuple[Sheet, ...] = ()
    records: int = 0
    due: tuple[DueLine, ...] = ()
    tools: Tools = Tools()
    told: tuple[str, ...] = ()
    to_seal: tuple[ToSeal, ...] = ()
    checks: tuple[OpenCheck, ...] = ()
    crossed_off: bool = False  # there are follow-ups that somebody crossed off
    in_question: int = 0  # of the records: a tool is in question since

    @property
    def rows(self) -> tuple[tuple[str, str, Chosen], ...]:
        """Section, text and meaning of each line, in the order of their numbers."""
        records = (("Records", _to_read(self.records, self.in_question), None),) if self.records else ()
        return (
            *(("Resume", run.text, run) for run in self.runs),
            *(("Start", sheet.text, sheet) for sheet in self.sheets),
            ("Tools", self.tools.text, self.tools),
            *records,
            *(("Checks in progress", check.text, check) for check in self.checks),
            *(("Due", due.text, due) for due in self.due[:_MOST_DUE]),
            *self._all_due,
            *(("To sign off", each.text, each) for each in self.to_seal),
            *(("This book", _TEXTS[deed], deed) for deed in _DEEDS),
        )

    @property
    def _all_due(self) -> tuple[tuple[str, str, Chosen], ...]:
        more = len(self.due) - _MOST_DUE
        told = f"{more} more: see the whole list" if more > 0 else _TEXTS["all that is due"]
        shown = len(self.due) > 1 or any(due.crossed_off for due in self.due) or self.crossed_off
        if self.crossed_off and not self.due:
            told = "See what was crossed off"
        return (("Due", told, "all that is due"),) if shown else ()


class Bench(Questions):
    """The first screen of a book. What is chosen is handed to `open`."""

    def __init__(
        self,
        book: Book,
        opened: Callable[[Chosen], None],
        leave: Callable[[], None],
        now: Callable[[], datetime],
        at_once: Deed | None = None,
    ) -> None:
        self.book = book
        self._now = now
        self.standing = at_first(book, Standing())  # nothing is painted yet; afterwards only a worker reads
        self._opened = opened
        self._leave = leave
        self._at_once = at_once
        super().__init__(self._part())

    def on_mount(self) -> None:
        """Look closer once it is painted; the toolkit then calls the same of Questions, which shows it."""
        self.call_after_refresh(self.look_closer)
        if self._at_once is not None:
            self.call_after_refresh(self._opened, self._at_once)
        tour = self.app.tour  # type: ignore[attr-defined]
        if tour is not None:
            self.call_after_refresh(tour.at_bench, self.app)

    def again(self) -> None:
        """The bench is looked at again after something was done: as it was at once, then as it is now."""
        self.ask()
        self.look_closer(anew=True)

    @work(thread=True, exclusive=True, exit_on_error=False)
    def look_closer(self, *, anew: bool = False) -> None:
        """Find what takes a moment: where each open run stands, which tools need attention; then what is due. `anew`:
        the lists too."""
        worker = get_current_worker()
        for found in closer(self.book, self.standing, self._now(), lambda: worker.is_cancelled, anew=anew):
            if worker.is_cancelled:
                return
            self.from_thread(self._known, found)
        if not worker.is_cancelled:
            warm_up()

    def _known(self, found: Standing) -> None:
        self.standing = found
        self.part = self._part()
        if self.is_attached:
            self.paint()

    def _part(self) -> Question:
        rows = (Line(str(number), text) for number, (_, text, _) in enumerate(self.standing.rows, 1))
        return Question("bench", _SENTENCE, "choice", (*rows, Line(QUIT, "quit")))

    def heading(self) -> str:
        """The name of the book."""
        return self.book.name

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (CHOOSE, OPEN, KeyHint(QUIT, "quit"), HELP, ACTIONS)

    def listed(self) -> Content:
        """The lines under the names of their sections."""
        lines = [] if self.size.height < _LOW else [Content()]
        section = ""
        longest = max(len(choice.key) for choice in self.part.choices)
        for choice, (named, _, meant) in zip(self.part.choices, self.standing.rows, strict=False):
            if named != section:
                lines += [*([Content()] if section else []), Content.styled(named, "bold")]
                section = named
            lines.append(choices_shown((choice,), self.field, self.columns, longest))
            if isinstance(meant, Tools):
                beside = " " * (longest + 2)  # under the words of the line
                lines += [Content(beside + printable(sentence)) for sentence in self.standing.told]
        if not self.standing.sheets:
            lines.append(Content(bench_lists.NO_PROCEDURES))
        return Content("\n").join(lines)

    def take(self, line: str) -> None:
        """Open what has this number."""
        if line.strip() == QUIT:
            self.field = ""
            self._leave()
            return
        place = self.picked(line)
        if place is not None:
            self._opened(self.standing.rows[place][2])

    def back(self) -> None:
        """Say that nothing lies behind the bench."""
        self.tell(f"Nothing to go back to. Type a number, or {QUIT} to quit. F2 lists all actions.")

    def explain(self) -> None:
        """F1."""
        from clampbook.screens.help_page import HelpPage

        self.app.push_screen(HelpPage("Help: the bench", HELP_LINES))


HELP_LINES = (
    "Resume: your open runs. You say who you are. After a long break you look at the bolts done last first.",
    "Start: the procedures of this book.",
    "Tools: tools and adapters with their state. Check, add, edit, take out of service.",
    "Records: closed runs. Search, read, print again.",
    "Checks in progress: open tool checks. Zero and setting are asked again.",
    "Due: follow-ups, calibrations, checks and procedures to compare again, 30 days ahead. The whole list can be "
    "sorted, and a follow-up that was done elsewhere crossed off.",
    "To sign off: closed runs and checks that still need a signature, or a seal.",
    "This book: work done on paper is typed in. Who signs with which key, and which procedures are released.",
    "",
    "# Keys",
    *KEYS_OF_A_LIST,
    "0 quits. F1 help, F2 actions, F4 dark or bright.",
)


def at_first(book: Book, before: Standing) -> Standing:
    """The same with the lists of runs and procedures as they are now, by the first and last lines of their files; what
    is known of an open run stays until it is looked into again."""
    known = {each.run: each for each in before.runs}
    runs = (replace(known.get(each.run, each), last=each.last) for each in bench_lists.open_runs(book))
    records = len(bench_lists.closed_runs(book))
    return replace(before, runs=tuple(runs), sheets=bench_lists.sheets(book), records=records)


def closer(
    book: Book, known: Standing, now: datetime, left: Callable[[], bool] = bool, *, anew: bool = False
) -> Iterator[Standing]:
    """The same with what takes a moment to read, and then with what is due, which may take longer; what cannot be read
    is told. Where the bench is `left` meanwhile, what was read of the index stays in it. `anew`: the lists are read
    again first, which is shown at once."""
    from clampbook.book.due.listing import Span, of_stock_and_procedures
    from clampbook.book.due.procedures import released
    from clampbook.book.notices import in_question
    from clampbook.ledger.refusals import LedgerFault

    if anew:
        try:
            known = at_first(book, known)
        except LedgerFault as fault:
            yield replace(known, told=(fault.sentence,))
            return
        yield known
    span, held = Span(now), released(book, (each.path for each in known.sheets))
    stock, wrong = _stock(book)
    tools, told = bench_lists.looked_over(stock, span.today) if not wrong else (known.tools, wrong)
    due = of_stock_and_procedures(stock, held, span)
    standing = Standing(
        tuple(bench_lists.looked_into(book, run) for run in known.runs),
        tuple(bench_lists.held_to_its_release(each, held) for each in known.sheets),
        known.records,
        bench_lists.due_lines(due),
        tools,
        told,
        bench_lists.to_seal(book),
        bench_lists.open_checks(book),
        bench_lists.some_crossed_off(book),
        len(in_question(book)),
    )
    yield standing
    more, wrong = bench_lists.follow_ups(book, span, left)
    yield replace(standing, due=bench_lists.due_lines((*due, *more)), told=(*told, *wrong))


def _stock(book: Book) -> tuple[Stock, tuple[str, ...]]:
    from clampbook.book.toolbox import stock
    from clampbook.faults import Faulty, show
    from clampbook.ledger.refusals import LedgerFault
    from clampbook.tools.model import Stock

    try:
        return stock(book), ()
    except Faulty as faulty:
        return Stock(), tuple(show(fault).splitlines()[0] for fault in faulty.faults)
    except LedgerFault as fault:
        return Stock(), (fault.sentence,)


def _to_read(records: int, in_question: int) -> str:
    runs = "1 closed run" if records == 1 else f"{records} closed runs"
    return f"{runs} · ? {in_question} with a tool in question" if in_question else runs


def warm_up() -> None:
    """Load what beginning a run needs, while the person still looks at the bench."""
    for name in _BEGINNING:
        import_module(f"clampbook.{name}")
    from clampbook.units import si

    si(Decimal(1), "lbf·ft")  # the table of units
