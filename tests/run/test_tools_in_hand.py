"""Tools in hand: taken up, zeroed, set, changed, dropped, put back, and what the program refuses to trust."""

from __future__ import annotations

from decimal import Decimal

import pytest
from msgspec.structs import replace
from small_joints import (
    READING,
    SETTING,
    W7,
    W8,
    asked,
    bench_for,
    bolts,
    choices,
    events_of,
    refused,
    stored,
    tighten,
    turn,
    walk_to,
    window,
)

from bench import G1, TOMAS, W2, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details
from clampbook.run.in_hand.other_tools import other_tools
from clampbook.tools.against import cause, told
from clampbook.tools.model import Tool


def run_of(*tools: Tool, group: m.Group | None = None) -> Bench:
    """A run of three bolts to 30 N·m and a quarter turn, with these tools in the house."""
    head = group or bolts(3)
    return bench_for(head, tighten(head), turn(head), tools=tools or READING)


class TestTakingUp:
    """The first thing that is asked of a pull is what it is made with."""

    def test_a_pull_asks_for_a_tool_first(self) -> None:
        """Nothing is in hand when a run begins."""
        now = asked(run_of(), ask.TakeTool)

        assert ("torque", Decimal(30), "1.1/1") == (now.need, now.target, now.where.id)

    def test_the_whole_tool_is_kept_with_the_line(self) -> None:
        """Years later the record says what it was, whatever tools.toml says by then."""
        run = run_of()

        assert stored(run.answer(a.TakeUp("w7")), e.ToolTaken).tool == W7

    def test_it_can_be_named_as_it_stands_on_it(self) -> None:
        """W7 or w7."""
        stored(run_of().answer(a.TakeUp("W7")), e.ToolTaken)

    def test_the_best_comes_first(self) -> None:
        """A tool that needs no reason stands before one that does."""
        big = replace(W7, id="w9", name="W9", maximum=Decimal(400))
        now = asked(run_of(big, W7, G1), ask.TakeTool)

        assert ["w7", "w9"] == [each.tool.id for each in now.offers]

    def test_beside_a_tool_that_shows_a_number_a_setting_tool_is_offered(self) -> None:
        """Only a pull to a stretch needs what is read meanwhile; one to a torque does not."""
        run = run_of(*READING, W2, G1)
        now = walk_to(run, "1.1/1", ask.Tighten)

        offered = {offer.tool.id: offer.cannot for offer in other_tools(now, run.session)}

        assert (True, None) == (now.reading, offered["w2"])

    def test_outside_its_useful_span_it_needs_a_reason(self) -> None:
        """30 N·m on a tool of 400 is below a fifth: refused, unless somebody says why."""
        big = replace(W7, id="w9", name="W9", maximum=Decimal(400))
        run = run_of(big, G1)

        assert "Give a reason" in refused(run.answer(a.TakeUp("w9")))
        taken = stored(run.answer(a.TakeUp("w9", "no other tool in the house")), e.ToolTaken)
        assert ("no other tool in the house", 1) == (taken.reason, len(taken.against))

    @pytest.mark.parametrize(("target", "low", "high"), [(10, "9", "11"), (120, "115", "125")])
    def test_a_tool_in_hand_is_not_kept_for_a_pull_off_its_scale(self, target: int, low: str, high: str) -> None:
        """It shows from 20 to 100 N·m, and the next stage lies below or above: another one is asked for."""
        head, short = bolts(1), replace(W7, minimum=Decimal(20))
        after = tighten(head, 2, target=Decimal(target), window=window(low, high))
        run = bench_for(head, tighten(head), after, tools=(short, replace(W8, maximum=Decimal(200))))
        run.answer(a.TakeUp("w7"))

        now = walk_to(run, "2.1/1", ask.TakeTool)

        assert ["w8", "w7"] == [each.tool.id for each in now.offers]

    def test_forcing_a_tool_is_a_deviation(self) -> None:
        """The record keeps it for life."""
        big = replace(W7, id="w9", name="W9", maximum=Decimal(400))
        run = run_of(big, G1)
        run.answer(a.TakeUp("w9", "no other tool in the house"))

        assert 1 == run.session.progress.deviations

    def test_a_tool_that_cannot_reach_the_torque_is_not_taken_for_any_reason(self) -> None:
        """30 N·m on a scale that ends at 20."""
        small = replace(W8, id="w9", name="W9", maximum=Decimal(20))

        assert "ends at 20 N·m" in refused(run_of(small, G1).answer(a.TakeUp("w9", "please")))

    def test_one_that_is_not_in_the_book_is_refused(self) -> None:
        """The sentence names those that are."""
        assert "Choose W7." in refused(run_of().answer(a.TakeUp("w99")))

    def test_a_turn_asks_for_a_gauge(self) -> None:
        """A torque tool does not measure the angle stage."""
        now = walk_to(run_of(), "2.1/1", ask.TakeTool)

        assert ("angle", ["g1", "marks"]) == (now.need, [each.tool.id for each in now.offers])


