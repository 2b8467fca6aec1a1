"""The command line: what each command prints, its exit status, and sentences instead of tracebacks."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path
from typing import Any

import pytest

from clampbook import cli, demo
from clampbook.demo import samples
from clampbook.procedure.library import sample
from clampbook.record.pages import planned_steps
from covers import TIGHTENED, cover
from museum import museum

HERE = Path(__file__).parent
BELT = sample("alternator-belt").path
HEAD = next(path for path in samples() if path.stem == demo.HEAD)
Command = Callable[..., tuple[int, str, str]]
BROKEN = cover(TIGHTENED.replace("30 N·m", "30").replace("within", "withn"))


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Command:
    """Runs a command with these lines on its input; gives exit status, output and talk."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z+3s")
    monkeypatch.setenv("COLUMNS", "400")

    def run(*arguments: str | Path, lines: str = "") -> tuple[int, str, str]:
        said, talk = BytesIO(), StringIO()
        with monkeypatch.context() as patch:
            patch.setattr("sys.stdin", TextIOWrapper(BytesIO(lines.encode()), encoding="utf-8"))
            patch.setattr("sys.stdout", TextIOWrapper(said, encoding="utf-8", write_through=True))
            patch.setattr("sys.stderr", talk)
            status = cli.status([str(each) for each in arguments])
            return status, said.getvalue().decode(), talk.getvalue()

    return run


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A demo book of the test's own."""
    museum(tmp_path / "book")
    return tmp_path / "book"


@pytest.fixture
def begun(command: Command, book: Path) -> str:
    """A run of the head that was begun and paused; its name."""
    status, out, _ = command("walk", demo.HEAD, "--book", book, "--as", "Ines", "--json", lines="+\nC 4711\n")
    assert 0 == status
    return str(json.loads(out.splitlines()[-1])["run"])


class TestReview:
    """`review` tells every fault at once, else every query."""

    def test_a_sound_file_has_status_0(self, command: Command) -> None:
        """Nothing wrong, a line that says so, and below it what was answered in the file itself."""
        status, out, talk = command("review", HEAD)

        first, *answered = out.splitlines()
        assert (0, f"{HEAD}: no errors, no queries", "") == (status, first, talk)
        assert ["  accepted W405, group[1].fits", "  accepted W451, group[2].clamped"] == [
            line.split(": ")[0] for line in answered
        ]

    def test_queries_have_status_1_and_their_lines(self, command: Command, tmp_path: Path) -> None:
        """A file that can be used but should be looked at again is told with file, line and code."""
        file = tmp_path / "head.toml"
        text = Path(HEAD).read_text(encoding="utf-8").replace('to = "40 N·m"', 'to = "20 N·m"').replace("±2", "±1")
        file.write_text(text, encoding="utf-8")

        status, out, _ = command("review", file)

        assert 1 == status
        line = 1 + text.splitlines().index('to = "20 N·m"')
        assert out.startswith(f"{file} line {line}, W413: ")

    def test_faults_weigh_more_than_queries(self, command: Command, tmp_path: Path) -> None:
        """Of two files the one that cannot be read decides the status."""
        broken, unusual = tmp_path / "broken.toml", tmp_path / "unusual.toml"
        broken.write_text(BROKEN, encoding="utf-8")
        unusual.write_text(Path(HEAD).read_text(encoding="utf-8").replace("source =", "# source ="), encoding="utf-8")

        assert [2, 1] == [command("review", *files)[0] for files in ((broken, unusual), (unusual,))]

    def test_faults_have_status_2_and_their_lines(self, command: Command, tmp_path: Path) -> None:
        """A number without unit and an unknown key in one go, each with file and line, on standard output."""
        file = tmp_path / "cover.toml"
        file.write_text(BROKEN, encoding="utf-8")

        status, out, _ = command("review", file)

        assert 2 == status
        *faults, count = (line for line in out.splitlines() if "cover" in line)
        assert [f"{file} line 13, E118", f"{file} line 14, E115"] == sorted(line.split(": ")[0] for line in faults)
        assert f"{file}: 2 errors" == count

    def test_json_is_one_object_with_faults_and_queries(self, command: Command, tmp_path: Path) -> None:
        """Scripts read line, key, found, allowed, text, code and hint."""
        file = tmp_path / "cover.toml"
        file.write_text(BROKEN, encoding="utf-8")

        told = json.loads(command("review", file, HEAD, "--json")[1])

        assert {"errors", "queries", "accepted"} == told.keys()
        assert ["W405", "W451"] == [answer["code"] for answer in told["accepted"]]
        assert [13, 14] == sorted(fault["line"] for fault in told["errors"])
        assert {"line", "key", "found", "allowed", "text", "code", "hint"} <= told["errors"][0].keys()

    @pytest.mark.parametrize("name", ["nowhere.toml", "."])
    def test_what_is_no_file_is_a_sentence(self, command: Command, tmp_path: Path, name: str) -> None:
        """A missing file and a folder are faults like others."""
        status, out, talk = command("review", tmp_path / name)

        assert 2 == status
        assert str(tmp_path) in out + talk


