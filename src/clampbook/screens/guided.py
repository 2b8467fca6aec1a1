"""A new procedure by questions: the answers as they gather, the joint drawn beside them, and the file at the end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Static

from clampbook.book.drafting.kept_answers import KeptAnswers
from clampbook.book.drafts import file_for, write_draft
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.guided import talk as guided
from clampbook.procedure.guided.page import page
from clampbook.procedure.guided.questions import Chosen, Typed, words_of
from clampbook.procedure.guided.remarks import remark
from clampbook.procedure.guided.talk import Refused, Talk
from clampbook.procedure.model import Procedure
from clampbook.screens.actions import Action
from clampbook.screens.guided_form import form
from clampbook.screens.guided_help import HELP_LINES, about
from clampbook.screens.guided_kept import offered
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS, BACK_HINT, HELP, KEEP
from clampbook.screens.key_meaning import Wanted
from clampbook.screens.page import Page
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.samples import Samples
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.joint_map import JointMap, text_equivalent
from clampbook.screens.widgets.long_text import LongText
from clampbook.screens.widgets.sentence import Sentence
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.book import Book

_WRITE, _DISCARD = "1", "2"
_WITH_MAP = 70  # columns from which on the joint is drawn beside the answers
_UNSAVED = "Nothing is saved yet. Press Esc again to discard."


class GuidedStart(Questions):
    """Asks one question after the other; `done` gets the file once it is written."""

    def __init__(self, book: Book, done: Callable[[Path], None]) -> None:
        self.book = book
        self.talk = Talk()
        self.kept = KeptAnswers(book)
        self.known: Procedure | None = None  # the joint as far as it was answered
        self.warned = False
        self._done = done
        self._drawn: JointMap | None = None
        super().__init__(self._question())

    def compose(self) -> ComposeResult:
        """Top line, sentence, answers and joint side by side, field, notice, keys."""
        yield Static(id="top", markup=False)
        yield Sentence(id="sentence")
        with Horizontal(id="joint"), LongText(id="listed"):
            yield Static(id="choices", markup=False)
        yield EntryLine(id="field")
        yield Static(id="notice", markup=False)
        yield BottomLine(id="keys")

    def on_mount(self) -> None:
        """Answers of somebody whose program ended before they were saved are offered before the first question."""
        found = self.kept.found()
        if found is not None:
            self.app.push_screen(offered(found, self._go, self.kept.forget, self._leave))

    # The question at hand.

    def _question(self) -> Question:
        asked = self.talk.question
        if asked is None:
            return Question(
                "write", self._ending(), "choice", (Line(_WRITE, "save and open"), Line(_DISCARD, "discard"))
            )
        choices = tuple(Line(str(n), words) for n, words in enumerate(words_of(asked), 1))
        return Question(asked.name, asked.text, "choice" if isinstance(asked, Chosen) else "line", choices)

    def _ending(self) -> str:
        return f"Save to procedures/{file_for(self.book, self.talk.answers.title or '').name}?"

    def ask(self, part: Question | None = None) -> None:  # type: ignore[override]
        """The field begins with what was answered before."""
        super().ask(part or self._question())
        asked = self.talk.question
        self.field = "" if asked is None else guided.as_typed(asked, self.talk.answers)
        self.fresh = bool(self.field)
        self.paint()

    def take(self, line: str) -> None:
        """One answer, or the end."""
        if self.talk.question is None:
            self._end(line.strip() or _WRITE)
            return
        if guided.wants_a_sample(self.talk, line):
            self.app.push_screen(Samples(self.book, self._leave_with))
            return
        asked, taken = self.talk.question, guided.take(self.talk, line, self._unit())
        if isinstance(taken, Refused):
            # What was typed can be corrected; of a list nothing of it stays, so that Enter leaves it.
            self.field = guided.as_typed(asked, self.talk.answers) if isinstance(asked, Chosen) else line
            self.fresh = bool(self.field)
            self.tell(taken.sentence)
            return
        self._go(taken, remark(asked.name, taken.answers))

    def back(self) -> None:
        """One question back; at the first one out of here, where something was answered only when it is said twice."""
        before = guided.back(self.talk)
        if before is not None:
            self._go(before)
        elif self.is_current and (self.warned or not self.talk.furthest):
            self.kept.forget()
            self.dismiss()
        else:
            self.warned = True
            self.tell(_UNSAVED)

    def other_key(self, key: str) -> None:
        """Up and Backspace go back, Down is as Enter, End leaves out the rest; the sides keep what stands in the
        field."""
        if key in ("left", "right") and self.fresh:
            self.fresh = False
            self.paint()
        elif key in ("up", "backspace") and self.talk.asked:
            self.back()
        elif key == "down" and self.talk.question is not None:
            self.take(self.field)
        elif key == "end":
            self._go(guided.to_the_end(self.talk))

    def _go(self, talk: Talk, told: str = "") -> None:
        self.talk, self.warned = talk, False
        self.notice = self.kept.keep(talk) or told
        self.known = guided.sketch(talk.answers)
        self.ask(self._question())

    def want(self) -> Wanted:
        """Whatever is typed stands in the field, so that no part of it is taken for another answer."""
        return replace(super().want(), text=True)

    def _end(self, key: str) -> None:
        if key == _DISCARD:
            self.kept.forget()
            self.dismiss()
        elif key == _WRITE:
            self._write()
        else:
            self.tell("Choose 1 to 2.")

    def _unit(self) -> str | None:
        """Give the torque unit of the book; none where its cover cannot be read, which saving tells."""
        try:
            return self.book.unit()
        except (LedgerFault, Faulty):
            return None

    def _write(self) -> None:
        answers = self.talk.answers
        try:
            path = write_draft(self.book, answers.title or "", page(answers, self.book.unit()))
        except LedgerFault as fault:
            self.tell(as_sentence(fault.sentence))
            return
        self._leave_with(path)

    def _leave(self) -> None:
        """Leave; the answers stay as they are."""
        self.dismiss()

    def _leave_with(self, path: Path) -> None:
        """The file is written, here or from a sample."""
        self.kept.forget()
        self.dismiss()
        self.app.call_later(self._done, path)

    # What is shown.

    def heading(self) -> str:
        """Tell how far it is."""
        count = f"{len(self.talk.questions)}{'+' if self.talk.may_grow else ''}"
        place = "all answered" if self.talk.question is None else f"question {self.talk.asked + 1} of {count}"
        return f"New procedure · {place}"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        asked = self.talk.question
        if asked is None:
            return (KeyHint("1–2", "choose"), KeyHint("Enter alone", "save and open"), BACK_HINT, HELP, ACTIONS)
        count = len(self.part.choices)
        first = KeyHint(f"1–{count}" if count > 1 else "1", "choose") if self.part.kind == "choice" else KEEP
        otherwise = asked.otherwise if isinstance(asked, Typed) else ""
        left_out = () if self.field else (KeyHint("Enter alone", otherwise or "leave out"),)
        return (first, *left_out, KeyHint("End", "finish"), BACK_HINT, HELP, ACTIONS)

    def paint(self) -> None:
        """Everything as it is now, the joint too."""
        super().paint()
        self._draw()

    def show_field(self) -> None:
        """The field, and the answers with the one at hand in sight."""
        asked = self.talk.question
        before = "number" if asked is None or isinstance(asked, Chosen) else asked.short
        self.query_one(EntryLine).show(before, self.field, fresh=self.fresh)
        self.query_one("#keys", BottomLine).show(self.keys())
        content, row = self.form()
        self.query_one("#choices", Static).update(content)
        scroll = self.query_one("#listed", LongText)
        scroll.scroll_to(y=max(0, row - scroll.size.height // 2), animate=False)

    @property
    def columns(self) -> int:
        """The columns that the answers may have."""
        return self.size.width * 3 // 5 - 3 if self._beside else self.size.width - 3

    @property
    def _beside(self) -> bool:
        """True where the joint is drawn beside the answers."""
        return self.size.width >= _WITH_MAP and self.known is not None and self.talk.answers.how_many > 0

    def _draw(self) -> None:
        """The joint as far as it is known; the first two positions stand out once there is an order."""
        known = self.known
        if self._drawn is None and known is not None and self._beside:
            self._drawn = JointMap(known.layout, id="map")
            self.query_one("#joint").mount(self._drawn)
        drawn = self._drawn
        if drawn is None:
            return
        drawn.display = self._beside
        if known is not None and drawn.display:
            order = known.groups[0].order if self.talk.answers.order is not None else ()
            drawn.draw(known.layout)
            drawn.show({}, order[:1], order[1:2])

    def form(self) -> tuple[Content, int]:
        """All answers, and in which row the one at hand stands."""
        return form(self.talk, self.part.choices, self.known, self.columns)

    def explain(self) -> None:
        """Show at F1 where the answer stands in the file, then the keys."""
        asked = self.talk.question
        of_it = () if asked is None else about(asked)
        self.app.push_screen(HelpPage("Help: a new procedure", (*of_it, *HELP_LINES)))

    def actions(self) -> tuple[Action, ...]:
        """Offer the joint in words, for who does not see it drawn."""
        known = self.known
        if known is None or not self.talk.answers.how_many:
            return ()
        order = known.groups[0].order[:1] if self.talk.answers.order is not None else ()
        lines = text_equivalent(known.layout, {}, order, 0, False).splitlines()
        return (Action("Describe the joint in words", "", lambda: self._read(lines)),)

    def _read(self, lines: Sequence[str]) -> None:
        self.app.push_screen(Page("The joint in words", lines))
