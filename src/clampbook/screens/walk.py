"""The walk on the screen: shows the question at hand and hands on what is typed. No rule of the trade lives here."""

from __future__ import annotations

import os
from collections.abc import Callable

from msgspec.structs import replace
from textual import events, work
from textual.app import ComposeResult
from textual.worker import get_current_worker

from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.run import events as e
from clampbook.run.answers import TurnMap
from clampbook.run.prompts import Decide, StartSheet
from clampbook.screens import sheet
from clampbook.screens.asking import of_prompt
from clampbook.screens.board import Board, Scene
from clampbook.screens.gathering import Notice
from clampbook.screens.hands import Hands
from clampbook.screens.keying import wanted
from clampbook.screens.meaning import Wanted
from clampbook.screens.shown import Shown, of_part
from clampbook.screens.taken import Taken

Leave = Callable[[], None]
_SOON = 0.05  # seconds after which the question is on the screen


class WalkScreen(Hands):
    """One run that is walked; `leave` is called once nothing more is asked."""

    def __init__(self, taken: Taken, leave: Leave) -> None:
        super().__init__()
        self.taken = taken
        self.gathering = taken.gathering
        self.shown = Shown("")
        self._leave = leave
        self._seq = 0
        self._answers: dict[str, str] | None = None
        self._sheet_seq = -1
        self._papers: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """The board, on which every question is shown."""
        yield Board(self.taken.clock.now)

    def on_mount(self) -> None:
        """The first question."""
        self.next_question()

    def on_resize(self, _: events.Resize) -> None:
        """The same question in another size."""
        if self._seq:
            self._paint()

    # What the keyboard asks of a screen.

    def want(self) -> Wanted:
        """What the question at hand takes."""
        return wanted(self.gathering.prompt, self.gathering.part)

    def take(self, line: str) -> None:
        """A line answers the question at hand; an empty one after all is over leaves."""
        if self.gathering.over:
            self._leave()
            return
        self._doing(lambda: self.gathering.line(line))

    def take_arrived(self, line: str) -> None:
        """A tool's line came where no number is asked for."""
        self._doing(lambda: self.gathering.arrived(line))

    def back(self) -> None:
        """Leave the answer that is being given; nothing changed."""
        self.gathering.back()
        self._paint()

    def show_field(self) -> None:
        """Show what stands in the field."""
        self.query_one(Board).show_field(self.field)

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.gathering.tell(sentence)
        self._paint()

    def painted(self) -> None:
        """Least pull times count from now; limits may have run out meanwhile."""
        if self.gathering.over:
            return
        if not self.taken.tools_known:
            self.set_timer(_SOON, self._know_tools)
        before = self.gathering.prompt
        self.taken.walk.painted()
        heard = self.taken.heard()
        if heard:
            self.gathering.tell(heard)
        if heard or self.gathering.prompt != before:
            self._paint()

    def other_key(self, key: str) -> None:
        """Long lists scroll."""
        ways = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
        if key in ways:
            self.query_one(Board).scroll_list(ways[key])

    # What the program's own keys ask of a screen.

    def explain(self) -> None:
        """F1: what the step wants, its keys and its words."""
        from clampbook.screens.explaining import help_at
        from clampbook.screens.page import Page

        self.app.push_screen(Page("Help", help_at(self.gathering.prompt, self.gathering.session)))

    def tell_map(self) -> None:
        """The map in words, for whoever hears the screen or has no room for the map."""
        from clampbook.screens.explaining import map_in_words
        from clampbook.screens.page import Page

        self.app.push_screen(Page("The map in words", map_in_words(self.gathering.prompt, self.gathering.session)))

    def turn_map(self) -> None:
        """F3: a quarter turn clockwise; after all four the other side."""
        progress = self.gathering.session.progress
        quarters = (progress.quarters + 1) % 4
        below = progress.from_below if quarters else not progress.from_below
        if not self.gathering.over:
            self._doing(lambda: self.gathering.answer(TurnMap(quarters, below)))

    def do(self, line: str) -> None:
        """An action chosen elsewhere, as the line that begins it."""
        self.gathering.back()
        self._doing(lambda: self.gathering.line(line))

    def actions(self) -> tuple[tuple[str, str], ...]:
        """What can be done here beside answering, each as a text and the line that begins it."""
        from clampbook.run import menu

        return tuple((item.text, f"* {item.number}") for item in menu.items(self.gathering.prompt))

    # After each line.

    def _doing(self, act: Callable[[], object]) -> None:
        seq, part, notice = self._seq, self.gathering.part, self.gathering.notice
        try:
            self.taken.know_tools()
            act()
        except (LedgerFault, Faulty) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        told = self.gathering.shown
        if told is not None:
            self.gathering.shown = None
            self._tell_at_length(told)
        if self.gathering.session.progress.seq != seq:
            self._bell(notice)
            self.next_question()
            self._sign_at_once(notice)
        elif self.gathering.part is not part and self.want().deliberate:
            self._paint()
            self.ask_anew()
        else:
            self.field = ""
            self._paint()

    def _know_tools(self) -> None:
        """Read the tools, and what was answered last time, while the person reads the cautions."""
        before = self.gathering.prompt
        try:
            self.taken.know_tools()
        except Faulty as faulty:
            self.app.fail(faulty)  # type: ignore[attr-defined]
        if self.gathering.prompt != before:
            self._paint()

    def next_question(self) -> None:
        """Show what is asked now, or that the run is over."""
        progress = self.gathering.session.progress
        self._seq = progress.seq
        if self.gathering.over:
            self._ended()
        if not self.is_attached:
            return
        self.field = ""
        self._paint()
        self.ask_anew()

    def _ended(self) -> None:
        """The run is over, or over for today: it is left at once, so that its record stands when that is told."""
        from clampbook.record.frozen import RecordFault

        try:
            record = self.taken.leave()
        except (LedgerFault, RecordFault) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        if self.taken.outcome == "paused":
            self._leave()
        elif record is not None:
            self._papers = (self._in_the_book(f"The record is in {record}."),)
            self._ask_to_sign(self._print_now)

    def _ask_to_sign(self, after: Callable[[], None]) -> None:
        """Ask for the signatures that are announced and not there; without any, or where that cannot be, go on."""
        from clampbook.screens.signing import ask_to_sign

        told = ask_to_sign(self.app, self.taken.book, self.taken.run, self.taken.clock, after)
        if told:
            self.gathering.tell(told)
            after()

    def _print_now(self) -> None:
        self.gathering.tell("The report is being printed.")
        self._paint()
        self._print()

    @work(thread=True, exclusive=True)
    def _print(self) -> None:
        """The report and the seal, which take a moment; leaving meanwhile only means that it is done later."""
        from clampbook.screens.signing import printed

        worker = get_current_worker()
        told = tuple(map(self._in_the_book, printed(self.taken.book, self.taken.run, self.taken.clock)))
        if not worker.is_cancelled:
            self.app.call_from_thread(self._printed, told)

    def _printed(self, told: tuple[str, ...]) -> None:
        """Where the report is, and that the run is sealed; or why not."""
        self._papers = (*self._papers, *told)
        self.gathering.notice = None
        self._paint()

    def _in_the_book(self, sentence: str) -> str:
        """A sentence with its path as it is within the book, which is short enough to be read."""
        return sentence.replace(f"{self.taken.book.root}{os.sep}", "")

    def _tell_at_length(self, what: str) -> None:
        from clampbook.screens.explaining import last_three
        from clampbook.screens.page import Page

        session = self.gathering.session
        if what == "help":
            self.explain()
        else:
            self.app.push_screen(Page("The last three positions", last_three(session)))

    def _sign_at_once(self, before: object) -> None:
        """At a hold point or a concession whoever announced a signature gives it now."""
        event = self._just_stored(before)
        if isinstance(event, e.Inspected | e.Decided) and event.key is not None:
            self._ask_to_sign(self.next_question)

    def _just_stored(self, before: object) -> e.Event | None:
        """What the last line stored; None where the notice is still the one before it."""
        notice = self.gathering.notice
        return notice.event if notice is not None and notice is not before else None

    def _bell(self, before: object) -> None:
        event = self._just_stored(before)
        if event is not None and getattr(event, "verdict", None) == "over" and self.app.bell_on:  # type: ignore[attr-defined]
            self.app.bell()

    # Painting.

    def _paint(self) -> None:
        gathering = self.gathering
        self.shown = self._shown()
        self.query_one(Board).show(
            Scene(self.shown, gathering.prompt, gathering.session, self._told(), self.field, gathering.part is None)
        )

    def _told(self) -> Notice | None:
        """What was said last; within an answer to another question than a decision about it, it is of no use."""
        gathering = self.gathering
        before = gathering.part is not None and not isinstance(gathering.prompt, Decide)
        stored = gathering.notice is not None and gathering.notice.kind == "stored"
        return None if before and stored else gathering.notice

    def _shown(self) -> Shown:
        gathering = self.gathering
        shown = of_prompt(gathering.prompt, gathering.session)
        if gathering.part is not None:
            return of_part(gathering.part, deliberate=self.want().deliberate, picture=shown.picture)
        if gathering.over:
            return replace(shown, lines=self._papers)
        if isinstance(gathering.prompt, StartSheet):
            progress = gathering.session.progress
            return sheet.form(shown, self.taken.walk.plan, gathering.prompt, self._answered(), progress.unit)
        return shown

    def _answered(self) -> dict[str, str]:
        """What was answered on the sheet, read again from the daybook where it has grown."""
        if self._answers is None or self._sheet_seq != self._seq:
            self._answers = sheet.answered(map(e.read, self.taken.run.lines()[0]))
            self._sheet_seq = self._seq
        return self._answers
