"""All long tests with one command: what is tried, how often, and how often it failed.

    python tests/endurance/run.py [--row NAME]... [--tries N] [--seed N]

A row without --tries is tried as often as an evening allows. Exit status 0 where nothing failed, else 1. A failure is
printed with what brings it back: the row and its seed.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "run")]

from clampbook.signing import secret  # noqa: E402
from endurance.table import ROWS  # noqa: E402
from ready_program import read_all  # noqa: E402


def main() -> int:
    """Try the rows that are asked for, print the table, and give the exit status."""
    words = argparse.ArgumentParser(description="The long tests, as a table.")
    words.add_argument("--row", action="append", choices=list(ROWS), metavar="NAME", help=", ".join(ROWS))
    words.add_argument("--tries", type=int)
    words.add_argument("--seed", type=int, default=1)
    asked = words.parse_args()
    read_all()  # once, and not in each process that is killed
    secret.ROUNDS = 1  # as in conftest.py: how long a key takes to unlock is nothing that is tried
    print(f"{'row':<28} {'tries':>8} {'failures':>8} {'seconds':>8}")
    failed = 0
    for name in asked.row or ROWS:
        row = ROWS[name]
        with tempfile.TemporaryDirectory(prefix="endurance-") as place:
            began = time.monotonic()
            found = row.test(Path(place), asked.tries or row.tries, asked.seed)
            took = time.monotonic() - began
        seen = ", ".join(f"{count} {what}" for what, count in found.seen.most_common())
        print(f"{name:<28} {found.tries:>8} {len(found.failures):>8} {took:>8.0f}  {seen}", flush=True)
        failed += len(found.failures)
        for failure in found.failures[:5]:
            print(f"    {failure}", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
