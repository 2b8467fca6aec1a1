"""`python -m bench_model --jobs 200`: walk random procedures and tell every discrepancy."""

import argparse
import shutil
from pathlib import Path

from bench_model.bench_book import walk_all
from bench_model.job import Job
from bench_model.telling import file_them, tell


def main() -> None:
    """Walk, compare, tell."""
    asked = argparse.ArgumentParser(prog="bench_model")
    asked.add_argument("--jobs", type=int, default=60)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--seed", type=int, help="one job alone")
    asked.add_argument("--clumsy", type=float, help="share of slips; by the seed if left out")
    asked.add_argument("--workers", type=int, default=1)
    asked.add_argument("--tell", action="store_true", help="the whole conversation")
    asked.add_argument("--place", type=Path, help="keep the book in this folder")
    asked.add_argument("--file", type=Path, help="write each kind of discrepancy into this folder")
    said = asked.parse_args()
    seeds = [said.seed] if said.seed is not None else list(range(said.first, said.first + said.jobs))
    if said.place is not None:
        shutil.rmtree(said.place, ignore_errors=True)
        said.place.mkdir(parents=True)
    result = walk_all(seeds, said.clumsy, said.workers, said.place)
    for job in result.jobs:
        if said.tell:
            _conversation(job)
    print("\n".join(tell(result.kinds)))
    if said.file is not None:
        print(file_them(result.kinds, said.file), "files written")
    print(result.summary())


def _conversation(job: Job) -> None:
    print(job.joint.text())
    print("\n".join(job.transcript))
    print(job.worker.odd)
    print("seed", job.seed, "ended", job.outcome, job.answers, "answers")


main()
