"""The walk on the screen: shows the question at hand and hands on what is typed. No rule of the trade lives here."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace
from textual import work
from textual.worker import get_current_worker

from clampbook.book.starting.walking import closed_late
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.run import asked
from clampbook.run import events as e
from clampbook.run.answers import TurnMap
from clampbook.run.questions.items import sheet_at
from clampbook.screens import sheet
from clampbook.screens.arranging import WIDE
from clampbook.screens.asking import of_prompt
from clampbook.screens.at_work import AtWork, Leave
from clampbook.screens.board import Board, Scene
from clampbook.screens.gathering import Gathering
from clampbook.screens.key_meaning import Wanted
from clampbook.screens.keying import wanted
from clampbook.screens.notice import Notice
from clampbook.screens.open_run import Taken
from clampbook.screens.shown import Shown, of_part

if TYPE_CHECKING:
    from clampbook.book.sealing.finishing import Seals
    from clampbook.run.acts.menu import Item


class WalkScreen(AtWork):
    """One run that is walked."""

    taken: Taken
    gathering: Gathering
    board: Board

    def __init__(self, taken: Taken, leave: Leave) -> None:
        super().__init__(taken, Board(taken.clock.now), leave)
        self.shown = Shown("")
        self._closed_late: str | None = None
        self._answers: dict[str, str] | None = None
        self._sheet_seq = -1
        self._departed: tuple[int, tuple[str, ...]] = (-1, ())  # up to which line, and what

    def on_mount(self) -> None:
        """Show what is out of the usual, until that was read. The toolkit then calls the same of AtWork, which asks."""
        if self.taken.read_first:
            from clampbook.screens.page import KEYS_BEFORE_WORK, Page

            self.app.push_screen(Page("Before you start", self.taken.read_first, KEYS_BEFORE_WORK))

    # What the keyboard asks of a screen.

    def want(self) -> Wanted:
        """Give what the question at hand takes."""
        return wanted(self.gathering.prompt, self.gathering.part)

    def take_arrived(self, line: str) -> None:
        """A tool's line came where no number is asked for."""
        self._doing(lambda: self.gathering.arrived(line))

    def painted(self) -> None:
        """Least pull times count from now; limits may have run out meanwhile."""
        if self.gathering.over:
            return
        if not self.taken.tools_known:
            self._know_tools_soon()
        before = self.gathering.prompt
        self.taken.walk.painted()
        heard = self.taken.heard()
        if heard:
            self.gathering.tell(heard)
        if heard or self.gathering.prompt != before:
            self._paint()
        tour = self.app.tour  # type: ignore[attr-defined]
        if tour is not None and self.is_current:
            tour.at_question(self.app, self.taken.run.id, self.gathering.prompt)

    def on_countdown_over(self) -> None:
        """Time is up: what was asked may be another question now, and that it is not up holds no more."""
        notice = self.gathering.notice
        if self.gathering.part is None and notice is not None and notice.kind == "refused":
            self.gathering.leave()
            self._paint()  # which counts anew, so only where something is to go
        self.painted()

    # What the program's own keys ask of a screen.

    def explain(self) -> None:
        """F1: what the step wants, its keys and its words; within an answer of several parts, the question at hand."""
        if self.gathering.part is not None:
            self.explain_part(self.gathering.part)
            return
        from clampbook.screens.explaining import help_at
        from clampbook.screens.help_page import HelpPage

        self.app.push_screen(HelpPage("Help", help_at(self.gathering.prompt, self.gathering.session)))

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
        if self.gathering.over:
            return
        try:
            self.gathering.beside(TurnMap(quarters, below))
        except LedgerFault as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        self._seq = self.gathering.session.progress.seq
        self._paint()

    def menu_items(self) -> tuple[Item, ...]:
        """List what can be done here beside answering."""
        from clampbook.run.acts import menu

        return menu.items(self.gathering.prompt)

    # After each line.

    def _doing(self, act: Callable[[], object]) -> None:
        def with_tools() -> None:
            self.taken.know_tools()
            act()

        super()._doing(with_tools)

    def _stored(self, before: object) -> None:
        self._bell(getattr(self._just_stored(before), "verdict", None) == "over")
        self.next_question()
        self._sign_at_once(before)

    @work(thread=True, exclusive=True, group="tools", exit_on_error=False)
    def _know_tools_soon(self) -> None:
        """Load what reads the tools' file, which takes longer than a key may wait; then know the tools."""
        worker = get_current_worker()
        import_module("clampbook.tools.reader")
        if not worker.is_cancelled:
            self.from_thread(self._know_tools)

    def _know_tools(self) -> None:
        """Read the tools, and what was answered last time, while the person reads the cautions."""
        before = self.gathering.prompt
        try:
            self.taken.know_tools()
        except Faulty as faulty:
            self.app.fail(faulty)  # type: ignore[attr-defined]
        if self.gathering.prompt != before:
            self._paint()

    def _over(self, record: Path | None) -> None:
        if record is not None:
            self._closed_late = closed_late(self.taken.run, record)
            self._papers = (self._in_the_book(f"Record: {record}"),)
            self._ask_to_sign(self._print_now, at_its_end=True)

    def _ask_to_sign(self, after: Callable[[Seals | None], None], *, at_its_end: bool = False) -> None:
        """Ask for the signatures that are announced and not there; without any, or where that cannot be, go on."""
        from clampbook.screens.signing import ask_to_sign

        taken = self.taken
        told = ask_to_sign(self.app, taken.book, taken.run, taken.clock, after, at_its_end=at_its_end)
        if told:
            self.gathering.tell(told)
            after(None)

    def _print_now(self, signing: Seals | None) -> None:
        self.gathering.tell("Printing the report.")
        self._paint()
        self._print(signing)

    @work(thread=True, exclusive=True)
    def _print(self, signing: Seals | None) -> None:
        """The report and the seal, which take a moment; leaving meanwhile only means that it is done later."""
        from clampbook.screens.signing import printed

        worker = get_current_worker()
        told = tuple(map(self._in_the_book, printed(self.taken.book, self.taken.run, self.taken.clock, signing)))
        if not worker.is_cancelled:
            self.from_thread(self._printed, told)

    def _printed(self, told: tuple[str, ...]) -> None:
        """Tell where the report is, and that the run is sealed; or why not."""
        self._papers = (*self._papers, *told)
        self.gathering.notice = None
        self._paint()

    def _show_what_was_wished(self) -> None:
        from clampbook.run.told.last_three import last_three
        from clampbook.screens.page import Page

        wished, self.gathering.shown = self.gathering.shown, None
        if wished == "help":
            self.explain()
        elif wished is not None:
            self.app.push_screen(
                Page("The last three bolts", last_three(self.gathering.session.plan, self.gathering.session.progress))
            )

    def _sign_at_once(self, before: object) -> None:
        """At a hold point or a concession whoever announced a signature gives it now."""
        event = self._just_stored(before)
        if isinstance(event, e.Inspected | e.Decided) and event.key is not None:
            self._ask_to_sign(lambda _: self.next_question())

    # Painting.

    def _paint(self) -> None:
        gathering = self.gathering
        self.shown = self._shown()
        self.board.show(
            Scene(self.shown, gathering.prompt, gathering.session, self._told(), self.field, gathering.part is None)
        )

    def _told(self) -> Notice[e.Event] | None:
        """Give what was said last; within an answer to another question than a decision about it, it is of no use."""
        gathering = self.gathering
        before = gathering.part is not None and not asked.about_a_line(gathering.prompt)
        stored = gathering.notice is not None and gathering.notice.kind == "stored"
        return None if before and stored else gathering.notice

    def _shown(self) -> Shown:
        gathering = self.gathering
        shown = of_prompt(gathering.prompt, gathering.session, narrow=self.size.width < WIDE)
        if gathering.part is not None:
            return of_part(gathering.part, picture=shown.picture, joints=shown.joints)
        if gathering.over:
            return replace(shown, sentence=self._closed_late or shown.sentence, lines=self._papers)
        if departed := self._departed_so_far():
            return replace(shown, lines=departed, apart=True)
        items = sheet_at(self.taken.walk.plan, gathering.prompt)
        return sheet.form(shown, items, self._answered(), gathering.session.progress.equipment) if items else shown

    def _departed_so_far(self) -> tuple[str, ...]:
        """Name what departed before the run is closed, made once: it does not change between two lines."""
        prompt, seq = self.gathering.prompt, self.gathering.session.progress.seq
        if not asked.only_closing(prompt):
            return ()
        if self._departed[0] != seq:
            from clampbook.record.pages.so_far import before_closing

            self._departed = seq, before_closing(self.taken.run, self.taken.walk.plan, prompt)
        return self._departed[1]

    def _answered(self) -> dict[str, str]:
        """Give what was answered on the sheet, read again from the daybook where it has grown."""
        if self._answers is None or self._sheet_seq != self._seq:
            self._answers = sheet.answered(map(e.read, self.taken.run.lines()[0]))
            self._sheet_seq = self._seq
        return self._answers
