"""The board of the walk: a question with the last readings, the joint's map and the time that is left beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from rich.cells import cell_len
from textual.widget import Widget

from clampbook.run import events as e
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.marks import marked
from clampbook.run.told.words import Figure
from clampbook.screens import mapped
from clampbook.screens.arranging import Room, room
from clampbook.screens.heading import heading
from clampbook.screens.notice import Notice
from clampbook.screens.question_board import ASTRAY, NUMBER_ROOM, QuestionBoard
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.figures import MIDDLE, width_of
from clampbook.screens.widgets.readings_line import ReadingsLine

if TYPE_CHECKING:
    from clampbook.screens.widgets.countdown import Countdown
    from clampbook.screens.widgets.joint_map import JointMap


class Scene(Struct, frozen=True):
    """All that the board shows at one moment; `whole` is False at one question of an answer of several."""

    shown: Shown
    prompt: Prompt
    session: Session
    notice: Notice[e.Event] | None
    field: str
    whole: bool

    @property
    def told(self) -> str:
        """The text that was said last."""
        return self.notice.text if self.notice is not None else ""

    @property
    def marks(self) -> tuple[Literal["over", "under", "refused"], ...]:
        """The marks by which what was said last is to be looked at."""
        if self.notice is None:
            return ()
        verdict = getattr(self.notice.event, "verdict", None)
        if verdict == "over" or verdict == "under":
            return (verdict,)
        return ("refused",) if self.notice.refused else ()

    @property
    def kept(self) -> Figure | None:
        """The number that was stored last, as it was typed, for two people: it stays large until the next answer."""
        event = self.notice.event if self.notice is not None else None
        if not isinstance(event, e.ReadingTaken) or not self.session.progress.hands:
            return None
        return Figure(event.value, "", f"stored, {marked(event.verdict)}", event.unit)


class Board(QuestionBoard):
    """Shows one scene after the other. Figures, map and countdown come with the first scene that needs them."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        super().__init__()
        self._clock = clock
        self._scene: Scene | None = None
        self._map: JointMap | None = None
        self._countdown: Countdown | None = None
        self._widest: str | None = None

    def beside_the_field(self) -> Iterable[Widget]:
        """The last readings of the stage."""
        return (ReadingsLine(id="readings"),)

    def show(self, scene: Scene) -> None:
        """Show this now."""
        size, shown = self.screen.size, scene.shown
        fits = room(shown, self.screen.outer_size.width, size.height, scene.told, scene.kept, self._widest_of(scene))
        self._scene = scene
        self._ask(heading(scene.prompt, scene.session, size.width - 2), shown, fits, scene.kept, fits.lines)
        self._list(shown, fits, scene.field)
        self._from_the_top(shown)
        self._entry(scene.field)
        self._notice(scene.told, *scene.marks)
        self._picture(scene, fits)
        self._wait(shown)
        self._keys(fits)

    def _widest_of(self, scene: Scene) -> str:
        """The widest name of a position, where one is at hand."""
        place = scene.shown.position
        if place is None or scene.shown.position is None or place.text not in scene.session.plan.group_of:
            return ""
        if self._widest is None:
            self._widest = max(scene.session.plan.group_of, key=lambda label: width_of(label, MIDDLE))
        return self._widest

    def _entry(self, field: str) -> None:
        if self._scene is None or self._now is None:
            return
        scene, (shown, fits) = self._scene, self._now
        reads = mapped.reads(scene.session, scene.prompt)
        asked = shown.field is not None or bool(field)
        pull = fits.readings and scene.whole and bool(reads)
        self.query_one("#entry").display = asked or pull
        entry, line = self.query_one(EntryLine), self.query_one(ReadingsLine)
        entry.display, line.display = asked, pull
        if asked:
            before = shown.field or ASTRAY
            entry.show(before, field, shown.unit)
            wide = cell_len(before) + NUMBER_ROOM + cell_len(shown.unit)
            entry.styles.width = min(wide, self.screen.size.width - 2) if shown.unit or pull else "1fr"
        line.show(reads)

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

            self._countdown = Countdown(self._clock)
            self.mount(self._countdown, after="#lines")
        self._countdown.count(waiting.since, waiting.lasts, lead=waiting.lead)
