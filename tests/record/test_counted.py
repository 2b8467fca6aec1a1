"""A hydraulic tensioner and a frame of sixteen bolts with indicating washers, walked to their end and kept."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from bench import OKKE, Bench
from clampbook.plain.objects import asked
from clampbook.record import report
from clampbook.record.frozen import read
from clampbook.record.pages.blocks import Facts, Table
from clampbook.record.pages.pages import blocks
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.screens.asking import of_prompt
from walks import Files, frozen, of_sheet

from .flat import flat

TOP = """\
format = 2
revision = "A"
source = "Workshop sheet 63 (invented), looked up on 2026-03-02"
cautions = ["Sample values: invented, they fit no real machine."]
unit = "N·m"
"""
FRAME = f"""\
{TOP}
title = "Engine frame, indicating washers · Whinchat"

[[group]]
name = "Frame bolts"
positions = "1-16"
sequence = "numbered"

[[stage]]
do = "tighten"
to = "180 N·m"
within = "±10 N·m"

[[stage]]
do = "measure"
group = "Frame bolts"
what = "Gap of the washer"
at = "a, b, c, d, e"
at_most = "0.40 mm"
all_but = 1

[[stage]]
do = "measure"
group = "Frame bolts"
what = "Indicators that let the gauge in"
unit = "count"
at_most = 1

[[stage]]
do = "measure"
group = "Frame bolts"
what = "Threads beyond the nut"
unit = "count"
at_least = 1
"""
TENSIONER = f"""\
{TOP}
title = "Flywheel studs, tensioner · Whinchat"

[[group]]
name = "Studs"
positions = "1-4"
prevailing = "measure"
prevailing_rule = "from a third"
prevailing_least = "2 N·m"
prevailing_most = "8 N·m"

[[stage]]
do = "measure"
what = "Tensioner"
between = ["300 bar", "320 bar"]

