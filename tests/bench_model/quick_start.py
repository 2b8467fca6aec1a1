"""Starts the program again and again without paying for its imports each time.

Run as a process of its own: it imports what a first start of `python -m clampbook` imported (found from outside, by
`-X importtime`), and forks a child for each line on its standard input. A child is the program as anybody starts it:
its own process, three pipes, killed like any other. The model itself imports nothing of it.
"""

import importlib
import json
import os
import runpy
import signal
import sys


def preload(names: list[str]) -> None:
    """Import what the first start imported; what cannot be had alone is left to the child."""
    for name in names:
        try:
            importlib.import_module(name)
        except Exception:
            continue


def child(asked: dict[str, object]) -> None:
    """Become the program."""
    for number, (key, how) in enumerate((("in", os.O_RDONLY), ("out", os.O_WRONLY), ("err", os.O_WRONLY))):
        end = os.open(str(asked[key]), how)
        os.dup2(end, number)
        os.close(end)
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.environ.clear()
    os.environ.update(dict(asked["env"]))  # type: ignore[call-overload]
    sys.argv = ["clampbook", *list(asked["args"])]  # type: ignore[call-overload]
    sys.stdin, sys.stdout, sys.stderr = (os.fdopen(number, how) for number, how in ((0, "r"), (1, "w"), (2, "w")))
    status = 0
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
        os._exit(status)


def main() -> None:
    """A line in: what to start. A line out: its process."""
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    preload(json.loads(sys.stdin.readline()))
    print("ready", flush=True)
    for line in sys.stdin:
        asked = json.loads(line)
        pid = os.fork()
        if pid == 0:
            child(asked)
        print(pid, flush=True)


if __name__ == "__main__":
    main()
