"""A check on the screen: shows the question at hand and hands on what is typed. No rule of the trade lives here."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace
from textual import work
from textual.worker import get_current_worker

from clampbook.book.checks import still_against
from clampbook.check.at_the_joint import told_at_the_joint
from clampbook.check.loading import both
from clampbook.check.prompts import Adjust, Finished
from clampbook.check.wording import VERIFICATION, concluded
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.at_work import AtWork, Leave
from clampbook.screens.check.asking import found_at, of_prompt, wanted
from clampbook.screens.check.board import CheckBoard, CheckScene, kept_of
from clampbook.screens.check.gathering import CheckGathering
from clampbook.screens.check.picture import pulls_drawn
from clampbook.screens.check.taken import CheckTaken
from clampbook.screens.key_meaning import Wanted
from clampbook.screens.shown import Shown, of_part

if TYPE_CHECKING:
    from clampbook.book.sealing.of_check import CheckSigning
    from clampbook.screens.actions import Action

_BETWEEN = " · "


class CheckScreen(AtWork):
    """One check that is done."""

    taken: CheckTaken
    gathering: CheckGathering
    board: CheckBoard

    def __init__(self, taken: CheckTaken, leave: Leave) -> None:
        super().__init__(taken, CheckBoard(), leave)

    # What the keyboard asks of a screen.

    def want(self) -> Wanted:
        """Give what the question at hand takes."""
        return wanted(self.gathering.prompt, self.gathering.part)

    def take_arrived(self, line: str) -> None:
        """A tool's line came where no number is asked for."""
        self.tell(f"{line} came in unasked. Not saved.")

    # What the program's own keys ask of a screen.

    def explain(self) -> None:
        """F1."""
        from clampbook.screens.check.explaining import help_at

        if self.gathering.part is not None:
            self.explain_part(self.gathering.part)
            return
        from clampbook.screens.help_page import HelpPage

        self.app.push_screen(HelpPage("Help", help_at(self.gathering.prompt, self.gathering.session)))

    def actions(self) -> tuple[Action, ...]:
        """List what can be done here beside answering."""
        from clampbook.screens.actions import Action
        from clampbook.screens.check.answering import MENU

        def act(line: str) -> Callable[[], None]:
            return lambda: self.do(line)

        note = Action("Write a note", "/", act("/"))
        own = tuple(Action(each.text, f"*{each.key}", act(f"* {each.key}"), int(each.key)) for each in MENU)
        return () if self.gathering.over else (*own, note)

    # After each line.

    def _show_what_was_wished(self) -> None:
        wish, self.gathering.wish = self.gathering.wish, None
        if wish == "help":
            self.explain()
        elif wish == "figures":
            self._show_figures()

    def _stored(self, before: object) -> None:
        _, beyond = kept_of(self.gathering.notice, self.gathering.session.plan.permissible)
        self._bell(beyond and self._just_stored(before) is not None)
        self.next_question()

    def _over(self, record: Path | None) -> None:
        plan, progress = self.gathering.session.plan, self.gathering.session.progress
        found, left = both(plan, progress)
        joint = (
            *told_at_the_joint(found, "as found", plan.tool),
            *told_at_the_joint(left, "as left", plan.tool),
        )
        self._papers = (concluded(plan.tool.name, found, left), *joint, VERIFICATION)
        if record is not None:
            against = still_against(self.taken.book, self.taken.run, plan.tool)
            self._papers += (against,) if against else ()
            self._papers += (self._in_the_book(f"Record: {record}"),)
            self._seal()

    def _seal(self) -> None:
        """Ask the person who closed it for their passphrase, if they have a key; then print and seal."""
        from clampbook.book.sealing.finishing import closed_only
        from clampbook.book.sealing.of_check import CheckSigning
        from clampbook.screens.signing import SignHere

        try:
            signing = CheckSigning(self.taken.book, self.taken.run, self.taken.clock)
            wanted = signing.wanted is not None
        except LedgerFault as refused:
            self.gathering.tell(closed_only(refused.sentence))
            return
        if wanted:
            self.app.push_screen(SignHere(signing, lambda: self._print_now(signing)))
        else:
            self._print_now(signing)

    def _print_now(self, signing: CheckSigning) -> None:
        self.gathering.tell("Printing the report …")
        self._paint()
        self._print(signing)

    @work(thread=True, exclusive=True)
    def _print(self, signing: CheckSigning) -> None:
        """The report, the seal, and what a tool that was found off has affected; leaving meanwhile does no harm."""
        from clampbook.book.sealing.finishing import finish
        from clampbook.record.checks.report import print_beside
        from clampbook.screens.check.aftermath import affected_by_failure

        worker = get_current_worker()
        check = self.taken.run
        told = list(finish(signing)) if check.state == "closed" else [print_beside(check, self.taken.book.paper())]
        plan, progress = self.gathering.session.plan, self.gathering.session.progress
        found, _ = both(plan, progress)
        if found is not None and found.verdict == "failed":
            told += affected_by_failure(self.taken.book, plan.tool, lambda: worker.is_cancelled)
        if not worker.is_cancelled:
            self.from_thread(self._printed, tuple(map(self._in_the_book, told)))

    def _printed(self, told: tuple[str, ...]) -> None:
        self._papers = (*self._papers, *told)
        self.gathering.notice = None
        if self.is_attached:
            self._paint()

    def _show_figures(self) -> None:
        from clampbook.screens.check.explaining import figures_at
        from clampbook.screens.page import Page

        self.app.push_screen(Page("All figures so far", figures_at(self.gathering.session)))

    # Painting.

    def _paint(self) -> None:
        gathering, session = self.gathering, self.gathering.session
        said, plan = gathering.notice, session.plan
        if gathering.part is not None and said is not None and said.kind == "stored":
            said = None
        shown = self._shown()
        kept, beyond = kept_of(said, plan.permissible)
        band = pulls_drawn(plan, session.progress, session.progress.phase)
        found = () if gathering.part is not None else found_at(gathering.prompt, plan.tool, self.size.width - 2)
        scene = CheckScene(self._heading(), shown, band, said, self.field, kept, beyond, found)
        self.board.show(scene)

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
        """Tell what is checked against what, in which phase, and who is there; the middle gives way first."""
        session = self.gathering.session
        plan = session.plan
        against = f"Check of {plan.tool.name}" + (f" against {plan.reference.name}" if plan.reference else "")
        parts = [against, session.progress.phase, self.taken.run.id, self.taken.person.name]
        for number in (2, 1):
            if len(_BETWEEN.join(parts)) > self.size.width - 2:
                parts.pop(number)
        return _BETWEEN.join(parts)
