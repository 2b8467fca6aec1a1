"""Stands where the program was started: hands its streams on, waits for the program, and ends as it ended.

Run as a script with the way to the door and the arguments of the program; it reads next to no modules, to be quick.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import sys

TOLD = "CLAMPBOOK_TESTS_TELL"  # the number of a pipe in which the program's own process is told


def main() -> None:
    """Ask at the door, and wait."""
    tell = int(os.environ.pop(TOLD))
    with socket.socket(socket.AF_UNIX) as door:
        door.connect(sys.argv[1])
        folder = os.getcwd()  # noqa: PTH109  (pathlib takes longer to read than all else here)
        wanted = json.dumps({"arguments": sys.argv[2:], "folder": folder, "environment": dict(os.environ)}).encode()
        socket.send_fds(door, [len(wanted).to_bytes(4, "big")], [0, 1, 2])
        door.sendall(wanted)
        away = os.open(os.devnull, os.O_RDWR)
        for number in range(3):
            os.dup2(away, number)
        os.write(tell, door.recv(20))
        status = int(door.recv(20) or b"9")
    if os.WIFSIGNALED(status):
        if os.WTERMSIG(status) != signal.SIGKILL:
            signal.signal(os.WTERMSIG(status), signal.SIG_DFL)
        os.kill(os.getpid(), os.WTERMSIG(status))
    os._exit(os.WEXITSTATUS(status))


if __name__ == "__main__":
    main()
