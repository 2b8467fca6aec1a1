"""A book at the Whinchat in which Ines and Maud sign with keys, and a small run that they walked, signed and sealed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from clampbook.book.book import Book
from clampbook.book.keys import make_key
from clampbook.book.sealing.of_run import Signing
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import conclude, walking
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.walk import Walk
from clampbook.run_folder import RunFolder
from covers import LOOKED_AT, SIGNED_OFF, TIGHTENED, cover
from museum import own
from signers import PHRASE

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
COVER = cover(TIGHTENED, LOOKED_AT, SIGNED_OFF, 'inspector = "required, another person"\n', screws="1-2")
TOOLS = """\
[[tool]]
id = "w5"
name = "W5"
kind = "indicating"
unit = "N·m"
range = ["1 N·m", "80 N·m"]
resolution = "0.1 N·m"
"""


class Ticking:
    """A clock that goes on by three seconds whenever it is looked at."""

    def __init__(self, at: datetime = START) -> None:
        self.at = at

    def now(self) -> datetime:
        """The next time."""
        self.at += timedelta(seconds=3)
        return self.at


@dataclass(frozen=True)
class Shop:
    """The book, its people and its clock."""

    book: Book
    ines: Person
    maud: Person
    clock: Ticking


def shop(folder: Path, *, keys: bool = True) -> Shop:
    """A book with one procedure, one tool and two people; with keys unless they only type their names."""
    book = Book.create(folder, "Whinchat")
    own(book.root, "cover", COVER)
    (book.root / "tools.toml").write_text(TOOLS, encoding="utf-8")
    found = Shop(book, book.person_named("Ines"), book.person_named("Maud"), Ticking())
    for person in (found.ines, found.maud) if keys else ():
        make_key(book, person, PHRASE, Stamp(START, "+00:00", person.id))
    return found


def walked(at: Shop, *, reading: str = "30.1", over: bool = False) -> RunFolder:
    """The valve cover, tightened by Ines, looked at by Maud, signed for by both, and closed; nothing is sealed yet."""
    terms = Terms(person=at.ines, equipment="Whinchat")
    run = open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")
    with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk:
        first = True
        while not isinstance(walk.prompt, ask.Ended):
            _answered(walk, _answer(at, walk.prompt, "35" if over and first else reading))
            first = first and not isinstance(walk.prompt, ask.Decide)
    conclude(at.book, run)
    return run


def signed(at: Shop, run: RunFolder) -> Signing:
    """Everybody who announced a signature gives it."""
    signing = Signing(at.book, run, at.clock)
    while signing.wanted is not None:
        signing.text()
        signing.give(PHRASE)
    return signing


def sealed(at: Shop, *, over: bool = False) -> RunFolder:
    """A run that is signed and sealed."""
    run = walked(at, over=over)
    signed(at, run).seal()
    return run


def _answered(walk: Walk, answer: a.Answer) -> None:
    outcome = walk.answer(answer)
    assert isinstance(outcome, Accepted), outcome


def _answer(at: Shop, prompt: ask.Prompt, reading: str) -> a.Answer:
    match prompt:
        case ask.TakeTool():
            return a.TakeUp("w5")
        case ask.ZeroTool():
            return a.Zero("good")
        case ask.Tighten():
            return a.Value(reading)
        case ask.Inspect():
            return a.Look("yes", inspector=at.maud)
        case ask.Decide():
            return a.Resolve("concession", reason="the sheet allows it", person=at.maud)
        case ask.ReturnTool():
            return a.PutBack()
        case ask.SignOff(another_person=True):
            return a.Sign(at.maud)
        case ask.SignOff():
            return a.Sign(at.ines)
        case _:
            return a.Plus()
