"""What a person reads or hears: the sentence of a prompt, its short lines, and the word for what was stored."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace
from small_joints import bench_for, bolts, measure, value, window
from small_joints import stored as settled

from aims import thirty
from clampbook.people import Person
from clampbook.procedure.model import (
    Ask,
    Group,
    Inspect,
    Layout,
    Place,
    Procedure,
    Tighten,
    Turn,
    Window,
)
from clampbook.procedure.model import Part as SheetPart
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.acts import menu
from clampbook.run.asked import details, keys, sentence
from clampbook.run.fold.verdict import Judged
from clampbook.run.gather.keys import can_be_typed
from clampbook.run.in_hand.offers import sentences
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from clampbook.run.questions.take_tool import offered
from clampbook.tools.against import NoGauge
from clampbook.tools.aim import Aim, aim_at
from clampbook.tools.demand import Demand
from clampbook.tools.model import Tool

W2 = Tool(id="w2", name="W2", kind="setting", unit="lbf·ft", minimum=Decimal(10), maximum=Decimal(80), wound_down=True)
W5 = Tool(id="w5", name="W5", kind="indicating", unit="lbf·ft")
G1 = Tool(id="g1", name="G1", kind="angle gauge", unit="°")
MARKS = Tool(id="marks", name="the marks", kind="marks", unit="°")
WHERE = ask.Where(number=3, of=54, id="1.1/3", stage=1, rounds=2, group="Head bolts", position="3")
GATE = ask.Where(number=30, of=54, id="4.1/-", stage=4)
SHEET_WINDOW = (Decimal("28.0"), Decimal("32.0"))
READING = ask.Tighten(WHERE, thirty(W5), (), Decimal(2))
CLICK = ask.Tighten(WHERE, thirty(W2), (), Decimal(2))
TURN_WINDOW = (Decimal(90), Decimal(94))
TURN = ask.Turn(WHERE, G1, False, Decimal(90), TURN_WINDOW, Decimal(0), TURN_WINDOW, True, ())
SHORT = replace(TURN, done=Decimal(88), left=(Decimal(2), Decimal(6)))
LOOK = ask.Inspect(GATE, "Every mark half a turn on?", "yes", hold_point=True)
DECIDE = ask.Decide(WHERE, "over", 57, "3", "24.5 lbf·ft", (ask.DecideChoice("hold", "Put the run on hold"),))
POSITIONS = ("1", "2", "3")
PLAN = plan(
    Procedure(
        title="Head",
        revision="B",
        unit="N·m",
        layout=Layout(kind="line", places=tuple(Place(position=p, x=float(p), y=0.0) for p in POSITIONS)),
        groups=(Group(name="Head bolts", positions=POSITIONS, order=POSITIONS),),
        stages=(
            Tighten(
                number=1,
                group="Head bolts",
                positions=POSITIONS,
                target=Decimal(30),
                window=Window(low=Decimal(28), high=Decimal(32), unit="N·m"),
            ),
            Turn(
                number=2,
                group="Head bolts",
                positions=POSITIONS,
                target=Decimal(90),
                window=Window(low=Decimal(90), high=Decimal(94), unit="°"),
            ),
            Inspect(number=3, ask="Every mark a quarter turn on?"),
        ),
    ),
    "head",
)
LINE: dict[str, Any] = {"at": "2026-03-02T09:14:07.123Z", "offset": "+01:00", "by": "ines", "seq": 57}


class TestSentence:
    """One sentence says what to do, with the number for the hand in the unit printed on the tool."""

    @pytest.mark.parametrize(
        ("prompt", "expected"),
        [
            (
                CLICK,
                "Head bolt 3: pull W2 slowly to one click.",
            ),
            (
                READING,
                "Head bolt 3: pull W5 slowly to 22.1 lbf·ft. Type its reading.",
            ),
            (
                replace(READING, where=replace(WHERE, rounds=1), last_value="20.1"),
                "Head bolt 3: under. Pull W5 up to 22.1 lbf·ft. Type its reading.",
            ),
            (
                replace(READING, aim=replace(thirty(W5), target=None, mark=None, on_tool=(None, Decimal("70.0")))),
                "Head bolt 3: pull W5 a little further, not above 70.0 lbf·ft. Type its reading.",
            ),
            (
                replace(READING, finished_before=True),
                "Head bolt 3: type what W5 showed.",
            ),
            (
                TURN,
                "Head bolt 3: turn 90° in strokes. Type G1's angle after each.",
            ),
            (
                SHORT,
                "Head bolt 3: turn 2° to 6° more from the same mark. Type this stroke.",
            ),
            (
                replace(TURN, tool=MARKS, by_marks=True),
                "Head bolt 3: turn 90° by the mark.",
            ),
            (ask.Loosen(WHERE, "3"), "Head bolt 3: loosen fully, without a torque tool."),
            (ask.Measure(GATE, "Crankshaft end play", "mm", None), "Crankshaft end play: measure, then type it in mm."),
            (LOOK, "Hold point. Another person looks and answers: Every mark half a turn on?"),
            (
                ask.Inspect(WHERE, "is it as you left it?", "yes", work="look back", position="3"),
                "Head bolt 3: is it as you left it?",
            ),
            (DECIDE, "Head bolt 3 is over: 24.5 lbf·ft."),
            (
                ask.SetTool(WHERE, thirty(W2), ("N·m", "lbf·ft")),
                "Set W2 to 22.1 lbf·ft. Type what its scale shows, with its unit.",
            ),
            (
                ask.SetTool(WHERE, thirty(W2), ("lbf·ft",)),
                "Set W2 to 22.1 lbf·ft. Type what its scale shows.",
            ),
            (
                ask.TakeTool("torque", (ask.ToolOffer(G1, cannot="…"),), WHERE, Decimal(30), SHEET_WINDOW, "N·m"),
                "No tool suits head bolt 3. Add one, or put the run on hold.",
            ),
            (ask.ZeroTool(W5, WHERE), "With no load, does W5 read zero?"),
            (
                ask.Confirm(WHERE, ("3", "4", "5"), CLICK),
                "Head bolts 3, 4, 5: pull W2 slowly, one click each, in order.",
            ),
            (
                ask.Recheck(WHERE, thirty(W2, judged=False), "tighten on", None, 1, 4, (), Decimal(2)),
                "Head bolt 3: pull W2 to one click. Watch for movement.",
            ),
            (ask.Wait(GATE, None, Decimal(600), "10 min", "its beginning"), "Wait 10 min. Press + to start."),
            (ask.StartSheet("cautions", "start", True, lines=("Engine cold.",)), "Read the cautions."),
            (
                ask.StartSheet("part:Bolts", "start", True, part=SheetPart(name="Bolts", record="count", needed=10)),
                "Bolts: how many?",
            ),
            (
                ask.StartSheet("ask:Serial", "start", True, ask=Ask(name="Engine serial number", answer="text")),
                "Engine serial number?",
            ),
            (ask.ReturnTool(W2, False), "Put W2 away."),
            (
                ask.Ended("held", "waiting for a part"),
                "Run on hold: waiting for a part.",
            ),
        ],
    )
    def test_says_what_to_do(self, prompt: ask.Prompt, expected: str) -> None:
        """The sentence stands alone and can be read out loud."""
        assert expected == sentence(prompt)


class TestDetails:
    """Short lines below the sentence, the place in the work last."""

    def test_target_and_setting_stand_on_two_labelled_lines(self) -> None:
        """What is meant at the bolt and what is set on the tool are never mixed."""
        expected = (
            "target 30.0 N·m",
            "W2 set to 22.1 lbf·ft",
            "window 28.0 to 32.0 N·m",
            "step 3 of 54, stage 1",
        )

        assert expected == details(CLICK)

    def test_a_reading_has_its_window_in_the_tools_unit_first(self) -> None:
        """The window that the eye compares is the one on the tool; the sheet's stands beside it."""
        expected = "window 20.7 to 23.6 lbf·ft (28.0 to 32.0 N·m)"

        assert expected in details(READING)

    def test_a_decision_shows_the_window_in_the_unit_of_what_was_found(self) -> None:
        """24.5 lbf·ft is compared with a window in lbf·ft, the sheet's beside it."""
        read = {"shown": Decimal("33.218"), "typed": Decimal("24.5"), "typed_unit": "lbf·ft"}
        over = replace(DECIDE, judged=Judged(window=SHEET_WINDOW, unit="N·m", **read))  # type: ignore[arg-type]

        assert ("window 20.7 to 23.6 lbf·ft (28.0 to 32.0 N·m)", "at the fastener 33.2 N·m") == details(over)[:2]

    def test_a_short_turn_says_what_was_turned_so_far(self) -> None:
        """The sum is judged, so it is shown."""
        assert "turned so far 88°" in details(SHORT)

    def test_an_under_reading_is_shown_until_the_next(self) -> None:
        """The last value of this position stays in view."""
        assert "last reading 20.1 lbf·ft, under" in details(replace(READING, last_value="20.1"))

    def test_before_closing_that_not_all_was_as_wanted(self) -> None:
        """No number stands there, which the record's own count of lines could gainsay."""
        assert "All steps done. Close the run?" == sentence(ask.Finished("done", 0))
        assert "All steps done, with deviations. Close the run?" == sentence(ask.Finished("accepted", 2))

    def test_inserted_work_says_what_it_was_inserted_for(self) -> None:
        """The number stays that of the step it interrupts."""
        where = replace(WHERE, again=(2, 3), reason="from the beginning", attempt=2, begun_again=1)

        assert (
            "started over, attempt 2",
            "step 3 of 54, stage 1, again 2 of 3 (from the beginning)",
        ) == details(replace(READING, where=where))[-2:]

    def test_looking_back_is_called_that(self) -> None:
        """Nothing is done again there."""
        where = replace(WHERE, again=(1, 3), reason="looking back")

        assert "looking back 1 of 3, then step 3 of 54" == details(replace(READING, where=where))[-1]

    def test_an_inspection_never_shows_what_is_expected(self) -> None:
        """The answer is found by looking."""
        shown = " ".join((sentence(LOOK), *details(LOOK)))

        assert (
            "Hold point. Another person looks and answers: Every mark half a turn on? step 30 of 54, stage 4" == shown
        )

    def test_a_wait_says_until_when(self) -> None:
        """A wait counts from the time of its event, and is told as the clock on the wall shows it."""
        wait = ask.Wait(GATE, "2026-03-02T23:55:00.000Z", Decimal(600), "10 min", "the last pull", "+01:00")

        assert "Wait 10 min after the last pull, until 01:05." == sentence(wait)

    def test_a_short_wait_says_so_to_the_second(self) -> None:
        """Of two minutes the next full one would be half."""
        wait = ask.Wait(GATE, "2026-03-02T18:06:30.250Z", Decimal(120), "2 min", "the last pull", "+00:00")

        assert "Wait 2 min after the last pull, until 18:08:31." == sentence(wait)

    def test_cautions_are_read_in_full(self) -> None:
        """Every caution of the block is a line."""
        block = ask.StartSheet("cautions", "start", True, lines=("Engine cold, below 30 °C.", "Eye protection on."))

        assert block.lines == details(block)

    def test_a_torque_beside_a_turn_has_its_window_in_the_tools_unit(self) -> None:
        """The last torque is read on an indicating tool in its own unit; its window is rounded inwards."""
        ends = (Decimal(55), Decimal(95))
        aim = aim_at(Demand(need="reading", window=ends, unit="N·m"), replace(W5, resolution=Decimal("0.1")))
        assert isinstance(aim, Aim)
        final = ask.Measure(WHERE, "Torque", "N·m", ends, "final torque", aim=aim)

        assert "window 40.6 to 70.0 lbf·ft (55.0 to 95.0 N·m)" == details(final)[0]


