"""A bench for tests: a run walked in memory, and a steady hand that gives a fitting answer to every prompt."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
from clampbook.ledger.formats import FORMAT, RULES
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.decide import decide
from clampbook.run.fold.apply import apply, begin
from clampbook.run.fold.independence import tie
from clampbook.run.kinds.stamping import Common
from clampbook.run.next_prompt import prompt
from clampbook.run.plan import Plan
from clampbook.run.session import Session, moment
from clampbook.tools.aim import Aim
from clampbook.tools.model import Tool
from instruments import F1, instrument

INES = Person("ines", "Ines")
TOMAS = Person("tomas", "Tomas")
MAUD = Person("maud", "Maud")
OKKE = Person("okke", "Okke")
W2 = Tool(
    id="w2",
    name="W2",
    kind="setting",
    unit="lbf·ft",
    minimum=Decimal(10),
    maximum=Decimal(80),
    resolution=Decimal("0.1"),
)
W3 = Tool(
    id="w3",
    name="W3",
    kind="setting",
    unit="N·m",
    minimum=Decimal(5),
    maximum=Decimal(400),
    resolution=Decimal("0.5"),
    wound_down=True,
)
W5 = Tool(
    id="w5",
    name="W5",
    kind="indicating",
    unit="lbf·ft",
    minimum=Decimal(1),
    maximum=Decimal(80),
    resolution=Decimal("0.1"),
)
G1 = Tool(id="g1", name="G1", kind="angle gauge", unit="°", resolution=Decimal(1))
TOOLS = (W2, W3, W5, G1)
M1 = instrument("M1", "micrometer", "mm", "50", "75", "0.01")
D1 = instrument("D1", "dial gauge", "in", "0", "0.4", "0.0005")
INSTRUMENTS = (M1, F1, D1)
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@dataclass
class Bench:
    """A run in memory: `answer` decides, numbers the event, and folds it."""

    plan: Plan
    tools: tuple[Tool, ...] = TOOLS
    exempt: bool = True
    now: datetime = START
    by: Person = INES
    hands: Person | None = None
    of_run: e.Earlier | None = None
    session: Session = field(init=False)
    events: list[e.Event] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        self.session = Session(
            self.plan, begin(self.plan), self.tools, (INES, TOMAS, MAUD), self.now, None, self.exempt
        )
        self.store(
            e.Opened(
                **self._common(),
                daybook=FORMAT,
                rules=RULES,
                run="20260302-head-aaaaaaaa",
                book="book",
                log_head="0" * 64,
                procedure_sha256="0" * 64,
                plan_sha256="0" * 64,
                person=self.by,
                version="0",
                clock="handed in",
                of_run=self.of_run,
            )
        )

    def _common(self) -> Common:
        stamp = self.stamp()
        told = Common(at=stamp.text, offset="+01:00", by=self.by.id, done_by=None, late=None, noted=())
        return Common(**told, typed_at=stamp.typed_text) if self.plan.late else told

    def stamp(self) -> Stamp:
        """The moment now; where a form is typed in, the last time on it."""
        hands = self.hands.id if self.hands is not None else None
        if self.plan.late:
            at = moment(self.session.progress.at) if self.session.progress.at else START - timedelta(days=1)
            return Stamp(at, "+01:00", self.by.id, hands, typed=self.now)
        return Stamp(self.now, "+01:00", self.by.id, hands)

    @property
    def prompt(self) -> ask.Prompt:
        """What is asked now."""
        return prompt(self.session)

    def wait(self, seconds: float) -> None:
        """Let time pass."""
        self.now += timedelta(seconds=seconds)

    def store(self, event: e.Event) -> None:
        """Number an event and fold it."""
        numbered = replace(event, seq=len(self.events) + 1)
        self.events.append(numbered)
        progress = apply(self.plan, self.session.progress, numbered)
        shown = moment(progress.at) if self.plan.late else self.now
        self.session = dataclasses.replace(self.session, progress=progress, painted=shown, unusual=None)

    def answer(self, answer: a.Answer) -> Accepted | Unsure | Refused:
        """One answer, three seconds later."""
        self.wait(3)
        outcome = decide(self.session, answer, self.stamp())
        match outcome:
            case Accepted(event=event):
                self.store(event)
                if isinstance(event, e.HandedOver):
                    self.by, self.hands = event.to, event.done_by_person
                if isinstance(event, e.PaperTime) and event.done_by_person is not None:
                    self.hands = event.done_by_person
            case Unsure(code=code, step=step):
                self.session = dataclasses.replace(self.session, unusual=(code, step))
            case Refused():
                pass
        return outcome

    def steadily(self, until: type | None = None, most: int = 100_000) -> None:
        """Give fitting answers until a prompt of a kind comes, or the run is over."""
        for _ in range(most):
            asked = self.prompt
            if isinstance(asked, ask.Ended) or (until is not None and isinstance(asked, until)):
                return
            if isinstance(asked, ask.Wait):
                self.wait(float(asked.lasts) + 100)
            outcome = self.answer(self.steady())
            assert isinstance(outcome, Accepted), (asked, outcome)
        raise AssertionError("the run does not come to an end")

    def steady(self) -> a.Answer:
        """A fitting answer now, with its unit where number and unit were asked for."""
        asked = self.prompt
        given = steady(asked)
        if isinstance(given, a.Value) and isinstance(asked, ask.Tighten | ask.Turn | ask.Measure):
            tool = asked.tool
            unit = tool.unit if tool is not None else getattr(asked, "unit", "°")
            return given if unit == units.COUNT else a.Value(f"{given.text} {unit}")
        if isinstance(given, a.Still) and given.text is not None and self.session.unusual is not None:
            assert isinstance(asked, ask.Recheck)
            return a.Still(given.moved, f"{given.text} {asked.tool.unit}")
        progress = self.session.progress
        if isinstance(given, a.Look) and given.inspector == MAUD and tie(progress.shares, progress.at_it, MAUD.id):
            return replace(given, inspector=OKKE)  # who never works in these runs
        return given

    def resume(self, gap: float = 30, by: Person | None = None) -> None:
        """The program is started again."""
        self.wait(gap)
        changed = by is not None and by != self.by
        self.by, self.hands = (by, None) if changed and by is not None else (self.by, self.hands)
        self.store(
            e.Resumed(**self._common(), gap=str(int(gap)), clock="plausible", person=self.by if changed else None)
        )


def steady(asked: ask.Prompt) -> a.Answer:
    """The answer of somebody to whom nothing goes wrong."""
    match asked:
        case ask.StartSheet(ask=question) if question is not None:
            if question.answer == "number":
                low = question.low if question.low is not None else Decimal(1)
                return a.Value(f"{low}")
            return a.Plus() if question.answer == "yes" else a.Value("1" if question.answer == "choice" else "A-17")
        case ask.StartSheet(part=part) if part is not None:
            if part.record == "yes" and asked.when == "start":
                return a.Plus()
            at_hand = 4 + (asked.needed or 0)  # so many are left over when nothing is replaced
            return a.Value(str(at_hand if asked.when == "start" and part.record == "count" else 4))
        case ask.StartSheet(one_use=True):
            return a.Value("yes")
        case ask.StartSheet() | ask.Loosen():
            return a.Plus()
        case ask.TakeTool(need="measure", offers=()):
            return a.TakeUp("not-listed")
        case ask.TakeTool(need="measure") if asked.offers[0].cannot is not None:
            return a.TakeUp("not-listed")
        case ask.TakeTool() if asked.offers[0].cannot is not None:
            return a.Broke("never reaches the torque")
        case ask.TakeTool():
            first = asked.offers[0]
            way = next((way for way in first.ways if way.cannot is None), None)
            on_it = None if way is None else way.adapter
            reason = "nothing else here" if first.against else None
            if on_it is None or on_it.known:
                return a.TakeUp(first.tool.id, reason, None if on_it is None else on_it.id)
            return a.TakeUp(first.tool.id, reason, on_it.id, length="60", angle="90")
        case ask.SetTool(aim=aim, where=ask.Where(on_form=True)):
            return a.ScaleShows(units.plain(_on_a_line(Decimal(_inside(aim.on_tool)), aim.tool)), aim.tool.unit)
        case ask.SetTool():
            return a.ScaleShows(units.plain(asked.to.value), asked.to.unit)
        case ask.ZeroTool():
            return a.Zero("good")
        case ask.Tighten(reading=True):
            return a.Value(units.plain(asked.stop_at) if asked.stop_at is not None else _shown(asked.aim))
        case ask.Tighten() | ask.Confirm():
            return a.Plus()
        case ask.Turn():
            return a.Plus() if asked.by_marks else a.Value(_inside(asked.left))
        case ask.DrawSample():
            return a.Draw("4711", OKKE)
        case ask.BackOff():
            return a.Plus()
        case ask.BackAtMark():
            return a.AtMark("back")
        case ask.Recheck():
            aim = asked.aim  # who pulls until it moves stops nowhere, and reads what the window still allows
            if not asked.reading:
                return a.Still(False)
            shown = next((each for each in (asked.stop_at, *aim.on_tool) if each is not None), None)
            if shown is None and aim.target is not None:
                shown = units.convert(aim.target, aim.unit, aim.tool.unit).quantize(Decimal("0.1"))
            return a.Still(False, None if shown is None else units.plain(shown))
        case ask.Measure():
            return a.Value(_measured(asked))
        case ask.Inspect():
            return a.Look(asked.expect, (), MAUD if asked.hold_point else None)
        case ask.Align():
            return a.Slot("already" if asked.aim is None else "turned")
        case ask.Mark():
            return a.Plus()
        case ask.Apply():
            return a.Put("L-9")
        case ask.Wait():
            return a.Plus()
        case ask.StepState():
            return a.Found("not started")
        case ask.Decide():
            return _resolve(asked)
        case ask.ReturnTool():
            return a.PutBack(True if asked.wind_down else None)
        case ask.SignOff(on_form=True):
            return a.Sign(MAUD if asked.another_person else INES)
        case ask.SignOff(left=left):
            if left:
                return a.Sign(left[0])
            if asked.another_person:
                free = [each for each in (MAUD, OKKE, TOMAS, INES) if each.id not in asked.not_by]
                return a.Sign(free[0]) if free else a.Sign(MAUD, "nobody else in the house")
            return a.Sign(INES if INES.id in asked.did or not asked.assembler else _person(asked.did[0]))
        case ask.PaperTime():
            return a.PaperTime()
        case ask.Finished():
            return a.Finish(True)
        case ask.Ended():
            raise AssertionError("nothing is asked")


def _on_a_line(value: Decimal, tool: Tool) -> Decimal:
    """On a line of its scale, and within that."""
    step, least, most = tool.resolution or Decimal(1), tool.minimum or Decimal(0), tool.maximum or value
    return min(max((value / step).to_integral_value() * step, least), most)


def _person(named: str) -> Person:
    return next((each for each in (INES, TOMAS, MAUD, OKKE) if each.id == named), Person(named, named))


def _resolve(asked: ask.Decide) -> a.Answer:
    ways = [each for each in asked.choices if each.choice not in ("correct", "hold", "abandon")]
    if asked.cause in ("budget used up", "limit run out"):  # the sheet itself asks for more than it allows
        ways = [each for each in ways if each.choice in ("concession", "go on")]
    if asked.cause == "too few":  # nobody brings any more
        ways = [each for each in ways if each.choice == "go on"] or ways
    way = ways[0]
    return resolved(way)


def resolved(way: ask.DecideChoice) -> a.Resolve:
    """A way to go on, with all that it needs."""
    return a.Resolve(
        way.choice,
        scope=way.scopes[0] if "scope" in way.needs else None,
        reason="as agreed" if "reason" in way.needs else None,
        person=OKKE if "person" in way.needs else None,
        back_to=way.back_to[-1][0] if "back to" in way.needs else None,
    )


def _inside(window: ask.Ends) -> str:
    low, high = window
    if low is not None and high is not None:
        return units.plain((low + high) / 2)
    return units.plain(low if low is not None else high if high is not None else Decimal(10))


def _shown(aim: Aim) -> str:
    """What the tool shows at a pull that aims at nothing: within its window, and never more than its scale has."""
    inside = _inside(aim.on_tool)
    most = aim.tool.maximum
    return inside if most is None or Decimal(inside) <= most else units.plain(most)


def _measured(asked: ask.Measure) -> str:
    if asked.aim is not None and asked.part == "final torque" and asked.aim.on_tool[0] is None:
        most = asked.aim.on_tool[1] or asked.aim.tool.maximum  # up to its limit, on a line of its scale
        return _inside((None, most))  # and no less than it was tightened to
    low, high = asked.window or (Decimal(1), Decimal(1))
    if asked.unit == units.COUNT:
        return units.plain(low if low is not None else high if high is not None else Decimal(1))
    value = (low or Decimal(1)) + 1 if asked.part == "prevailing torque" else Decimal(_inside((low, high)))
    value += asked.minus or Decimal(0)
    if asked.tool is not None:
        value = units.convert(value, asked.unit, asked.tool.unit)
    if asked.instrument is not None and asked.instrument.resolution is not None:  # on a line of its scale
        value = (value / asked.instrument.resolution).to_integral_value() * asked.instrument.resolution
    return units.plain(value.quantize(Decimal("0.0001")).normalize())
