"""The board of a check: a question, with the picture of all pulls below it."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from msgspec import Struct
from rich.cells import cell_len
from textual.widget import Widget

from clampbook.check import events as e
from clampbook.check.wording import mark_of
from clampbook.run.told.words import Figure
from clampbook.screens.arranging import LOW, WIDE, Room, room
from clampbook.screens.notice import Notice
from clampbook.screens.question_board import ASTRAY, NUMBER_ROOM, QuestionBoard
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.band_drawing import Band
from clampbook.screens.widgets.band_picture import BandPicture
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.text import printable
from clampbook.tools.permitted import beside_limit, beyond
from clampbook.units import plain

_TENTH = Decimal("0.1")
_LEAST_PICTURE = 7  # rows, captions included


class CheckScene(Struct, frozen=True):
    """All that the board shows at one moment. `kept` is what was stored last, which stays large."""

    heading: str
    shown: Shown
    band: Band
    notice: Notice[e.Event] | None
    field: str
    kept: Figure | None = None
    beyond: bool = False
    found: tuple[str, ...] = ()  # what all that was pulled came to, as a table

    @property
    def told(self) -> str:
        """The text that was said last."""
        return self.notice.text if self.notice is not None else ""


def kept_of(notice: Notice[e.Event] | None, permissible: Decimal) -> tuple[Figure | None, bool]:
    """The deviation that was stored last as a large figure, and whether it is beyond what is allowed."""
    event = notice.event if notice is not None else None
    if not isinstance(event, e.Pulled | e.Corrected):
        return None, False
    off = Decimal(event.deviation)
    short = plain(abs(beside_limit(off, permissible, _TENTH)))
    sign = "−" if off < 0 else "+" if off > 0 else ""
    return Figure(f"{sign}{short}", "", f"% off {mark_of(off, permissible)}"), beyond(off, permissible)


class CheckBoard(QuestionBoard):
    """Shows one scene after the other; the picture grows with each pull."""

    def below(self) -> Iterable[Widget]:
        """The picture."""
        return (BandPicture(id="band"),)

    def show(self, scene: CheckScene) -> None:
        """Show this now."""
        size, shown, said = self.screen.size, scene.shown, scene.notice
        fits = room(shown, size.width, size.height - len(scene.found), scene.told, scene.kept)
        self._ask(printable(scene.heading), shown, fits, scene.kept, (*scene.found, *fits.lines))
        self._list(shown, fits, scene.field)
        self._from_the_top(shown)
        self._entry(scene.field)
        refused = said is not None and said.refused
        self._notice(scene.told, *(("over",) if scene.beyond else ("refused",) if refused else ()))
        band = self.query_one(BandPicture)
        band.display = fits.map or self._beside_the_table(scene, fits)
        band.show(scene.band)
        self._keys(fits)

    def _beside_the_table(self, scene: CheckScene, fits: Room) -> bool:
        """Tell whether table and picture both fit."""
        size, free = self.screen.size, fits.listed - len(scene.shown.choices)
        return bool(scene.found) and size.width >= WIDE and size.height >= LOW and free >= _LEAST_PICTURE

    def _entry(self, field: str) -> None:
        if self._now is None:
            return
        shown, _ = self._now
        self.query_one("#entry").display = shown.field is not None or bool(field)
        entry, before = self.query_one(EntryLine), shown.field or ASTRAY
        entry.show(before, field, shown.unit)
        entry.styles.width = cell_len(before) + NUMBER_ROOM + cell_len(shown.unit) if shown.unit else "1fr"
