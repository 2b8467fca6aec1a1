"""The program walked from outside: nothing that it orders or writes down contradicts what was done at the bench."""

import ast
import os
from pathlib import Path

import pytest

from bench_model.bench_book import HANDS, walk_all
from bench_model.on_screen import SIZES, watch_all
from bench_model.telling import tell

HERE = Path(__file__).parent


class TestIndependence:
    def test_the_model_imports_nothing_of_the_program(self) -> None:
        """What agrees with the program here agrees without having asked it."""
        for module in HERE.glob("*.py"):
            for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
                names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
                assert not [name for name in names if name.split(".")[0] == "clampbook"], module.name


JOBS = int(os.environ.get("CLAMPBOOK_BENCH_JOBS", "60"))


class TestAtTheBench:
    @pytest.mark.parametrize("hands", range(len(HANDS)), ids=("honest", "clumsy", "very clumsy"))
    def test_orders_and_records_agree_with_what_was_done(self, hands: int) -> None:
        """Random joints, each walked to its end: every order could be obeyed, and every list tells what happened."""
        seeds = [seed for seed in range(JOBS) if seed % len(HANDS) == hands]
        result = walk_all(seeds, None, workers=1)
        print(result.summary())
        assert not result.kinds, "\n".join(tell(result.kinds))
        assert all(job.outcome is not None and job.worker.counted.total() > 0 for job in result.jobs)


class TestOnTheScreen:
    @pytest.mark.parametrize("size", SIZES)
    def test_the_full_screen_shows_what_json_says(self, size: tuple[int, int]) -> None:
        """The sentence, the large figures, unit, window and choices, at three sizes; and the same daybook."""
        seeds = range(SIZES.index(size), 3 * max(1, JOBS // 60), len(SIZES))
        seen = watch_all(list(seeds), (size,))
        rows = [(job.seed, job.size, row) for job in seen for row in job.worker.rows if row.owner == "SCREENS"]
        print(len(seen), "jobs on the screen,", sum(job.compared for job in seen), "comparisons,", len(rows), "differ")
        assert not rows, "\n".join(f"{seed} {size} {row.short}: {row.said} {row.true}" for seed, size, row in rows)
        assert not [job.stuck for job in seen if job.stuck]
