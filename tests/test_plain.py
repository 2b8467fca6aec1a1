"""Plain mode as it is used, with a clock handed in: through real pipes where they matter, else by the same command."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path
from typing import Any

import pexpect
import pytest

from clampbook import cli
from clampbook.run.walk import Walk
from covers import TIGHTENED, cover
from museum import museum, own

COVER = cover()
FLANGE = """\
format = 2
title = "Pipe flange"
revision = "A"
unit = "N·m"
repeat = ["port", "starboard"]

[[group]]
name = "Flange bolts"
positions = "1-6"
thread = "M10"
after_bad_pull = "pull again"

[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
confirm = "round"
"""
CLOCK = "2026-03-02T09:00:00Z+3s"
READING = ["W5", "1"]  # W5, whose zero is good
PROMPT_KEYS = {
    "prompt",
    "id",
    "step",
    "of",
    "again",
    "group",
    "stage",
    "position",
    "target",
    "window",
    "set_tool_to",
    "text",
    "part",
    "choices",
    "unit",
    "since",
    "lasts",
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book with two small procedures of its own, made once."""
    folder = tmp_path_factory.mktemp("made") / "book"
    museum(folder)
    own(folder, "cover", COVER)
    own(folder, "flange", FLANGE)
    return folder


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Path:
    """A book of the test's own."""
    shutil.copytree(made, tmp_path / "book")
    return tmp_path / "book"


def started(book: Path, *arguments: str, clock: str = CLOCK, **environment: str) -> subprocess.Popen[bytes]:
    """The program on a book, its three streams on pipes."""
    return subprocess.Popen(
        [sys.executable, "-m", "clampbook.cli", "walk", *arguments, "--book", str(book)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "CLAMPBOOK_CLOCK": clock, **environment},
    )


def piped(book: Path, *arguments: str, lines: list[str], **environment: str) -> tuple[int, str, str]:
    """Exit status, what was said and what was talked, of a program of its own after these lines."""
    program = started(book, *arguments, **environment)
    out, talk = program.communicate("".join(f"{line}\n" for line in lines).encode(), timeout=60)
    assert b"Traceback" not in talk
    return program.returncode, out.decode(), talk.decode()


def walked(book: Path, *arguments: str, lines: list[str], **environment: str) -> tuple[int, str, str]:
    """The same within this process, which is quicker: the command line's own way from arguments to exit status."""
    given = BytesIO("".join(f"{line}\n" for line in lines).encode())
    said, talk = BytesIO(), StringIO()
    with pytest.MonkeyPatch.context() as patch:
        for name, value in {"CLAMPBOOK_CLOCK": CLOCK, **environment}.items():
            patch.setenv(name, value)
        patch.setattr(sys, "stdin", TextIOWrapper(given, encoding="utf-8"))
        patch.setattr(sys, "stdout", TextIOWrapper(said, encoding="utf-8", write_through=True))
        patch.setattr(sys, "stderr", talk)
        status = cli.status(["walk", *arguments, "--book", str(book)])
        return status, said.getvalue().decode(), talk.getvalue()


def objects(book: Path, *arguments: str, lines: list[str]) -> list[dict[str, Any]]:
    """The objects that the program printed, one a line."""
    _, out, _ = walked(book, *arguments, "--json", lines=lines)
    return [json.loads(line) for line in out.splitlines()]


def daybook(book: Path, run: int = 0) -> list[dict[str, Any]]:
    """The lines of a run's daybook, runs by name."""
    folder = sorted(path for path in (book / "runs").iterdir() if not path.name.startswith("."))[run]
    return [json.loads(line) for line in (folder / "daybook.jsonl").read_bytes().splitlines()]


class TestWalking:
    """A walk in words: the message first, one answer a line."""

    def test_a_whole_joint_is_done_and_recorded(self, book: Path) -> None:
        """Four clicks and a look close the run as done, and its record is written."""
        lines = ["1", "30", "1", "+", "+", "+", "+", "1", "1", "1"]

        status, out, _ = piped(book, "cover", "--as", "Ines", lines=lines)

        assert 0 == status
        assert "Run closed: done. Record: " in " ".join(out.split())
        assert 1 == out.count("Run closed: done.")
        assert "closed" == daybook(book)[-1]["event"]
        assert 1 == len(list((book / "runs").glob("*/record.toml")))

    def test_the_sentence_says_what_to_do(self, book: Path) -> None:
        """The pull's sentence stands before its details, and the keys come last."""
        _, out, _ = walked(book, "cover", "--as", "Ines", lines=["1", "30", "1"])

        said = " ".join(out.split())
        assert (
            "Cover screw 1: pull W1 slowly to one click. "
            "target 30.0 N·m W1 set to 30 N·m window 28.0 to 32.0 N·m fastener: M10 step 1 of 5, stage 1 "
            "Press + for clicked, - for a bad pull, * for other actions."
        ) in said

    def test_an_over_is_decided_by_concession_and_looked_at(self, book: Path) -> None:
        """A reading over its window is accepted by a second person only, and the exit status says to look."""
        over = [*READING, "24.5", "4", "1", "Maud"]
        rest = ["22.1", "22.0", "22.2", "1", "+", "1"]

        status, out, _ = walked(book, "cover", "--as", "Ines", lines=[*over, *rest])

        assert 1 == status
        told = " ".join(out.split())
        assert "Over ▀: cover screw 1, 24.5 lbf·ft (33.2 N·m)." in told
        which = "Cover screw 1, stage 1: ▀ pull over: 24.5 lbf·ft (33.22 N·m), window 28.0–32.0 N·m"
        assert f"1 deviation: {which} All steps done, with deviations. Close the run?" in told.replace("\u00a0", " ")
        assert ("closed", "accepted") == (daybook(book)[-1]["event"], daybook(book)[-1]["outcome"])

    def test_a_unusual_reading_is_asked_again_without_the_value_that_would_fit(self, book: Path) -> None:
        """2.21 looks like a lost decimal place; number and unit are asked for, and no figure stands there to copy."""
        _, out, _ = walked(book, "cover", "--as", "Ines", lines=[*READING, "2.21", "2.21 lbf·ft"])

        said = " ".join(out.split())
        unusual = said[said.index("2.21 lbf·ft is unusual here.") : said.index("Under ▄")]
        assert "Type what the tool shows, number and unit." in unusual
        assert ["2.21"] == re.findall(r"[0-9.]*[0-9]", unusual)
        assert ["2.21 lbf·ft"] == [line["typed"] for line in daybook(book) if line["event"] == "reading_taken"]

    def test_a_bad_pull_is_one_key(self, book: Path) -> None:
        """A jerk is void at its position, once it is said whether the tool clicked; how it goes on is asked."""
        _, out, _ = walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "-", "2"])

        assert "Void ×: cover screw 1, bad pull." in out
        assert "Cover screw 1: bad pull." in out

    def test_an_empty_line_is_nothing(self, book: Path) -> None:
        """Enter, Enter, Enter stores no pull."""
        walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "", "", ""])

        assert [] == [line for line in daybook(book) if line["event"] == "clicked"]

    def test_the_last_answer_is_corrected_and_the_first_value_kept(self, book: Path) -> None:
        """A mistyped reading is put right with how that is known."""
        walked(book, "cover", "--as", "Ines", lines=[*READING, "21.1", "* 1", "22.1", "1"])

        kept = [line for line in daybook(book) if line["event"] in ("reading_taken", "corrected")]
        assert ["21.1", "22.1"] == [line["typed"] for line in kept]
        assert ("the tool still shows it", kept[0]["seq"]) == (kept[1]["known"], kept[1]["of"])

    def test_a_note_is_written_in_the_middle(self, book: Path) -> None:
        """A slash and a text is a note, and the same question stands."""
        walked(book, "cover", "--as", "Ines", lines=["/ gasket from the second box"])

        assert "gasket from the second box" == daybook(book)[1]["text"]

    def test_several_pulls_in_one_answer_ask_how_far_before_a_pause(self, book: Path) -> None:
        """Two of six are done when the telephone rings; the two are stored before the pause."""
        walked(book, "flange", "--as", "Ines", "--joint", "port", lines=["1", "30", "1", "pause", "2"])

        kept = daybook(book)[-2:]
        assert [("confirmed", "1.1/2"), ("paused", None)] == [(line["event"], line.get("last")) for line in kept]

    def test_the_same_person_at_both_twins_is_told(self, book: Path) -> None:
        """The second joint of a pair by the same hands is worth a word, not a stop."""
        walked(book, "flange", "--as", "Ines", "--joint", "port", lines=[])

        _, _, talk = walked(book, "flange", "--as", "Ines", "--joint", "starboard", lines=[])

        assert "Ines also did port" in talk
        assert 1 == len({daybook(book, run)[0]["series"] for run in (0, 1)})

    def test_a_name_nobody_knows_is_entered(self, book: Path) -> None:
        """Somebody new types a name, says so, and is in the book from then on."""
        walked(book, "cover", lines=["Wanda", "1"])

        assert {"id": "wanda", "name": "Wanda"} == daybook(book)[0]["person"]
        assert "Wanda" in (book / "people.toml").read_text(encoding="utf-8")

    def test_a_slip_in_a_name_makes_no_second_person(self, book: Path) -> None:
        """Inez is asked about, and Ines meant; * asks for the name again."""
        told = objects(book, "cover", lines=["Inez", "*", "Inez", "1"])

        assert ["who", "meant", "who", "meant"] == [each["part"] for each in told[:4]]
        assert "Inez is new here. Did you mean Ines?" == told[1]["text"]
        assert ["yes, Ines", "no, add Inez as a new person"] == [choice["text"] for choice in told[1]["choices"]]
        assert {"id": "ines", "name": "Ines"} == daybook(book)[0]["person"]
        assert "Inez" not in (book / "people.toml").read_text(encoding="utf-8")

    def test_somebody_new_can_take_over(self, book: Path) -> None:
        """In the walk a new name is asked about too, before the next part of the answer."""
        walked(book, "cover", "--as", "Ines", lines=["* 10", "Wanda", "1", "-"])

        over = next(line for line in daybook(book) if line["event"] == "handed_over")
        assert {"id": "wanda", "name": "Wanda"} == over["to"]


