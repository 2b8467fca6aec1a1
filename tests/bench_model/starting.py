"""Processes of the program: started by a helper that pays for each import once."""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import IO


@dataclass
class Process:
    """One started program and its three pipes."""

    pid: int
    into: IO[str]
    out: IO[str]
    err: Path
    place: Path

    def kill(self) -> None:
        """As a flat battery does it."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)

    def close(self) -> str:
        """Close its input, read it to its end; what it said on standard error."""
        with contextlib.suppress(BrokenPipeError):
            self.into.close()
        self.out.read()
        self.out.close()
        return self.err.read_text(encoding="utf-8", errors="replace") if self.err.exists() else ""


class Starter:
    """Starts programs; one for all jobs."""

    def __init__(self) -> None:
        self.place = Path(tempfile.mkdtemp(prefix="bench-"))
        self.number = 0
        self.lock = threading.Lock()
        helper = str(Path(__file__).with_name("quick_start.py"))
        self.helper = subprocess.Popen(
            [sys.executable, helper], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def _tell(self, line: str) -> str:
        assert self.helper.stdin is not None and self.helper.stdout is not None
        self.helper.stdin.write(line + "\n")
        self.helper.stdin.flush()
        return self.helper.stdout.readline().strip()

    def start(self, args: list[str], more: dict[str, str]) -> Process:
        """Start the program as `python -m clampbook ARGS`."""
        with self.lock:
            self.number += 1
            place = self.place / str(self.number)
            place.mkdir()
            for name in ("in", "out"):
                os.mkfifo(place / name)
            (place / "err").touch()
            env = {**os.environ, "NO_COLOR": "1", "COLUMNS": "200", **more}
            pipes = {name: str(place / name) for name in ("in", "out", "err", "left")}
            pid = int(self._tell(json.dumps({"args": args, "env": env, **pipes})))
        into, out = os.open(place / "in", os.O_WRONLY), os.open(place / "out", os.O_RDONLY)
        ends = (os.fdopen(into, "w", encoding="utf-8"), os.fdopen(out, encoding="utf-8"))
        return Process(pid, *ends, place / "err", place)

    def close(self) -> None:
        """No more programs."""
        assert self.helper.stdin is not None
        self.helper.stdin.close()
        self.helper.wait(timeout=20)
        shutil.rmtree(self.place)
