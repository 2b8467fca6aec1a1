"""`suit`: which tool of a book suits which stage of a procedure, and why."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from clampbook import cli, demo
from clampbook.book.book import TOOLS, Book
from museum import museum

from . import saying
from .saying import Captured

SHEET = """\
format = 2
title = "Bracket"
revision = "A"
unit = "N·m"

[[group]]
name = "Bolts"
positions = "1-2"

[[stage]]
do = "tighten"
to = "60 N·m"
within = "±4 N·m"

[[stage]]
do = "turn"
by = "90°"
within = "+4° −0°"
"""


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """The demo book as it was made on the 2nd of March 2026, and a sheet beside it."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z")
    (tmp_path / "bracket.toml").write_text(SHEET, encoding="utf-8")
    return museum(tmp_path / "book")


def said(capsys: Captured, book: Book, *arguments: str) -> tuple[int, str, str]:
    """Exit status, output and talk of `match` with these arguments."""
    return saying.said(capsys, "match", *arguments, "--book", str(book.root))


def sheet(book: Book) -> str:
    """The sheet beside the book."""
    return str(book.root.parent / "bracket.toml")


def test_each_stage_has_its_tools_best_first(capsys: Captured, book: Book) -> None:
    """W2 and W5 suit, W7 is past its calibration, W1 is too small, W9 too large; a gauge for the turn."""
    status, out, _ = said(capsys, book, sheet(book), "--json")
    stages = json.loads(out)["stages"]

    assert 0 == status
    assert [(1, "tighten"), (2, "turn")] == [(each["stage"], each["what"]) for each in stages]
    assert [("w2", True), ("w5", True), ("w7", False), ("w1", False), ("w9", False), ("g1", False)] == [
        (each["tool"], each["suitable"]) for each in stages[0]["ranking"]
    ]
    assert "calibration overdue since 2026-02-01" in stages[0]["ranking"][2]["reason"]
    assert "starts at 200 N·m" == stages[0]["ranking"][4]["reason"]
    assert {"value": 60.0, "unit": "N·m"} == stages[0]["target"]
    assert "g1" == stages[1]["ranking"][0]["tool"]


