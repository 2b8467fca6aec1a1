"""The walk on the screen: shows the question at hand and hands on what is typed. No rule of the trade lives here."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual import events, work
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widgets import Static
from textual.worker import get_current_worker

from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.run import events as e
from clampbook.run.answers import TurnMap
from clampbook.run.details import where_of
from clampbook.run.prompts import StartSheet
from clampbook.screens import mapped, sheet
from clampbook.screens.arranging import WIDE, caption, room
from clampbook.screens.asking import of_prompt
from clampbook.screens.choosing import choices_shown, items_shown
from clampbook.screens.hands import Hands
from clampbook.screens.keying import wanted
from clampbook.screens.meaning import Wanted
from clampbook.screens.shown import Figure, Shown, of_part
from clampbook.screens.taken import Taken
from clampbook.screens.typed_field import TypedField
from clampbook.screens.widgets.bottom_line import BottomLine
from clampbook.screens.widgets.figures import SMALL
from clampbook.screens.widgets.readings_line import ReadingsLine
from clampbook.screens.widgets.sentence import Sentence
from clampbook.text import printable

if TYPE_CHECKING:
    from clampbook.screens.widgets.countdown import Countdown
    from clampbook.screens.widgets.joint_map import JointMap

Leave = Callable[[], None]
_SOON = 0.05  # seconds after which the question is on the screen
_NUMBER_ROOM = 16  # columns of a field beside which the last readings stand


class WalkScreen(Hands):
    """One run that is walked; `leave` is called once nothing more is asked."""

    def __init__(self, taken: Taken, leave: Leave) -> None:
        super().__init__()
        self.taken = taken
        self.gathering = taken.gathering
        self.shown = Shown("")
        self.fits = room(self.shown, 80, 24, "")
        self._leave = leave
        self._seq = 0
        self._answers: dict[str, str] | None = None
        self._sheet_seq = -1
        self._map: JointMap | None = None
        self._countdown: Countdown | None = None

    def compose(self) -> ComposeResult:
        """What every question needs; figures, map and countdown come with the first question that needs them."""
        yield Static(id="top", markup=False)
        yield Sentence(id="sentence")
        yield Horizontal(id="figures")
        yield Static(id="lines", markup=False)
        with VerticalScroll(id="listed", can_focus=False):
            yield Static(id="choices", markup=False)
        with Horizontal(id="entry"):
            yield Static(id="before", markup=False)
            yield TypedField(id="field")
            yield Static(id="behind", markup=False)
            yield ReadingsLine(id="readings")
        yield Static(id="notice", markup=False)
        yield BottomLine(id="keys")

    def on_mount(self) -> None:
        """The first question."""
        self.next_question()

    def on_resize(self, _: events.Resize) -> None:
        """The same question in another size."""
        if self._seq:
            self._paint()

    # What the keyboard asks of a screen.

    def want(self) -> Wanted:
        """What the question at hand takes."""
        return wanted(self.gathering.prompt, self.gathering.part)

    def take(self, line: str) -> None:
        """A line answers the question at hand; an empty one after all is over leaves."""
        if self.gathering.over:
            self._leave()
            return
        self._doing(lambda: self.gathering.line(line))

    def take_arrived(self, line: str) -> None:
        """A tool's line came where no number is asked for."""
        self._doing(lambda: self.gathering.arrived(line))

    def back(self) -> None:
        """Leave the answer that is being given; nothing changed."""
        self.gathering.back()
        self._paint()

    def show_field(self) -> None:
        """Show what stands in the field."""
        self._paint_field()
        if self.shown.choices:
            self._paint_choices()

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.gathering.tell(sentence)
        self._paint()

    def painted(self) -> None:
        """Least pull times count from now; limits may have run out meanwhile."""
        if self.gathering.over:
            return
        self.set_timer(_SOON, self._know_tools)
        before = self.gathering.prompt
        self.taken.walk.painted()
        if self.gathering.prompt != before:
            self._paint()

    def other_key(self, key: str) -> None:
        """Long lists scroll."""
        ways = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
        if key in ways:
            self.query_one("#listed", VerticalScroll).scroll_relative(y=ways[key], animate=False)

    # What the program's own keys ask of a screen.

    def explain(self) -> None:
        """F1: what the step wants, its keys and its words."""
        from clampbook.screens.explaining import help_at
        from clampbook.screens.page import Page

        self.app.push_screen(Page("Help", help_at(self.gathering.prompt, self.gathering.session)))

    def turn_map(self) -> None:
        """F3: a quarter turn clockwise; after all four the other side."""
        progress = self.gathering.session.progress
        quarters = (progress.quarters + 1) % 4
        below = progress.from_below if quarters else not progress.from_below
        if not self.gathering.over:
            self._doing(lambda: self.gathering.answer(TurnMap(quarters, below)))

    def do(self, line: str) -> None:
        """An action chosen elsewhere, as the line that begins it."""
        self.gathering.back()
        self._doing(lambda: self.gathering.line(line))

    def actions(self) -> tuple[tuple[str, str], ...]:
        """What can be done here beside answering, each as a text and the line that begins it."""
        from clampbook.run import menu

        return tuple((item.text, f"* {item.number}") for item in menu.items(self.gathering.prompt))

    # After each line.

    def _doing(self, act: Callable[[], object]) -> None:
        seq, part, notice = self._seq, self.gathering.part, self.gathering.notice
        try:
            self.taken.know_tools()
            act()
        except (LedgerFault, Faulty) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        told = self.gathering.shown
        if told is not None:
            self.gathering.shown = None
            self._tell_at_length(told)
        if self.gathering.session.progress.seq != seq:
            self._bell(notice)
            self.next_question()
        elif self.gathering.part is not part and self.want().deliberate:
            self._paint()
            self.ask_anew()
        else:
            self.field = ""
            self._paint()

    def _know_tools(self) -> None:
        """Read the tools while the person reads the cautions."""
        try:
            self.taken.know_tools()
        except Faulty as faulty:
            self.app.fail(faulty)  # type: ignore[attr-defined]

    def next_question(self) -> None:
        """Show what is asked now, or that the run is over."""
        progress = self.gathering.session.progress
        self._seq = progress.seq
        if self.gathering.over:
            self._ended()
        if not self.is_attached:
            return
        self.field = ""
        self._paint()
        self.ask_anew()

    def _ended(self) -> None:
        """The run is over, or over for today: it is left at once, so that its record stands when that is told."""
        from clampbook.record.frozen import RecordFault

        try:
            record = self.taken.leave()
        except (LedgerFault, RecordFault) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        if self.taken.outcome == "paused":
            self._leave()
        elif record is not None:
            self.gathering.tell(f"The record is in {record}. The report is being printed.")
            self._print(f"The record is in {record}.")

    @work(thread=True, exclusive=True)
    def _print(self, before: str) -> None:
        """The report, which takes a moment; leaving meanwhile only means that it is printed again on demand."""
        from clampbook.record.report import print_beside

        worker = get_current_worker()
        told = print_beside(self.taken.run.path)
        if not worker.is_cancelled:
            self.app.call_from_thread(self.tell, f"{before} {told}")

    def _tell_at_length(self, what: str) -> None:
        from clampbook.screens.explaining import last_three
        from clampbook.screens.page import Page

        session = self.gathering.session
        if what == "help":
            self.explain()
        else:
            self.app.push_screen(Page("The last three positions", last_three(session)))

    def _bell(self, before: object) -> None:
        notice = self.gathering.notice
        event = notice.event if notice is not None and notice is not before else None
        if event is not None and getattr(event, "verdict", None) == "over" and self.app.bell_on:  # type: ignore[attr-defined]
            self.app.bell()

    # Painting: every widget is told what to show; those for which nothing changed paint nothing.

    def _paint(self) -> None:
        self.shown = self._shown()
        told = self.gathering.notice.text if self.gathering.notice is not None else ""
        kept = self._kept()
        self.fits = room(self.shown, self.size.width, self.size.height, told, kept)
        self.query_one("#top", Static).update(self._top())
        self.query_one("#sentence", Sentence).say(self.shown.sentence)
        self._paint_figures(kept)
        lines = self.query_one("#lines", Static)
        lines.display = bool(self.fits.lines)
        lines.update("\n".join(self.fits.lines))
        self._paint_choices()
        self._paint_field()
        self._paint_notice(told)
        self._paint_map()
        self.query_one("#keys", BottomLine).show(self.fits.keys)
        self._paint_wait()

    def _kept(self) -> str:
        """The number that was stored last, as it was typed; it stays large until the next answer."""
        notice = self.gathering.notice
        event = notice.event if notice is not None else None
        return event.value if isinstance(event, e.ReadingTaken) else ""

    def _shown(self) -> Shown:
        gathering = self.gathering
        if gathering.part is not None:
            return of_part(gathering.part)
        shown = of_prompt(gathering.prompt, gathering.session)
        if isinstance(gathering.prompt, StartSheet):
            progress = gathering.session.progress
            return sheet.form(shown, self.taken.walk.plan, gathering.prompt, self._answered(), progress.unit)
        return shown

    def _answered(self) -> dict[str, str]:
        """What was answered on the sheet, read again from the daybook where it has grown."""
        if self._answers is None or self._sheet_seq != self._seq:
            self._answers = sheet.answered(map(e.read, self.taken.run.lines()[0]))
            self._sheet_seq = self._seq
        return self._answers

    def _top(self) -> str:
        plan, progress = self.taken.walk.plan, self.gathering.session.progress
        where = where_of(self.gathering.prompt)
        step = f"step {where.number} of {where.of}" if where is not None else f"{len(plan.steps)} steps"
        if where is not None and where.again is not None:
            step += f", again {where.again[0]} of {where.again[1]}"
        person = next((p.name for p in self.gathering.session.people if p.id == progress.by), progress.by)
        right = printable(f"{step} · {person}")
        named = [plan.title, plan.joint, progress.unit, f"revision {plan.revision}, {plan.status}"]
        left = printable(" · ".join(part for part in named if part))
        space = self.size.width - 2 - len(right) - 2
        left = left if len(left) <= space else left[: max(space - 1, 0)] + "…" if space > 8 else ""
        return f"{left}{' ' * max(self.size.width - 2 - len(left) - len(right), 0)}{right}"

    def _paint_figures(self, kept: str) -> None:
        hand, place = self.shown.hand, self.shown.position
        if self.fits.figures is None and hand is not None:
            place = None  # no room for both: the sentence names the position
        figures = self.query_one("#figures")
        figures.display = hand is not None or place is not None
        if not figures.display:
            return
        from clampbook.screens.widgets.figures import LargeFigures

        if not figures.children:
            figures.mount(*(LargeFigures(id=id) for id in ("hand", "place", "kept")))
        stored = Figure(kept, "", "stored") if self.fits.kept else None
        for id, figure in (("#hand", hand), ("#place", place), ("#kept", stored)):
            widget = self.query_one(id, LargeFigures)
            widget.display = figure is not None
            if figure is not None:
                width, most = self.size.width - 2, self.fits.figures or SMALL
                beside = figure.beside if width >= WIDE else ""
                widget.show(figure.text, caption=caption(figure, width), beside=beside, most=most)
        self.query_one("#hand").styles.width = self.fits.hand or "auto"

    def _paint_choices(self) -> None:
        listed = self.query_one("#listed", VerticalScroll)
        listed.display = bool(self.shown.choices or self.shown.items)
        if not listed.display:
            return
        listed.styles.max_height = self.fits.listed
        content = choices_shown(self.shown.choices, self.field) if self.shown.choices else Content()
        if self.shown.items:
            content = items_shown(self.shown.items, self.size.width - 2)
        self.query_one("#choices", Static).update(content)
        if self.shown.items:
            now = next((n for n, item in enumerate(self.shown.items) if item.now), 0)
            listed.scroll_to(y=max(0, now - self.fits.listed // 2), animate=False)

    def _paint_field(self) -> None:
        asked = self.shown.field is not None or bool(self.field)
        reads = mapped.reads(self.gathering.session.progress)
        pull = self.fits.readings and self.gathering.part is None and bool(reads)
        self.query_one("#entry").display = asked or pull
        for id in ("#before", "#field", "#behind"):
            self.query_one(id).display = asked
        if asked:
            self.query_one("#before", Static).update(printable(self.shown.field or "typed"))
            field = self.query_one("#field", TypedField)
            field.show(self.field)
            field.styles.width = _NUMBER_ROOM if self.shown.unit or pull else "1fr"
            self.query_one("#behind", Static).update(printable(self.shown.unit))
        line = self.query_one("#readings", ReadingsLine)
        line.display = pull
        line.show(reads)

    def _paint_notice(self, told: str) -> None:
        notice = self.gathering.notice
        widget = self.query_one("#notice", Static)
        widget.display = bool(told)
        if notice is None:
            return
        verdict = getattr(notice.event, "verdict", None)
        for name in ("over", "under", "refused"):
            widget.set_class(name in (verdict, "refused" if notice.kind != "stored" else ""), f"-{name}")
        widget.update(Content(printable(told)))

    def _paint_map(self) -> None:
        picture, fits = self._map, self.fits.map
        if picture is None and fits:
            picture = self._map = self._drawn()
            self.mount(picture, after="#notice")
        if picture is None:
            return
        picture.display = fits
        if fits:
            plan, progress, prompt = self.taken.walk.plan, self.gathering.session.progress, self.gathering.prompt
            picture.turn(progress.quarters, progress.from_below)
            picture.show(mapped.marks(plan, progress, prompt), mapped.now(prompt))

    def _drawn(self) -> JointMap:
        from clampbook.screens.widgets.joint_map import JointMap

        plan, progress = self.taken.walk.plan, self.gathering.session.progress
        fits = {position: group.fits[position] for position, group in plan.group_of.items() if position in group.fits}
        return JointMap(plan.layout, fits=fits, quarters=progress.quarters, from_below=progress.from_below, id="map")

    def _paint_wait(self) -> None:
        waiting = self.shown.waiting
        if waiting is None:
            if self._countdown is not None:
                self._countdown.remove()
                self._countdown = None
            return
        if self._countdown is None:
            from clampbook.screens.widgets.countdown import Countdown

            self._countdown = Countdown(self.taken.clock.now)
            self.mount(self._countdown, after="#lines")
        self._countdown.count(waiting.since, waiting.lasts)
