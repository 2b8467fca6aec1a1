"""What the record says of things that went otherwise: with which tool, how it was set, and what it came to."""

from __future__ import annotations

import dataclasses
import sys
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))

from small_joints import (
    SETTING,
    W7,
    asked,
    bench_for,
    bolts,
    measure,
    recheck,
    tighten,
    turn,
    value,
    walk_to,
    window,
)
from test_adapters import A1, LONG

from bench import G1, INES, MAUD, TOMAS, W5, Bench
from clampbook.archive import affected as recall
from clampbook.archive.affected_runs import Found
from clampbook.archive.affected_words import NOTHING_KNOWN, Suspicion
from clampbook.archive.affected_words import told as recalled
from clampbook.procedure import model as m
from clampbook.record.frozen import read
from clampbook.record.pages.blocks import Facts, Heading, Plain, Sentences, Table
from clampbook.record.pages.joint import _spent
from clampbook.record.pages.pages import blocks
from clampbook.record.pages.stage_words import aside
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence
from clampbook.run.lines import stored as stored_words
from clampbook.tools.identity import Identity
from walks import frozen

from .daybooks import worded
from .flat import flat

HEAD = bolts(2, after_bad_pull="pull again")


def record(run: Bench) -> dict[str, Any]:
    """The record of what was walked so far."""
    return tomllib.loads(build(*frozen(run)).decode())


def departed(run: Bench, line: int | None = None) -> str:
    """What the record's deviation at a line says, by default at the last one."""
    wanted = len(run.events) if line is None else line
    return "".join(row["what"] for row in worded(record(run)) if row["line"] == wanted)


def report(run: Bench) -> list[Plain]:
    """The blocks of its report."""
    files = frozen(run)
    return list(flat(blocks(read(*files).plan, record(run), {"daybook.jsonl": files[2]})))


def not_counted(run: Bench) -> list[tuple[object, ...]]:
    """Rows of what was done and does not count, over all stages: without line, time and person."""
    found: list[tuple[object, ...]] = []
    under = ""
    for block in report(run):
        under = block.text if isinstance(block, Heading) else under
        if isinstance(block, Table) and "no longer counted" in under:
            found += [row[:5] for row in block.rows]
    return found


def clicking() -> Bench:
    """Two bolts; W8 is set to 30 N·m and at the first of them."""
    run = bench_for(HEAD, tighten(HEAD), tighten(HEAD, number=2, target=40, window=window("38", "42")), tools=SETTING)
    run.steadily(until=ask.Tighten)
    return run


class TestBadPulls:
    """A pull that does not count was made with a tool all the same."""

    def test_one_that_clicked_was_set_and_shows_nothing(self) -> None:
        """No number exists, in no column."""
        run = clicking()
        run.answer(a.BadPull("the socket slipped", clicked=True))

        assert "void: the socket slipped with W8, clicked at 30 N·m" == departed(run)
        [row] = [row for row in record(run)["reading"] if row["kind"] == "bad pull"]
        assert ("30", "N·m", "30.000") == (row["set_to"], row["set_to_unit"], row["set_to_at_fastener"])
        assert not {"at_fastener", "value", "judged_unit"} & set(row)
        assert [("1", "×\u00a0void", "set to 30 N·m", "W8", "the socket slipped, void")] == not_counted(run)

    def test_of_one_that_nobody_is_sure_of_the_setting_is_told(self) -> None:
        """And that nobody is sure."""
        run = clicking()
        run.answer(a.BadPull("bad pull"))

        assert "void: bad pull with W8, set to 30 N·m, click not known" == departed(run)

    def test_every_click_is_among_the_clicks(self) -> None:
        """One bad pull and two good ones are three; the one that nobody is sure of is told apart."""
        run = clicking()
        run.answer(a.BadPull("bad pull", clicked=True))
        run.answer(a.Resolve("pull again"))
        run.answer(a.BadPull("bad pull"))
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        run.steadily(until=ask.Tighten)
        run.answer(run.steady())
        run.answer(run.steady())
        found = record(run)["not_measured"]

        assert 3 == found["clicks"]
        assert 1 == found["clicks_on_bad_pulls_or_other_bolts"]
        assert 1 == found["clicks_not_known"]

    def test_a_bad_turn_that_was_put_right_stands_in_degrees(self) -> None:
        """60° and a bad 60° that was 30: 90 in all, and no torque."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head))
        run.steadily(until=ask.Turn)
        run.answer(a.Value("60 °"))
        run.answer(a.BadPull("the socket slipped", value="60"))
        run.answer(a.Correct("30", "the tool still shows it"))

        rows = [row for row in record(run)["reading"] if row["kind"] == "bad pull"]
        assert [("60", "120", "°"), ("30", "90", "°")] == [(row["value"], row["sum"], row["unit"]) for row in rows]
        assert not any("at_fastener" in row for row in rows)

    def test_one_that_showed_too_much_says_it_in_both_units(self) -> None:
        """24.5 lbf·ft are 33.218 N·m (1 lbf·ft = 1.355818 N·m, NIST SP 811, appendix B.8)."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=(W5, G1))
        run.steadily(until=ask.Tighten)
        run.answer(a.BadPull("bad pull", value="24.5"))

        assert (
            "void: bad pull with W5, showed 24.5 lbf·ft; bad pull over: 24.5 lbf·ft (33.22 N·m), window 28.0–32.0 N·m"
        ) == departed(run).replace("28 to 32", "28.0 to 32.0")