class TestScaleOfOneUnit:
    """Where a scale has no other unit, none is asked for."""

    def test_the_number_alone_is_taken(self) -> None:
        """The first time too."""
        tools = (replace(SETTING[0], only_unit=True), *SETTING[1:])
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=tools)

        assert (tools[0].unit,) == walk_to(run, "1.1/1", ask.SetTool).units

    def test_of_any_other_it_is_asked_once(self) -> None:
        """Many scales have two; the wrong one is a third too much or too little."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=SETTING)

        assert 1 < len(walk_to(run, "1.1/1", ask.SetTool).units)


class TestReasons:
    """A reason stands for a tool and what speaks against it, until something else does."""

    BIG = replace(W7, id="w9", name="W9", maximum=Decimal(400), permissible_deviation=Decimal(4))

    def two_stages(self, *tools: Tool, second: tuple[int, str, str]) -> Bench:
        """To 30 N·m, then to another torque; the first of these tools is taken for the first stage."""
        head, (target, low, high) = bolts(1), second
        after = tighten(head, 2, target=Decimal(target), window=window(low, high))
        return bench_for(head, tighten(head), after, tools=(*tools, G1))

    def test_a_tool_that_suited_is_asked_about_where_it_does_not(self) -> None:
        """Good at 90, a fifth of its maximum and more; at 30 it is little for it."""
        head = bolts(1)
        first = tighten(head, target=Decimal(90), window=window("80", "100"))
        run = bench_for(head, first, tighten(head, 2), tools=(self.BIG, W7, G1))
        run.answer(a.TakeUp("w9"))

        now = walk_to(run, "2.1/1", ask.TakeTool)

        assert [("w7", ()), ("w9", ("below its working range",))] == [
            (each.tool.id, tuple(map(cause, each.against))) for each in now.offers
        ]
        assert "Give a reason" in refused(run.answer(a.TakeUp("w9")))

    def test_the_same_cause_asks_for_no_second_reason_but_is_said_again(self) -> None:
        """30 and 40 are both little for a tool of 400."""
        run = self.two_stages(self.BIG, second=(40, "30", "50"))
        run.answer(a.TakeUp("w9", "no other here"))

        now = walk_to(run, "2.1/1", ask.Tighten)

        told = "W9: 40 N·m is below its working range (80.0–400.0 N·m)"
        assert f"{told} (used anyway: no other here)" in details(now)

    def test_another_cause_wants_a_reason_of_its_own(self) -> None:
        """At 40 the window leaves 1 N·m, and it may be off by 1.6."""
        run = self.two_stages(self.BIG, second=(40, "39", "41"))
        run.answer(a.TakeUp("w9", "no other here"))

        walk_to(run, "2.1/1", ask.TakeTool)
        taken = stored(run.answer(a.TakeUp("w9", "agreed")), e.ToolTaken)

        assert ("below its working range", "may be off by more than the window leaves") == tuple(
            map(cause, taken.against)
        )
        assert isinstance(run.prompt, ask.Tighten | ask.ZeroTool)

    def test_a_dropped_tool_that_is_used_on_was_given_its_reason_then(self) -> None:
        """Zeroed anew, it is pulled; the next stage does not ask once more."""
        run = self.two_stages(W7, second=(40, "30", "50"))
        walk_to(run, "1.1/1", ask.Tighten)
        run.answer(a.Drop("w7", "no other here"))
        assert isinstance(run.prompt, ask.ZeroTool)

        now = walk_to(run, "2.1/1", ask.Tighten)

        assert "W7: dropped on 2026-03-02, not checked since (used anyway: no other here)" in details(now)

    def test_a_second_fall_is_another_cause(self) -> None:
        """And so it lies down until somebody says why it is used."""
        run = self.two_stages(W7, second=(40, "30", "50"))
        walk_to(run, "1.1/1", ask.Tighten)
        run.answer(a.Drop("w7", "no other here"))
        run.answer(a.Drop("w7"))

        assert isinstance(run.prompt, ask.TakeTool)
        assert "Give a reason" in refused(run.answer(a.TakeUp("w7")))


class TestZero:
    """Indicating tools and gauges are zeroed; a setting tool has its scale typed back instead."""

    def test_zero_is_looked_at_at_take_up(self) -> None:
        """Before the first pull."""
        run = run_of()
        run.answer(a.TakeUp("w7"))

        assert "w7" == asked(run, ask.ZeroTool).tool.id

    def test_a_setting_tool_is_not_zeroed(self) -> None:
        """It is set, and its scale typed back."""
        run = run_of(*SETTING)
        run.answer(a.TakeUp("w8"))

        assert Decimal(30) == asked(run, ask.SetTool).to.value

    @pytest.mark.parametrize(("state", "cause"), [("wrong", "zero wrong"), ("unknown", "zero unknown")])
    def test_a_zero_that_is_not_good_is_decided(self, state: str, cause: str) -> None:
        """Zero again, another tool, go on with a reason, hold."""
        run = run_of()
        run.answer(a.TakeUp("w7"))

        run.answer(a.Zero(state))  # type: ignore[arg-type]

        assert (cause, ["zero again", "another tool", "go on", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def not_good(self) -> Bench:
        """A run whose tool came back wrong, with another in the house."""
        run = run_of(W7, replace(W7, id="w9", name="W9"), G1)
        run.answer(a.TakeUp("w7"))
        run.answer(a.Zero("wrong"))
        return run

    def test_zeroed_again_it_is_asked_again(self) -> None:
        """A second look may be good."""
        run = self.not_good()

        run.answer(a.Resolve("zero again"))

        assert "w7" == asked(run, ask.ZeroTool).tool.id

    def test_another_tool_is_asked_for(self) -> None:
        """The one in hand no longer serves."""
        run = self.not_good()

        run.answer(a.Resolve("another tool"))

        assert "torque" == asked(run, ask.TakeTool).need

    def test_going_on_with_it_needs_a_reason(self) -> None:
        """Then the pull is asked for, and the run ends with a deviation that nobody had to accept."""
        run = self.not_good()

        assert "Give a reason" in refused(run.answer(a.Resolve("go on")))
        run.answer(a.Resolve("go on", reason="off by less than its resolution"))
        assert "1.1/1" == asked(run, ask.Tighten).where.id
        run.steadily(until=ask.Finished)
        assert ("done", 1) == (asked(run, ask.Finished).outcome, asked(run, ask.Finished).deviations)

    def test_taken_up_again_after_another_its_zero_is_looked_at_again(self) -> None:
        """It was off once, and somebody went on with it: hours later, after another tool, it is not taken on trust."""
        run = self.not_good()
        run.answer(a.Resolve("go on", reason="off by less than its resolution"))
        run.answer(a.TakeUp("w9"))
        run.answer(a.Zero("good"))

        run.answer(a.TakeUp("w7", "the other one slips"))

        assert "w7" == asked(run, ask.ZeroTool).tool.id

    def test_going_on_with_one_says_nothing_of_another(self) -> None:
        """After a hand-over neither zero is known; a reason for the torque tool is none for the gauge."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head), tighten(head, 3), turn(head, 4))
        walk_to(run, "3.1/1", ask.Tighten)
        run.resume(1, by=TOMAS)
        walk_to(run, "3.1/1", ask.ZeroTool)
        run.answer(a.Zero("unknown"))
        run.answer(a.Resolve("go on", reason="no time"))
        walk_to(run, "3.1/1", ask.Tighten)
        run.answer(run.steady())

        assert "g1" == asked(run, ask.ZeroTool).tool.id

    def test_a_gauge_is_zeroed_too(self) -> None:
        """Before the first turn."""
        run = run_of()
        walk_to(run, "2.1/1", ask.TakeTool)
        run.answer(a.TakeUp("g1"))

        assert "g1" == asked(run, ask.ZeroTool).tool.id