class TestKeys:
    """The line of keys names what can be typed, and no more."""

    def test_a_release_is_one_deliberate_key(self) -> None:
        """With a setting tool there is no number to type."""
        assert "Press + for clicked, - for a bad pull, * for other actions." == can_be_typed(keys(CLICK))

    def test_a_reading_is_typed_in_the_tools_unit(self) -> None:
        """The unit need not be typed."""
        assert "Type W5's reading in lbf·ft, - for a bad pull, * for other actions." == can_be_typed(keys(READING))

    def test_what_speaks_against_a_tool_stands_beside_it(self) -> None:
        """A tool is chosen knowing why it does not suit."""
        take = ask.TakeTool(
            "torque",
            (ask.ToolOffer(W2, notes=("checked today",)), ask.ToolOffer(G1, cannot="G1: not a torque tool")),
            WHERE,
            Decimal(30),
            SHEET_WINDOW,
            "N·m",
        )

        assert [
            "W2 · setting · 10.0–80.0 lbf·ft · checked today",
            "G1 · angle gauge · cannot: not a torque tool",
        ] == [choice.text for choice in keys(take).choices]

    def test_what_wants_a_reason_is_told_in_whole_sentences(self) -> None:
        """In the list it is part of a line; before the question for a reason it stands by itself."""
        offer = ask.ToolOffer(MARKS, (NoGauge(),))

        assert (
            "turn by the mark · needs a reason · the procedure asks for a gauge, a mark gives no number",
            "The procedure asks for a gauge, a mark gives no number.",
        ) == (offered(offer), sentences(offer.tool, offer.against))

    def test_the_order_of_the_tools_is_told(self) -> None:
        """Whoever chooses sees why one stands before the other."""
        take = ask.TakeTool("torque", (ask.ToolOffer(W2), ask.ToolOffer(W5)), WHERE, Decimal(30), SHEET_WINDOW, "N·m")

        assert "best first" == details(take)[0]

    def test_the_menu_keeps_its_numbers(self) -> None:
        """A number means the same at every prompt; what does not fit is left out."""
        at_a_pull = {item.number: item.act for item in menu.items(READING)}
        at_a_look = {item.number: item.act for item in menu.items(LOOK)}

        assert at_a_look.items() < at_a_pull.items()
        assert ("pause", "correct", "help") == (at_a_pull[0], at_a_pull[1], at_a_pull[15])

    def test_no_two_lines_of_the_menu_share_a_number(self) -> None:
        """Numbers count up from 0."""
        assert list(range(len(menu.ITEMS))) == [item.number for item in menu.ITEMS]


