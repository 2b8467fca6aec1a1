"""Runs by the first rules, sealed before a first line named any: what is asked and told since changes none."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from line_by_line import printed
from sealing import sealed, shop

KEPT = Path(__file__).parent / "golden_book" / "rules1"
RUNS = sorted(path.name for path in (KEPT / "runs").glob("2026*"))
CLOCK = "2026-04-01T09:00:00Z+1s"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy: an index and locks may lie beside its files."""
    return Path(shutil.copytree(KEPT, tmp_path_factory.mktemp("rules") / "book"))


def first_line(run: Path) -> dict[str, Any]:
    """How a run was opened."""
    first: dict[str, Any] = json.loads((run / "daybook.jsonl").read_text(encoding="utf-8").splitlines()[0])
    return first


def test_each_is_intact(book: Path) -> None:
    """Nobody is told that a run was changed because a later version asks or tells more."""
    told = json.loads(printed(CLOCK, book, "verify", "--json"))["runs"]

    assert RUNS == sorted(each["run"] for each in told)
    assert [] == [each["problems"] for each in told if each["problems"] or not each["checked"]]


@pytest.mark.parametrize("run", RUNS)
def test_its_record_is_made_again_byte_for_byte(book: Path, run: str) -> None:
    """As the version wrote it that sealed it."""
    written = (KEPT / "runs" / run / "record.toml").read_text(encoding="utf-8")

    assert written == printed(CLOCK, book, "record", run)


def test_none_of_them_names_its_rules(book: Path) -> None:
    """That is what the first rules are known by."""
    assert [] == [run for run in RUNS if "rules" in first_line(book / "runs" / run)]


def test_a_run_of_today_does(tmp_path: Path) -> None:
    """The second: its record tells a time on the form wherever its row is told of."""
    assert first_line(sealed(shop(tmp_path / "book", keys=False)).path)["rules"] == 2
