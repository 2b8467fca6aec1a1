"""The program with all its modules read and nothing done; each time it is asked for, a copy of it does as it is told.

The typesetter outlives no fork; here it begins in the copy.
"""

from __future__ import annotations

import atexit
import gc
import importlib
import json
import os
import pkgutil
import select
import signal
import socket
import sys
import threading
from pathlib import Path
from typing import Any

import clampbook
from clampbook import cli


def main(path: str) -> None:
    """Wait at the door until whoever opened it has gone."""
    read_all()
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(path)
        door.listen(64)
        print("ready", flush=True)
        signal.signal(signal.SIGCHLD, signal.SIG_IGN)
        while sys.stdin not in select.select([door, sys.stdin], [], [])[0]:
            asked, _ = door.accept()
            if os.fork() == 0:
                door.close()
                _mind(asked)
            asked.close()
    Path(path).unlink()
    Path(path).parent.rmdir()


def read_all() -> None:
    """Read each module of the program, so that no copy of this process has to."""
    for module in pkgutil.walk_packages(clampbook.__path__, "clampbook."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    gc.freeze()


def _mind(asked: socket.socket) -> None:
    """Begin a copy, tell its process and how it ended; it ends too where nobody waits for it any more."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    head, streams, _, _ = socket.recv_fds(asked, 4, 3)
    length, wanted = int.from_bytes(head, "big"), b""
    while len(wanted) < length:
        wanted += asked.recv(length - len(wanted))
    goes_on, ends_with_it = os.pipe()
    process = os.fork()
    if process == 0:
        os.close(goes_on)
        asked.close()
        _do(json.loads(wanted), streams)
    for number in (*streams, ends_with_it):
        os.close(number)
    asked.sendall(f"{process:<20}".encode())
    gone, _, _ = select.select([asked.fileno(), goes_on], [], [])
    if asked.fileno() in gone:
        os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    try:
        asked.sendall(str(status).encode())
    finally:
        os._exit(0)


def _do(wanted: dict[str, Any], streams: list[int]) -> None:
    """What the interpreter does around the program, from its streams to its last words."""
    for number, stream in enumerate(streams):
        os.dup2(stream, number)
        os.close(stream)
    os.chdir(wanted["folder"])
    os.environ.clear()
    os.environ.update(wanted["environment"])
    sys.argv = [str(cli.__file__), *wanted["arguments"]]
    sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stderr = open(2, "w", encoding="utf-8", errors="backslashreplace", buffering=1, closefd=False)  # noqa: SIM115
    status: Any = 1
    try:
        cli.main()
    except SystemExit as end:
        status = end.code
    except BaseException:
        sys.excepthook(*sys.exc_info())
    threading._shutdown()  # type: ignore[attr-defined]
    atexit._run_exitfuncs()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(status if isinstance(status, int) else 0 if status is None else 1)


if __name__ == "__main__":
    main(sys.argv[1])