class TestStored:
    """What was stored is said as a word with its mark."""

    @pytest.mark.parametrize(
        ("event", "expected"),
        [
            (
                e.ReadingTaken(
                    **LINE,
                    step="1.1/3",
                    attempt=1,
                    tool="w5",
                    typed="22,1",
                    value="22.1",
                    unit="lbf·ft",
                    at_fastener="29.964",
                    window=("28", "32"),
                    verdict="within",
                ),
                "Within ●: head bolt 3, 22.1 lbf·ft (30.0 N·m).",
            ),
            (
                e.ReadingTaken(
                    **LINE,
                    step="1.1/2",
                    attempt=1,
                    tool="w1",
                    typed="33",
                    value="33",
                    unit="N·m",
                    at_fastener="33",
                    window=("28", "32"),
                    verdict="over",
                ),
                "Over ▀: head bolt 2, 33 N·m.",
            ),
            (
                e.Clicked(
                    **LINE,
                    step="1.1/3",
                    attempt=1,
                    tool="w2",
                    set_to="22.1",
                    unit="lbf·ft",
                    at_fastener="29.964",
                    window=("28", "32"),
                ),
                "Clicked ○: head bolt 3, set to 22.1 lbf·ft (30.0 N·m). No reading.",
            ),
            (
                e.Turned(
                    **LINE,
                    step="2.1/1",
                    attempt=1,
                    tool="g1",
                    typed="40",
                    value="40",
                    sum="88",
                    window=("90", "94"),
                    verdict="under",
                ),
                "Under ▄: head bolt 1, 40°, 88° in all.",
            ),
            (
                e.Turned(
                    **LINE,
                    step="2.1/1",
                    attempt=1,
                    tool="marks",
                    typed=None,
                    value=None,
                    sum=None,
                    window=("90", "94"),
                    verdict="within",
                ),
                "By the mark ○: head bolt 1. No angle measured.",
            ),
            (
                e.Voided(**LINE, step="1.1/3", attempt=1, of=None, cause="bad pull"),
                "Void ×: head bolt 3, bad pull.",
            ),
            (
                e.Voided(
                    **LINE,
                    step="1.1/3",
                    attempt=1,
                    of=None,
                    cause="bad pull",
                    tool="w2",
                    set_to="22.1",
                    unit="lbf·ft",
                    at_fastener="29.96",
                    window=("28", "32"),
                    verdict="within",
                    clicked=True,
                ),
                "Void ×: head bolt 3, bad pull, clicked at 22.1 lbf·ft (30.0 N·m).",
            ),
            (
                e.Clicked(
                    **LINE,
                    step="1.1/3",
                    attempt=1,
                    tool="w8",
                    set_to="25.0",
                    unit="N·m",
                    at_fastener="25.0",
                    window=("28", "32"),
                    verdict="under",
                ),
                "Under ▄: head bolt 3, set to 25.0 N·m. No reading.",
            ),
            (
                e.Skipped(**LINE, step="1.1/3", position="3", reason="no room for the tool"),
                "Skipped –: head bolt 3, no room for the tool.",
            ),
            (
                e.Broken(**LINE, step="1.1/3", position="3", attempt=1, how="broken", reached="18"),
                "Broken !: head bolt 3, 18 reached.",
            ),
            (
                e.Decided(**LINE, about=56, cause="over", choice="concession", position="3"),
                "By concession ◆: head bolt 3.",
            ),
            (
                e.Decided(**LINE, about=56, cause="over", choice="new fastener", position="3", scope="group"),
                "Start over with a new one: head bolt 3. The whole group starts over.",
            ),
            (
                e.Decided(**LINE, about=56, cause="outside", choice="go back", back_to=3),
                "Back to stage 3.",
            ),
            (
                e.Inspected(
                    **LINE,
                    step="3.1/-",
                    answer="yes",
                    as_expected=True,
                    inspector=Person("maud", "Maud"),
                ),
                "Yes: “Every mark a quarter turn on?”, Maud looked, typed name.",
            ),
            (e.ToolZeroed(**LINE, tool="w5", state="good"), "W5 reads zero."),
            (e.Asked(**LINE, item="ask:Engine serial number", typed="C 4711"), "Engine serial number: C 4711."),
            (e.Paused(**LINE, cause="asked"), "Paused."),
            (
                e.Corrected(
                    **LINE | {"seq": 58},
                    of=57,
                    step="1.1/3",
                    attempt=1,
                    typed="22.4",
                    value="22.4",
                    unit="lbf·ft",
                    at_fastener="30.37",
                    window=("28", "32"),
                    verdict="within",
                    known="from memory",
                    what="reading",
                ),
                "Corrected: head bolt 3 read 22.4 lbf·ft (30.4 N·m), within ●.",
            ),
        ],
    )
    def test_is_said_in_words(self, event: e.Event, expected: str) -> None:
        """The outcome comes first, then the position, then the value."""
        assert expected == stored(event, PLAN, (W2, W5, G1))

    def test_what_was_measured_is_named_by_its_point(self) -> None:
        """The number of a stage means nothing to whoever holds the gauge; without points, what is measured is named."""
        gaps = measure(1, window=window("1.15", "1.25", "mm"), points=("front", "rear"))
        run = bench_for(bolts(2), gaps, measure(2))
        taken = [settled(value(run, gap), e.Measured) for gap in ("1.20", "1.18", "0.15")]

        assert [
            "Within ●: front, 1.20 mm.",
            "Within ●: rear, 1.18 mm.",
            "Within ●: end play, 0.15 mm.",
        ] == [stored(each, run.session.plan) for each in taken]

    def test_a_release_is_never_said_as_a_reading(self) -> None:
        """A setting is no measured value."""
        clicked = e.Clicked(
            **LINE,
            step="1.1/3",
            attempt=1,
            tool="w2",
            set_to="30",
            unit="N·m",
            at_fastener="30",
            window=("28", "32"),
        )

        assert "Clicked ○: head bolt 3, set to 30.0 N·m. No reading." == stored(clicked, PLAN)