def test_in_words(capsys: Captured, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line a stage, a line a tool with its figures, where the terminal is wide enough."""
    monkeypatch.setenv("COLUMNS", "400")
    _, out, _ = said(capsys, book, sheet(book))

    lines = out.splitlines()
    assert "Stage 1: tighten, Bolts, 60 N·m (56.0 to 64.0 N·m)" == lines[0]
    assert "  W2     suits" == lines[1]
    assert lines[2].startswith("         set to 44.3 lbf·ft")
    assert "may be off by 2.40 N·m (±4 %), the window leaves 3.94 N·m, 1.6 times that" in lines[3]
    assert "         not a torque tool" == lines[lines.index("  G1     cannot") + 1]


def test_a_procedure_of_the_book_by_its_name(capsys: Captured, book: Book) -> None:
    """What has none in reserve stands below."""
    _, out, _ = said(capsys, book, demo.HEAD)

    assert out.endswith(
        "Only W1 suits stage 2. There is no spare.\nOnly W5 suits stage 5 (final torque). There is no spare.\n"
    )


def test_a_stage_that_no_tool_can_hold_is_something_to_look_at(capsys: Captured, book: Book) -> None:
    """Status 1, and a sentence."""
    Path(sheet(book)).write_text(SHEET.replace("60 N·m", "150 N·m"), encoding="utf-8")

    status, out, _ = said(capsys, book, sheet(book))

    assert 1 == status
    assert "No tool suits stage 1 (146 to 154 N·m). Add one first.\n" in out


def test_tools_that_cannot_be_read(capsys: Captured, book: Book) -> None:
    """Status 2 and all their faults."""
    path = book.path(TOOLS)
    path.write_text(path.read_text(encoding="utf-8").replace('"40 N·m"', '"40"'), encoding="utf-8")

    status, out, talk = said(capsys, book, sheet(book))

    assert (2, "") == (status, out)
    assert "tools.toml line 9, E201" in talk


def test_a_sheet_that_is_not_there(capsys: Captured, book: Book) -> None:
    """Status 2 and what there is."""
    status, _, talk = said(capsys, book, "no-such-sheet")

    assert 2 == status
    assert demo.HEAD in talk


def test_steps_and_blank_sheet_of_a_procedure_of_the_book(capsys: Captured, book: Book, tmp_path: Path) -> None:
    """With --book it is named as in a walk; another name is told with those that there are."""
    whole = ["--book", str(book.root)]
    own = str(book.path("procedures", f"{demo.HEAD}.toml"))

    assert (0, 0) == (cli.status(["plan", own]), cli.status(["plan", demo.HEAD, *whole]))
    out = capsys.readouterr().out
    assert out[: len(out) // 2] == out[len(out) // 2 :]
    assert 0 == cli.status([*whole, "plan", demo.HEAD])
    assert out == capsys.readouterr().out * 2
    assert 0 == cli.status(["form", demo.HEAD, *whole, "--into", str(tmp_path / "blank.pdf")])
    assert (tmp_path / "blank.pdf").read_bytes().startswith(b"%PDF")
    assert 2 == cli.status(["plan", "keel", *whole])
    assert "Give the path of a file, or one of" in capsys.readouterr().err


NUTS = (
    SHEET.replace('unit = "N·m"\n', 'unit = "N·m"\naccept = "guarded"\n')
    .replace(
        'positions = "1-2"\n',
        'positions = "1-2"\nprevailing = "measure"\nprevailing_rule = "always"\nprevailing_least = "2 N·m"\n',
    )
    .replace("±4 N·m", "±3 N·m")
)


def test_guarded_locking_nuts(capsys: Captured, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the walk judges by is shown: with the least prevailing torque, 62 N·m from 59 to 65; a tool that reads must
    lie inside by twice 2.3094 % of what it stops at (± 4 % as a rectangle), 2.87 N·m."""
    monkeypatch.setenv("COLUMNS", "900")
    Path(sheet(book)).write_text(NUTS, encoding="utf-8")
    _, out, _ = said(capsys, book, sheet(book))

    told = out.splitlines()
    pull = next(at for at, line in enumerate(told) if line.startswith("Stage 1: tighten"))
    w5 = next(at for at, line in enumerate(told) if at > pull and line.startswith("  W5"))
    reads = "\n".join(told[w5 : w5 + 8])
    assert told[pull].startswith(
        "Stage 1: tighten, Bolts, 62 N·m (59.0 to 65.0 N·m), with 2 N·m of prevailing torque, less"
    )
    assert "must show 61.87 to 62.13 N·m (narrowed window)" in reads
    assert "of prevailing torque, its uncertainty uses up the window" in reads


def test_of_tools_whose_scale_starts_too_high_the_lowest_comes_first(
    capsys: Captured, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    """W5 reads from 13.6 N·m on; W8, later in the file, from 5 N·m: that is said, and W8 is first."""
    monkeypatch.setenv("COLUMNS", "900")
    Path(sheet(book)).write_text(NUTS, encoding="utf-8")
    low = '\n[[tool]]\nid = "w8"\nname = "W8"\nkind = "indicating"\niso_6789 = "I C"\nunit = "N·m"\n'
    low += 'range = ["5 N·m", "80 N·m"]\nresolution = "0.1 N·m"\n'
    path = book.path(TOOLS)
    path.write_text(path.read_text(encoding="utf-8") + low, encoding="utf-8")

    _, out, _ = said(capsys, book, sheet(book))

    assert ["  W8     suits from 5 N·m", "  W5     suits from 13.6 N·m"] == [
        line for line in out.splitlines() if line.startswith("  W") and "suits from" in line
    ]
    assert "No tool for stage 1 (prevailing torque) shows less than 5 N·m." in out


def test_of_several_joints_alike_stages_are_matched_once(capsys: Captured, book: Book) -> None:
    """Two tightenings of six injectors are two blocks."""
    injectors = str(Path(__file__).parents[1] / "injectors.toml")
    out = said(capsys, book, injectors)[1]
    stages = json.loads(said(capsys, book, injectors, "--json")[1])["stages"]

    heads = [line for line in out.splitlines() if line.startswith("Stage")]
    assert [
        "Stage 1 at each of 6 joints: tighten, Clamp bolts, 12 N·m (10.0 to 14.0 N·m)",
        "Stage 3 at each of 6 joints: tighten, Clamp bolts, 20 N·m (18.0 to 22.0 N·m)",
    ] == heads
    assert [(1, 6, "Clamp bolts", 12), (3, 6, "Clamp bolts", 12)] == [
        (each["stage"], each["joints"], each["group"], len(each["positions"])) for each in stages
    ]
