"""Random procedures walked with random answers: what must hold whatever happens at the bench."""

from __future__ import annotations

import dataclasses
import os
from decimal import Decimal
from typing import Literal

import msgspec
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from invented import procedures, slips, ways

from bench import INSTRUMENTS, MAUD, START, TOMAS, TOOLS, Bench, resolved
from clampbook.procedure.model import Procedure
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import plan as plans
from clampbook.run import prompts as ask
from clampbook.run.acts.at_hand import pull_at
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.decide import decide
from clampbook.run.fold.apply import fold
from clampbook.run.fold.fastener import seated
from clampbook.run.planning import plan as make_plan
from clampbook.run.progress import in_sample, standing
from clampbook.tools.model import Adapter
from clampbook.units import Quantity

EXAMPLES = int(os.environ.get("CLAMPBOOK_MODEL_EXAMPLES", "60"))
GOOD = ("within", "clicked", "confirmed")

LEVER = Quantity(Decimal(400), "mm")
A1 = Adapter(id="a1", name="A1", extension=Quantity(Decimal(70), "mm"), offset=Decimal(30))


class WalkOfAnything(RuleBasedStateMachine):
    """A run of a random procedure, with everything that can go wrong going wrong."""

    bench: Bench

    @initialize(procedure=procedures(), later=st.integers(0, 3), measured=st.booleans())
    def open(self, procedure: Procedure, later: int, measured: bool) -> None:
        title = procedure.follow_ups[0].title if procedure.follow_ups and not later else None
        plan = make_plan(procedure, "invented", follow_up=title)
        assert plans.decode(plans.encode(plan)) == plan
        left = dict.fromkeys(plan.group_of, (1, 1))
        before = e.Earlier(run="20260302-head-k7q2m4xa", follow_up=title, positions=left) if title is not None else None
        tools = tuple(msgspec.structs.replace(tool, lever=LEVER) for tool in TOOLS)
        self.bench = Bench(plan, (*tools, *INSTRUMENTS) if measured else tools, of_run=before)
        self.bench.session = dataclasses.replace(self.bench.session, adapters=(A1,))
        for _ in range(12):
            if not isinstance(self.bench.prompt, ask.StartSheet):
                break
            self.bench.answer(self.bench.steady())

    @property
    def asked(self) -> ask.Prompt:
        return self.bench.prompt

    @rule(times=st.integers(1, 12))
    def goes_well(self, times: int) -> None:
        for _ in range(times):
            if isinstance(self.asked, ask.Ended | ask.Finished):
                return
            if isinstance(self.asked, ask.Wait):
                self.bench.wait(161)
            assert isinstance(self.bench.answer(self.bench.steady()), Accepted), self.asked

    @rule(data=st.data())
    def goes_wrong(self, data: st.DataObject) -> None:
        positions = tuple(self.bench.plan.group_of)
        strategies = slips(positions)
        answer = data.draw(strategies[data.draw(st.integers(0, len(strategies) - 1))])
        self._answer(answer)

    def _after_tools(self) -> bool:
        """Give steady answers to what stands before a pull; whether a pull is asked for then."""
        while isinstance(self.asked, ask.TakeTool | ask.ZeroTool | ask.SetTool | ask.StepState):
            self.bench.answer(self.bench.steady())
        return isinstance(self.asked, ask.Tighten | ask.Turn | ask.Recheck | ask.Confirm | ask.Loosen | ask.Measure)

    @rule(
        data=st.data(),
        value=st.sampled_from(["5", "15", "21", "22.1", "23.9", "25", "60", "92", "96", "0.2", "0.12", "0.5"]),
    )
    def another_value(self, data: st.DataObject, value: str) -> None:
        if self._after_tools():
            moved = data.draw(st.booleans())
            self._answer(a.Still(moved, value) if isinstance(self.asked, ask.Recheck) else a.Value(value))
            if self.bench.session.unusual is not None:
                unit = "°" if isinstance(self.asked, ask.Turn) else getattr(self.asked, "unit", "N·m")
                again = f"{value} {unit}"
                self._answer(a.Still(moved, again) if isinstance(self.asked, ask.Recheck) else a.Value(again))

    @rule(value=st.sampled_from([None, "17", "22.1", "45"]), clicked=st.sampled_from([None, True, False]))
    def bad_pull(self, value: str | None, clicked: bool | None) -> None:
        if self._after_tools():
            pull = pull_at(self.asked)
            shows = isinstance(pull, ask.Turn) or (pull is not None and pull.reading)
            self._answer(a.BadPull(value=value if shows else None, clicked=clicked))

    @rule(data=st.data(), text=st.sampled_from([None, None, "22.1", "92", "40"]))
    def pulled_another(self, data: st.DataObject, text: str | None) -> None:
        if self._after_tools():
            self._answer(a.PulledAnother(data.draw(st.sampled_from(sorted(self.bench.plan.group_of))), text))

    @rule()
    def sets_aside(self) -> None:
        if self._after_tools():
            self._answer(a.Skip("hole wants cleaning"))

    @rule(how=st.sampled_from(["broken", "stripped", "never reaches the torque", "wrong or missing part"]))
    def breaks(self, how: Literal["broken"]) -> None:
        if self._after_tools():
            self._answer(a.Broke(how, "25 N·m"))

    @rule(
        value=st.sampled_from(["5", "21", "22.1", "23.9", "60", "92", "96", "0.12"]),
        of=st.one_of(st.none(), st.integers(1, 60)),
    )
    def corrects(self, value: str, of: int | None) -> None:
        self._answer(a.Correct(value, "from memory", of))

    @rule(of=st.one_of(st.none(), st.integers(1, 60)))
    def voids(self, of: int | None) -> None:
        self._answer(a.VoidStored("chatter", of))

    @rule()
    def moved(self) -> None:
        if self._after_tools() and isinstance(self.asked, ask.Recheck):
            self._answer(a.Still(True, "23" if self.asked.reading else None))

    @rule(data=st.data())
    def not_as_expected(self, data: st.DataObject) -> None:
        if isinstance(self.asked, ask.Inspect):
            some = (
                data.draw(st.lists(st.sampled_from(self.asked.candidates), max_size=2)) if self.asked.candidates else []
            )
            other: Literal["yes", "no"] = "no" if self.asked.expect == "yes" else "yes"
            self._answer(a.Look(other, tuple(some), MAUD if self.asked.hold_point else None))

    def _answer(self, answer: a.Answer) -> None:
        outcome = self.bench.answer(answer)
        if isinstance(outcome, Refused):
            assert len(outcome.sentence) > 10, answer
            assert "Traceback" not in outcome.sentence
        if isinstance(outcome, Unsure):
            assert outcome.unusual

    @rule(data=st.data())
    def decides(self, data: st.DataObject) -> None:
        asked = self.asked
        if isinstance(asked, ask.Decide):
            way = data.draw(st.sampled_from(ways(asked)))
            assert isinstance(self.bench.answer(resolved(way)), Accepted), (asked, way)

    @rule(gap=st.sampled_from([5, 30, 700, 90_000, -50]), other=st.booleans())
    def comes_back(self, gap: int, other: bool) -> None:
        if not isinstance(self.asked, ask.Ended):
            self.bench.resume(gap, TOMAS if other else None)

    @rule(gap=st.sampled_from([30, 700]), degrees=st.sampled_from([None, "0", "40", "92", "110"]))
    def breaks_off_a_turn(self, gap: int, degrees: str | None) -> None:
        if self._after_tools() and isinstance(self.asked, ask.Turn):
            self.bench.resume(gap)
            if isinstance(self.asked, ask.StepState):
                self._answer(a.Found("started, mark still there", degrees))

    @rule(gap=st.sampled_from([30, 700]), shows=st.sampled_from(["20", "30", "50"]))
    def comes_back_to_a_finished_pull(self, gap: int, shows: str) -> None:
        if self._after_tools():
            self.bench.resume(gap)
            self._answer(a.Found("finished, not entered"))
            if isinstance(self.asked, ask.SetTool) and self.asked.finished_before:
                self._answer(a.ScaleShows(shows, self.asked.tool.unit))

    @rule(gap=st.sampled_from([400, 700]))
    def silence(self, gap: int) -> None:
        self.bench.wait(gap)

    @rule(data=st.data())
    def holds_or_pauses(self, data: st.DataObject) -> None:
        if isinstance(self.asked, ask.Ended):
            return
        stops: list[a.Answer] = [a.Pause(), a.Hold("nobody there"), a.HandTo(TOMAS), a.HandTo(MAUD)]
        self._answer(data.draw(st.sampled_from(stops)))
        if self.bench.session.progress.stopped:
            self.bench.resume()

    @invariant()
    @precondition(lambda self: hasattr(self, "bench"))
    def every_prompt_has_an_answer_and_refuses_nonsense(self) -> None:
        asked = self.asked
        if isinstance(asked, ask.Ended):
            return
        session, stamp = self.bench.session, self.bench.stamp()
        nonsense = a.Resolve("dance") if isinstance(asked, ask.Decide) else a.Value("\u202enonsense")
        assert isinstance(decide(session, nonsense, stamp), Refused), asked
        if not isinstance(asked, ask.Wait):
            self.bench.now = max(self.bench.now, START)
            assert isinstance(decide(session, self.bench.steady(), stamp), Accepted), asked

    @invariant()
    @precondition(lambda self: hasattr(self, "bench"))
    def no_torque_and_no_turn_is_asked_of_what_was_told_over(self) -> None:
        pull, progress = pull_at(self.asked), self.bench.session.progress
        if pull is not None and not pull.finished_before:
            fastener = standing(progress, pull.where.position or "").fastener
            assert fastener.over is None, self.asked
            assert fastener.state != "broken", self.asked
            assert not isinstance(pull, ask.Turn) or seated(fastener), self.asked

    @invariant()
    @precondition(lambda self: hasattr(self, "bench"))
    def a_turn_that_was_begun_is_never_asked_for_in_full(self) -> None:
        asked, progress = self.asked, self.bench.session.progress
        if isinstance(asked, ask.Turn):
            turning = standing(progress, asked.where.position or "").fastener.turning
            here = turning is not None and turning.step == self.bench.plan.index_of[asked.where.id]
            assert not here or turning is None or asked.done == turning.degrees, asked

    @invariant()
    @precondition(lambda self: hasattr(self, "bench"))
    def nothing_is_done_ahead_of_the_plan_in_its_own_frame(self) -> None:
        progress = self.bench.session.progress
        for position, state in progress.positions.items():
            assert state.through < len(self.bench.plan.steps), position
            assert state.attempt >= 1

    def teardown(self) -> None:
        if not hasattr(self, "bench"):
            return
        bench = self.bench
        if bench.session.progress.stopped:
            bench.resume()
        bench.steadily(most=3000)
        assert isinstance(bench.prompt, ask.Ended)
        assert fold(bench.plan, bench.events) == bench.session.progress
        lines = [msgspec.json.encode(event) for event in bench.events]
        assert fold(bench.plan, [e.read(line) for line in lines]) == bench.session.progress
        if bench.session.progress.not_accepted:  # given up before its end: nobody says that it is pulled through
            return
        for position in bench.plan.group_of:
            check_pulled_through(bench, position)


