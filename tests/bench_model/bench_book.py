"""Many jobs in one book: made, walked, compared."""

import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from bench_model.job import Job, do, new_job
from bench_model.starting import Starter
from bench_model.telling import Kinds, kinds_of
from bench_model.tools import shelf_text


@dataclass
class Result:
    """What many jobs came to."""

    jobs: list[Job]
    kinds: Kinds
    seconds: float

    def summary(self) -> str:
        """Jobs, answers, comparisons, discrepancies (stuck jobs among them), seconds."""
        answers = sum(job.answers for job in self.jobs)
        compared = sum(sum(job.worker.counted.values()) for job in self.jobs)
        rows = sum(len(found) for found in self.kinds.values())
        stuck = sum(job.stuck is not None for job in self.jobs)
        told = f"{len(self.jobs)} jobs, {answers} answers, {compared} comparisons, "
        return f"{told}{rows} discrepancies ({stuck} jobs stuck), {self.seconds:.0f} seconds"


def make_book(folder: Path) -> Path:
    """A book with the model's own tools in it."""
    command = [sys.executable, "-m", "clampbook", "demo", "--only-make", "--into", str(folder)]
    subprocess.run(command, check=True, capture_output=True)
    (folder / "tools.toml").write_text(shelf_text(), encoding="utf-8")
    return folder


HANDS = (0.0, 0.25, 0.5)
"""Share of slips of honest, clumsy and very clumsy hands."""


def clumsiness(seed: int) -> float:
    """Every third job is done by honest hands, the others by clumsy and by very clumsy ones."""
    return HANDS[seed % len(HANDS)]


def walk_all(seeds: list[int], clumsy: float | None, workers: int, place: Path | None = None) -> Result:
    """Walk one job a seed, each in a book of its own, and hold everything against the notes."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as own:
        shelf_of_books = place or Path(own)
        book = make_book(shelf_of_books / "book")
        starter = Starter()

        def one(seed: int) -> Job:
            mine = shutil.copytree(book, shelf_of_books / f"{seed}")
            done = do(new_job(seed, mine, clumsiness(seed) if clumsy is None else clumsy), starter)
            if place is None:
                shutil.rmtree(mine)
            return done

        with ThreadPoolExecutor(workers) as pool:
            jobs = list(pool.map(one, seeds))
        starter.close()
    return Result(jobs, kinds_of(jobs), time.monotonic() - began)
