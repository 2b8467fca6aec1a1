"""The program, ready to begin: a process of its own like any other, begun from one that has read its modules already.

Reading the modules takes ten times as long as most commands. Where the start itself is the point (what is read at it,
what a shell or a terminal does to it) tests start the interpreter as a shell does.
"""

from __future__ import annotations

import functools
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from ready_stand_in import TOLD

HERE = Path(__file__).parent


class Begun(subprocess.Popen[Any]):
    """The program with these arguments. What a stand-in waits for is the program; what a signal reaches is it too."""

    def __init__(self, *arguments: str, env: dict[str, str], text: bool = False, book: Path | None = None) -> None:
        self._told, tell = os.pipe()
        self._process = 0
        words = (*arguments, *(("--book", str(book)) if book is not None else ()))
        try:
            super().__init__(
                [sys.executable, "-I", "-S", str(HERE / "ready_stand_in.py"), _door(), *words],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=text,
                env={**env, TOLD: str(tell)},
                pass_fds=(tell,),
            )
        finally:
            os.close(tell)

    @property
    def itself(self) -> int:
        """The process of the program; 0 where its stand-in ended before there was one."""
        if not self._process:
            self._process = int(os.read(self._told, 20) or b"0")
        return self._process

    def send_signal(self, sig: int) -> None:
        """To the program itself, so that nothing comes between the moment and its end."""
        if self.poll() is None and self.itself:
            os.kill(self.itself, sig)

    def __del__(self, *more: Any) -> None:
        os.close(self._told)
        super().__del__(*more)


@functools.cache
def _door() -> str:
    """Where the stand-ins ask for it; begun at the first question, and over when this process is."""
    path = str(Path(tempfile.mkdtemp(prefix="ready")) / "door")
    template = subprocess.Popen(
        [sys.executable, str(HERE / "ready_program.py"), path],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        start_new_session=True,
    )
    _kept.append(template)
    assert template.stdout is not None
    assert b"ready\n" == template.stdout.readline()
    return path


_kept: list[subprocess.Popen[bytes]] = []
