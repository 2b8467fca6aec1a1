"""A walk of the real program at the other end of real pipes, answered question by question, and killed at will."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from ready import Begun

Asked = dict[str, Any]  # a question as the program prints it
Line = dict[str, Any]  # a line of a daybook
_TRIES = 200  # lines typed for one answer, before a script is lost rather than patient
BY_ITSELF = ("opened", "resumed", "step_state")  # lines that a start of the program brings, no answers of the script


class Hand(Protocol):
    """Whoever answers. The lines given are typed one after the other, the last one again and again, until stored."""

    def answer(self, asked: Asked) -> tuple[str, ...]:
        """The lines to type at a question."""
        ...

    def stored(self, asked: Asked) -> None:
        """The answer to this question is stored."""
        ...


@dataclass
class Program:
    """The program, started on a book. `stored` are the numbers that it acknowledged, each with its question."""

    book: Path
    arguments: tuple[str, ...]
    clock: str
    hand: Hand
    stored: list[tuple[int, Asked]] = field(default_factory=list)
    waiting: Asked | None = None  # the question whose answer was typed and not acknowledged
    typed: int = 0  # lines
    finished: Asked | None = None

    def __post_init__(self) -> None:
        self.process = Begun("walk", *self.arguments, book=self.book, env={**os.environ, "CLAMPBOOK_CLOCK": self.clock})

    def walk(self, most: int | None = None) -> None:
        """Answer until the run is over, or until `most` lines were typed, the last of them just now."""
        typed: tuple[str, ...] = ()
        tries = 0
        for said in self._objects():
            match said:
                case {"prompt": _}:
                    if self.waiting is None:
                        self.waiting, typed, tries = said, self.hand.answer(said), 0
                    tries += 1
                    assert tries <= _TRIES, f"no answer is taken: {typed[0]!r} to {said}"
                    self._type(typed[0])
                    typed = typed[1:] or typed
                    if self.typed == most:
                        return
                case {"stored": number}:
                    self._acknowledged(number)
                case {"finished": _}:
                    self.finished = said

    def kill(self) -> None:
        """SIGKILL, and what it still said before is heard."""
        self.process.kill()
        rest, talk = self.process.communicate(timeout=60)
        assert b"Traceback" not in talk, talk.decode()
        for line in rest.splitlines(keepends=True):
            if line.endswith(b"\n") and (number := json.loads(line).get("stored")) is not None:
                self._acknowledged(number)

    def end(self) -> int:
        """The exit status, once it has ended by itself."""
        _, talk = self.process.communicate(timeout=60)
        assert b"Traceback" not in talk, talk.decode()
        return self.process.returncode

    def _acknowledged(self, number: int) -> None:
        assert self.waiting is not None
        self.stored.append((number, self.waiting))
        self.hand.stored(self.waiting)
        self.waiting = None

    def _type(self, line: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{line}\n".encode())
        self.process.stdin.flush()
        self.typed += 1

    def _objects(self) -> Iterator[Asked]:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            yield json.loads(line)


def runs(book: Path) -> list[Path]:
    """The folders of the book's runs."""
    return sorted(path for path in (book / "runs").glob("*") if not path.name.startswith("."))


def daybook(run: Path) -> list[Line]:
    """The whole lines of a run's daybook; one that a kill tore off is none of them."""
    return [json.loads(line) for line in (run / "daybook.jsonl").read_bytes().split(b"\n")[:-1]]


def answers(lines: list[Line]) -> list[Line]:
    """The lines that answers of the script became."""
    return [line for line in lines if line["event"] not in BY_ITSELF]
