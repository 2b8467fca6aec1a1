"""All widgets of the walk on one screen, with a clock that stands still, to be looked at in pictures."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path, PurePath
from typing import ClassVar

from textual.app import App, ComposeResult
from textual.containers import Horizontal

import clampbook.screens
from clampbook.procedure.model import Layout, Place
from clampbook.run.told.words import Band, Figure, Read
from clampbook.screens import theme
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.screens.widgets.countdown import Countdown
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.figures import MIDDLE, SMALL, TALL
from clampbook.screens.widgets.joint_map import JointMap
from clampbook.screens.widgets.large_figures import LargeFigures, Stand
from clampbook.screens.widgets.marks import Mark
from clampbook.screens.widgets.sentence import Sentence
from clampbook.screens.widgets.window_picture import WindowPicture

STYLES = Path(clampbook.screens.__file__).with_name("styles") / "widgets.tcss"
NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
KEYS = (
    KeyHint("+", "clicked"),
    KeyHint("-", "bad pull"),
    KeyHint("/", "note"),
    KeyHint("*", "other"),
    KeyHint("*0", "pause"),
    KeyHint("F1", "help"),
)


def rows(*written: str, edges: dict[str, str] | None = None) -> Layout:
    """A layout drawn as in a procedure file, a dot for an empty place."""
    grid = tuple(tuple(None if cell == "." else cell for cell in row.split()) for row in written)
    places = tuple(
        Place(position=cell, x=float(x), y=float(y)) for y, row in enumerate(grid) for x, cell in enumerate(row) if cell
    )
    return Layout(kind="rows", places=places, rows=grid, edges=edges or {})


def circle(count: int) -> Layout:
    """So many positions around a circle of radius 10, the first at the top, clockwise."""
    turns = [math.tau * index / count for index in range(count)]
    places = (
        Place(position=str(n), x=round(10 + 10 * math.sin(turn), 4), y=round(10 - 10 * math.cos(turn), 4))
        for n, turn in enumerate(turns, start=1)
    )
    return Layout(kind="circle", places=tuple(places))


HEAD = rows(
    "11 9 5 1 4 8 12",
    ". 10 6 2 3 7 .",
    "13 . . . . . 14",
    edges={"above": "inlet side", "below": "exhaust side", "left": "front"},
)
FITS = {str(n): "M10x1.25 x 91 mm" if n < 5 else "M10x1.25 x 79.5 mm" for n in range(1, 11)}
EVERY_MARK: dict[str, Mark] = {
    "1": "clicked",
    "2": "within",
    "4": "under",
    "5": "over",
    "6": "concession",
    "7": "broken",
    "8": "void",
    "9": "unknown",
    "10": "skipped",
    "11": "to do again",
}
WINDOW = Band(Decimal("20.7"), Decimal("23.6"), "lbf·ft", Decimal("22.1"))
READS = (
    Read("1", "within", "22.4", "lbf·ft", Decimal("22.4")),
    Read("4", "under", "20.1", "lbf·ft", Decimal("20.1")),
    Read("5", "over", "24.9", "lbf·ft", Decimal("24.9")),
)


class Shop(App[None]):
    """A screen in one of our two looks, for widgets to stand on."""

    CSS_PATH: ClassVar[list[str | PurePath]] = [STYLES]
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, shop: str = theme.DARK_SHOP) -> None:
        super().__init__(ansi_color=True if theme.without_colour() else None)
        theme.register(self, shop)


class Gallery(Shop):
    """One step of a walk as a whole screen might show it."""

    CSS = """
    Screen { overflow: hidden hidden; }
    #pair { height: auto; }
    #hand { margin-right: 3; }
    #entry { height: 1; }
    #entry EntryLine { width: 20; margin-right: 3; }
    WindowPicture { height: 1; }
    """

    def compose(self) -> ComposeResult:
        yield Sentence(
            "Position 3, round 1 of Head bolts: set W2 to 22.1 lbf·ft and pull slowly until it lets go, once."
        )
        with Horizontal(id="pair"):
            yield LargeFigures(id="hand")
            yield LargeFigures(id="position")
        with Horizontal(id="entry"):
            yield EntryLine()
        yield WindowPicture()
        yield Countdown(lambda: NINE, lead="finish within: ")
        yield JointMap(HEAD, fits=FITS)
        yield BottomLine(KEYS)

    def on_mount(self) -> None:
        narrow, low = self.size.width < 60, self.size.height < 20
        most = SMALL if narrow else MIDDLE if low else TALL
        hand, position = self.query_one("#hand", LargeFigures), self.query_one("#position", LargeFigures)
        hand.show(Figure("22.1", "on W2", "set to", "lbf·ft"), Stand(most, "below" if narrow else "text"))
        position.show(Figure("3", framed=True, kind="long"), Stand(most))
        self.query_one(JointMap).show(EVERY_MARK, ("3",), ("12", "13"))
        self.query_one(WindowPicture).show(WINDOW, READS)
        self.query_one(Countdown).count(NINE - timedelta(seconds=48), timedelta(minutes=10))
        self.query_one(EntryLine).show("reading", "22.1", "lbf·ft")
