"""Points that lie too far apart: what the record, the report and the CSV say of a value that is within its window."""

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
from clampbook.record.pages.marks import sign, state
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from walks import Files, frozen, of_sheet

TENSIONED = "20260302-tensioner-k7q2m4xa"
TENSIONER = """\
format = 2
title = "Flywheel studs, tensioner · Whinchat"
revision = "A"
source = "Workshop sheet 64 (invented), looked up on 2026-03-02"
cautions = ["Sample values: invented, they fit no real machine."]
unit = "N·m"

[[group]]
name = "Studs"
positions = "1-2"

[[stage]]
do = "measure"
group = "Studs"
what = "Pressure"
unit = "bar"
asked = "{asked}"
at = ["pump", "manifold"]
between = ["300 bar", "320 bar"]
spread = "8 bar"

[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
"""


class Tensioned:
    """A walk of the sheet of the tensioner, up to its first pressure."""

    def __init__(self, tmp_path: Path, asked: str = "once") -> None:
        sheet = tmp_path / "tensioner.toml"
        sheet.write_text(TENSIONER.format(asked=asked), "utf-8")
        self.bench: Bench
        self.bench, self._procedure = of_sheet(sheet)
        while not isinstance(self.bench.prompt, ask.Measure):
            self.bench.answer(self.bench.steady())

    def shows(self, *bar: str) -> Tensioned:
        """What the gauge showed at one point after the other."""
        for each in bar:
            self.bench.answer(a.Value(each))
        return self

    @property
    def files(self) -> Files:
        """The files of the run as it stands."""
        return frozen(self.bench, self._procedure)

    @property
    def record(self) -> dict[str, Any]:
        """What is recorded of it."""
        return tomllib.loads(build(*self.files).decode())

    @property
    def judged(self) -> list[tuple[str, str | None, str | None]]:
        """Value, outcome and verdict of each pressure in the record; None where no word is there."""
        rows = (row for row in self.record["reading"] if row["kind"] == "measurement")
        return [(row["value"], row.get("outcome"), row.get("verdict")) for row in rows]

    @property
    def departed(self) -> list[tuple[str, str | None]]:
        """Each deviation, with what was said of the value before."""
        return [(each["kind"], each.get("verdict")) for row in self.record["deviation"] for each in row["departed"]]


def test_a_value_within_its_window_is_never_over(tmp_path: Path) -> None:
    """320 and 305 bar in a window of 300 to 320 bar, 15 bar apart where 8 are allowed."""
    run = Tensioned(tmp_path).shows("320", "305")

    assert [("320", "within", None), ("305", "too far apart", "within")] == run.judged
    assert [("spread", None)] == run.departed


@pytest.mark.parametrize(("bar", "said"), [("290", "under"), ("330", "over")])
def test_a_value_outside_its_window_is_what_it_is(tmp_path: Path, bar: str, said: str) -> None:
    """However far from the other point."""
    run = Tensioned(tmp_path).shows("310", bar)

    assert (bar, said, None) == run.judged[-1]


def test_points_close_together_are_within(tmp_path: Path) -> None:
    """8 bar apart is what is allowed."""
    assert ("312", "within", None) == Tensioned(tmp_path).shows("320", "312").judged[-1]


def test_accepted_by_concession_the_value_is_still_within(tmp_path: Path) -> None:
    """It is the distance that was accepted."""
    run = Tensioned(tmp_path).shows("320", "305")
    run.bench.answer(a.Resolve("concession", person=OKKE, reason="the hose is long"))

    assert ("305", "by concession", "within") == run.judged[-1]


def test_put_right_into_its_window_it_may_still_lie_too_far_off(tmp_path: Path) -> None:
    """350 bar was 305, and 15 bar from the other."""
    run = Tensioned(tmp_path).shows("320", "350")
    run.bench.answer(a.Correct("305", "from a second look"))

    assert ("305", "too far apart", "within") == run.judged[-1]
    assert ("corrected into its window", "over") in run.departed
    assert ("spread", None) in run.departed


