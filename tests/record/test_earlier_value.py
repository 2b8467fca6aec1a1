"""A free length that was mistyped and put right: what the record, the report and the CSV say of the stretch."""

from __future__ import annotations

import csv
import tomllib
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from archive.book_of_records import a_record, made
from bench import OKKE, Bench
from clampbook.archive.finding import Query
from clampbook.archive.index import Archive
from clampbook.archive.readings import as_csv, readings
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from walks import Files, frozen, of_sheet

STRETCHED = "20260302-caps-k7q2m4xa"
CAPS = """\
format = 2
title = "Big end caps by stretch · Whinchat"
revision = "A"
source = "Workshop sheet 66 (invented), looked up on 2026-03-02"
cautions = ["Sample values: invented, they fit no real machine."]
unit = "N·m"

[[group]]
name = "Cap bolts"
positions = "1-2"
thread = "M10x1.25"
property_class = "12.9"
friction = { thread = [0.10, 0.14], head = [0.10, 0.14] }
lubrication = "engine oil on thread and under head"
grip = "70 mm"
clamped = ["70 mm steel"]
into = "steel"
fastener = "use again"

[[stage]]
do = "measure"
id = "free"
group = "Cap bolts"
what = "Free length"
unit = "mm"
asked = "each"

[[stage]]
do = "tighten"
to = "35 N·m"
within = "±2 N·m"

[[stage]]
do = "measure"
group = "Cap bolts"
what = "Length when tight"
asked = "each"
minus = "free"
between = ["0.13 mm", "0.18 mm"]
"""


@pytest.fixture
def files(tmp_path: Path) -> Files:
    """Bolt 2 was 84.98 mm, typed 84.89, and 85.13 when tight: put right while its stretch was asked about."""
    sheet = tmp_path / "caps.toml"
    sheet.write_text(CAPS, "utf-8")
    run, procedure = of_sheet(sheet)
    _lengths(run, "85.00", "84.89")
    _lengths(run, "85.16", "85.13")
    assert isinstance(run.prompt, ask.Decide)
    mistyped = next(each for each in run.events if isinstance(each, e.Measured) and each.value == "84.89")
    assert isinstance(run.answer(a.Correct("84.98", "a second person saw it", mistyped.seq, OKKE)), Accepted)
    run.steadily()
    return frozen(run, procedure)


def _lengths(run: Bench, *millimetres: str) -> None:
    while not isinstance(run.prompt, ask.Measure):
        run.answer(run.steady())
    for each in millimetres:
        run.answer(a.Value(each))


@pytest.fixture
def record(files: Files) -> dict[str, Any]:
    """What is recorded of it."""
    return tomllib.loads(build(*files).decode())


def test_the_stretch_stands_as_it_is_by_the_true_free_length(record: dict[str, Any]) -> None:
    """85.13 less 84.89 was 0.24 mm, over; less 84.98 it is 0.15 mm, within, and that counts."""
    rows = [row for row in record["reading"] if row["kind"] == "measurement" and row["position"] == "2"]

    told = [(row["value"], row["result"], row["outcome"], row["standing"]) for row in rows]
    assert ("84.89", "84.89", "not judged", "corrected") == told[0]
    assert ("85.13", "0.24", "over", "corrected") == told[1]
    assert ("84.98", "84.98", "not judged", "counts") == told[2]
    assert ("85.13", "0.15", "within", "counts") == told[3]
    assert [rows[0]["line"], rows[1]["line"]] == [rows[2]["corrects"], rows[3]["corrects"]]


def test_the_deviation_tells_both_stretches_and_who_saw_it(record: dict[str, Any]) -> None:
    """It came into its window by a correction."""
    departed = [each for row in record["deviation"] for each in row["departed"]]
    (said,) = (each for each in departed if each["kind"] == "corrected into its window")

    assert ("0.24", "over", "0.15", "mm") == (said["typed"], said["verdict"], said["to"], said["unit"])
    assert OKKE.name == said["person_name"]


def test_the_clamp_load_is_that_of_the_true_stretch(record: dict[str, Any]) -> None:
    """Bolt 2 was stretched by 0.15 mm and bolt 1 by 0.16, so it has fifteen sixteenths of its load."""
    loads = {each["position"]: each for each in record["clamp_load"][-1]["at"]}

    assert ["stretch", "stretch"] == [each["out_of"] for each in loads.values()]
    assert float(loads["2"]["likely"]) / float(loads["1"]["likely"]) == pytest.approx(15 / 16, rel=0.01)


def test_the_csv_says_the_same(tmp_path: Path, files: Files) -> None:
    """The difference by the mistyped length is not among those that count."""
    book = made(tmp_path / "book")
    a_record(book, STRETCHED, build(*files).decode())

    with Archive(book.root) as archive:
        archive.refresh()
        lines = archive.asked(lambda found: "".join(as_csv(readings(found, Query(), [STRETCHED]))))

    rows = [row for row in csv.DictReader(StringIO(lines, newline="")) if row["value"] == "85.13"]
    assert [("over", "corrected"), ("within", "counts")] == [(row["outcome"], row["standing"]) for row in rows]