class TestForEveryEye:
    """Plain mode is fit for a screen reader, a serial line, and a terminal zoomed until 40 columns are left."""

    def test_nothing_is_redrawn(self, book: Path) -> None:
        """No escape sequences, no carriage returns, no tabs: only lines."""
        _, out, _ = walked(book, "cover", "--as", "Ines", lines=["*", "*", "?", "1", "30", "1", "+", "x"])

        assert [] == [sign for sign in out if ord(sign) < 32 and sign != "\n"]

    def test_every_line_fits_40_columns(self, book: Path) -> None:
        """Menu, help and questions wrap; only what cannot be broken is longer."""
        lines = ["?", "*", "*", "1", "30", "1", "-", "* 15", "3", "1"]
        _, out, _ = walked(book, "cover", "--as", "Ines", lines=lines, COLUMNS="40")

        assert [] == [line for line in out.splitlines() if len(line) > 40 and " " in line.strip()]

    def test_the_outcome_is_a_word_and_stands_first(self, book: Path) -> None:
        """The acknowledgement begins with the word, so that a voice says it first."""
        _, out, _ = walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "+"])

        assert "Clicked ○: cover screw 1, set to 30.0 N·m. No reading." in out.splitlines()


class TestBreaks:
    """The telephone, the end of a script, a kill: nothing answered is lost, nothing is done twice."""

    def test_the_end_of_the_input_pauses(self, book: Path) -> None:
        """A script that ends leaves a run that can be taken up."""
        status, out, _ = walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "+"])

        assert (0, "paused", "end of input") == (status, daybook(book)[-1]["event"], daybook(book)[-1]["cause"])
        assert "Run paused. Resume it from the bench." in out

    def test_taking_up_asks_about_the_step_at_hand(self, book: Path) -> None:
        """Every start on an open run asks how the pull at hand was left."""
        walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "+"])

        out = walked(book, "--resume", "--as", "Ines", lines=["1", "+"], CLAMPBOOK_CLOCK="2026-03-02T09:02:00Z+3s")[1]

        assert "Cover screw 2: how was it left?" in out
        assert "Clicked ○: cover screw 2" in out

    def test_a_refused_number_is_asked_again_and_its_list_is_not(self, book: Path) -> None:
        """65 is how far the bolt is turned, never a line of the list that stood there before."""
        turned = '\n[[stage]]\ndo = "turn"\nby = "90°"\nwithin = "±4°"\n'
        sheet = cover(TIGHTENED, turned, screws="1")
        own(book, "cover", sheet)
        begun = ["W5", "1", "22.1", "G1", "1", "50"]
        first = objects(book, "cover", "--as", "Ines", lines=begun)
        assert "turn" == [said["prompt"] for said in first if "prompt" in said][-1]
        state = [said for said in objects(book, "--resume", "--as", "Ines", lines=[]) if "prompt" in said][-1]
        key = next(choice["key"] for choice in state["choices"] if choice["value"] == "started_mark_there")

        said = objects(book, "--resume", "--as", "Ines", lines=[key, "30", "65"])

        assert ["degrees", "degrees"] == [each["part"] for each in said if each.get("part")]
        assert "65" == next(line["sum"] for line in reversed(daybook(book)) if line["event"] == "turned")

    def test_taking_up_tells_who_stopped_and_what_was_done_last(self, book: Path) -> None:
        """Who comes back reads when it stopped, and the last positions, before anything is asked."""
        walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "+", "+"])

        out = walked(book, "--resume", "--as", "Maud", lines=[], CLAMPBOOK_CLOCK="2026-03-02T09:02:00Z+3s")[1]

        assert [
            "Last answer: 2026-03-02 09:00 UTC, Ines.",
            "Position 1: clicked ○.",
            "Position 2: clicked ○.",
        ] == out.splitlines()[:3]

    def test_a_torn_last_line_is_told(self, book: Path) -> None:
        """Half a line after a power cut is moved aside, and said."""
        walked(book, "cover", "--as", "Ines", lines=["1"])
        torn = next((book / "runs").glob("*/daybook.jsonl"))
        torn.write_bytes(torn.read_bytes() + b'{"at":"2026')

        out = walked(book, "--resume", "--as", "Ines", lines=[], CLAMPBOOK_CLOCK="2026-03-02T09:02:00Z+3s")[1]

        assert "11 bytes of a torn last line are saved beside the daybook." in out

    def test_a_refusal_does_not_start_the_time_of_a_slow_pull_anew(
        self, book: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The pull counts from when its question was first shown, not from the last slip of a finger."""
        shown: list[str] = []
        painted = Walk.painted

        def counted(walk: Walk) -> None:
            shown.append(type(walk.prompt).__name__)
            painted(walk)

        monkeypatch.setattr(Walk, "painted", counted)

        walked(book, "cover", "--as", "Ines", lines=["x", "?", "1", "x"])

        assert ["TakeTool", "SetTool"] == shown

    def test_a_kill_loses_no_acknowledged_answer(self, book: Path) -> None:
        """What was said to be stored is in the daybook after SIGKILL, once."""
        program = started(book, "cover", "--as", "Ines", "--json")
        acknowledged = talked(program, ["1", "30", "1", "+", "+"])

        program.kill()
        program.communicate()
        walked(book, "--resume", "--as", "Ines", lines=["1"], CLAMPBOOK_CLOCK="2026-03-02T09:02:00Z+3s")

        kept = daybook(book)
        assert list(range(1, len(kept) + 1)) == [line["seq"] for line in kept]
        assert max(acknowledged) <= len(kept)
        assert ["1.1/1", "1.1/2"] == [line["step"] for line in kept if line["event"] == "clicked"]

    @pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
    def test_a_wish_to_stop_is_a_safe_pause(self, book: Path, number: signal.Signals) -> None:
        """Ctrl-C and a closed window end with a stored pause and status 130."""
        program = started(book, "cover", "--as", "Ines", "--json")
        talked(program, ["1", "30", "1", "+"])

        program.send_signal(number)
        _, talk = program.communicate(timeout=60)

        assert (130, "paused") == (program.returncode, daybook(book)[-1]["event"])
        assert ("terminal closed" if number == signal.SIGHUP else "asked") == daybook(book)[-1]["cause"]
        assert b"Traceback" not in talk

    def test_a_reader_that_goes_away_is_no_fault(self, book: Path) -> None:
        """When nobody reads any more, the run is paused and nothing is complained about."""
        program = started(book, "cover", "--as", "Ines", "--json")
        assert program.stdout is not None and program.stdin is not None and program.stderr is not None
        talked(program, ["1", "30", "1"])
        program.stdout.close()

        program.stdin.write(b"+\n+\n")
        program.stdin.close()
        talk = program.stderr.read()
        program.wait(timeout=60)

        assert b"Traceback" not in talk and b"Exception" not in talk
        assert "paused" == daybook(book)[-1]["event"]

    def test_a_second_writer_is_told_who_is_first(self, book: Path) -> None:
        """Two cannot walk one run."""
        program = started(book, "cover", "--as", "Ines", "--json")
        talked(program, ["1"])

        status, _, talk = walked(book, "--resume", "--as", "Maud", lines=["1"])
        program.communicate()

        assert 2 == status
        assert "Ines" in talk


def talked(program: subprocess.Popen[bytes], lines: list[str]) -> list[int]:
    """Answer a running program line by line, each after its question; the numbers of the lines it acknowledged."""
    assert program.stdin is not None
    stored = []
    said = read_objects(program)
    for line in lines:
        for thing in said:
            if "prompt" in thing:
                break
            stored += [thing["stored"]] if "stored" in thing else []
        program.stdin.write(f"{line}\n".encode())
        program.stdin.flush()
    for thing in said:
        if "prompt" in thing:
            break
        stored += [thing["stored"]] if "stored" in thing else []
    return stored


def read_objects(program: subprocess.Popen[bytes]) -> Iterator[dict[str, Any]]:
    """The objects of a running program as they come."""
    assert program.stdout is not None
    for line in program.stdout:
        yield json.loads(line)


class TestObjects:
    """`--json`: one object out for each question, one line in."""

    def test_a_prompt_has_all_its_keys(self, book: Path) -> None:
        """Scripts rely on the keys, so all are there at every question."""
        said = objects(book, "cover", lines=["1", "1", "30", "1", "+", "-", "1", "1", "1"])

        prompts = [thing for thing in said if "prompt" in thing]
        assert [] == [thing for thing in prompts if not PROMPT_KEYS <= thing.keys()]

    def test_what_is_no_prompt_is_one_of_four(self, book: Path) -> None:
        """Stored, refused, unusual, finished, and nothing else."""
        said = objects(book, "cover", "--as", "Ines", lines=[*READING, "x", "2.21", "2.21 lbf·ft", "22.1"])

        assert [{"stored"}, {"refused"}, {"unusual"}, {"finished", "run"}] == [
            set(keys) for keys in dict.fromkeys(tuple(thing) for thing in said if "prompt" not in thing)
        ]

    def test_a_pull_names_its_place_and_figures(self, book: Path) -> None:
        """Step, position, target in the sheet's unit, and what to set in the tool's."""
        said = objects(book, "cover", "--as", "Ines", lines=["1", "30", "1"])

        pull = next(thing for thing in said if thing.get("prompt") == "tighten")
        assert ("1.1/1", 1, 5, 1, "Cover screws", "1", None) == tuple(
            pull[key] for key in ("id", "step", "of", "stage", "group", "position", "again")
        )
        assert {"value": 30.0, "unit": "N·m"} == pull["target"] == pull["set_tool_to"]
        assert [{"value": 28.0, "unit": "N·m"}, {"value": 32.0, "unit": "N·m"}] == pull["window"]
        assert [("+", "clicked"), ("-", "bad pull")] == [(c["key"], c["text"]) for c in pull["choices"]]

    def test_a_reading_names_the_unit_that_is_typed(self, book: Path) -> None:
        """An indicating tool is read in its own unit."""
        said = objects(book, "cover", "--as", "Ines", lines=READING)

        assert ["lbf·ft"] == [thing["unit"] for thing in said if thing.get("prompt") == "tighten"]

    def test_an_answer_of_several_parts_is_asked_part_by_part(self, book: Path) -> None:
        """Number, then unit: the same prompt twice, the second time naming the part, and one line stored."""
        said = objects(book, "cover", "--as", "Ines", lines=["1", "30", "1"])

        asked = [(t["prompt"], t["part"]) for t in said if t.get("prompt") == "set_tool"]
        assert [("set_tool", None), ("set_tool", "unit")] == asked
        assert 1 == len([line for line in daybook(book) if line["event"] == "tool_set"])

    def test_stored_is_the_number_of_the_line(self, book: Path) -> None:
        """An acknowledgement is the line's number, and stands before the next question."""
        said = objects(book, "cover", "--as", "Ines", lines=["1"])

        assert [{"stored": 2}] == [thing for thing in said if "stored" in thing][:1]
        assert 2 == daybook(book)[1]["seq"]

    def test_the_last_object_tells_the_outcome(self, book: Path) -> None:
        """Done, or over for today: the last object says how and which run."""
        done = objects(book, "cover", "--as", "Ines", lines=["1", "30", "1", "+", "+", "+", "+", "1", "1", "1"])
        paused = objects(book, "cover", "--as", "Ines", lines=["1"])

        assert ["done", "paused"] == [done[-1]["finished"], paused[-1]["finished"]]
        assert [True, True] == [(book / "runs" / said[-1]["run"]).is_dir() for said in (done, paused)]

    def test_before_a_run_exists_questions_store_nothing(self, book: Path) -> None:
        """Who and which joint are asked first; leaving there leaves no run."""
        said = objects(book, "flange", lines=["2"])

        assert [("before_run", "who"), ("before_run", "joint")] == [(t["prompt"], t["part"]) for t in said]
        assert [] == [path for path in (book / "runs").iterdir() if not path.name.startswith(".")]

    def test_a_wait_says_since_and_how_long(self, book: Path) -> None:
        """A script can reckon when a wait is over."""
        look = 'do = "inspect"\nask = "Gasket evenly squeezed?"'
        waiting = COVER.replace(look, 'do = "wait"\nfor = "10 min"\nsince = "last pull"')
        own(book, "waiting", waiting)

        said = objects(book, "waiting", "--as", "Ines", lines=["1", "30", "1", "+", "+", "+", "+", "+"])

        wait = next(thing for thing in said if thing.get("prompt") == "wait")
        assert (600.0, daybook(book)[-2]["at"]) == (wait["lasts"], wait["since"])
        over = datetime.fromisoformat(wait["since"]) + timedelta(minutes=10)
        assert f"Wait until {over.astimezone():%H:%M:%S}." in [thing.get("refused") for thing in said]

    def test_talk_stays_out_of_the_objects(self, book: Path) -> None:
        """Help is talk: it goes to standard error, and the question is asked again."""
        _, out, talk = walked(book, "cover", "--as", "Ines", "--json", lines=["?"])

        said = [json.loads(line) for line in out.splitlines()]
        assert ["take_tool", "take_tool"] == [thing["prompt"] for thing in said if "prompt" in thing]
        assert [("stored", 2), ("finished", "paused")] == [next(iter(t.items())) for t in said if "prompt" not in t]
        assert "an act is done" in talk

    def test_lines_that_cannot_be_read_are_refused(self, book: Path) -> None:
        """Bytes that are no text, control and turning signs, endless lines: a sentence, and the question stands."""
        unreadable = [b"\xff\xfe", b"\x00", b"a\x1b[2Jb", b"9" * 200_000, "\u202e1".encode()]
        program = started(book, "cover", "--as", "Ines", "--json")

        out, talk = program.communicate(b"".join(line + b"\n" for line in unreadable), timeout=60)

        said = [next(iter(json.loads(each))) for each in out.splitlines()]
        assert ["prompt", "refused"] * len(unreadable) + ["prompt", "stored", "finished"] == said
        assert b"Traceback" not in talk


class TestOnATerminal:
    """At a real terminal, haste and habit pass nothing."""

    @pytest.fixture
    def terminal(self, book: Path) -> Iterator[pexpect.spawn]:
        """The program on a terminal of its own, waiting at its first question."""
        arguments = ["-m", "clampbook.cli", "walk", "cover", "--plain", "--as", "Ines", "--book", str(book)]
        program = pexpect.spawn(sys.executable, arguments, encoding="utf-8", dimensions=(24, 80), timeout=20)
        program.expect_exact("> ")
        yield program
        program.close(force=True)

    def test_what_was_typed_ahead_is_thrown_away(self, terminal: pexpect.spawn, book: Path) -> None:
        """Four lines at once answer one question; the others never reach the next."""
        terminal.send("1\n30\n1\n+\n")

        terminal.expect_exact("Type what its scale shows")
        terminal.expect_exact("> ")
        terminal.sendintr()
        terminal.expect(pexpect.EOF)

        assert ["opened", "tool_taken", "paused"] == [line["event"] for line in daybook(book)]

    def test_a_release_quicker_than_a_slow_pull_does_not_count(self, terminal: pexpect.spawn, book: Path) -> None:
        """A bouncing key right after the question is refused, and Ctrl-C ends with status 130."""
        for line in ("1", "30", "1", "+"):
            terminal.sendline(line)
            terminal.expect_exact("> ")

        assert "Too soon for a slow pull" in terminal.before
        terminal.sendintr()
        terminal.expect(pexpect.EOF)
        terminal.close()
        assert (130, "paused") == (terminal.exitstatus, daybook(book)[-1]["event"])


class TestClock:
    """For scripts the clock is handed in, and the run says so."""

    def test_it_goes_on_by_so_much_an_answer(self, book: Path) -> None:
        """Three seconds an answer, nothing between."""
        walked(book, "cover", "--as", "Ines", lines=["1", "30", "1", "+"])

        times = [line["at"][11:19] for line in daybook(book)]
        assert ["09:00:00", "09:00:03", "09:00:09", "09:00:12", "09:00:12"] == times
        assert "handed in" == daybook(book)[0]["clock"]

    def test_a_setting_that_is_no_time_is_refused(self, book: Path) -> None:
        """The sentence says what would be a time."""
        status, _, talk = walked(book, "cover", "--as", "Ines", lines=[], CLAMPBOOK_CLOCK="noon")

        assert 2 == status
        assert "write a time with its zone, such as 2026-03-02T09:00:00Z" in talk