def check_pulled_through(bench: Bench, position: str) -> None:
    """What is said to be within was pulled through all its stages since it was last loosened to start over."""
    plan = bench.plan
    if standing(bench.session.progress, position).outcome not in GOOD:
        return
    begun = max(
        (
            event.seq
            for event in bench.events
            if isinstance(event, e.Loosened) and event.work and event.position == position
        ),
        default=0,
    )
    done = {name for event in bench.events if event.seq > begun for name in settling(plan, event, position)}
    for index in plan.steps_of.get(position, ()):
        step = plan.steps[index]
        if step.kind != "loosen" and in_sample(bench.session.progress, step):
            assert step.id in done, (position, step.id, begun)


def settling(plan: plans.Plan, event: e.Event, position: str) -> list[str]:
    """The steps of a position that an event brought to an end, one way or another."""
    match event:
        case e.ReadingTaken(verdict="within") | e.Turned(verdict="within") | e.Clicked():
            names = [event.step]
        case e.Confirmed():
            first, last = plan.index_of[event.first], plan.index_of[event.last]
            names = [step.id for step in plan.steps[first : last + 1]]
        case (
            e.Applied()
            | e.Aligned(slot="already" | "turned")
            | e.Marked()
            | e.Rechecked()
            | e.Inspected(as_expected=True, work=None)
        ):
            names = [event.step]
        case e.Corrected(verdict="within") | e.Measured(verdict="within"):
            names = [event.step or ""]
        case e.Decided(choice="concession" | "leave"):
            names = [event.step or ""]
        case _:
            names = []
    own = {plan.steps[index].id for index in plan.steps_of.get(position, ())}
    return [name for name in names if name in own]


WalkOfAnything.TestCase.settings = settings(
    max_examples=EXAMPLES,
    stateful_step_count=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
TestWalkOfAnything = WalkOfAnything.TestCase
