"""What the record says of things that went otherwise: with which tool, how it was set, and what it came to."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))

from small_joints import SETTING, W7, asked, bench_for, bolts, tighten, turn, value, walk_to, window

from bench import G1, TOMAS, W5, Bench
from clampbook.procedure import model as m
from clampbook.record.frozen import read
from clampbook.record.pages.blocks import Block, Facts, Heading, Table
from clampbook.record.pages.pages import blocks
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from walks import frozen

HEAD = bolts(2, after_bad_pull="pull again")


def record(run: Bench) -> dict[str, Any]:
    """The record of what was walked so far."""
    return tomllib.loads(build(*frozen(run)).decode())


def departed(run: Bench, line: int | None = None) -> str:
    """What the record's deviation at a line says, by default at the last one."""
    wanted = len(run.events) if line is None else line
    return "".join(row["what"] for row in record(run)["deviation"] if row["line"] == wanted)


def report(run: Bench) -> list[Block]:
    """The blocks of its report."""
    files = frozen(run)
    return list(blocks(read(*files).plan, record(run), {"daybook.jsonl": files[2]}))


def not_counted(run: Bench) -> list[tuple[object, ...]]:
    """Rows of what was done and does not count, over all stages: without line, time and person."""
    found: list[tuple[object, ...]] = []
    under = ""
    for block in report(run):
        under = block.text if isinstance(block, Heading) else under
        if isinstance(block, Table) and "not counted" in under:
            found += [row[1:6] for row in block.rows]
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

        assert "void: the socket slipped with W8, let go at 30 N·m" == departed(run)
        [row] = [row for row in record(run)["reading"] if row["kind"] == "bad pull"]
        assert ("30", "N·m", "30.000") == (row["set_to"], row["set_to_unit"], row["set_to_at_fastener"])
        assert not {"at_fastener", "value", "judged_unit"} & set(row)
        assert [("1", "×\u00a0void", "set to 30 N·m", "W8", "the socket slipped, void")] == not_counted(run)

    def test_of_one_that_nobody_is_sure_of_the_setting_is_told(self) -> None:
        """And that nobody is sure."""
        run = clicking()
        run.answer(a.BadPull("bad pull"))

        assert "void: bad pull with W8, set to 30 N·m; nobody is sure whether it let go" == departed(run)

    def test_every_click_is_among_the_releases(self) -> None:
        """One bad pull and two good ones are three; the one that nobody is sure of is told apart."""
        run = clicking()
        run.answer(a.BadPull("bad pull", clicked=True))
        run.answer(a.Resolve("pull again"))
        run.answer(a.BadPull("bad pull"))
        run.answer(a.Resolve("pull again"))
        run.answer(run.steady())
        run.answer(run.steady())
        said = record(run)["not_measured"]["sentences"]

        assert said[1].startswith("Releases of a setting tool: 3.")
        assert "Of these, bad pulls and pulls on another position than asked: 1." == said[2]
        assert "Pulls with a setting tool of which nobody is sure whether it let go: 1." == said[3]

    def test_one_that_showed_too_much_says_it_in_both_units(self) -> None:
        """24.5 lbf·ft are 33.218 N·m (1 lbf·ft = 1.355818 N·m, NIST SP 811, appendix B.8)."""
        head = bolts(1)
        run = bench_for(head, tighten(head), tools=(W5, G1))
        run.steadily(until=ask.Tighten)
        run.answer(a.BadPull("bad pull", value="24.5"))

        assert (
            "void: bad pull with W5, showed 24.5 lbf·ft; "
            "bad pull over: 24.5 lbf·ft (33.218 N·m), wanted 28.0 to 32.0 N·m"
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

        assert departed(run).startswith("void: pulled out of turn with W8, let go at 40 N·m")
        assert [("11", "?\u00a0unknown", "set to 40 N·m", "W8", "pulled out of turn, void")] == not_counted(run)


class TestSettingBeforeABreak:
    """A click at a setting that nobody asked for is under, and that is a deviation."""

    def test_a_click_below_the_window_is_told(self) -> None:
        """W8 stood at 25 N·m."""
        run = clicking()
        run.resume(gap=3600)
        run.answer(a.Found("finished, not typed"))
        run.answer(a.ScaleShows("25", "N·m"))
        run.answer(a.Plus())

        assert isinstance(run.events[-1], e.Released), run.events[-1]
        told = "entered late: finished before the break; pull under: let go at 25 N·m, wanted 28 to 32 N·m"
        assert told == departed(run)


class TestLookingBack:
    """Whoever takes the work over looks at what was left."""

    def test_at_a_hand_over_there_was_no_break(self) -> None:
        """Tomas goes on, and finds the bolt otherwise."""
        run = clicking()
        run.answer(run.steady())
        run.answer(a.HandTo(TOMAS))
        if isinstance(run.prompt, ask.StepState):
            run.answer(a.Found("not begun"))
        asked(run, ask.Inspect)
        run.answer(a.Look("no", ()))

        assert "when Tomas went on, it was not as it had been left" == departed(run)


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
        assert "5 of 2 needed, 2 used" == facts["Head bolts, count"]
        assert "2, 1 missing" == facts["Head bolts, left over"]


def test_a_decision_that_stands_alone_says_why_it_was_asked_for() -> None:
    """Three pulls in a row under: no word of the program's own making."""
    run = bench_for(HEAD, tighten(HEAD), tools=(W7, G1))
    run.steadily(until=ask.Tighten)
    for _ in range(3):
        value(run, "24")
    line = len(run.events)
    run.answer(a.Resolve("pull again"))

    assert "under three times in a row" == departed(run, line)
