"""The small list at the cursor: what may stand there, of which Tab or Enter takes the one at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import set_cell_size
from textual.content import Content
from textual.geometry import Offset
from textual.message import Message
from textual.widgets import Static

from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.help.at_cursor import Offered

_ROWS = 7
_NAMES, _WIDEST = 22, 64  # columns


class Offers(Static):
    """Shown over the text; takes no keys itself."""

    can_focus = False

    class Lit(Message):
        """Another line is at hand, or none any more."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id, markup=False)
        self.found: tuple[Offered, ...] = ()
        self.at = 0
        self.display = False

    @property
    def is_open(self) -> bool:
        """True while something is offered."""
        return bool(self.found)

    def offer(self, found: tuple[Offered, ...], place: Offset, columns: int) -> None:
        """Offer these below a place on the screen, within so many columns; none closes the list."""
        if found or self.found:
            self.post_message(self.Lit())
        self.found, self.at = found, 0
        self.display = bool(found)
        if not found:
            return
        says = any(each.says for each in found)
        names = max(len(each.name) for each in found) + 2
        self.styles.width = min(_WIDEST if says else max(names, _NAMES), columns)
        self.styles.height = min(_ROWS, len(found))
        self.absolute_offset = place + Offset(0, 1)
        self._paint()

    def close(self) -> None:
        """Nothing is offered."""
        self.offer((), Offset(), 0)

    def onward(self, way: int) -> None:
        """The next one, or the one before."""
        self.at = (self.at + way) % len(self.found)
        self.post_message(self.Lit())
        self._paint()

    @property
    def chosen(self) -> Offered:
        """The one at hand."""
        return self.found[self.at]

    def _paint(self) -> None:
        first = min(max(0, self.at - _ROWS // 2), max(0, len(self.found) - _ROWS))
        width = int(self.styles.width.value) if self.styles.width is not None else _WIDEST
        rows = []
        for number, each in enumerate(self.found[first : first + _ROWS], first):
            told = f" {each.name:<{_NAMES}} {each.says}" if each.says else f" {each.name}"
            cut = set_cell_size(printable(told), width)
            rows.append(Content.styled(cut, "reverse") if number == self.at else Content(cut))
        self.update(Content("\n").join(rows))