class TestAfterABreak:
    """A long pause, a new person, a silence: the tool is looked at before it is trusted again."""

    def test_a_setting_tool_has_its_scale_typed_back_after_a_long_pause(self) -> None:
        """Somebody may have turned it: its scale takes the place of the zero."""
        run = run_of(*SETTING)
        walk_to(run, "1.1/2", ask.Tighten)
        run.resume(gap=700)
        run.answer(a.Found("not started"))
        run.answer(a.Look("yes"))

        assert "w8" == asked(run, ask.SetTool).tool.id

    def test_a_new_person_types_it_back(self) -> None:
        """Tomas did not set it."""
        run = run_of(*SETTING)
        walk_to(run, "1.1/2", ask.Tighten)
        run.answer(a.HandTo(TOMAS))
        run.answer(a.Found("not started"))
        run.answer(a.Look("yes"))

        assert "w8" == asked(run, ask.SetTool).tool.id

    def test_after_a_short_pause_nothing_of_the_kind(self) -> None:
        """Two minutes."""
        run = run_of(*SETTING)
        walk_to(run, "1.1/2", ask.Tighten)
        run.resume(gap=120)
        run.answer(a.Found("not started"))

        assert "1.1/2" == asked(run, ask.Tighten).where.id


class TestSetting:
    """What the scale shows is typed back: number, and unit."""

    def to_be_set(self) -> Bench:
        """A run whose tool in lbf·ft is to be set to 22.1."""
        run = run_of(W2, G1)
        run.answer(a.TakeUp("w2"))
        return run

    def test_the_right_number_and_unit_are_stored(self) -> None:
        """As typed, with what it is at the fastener."""
        done = stored(self.to_be_set().answer(a.ScaleShows("22.1", "lbf·ft")), e.ToolSet)

        assert ("22.1", "lbf·ft", "29.964") == (done.value, done.unit, done.at_fastener)

    @pytest.mark.parametrize(("number", "unit"), [("22.1", "N·m"), ("30", "lbf·ft"), ("22.1", "lbf·in"), ("30", "N·m")])
    def test_anything_else_is_refused(self, number: str, unit: str) -> None:
        """Look-alike tools in other units are the classic mix-up; even the same torque in another unit is no."""
        assert "Set it to 22.1 lbf·ft" in refused(self.to_be_set().answer(a.ScaleShows(number, unit)))

    def test_the_unit_is_never_preselected(self) -> None:
        """The list stands in a fixed order that does not begin with the tool's own."""
        units = asked(self.to_be_set(), ask.SetTool).units

        assert ("N·m", True) == (units[0], "lbf·ft" in units)

    def test_what_no_look_alike_has_on_its_scale_is_not_in_the_list(self) -> None:
        """Four units are soon read; a tool in another one has that as well."""
        fine = replace(W8, unit="kgf·cm", minimum=Decimal(50), maximum=Decimal(1000), resolution=Decimal(1))

        assert ("N·m", "lbf·ft", "lbf·in", "kgf·m") == asked(self.to_be_set(), ask.SetTool).units
        assert ("N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm") == walk_to(run_of(fine, G1), "1.1/1", ask.SetTool).units

    def test_a_new_target_is_set_anew(self) -> None:
        """30 then 40 N·m: between the stages the scale is typed back once more."""
        head = bolts(2)
        run = bench_for(
            head, tighten(head), tighten(head, 2, target=Decimal(40), window=window("38", "42")), tools=(W8,)
        )

        assert Decimal(40) == walk_to(run, "2.1/1", ask.SetTool).to.value

    def test_the_same_target_is_not(self) -> None:
        """From bolt to bolt nothing is typed."""
        run = run_of(*SETTING)
        walk_to(run, "1.1/3", ask.Tighten)

        assert 1 == len(events_of(run, e.ToolSet))


