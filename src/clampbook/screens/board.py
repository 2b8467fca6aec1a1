"""The board of the walk: a question with the last readings, the joint's map and the time that is left beside it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from rich.cells import cell_len

from clampbook.procedure.naming import own
from clampbook.run import events as e
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told import the_round
from clampbook.run.told.joints import row
from clampbook.run.told.marks import marked
from clampbook.run.told.places import fasteners
from clampbook.run.told.stages import stages
from clampbook.run.told.the_round import Round
from clampbook.run.told.words import Figure
from clampbook.screens.arranging import Room, room, usual_map
from clampbook.screens.heading import heading
from clampbook.screens.notice import Notice
from clampbook.screens.question_board import ASTRAY, NUMBER_ROOM, QuestionBoard
from clampbook.screens.shown import Shown
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.figures import MIDDLE, width_of

if TYPE_CHECKING:
    from clampbook.screens.widgets.countdown import Countdown
    from clampbook.screens.widgets.joint_map import JointMap
    from clampbook.screens.widgets.joints_line import JointsLine
    from clampbook.screens.widgets.stages_line import StagesLine
    from clampbook.screens.widgets.window_picture import WindowPicture


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
        return Figure(event.value, "", f"saved, {marked(event.verdict)}", event.unit)


class Board(QuestionBoard):
    """Shows one scene after the other. Figures, map and countdown come with the first scene that needs them."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        super().__init__()
        self._clock = clock
        self._scene: Scene | None = None
        self._map: JointMap | None = None
        self._countdown: Countdown | None = None
        self._names: frozenset[str] | None = None
        self._widest = ""
        self._windows: dict[str, WindowPicture] = {}
        self._stages: StagesLine | None = None
        self._joints: JointsLine | None = None

    def show(self, scene: Scene) -> None:
        """Show this now."""
        size, shown = self.screen.size, scene.shown
        circle = scene.session.plan.layout.kind == "circle"
        widest = self._widest_of(scene)
        fits = room(shown, self.app.size.width, size.height, scene.told, scene.kept, widest, circle=circle)
        self._scene = scene
        self._ask(heading(scene.prompt, scene.session, size.width - 2), shown, fits, scene.kept, fits.lines)
        self._list(shown, fits, scene.field)
        self._from_the_top(shown)
        self._entry(scene.field)
        self._notice(scene.told, *scene.marks)
        at_hand = the_round.of(scene.session, scene.prompt)
        self._window(shown, fits, at_hand)
        self._picture(scene, fits, at_hand)
        self._progress(scene, fits)
        self._wait(shown)
        self._keys(fits)

    def _widest_of(self, scene: Scene) -> str:
        """The widest name of a position, where one is at hand."""
        place = scene.shown.position
        if place is None or scene.shown.position is None:
            return ""
        if self._names is None:
            self._names = frozenset(map(own, scene.session.plan.group_of))
            self._widest = max(self._names, key=lambda label: (width_of(label, MIDDLE), label), default="")
        return self._widest if place.text in self._names else ""

    def _entry(self, field: str) -> None:
        if self._now is None:
            return
        shown, _ = self._now
        asked = shown.field is not None or bool(field)
        self.query_one("#entry").display = asked
        if asked:
            entry, before = self.query_one(EntryLine), shown.field or ASTRAY
            entry.show(before, field, shown.unit)
            wide = cell_len(before) + NUMBER_ROOM + cell_len(shown.unit)
            entry.styles.width = min(wide, self.screen.size.width - 2) if shown.unit else "1fr"

    def _picture(self, scene: Scene, fits: Room, at_hand: Round) -> None:
        picture, progress = self._map, scene.session.progress
        if picture is None and fits.map:
            picture = self._map = self._drawn(scene.session)
            self.mount(picture, after="#notice")
        if picture is None:
            return
        self._joints_over(picture, scene, fits)
        picture.display = fits.map
        if fits.map:
            circle = scene.session.plan.layout.kind == "circle"
            picture.narrow(fits.strip, usual_map(self.screen.size.height, circle=circle))
            picture.turn(progress.quarters, progress.from_below)
            picture.show(at_hand.marks, at_hand.now, at_hand.ahead)

    def _joints_over(self, picture: JointMap, scene: Scene, fits: Room) -> None:
        """The joints of the run over the map, where it does several."""
        if self._joints is None and fits.joints:
            from clampbook.screens.widgets.joints_line import JointsLine

            self._joints = JointsLine(id="joints")
            self.mount(self._joints, before=picture)
        if self._joints is not None:
            self._joints.display = fits.joints
            if fits.joints:
                self._joints.show(row(scene.session, scene.prompt))

    def _window(self, shown: Shown, fits: Room, at_hand: Round) -> None:
        """The window of what is read, where there is room for it."""
        for form, place in (("line", "#lines"), ("run", "#place")):
            drawn = self._windows.get(form)
            if drawn is None and fits.window == form:
                from clampbook.screens.widgets.window_picture import WindowPicture

                drawn = self._windows[form] = WindowPicture(id=f"window-{form}")
                self.query_one(place).parent.mount(drawn, after=place)  # type: ignore[union-attr]
            if drawn is None:
                continue
            drawn.display = fits.window == form
            if shown.band is not None and drawn.display:
                drawn.show(shown.band, at_hand.reads)
                drawn.styles.height = fits.figures.rows if form == "run" else 1
        self.query_one("#figures").set_class(fits.window == "run", "-run")

    def _progress(self, scene: Scene, fits: Room) -> None:
        """The stages of the run, where there is room for them."""
        if self._stages is None and fits.stages:
            from clampbook.screens.widgets.stages_line import StagesLine

            self._stages = StagesLine(id="stages")
            self.mount(self._stages, before="#keys")
        if self._stages is not None:
            self._stages.display = fits.stages
            if fits.stages:
                self._stages.show(stages(scene.session, scene.prompt))

    def _drawn(self, session: Session) -> JointMap:
        from clampbook.screens.widgets.joint_map import JointMap

        plan, progress = session.plan, session.progress
        fits, quarters = fasteners(plan), progress.quarters
        below, late = progress.from_below, plan.late
        return JointMap(plan.layout, fits=fits, quarters=quarters, from_below=below, on_form=late, id="map")

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
