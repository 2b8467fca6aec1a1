"""The program at the other end of a pipe: one object out for each question, one line in."""

import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Any

from bench_model.starting import Starter

Prompt = dict[str, Any]


class StuckError(Exception):
    """The program said something that the model does not know, or nothing at all."""


@dataclass
class Reply:
    """What came back for one line."""

    stored: int | None = None
    lines: list[int] = field(default_factory=list)
    refused: str | None = None
    unusual: str | None = None
    prompt: Prompt | None = None
    finished: str | None = None
    run: str | None = None
    other: list[dict[str, Any]] = field(default_factory=list)


class Walk:
    """One process of the walk, from its first question until it ends or is killed."""

    def __init__(self, starter: Starter, book: Path, args: list[str], clock: str) -> None:
        command = ["walk", *args, "--book", str(book), "--plain", "--json"]
        self.process = starter.start(command, {"CLAMPBOOK_CLOCK": clock, "CLAMPBOOK_TRACEBACK": "1"})
        self.first = self._read()

    def _read(self) -> Reply:
        reply = Reply()
        for line in self.process.out:
            told = json.loads(line)
            if "stored" in told:
                reply.stored = told["stored"]
                reply.lines.append(told["stored"])
            elif "refused" in told:
                reply.refused = told["refused"]
            elif "unusual" in told:
                reply.unusual = told["unusual"]
            elif "finished" in told:
                reply.finished, reply.run = told["finished"], told["run"]
                return reply
            elif "prompt" in told:
                if told["position"] == "-":
                    told["position"] = None
                reply.prompt = told
                return reply
            else:
                reply.other.append(told)
        raise StuckError(f"the program ended: {self.process.err.read_text()[-1500:]}")

    def say(self, line: str) -> Reply:
        """Type one line, and hear what comes back."""
        try:
            self.process.into.write(line + "\n")
            self.process.into.flush()
        except BrokenPipeError:
            raise StuckError("the program was gone when it was answered") from None
        return self._read()

    def kill(self) -> None:
        """As a flat battery does it."""
        self.process.kill()
        self.close()

    def close(self) -> None:
        """Close the pipes; the program pauses if it still runs."""
        if not self.process.out.closed:
            self.process.close()

    def __enter__(self) -> "Walk":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, what: BaseException | None, where: TracebackType | None
    ) -> None:
        self.close()


@dataclass
class Time:
    """A clock that only goes on: by `step` seconds an answer, and by leaps between two starts."""

    now: datetime = datetime(2026, 11, 2, 9, 0, 0)
    step: int = 3

    def told(self, answers: int) -> None:
        """So many answers were given."""
        self.now += timedelta(seconds=self.step * answers)

    def leap(self, seconds: int) -> None:
        """Nobody was at the keyboard."""
        self.now += timedelta(seconds=seconds)

    def clock(self) -> str:
        """As it is handed to the program."""
        return f"{self.now:%Y-%m-%dT%H:%M:%S}Z+{self.step}s"


def run_command(starter: Starter, book: Path, *args: str) -> tuple[str, str]:
    """Any other command of the program on the book: data, talk."""
    process = starter.start([*args, "--book", str(book)], {})
    told = process.out.read()
    return told, process.close() if not process.out.closed else ""