class TestChange:
    """Another tool in the middle of the work."""

    def test_it_can_be_taken_up_at_any_pull(self) -> None:
        """At bolt 2 the battery is flat: another is taken, zeroed, and the same pull is asked."""
        run = run_of(W7, replace(W7, id="w9", name="W9"), G1)
        walk_to(run, "1.1/2", ask.Tighten)

        run.answer(a.TakeUp("w9"))
        run.answer(a.Zero("good"))

        assert ("w9", "1.1/2") == (asked(run, ask.Tighten).tool.id, asked(run, ask.Tighten).where.id)

    def test_what_is_asked_fits_the_tool_in_hand(self) -> None:
        """A setting tool instead: its pull is one key."""
        run = run_of(W7, W8, G1)
        walk_to(run, "1.1/2", ask.Tighten)
        run.answer(a.TakeUp("w8"))
        run.answer(a.ScaleShows("30", "N·m"))

        assert not asked(run, ask.Tighten).reading

    def test_taken_up_again_it_is_as_it_was(self) -> None:
        """Two tools side by side on the bench: going back to the first asks no zero again."""
        run = run_of(W7, replace(W7, id="w9", name="W9"), G1)
        walk_to(run, "1.1/2", ask.Tighten)
        run.answer(a.TakeUp("w9"))
        run.answer(a.Zero("good"))

        run.answer(a.TakeUp("w7"))

        assert "w7" == asked(run, ask.Tighten).tool.id