class TestPlan:
    """`plan` prints the steps without doing them."""

    def test_every_step_has_its_keys(self, command: Command) -> None:
        """Number, name, group, stage, kind, position, target and window."""
        told = json.loads(command("plan", HEAD, "--json")[1])

        first = told["steps"][0]
        way = {"left_hand", "direction"}
        assert {"number", "id", "group", "stage", "kind", "position", "target", "window"} | way == first.keys()
        assert (1, "1.1/1", "tighten", "1") == tuple(first[key] for key in ("number", "id", "kind", "position"))
        assert {"value": 30.0, "unit": "N·m"} == first["target"]
        assert [{"value": 28.0, "unit": "N·m"}, {"value": 32.0, "unit": "N·m"}] == first["window"]

    def test_it_reads_as_a_list(self, command: Command) -> None:
        """One step a line, with target and window."""
        status, out, _ = command("plan", HEAD)

        assert 0 == status
        assert "   1  1.1/1       tighten  round 1 of Head bolts  position 1  30.0 N·m  (28.0–32.0 N·m)" in out

    def test_each_stage_tells_its_limits_in_the_words_of_the_report(self, command: Command) -> None:
        """Slot and torque at a castle nut, and how often a belt is adjusted from where; a stage stands before its first
        step."""
        nuts, belt = command("plan", HERE / "propeller.toml")[1], command("plan", BELT)[1]

        assert (
            "Stage 2: Turn on to the next slot, never back · not above 85.0 N·m · "
            "at most 60° to the next slot · then split pin · Propeller nuts · "
            "left-hand: counterclockwise, seen from the tool\n   2  2.1/1"
        ) in nuts
        assert "Measure: Belt deflection · window 8 to 12 mm · outside: back to stage 1, 2 × at most" in belt

    def test_a_script_has_the_limits_of_each_stage(self, command: Command) -> None:
        """As values, not as words."""
        (pull, slot, *_) = json.loads(command("plan", HERE / "propeller.toml", "--json")[1])["stages"]
        belt = json.loads(command("plan", BELT, "--json")[1])["stages"]

        assert {"stage": 1, "kind": "tighten", "group": "Propeller nuts"} == pull
        assert ({"value": 60.0, "unit": "°"}, {"value": 85.0, "unit": "N·m"}, "split pin") == (
            slot["slot"],
            slot["at_most"],
            slot["lock"],
        )
        assert {"back_to": 1, "at_most": 2} == belt[3]["adjust"]

    def test_of_several_joints_a_stage_has_its_number_at_each(self, command: Command) -> None:
        """ "Stage 12 of 24" stands in no procedure; the names of steps stay."""
        out = command("plan", HERE / "injectors.toml")[1]
        stages = json.loads(command("plan", HERE / "injectors.toml", "--json")[1])["stages"]

        assert "Stage 3, injector 2: Tighten to 20.0 N·m" in out
        assert "7.1/2:1     tighten" in out
        assert (7, "Injector 2", 3) == tuple(stages[6][key] for key in ("stage", "joint", "stage_at_joint"))

    def test_a_faulty_file_is_not_planned(self, command: Command, tmp_path: Path) -> None:
        """The faults are told on standard error."""
        file = tmp_path / "cover.toml"
        file.write_text(BROKEN, encoding="utf-8")

        status, out, talk = command("plan", file)

        assert (2, "") == (status, out)
        assert f"{file} line 13, E118" in talk


class TestSchema:
    """`schema` prints the JSON Schema of the procedure file."""

    def test_it_is_one_json_object(self, command: Command) -> None:
        """It names the tables of the file."""
        told = json.loads(command("schema")[1])

        assert {"group", "stage", "title"} <= told["properties"].keys()


