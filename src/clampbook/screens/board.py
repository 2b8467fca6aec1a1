"""The board of the walk: every widget is told what to show, and those for which nothing changed paint nothing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.containers import Container, Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget

from clampbook.run import events as e
from clampbook.run.marks import marked
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.screens import at_once, mapped
from clampbook.screens.arranging import HIGH, Room, caption, room
from clampbook.screens.choosing import choices_shown, items_shown
from clampbook.screens.gathering import Notice
from clampbook.screens.heading import heading
from clampbook.screens.shown import Figure, Shown
from clampbook.screens.widgets.bottom_line import BottomLine
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.figures import SMALL
from clampbook.screens.widgets.readings_line import ReadingsLine
from clampbook.screens.widgets.sentence import Sentence
from clampbook.screens.widgets.text_block import TextBlock
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.screens.widgets.countdown import Countdown
    from clampbook.screens.widgets.joint_map import JointMap

_NUMBER_ROOM = 16  # columns of a field beside which the last readings stand


class Scene(Struct, frozen=True):
    """All that the board shows at one moment; `whole` is False at one question of an answer of several."""

    shown: Shown
    prompt: Prompt
    session: Session
    notice: Notice | None
    field: str
    whole: bool

    @property
    def told(self) -> str:
        """What was said last."""
        return self.notice.text if self.notice is not None else ""

    @property
    def kept(self) -> Figure | None:
        """The number that was stored last, as it was typed; it stays large until the next answer."""
        event = self.notice.event if self.notice is not None else None
        if not isinstance(event, e.ReadingTaken):
            return None
        return Figure(event.value, event.unit, f"stored, {marked(event.verdict)}")


class Board(Container):
    """Shows one scene after the other. Figures, map and countdown come with the first scene that needs them."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        super().__init__()
        self._now = now
        self._scene: Scene | None = None
        self._fits: Room | None = None
        self._blocks: dict[str, TextBlock] = {}
        self._map: JointMap | None = None
        self._countdown: Countdown | None = None

    def compose(self) -> ComposeResult:
        """What every question needs."""
        yield TextBlock(id="top")
        yield Sentence(id="sentence")
        yield Horizontal(id="figures")
        yield TextBlock(id="lines")
        with VerticalScroll(id="listed", can_focus=False):
            yield TextBlock(id="choices")
        with Horizontal(id="entry"):
            yield EntryLine(id="field")
            yield ReadingsLine(id="readings")
        yield TextBlock(id="notice")
        yield BottomLine(id="keys")

    def on_mount(self) -> None:
        """Nothing here is a link, so that no text need be searched for some."""
        for widget in self.query("*"):
            widget.auto_links = False

    def show(self, scene: Scene) -> None:
        """Show this now."""
        size = self.screen.size
        fits = room(scene.shown, size.width, size.height, scene.told, scene.kept)
        self._scene, self._fits = scene, fits
        self.set_class(size.height >= HIGH, "-spread")
        self._block("#top").put(Content(heading(scene.prompt, scene.session, size.width - 2)))
        self.query_one("#sentence", Sentence).say(scene.shown.sentence)
        self._figures(scene, fits)
        self.query_one("#lines").display = bool(fits.lines)
        self._block("#lines").put(Content("\n".join(fits.lines)))
        self._list(scene.shown, fits, scene.field)
        self._from_the_top(scene.shown)
        self._entry(scene, fits)
        self._notice(scene)
        self._picture(scene, fits)
        self.query_one("#keys", BottomLine).show(fits.keys)
        self._wait(scene.shown)
        at_once.paint(self.screen, self.walk_children(Widget, with_self=True))

    def show_field(self, field: str) -> None:
        """The same scene with this in its field."""
        if self._scene is None or self._fits is None:
            return
        self._scene = replace(self._scene, field=field)
        self._entry(self._scene, self._fits)
        if self._scene.shown.choices:
            self._list(self._scene.shown, self._fits, field)

    def scroll_list(self, rows: int) -> None:
        """A long list moves on."""
        self.query_one("#listed", VerticalScroll).scroll_relative(y=rows, animate=False)

    def _block(self, id: str) -> TextBlock:
        """One of the texts of the board, looked up once."""
        found = self._blocks.get(id)
        if found is None:
            found = self._blocks[id] = self.query_one(id, TextBlock)
        return found

    def _figures(self, scene: Scene, fits: Room) -> None:
        hand, place = scene.shown.hand, scene.shown.position
        large = fits.figures
        figures = self.query_one("#figures")
        figures.display = hand is not None or place is not None
        if not figures.display:
            return
        from clampbook.screens.widgets.figures import LargeFigures

        if not figures.children:
            widgets = tuple(LargeFigures(id=id) for id in ("hand", "place", "kept"))
            for widget in widgets:
                widget.auto_links = False
            figures.mount(*widgets)
        if hand is not None and place is not None and (large.tall is None or not large.place):
            hand, place = replace(hand, caption=f"{hand.caption}, {place.caption} {place.text}"), None
        figures.set_class(large.stacked, "-stacked")
        for id, figure in (("#hand", hand), ("#place", place), ("#kept", scene.kept if large.kept else None)):
            widget = self.query_one(id, LargeFigures)
            widget.display = figure is not None
            if figure is not None:
                below = large.unit_below or id != "#hand"
                beside = "" if below else figure.beside
                told = caption(figure, below=below)
                widget.show(figure.text, caption=told, beside=beside, most=large.tall or SMALL)
        self.query_one("#hand").styles.width = large.hand or "auto"

    def _list(self, shown: Shown, fits: Room, field: str) -> None:
        listed = self.query_one("#listed", VerticalScroll)
        listed.display = bool(shown.choices or shown.items)
        if not listed.display:
            return
        listed.styles.max_height = fits.listed
        listed.set_class(fits.apart, "-apart")
        width = self.screen.size.width - 2
        content = items_shown(shown.items, width) if shown.items else choices_shown(shown.choices, field, width - 1)
        self._block("#choices").put(content)
        if shown.items:
            now = next((n for n, item in enumerate(shown.items) if item.now), 0)
            listed.scroll_to(y=max(0, now - fits.listed // 2), animate=False)

    def _from_the_top(self, shown: Shown) -> None:
        """A list of choices begins with its first, the best, however far down the list before it was read."""
        listed = self.query_one("#listed", VerticalScroll)
        if shown.choices and listed.scroll_y:
            listed.scroll_to(y=0, animate=False)

    def _entry(self, scene: Scene, fits: Room) -> None:
        shown, reads = scene.shown, mapped.reads(scene.session, scene.prompt)
        asked = shown.field is not None or bool(scene.field)
        pull = fits.readings and scene.whole and bool(reads)
        self.query_one("#entry").display = asked or pull
        field, line = self.query_one(EntryLine), self.query_one(ReadingsLine)
        field.display, line.display = asked, pull
        if asked:
            before = shown.field or "typed"
            field.show(before, scene.field, shown.unit)
            field.styles.width = len(before) + _NUMBER_ROOM + len(shown.unit) if shown.unit or pull else "1fr"
        line.show(reads)

    def _notice(self, scene: Scene) -> None:
        notice = scene.notice
        widget = self._block("#notice")
        widget.display = bool(scene.told)
        verdict = getattr(notice.event, "verdict", None) if notice is not None else None
        refused = notice is not None and notice.kind in ("refused", "doubt")
        for name, so in (("over", verdict == "over"), ("under", verdict == "under"), ("refused", refused)):
            widget.set_class(so, f"-{name}")
        self._block("#notice").put(Content(printable(scene.told)))

    def _picture(self, scene: Scene, fits: Room) -> None:
        picture, progress = self._map, scene.session.progress
        if picture is None and fits.map:
            picture = self._map = self._drawn(scene.session)
            self.mount(picture, after="#notice")
        if picture is None:
            return
        picture.display = fits.map
        if fits.map:
            picture.turn(progress.quarters, progress.from_below)
            picture.show(mapped.marks(scene.session.plan, progress, scene.prompt), mapped.now(scene.prompt))

    def _drawn(self, session: Session) -> JointMap:
        from clampbook.screens.widgets.joint_map import JointMap

        plan, progress = session.plan, session.progress
        fits = {position: group.fits[position] for position, group in plan.group_of.items() if position in group.fits}
        return JointMap(plan.layout, fits=fits, quarters=progress.quarters, from_below=progress.from_below, id="map")

    def _wait(self, shown: Shown) -> None:
        waiting = shown.waiting
        if waiting is None:
            if self._countdown is not None:
                self._countdown.remove()
                self._countdown = None
            return
        if self._countdown is None:
            from clampbook.screens.widgets.countdown import Countdown

            self._countdown = Countdown(self._now)
            self.mount(self._countdown, after="#lines")
        self._countdown.count(waiting.since, waiting.lasts)
