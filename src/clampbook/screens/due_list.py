"""The whole list of what is due: sorted by day, by thing or by person; an entry is opened, or crossed off."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal

from rich.cells import cell_len
from textual import work
from textual.content import Content

from clampbook.archive.follow_ups import FollowUp
from clampbook.book.due.crossed import CrossedOff, cross_off, crossed_off, due_again
from clampbook.book.due.entries import BY, By, Due, heading, in_order
from clampbook.book.due.words import line
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person
from clampbook.run.gather.asking import who
from clampbook.run.gather.draft import Part
from clampbook.run.prompts import Choice
from clampbook.screens.choosing import choices_shown
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS
from clampbook.screens.listing import KEYS_OF_A_LIST, Listing
from clampbook.screens.questions import Line, Question
from clampbook.screens.tools.dialogue import Dialogue, Steps
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.screens.widgets.long_text import LongText
from clampbook.text import TextFault, as_sentence, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock
    from clampbook.screens.actions import Action

CrossOff = Literal["cross off", "due again"]
Chosen = Due | By | CrossOff
_SENTENCE = "What do you want to do?"
_NOTHING = "Nothing is due."
_CROSS_OFF = "Cross off a follow-up done elsewhere"
_DUE_AGAIN = "See what was crossed off, or make it due again"
_REASON = "Where and when was it done, or why is it not needed?"
_LOW = 20  # rows; below that none is spared for an empty line


class DueList(Listing):
    """The list as the bench has read it; `read_again` reads it once more, `opened` opens what an entry is about."""

    def __init__(
        self,
        book: Book,
        clock: Clock,
        entries: tuple[Due, ...],
        read_again: Callable[[], tuple[Due, ...]],
        opened: Callable[[Due], None],
    ) -> None:
        self.book = book
        self.clock = clock
        self.by: By = "day"
        self._read_again = read_again
        self._open_entry = opened
        self.entries = entries
        self.gone = self._gone()
        super().__init__(self._question())

    def heading(self) -> str:
        """The name of the book and the order; where both have no room, the order."""
        whole = f"{self.book.name} · due, by {self.by}"
        return whole if cell_len(whole) <= self.app.size.width - 2 else f"due, by {self.by}"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (*super().keys(), ACTIONS)

    def again(self, told: str = "") -> None:
        """Tell what came of it at once, with the list as it was; then show the list as it is now."""
        self.notice = told
        if self.is_attached:
            self.ask()
        self.read_now()

    def read(self) -> Question:
        """The list as it was read last."""
        return self._question()

    @work(thread=True, exclusive=True, exit_on_error=False)
    def read_now(self) -> None:
        """Read what is due now."""
        self.from_thread(self._known, self._read_again(), self._gone())

    def _known(self, entries: tuple[Due, ...], gone: tuple[CrossedOff, ...]) -> None:
        self.entries, self.gone = entries, gone
        self.part = self._question()
        if self.is_attached:
            self.paint()

    def _question(self) -> Question:
        rows = tuple(Line(str(number), text) for number, (_, text, _) in enumerate(self.rows, 1))
        return Question("due", _SENTENCE if self.entries else _NOTHING, "choice", rows)

    @property
    def rows(self) -> tuple[tuple[str, str, Chosen], ...]:
        """Section, text and meaning of each line, in the order of their numbers."""
        sorted_ones = in_order(self.entries, self.by)
        orders = tuple(("This list", f"Sort by {by}", by) for by in BY if by != self.by)
        return (
            *((self._section(each), line(each), each) for each in sorted_ones),
            *(orders if self.entries else ()),
            *((("This list", _CROSS_OFF, "cross off"),) if self._follow_ups else ()),
            *((("This list", _DUE_AGAIN, "due again"),) if self.gone else ()),
        )

    def _section(self, entry: Due) -> str:
        return "Due" if self.by == "day" else heading(entry, self.by) or f"No {self.by}"

    @property
    def _follow_ups(self) -> tuple[FollowUp, ...]:
        return tuple(each.what for each in in_order(self.entries) if isinstance(each.what, FollowUp))

    def listed(self) -> Content:
        """The lines under the names of their sections."""
        apart = [] if self.size.height < _LOW else [Content()]
        shown: list[Content] = []
        section, longest = "", max((len(choice.key) for choice in self.part.choices), default=0)
        for choice, (named, _, _) in zip(self.part.choices, self.rows, strict=True):
            if named != section:
                shown += [*(apart if section else []), Content.styled(printable(named), "bold")]
                section = named
            shown.append(choices_shown((choice,), self.field, self.columns, longest))
        return Content("\n").join(shown)

    def open(self, place: int) -> None:
        """Open what an entry is about, another order, or the crossing off."""
        self._choose(self.rows[place][2])

    def _choose(self, chosen: Chosen) -> None:
        match chosen:
            case Due():
                self._open_entry(chosen)
            case "cross off":
                self._cross_off()
            case "due again":
                asked = crossed_by_mistake(self.gone, self.book.people())
                self.app.push_screen(Dialogue(_DUE_AGAIN, asked, self.book.person_named, self._due_again))
            case by:
                self.by = by
                self.query_one("#listed", LongText).scroll_to(y=0, animate=False)
                self.ask(self._question())

    def _cross_off(self) -> None:
        asked = crossing_off(self._follow_ups, self.book.people())
        self.app.push_screen(Dialogue(_CROSS_OFF, asked, self.book.person_named, self._crossed_off))

    def _crossed_off(self, said: tuple[FollowUp, Person, str]) -> None:
        found, person, reason = said
        try:
            done = cross_off(self.book, found, person, reason, stamp_of(self.clock.now(), person.id))
        except (LedgerFault, TextFault) as refused:
            self.tell(as_sentence(refused.sentence))
            return
        self.again(done.says)

    def _gone(self) -> tuple[CrossedOff, ...]:
        """All that are crossed off, the latest first; none where the log cannot be read, which the bench tells."""
        try:
            return tuple(sorted(crossed_off(self.book).values(), key=lambda each: each.at, reverse=True))
        except LedgerFault:
            return ()

    def _due_again(self, said: tuple[CrossedOff, Person, str]) -> None:
        gone, person, reason = said
        found = FollowUp(run=gone.run, title=gone.follow_up, of="")
        try:
            due_again(self.book, found, person, reason, stamp_of(self.clock.now(), person.id))
        except (LedgerFault, TextFault) as refused:
            self.tell(as_sentence(refused.sentence))
            return
        self.again(f"{gone.follow_up} of {gone.run} is due again.")

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: what is due", HELP_LINES))

    def actions(self) -> tuple[Action, ...]:
        """The same as the last numbers."""
        from functools import partial

        from clampbook.screens.actions import Action

        rows = enumerate(self.rows, 1)
        return tuple(
            Action(text, str(n), partial(self._choose, meant))
            for n, (_, text, meant) in rows
            if meant in (*BY, "cross off", "due again")
        )


def crossing_off(found: tuple[FollowUp, ...], people: tuple[Person, ...]) -> Steps[tuple[FollowUp, Person, str]]:
    """Ask which follow-up, who says it, and why."""
    chosen = found[0]
    if len(found) > 1:
        of = tuple(
            Choice(str(n), f"{each.title} · {each.of}, done {each.done}", str(n)) for n, each in enumerate(found, 1)
        )
        chosen = found[int(str((yield Part("follow_up", "Which follow-up?", "choice", of)))) - 1]
    person = yield who(people)
    assert isinstance(person, Person)
    reason = yield Part("reason", f"{chosen.title}: {_REASON[0].lower()}{_REASON[1:]}", "line")
    return chosen, person, str(reason)


def crossed_by_mistake(
    found: tuple[CrossedOff, ...], people: tuple[Person, ...]
) -> Steps[tuple[CrossedOff, Person, str]]:
    """Ask which of those that were crossed off, who says that it is due again, and why."""
    of = tuple(Choice(str(n), f"{each.run}: {each.says}", str(n)) for n, each in enumerate(found, 1))
    chosen = found[int(str((yield Part("follow_up", "Which one is due again?", "choice", of)))) - 1]
    person = yield who(people)
    assert isinstance(person, Person)
    reason = yield Part("reason", f"{chosen.follow_up}: why is it due again?", "line")
    return chosen, person, str(reason)


HELP_LINES = (
    "What is due until 30 days from now, what is over first.",
    "Follow-ups: a number starts the work. It is on the same equipment and joint as the first run.",
    "Calibrations and checks: a number opens the tool.",
    "Procedures to compare again: a number asks what you compared it with.",
    "Work that is due after so much use always stands here. Nobody knows what was used since.",
    "Crossing off needs a name and a reason. Both stay in the book's log, and beside the record. What was "
    "crossed off by mistake is made due again here, with a name and a reason too.",
    "clampbook due prints the same list. clampbook due --all shows what was crossed off too.",
    "",
    "# Keys",
    *KEYS_OF_A_LIST,
    "Esc or * goes back. F1 help, F2 actions, F4 dark or bright.",
)
