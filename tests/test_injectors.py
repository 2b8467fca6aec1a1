"""Six injectors in one run, in both orders, from one procedure to the sealed record and all that reads it."""

from __future__ import annotations

import csv
import json
import tomllib
from io import StringIO
from pathlib import Path

import pypdf
import pytest

from clampbook import cli
from line_by_line import printed
from museum import museum, own

INJECTORS = (Path(__file__).parent / "injectors.toml").read_text(encoding="utf-8")
CLOCK = "2026-03-02T12:00:00Z+130s"  # each answer takes longer than the wait of 2 min, and less than a pause
BEGUN = ["+", "6", "+", "1"]  # cautions, six washers, prepared, W1
ENDED = ["0", "+", "1"]  # no washer left, W1 wound down, closed
UNIT = "1"  # N·m, asked for with the first number
SNUG, TIGHT = "12", "20"


def in_turn(injectors: int = 6) -> list[str]:
    """One after the other: both bolts snug, the wait, both tight, and a look."""
    first, rest = [SNUG, UNIT], [SNUG]
    return [
        line
        for injector in range(injectors)
        for line in (*(rest if injector else first), "+", "+", "+", TIGHT, "+", "+", "1")
    ]


def interleaved() -> list[str]:
    """Twelve bolts snug, one wait, twelve bolts tight, six looks."""
    return [SNUG, UNIT, *["+"] * 12, "+", TIGHT, *["+"] * 12, *["1"] * 6]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book with this procedure in both orders."""
    museum(tmp_path / "book")
    own(tmp_path / "book", "injectors", INJECTORS)
    own(tmp_path / "book", "interleaved", INJECTORS.replace("count = 6", 'count = 6\nwalk = "interleaved"'))
    return tmp_path / "book"


def said(book: Path, *words: str, lines: list[str] | None = None) -> str:
    """The output of a command after these lines."""
    return printed(CLOCK, book, *words, lines=lines)


def walked(book: Path, name: str, lines: list[str], *more: str) -> str:
    """The walk line by line, in one line; where none is named all joints are done, which Enter says."""
    asked = [] if "--only" in more else [""]
    return " ".join(said(book, "walk", name, *more, "--plain", "--as", "Ines", lines=[*asked, *lines]).split())


def folder_of(book: Path, name: str) -> Path:
    """The one run of a procedure."""
    (folder,) = (book / "runs").glob(f"*-{name}-*")
    return folder


def test_whoever_is_named_is_asked_which_joints_are_done(book: Path) -> None:
    """As at the bench. A script with objects, whose questions are all its own, says it with --only."""
    at_the_bench = said(book, "walk", "injectors", "--plain", "--as", "Ines", lines=["2, 5"])
    plan = json.loads((folder_of(book, "injectors") / "plan.json").read_text(encoding="utf-8"))
    script = said(book, "walk", "injectors", "--json", "--as", "Ines", lines=[])

    assert "Which joints today? Press Enter for all." in at_the_bench
    assert {"Injector 2 clamp bolts", "Injector 5 clamp bolts"} == {each["name"] for each in plan["groups"]}
    assert "Which joints" not in script


@pytest.mark.parametrize(("name", "lines"), [("injectors", in_turn()), ("interleaved", interleaved())])
def test_all_six_are_walked_and_sealed(book: Path, name: str, lines: list[str]) -> None:
    """Every bolt of every injector is named at its pull and in the record, whatever the order."""
    told = walked(book, name, [*BEGUN, *lines, *ENDED])
    folder = folder_of(book, name)
    record = tomllib.loads((folder / "record.toml").read_text(encoding="utf-8"))

    assert "Injector 6 clamp bolt 2: pull W1 slowly to one click." in told
    assert "Injector 3: leak-off pipe free?" in told
    assert ("done", 0) == (record["outcome"], record["deviations"])
    assert [f"Injector {number}" for number in range(1, 7)] == record["joints"]
    assert 24 == len(record["reading"])
    assert all(row["joint"] == f"Injector {row['position'][0]}" for row in record["reading"])
    assert {"done"} == {row["state"] for row in record["position"]}
    assert f"{folder.name}: sealed, intact" in said(book, "verify", folder.name)


def test_the_checklist_is_asked_once(book: Path) -> None:
    """Six injectors have one caution to read, one count and one line of preparation."""
    told = walked(book, "injectors", [*BEGUN, *in_turn(), *ENDED])

    for once in ("Read the cautions.", "Clamp bolts: do all of this first.", "Sealing washer: how many? 6 needed"):
        assert 1 == told.count(once)


def test_interleaved_waits_once_and_in_turn_six_times(book: Path) -> None:
    """One wait for all, or one at each."""
    turns = walked(book, "injectors", [*BEGUN, *in_turn(), *ENDED])
    inter = walked(book, "interleaved", [*BEGUN, *interleaved(), *ENDED])

    assert (6, 1) == (turns.count("Waited 2 min."), inter.count("Waited 2 min."))


def test_a_deviation_names_its_injector(book: Path) -> None:
    """A bad pull at injector 2 stands in the record and on the report under its name."""
    lines = [*BEGUN, *in_turn(1), SNUG, "-", "1", "-", "1", "agreed", *["+"] * 3]
    walked(book, "injectors", lines)
    folder = folder_of(book, "injectors")
    said(book, "report", folder.name, "--into", str(book / "report.pdf"))
    report = " ".join(page.extract_text() for page in pypdf.PdfReader(book / "report.pdf").pages)

    assert "Injector 2 clamp bolt 1, stage\u00a01" in report.replace("\n", " ").replace("stage 1", "stage\u00a01")


def test_csv_and_find_have_the_injector(book: Path) -> None:
    """Each reading in its row has the group that names its joint, and a run is found by it."""
    walked(book, "injectors", [*BEGUN, *in_turn(), *ENDED])
    rows = list(csv.DictReader(StringIO(said(book, "export", "--csv", "--clicks"))))

    assert ("Injector 1 clamp bolts", "1") == (rows[0]["group"], rows[0]["position"])
    assert ("Injector 6 clamp bolts", "2") == (rows[-1]["group"], rows[-1]["position"])
    assert folder_of(book, "injectors").name in said(book, "find", "Injector 4")


def test_a_script_is_told_the_joint(book: Path) -> None:
    """As JSON a prompt has its joint, and its position is the one in the plan."""
    out = said(book, "walk", "injectors", "--json", "--as", "Ines", lines=[*BEGUN, SNUG, UNIT])

    told, _ = json.JSONDecoder().raw_decode(out[out.index('{"prompt":"tighten"') :])
    assert ("Injector 1", "1:1", "1.1/1:1") == (told["joint"], told["position"], told["id"])


def test_the_paper_form_has_a_block_for_each_injector(book: Path, tmp_path: Path) -> None:
    """The picture, the caution and the preparation stand there once."""
    said(book, "form", "injectors", "--into", str(tmp_path / "form.pdf"))
    form = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(tmp_path / "form.pdf").pages)

    for number in range(1, 7):
        assert 1 == form.count(f"Injector {number} 1 · 1 reading")
    assert "Sealing washer: count, 6 needed" in form
    assert 1 == form.count("Bore and seat clean, new washer in.")
    assert "The same at each of the 6 joints." in form


def test_the_review_reads_one_injector(book: Path) -> None:
    """A query about the clamp bolts is one query, not six."""
    own(book, "doubtful", INJECTORS.replace('"10.9"', '"4.6"'))
    told = said(book, "review", str(book / "procedures" / "doubtful.toml"))

    assert 1 == told.count("W401")


SOME = ["+", "2", "+", "1", *in_turn(2), *ENDED]  # two washers


class TestOnlySome:
    """Two of the six today: the others are left to another run, and every paper says so."""

    def test_the_others_are_neither_walked_nor_counted(self, book: Path) -> None:
        """Nothing of injector 3 is asked, and two washers are enough."""
        told = walked(book, "injectors", SOME, "--only", "Injector 2, 5")
        record = tomllib.loads((folder_of(book, "injectors") / "record.toml").read_text(encoding="utf-8"))

        assert "Sealing washer: how many? 2 needed" in told
        assert "Injector 5 clamp bolt 2: pull W1 slowly" in told
        assert "Injector 3" not in told
        assert (["Injector 2", "Injector 5"], "done") == (record["joints"], record["outcome"])
        assert [f"Injector {number}" for number in (1, 3, 4, 6)] == record["joints_left_out"]

    def test_the_report_says_so_in_its_headline(self, book: Path) -> None:
        """Nobody takes two injectors for six."""
        walked(book, "injectors", SOME, "--only", "2, 5")
        name = folder_of(book, "injectors").name
        said(book, "report", name, "--into", str(book / "report.pdf"))
        pages = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(book / "report.pdf").pages]

        assert "Done, no deviations, 4 joints left out" in pages[0]
        assert "Left out, not done in this run: Injector 1, Injector 3, Injector 4, Injector 6." in pages[0]
        assert f"{name}: sealed, intact" in said(book, "verify", name)

    def test_all_of_them_is_what_enter_means(self, book: Path) -> None:
        """Then nothing is left out, and nothing is said of it."""
        told = said(book, "walk", "injectors", "--plain", lines=["1", "", "+"])
        assert "Which joints today? Press Enter for all." in told
        plan = json.loads((folder_of(book, "injectors") / "plan.json").read_bytes())

        assert 6 == len(plan["several"]["joints"])
        assert "left_out" not in plan["several"]

    def test_a_joint_that_is_none_is_refused(self, book: Path) -> None:
        """Typed at the question it is asked again."""
        told = said(book, "walk", "injectors", "--plain", lines=["1", "7", "3", "+"])
        plan = json.loads((folder_of(book, "injectors") / "plan.json").read_bytes())

        assert "“7” is not a joint here." in told
        assert ["Injector 3"] == [joint["name"] for joint in plan["several"]["joints"]]

    def test_the_follow_up_is_on_the_same_ones(self, book: Path) -> None:
        """What was not done is not looked at again either."""
        later = '\n[[follow_up]]\ntitle = "Again"\nafter = "1 d"\n\n[[follow_up.stage]]\ndo = "inspect"\nask = "Dry?"\n'
        own(book, "again", INJECTORS + later)
        walked(book, "again", SOME, "--only", "2, 5")
        first = folder_of(book, "again")
        others = ["walk", "--of", first.name, "--follow-up", "Again", "--only", "3", "--book", str(book)]
        assert 2 == cli.status(others)
        again = ("--of", first.name, "--follow-up", "Again", "--plain", "--as", "Ines")
        told = said(book, "walk", *again, lines=["+", "1", "1"])
        (second,) = (folder for folder in (book / "runs").glob("*-again-*") if folder != first)
        plan = json.loads((second / "plan.json").read_bytes())

        assert "Injector 2: dry?" in told
        assert "Injector 5: dry?" in told
        assert ["Injector 2", "Injector 5"] == [joint["name"] for joint in plan["several"]["joints"]]


class TestStagesAreCountedAtEachInjector:
    """With a wrench that shows numbers: a stage has the number of the sheet wherever it is told or asked for."""

    SHEET = (
        INJECTORS.replace("12 N·m", "44 N·m").replace("20 N·m", "60 N·m").replace("±2", "±6").replace("2 min", "10 s")
    )
    W5_IN_HAND = ("+", "2", "+", "2", "1")  # cautions, two washers, prepared, W5, which reads zero
    AT_EACH = ("32.5", "33", "+", "44", "44.5", "1")  # lbf·ft, the wait in between, and a look

    def done(self, book: Path) -> None:
        """Injectors 2 and 5, four readings each."""
        own(book, "read", self.SHEET)
        lines = [*self.W5_IN_HAND, *self.AT_EACH, *self.AT_EACH, *ENDED]
        words = ("walk", "read", "--only", "2,5", "--plain", "--as", "Ines")
        assert "Run closed: done." in printed("2026-03-02T12:00:00Z+20s", book, *words, lines=lines)

    def test_a_stage_is_charted_at_every_injector(self, book: Path) -> None:
        """Stage 3 of each has two readings; there is no stage 7."""
        self.done(book)

        assert "stage 3: 4 readings in 1 run" in said(book, "trend", "--stage", "3")
        assert "stage 3.1: 4 readings in 1 run" in said(book, "trend", "--stage", "3.1")
        assert "stage 7: no readings" in said(book, "trend", "--stage", "7")

    def test_affected_work_is_told_by_the_stage_of_the_sheet(self, book: Path) -> None:
        """Both bolts of injector 5 in its stages 1 and 3."""
        self.done(book)
        told = said(book, "affected", "w5", "--deviation", "25", "--since", "2026-03-01")

        assert [
            f"position {bolt} of Injector 5 clamp bolts, stage {stage}, round 1" for stage in (1, 3) for bolt in (1, 2)
        ] == [line.strip().partition(":")[0] for line in told.splitlines() if "of Injector 5" in line]
