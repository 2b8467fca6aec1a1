"""A tool in another unit than its reference, and a tool that works in both directions."""

import tomllib
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from msgspec.structs import replace

from check.book_of_tools import made, said
from check.doing import W5, bench
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.check import prompts as ask
from clampbook.check.recounting import recounted
from clampbook.check.wording import at, concluded, details, sentence
from clampbook.commands.directions import directions_of
from clampbook.record.checks.report import of_check

IN_FEET = replace(W5, unit="lbf·ft", resolution=Decimal("0.5"))


def test_the_reference_is_brought_to_a_line_of_its_own_scale() -> None:
    """20 lbf·ft are 27.116 N·m; R1 shows hundredths, and 27.12 is what counts."""
    checked = bench(IN_FEET, targets=(Decimal(20),), held="reference")
    prompt = checked.to(ask.Pull)
    checked.shows("20.0")

    assert (Decimal("27.12"), "N·m") == (prompt.bring_to, prompt.bring_unit)
    assert sentence(prompt).startswith("Bring R1 to 27.12 N·m.")
    assert pytest.approx(-0.0134, abs=1e-4) == float(checked.progress.pulls[-1].deviation)
    assert [] == list(recounted(checked.plan, checked.events))


def test_a_point_stands_in_both_units() -> None:
    """The number of the tool and that of the reference; one unit where both have the same."""
    here, there = (bench(tool, targets=(Decimal(60),)).to(ask.Pull) for tool in (IN_FEET, W5))

    assert "60 lbf·ft (81.3 N·m)" == at(here.where.at, here.units)
    assert "60 N·m" == at(there.where.at, there.units)
    assert details(here)[0].endswith("81.3 N·m on R1")
    assert "R1" not in details(there)[0]


def test_each_direction_has_its_own_verdict() -> None:
    """Right clockwise, 10 % off the other way."""
    checked = bench(targets=(Decimal(60),), directions=("clockwise", "anticlockwise"))
    for _ in range(10):
        way = checked.to(ask.Pull).where.way
        checked.shows("60.1" if way.direction == "clockwise" else "54.0")
    judgement = checked.to(ask.Adjust).judgement

    assert [("clockwise", "passed"), ("anticlockwise", "failed")] == [
        (each.series.direction, each.verdict) for each in judgement.series
    ]
    assert "Clockwise passed ●, counterclockwise failed !." in concluded("W2", judgement, None)


def test_a_tool_of_one_direction_is_checked_in_that_one() -> None:
    """Clockwise where nothing is said and it works both ways."""
    assert ("clockwise",) == directions_of(None, W5)
    assert ("anticlockwise",) == directions_of(None, replace(W5, directions="anticlockwise"))
    assert ("clockwise", "anticlockwise") == directions_of("both", W5)


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book whose tools show lbf·ft, and whose reference shows N·m."""
    found = made(tmp_path / "book")
    path = found.path("tools.toml")
    tools, reference = path.read_text(encoding="utf-8").split('id = "r1"')
    path.write_text(f'{tools.replace("N·m", "lbf·ft")}id = "r1"{reference}', encoding="utf-8")
    return found


def test_the_report_has_both_units_and_a_table_for_each_direction(book: Book) -> None:
    """Three pulls each way, then the verdict of each direction."""
    once = [*["+"] * 5, "60 lbf·ft", "81.0", "81.2", "81.1"]
    typed = "".join(f"{line}\n" for line in ("21", "1", *once, *once, "-", "1"))
    arguments = ("check", "W2", "--at", "60", "--direction", "both", "--times", "3", "--as", "Ines")
    status, out, talk = said(*arguments, book=book.root, typed=typed)
    (check,) = checks(book)
    record = tomllib.loads((check.path / "record.toml").read_text(encoding="utf-8"))
    page = " ".join(" ".join(each.extract_text().split()) for each in pypdf.PdfReader(BytesIO(of_check(check))).pages)

    assert 0 == status, (out, talk)
    assert ["clockwise", "anticlockwise"] == [row["direction"] for row in record["phase"]]
    assert 2 == page.count("60 lbf·ft (81.3 N·m)")
    assert "slow, clockwise" in page and "slow, counterclockwise" in page
    assert "anticlockwise" not in page