class TestRuns:
    """`runs` and `clampbook` alone tell what stands open."""

    def test_an_open_run_says_who_where_and_since_when(self, command: Command, book: Path, begun: str) -> None:
        """Enough to know whose it is and whether to go on."""
        told = json.loads(command("runs", "--book", book, "--json")[1])["runs"]

        expected = (begun, "Ines", 1, 54, "paused", "2026-03-02T09:00:00.000Z")
        assert [expected] == [
            tuple(run[key] for key in ("run", "person", "step", "of", "state", "opened")) for run in told
        ]

    def test_nothing_open_is_said(self, command: Command, book: Path) -> None:
        """An empty list is a sentence."""
        assert (0, "No open runs.\n") == command("runs", "--book", book)[:2]

    def test_alone_it_lists_them_and_says_what_can_be_typed(self, command: Command, book: Path, begun: str) -> None:
        """The first word of somebody who comes back in the morning."""
        status, out, _ = command("--book", book)

        assert 0 == status
        assert begun in out
        assert "clampbook walk --resume [RUN]" in out

    def test_without_any_book_it_points_to_the_demo(self, command: Command) -> None:
        """Nobody has to know beforehand what a book is."""
        status, out, _ = command()

        assert 0 == status
        assert "clampbook demo" in out


class TestRecord:
    """`record` prints a run's record, made anew."""

    def test_an_open_run_has_a_record_and_none_is_left_behind(self, command: Command, book: Path, begun: str) -> None:
        """It can be looked at while the run goes on; only an ended run gets the file."""
        status, out, _ = command("record", begun, "--book", book)

        assert 0 == status
        assert 2 == tomllib.loads(out)["record"]
        assert not (book / "runs" / begun / "record.toml").exists()

    def test_part_of_the_name_is_enough(self, command: Command, book: Path, begun: str) -> None:
        """Nobody types eight drawn letters."""
        assert command("record", begun, "--book", book) == command("record", begun[-8:], "--book", book)

    def test_an_unknown_run_is_a_sentence(self, command: Command, book: Path) -> None:
        """Status 2, one sentence on standard error, nothing on standard output."""
        status, out, talk = command("record", "nothing", "--book", book)

        assert (2, "") == (status, out)
        assert 1 == len(talk.splitlines())

    def test_json_is_the_same_record(self, command: Command, book: Path, begun: str) -> None:
        """The keys are those of record.toml."""
        as_toml = tomllib.loads(command("record", begun, "--book", book)[1])
        as_json = json.loads(command("record", begun, "--book", book, "--json")[1])

        assert as_toml.keys() == as_json.keys()