def test_put_right_to_lie_close_it_was_never_outside_its_window(tmp_path: Path) -> None:
    """305 bar was 315: a deviation all the same, and what was wrong before is said."""
    run = Tensioned(tmp_path).shows("320", "305")
    run.bench.answer(a.Correct("315", "from a second look"))

    assert ("315", "within", None) == run.judged[-1]
    assert [("spread", None), ("corrected", "too far apart")] == run.departed


@pytest.mark.parametrize("asked", ["once", "each"])
def test_put_right_at_another_point_nothing_is_said_of_the_last_one(tmp_path: Path, asked: str) -> None:
    """305 bar at the pump was 315: the manifold, measured last, never was what was wrong."""
    run = Tensioned(tmp_path, asked).shows("305", "318")
    run.bench.answer(a.Correct("315", "the tool still shows it", of=run.bench.events[-2].seq))

    (row,) = run.record["deviation"]

    assert [("305", "within", None), ("318", "within", None), ("315", "within", None)] == run.judged
    assert [("corrected", "too far apart")] == run.departed
    assert ("pump", "305", "315") == (row["point"], row["departed"][0]["typed"], row["departed"][0]["to"])


def test_put_right_at_another_point_and_still_too_far_it_is_said_of_that_one(tmp_path: Path) -> None:
    """305 bar was 307, and 11 bar from the other."""
    run = Tensioned(tmp_path).shows("305", "318")
    run.bench.answer(a.Correct("307", "the tool still shows it", of=run.bench.events[-2].seq))

    (row,) = run.record["deviation"]

    assert [("318", "within", None), ("307", "too far apart", "within")] == run.judged[1:]
    assert ("pump", [("spread", "11")]) == (row["point"], [(each["kind"], each["spread"]) for each in row["departed"]])


def test_put_right_after_it_was_measured_again_the_first_time_stays_as_it_was(tmp_path: Path) -> None:
    """13 bar apart, measured again, then 304 bar at the pump was 314."""
    run = Tensioned(tmp_path).shows("305", "318")
    run.bench.answer(a.Resolve("measure all points again"))
    run.shows("304", "318")
    run.bench.answer(a.Correct("314", "the tool still shows it", of=run.bench.events[-2].seq))

    assert ["too far apart", "within"] == [said for value, said, _ in run.judged if value == "318"]
    assert [("spread", None), ("corrected", "too far apart")] == run.departed


def test_a_group_counts_it_by_itself(tmp_path: Path) -> None:
    """Neither among those within nor among those over."""
    run = Tensioned(tmp_path, "each").shows("320", "305")

    (found,) = run.record["group"][0]["stage"]

    assert (1, 1) == (found["within"], found["too_far_apart"])
    assert "over" not in found


def test_its_bolt_is_not_done_and_has_the_mark_for_wrong(tmp_path: Path) -> None:
    """As long as nobody decided."""
    run = Tensioned(tmp_path, "each").shows("320", "305")

    bolt = next(row for row in run.record["position"] if row["position"] == "1")

    assert "started" == bolt["state"]
    assert ["within", "too far apart", "to do"] == list(bolt["outcome"].values())
    assert "!" == sign(state(bolt["state"], bolt["outcome"]))


def test_the_csv_says_the_same(tmp_path: Path) -> None:
    """In its column of outcomes."""
    book = made(tmp_path / "book")
    a_record(book, TENSIONED, build(*Tensioned(tmp_path).shows("320", "305").files).decode())

    with Archive(book.root) as archive:
        archive.refresh()
        lines = archive.asked(lambda found: "".join(as_csv(readings(found, Query(), [TENSIONED]))))

    found = [(row["value"], row["outcome"]) for row in csv.DictReader(StringIO(lines, newline=""))]
    assert [("320", "within"), ("305", "too far apart")] == found
