"""A whole book of format 2, written once: every later version finds it intact and says the same of it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from line_by_line import printed

KEPT = Path(__file__).parent / "golden_book"
GOLDEN = KEPT / "book"
CLOCK = "2026-04-01T09:00:00Z+1s"
RUNS = sorted(path.name for path in (GOLDEN / "runs").glob("2026*"))


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of it: an index and locks may lie beside its files."""
    return Path(shutil.copytree(GOLDEN, tmp_path_factory.mktemp("golden") / "book"))


def test_all_of_it_is_intact(book: Path) -> None:
    """Each run and the check are counted again, with their seals, reports and the log."""
    told = json.loads(printed(CLOCK, book, "verify", "--json"))

    assert [] == [each["problems"] for each in told["runs"] if each["problems"]]
    assert {*RUNS, *(path.name for path in (GOLDEN / "checks").glob("2026*"))} == {each["run"] for each in told["runs"]}
    assert all(each["intact"] and each["checked"] for each in told["runs"])


@pytest.mark.parametrize("run", RUNS)
def test_a_record_is_printed_as_it_was_written(book: Path, run: str) -> None:
    """Byte for byte, made again from the frozen files."""
    assert (GOLDEN / "runs" / run / "record.toml").read_text(encoding="utf-8") == printed(CLOCK, book, "record", run)


@pytest.mark.parametrize("run", RUNS)
def test_its_readings_keep_their_columns(book: Path, run: str) -> None:
    """What stood in a column stands there still; later columns come behind."""
    header, *rows = (KEPT / "readings" / f"{run}.csv").read_text(encoding="utf-8").splitlines()
    header_now, *rows_now = printed(CLOCK, book, "export", run, "--csv", "--clicks").splitlines()

    assert header_now.startswith(header)
    assert len(rows) == len(rows_now)
    assert all(now.startswith(row) for row, now in zip(rows, rows_now, strict=True))


@pytest.mark.parametrize("name", sorted(path.stem for path in (GOLDEN / "procedures").glob("*.toml")))
def test_its_procedures_are_read_without_an_error(book: Path, name: str) -> None:
    """Queries may grow, errors may not."""
    told = json.loads(printed(CLOCK, book, "review", str(book / "procedures" / f"{name}.toml"), "--json"))

    assert [] == told["errors"]


def test_its_tools_are_read(book: Path) -> None:
    """Levers, adapters, certified points and instruments among them."""
    tools = json.loads(printed(CLOCK, book, "tools", "--json"))["tools"]

    assert {"W1", "W2", "W5", "W7", "W9", "G1", "R1", "M1", "D1", "F1"} == {each["name"] for each in tools}
