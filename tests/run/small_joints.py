"""Small joints for the tests of a run: two to four bolts and a few stages, built without a file."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, TypeVar

from msgspec.structs import replace

from bench import G1, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.fold.apply import begin
from clampbook.run.planning import plan
from clampbook.run.progress import Standing, standing
from clampbook.run.session import Session
from clampbook.run.use import Meter
from clampbook.tools.model import Tool
from clampbook.units import Quantity

Asked = TypeVar("Asked")
Stored = TypeVar("Stored")

W7 = Tool(
    id="w7",
    name="W7",
    kind="indicating",
    unit="N·m",
    minimum=Decimal(2),
    maximum=Decimal(100),
    resolution=Decimal("0.1"),
)
W8 = Tool(
    id="w8",
    name="W8",
    kind="setting",
    unit="N·m",
    minimum=Decimal(5),
    maximum=Decimal(100),
    resolution=Decimal("0.5"),
)
READING = (W7, G1)
SETTING = (W8, G1)


def window(low: str | None, high: str | None, unit: str = "N·m") -> m.Window:
    """A window from text; an open end is None."""
    return m.Window(low=None if low is None else Decimal(low), high=None if high is None else Decimal(high), unit=unit)


def amount(value: str, unit: str) -> Quantity:
    """A quantity from text."""
    return Quantity(Decimal(value), unit)


def bolts(count: int = 3, name: str = "Head bolts", first: int = 1, **more: Any) -> m.Group:
    """A row of alike bolts, numbered on from `first`, each beside the next."""
    positions = tuple(str(number) for number in range(first, first + count))
    beside = {one: tuple(each for each in positions if abs(int(each) - int(one)) == 1) for one in positions}
    fields: dict[str, Any] = {"name": name, "positions": positions, "order": positions, "neighbours": beside}
    return m.Group(**{**fields, **more})


def _stage(group: m.Group | None, number: int, more: dict[str, Any]) -> dict[str, Any]:
    at = {} if group is None else {"group": group.name, "positions": group.order}
    return {"number": number, **at, **more}


def tighten(group: m.Group, number: int = 1, **more: Any) -> m.Tighten:
    """To 30 N·m, between 28 and 32, unless said otherwise."""
    return m.Tighten(**_stage(group, number, {"target": Decimal(30), "window": window("28", "32"), **more}))


def turn(group: m.Group, number: int = 2, **more: Any) -> m.Turn:
    """By 90°, never less and up to 4° more, unless said otherwise."""
    return m.Turn(**_stage(group, number, {"target": Decimal(90), "window": window("90", "94", "°"), **more}))


def loosen(group: m.Group, number: int = 2, **more: Any) -> m.Loosen:
    """Loosen fully."""
    return m.Loosen(**_stage(group, number, more))


def measure(number: int = 2, group: m.Group | None = None, **more: Any) -> m.Measure:
    """End play between 0.10 and 0.25 mm, once for the joint, unless said otherwise."""
    fields = {"what": "End play", "unit": "mm", "window": window("0.10", "0.25", "mm"), **more}
    return m.Measure(**_stage(group, number, fields))


def inspect(number: int = 2, group: m.Group | None = None, **more: Any) -> m.Inspect:
    """A look at all of them, once, unless said otherwise."""
    return m.Inspect(**_stage(group, number, {"ask": "Every mark a quarter turn on?", **more}))


def wait(number: int = 2, **more: Any) -> m.Wait:
    """Ten minutes from the last pull, unless said otherwise."""
    fields = {"lasts": Decimal(600), "as_written": "10 min", "since": "last pull", **more}
    return m.Wait(**_stage(None, number, fields))


def recheck(group: m.Group, number: int = 2, **more: Any) -> m.Recheck:
    """Tighten on at 30 N·m until a whole pass stands still, four passes at most, unless said otherwise."""
    fields = {"target": Decimal(30), "method": "tighten on", "until_still": True, "at_most": 4, **more}
    return m.Recheck(**_stage(group, number, fields))


def locker(group: m.Group, number: int = 1, **more: Any) -> m.Apply:
    """Thread locker on each bolt, with its lot, unless said otherwise."""
    return m.Apply(**_stage(group, number, {"what": "thread locker", **more}))


def align(group: m.Group, number: int = 2, **more: Any) -> m.Align:
    """To the next of six slots, not above 36 N·m, for a split pin, unless said otherwise."""
    fields = {"slot": Decimal(60), "lock": "split pin", "at_most": Decimal(36), **more}
    return m.Align(**_stage(group, number, fields))


def mark(group: m.Group, number: int = 2, **more: Any) -> m.Mark:
    """A line of yellow paint across each, unless said otherwise."""
    return m.Mark(**_stage(group, number, {"paint": "yellow paint", **more}))


def procedure(groups: tuple[m.Group, ...], stages: tuple[m.Stage, ...], **more: Any) -> m.Procedure:
    """An invented joint of these groups and stages."""
    positions = [position for group in groups for position in group.positions]
    places = tuple(m.Place(position=each, x=float(at), y=0.0) for at, each in enumerate(positions))
    fields: dict[str, Any] = {"title": "Invented joint", "revision": "A", "unit": "N·m"}
    layout = m.Layout(kind="line", places=places)
    return m.Procedure(**{**fields, "layout": layout, "groups": groups, "stages": stages, **more})


def bench_for(
    group: m.Group | tuple[m.Group, ...],
    *stages: m.Stage,
    tools: tuple[Tool, ...] = READING,
    exempt: bool = True,
    trial: bool = False,
    **more: Any,
) -> Bench:
    """A run of these groups and stages, just opened, with an indicating tool and a gauge on the bench."""
    groups = group if isinstance(group, tuple) else (group,)
    return Bench(plan(procedure(groups, stages, **more), "invented", trial=trial), tools, exempt)


def asked(bench: Bench, kind: type[Asked]) -> Asked:
    """What is asked now, which must be of this kind."""
    now = bench.prompt
    assert isinstance(now, kind), now
    return now


def walk_to(bench: Bench, step: str, kind: type[Asked]) -> Asked:
    """Everything goes well until this step is asked for by a prompt of this kind."""
    for _ in range(500):
        now = bench.prompt
        place = getattr(now, "where", None)
        if isinstance(now, kind) and isinstance(place, ask.Where) and place.id == step:
            return now
        if isinstance(now, ask.Wait):
            bench.wait(float(now.lasts) + 1)
        outcome = bench.answer(bench.steady())
        assert isinstance(outcome, Accepted), (now, outcome)
    raise AssertionError(f"{step} is never asked for")


def at_first_pull(group: m.Group | tuple[m.Group, ...], *stages: m.Stage, **more: Any) -> Bench:
    """A run at the first pull of its first stage; of a torque and a turn where no stages are given."""
    if not stages and isinstance(group, m.Group):
        stages = (tighten(group), turn(group))
    run = bench_for(group, *stages, **more)
    walk_to(run, "1.1/1", ask.Tighten)
    return run


def stored(outcome: Accepted | Unsure | Refused, kind: type[Stored]) -> Stored:
    """The event that an answer became, which must be of this kind."""
    assert isinstance(outcome, Accepted), outcome
    assert isinstance(outcome.event, kind), outcome.event
    return outcome.event


def refused(outcome: Accepted | Unsure | Refused) -> str:
    """The sentence with which an answer was refused."""
    assert isinstance(outcome, Refused), outcome
    return outcome.sentence


def unusual(outcome: Accepted | Unsure | Refused) -> Unsure:
    """The unusual that an answer raised."""
    assert isinstance(outcome, Unsure), outcome
    return outcome


def value(bench: Bench, text: str) -> Accepted | Unsure | Refused:
    """Type a value; an unusual value about it is answered with the same value and its unit."""
    outcome = bench.answer(a.Value(text))
    if not isinstance(outcome, Unsure):
        return outcome
    now = bench.prompt
    tool = getattr(now, "tool", None)
    return bench.answer(a.Value(f"{text} {tool.unit if tool is not None else getattr(now, 'unit', '')}"))


def choices(bench: Bench) -> list[str]:
    """The ways to go on that are offered now, in order."""
    return [each.choice for each in asked(bench, ask.Decide).choices]


def at(bench: Bench, position: str) -> Standing:
    """How a position stands."""
    return standing(bench.session.progress, position)


def events_of(bench: Bench, kind: type[Stored]) -> list[Stored]:
    """All lines of a kind so far."""
    return [event for event in bench.events if isinstance(event, kind)]


def steps_of(bench: Bench, since: int = 0) -> list[str]:
    """What was done at which step after line `since`, in order: "loosen 2", "inspect 2", "pull 1.1/2"."""
    told: list[str] = []
    for event in bench.events[since:]:
        match event:
            case e.Loosened(work=True, position=position):
                told.append(f"loosen {position}")
            case e.Inspected(work=str() as work, position=position):
                told.append(f"{work} {position}")
            case e.ReadingTaken(step=step) | e.Clicked(step=step):
                told.append(f"pull {step}")
            case e.Turned(step=step):
                told.append(f"turn {step}")
            case e.Rechecked(step=step):
                told.append(f"recheck {step}")
            case e.Measured(step=step):
                told.append(f"measure {step}")
            case e.Applied(step=step):
                told.append(f"apply {step}")
            case e.LookedBack(position=position):
                told.append(f"look at {position}")
            case _:
                pass
    return told


def follow_up(
    *stages: m.Stage,
    group: m.Group,
    earlier: dict[str, tuple[int, int]] | None = None,
    equipment: str | None = None,
    meters: tuple[Meter, ...] = (),
    or_use: str | None = None,
    **more: Any,
) -> Bench:
    """A follow-up of a run that left its bolts in their first attempt, tightened once."""
    later = m.FollowUp(title="After first run", after=amount("30", "min"), or_use=None, stages=stages)
    joint = procedure((group,), (tighten(group), turn(group)), follow_ups=(later,), **more)
    run = Bench(plan(joint, "x", follow_up="After first run"), READING)
    left = earlier if earlier is not None else dict.fromkeys(group.positions, (1, 1))
    opened = stored_opening(run)
    of_run = e.Earlier(
        run="20260302-head-k7q2m4xa", follow_up="After first run", positions=left, meters=meters, or_use=or_use
    )
    run.events.clear()
    run.session = Session(run.plan, begin(run.plan), run.tools, run.session.people, run.now, None, run.exempt)
    run.store(replace(opened, of_run=of_run, equipment=equipment))
    return run


def stored_opening(run: Bench) -> e.Opened:
    """The first line."""
    first = run.events[0]
    assert isinstance(first, e.Opened)
    return first
