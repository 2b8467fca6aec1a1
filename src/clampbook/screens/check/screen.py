"""A check on the screen: shows the question at hand and hands on what is typed. No rule of the trade lives here."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING

from msgspec.structs import replace
from textual import events, work
from textual.app import ComposeResult
from textual.worker import get_current_worker

from clampbook.check.loading import both
from clampbook.check.prompts import Adjust, Finished
from clampbook.check.wording import VERIFICATION, concluded
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.check.asking import found_at, of_prompt, wanted
from clampbook.screens.check.board import CheckBoard, CheckScene, kept_of
from clampbook.screens.check.picture import pulls_drawn
from clampbook.screens.check.taken import CheckTaken
from clampbook.screens.hands import Hands
from clampbook.screens.meaning import Wanted
from clampbook.screens.shown import Shown, of_part

if TYPE_CHECKING:
    from clampbook.screens.actions import Action

Leave = Callable[[], None]
_BETWEEN = " · "


class CheckScreen(Hands):
    """One check that is done; `leave` is called once nothing more is asked."""

    def __init__(self, taken: CheckTaken, leave: Leave) -> None:
        super().__init__()
        self.taken = taken
        self.gathering = taken.gathering
        self._leave = leave
        self._seq = 0
        self._papers: tuple[str, ...] = ()

    def compose(self) -> ComposeResult:
        """The board, on which every question is shown."""
        yield CheckBoard()

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
        self.tell(f"{line} came in, but no reading is asked for here; it was not stored.")

    def back(self) -> None:
        """Leave the answer that is being given; nothing changed."""
        self.gathering.back()
        self._paint()

    def show_field(self) -> None:
        """Show what stands in the field."""
        self.query_one(CheckBoard).show_field(self.field)

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.gathering.tell(sentence)
        self._paint()

    def other_key(self, key: str) -> None:
        """Long lists scroll."""
        ways = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
        if key in ways:
            self.query_one(CheckBoard).scroll_list(ways[key])

    # What the program's own keys ask of a screen.

    def explain(self) -> None:
        """F1."""
        from clampbook.screens.check.explaining import help_at
        from clampbook.screens.page import Page

        self.app.push_screen(Page("Help", help_at(self.gathering.prompt, self.gathering.session)))

    def actions(self) -> tuple[Action, ...]:
        """What can be done here beside answering."""
        from clampbook.screens.actions import Action
        from clampbook.screens.check.answering import MENU

        def act(line: str) -> Callable[[], None]:
            return lambda: self.do(line)

        note = Action("write a note", "/", act("/"))
        own = tuple(Action(choice.text, f"*{choice.key}", act(f"* {choice.key}")) for choice in MENU)
        return () if self.gathering.over else (*own, note)

    def do(self, line: str) -> None:
        """An action chosen elsewhere, as the line that begins it."""
        self.gathering.back()
        self._doing(lambda: self.gathering.line(line))

    # After each line.

    def _doing(self, act: Callable[[], None]) -> None:
        part = self.gathering.part
        try:
            act()
        except LedgerFault as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        wish, self.gathering.wish = self.gathering.wish, None
        if wish == "help":
            self.explain()
        elif wish == "figures":
            self._show_figures()
        if self.gathering.session.progress.seq != self._seq:
            self._bell()
            self.next_question()
        elif self.gathering.part is not part and self.want().deliberate:
            self._paint()
            self.ask_anew()
        else:
            self.field = ""
            self._paint()

    def next_question(self) -> None:
        """Show what is asked now, or what the check came to."""
        self._seq = self.gathering.session.progress.seq
        if self.gathering.over:
            self._ended()
        if not self.is_attached:
            return
        self.field = ""
        self._paint()
        self.ask_anew()

    def _ended(self) -> None:
        from clampbook.record.frozen import RecordFault

        try:
            record = self.taken.leave()
        except (LedgerFault, RecordFault) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        if self.taken.outcome == "paused":
            self._leave()
            return
        plan, progress = self.gathering.session.plan, self.gathering.session.progress
        self._papers = (concluded(plan.tool.name, *both(plan, progress)), VERIFICATION)
        if record is not None:
            self._papers += (self._in_the_book(f"The record is in {record}."),)
            self.gathering.tell("The report is being printed.")
            self._print()

    @work(thread=True, exclusive=True)
    def _print(self) -> None:
        """The report, and what a tool that was found off has touched; leaving meanwhile does no harm."""
        from clampbook.record.checks.written import print_beside
        from clampbook.screens.check.aftermath import touched_by_failure

        worker = get_current_worker()
        told = [print_beside(self.taken.run)]
        plan, progress = self.gathering.session.plan, self.gathering.session.progress
        found, _ = both(plan, progress)
        if found is not None and found.verdict == "outside":
            told += touched_by_failure(self.taken.book, plan.tool, lambda: worker.is_cancelled)
        if not worker.is_cancelled:
            self.app.call_from_thread(self._printed, tuple(map(self._in_the_book, told)))

    def _printed(self, told: tuple[str, ...]) -> None:
        self._papers = (*self._papers, *told)
        self.gathering.said = None
        if self.is_attached:
            self._paint()

    def _in_the_book(self, sentence: str) -> str:
        """A sentence with its path as it is within the book, which is short enough to be read."""
        return sentence.replace(f"{self.taken.book.root}{os.sep}", "")

    def _show_figures(self) -> None:
        from clampbook.screens.check.explaining import figures_at
        from clampbook.screens.page import Page

        self.app.push_screen(Page("All figures so far", figures_at(self.gathering.session)))

    def _bell(self) -> None:
        plan = self.gathering.session.plan
        if kept_of(self.gathering.said, plan.permissible)[1] and self.app.bell_on:  # type: ignore[attr-defined]
            self.app.bell()

    # Painting.

    def _paint(self) -> None:
        gathering, session = self.gathering, self.gathering.session
        said, plan = gathering.said, session.plan
        if gathering.part is not None and said is not None and said.kind == "stored":
            said = None
        shown = self._shown()
        kept, beyond = kept_of(said, plan.permissible)
        band = pulls_drawn(plan, session.progress, session.progress.phase)
        found = () if gathering.part is not None else found_at(gathering.prompt, plan.tool.unit, self.size.width - 2)
        scene = CheckScene(self._heading(), shown, band, said, self.field, kept, beyond, found)
        self.query_one(CheckBoard).show(scene)

    def _shown(self) -> Shown:
        gathering = self.gathering
        shown = of_prompt(gathering.prompt, gathering.session)
        if gathering.part is not None:
            return of_part(gathering.part, picture=shown.picture)
        if gathering.over:
            return replace(shown, lines=self._papers)
        # After the last pull the picture stays beside the verdict where there is room for both.
        return replace(shown, picture=True) if isinstance(gathering.prompt, Adjust | Finished) else shown

    def _heading(self) -> str:
        """What is checked against what, in which phase, and who is there; the middle gives way first."""
        session = self.gathering.session
        plan = session.plan
        against = f"Check of {plan.tool.name}" + (f" against {plan.reference.name}" if plan.reference else "")
        parts = [against, session.progress.phase, self.taken.run.id, self.taken.person.name]
        for number in (2, 1):
            if len(_BETWEEN.join(parts)) > self.size.width - 2:
                parts.pop(number)
        return _BETWEEN.join(parts)
