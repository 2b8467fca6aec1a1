"""A disk at the other end of a slow line, for one program: each call about a file in the book waits, and is counted.

It is played in C (`far_disk.c`), preloaded into the program, so that nothing of it knows. The line can be cut: from
then on every call fails as those of a lost share do, until it is mended.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SOURCE = Path(__file__).with_suffix(".c")
COMPILER = shutil.which("cc") or shutil.which("gcc")
WHY_NOT = "a far disk is played in C, on Linux with a C compiler, and there is none here"


def can_be_played() -> bool:
    """True where such a disk can be had."""
    return COMPILER is not None and os.uname().sysname == "Linux" and Path("/lib64/ld-linux-x86-64.so.2").exists()


@dataclass(frozen=True)
class FarDisk:
    """The book of one program, behind a line of its own; `place` is a folder beside it for what is noted."""

    book: Path
    place: Path
    ms: int = 0

    def env(self, last: int | None = None, error: int = 0) -> dict[str, str]:
        """What the program is started with; after so many calls all the others fail with this error."""
        library = self.place.parent / "far_disk.so"
        if not library.exists():
            assert COMPILER is not None
            made = [COMPILER, "-O1", "-shared", "-fPIC", "-o", str(library.with_suffix(".new")), str(SOURCE), "-ldl"]
            subprocess.run(made, check=True, capture_output=True)
            library.with_suffix(".new").rename(library)
        self.place.mkdir(exist_ok=True)
        return {
            **os.environ,
            "LD_PRELOAD": str(library),
            "FAR_ROOT": str(self.book),
            "FAR_MS": str(self.ms),
            "FAR_TOLD": str(self._told),
            "FAR_CUT": str(self.place / "cut"),
            "PYTHONDONTWRITEBYTECODE": "1",
            **({} if last is None else {"FAR_LAST": str(last), "FAR_ERROR": str(error)}),
        }

    def calls(self) -> Counter[str]:
        """How often each call was made until now."""
        return Counter(self._told.read_text(encoding="ascii").split() if self._told.exists() else ())

    def count(self) -> int:
        """How many calls were made until now."""
        return self.calls().total()

    def cut(self, error: int) -> None:
        """From now on each call fails with this error."""
        (self.place / "cut.new").write_text(str(error), encoding="ascii")
        (self.place / "cut.new").rename(self.place / "cut")

    def mend(self) -> None:
        """Everything is there again."""
        (self.place / "cut").unlink()

    @property
    def _told(self) -> Path:
        return self.place / "told"


class Laptop:
    """Somebody at a laptop with the book of the shop on a drive somewhere else, in a run of their own."""

    def __init__(self, disk: FarDisk, who: str, *more: str, last: int | None = None, error: int = 0) -> None:
        self.disk, self.who = disk, who
        self.stored = 0  # the last line that was acknowledged
        self._seen: dict[str, Any] = {}
        words = ("walk", *more, "--as", who, "--plain", "--json", "--book", str(disk.book))
        self.program = subprocess.Popen(
            [sys.executable, "-m", "clampbook.cli", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=disk.env(last, error) | {"CLAMPBOOK_CLOCK": "2026-03-02T09:00:00Z+3s"},
        )

    def next_seen(self) -> dict[str, Any]:
        """The same, to be answered still."""
        self._seen = self._seen or self.next()
        return self._seen

    def next(self) -> dict[str, Any]:
        """The next question, or what is said in its place."""
        if self._seen:
            seen, self._seen = self._seen, {}
            return seen
        assert self.program.stdout is not None
        while line := self.program.stdout.readline():
            told: dict[str, Any] = json.loads(line)
            if "stored" not in told:
                return told
            self.stored = told["stored"]
        return {}

    def say(self, line: str) -> None:
        """A line and Enter."""
        assert self.program.stdin is not None
        self.program.stdin.write(f"{line}\n")
        self.program.stdin.flush()

    def answer(self) -> bool:
        """Answer what is asked, as somebody who does it right; False where nothing is asked any more."""
        match self.next():
            case {"prompt": "tighten"}:
                self.say("30.1")
            case {"text": "Who looked?"}:
                self.say("2" if self.who == "Ines" else "1")
            case {"prompt": "return_tool"}:
                self.say("+")
            case {"prompt": "sign_off", "text": str(text)}:
                self.say("1" if ("assembler" in text) == (self.who == "Ines") else "2")
            case {"prompt": str()}:
                self.say("1")
            case _:
                return False
        return True

    def ended(self) -> tuple[int, str]:
        """Nothing more is typed: the exit status, and all that was said on standard error."""
        assert self.program.stdin is not None and self.program.stderr is not None
        self.program.stdin.close()
        talk = self.program.stderr.read()
        return self.program.wait(60), talk