class TestAnotherTorque:
    """A tool in hand serves the next torque only where it suits that."""

    def back_at_fifteen(self) -> Bench:
        """Over at 60 N·m with W9, which is not to be trusted below 40, and back at the 15 N·m of the first stage."""
        big = replace(W7, id="w9", name="W9", maximum=Decimal(200))
        head = bolts(1)
        low = tighten(head, target=Decimal(15), window=window("14", "16"))
        run = bench_for(head, low, tighten(head, 2, target=Decimal(60), window=window("58", "62")), tools=(W7, big))
        run.answer(a.TakeUp("w7"))
        walk_to(run, "2.1/1", ask.Tighten)
        run.answer(a.TakeUp("w9"))
        run.answer(a.Zero("good"))
        run.answer(a.Value("65"))
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        run.answer(a.Plus())
        run.answer(a.Look("yes"))
        return run

    def test_one_that_does_not_suit_it_is_not_pulled(self) -> None:
        """The list of tools comes, as it came before the first pull."""
        now = asked(self.back_at_fifteen(), ask.TakeTool)

        assert ("1.1/1", "w7") == (now.where.id, now.offers[0].tool.id)

    def test_taken_all_the_same_it_serves_the_stage(self) -> None:
        """The reason is given once."""
        run = self.back_at_fifteen()

        run.answer(a.TakeUp("w9", "no other tool in the house"))

        assert ("1.1/1", "w9") == (asked(run, ask.Tighten).where.id, asked(run, ask.Tighten).tool.id)


