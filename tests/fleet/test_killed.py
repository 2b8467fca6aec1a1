"""An export that is killed leaves files that read right, and the next one completes them, no row twice."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from fleet.datasets import asked, exported, golden_books

_KILLED = """
import os, sys
from pathlib import Path
sys.path.insert(0, {tests!r})
from fleet.datasets import exported
left, replace = int(sys.argv[1]), os.replace
def killed(*said, **more):
    global left
    if not left:
        os._exit(9)
    left -= 1
    return replace(*said, **more)
os.replace = os.rename = killed
exported(Path(sys.argv[2]), *map(Path, sys.argv[3:]))
"""
_TABLES = ("runs", "acts", "tools", "deviations", "estimates", "parts", "checks", "check_readings")


def _killed_at(rename: int, dataset: Path, books: list[Path]) -> bool:
    code = _KILLED.format(tests=str(Path(__file__).parents[1]))
    done = subprocess.run([sys.executable, "-c", code, str(rename), str(dataset), *map(str, books)], check=False)
    assert done.returncode in (0, 9)
    return done.returncode == 9


def _all_of(dataset: Path) -> dict[str, list[str]]:
    there = [name for name in _TABLES if any((dataset / name).rglob("*.parquet"))]
    return {name: sorted(map(str, asked(dataset, f"FROM {{{name}}}"))) for name in there}


def test_it_may_be_killed_at_each_rename(tmp_path: Path) -> None:
    (tmp_path / "books").mkdir()
    books = golden_books(tmp_path / "books")[:2]
    exported(tmp_path / "whole", *books)
    whole = _all_of(tmp_path / "whole")
    killed = 0
    while _killed_at(killed, tmp_path / f"d{killed}", books):
        dataset = tmp_path / f"d{killed}"
        for name, rows in _all_of(dataset).items():
            assert set(rows) <= set(whole[name]), name
            assert len(rows) == len(set(rows)), name
        exported(dataset, *books)
        assert _all_of(dataset) == whole, killed
        killed += 1
    assert killed == 8 + (8 + 1) + (5 + 1)  # tables without rows, then files of each book and what is known of it
