"""The board of a question: sentence, figures, lines, choices, field, notice. What else stands on it, others add."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterable
from typing import Literal

from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Container, Horizontal
from textual.content import Content
from textual.widget import Widget

from clampbook.run.told.words import Figure
from clampbook.screens import at_once
from clampbook.screens.arranging import HIGH, Room, of_both
from clampbook.screens.choosing import choices_shown, items_shown
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.bottom_line import BottomLine
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.large_figures import LargeFigures, Stand
from clampbook.screens.widgets.long_text import LongText
from clampbook.screens.widgets.sentence import Sentence
from clampbook.screens.widgets.text_block import TextBlock, in_lines
from clampbook.text import printable

NUMBER_ROOM = 16  # columns of a number in the field
ASTRAY = "typed (Backspace clears it)"  # before signs that no key of the question is


class QuestionBoard(Container):
    """Every widget is told what to show, and those for which nothing changed paint nothing.

    `_now` is the question that is shown, with what of it fits; None before the first.
    """

    def __init__(self) -> None:
        super().__init__()
        self._now: tuple[Shown, Room] | None = None
        self._blocks: dict[str, TextBlock] = {}
        self._rows_listed = 0

    def compose(self) -> ComposeResult:
        """Put up what every question needs, and what else stands on this board."""
        yield TextBlock(id="top")
        yield Sentence(id="sentence")
        yield Horizontal(id="figures")
        yield TextBlock(id="lines")
        with LongText(id="listed"):
            yield TextBlock(id="choices")
        with Horizontal(id="entry"):
            yield EntryLine(id="field")
            yield from self.beside_the_field()
            yield TextBlock(id="more")
        yield TextBlock(id="notice")
        yield from self.below()
        yield BottomLine(id="keys")

    def beside_the_field(self) -> Iterable[Widget]:
        """Give what stands in one row with the field."""
        return ()

    def below(self) -> Iterable[Widget]:
        """Give what stands above the bottom line."""
        return ()

    def on_mount(self) -> None:
        """Nothing here is a link, so that no text need be searched for some."""
        for widget in self.query("*"):
            widget.auto_links = False

    def show_field(self, field: str) -> None:
        """The same question with this in its field."""
        if self._now is None:
            return
        shown, fits = self._now
        self._entry(field)
        if shown.choices:
            self._list(shown, fits, field)
            self._keep_in_sight(shown, fits, field)

    @property
    def choice_keys(self) -> tuple[str, ...]:
        """The keys of the choices that are listed, from the first to the last."""
        return tuple(choice.key for choice in self._now[0].choices) if self._now is not None else ()

    def scroll_list(self, rows: int) -> None:
        """A long list moves on."""
        listed = self.query_one("#listed", LongText)
        listed.scroll_relative(y=rows, animate=False)
        self._say_more(round(listed.scroll_target_y))

    def _say_more(self, first: int = 0) -> None:
        """Say how many rows of the list are out of sight above and below, where it begins with this row."""
        if self._now is None:
            return
        shown, fits = self._now
        rows = self._rows_listed if shown.choices or shown.items else 0
        below = max(0, rows - fits.listed - first)
        above = first if rows > fits.listed else 0
        self._say("#more", "   ".join([f"↑ {above} more"] * (above > 0) + [f"↓ {below} more"] * (below > 0)))

    @abstractmethod
    def _entry(self, field: str) -> None:
        """The field, and what stands beside it."""

    def _ask(self, heading: str, shown: Shown, fits: Room, kept: Figure | None, lines: Iterable[str]) -> None:
        """The question itself, but for its field and what was said last."""
        self._now = shown, fits
        self.set_class(self.screen.size.height >= HIGH, "-spread")
        self._block("#top").put(Content(heading))
        self.query_one("#sentence", Sentence).say(shown.sentence, self._columns)
        self._figures(shown, fits, kept)
        self._say("#lines", "\n".join(lines))

    def _say(self, id: str, text: str) -> TextBlock:
        """A text in its place; an empty one takes none."""
        block = self._block(id)
        block.display = bool(text)
        block.put(Content(text))
        return block

    @property
    def _columns(self) -> int:
        return self.screen.size.width

    def _notice(self, text: str, *marks: Literal["over", "under", "refused"]) -> None:
        block = self._block("#notice")
        block.display = bool(text)
        block.put(in_lines(printable(text), self._columns))
        for name in ("over", "under", "refused"):
            block.set_class(name in marks, f"-{name}")

    def _keys(self, fits: Room) -> None:
        """The bottom line; then all that changed is painted."""
        self.query_one("#keys", BottomLine).show(fits.keys)
        at_once.paint(self.screen, self.walk_children(Widget, with_self=True))

    def _block(self, id: str) -> TextBlock:
        """One of the texts of the board, looked up once."""
        found = self._blocks.get(id)
        if found is None:
            found = self._blocks[id] = self.query_one(id, TextBlock)
        return found

    def _figures(self, shown: Shown, fits: Room, kept: Figure | None) -> None:
        hand, place = shown.hand, shown.position
        large = fits.figures
        figures = self.query_one("#figures")
        figures.display = hand is not None or place is not None
        if not figures.display:
            return
        if not figures.children:
            widgets = tuple(LargeFigures(id=id) for id in ("hand", "place", "kept"))
            for widget in widgets:
                widget.auto_links = False
            figures.mount(*widgets)
        if hand is not None and place is not None and (large.tall is None or not large.place):
            told = of_both(hand, place, self.screen.size.width - 2)
            hand, place = replace(hand, caption=told, beside="", unit=""), None
        figures.set_class(large.stacked, "-stacked")
        figures.set_class(place is not None and place.framed and not large.stacked, "-framed")
        stand = Stand(large.tall, large.unit)
        for id, figure in (("#hand", hand), ("#place", place), ("#kept", kept if large.kept else None)):
            widget = self.query_one(id, LargeFigures)
            widget.display = figure is not None
            if figure is not None:
                widget.show(figure, stand)
        self.query_one("#hand").styles.width = large.hand or "auto"

    def _list(self, shown: Shown, fits: Room, field: str) -> None:
        listed = self.query_one("#listed", LongText)
        listed.display = bool(shown.choices or shown.items)
        if not listed.display:
            self._say_more()
            return
        listed.styles.max_height = fits.listed
        listed.set_class(fits.apart, "-apart")
        width = self.screen.size.width - 2
        parts = [choices_shown(shown.choices, field, width - 1)] if shown.choices else []
        parts += [items_shown(shown.items, width)] if shown.items else []
        both = Content("\n\n").join(parts)
        self._rows_listed = both.plain.count("\n") + 1
        self._block("#choices").put(both)
        if shown.items and not shown.choices:
            now = next((n for n, item in enumerate(shown.items) if item.now), 0)
            first = max(0, min(now - fits.listed // 2, len(shown.items) - fits.listed))
            listed.scroll_to(y=first, animate=False)
            self._say_more(first)
        else:
            self._say_more()

    def _keep_in_sight(self, shown: Shown, fits: Room, field: str) -> None:
        """The chosen line stays where it can be read, however long the list."""
        keys = self.choice_keys
        if field in keys:
            before = choices_shown(shown.choices[: keys.index(field)], "", self.screen.size.width - 3)
            rows = before.plain.count("\n") + 1 if before.plain else 0
            listed = self.query_one("#listed", LongText)
            listed.scroll_to(y=max(0, rows - 2), animate=False)
            self._say_more(max(0, min(rows - 2, self._rows_listed - fits.listed)))

    def _from_the_top(self, shown: Shown) -> None:
        """A list of choices begins with its first, the best, however far down the list before it was read."""
        listed = self.query_one("#listed", LongText)
        if shown.choices and listed.scroll_y:
            listed.scroll_to(y=0, animate=False)
