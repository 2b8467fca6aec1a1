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
from clampbook.record.pages.departed import words
from clampbook.record.pages.panels import of_readings
from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.plan import decode
from clampbook.run.questions.mistyped import value_put_right
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


def telling(files: Files, record: dict[str, Any]) -> Telling:
    """The words of its report."""
    plan = decode(files[1])
    return Telling(record, numbered=plan.numbered, stages=plan.stages)


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


def test_the_report_names_the_length_that_was_put_right(files: Files, record: dict[str, Any]) -> None:
    """The stretch is another one because the free length is."""
    (said,) = (words(telling(files, record), row) for row in record["deviation"] if "into its window" in str(row))

    assert said.startswith("corrected into its window: 0.24 mm (over) to 0.15 mm, a second person saw it")
    assert said.endswith(": Free length 84.89 mm to 84.98 mm")


def test_the_report_shows_it_when_it_was_measured(files: Files, record: dict[str, Any]) -> None:
    """Not when it was put right; the line of the correction stands beside it."""
    rows = [row for row in record["reading"] if row["kind"] == "measurement" and row["standing"] == "counts"]
    lengths = [row for row in rows if row["stage"] == 1]
    mistyped = next(row for row in record["reading"] if row.get("value") == "84.89")

    made = {row["position"]: row["at"] for row in telling(files, record).when_made(lengths)}
    shown = str(of_readings(telling(files, record), lengths, None))

    assert mistyped["at"] == made["2"] != next(row["at"] for row in lengths if row["position"] == "2")
    assert f"line {next(row['line'] for row in lengths if row['position'] == '2')}" in shown


def test_a_free_length_is_not_looked_at_again_while_the_bolt_is_tight(tmp_path: Path) -> None:
    """A second look is at a length that can be measured now."""
    sheet = tmp_path / "tight.toml"
    sheet.write_text(CAPS, "utf-8")
    run, _ = of_sheet(sheet)
    _lengths(run, "85.00", "84.89")
    _lengths(run, "85.16", "85.13")
    prompt = run.prompt
    assert isinstance(prompt, ask.Decide)

    draft = Draft("begun", (("which", "before"), ("value", "84.98"), ("again", "84.98")))
    part = value_put_right(prompt, run.session, draft)

    assert isinstance(part, Part)
    assert ["a second person saw it", "from memory"] == [each.text for each in part.choices]


def test_the_csv_has_it_at_the_time_of_its_measurement(tmp_path: Path, files: Files) -> None:
    """Free length and stretch both, whenever the mistyped one was put right."""
    book = made(tmp_path / "book")
    a_record(book, STRETCHED, build(*files).decode())

    with Archive(book.root) as archive:
        archive.refresh()
        lines = archive.asked(lambda found: "".join(as_csv(readings(found, Query(), [STRETCHED]))))

    rows = list(csv.DictReader(StringIO(lines, newline="")))
    times = {value: {row["time"] for row in rows if row["value"] == value} for value in ("84.89", "84.98", "85.13")}
    assert times["84.89"] == times["84.98"]
    assert [1, 1] == [len(times["84.98"]), len(times["85.13"])]
    assert times["84.98"] != times["85.13"]


def test_the_csv_says_the_same(tmp_path: Path, files: Files) -> None:
    """The difference by the mistyped length is not among those that count."""
    book = made(tmp_path / "book")
    a_record(book, STRETCHED, build(*files).decode())

    with Archive(book.root) as archive:
        archive.refresh()
        lines = archive.asked(lambda found: "".join(as_csv(readings(found, Query(), [STRETCHED]))))

    rows = [row for row in csv.DictReader(StringIO(lines, newline="")) if row["value"] == "85.13"]
    assert [("over", "corrected"), ("within", "counts")] == [(row["outcome"], row["standing"]) for row in rows]
