"""All benchmarks with one command: ratios measured side by side in one run, each with its goal.

`--all`: those of old books, of large joints and of the start of each command too, which are commands of their own;
with `--long` as large as they come. Exit status 0 where every goal is reached, 1 where one is
missed, 2 where the disk is none that can be measured on.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

TESTS = Path(__file__).resolve().parent.parent
ROOT = TESTS.parent
sys.path[:0] = [str(TESTS), str(TESTS / "run")]

from benchmarks import (  # noqa: E402
    archiving,
    checking,
    drafting,
    estimating,
    matching,
    printing,
    recording,
    reviewing,
    screens,
    sealing,
    walking,
)

OTHERS = ("starting", "twenty_years", "large_joints")
IN_MEMORY = ("tmpfs", "ramfs")


def measured(folder: Path) -> Iterator[tuple[str, str, walking.Pair, float]]:
    """What is measured, against what, both times, and the greatest ratio wanted."""
    yield "a whole step with 10 000 positions", "with 10 positions", walking.whole_steps(folder), 1.2
    yield "apply alone with 10 000 positions", "with 10 positions", walking.folds(folder), 2.0
    yield "taking up 100 000 lines", "json.loads of every line", walking.resuming(folder), 2.0
    yield "record of 4 000 readings", "eight records of 500", recording.records(), 2.0
    yield "200 tools for 1 000 steps in 10 stages", "reading both files", matching.ranked(), matching.GOAL
    yield "estimates of a 10 000-step plan", "reading and planning it", estimating.estimated(), estimating.GOAL
    yield "queries and estimates of 10 000 steps", "reading and planning it", reviewing.reviewed(), reviewing.GOAL
    yield "a key to the preview of 200 positions", "a bare key, read, plan, review", drafting.renewed(), drafting.GOAL
    yield "a check of 10 000 readings judged", "csv, fmean and stdev", checking.judged(), 2.0
    yield "what a tool touched in 100 runs", "four times in 25", checking.looked_through(folder), 1.3
    yield "verifying a sealed 54-step run", "hashing, folding, recording it", sealing.verified(), 2.0
    yield "index of 3 000 records made", "parsing their TOML", archiving.rebuilt(folder), archiving.GOAL
    yield "five searches in 100 000 records", "the same bare queries", archiving.searched(folder), archiving.GOAL
    ours, theirs, _ = printing.ratio()
    yield "report of a 54-step run", "as many bare pages", walking.Pair(ours, theirs), printing.GOAL
    yield "start of the bench", "a bare program", screens.bench_started(folder), 1.3
    yield "start sheet of a new run", "a bare program", screens.sheet_started(folder), 1.8
    yield "start sheet of a run taken up", "a bare program", screens.sheet_taken_up(folder), 1.8
    yield "Enter on a reading, next painted", "a bare program with a file", screens.readings(folder), 1.5
    yield "the same with 200 positions drawn", "with 10 positions", screens.maps_painted(folder), 1.3


def file_system(folder: Path) -> str:
    """What kind of file system a folder lies on, as the system names it; "unknown" where it does not say."""
    try:
        mounts = [line.split()[1:3] for line in Path("/proc/mounts").read_text(encoding="utf-8").splitlines()]
    except OSError:
        return "unknown"
    real = folder.resolve()
    over = [(len(place), kind) for place, kind in mounts if real.is_relative_to(place)]
    return max(over)[1] if over else "unknown"


def main() -> int:
    """Measure, print the table, and give the exit status."""
    place = Path(os.environ.get("CLAMPBOOK_DISK", ROOT))
    with tempfile.TemporaryDirectory(prefix=".benchmark-", dir=place) as name:
        kind = file_system(Path(name))
        if kind in IN_MEMORY:
            print(f"{place} lies in memory ({kind}): name a folder on a real disk in CLAMPBOOK_DISK", file=sys.stderr)
            return 2
        print(f"Measured on {kind}, in {place}.\n")
        print(f"{'what':<36} {'against':<26} {'ours':>11} {'theirs':>11} {'ratio':>7} {'goal':>7}")
        missed = [what for what, against, pair, goal in measured(Path(name)) if not row(what, against, pair, goal)]
    print(f"\nMissed: {', '.join(missed)}." if missed else "\nEvery goal is reached.")
    failed = [name for name in OTHERS if "--all" in sys.argv and not _reached(name)]
    return 1 if missed or failed else 0


def _reached(other: str) -> bool:
    """Run the benchmarks of another file; whether every goal was reached."""
    print(f"\n{other}", flush=True)
    long = [each for each in sys.argv if each == "--long"]
    return subprocess.run([sys.executable, Path(__file__).with_name(f"{other}.py"), *long], check=False).returncode == 0


def row(what: str, against: str, pair: walking.Pair, goal: float) -> bool:
    """Print a line of the table; whether its goal is reached."""
    ours, theirs = (f"{each * 1000:.3f} ms" for each in (pair.ours, pair.theirs))
    line = f"{what:<36} {against:<26} {ours:>11} {theirs:>11} {pair.ratio:>7.2f} {f'≤ {goal}':>7}"
    print(line if pair.ratio <= goal else f"{line}  missed", flush=True)
    return pair.ratio <= goal


if __name__ == "__main__":
    sys.exit(main())