class TestDropped:
    """A dropped tool is out until it was checked."""

    def dropped(self, going_on: str | None = None) -> Bench:
        """A run whose tool fell at bolt 2."""
        run = run_of()
        walk_to(run, "1.1/2", ask.Tighten)
        run.answer(a.Drop("w7", going_on))
        return run

    def test_another_is_asked_for(self) -> None:
        """It is offered still, with what speaks against it."""
        now = asked(self.dropped(), ask.TakeTool)

        assert ("W7: dropped on 2026-03-02, not checked since",) == told("W7", now.offers[0].against)

    def test_taking_it_up_again_needs_a_reason(self) -> None:
        """And then its zero is looked at."""
        run = self.dropped()

        assert "Give a reason" in refused(run.answer(a.TakeUp("w7")))
        run.answer(a.TakeUp("w7", "no other tool in the house"))
        assert isinstance(run.prompt, ask.ZeroTool)

    def test_going_on_with_a_reason_asks_its_zero(self) -> None:
        """Said at once, the same step goes on after the zero."""
        run = self.dropped("it fell from low down onto cloth")

        assert "1.1/2" == asked(run, ask.ZeroTool).where.id

    def test_a_setting_tool_has_its_scale_typed_back(self) -> None:
        """A fall can move the scale."""
        run = run_of(*SETTING)
        walk_to(run, "1.1/2", ask.Tighten)

        run.answer(a.Drop("w8", "it fell from low down onto cloth"))

        assert "w8" == asked(run, ask.SetTool).tool.id

    def test_only_what_is_in_hand_can_be_dropped(self) -> None:
        """The sentence names what is."""
        run = run_of()
        walk_to(run, "1.1/2", ask.Tighten)

        assert "In hand: W7" in refused(run.answer(a.Drop("g1")))


class TestSuspected:
    """A person suspects a tool."""

    def test_what_comes_after_is_in_question(self) -> None:
        """What it showed before stays what it is, until a check finds it off."""
        run = run_of()
        walk_to(run, "1.1/3", ask.Tighten)

        run.answer(a.SuspectTool("w7", "readings drift"))

        unusual = run.events[-1]
        assert isinstance(unusual, e.ToolSuspected)
        assert unusual.seq == unusual.since

    def test_a_reason_is_needed(self) -> None:
        """A question mark without a reason helps nobody."""
        run = run_of()
        walk_to(run, "1.1/3", ask.Tighten)

        assert "Type why" in refused(run.answer(a.SuspectTool("w7", " ")))


class TestPutBack:
    """At the end every tool is put back."""

    def test_a_tool_that_wants_winding_down_is_asked_about_it(self) -> None:
        """Left wound up is the usual reason for a failed calibration."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=(replace(W8, wound_down=True),))
        run.steadily(until=ask.ReturnTool)

        assert "Is it wound down?" in refused(run.answer(a.PutBack()))
        assert stored(run.answer(a.PutBack(True)), e.ToolReturned).wound_down

    def test_one_that_must_not_be_is_not(self) -> None:
        """Some designs need no winding down: one key, and nothing is claimed."""
        head = bolts(1)
        run = bench_for(head, tighten(head))
        run.steadily(until=ask.ReturnTool)

        assert None is stored(run.answer(a.Plus()), e.ToolReturned).wound_down

    def test_all_in_hand_are_put_back_before_the_end(self) -> None:
        """Torque tool and gauge."""
        run = run_of()
        run.steadily(until=ask.Finished)

        assert {"w7", "g1"} == {each.tool for each in events_of(run, e.ToolReturned)}
