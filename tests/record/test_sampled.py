"""A flange of twenty bolts with a gap measured and two samples inspected, walked to its end and kept."""

from __future__ import annotations

import tomllib
from io import BytesIO
from typing import Any

import pypdf
import pytest

from bench import INES, OKKE, Bench
from clampbook.procedure.library import sample
from clampbook.record import report
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from walks import Files, frozen, of_sheet

FLANGE = sample("exhaust-flange").path


@pytest.fixture(scope="module")
def walked() -> tuple[Bench, Files, dict[str, Any]]:
    """The flange with one bolt of the first sample accepted as it is."""
    bench, procedure = of_sheet(FLANGE)
    bench.steadily(ask.Measure)
    for gap in ("2.05", "2.10", "2.00", "2.10"):
        bench.answer(a.Value(gap))
    bench.steadily(ask.Inspect)
    bench.answer(a.Look("no", inspector=OKKE))
    bench.answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))
    bench.steadily()
    files = frozen(bench, procedure)
    return bench, files, tomllib.loads(build(*files).decode())


def test_the_sample_stands_with_its_number_and_what_was_added(walked: tuple[Bench, Files, dict[str, Any]]) -> None:
    """Two of twenty, two more after the failure, and three of twenty of which none moved."""
    bench, _, record = walked
    first, second = record["sample"]

    assert (2, 2, 20, "4711", "Okke") == (
        len(first["drawn"]),
        len(first["added"]),
        first["of"],
        first["number"],
        first["inspector_name"],
    )
    assert (3, None) == (len(second["drawn"]), second.get("added"))
    assert isinstance(bench.prompt, ask.Ended)


def test_what_was_not_drawn_is_not_missing(walked: tuple[Bench, Files, dict[str, Any]]) -> None:
    """A bolt that nobody looked at is done, and says that it was not in the sample."""
    _, _, record = walked
    looked = {*record["sample"][0]["drawn"], *record["sample"][0]["added"]}
    words = {row["position"]: row["outcome"] for row in record["position"]}

    assert looked == {each for each, outcome in words.items() if outcome[f"3.1/{each}"] != "not in the sample"}
    assert {"done", "done, by concession"} == {row["state"] for row in record["position"]}
    assert "not_done" not in record
    assert "disagrees_with_the_walk_at_line" not in record


def test_the_report_names_it(walked: tuple[Bench, Files, dict[str, Any]]) -> None:
    """How many of how many, which, and who drew them."""
    _, files, record = walked
    pages = pypdf.PdfReader(BytesIO(report.make(*files, build(*files)))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())

    assert f"Sample of 4 from 20: {', '.join(record['sample'][0]['drawn'])}. After a failure also" in text
    assert "Drawn by Okke, who had done none of the work, with the number 4711" in text
    assert "Sample of 3 from 20" in text


def test_whoever_draws_from_own_work_departs_at_no_bolt() -> None:
    """The sample is what departs, not the bolt at which its stage begins."""
    bench, procedure = of_sheet(FLANGE)
    bench.steadily(ask.DrawSample)
    bench.answer(a.Draw("7", INES, "nobody else here"))
    files = frozen(bench, procedure)
    (row,) = tomllib.loads(build(*files).decode())["deviation"]

    assert [("drawn by the same person", "nobody else here")] == [
        (each["kind"], each["reason"]) for each in row["departed"]
    ]
    assert (3, None) == (row["stage"], row.get("position"))
