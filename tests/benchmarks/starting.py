"""Every command that prints, from its start to its end, against a bare click program: what a person waits who types it.

Measured in turns, on the demo book, in seconds of one processor; with the compiled files that an installation has.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "run")]

from benchmarks.run import row  # noqa: E402
from benchmarks.walking import Pair  # noqa: E402

LIGHT, READING = 1.6, 4.0  # goals: of a command that looks up or lists, and of one that reads what people wrote
STARTS = 15  # measured of each
_BARE = [sys.executable, str(Path(__file__).with_name("bare_click.py")), "answer", "Ines"]
_PROGRAM = [str(Path(sys.executable).with_name("clampbook"))]
COMMANDS: dict[str, float] = {
    "--version": LIGHT,
    "--help": LIGHT,
    "help": LIGHT,
    "help keys": LIGHT,
    "runs": LIGHT,
    "find": LIGHT,
    "find whinchat": LIGHT,
    "due": LIGHT,
    "keys": LIGHT,
    "schema": LIGHT,
    "new --samples": LIGHT,
    "tools": READING,
    "verify": READING,
    "review whinchat-pattern-c-head": READING,
    "plan whinchat-pattern-c-head": READING,
    "match whinchat-pattern-c-head": READING,
    "setting 90-N·m --lever 400-mm --adapter 60-mm": LIGHT,
}


def measured(commands: dict[str, float] = COMMANDS, starts: int = STARTS) -> Iterator[tuple[str, str, Pair, float]]:
    """What is started, against what, seconds of either, and the greatest ratio wanted."""
    with tempfile.TemporaryDirectory() as folder:
        compiled = Path(folder) / "compiled"
        environment = os.environ | {"PYTHONPYCACHEPREFIX": str(compiled), "PYTHONDONTWRITEBYTECODE": ""}
        book = Path(folder) / "book"
        subprocess.run([*_PROGRAM, "demo", "--into", book], env=environment, check=True, capture_output=True)
        for words, goal in commands.items():
            asked = [*_PROGRAM, *_arguments(words, book)]
            took = [(_seconds(asked, environment), _seconds(_BARE, environment)) for _ in range(starts + 2)][2:]
            yield (
                words.split(" --")[0] or words,
                "a bare click program",
                Pair(*(median(each) for each in zip(*took, strict=True))),
                goal,
            )


def _arguments(words: str, book: Path) -> list[str]:
    named = [word.replace("-N·m", " N·m").replace("-mm", " mm") for word in words.split()]
    takes_a_book = not words.startswith(("--", "help", "schema", "new", "setting"))
    return [*named, "--book", str(book)] if takes_a_book else named


def _seconds(command: list[str], environment: dict[str, str]) -> float:
    """Seconds of one processor that a command takes, its start and end too."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, env=environment, check=False, stdin=subprocess.DEVNULL, capture_output=True)
    assert done.returncode in {0, 1}, (command, done.stderr.decode())
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def main() -> int:
    """Measure and print the table; 1 where a goal is missed."""
    print(f"{'what':<36} {'against':<26} {'ours':>11} {'theirs':>11} {'ratio':>7} {'goal':>7}")
    missed = [words for words, against, pair, goal in measured() if not row(words, against, pair, goal)]
    print(f"\nMissed: {', '.join(missed)}." if missed else "\nEvery goal is reached.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
