"""Starts the program again and again without paying for its imports each time.

Run as a process of its own, it forks a child for each line on its standard input. A child is the program as anybody
starts it: its own process, three pipes, killed like any other. When it ends it leaves the names of what it had to
import; these are imported once here, and the next child has them. The model itself imports nothing of the program.
"""

import contextlib
import gc
import importlib
import json
import os
import runpy
import sys
from pathlib import Path
from types import ModuleType


def learn(left: Path) -> bool:
    """Import what an ended child imported; what cannot be had alone is left to the next one."""
    if not left.exists():
        return False
    for name in left.read_text(encoding="utf-8").split():
        if not name.endswith("__main__"):
            with contextlib.suppress(Exception):
                _finished(importlib.import_module(name))
    gc.freeze()
    return True


def _finished(module: ModuleType) -> None:
    """What a module leaves to its first use is made here, once: the schemas of what people write by hand."""
    for value in list(vars(module).values()):
        if hasattr(value, "model_rebuild"):
            value.model_rebuild()


def child(asked: dict[str, object]) -> None:
    """Become the program."""
    for number, (key, how) in enumerate((("in", os.O_RDONLY), ("out", os.O_WRONLY), ("err", os.O_WRONLY))):
        end = os.open(str(asked[key]), how)
        os.dup2(end, number)
        os.close(end)
    os.environ.clear()
    os.environ.update(dict(asked["env"]))  # type: ignore[call-overload]
    sys.argv = ["clampbook", *list(asked["args"])]  # type: ignore[call-overload]
    sys.stdin, sys.stdout, sys.stderr = (os.fdopen(number, how) for number, how in ((0, "r"), (1, "w"), (2, "w")))
    status, had = 0, set(sys.modules)
    try:
        runpy.run_module("clampbook", run_name="__main__", alter_sys=False)
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else int(end.code is not None)
    finally:
        for stream in (sys.stdout, sys.stderr):
            try:
                stream.flush()
            except OSError:
                status = status or 1
        Path(str(asked["left"])).write_text(" ".join(name for name in sys.modules if name not in had), encoding="utf-8")
        os._exit(status)


def reap() -> None:
    """Let the ended ones go, so that their time is counted."""
    with contextlib.suppress(ChildProcessError):
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass


def main() -> None:
    """A line in: what to start. A line out: its process."""
    running: list[Path] = []
    for line in sys.stdin:
        reap()
        running = [left for left in running if not learn(left)]
        asked = json.loads(line)
        pid = os.fork()
        if pid == 0:
            child(asked)
        running.append(Path(asked["left"]))
        print(pid, flush=True)
    reap()


if __name__ == "__main__":
    main()