class TestAnotherPosition:
    """A pull on another bolt than asked stands where the bolt is, with tool and setting."""

    def test_it_is_in_the_table_of_its_stage(self) -> None:
        """Bolt 1 at 40 N·m is asked for; the third one, which is another joint's, is pulled."""
        screws = bolts(1, "Side screws", 11)
        stages = (tighten(HEAD, target=40, window=window("38", "42")), tighten(screws, number=2))
        run = bench_for((HEAD, screws), *stages, tools=SETTING)
        run.steadily(until=ask.Tighten)
        run.answer(a.PulledAnother("11", clicked=True))

        assert departed(run).startswith("void: pulled out of turn with W8, clicked at 40 N·m")
        assert [("11", "▀\u00a0over", "set to 40 N·m", "W8", "pulled out of turn, void")] == not_counted(run)


class TestSettingBeforeABreak:
    """A click at a setting that nobody asked for is under, and that is a deviation."""

    def test_a_click_below_the_window_is_told(self) -> None:
        """W8 stood at 25 N·m."""
        run = clicking()
        run.resume(gap=3600)
        run.answer(a.Found("finished, not entered"))
        run.answer(a.ScaleShows("25", "N·m"))
        run.answer(a.Plus())

        assert isinstance(run.events[-1], e.Clicked), run.events[-1]
        told = "entered late: finished before the break; pull under: clicked at 25 N·m, window 28.0–32.0 N·m"
        assert told == departed(run)


class TestLookingBack:
    """Whoever takes the work over looks at what was left."""

    def test_at_a_hand_over_there_was_no_break(self) -> None:
        """Tomas goes on, and finds the bolt otherwise."""
        run = clicking()
        run.answer(run.steady())
        run.answer(a.HandTo(TOMAS))
        if isinstance(run.prompt, ask.StepState):
            run.answer(a.Found("not started"))
        asked(run, ask.Inspect)
        run.answer(a.Look("no", ()))

        assert "not as left when Tomas took over" == departed(run)


class TestStartingOver:
    """What is done before a bolt starts over stands at that bolt's own step."""

    def test_looks_and_loosenings_name_the_step_of_their_position(self) -> None:
        """Bolt 2 is looked at while both are taken from the beginning."""
        run = bench_for(HEAD, tighten(HEAD), turn(HEAD), tools=(W7, G1))
        walk_to(run, "2.1/1", ask.Turn)
        run.answer(a.Value("99"))
        run.answer(a.Resolve("from the beginning", scope="group"))
        while not (isinstance(run.prompt, ask.Inspect) and run.prompt.position == "2"):
            run.answer(run.steady())
        run.answer(a.Look("no", ()))
        told = record(run)

        assert "1.1/2" == told["deviation"][-1]["step"]
        assert "1.1/2" == told["inspection"][-1]["step"]
        assert ["1.1/1", "1.1/2"] == sorted(row["step"] for row in told["reading"] if row["kind"] == "loosening")


class TestLastTorque:
    """The torque after a turn is read on the tool, and said so."""

    def test_a_decision_about_it_has_the_number_that_was_typed(self) -> None:
        """38 lbf·ft are 51.5 N·m; beside 40.6 to 70.0 lbf·ft 51.5 would look well."""
        head = bolts(1)
        run = bench_for(head, tighten(head), turn(head, final_torque=window("55", "95")), tools=(W5, G1))
        walk_to(run, "2.1/1", ask.Measure)
        value(run, "38")
        found = asked(run, ask.Decide)

        assert ("final torque outside", "38 lbf·ft") == (found.cause, found.found)
        run.answer(a.Correct("39", "the tool still shows it"))
        assert "39 lbf·ft" == asked(run, ask.Decide).found


