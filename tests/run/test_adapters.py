"""An adapter between tool and fastener: chosen with the tool, reckoned in, and kept with every line."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest
from msgspec.structs import replace
from small_joints import W7, W8, asked, bench_for, bolts, refused, stored, tighten, turn, window

from bench import G1, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details, sentence
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, next_part, take
from clampbook.run.in_hand.outlook import notices
from clampbook.run.questions.take_tool import offered
from clampbook.run.recount import recounted
from clampbook.tools.model import Adapter, Tool
from clampbook.units import Quantity

LEVER = Quantity(Decimal(300), "mm")
LONG, SHORT = replace(W7, lever=LEVER), replace(W8, lever=LEVER)
A1 = Adapter(id="a1", name="A1", extension=Quantity(Decimal(60), "mm"))  # 300 / 360: five sixths
A2 = Adapter(id="a2", name="A2", extension=Quantity(Decimal(-240), "mm"))  # 300 / 60: five times


def run_of(*tools: Tool) -> Bench:
    """A run of two bolts to 30 N·m, with these tools and adapters in the house."""
    head = bolts(2)
    run = bench_for(head, tighten(head), tools=(*tools, G1))
    run.session = dataclasses.replace(run.session, adapters=(A1, A2))
    return run


def with_a1(tool: Tool) -> Bench:
    """The same with this tool taken up through A1, and zeroed where it has a zero."""
    run = run_of(tool)
    run.answer(a.TakeUp(tool.id, adapter="A1"))
    if tool.kind == "indicating":
        run.answer(a.Zero("good"))
    return run


class TestTakingUp:
    """The adapter is chosen with the tool."""

    def test_the_line_holds_the_whole_adapter(self) -> None:
        """Years later the record says what stood between tool and bolt."""
        assert A1 == stored(run_of(LONG).answer(a.TakeUp("w7", adapter="a1")), e.ToolTaken).adapter

    def test_without_one_nothing_stands_between(self) -> None:
        """A tool that is taken straight on has no adapter."""
        assert stored(run_of(LONG).answer(a.TakeUp("w7")), e.ToolTaken).adapter is None

    def test_each_way_is_offered_with_what_speaks_against_it(self) -> None:
        """Straight on, with A1, and with A2, which would want 150 N·m from a tool that ends at 100."""
        ways = asked(run_of(LONG), ask.TakeTool).offers[0].ways

        assert [None, A1, A2] == [way.adapter for way in ways]
        assert [None, None, "W7: ends at 100 N·m, A2 needs 150 N·m"] == [w.cannot for w in ways]

    def test_one_that_cannot_hold_the_window_is_refused(self) -> None:
        """The sentence names tool and adapter."""
        assert "W7: ends at 100 N·m, A2 needs" in refused(run_of(LONG).answer(a.TakeUp("w7", adapter="A2")))

    def test_one_that_the_book_does_not_have(self) -> None:
        """It is written into tools.toml first."""
        assert "A9 is not an adapter for W7." == refused(run_of(LONG).answer(a.TakeUp("w7", adapter="A9")))

    def test_without_a_lever_none_is_offered(self) -> None:
        """Nobody could say what it does, so it is not asked about."""
        assert () == asked(run_of(W7), ask.TakeTool).offers[0].ways

    def test_it_is_asked_for_as_a_part_of_its_own(self) -> None:
        """The tool by its number, then what stands between, by number too."""
        run = run_of(LONG)
        drawn = begin(run.prompt, "1")
        assert isinstance(drawn, Draft)
        part = next_part(run.prompt, run.session, drawn)
        assert isinstance(part, Part)

        assert ("adapter", "What is on W7?") == (part.name, part.text)
        assert ["a plain socket, extension bar or not", "A1, 60 mm longer"] == [c.text for c in part.choices[:2]]

        chosen = take(drawn, part, "2", lambda _: run.by)
        assert isinstance(chosen, Draft)
        assert (a.TakeUp("w7", adapter="a1"),) == next_part(run.prompt, run.session, chosen)


A3 = Adapter(id="a3", name="A3", offset=None, kinds=("Open end 19mm",))
WANTED, NEW = "open end, 19 mm", "check due: never checked"


def asking(*tools: Tool, adapters: tuple[Adapter, ...] = (A1, A3)) -> Bench:
    """Two union nuts that no socket goes on, then a bolt that any socket fits, then the nuts once more."""
    nuts, bolt = bolts(2, "Union nuts"), bolts(1, "Bracket bolts", 3)
    first, plain = tighten(nuts, 1, adapter=WANTED), tighten(bolt, 2)
    again = tighten(nuts, 3, adapter=WANTED)
    run = bench_for((nuts, bolt), first, plain, again, tools=(*tools, G1))
    run.session = dataclasses.replace(run.session, adapters=adapters)
    return run


class TestAskedFor:
    """The procedure says what must stand on the tool."""

    def test_the_sentence_names_it(self) -> None:
        """What to look for on the wall."""
        assert "Pick up a torque tool with open end, 19 mm, for union nut 1." == sentence(asking(LONG).prompt)

    def test_only_what_is_one_is_offered(self) -> None:
        """Neither a plain socket nor A1, which says nothing of the kind."""
        assert [A3] == [way.adapter for way in asked(asking(LONG), ask.TakeTool).offers[0].ways]

    def test_a_plain_socket_is_refused(self) -> None:
        """Also from a script."""
        assert "Choose what is on W7: A3." == refused(asking(LONG).answer(a.TakeUp("w7")))

    def test_without_one_it_is_said_what_is_missing(self) -> None:
        """Every tool is ruled out by it, and the sentence says so once."""
        run = asking(LONG, adapters=(A1,))

        assert "No open end, 19 mm in tools.toml. Add one, or put the run on hold." == sentence(run.prompt)
        assert "W7: no open end, 19 mm in tools.toml." == refused(run.answer(a.TakeUp("w7")))

    def test_of_two_that_serve_the_one_that_suits_is_looked_at(self) -> None:
        """Through A1 it is set to 25 N·m, below its working range; at 90° through A3 30 N·m stays 30 N·m."""
        ours = replace(A1, kinds=(WANTED,))
        run = asking(replace(SHORT, working_range=(Decimal(27), Decimal(100))), adapters=(ours, A3))

        (offer,) = (each for each in asked(run, ask.TakeTool).offers if each.tool.id == "w8")

        assert (A3, ()) == (next(way.adapter for way in offer.ways if not way.against), offer.against)
        assert f"W8 · setting · 5–100 N·m · {NEW}" == offered(offer)
        assert ("Only W8 suits stages 1, 2 and 3. There is no spare.",) == notices(run.plan, run.session.stock)

    def test_where_its_adapter_will_tell_the_list_says_so(self) -> None:
        """At 90° 30 N·m lies below its working range, and nobody knows yet how A3 stands."""
        run = asking(replace(SHORT, working_range=(Decimal(40), Decimal(100))), adapters=(A3,))
        low = "30 N·m is below its working range (40–100 N·m), if at 90°"

        (offer,) = (each for each in asked(run, ask.TakeTool).offers if each.tool.id == "w8")

        assert f"W8 · setting · 5–100 N·m · depends on its adapter · {NEW} · {low}" == offered(offer)

    def test_where_only_its_adapter_will_tell_nobody_is_told_that_no_tool_suits(self) -> None:
        """Folded back, A3 may want more than 40 N·m of W8."""
        run = asking(replace(SHORT, working_range=(Decimal(40), Decimal(100))), adapters=(A3,))

        assert notices(run.plan, run.session.stock) == (
            "Which tool suits stages 1 and 3 depends on its adapter.",
            "No tool suits stage 2 (28.0 to 32.0 N·m) without a reason.",
        )

    def test_a_tool_that_may_suit_is_a_spare(self) -> None:
        """W7 suits at 90°, W8 where A3 is folded back; of the bolt between them it is as ever."""
        run = asking(LONG, replace(SHORT, working_range=(Decimal(40), Decimal(100))), adapters=(A3,))

        assert ("Only W7 suits stage 2. There is no spare.",) == notices(run.plan, run.session.stock)

    def test_without_a_lever_nothing_depends_on_the_adapter(self) -> None:
        """It goes on at 90° only, and there W8 starts at 40 N·m or has 40 N·m as the least it is good for."""
        late = replace(W8, minimum=Decimal(40))
        low = replace(W8, working_range=(Decimal(40), Decimal(100)))

        assert notices(asking(late, adapters=(A3,)).plan, asking(late, adapters=(A3,)).session.stock) == (
            "No tool suits stages 1, 2 and 3 (28.0 to 32.0 N·m). Add one first.",
        )
        assert notices(asking(low, adapters=(A3,)).plan, asking(low, adapters=(A3,)).session.stock) == (
            "No tool suits stages 1, 2 and 3 (28.0 to 32.0 N·m) without a reason.",
        )

    def test_a_tool_that_needs_a_reason_for_sure_stands_before_one_that_may_need_one(self) -> None:
        """W7 is past its calibration; W8 would be below its working range if A3 stood at 90°."""
        old = replace(LONG, calibrated_on="2024-01-15", calibration_due="2025-01-15")
        low = replace(SHORT, working_range=(Decimal(40), Decimal(100)))

        assert ["w7", "w8"] == [each.tool.id for each in asked(asking(low, old), ask.TakeTool).offers]

    def test_a_tool_that_starts_too_high_stands_behind_one_that_needs_a_reason(self) -> None:
        """W9 starts at 200 N·m, and A3 would have to stand at an odd angle; W7 is past its calibration."""
        strong = replace(LONG, id="w9", name="W9", minimum=Decimal(200), maximum=Decimal(1000))
        old = replace(LONG, calibrated_on="2024-01-15", calibration_due="2025-01-15")

        now = asked(asking(strong, old), ask.TakeTool)

        assert ["w7", "w9"] == [offer.tool.id for offer in now.offers]

    @pytest.mark.parametrize("typed", ["2", "W9", "w9"])
    def test_another_tool_goes_by_its_number_its_name_or_its_id(self, typed: str) -> None:
        """What stands on it is what people read off it."""
        run = run_of(W7, replace(W7, id="w9", name="W9"), replace(W7, id="w10", name="W10"))
        run.answer(a.TakeUp("w7"))
        drawn = begin(run.prompt, "*8")
        assert isinstance(drawn, Draft)
        part = next_part(run.prompt, run.session, drawn)
        assert isinstance(part, Part)
        assert "Which tool instead?" == part.text
        taken = take(drawn, part, typed if typed != "2" else "1", lambda _: run.by)
        assert isinstance(taken, Draft)

        assert (a.TakeUp("w9"),) == next_part(run.prompt, run.session, taken)

    def test_length_and_angle_are_asked_one_after_the_other(self) -> None:
        """Its entry says neither."""
        run = asking(LONG)
        drawn = begin(run.prompt, "1")
        texts = []
        for line in ("1", "60", "0"):
            assert isinstance(drawn, Draft)
            part = next_part(run.prompt, run.session, drawn)
            assert isinstance(part, Part)
            texts.append(part.text)
            drawn = take(drawn, part, line, lambda _: run.by)
        assert isinstance(drawn, Draft)

        assert [
            "What is on W7?",
            "A3: how long from drive to middle of its opening? Type mm.",
            "A3: at which angle to W7? Type degrees, 0 straight on.",
        ] == texts
        taken = a.TakeUp("w7", adapter="a3", length="60", angle="0")
        assert (taken,) == next_part(run.prompt, run.session, drawn)

    def test_the_line_holds_what_was_asked_for_and_what_was_measured(self) -> None:
        """Years later the record says which adapter was demanded, which stood there, how long and at which angle."""
        taken = stored(asking(LONG).answer(a.TakeUp("w7", adapter="a3", length="60", angle="90")), e.ToolTaken)

        assert (WANTED, True) == (taken.demanded, taken.measured)
        assert taken.adapter == replace(A3, extension=Quantity(Decimal(60), "mm"), offset=Decimal(90))

    @pytest.mark.parametrize(("angle", "setting"), [("0", "25"), ("60", "27.5"), ("90", "30"), ("180", "37.5")])
    def test_the_setting_follows(self, angle: str, setting: str) -> None:
        """300 / (300 + 60 cos θ) of 30 N·m, to the nearest half: 27.27 at 60° (FAA AC 43.13-1B, par. 7-40)."""
        run = asking(SHORT)
        run.answer(a.TakeUp("w8", adapter="a3", length="60", angle=angle))

        assert Decimal(setting) == asked(run, ask.SetTool).to.value

    def test_one_whose_entry_says_both_is_not_asked_about(self) -> None:
        """60 mm, straight on."""
        known = replace(A3, extension=Quantity(Decimal(60), "mm"), offset=Decimal(0))
        run = asking(SHORT, adapters=(known,))
        taken = stored(run.answer(a.TakeUp("w8", adapter="a3")), e.ToolTaken)

        assert (known, None) == (taken.adapter, taken.measured)
        assert Decimal(25) == asked(run, ask.SetTool).to.value

    def test_what_cannot_hold_the_window_once_measured_is_refused(self) -> None:
        """Pointing back 240 of 300 mm it would need 150 N·m."""
        run = asking(SHORT)

        assert "ends at 100 N·m" in refused(run.answer(a.TakeUp("w8", adapter="a3", length="-240", angle="0")))

    def test_a_tool_without_a_lever_takes_it_at_a_right_angle_only(self) -> None:
        """There its length does not matter."""
        run = asking(W8)

        assert "no lever in tools.toml" in refused(run.answer(a.TakeUp("w8", adapter="a3", length="60", angle="0")))
        stored(run.answer(a.TakeUp("w8", adapter="a3", length="60", angle="90")), e.ToolTaken)

    def test_at_a_right_angle_it_is_said_that_the_setting_stays(self) -> None:
        """A length that changes nothing is not told as if it did."""
        run = asking(W8)
        run.answer(a.TakeUp("w8", adapter="a3", length="60", angle="90"))

        assert "A3 at 90°, the setting stays" in details(asked(run, ask.SetTool))

    @pytest.mark.parametrize(
        ("length", "angle", "told"),
        [
            ("60", "180", "A3 at 180° shortens the lever by 60 mm"),
            ("60", "120", "A3 at 120° shortens the lever by 30.0 mm"),
            ("-60", "180", "A3 at 180° lengthens the lever by 60 mm"),
            ("60", "60", "A3 adds 60 mm to the lever, at 60° to it"),
        ],
    )
    def test_folded_back_it_is_told_as_it_acts(self, length: str, angle: str, told: str) -> None:
        """Beyond 90° what is longer makes the lever shorter: 60 mm × cos 120° are 30 mm less."""
        run = asking(SHORT)
        run.answer(a.TakeUp("w8", adapter="a3", length=length, angle=angle))

        assert told in details(asked(run, ask.SetTool))

    def test_it_comes_off_before_a_pull_that_does_not_ask_for_it(self) -> None:
        """The bolt of the bracket has no room for it; then it goes on again, its length known by now."""
        run = asking(SHORT)
        run.answer(a.TakeUp("w8", adapter="a3", length="60", angle="0"))
        run.answer(a.ScaleShows("25", "N·m"))
        run.answer(a.Plus())
        run.answer(a.Plus())

        plain = asked(run, ask.TakeTool)
        assert (None, "3") == (plain.adapter, plain.where.position)
        run.answer(a.TakeUp("w8"))
        run.answer(a.ScaleShows("30", "N·m"))
        run.answer(a.Plus())

        (way,) = asked(run, ask.TakeTool).offers[0].ways
        assert way.adapter == replace(A3, extension=Quantity(Decimal(60), "mm"))

    def test_whoever_verifies_it_gets_the_same(self) -> None:
        """Every line again, from what was typed."""
        run = asking(LONG)
        run.answer(a.TakeUp("w7", adapter="a3", length="60", angle="60"))
        run.steadily()

        assert [] == list(recounted(run.plan, run.events))


class TestSetting:
    """A setting tool is set to less than what the bolt gets."""

    def test_target_and_setting_stand_on_two_lines(self) -> None:
        """30 N·m at the bolt are 25 on the tool through A1 (30 × 300 / 360)."""
        now = asked(with_a1(SHORT), ask.SetTool)

        assert Decimal(25) == now.to.value
        assert "Set W8+A1 to 25 N·m. Type what its scale shows, with its unit." == sentence(now)
        assert "target 30.0 N·m" == details(now)[0]

    def test_the_daybook_holds_what_was_read_and_what_it_means_at_the_bolt(self) -> None:
        """25 on the scale, 30 at the bolt, both when it is set and when it lets go."""
        run = with_a1(SHORT)
        was_set = stored(run.answer(a.ScaleShows("25", "N·m")), e.ToolSet)
        let_go = stored(run.answer(a.Plus()), e.Clicked)

        assert ("25", "30.000") == (was_set.value, was_set.at_fastener)
        assert ("25", "30.000") == (let_go.set_to, let_go.at_fastener)

    def test_the_target_typed_back_is_refused(self) -> None:
        """Mixing setting and target up is the trap of adapters."""
        assert "Set it to 25 N·m" in refused(with_a1(SHORT).answer(a.ScaleShows("30", "N·m")))


class TestReading:
    """What an indicating tool shows is less than what the bolt gets."""

    def test_where_to_stop_and_the_window_are_those_of_the_tool(self) -> None:
        """Stop at 25; 28 to 32 at the bolt are 23.4 to 26.6 on the tool, rounded inwards."""
        now = asked(with_a1(LONG), ask.Tighten)

        assert Decimal(25) == now.stop_at
        assert (Decimal("23.4"), Decimal("26.6")) == now.aim.on_tool
        assert "target 30.0 N·m" == details(now)[0]
        assert "window 23.4 to 26.6 N·m (28.0 to 32.0 N·m)" == details(now)[1]

    def test_the_verdict_is_that_of_the_torque_at_the_bolt(self) -> None:
        """25.3 on the tool is 30.36 target within, though 25.3 itself would be far under."""
        read = stored(with_a1(LONG).answer(a.Value("25.3")), e.ReadingTaken)

        assert ("25.3", "30.360", "within") == (read.value, read.at_fastener, read.verdict)

    def test_thirty_on_the_tool_is_over(self) -> None:
        """30 read through A1 are 36 at the bolt."""
        read = stored(with_a1(LONG).answer(a.Value("30")), e.ReadingTaken)

        assert ("36.000", "over") == (read.at_fastener, read.verdict)

    def test_the_verdict_is_on_the_exact_product(self) -> None:
        """Through A1 the window ends at 26.666… on the tool: 26.66 is 31.992 and within, 26.67 is 32.004 and over."""
        verdicts = [
            stored(with_a1(replace(LONG, resolution=Decimal("0.01"))).answer(a.Value(shown)), e.ReadingTaken).verdict
            for shown in ("26.66", "26.67")
        ]

        assert ["within", "over"] == verdicts

    def test_a_correction_is_reckoned_through_the_same_adapter(self) -> None:
        """24.5 mistyped as 25.4 is 29.4 at the bolt."""
        run = with_a1(LONG)
        run.answer(a.Value("25.4"))

        put_right = stored(run.answer(a.Correct("24.5", "the tool still shows it")), e.Corrected)

        assert ("24.5", "29.400", "within") == (put_right.value, put_right.at_fastener, put_right.verdict)

    def test_the_torque_at_the_end_of_a_turn(self) -> None:
        """60 on the tool through A1 are 72 at the bolt."""
        head = bolts(1)
        final = window("65", "80")
        run = bench_for(head, turn(head, 1, final_torque=final), tools=(LONG, G1))
        run.session = dataclasses.replace(run.session, adapters=(A1,))
        run.answer(a.Resolve("go on", reason="snugged by hand"))
        _turned(run)
        run.answer(a.TakeUp("w7", adapter="a1"))
        run.answer(a.Zero("good"))

        measured = stored(run.answer(a.Value("60")), e.Measured)

        assert ("60", "within") == (measured.value, measured.verdict)
        assert Decimal(72) == Decimal(measured.result)


def _turned(run: Bench) -> None:
    """The turn itself is done; its torque is asked for next."""
    run.answer(a.TakeUp("g1"))
    run.answer(a.Zero("good"))
    run.answer(a.Value("92"))


class TestChanging:
    """Another adapter on the same tool."""

    def test_the_tool_in_use_can_be_taken_with_another_adapter(self) -> None:
        """It is put on, the tool is taken anew, and a setting tool is set anew."""
        run = with_a1(SHORT)
        run.answer(a.ScaleShows("25", "N·m"))

        taken = stored(run.answer(a.TakeUp("w8")), e.ToolTaken)

        assert taken.adapter is None
        assert Decimal(30) == asked(run, ask.SetTool).to.value


class TestRecounting:
    """Whoever verifies the run later answers every line once more."""

    def test_each_line_gives_the_same_figures_again(self) -> None:
        """The adapter that was kept with the tool is all that is needed."""
        run = with_a1(LONG)
        run.answer(a.Value("25.4"))
        run.answer(a.Correct("24.5", "the tool still shows it"))
        run.steadily()

        assert [] == list(recounted(run.plan, run.events))


class TestOver:
    """What is told over is told of the bolt, not of the scale."""

    def test_the_decision_names_what_the_bolt_has(self) -> None:
        """30 on W7 through A1 are 36 target that is what is loosened."""
        run = with_a1(LONG)

        run.answer(a.BadPull(value="30"))

        assert "Head bolt 1 is at 36.0 N·m. Loosen it fully first." == sentence(run.prompt)