class TestWalk:
    """`walk` opens a run, or takes one up."""

    def test_a_file_outside_the_book_can_be_walked(self, command: Command, book: Path, tmp_path: Path) -> None:
        """The sheet need not be filed first; its very bytes are frozen in the run."""
        sheet = tmp_path / "My cover.toml"
        sheet.write_text(BROKEN.replace('to = "30"', 'to = "30 N·m"').replace("withn", "within"), encoding="utf-8")

        status, out, _ = command("walk", sheet, "--book", book, "--as", "Ines", "--json")

        run = json.loads(out.splitlines()[-1])["run"]
        assert 0 == status
        assert "-my-cover-" in run
        assert sheet.read_bytes() == (book / "runs" / run / "procedure.toml").read_bytes()

    def test_a_faulty_procedure_opens_no_run(self, command: Command, book: Path, tmp_path: Path) -> None:
        """All its faults are told, and nothing is begun."""
        sheet = tmp_path / "cover.toml"
        sheet.write_text(BROKEN, encoding="utf-8")

        status, out, talk = command("walk", sheet, "--book", book, "--as", "Ines")

        assert (2, "") == (status, out)
        assert "cover.toml line 13, E118" in talk and "cover.toml line 14, E115" in talk
        assert [] == [path for path in (book / "runs").iterdir() if not path.name.startswith(".")]

    def test_an_unknown_procedure_names_those_of_the_book(self, command: Command, book: Path) -> None:
        """A slip in the name is easily mended."""
        status, _, talk = command("walk", "haed", "--book", book, "--as", "Ines")

        assert 2 == status
        assert demo.HEAD in talk

    def test_the_thing_worked_on_can_be_named_at_once(self, command: Command, book: Path) -> None:
        """--equipment answers the question that the archive is searched by."""
        named = ("--as", "Ines", "--equipment", "C 4711")
        out = command("walk", demo.HEAD, "--book", book, *named, "--json", lines="+\n")[1]

        asked = [thing["text"] for thing in map(json.loads, out.splitlines()) if "prompt" in thing]
        assert ["Read the cautions.", "Work order?"] == asked

    def test_the_only_open_run_is_taken_up(self, command: Command, book: Path, begun: str) -> None:
        """--resume needs no name where there is one run."""
        out = command("walk", "--resume", "--book", book, "--as", "Ines", "--json")[1]

        assert begun == json.loads(out.splitlines()[-1])["run"]

    @pytest.mark.usefixtures("begun")
    def test_of_several_open_runs_one_is_chosen(self, command: Command, book: Path) -> None:
        """The question lists them by name."""
        command("walk", demo.HEAD, "--book", book, "--as", "Maud", "--json")

        out = command("walk", "--resume", "--book", book, "--as", "Ines", "--json", lines="2\n")[1]

        said = [json.loads(line) for line in out.splitlines()]
        assert ("before_run", "run") == (said[0]["prompt"], said[0]["part"])
        assert said[0]["choices"][1]["text"] == said[-1]["run"]

    def test_a_run_that_is_over_is_not_taken_up(self, command: Command, book: Path, begun: str) -> None:
        """A run that was given up stays so, and the book's log knows it."""
        lines = "* 14\n1\n2\n"

        ended = command("walk", "--resume", begun, "--book", book, "--as", "Ines", lines=lines)
        again = command("walk", "--resume", begun, "--book", book, "--as", "Ines")

        log = [json.loads(line)["event"] for line in (book / "book.jsonl").read_bytes().splitlines()]
        assert (1, 2) == (ended[0], again[0])
        assert f"{begun} is abandoned" in again[2]
        assert ["run_opened", "run_abandoned"] == log

    def test_a_changed_plan_is_not_walked(self, command: Command, book: Path, begun: str) -> None:
        """What was frozen before the first line is checked before anything is added."""
        plan = book / "runs" / begun / "plan.json"
        plan.write_bytes(plan.read_bytes().replace(b'"30"', b'"31"', 1))

        status, _, talk = command("walk", "--resume", begun, "--book", book, "--as", "Ines")

        assert 2 == status
        assert "is not the plan that this run was opened with" in talk

    @pytest.mark.parametrize("arguments", [("--resume",), (demo.HEAD,)])
    @pytest.mark.usefixtures("begun")
    def test_a_fault_in_the_tools_is_told_with_its_line(
        self, command: Command, book: Path, arguments: tuple[str, ...]
    ) -> None:
        """A slip in tools.toml is told with file and line, whether a run is begun or taken up; the run opens anyhow."""
        tools = book / "tools.toml"
        tools.write_text(tools.read_text(encoding="utf-8").replace('"40 N·m"', '"40"'), encoding="utf-8")

        status, _, talk = command("walk", *arguments, "--book", book, "--as", "Ines")

        assert 0 == status
        assert f"{tools} line 9, E201" in talk
        assert "no tool can be picked up" in talk
        assert "not foreseen" not in talk

    @pytest.mark.parametrize(
        "arguments",
        [(), ("--resume", "x", "--trial"), (demo.HEAD, "--follow-up", "Check again"), (demo.HEAD, "--joint", "port")],
    )
    def test_terms_that_do_not_fit_are_a_sentence(
        self, command: Command, book: Path, arguments: tuple[str, ...]
    ) -> None:
        """Status 2 and one sentence; nothing is begun."""
        status, _, talk = command("walk", *arguments, "--book", book, "--as", "Ines")

        assert 2 == status
        assert talk.splitlines()[-1].endswith((".", "?"))

    @pytest.mark.parametrize("procedure", [HEAD, "no-such-procedure"])
    def test_a_walk_makes_no_book(self, command: Command, tmp_path: Path, procedure: str) -> None:
        """Not even a folder; how one is made is said."""
        status, _, talk = command("walk", procedure, "--as", "Ines")

        assert 2 == status
        assert not (tmp_path / "data" / "clampbook").exists()
        assert "Make one: clampbook new. Look at the demo: clampbook demo" in " ".join(talk.split())


class TestLastResort:
    """Whatever happens, it is told in a sentence."""

    def test_an_error_that_nobody_foresaw_is_no_traceback(
        self, command: Command, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The kind of the error is named for whoever mends it."""

        def broken(*_: Any) -> None:
            raise RuntimeError("a cable is loose")

        monkeypatch.setattr(planned_steps, "line", broken)

        status, _, talk = command("plan", HEAD)

        assert 2 == status
        assert "Unexpected error (RuntimeError: a cable is loose).\n" == talk

    def test_in_the_middle_of_a_walk_it_says_where_the_answers_are(
        self, command: Command, book: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Everything answered is stored, and the sentence says where."""

        def broken(*_: Any) -> None:
            raise RuntimeError("a cable is loose")

        monkeypatch.setattr("clampbook.plain.words.Words.ask", broken)

        status, _, talk = command("walk", demo.HEAD, "--book", book, "--as", "Ines")

        assert 2 == status
        assert "Earlier answers are saved in" in talk and "daybook.jsonl" in talk

    def test_an_unknown_command_is_a_sentence(self, command: Command) -> None:
        """Usage faults have status 2."""
        status, out, talk = command("wlak")

        assert (2, "") == (status, out)
        assert "No such command 'wlak'" in talk