class TestCounts:
    """Parts that do not add up stand in the record with all their numbers."""

    def test_used_and_missing_are_told(self) -> None:
        """Five at hand, two used, two left over: one is missing."""
        part = m.Part(name="Head bolts", record="count", needed=2, left_over=True)
        run = bench_for(HEAD, tighten(HEAD), parts=(part,))
        run.answer(a.Value("5"))
        while not (isinstance(run.prompt, ask.StartSheet) and run.prompt.when == "end"):
            run.answer(run.steady())
        run.answer(a.Value("2"))
        line = len(run.events)
        run.answer(a.Resolve("explain", reason="one fell into the bilge"))

        assert "Head bolts: 5 at hand, 2 used, 2 left over, 1 missing" == departed(run, line)
        assert [(2, None), (None, 1)] == [(row.get("used"), row.get("missing")) for row in record(run)["part"]]
        facts = dict(pair for block in report(run) if isinstance(block, Facts) for pair in block.rows)
        assert "5, 2 needed, 2 used" == facts["Head bolts, count"]
        assert "2, 1 missing" == facts["Head bolts, left over"]


class TestAcceptedWithout:
    """What was accepted by concession may never have been done, or never been read."""

    def run(self) -> Bench:
        """Two bolts; the turn of the first goes too far, and it is accepted: no torque after it was read."""
        run = bench_for(HEAD, tighten(HEAD), turn(HEAD, final_torque=window("55", "95")), tools=(W5, G1))
        walk_to(run, "2.1/1", ask.Turn)
        run.answer(a.Value("99"))
        run.answer(a.Resolve("concession", reason="agreed", person=MAUD))
        run.steadily()
        return run

    def test_what_was_never_read_is_a_deviation(self) -> None:
        """At the line of the concession."""
        run = self.run()
        [row] = [row for row in worded(record(run)) if "left out" in row["kind"]]

        assert ("2.1/1", "accepted without its last torque") == (row["step"], row["what"])
        assert isinstance(run.events[row["line"] - 1], e.Decided)

    def test_the_table_names_the_position_that_is_not_in_it(self) -> None:
        """One of two was read."""
        run = self.run()
        [stage] = [row for row in record(run)["group"][0]["stage"] if row["what"] == "final torque"]
        said = [line for block in report(run) if isinstance(block, Sentences) for line in block.lines]

        assert ["1"] == stage["accepted_without_at"]
        assert "◆ By concession without it: 1." in said
        assert "Accepted by concession without: 1 last torque." in said

    def test_nothing_is_left_out_where_all_goes_well(self) -> None:
        """No word of it."""
        run = bench_for(HEAD, tighten(HEAD), turn(HEAD, final_torque=window("55", "95")), tools=(W5, G1))
        run.steadily()

        assert [] == record(run).get("deviation", [])


class TestGoingBack:
    """A decision says what starts over by it."""

    def test_the_positions_that_start_over_are_named(self) -> None:
        """Back to the first stage: both bolts from the beginning."""
        run = bench_for(HEAD, tighten(HEAD), measure(), tools=(W7, G1))
        walk_to(run, "2.1/-", ask.Measure)
        value(run, "0.40")
        value(run, "0.40 mm")
        run.answer(a.Resolve("go back", back_to=1, reason="a washer was missing"))
        [decision] = record(run)["decision"]
        told = [row[2] for block in report(run) if isinstance(block, Table) and "Decided" in block.head
                for row in block.rows]  # fmt: skip

        assert (1, ["1", "2"]) == (decision["back_to_stage"], decision["start_over"])
        assert "back to stage 1, 1, 2 start over: a washer was missing" in str(told)