[[stage]]
do = "tighten"
to = "60 N·m"
within = "±5 N·m"
"""


def at_the_start(folder: Path, text: str) -> tuple[Bench, bytes]:
    """A bench at the first prompt of a procedure."""
    path = folder / "sheet.toml"
    path.write_text(text, encoding="utf-8")
    return of_sheet(path)


def typed(bench: Bench, *values: str) -> None:
    """Values typed at the next measurements, whatever else is asked on the way."""
    for each in values:
        bench.steadily(ask.Measure)
        bench.answer(a.Value(each))


def ended(bench: Bench, procedure: bytes) -> tuple[Files, dict[str, Any]]:
    """The files of a run walked steadily to its end, and its record."""
    bench.steadily()
    files = frozen(bench, procedure)
    return files, tomllib.loads(build(*files).decode())


def of_kind(record: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [row for row in record["reading"] if row["kind"] == kind]


class TestFrame:
    """Sixteen bolts, each with five gaps of its washer, the indicators and the threads counted."""

    @pytest.fixture
    def bench(self, tmp_path: Path) -> tuple[Bench, bytes]:
        return at_the_start(tmp_path, FRAME)

    def test_one_wide_gap_is_no_deviation(self, bench: tuple[Bench, bytes]) -> None:
        """It stands in the record as over, with how many were outside, and the run is to the procedure."""
        typed(bench[0], "0.30", "0.50", "0.30", "0.30", "0.30")

        files, record = ended(*bench)

        gaps = [row for row in of_kind(record, "measurement") if row["step"].startswith("2.1/1")][:5]
        assert ["within", "over", "within", "within", "within"] == [row["outcome"] for row in gaps]
        assert (1, []) == (gaps[-1]["points_outside"], record.get("deviation", []))
        assert {"done"} == {row["state"] for row in record["position"]}
        assert report.make(*files, build(*files)).startswith(b"%PDF-")

    def test_two_wide_gaps_are_one(self, bench: tuple[Bench, bytes]) -> None:
        """Accepted by a second person, they stand in the record as what they are."""
        typed(bench[0], "0.50", "0.50", "0.30", "0.30", "0.30")
        bench[0].answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))

        files, record = ended(*bench)

        assert "points outside" in [each["kind"] for row in record["deviation"] for each in row["departed"]]
        assert report.make(*files, build(*files)).startswith(b"%PDF-")

    def test_a_bolt_with_two_wide_gaps_is_not_done_before_that_is_decided(self, bench: tuple[Bench, bytes]) -> None:
        """Abandoned at the question: one outside may be, two may not."""
        typed(bench[0], "0.50", "0.50", "0.30", "0.30", "0.30")
        bench[0].answer(a.GiveUp("another day"))

        procedure = bench[1]
        record = tomllib.loads(build(*frozen(bench[0], procedure)).decode())

        assert ["started", "started"] == [row["state"] for row in record["position"][:2]]

    def test_counts_are_kept_as_counts(self, bench: tuple[Bench, bytes]) -> None:
        """16 bolts, of each the indicators and the threads: whole numbers."""
        _, record = ended(*bench)

        counted = [row for row in of_kind(record, "measurement") if row["unit"] == "count"]
        assert 32 == len(counted)
        assert all(row["value"].isdecimal() and row["outcome"] == "within" for row in counted)


class TestTensioner:
    """A pressure before the pulls, and locking nuts that are read before they seat."""

    @pytest.fixture
    def bench(self, tmp_path: Path) -> tuple[Bench, bytes]:
        return at_the_start(tmp_path, TENSIONER)

    def test_pressure_and_prevailing_torque_stand_in_the_record(self, bench: tuple[Bench, bytes]) -> None:
        """4500 psi are 310 bar (6.894757 kPa each, NIST SP 811); four nuts run down between 2 and 8 N·m."""
        typed(bench[0], "4500 psi")

        files, record = ended(*bench)

        (pressure,) = of_kind(record, "measurement")
        assert ("bar", "within", Decimal("310.26")) == (
            pressure["unit"],
            pressure["outcome"],
            Decimal(pressure["value"]),
        )
        assert [("2", "8")] * 4 == [
            (row["window_from"], row["window_to"]) for row in of_kind(record, "prevailing torque")
        ]
        assert report.make(*files, build(*files)).startswith(b"%PDF-")


def test_an_unusual_count_is_wanted_once_more_without_a_unit(tmp_path: Path) -> None:
    """21 shims are typed where 12 belong: no face asks for a unit that a count has not."""
    shims = TENSIONER.replace('what = "Tensioner"', 'what = "Shims"\nunit = "count"').replace(
        '"300 bar", "320 bar"', "11, 13"
    )
    bench, _ = at_the_start(tmp_path, shims)
    bench.steadily(ask.Measure)
    bench.answer(a.Value("21"))

    assert "unit" not in asked(bench.prompt, bench.session)["text"]
    assert "counted" == of_prompt(bench.prompt, bench.session).field


CAPS = f"""\
{TOP}
title = "Cap bolts by stretch · Whinchat"

[[part]]
name = "Split pins"
record = "count"
needed = 3

[[group]]
name = "Cap bolts"
positions = "1-2"

[[stage]]
do = "measure"
group = "Cap bolts"
what = "Free length"
between = ["94.80 mm", "95.60 mm"]

[[stage]]
do = "tighten"
to = "60 N·m"
within = "±5 N·m"
"""


def test_a_length_outside_stands_on_page_one_as_it_was_typed(tmp_path: Path) -> None:
    """Not 95.71 there and 95.712 elsewhere; a count that was put right says so."""
    bench, procedure = at_the_start(tmp_path, CAPS)
    bench.answer(a.Plus())
    bench.answer(a.Value("4"))
    bench.answer(a.Correct("3", "from a second look"))
    typed(bench, "95.712")
    bench.answer(a.Resolve("measure again"))
    files, record = ended(bench, procedure)

    found = list(flat(blocks(read(*files).plan, record, {"daybook.jsonl": files[2]})))
    cells = [cell for block in found if isinstance(block, Table) for row in block.rows for cell in row]
    facts = [fact for block in found if isinstance(block, Facts) for fact in block.rows]
    assert [cell for cell in cells if "95.71" in str(cell)]
    assert not [cell for cell in cells if "95.71" in str(cell) and "95.712" not in str(cell)]
    assert ("Split pins, count", "3 (corrected, from a second look), 3 needed, 3 used") in facts
