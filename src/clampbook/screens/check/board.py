"""The board of a check: every widget is told what to show, and those for which nothing changed paint nothing."""

from __future__ import annotations

from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Container, Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget

from clampbook.check import events as e
from clampbook.check.judging import beyond
from clampbook.check.wording import as_permitted, beside_limit
from clampbook.screens import at_once
from clampbook.screens.arranging import HIGH, LOW, WIDE, Room, caption, room
from clampbook.screens.check.gathering import Said
from clampbook.screens.choosing import choices_shown
from clampbook.screens.shown import Figure, Shown
from clampbook.screens.widgets.band_drawing import Band
from clampbook.screens.widgets.band_picture import BandPicture
from clampbook.screens.widgets.bottom_line import BottomLine
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.figures import SMALL, LargeFigures
from clampbook.screens.widgets.sentence import Sentence
from clampbook.screens.widgets.text_block import TextBlock
from clampbook.text import printable
from clampbook.units import plain

_NUMBER_ROOM = 16  # columns of a field with a unit behind it
_TENTH = Decimal("0.1")
_LEAST_PICTURE = 7  # rows, captions included


class CheckScene(Struct, frozen=True):
    """All that the board shows at one moment. `kept` is what was stored last, which stays large."""

    heading: str
    shown: Shown
    band: Band
    said: Said | None
    field: str
    kept: Figure | None = None
    beyond: bool = False
    found: tuple[str, ...] = ()  # what all that was pulled came to, as a table

    @property
    def told(self) -> str:
        """What was said last."""
        return self.said.text if self.said is not None else ""


def kept_of(said: Said | None, permissible: Decimal) -> tuple[Figure | None, bool]:
    """The deviation that was stored last as a large figure, and whether it is beyond what is permitted."""
    event = said.event if said is not None else None
    if not isinstance(event, e.Pulled | e.Corrected):
        return None, False
    off = Decimal(event.deviation)
    short = plain(abs(beside_limit(off, permissible, _TENTH)))
    sign = "-" if off < 0 else ""
    return Figure(f"{sign}{short}", "", f"% off, {as_permitted(off, permissible)}"), beyond(off, permissible)


class CheckBoard(Container):
    """Shows one scene after the other; the picture grows with each pull."""

    def __init__(self) -> None:
        super().__init__()
        self._scene: CheckScene | None = None
        self._fits: Room | None = None

    def compose(self) -> ComposeResult:
        """What every question needs."""
        yield TextBlock(id="top")
        yield Sentence(id="sentence")
        with Horizontal(id="figures"):
            for id in ("hand", "place", "kept"):
                yield LargeFigures(id=id)
        yield TextBlock(id="lines")
        with VerticalScroll(id="listed", can_focus=False):
            yield TextBlock(id="choices")
        with Horizontal(id="entry"):
            yield EntryLine(id="field")
        yield TextBlock(id="notice")
        yield BandPicture(id="band")
        yield BottomLine(id="keys")

    def on_mount(self) -> None:
        """Nothing here is a link, so that no text need be searched for some."""
        for widget in self.query("*"):
            widget.auto_links = False

    def show(self, scene: CheckScene) -> None:
        """Show this now."""
        size = self.screen.size
        fits = room(scene.shown, size.width, size.height - len(scene.found), scene.told, scene.kept)
        self._scene, self._fits = scene, fits
        self.set_class(size.height >= HIGH, "-spread")
        self.query_one("#top", TextBlock).put(Content(printable(scene.heading)))
        self.query_one("#sentence", Sentence).say(scene.shown.sentence)
        self._figures(scene, fits)
        lines = self.query_one("#lines", TextBlock)
        lines.display = bool(scene.found or fits.lines)
        lines.put(Content("\n".join((*scene.found, *fits.lines))))
        self._list(scene.shown, fits, scene.field)
        self._entry(scene)
        notice = self.query_one("#notice", TextBlock)
        notice.display = bool(scene.told)
        notice.set_class(scene.beyond, "-over")
        notice.set_class(scene.said is not None and scene.said.kind in ("refused", "doubt"), "-refused")
        notice.put(Content(printable(scene.told)))
        band = self.query_one(BandPicture)
        band.display = fits.map or self._beside_the_table(scene, fits)
        band.show(scene.band)
        self.query_one("#keys", BottomLine).show(fits.keys)
        at_once.paint(self.screen, self.walk_children(Widget, with_self=True))

    def _beside_the_table(self, scene: CheckScene, fits: Room) -> bool:
        """Whether table and picture both fit."""
        size, free = self.screen.size, fits.listed - len(scene.shown.choices)
        return bool(scene.found) and size.width >= WIDE and size.height >= LOW and free >= _LEAST_PICTURE

    def show_field(self, field: str) -> None:
        """The same scene with this in its field."""
        if self._scene is None or self._fits is None:
            return
        self._scene = replace(self._scene, field=field)
        self._entry(self._scene)
        if self._scene.shown.choices:
            self._list(self._scene.shown, self._fits, field)

    def scroll_list(self, rows: int) -> None:
        """A long list moves on."""
        self.query_one("#listed", VerticalScroll).scroll_relative(y=rows, animate=False)

    def _figures(self, scene: CheckScene, fits: Room) -> None:
        hand, place = scene.shown.hand, scene.shown.position
        large = fits.figures
        figures = self.query_one("#figures")
        figures.display = hand is not None or place is not None
        if hand is not None and place is not None and (large.tall is None or not large.place):
            hand, place = replace(hand, caption=f"{hand.caption}, {place.caption} {place.text}"), None
        figures.set_class(large.stacked, "-stacked")
        for id, figure in (("#hand", hand), ("#place", place), ("#kept", scene.kept if large.kept else None)):
            widget = self.query_one(id, LargeFigures)
            widget.display = figure is not None
            if figure is not None:
                below = large.unit_below or id != "#hand"
                beside = "" if below else figure.beside
                widget.show(figure.text, caption=caption(figure, below=below), beside=beside, most=large.tall or SMALL)
        self.query_one("#hand").styles.width = large.hand or "auto"

    def _list(self, shown: Shown, fits: Room, field: str) -> None:
        listed = self.query_one("#listed", VerticalScroll)
        listed.display = bool(shown.choices)
        if listed.display:
            listed.styles.max_height = fits.listed
            listed.set_class(fits.apart, "-apart")
            self.query_one("#choices", TextBlock).put(choices_shown(shown.choices, field, self.screen.size.width - 3))

    def _entry(self, scene: CheckScene) -> None:
        shown, field = scene.shown, self.query_one(EntryLine)
        self.query_one("#entry").display = shown.field is not None or bool(scene.field)
        before = shown.field or "typed"
        field.show(before, scene.field, shown.unit)
        room = cell_len(before) + _NUMBER_ROOM + cell_len(shown.unit)
        field.styles.width = room if shown.unit else "1fr"