class TestThroughAnAdapter:
    """What a tool shows through an adapter is not what the fastener got."""

    def test_deviation_and_table_name_both(self) -> None:
        """W8 with A1 on it: 1.2 times as long, so 30 shown are 36 at the bolt."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=(LONG, G1))
        run.session = dataclasses.replace(run.session, adapters=(A1,))
        asked(run, ask.TakeTool)
        run.answer(a.TakeUp("w7", adapter="a1"))
        run.answer(a.Zero("good"))
        value(run, "30")
        said = [line for block in report(run) if isinstance(block, Sentences) for line in block.lines]

        assert "pull over: 30 N·m on W7+A1 (36.00 N·m at the fastener), window 28.0–32.0 N·m" == departed(run)
        assert "With W7+A1, by Ines." in said


class TestRechecks:
    """What a recheck found stands among the deviations, however it went on."""

    def test_one_that_was_under_is_told_though_it_was_pulled_on(self) -> None:
        """27 where 28 to 32 were to be found."""
        head = bolts(1)
        again = recheck(head, window=window("28", "32"), until_still=False)
        run = bench_for(head, tighten(head), again, tools=(W7, G1))
        walk_to(run, "2.1/1", ask.Recheck)
        run.answer(a.Still(False, "27"))

        assert "recheck under: 27 N·m, window 28.0–32.0 N·m" == departed(run)

    def test_moved_no_more_than_was_asked_is_not_called_no_movement(self) -> None:
        """Up to 5° count as still."""
        head = bolts(1)
        again = recheck(head, still=Decimal(5), until_still=False)
        run = bench_for(head, tighten(head), again, tools=SETTING)
        walk_to(run, "2.1/1", ask.Recheck)
        run.answer(a.Still(False))

        assert "Moved no more than 5°: head bolt 1." == stored_words(run.events[-1], run.plan)

    def test_a_mark_that_was_passed_is_told_as_that(self) -> None:
        """Nothing moved: it was tightened past its mark."""
        head = bolts(1)
        again = recheck(head, method="back off and tighten again", back_off=Decimal(30), until_still=False)
        run = bench_for(head, tighten(head), again, tools=SETTING)
        walk_to(run, "2.1/1", ask.BackAtMark)
        run.answer(a.AtMark("past"))
        run.steadily()

        told = [row["what"] for row in worded(record(run))]
        assert ["past its mark after it was tightened again"] == told


class TestSignOffs:
    """Whoever did none of the work did not perform it."""

    def test_an_inspector_who_did_nothing_inspected(self) -> None:
        """Though the procedure does not ask for another person."""
        roles = (m.SignOff(role="assembler", required=True), m.SignOff(role="inspector", required=False))
        run = bench_for(HEAD, tighten(HEAD), tools=(W7, G1), sign_off=roles)
        run.steadily(until=ask.SignOff)
        assert "Sign off as assembler: “I tightened these, as the record says.” Type your name." == sentence(run.prompt)
        run.answer(a.Sign(INES))
        run.answer(a.Sign(MAUD))

        assert ["performed", "independently inspected"] == [row["meaning"] for row in record(run)["sign_off"]]


class TestRecall:
    """What a run found of a tool stands where the tool is looked up."""

    def test_a_zero_that_came_back_wrong_is_told(self) -> None:
        """Nobody said anything of W7 to the book; its two pulls are in question all the same."""
        run = bench_for(HEAD, tighten(HEAD), tools=(W7, G1))
        run.steadily(until=ask.ZeroTool)
        run.answer(a.Zero("wrong"))
        run.answer(a.Resolve("go on", reason="no other tool"))
        run.steadily()
        found = recall.affected(*frozen(run), Identity("w7", frozenset({"book"})), recall.Span(), None)
        assert found is not None
        unusual = Suspicion(tool=W7, why=NOTHING_KNOWN, after=None, until=None, off=None)
        said = list(recalled(unusual, Found((found,))))

        assert "W7: its zero is off (1 run)." == said[0]
        assert any("in question there: 2 pulls, as its zero is off" in line for line in said)


class TestPulledAgain:
    """A bolt that was done and pulled again by mistake holds what that pull told."""

    def test_what_it_holds_stands_though_the_pull_does_not_count(self) -> None:
        """30 counts; the second pull, put right to 31.5, is what bolt 1 holds."""
        head = bolts(3)
        run = bench_for(head, tighten(head), tools=(W7, G1))
        run.steadily(until=ask.Tighten)
        value(run, "30")
        run.answer(a.PulledAnother("1", "31"))
        run.answer(a.Correct("31.5", "the tool still shows it"))
        first = record(run)["position"][0]
        told = departed(run)

        assert ("31.500", "N·m", len(run.events)) == (first["holds"], first["holds_unit"], first["holds_by_line"])
        assert "corrected: 31 N·m (within) to 31.5 N·m, the tool still shows it" == told
        assert ["31", "31.5"] == [row["value"] for row in record(run)["reading"] if row["kind"] == "wrong position"]
        assert f"1 (31.50 N·m, line {len(run.events)})" in str(report(run))


def test_a_follow_up_has_begun_nothing_again_that_the_first_run_had() -> None:
    """The third attempt of the first run is the first of this one."""
    row = {"position": "6", "tightenings": 1, "state": "done", "attempts": 3, "attempts_before_this_run": 3}

    assert "Started over" not in dict(_spent([row]))
    assert "6 (2 attempts)" == dict(_spent([row | {"attempts": 4}]))["Started over"]


def test_a_heading_says_what_moves_its_window() -> None:
    """Prevailing torque of a locking nut is added, and a guard narrows."""
    nuts = bolts(2, "Hub nuts", prevailing=m.Prevailing(rule="always"))
    stage = tighten(nuts)

    told = aside(stage, bench_for(nuts, stage, accept="guarded").plan)
    assert "prevailing torque added · narrowed for the tool’s uncertainty" in told
    assert "on top" not in aside(tighten(HEAD), bench_for(HEAD, tighten(HEAD)).plan)


def test_a_decision_that_stands_alone_says_why_it_was_asked_for() -> None:
    """Three pulls in a row under: no word of the program's own making."""
    run = bench_for(HEAD, tighten(HEAD), tools=(W7, G1))
    run.steadily(until=ask.Tighten)
    for _ in range(3):
        value(run, "24")
    line = len(run.events)
    run.answer(a.Resolve("pull again"))

    assert "still under after three pulls" == departed(run, line)
