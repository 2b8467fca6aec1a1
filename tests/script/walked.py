"""The golden runs as a script of the program: what was asked, what can be typed, and what was said of the answer."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from pathlib import Path

from clampbook.demo import TOOLS_OF_THE_MUSEUM
from clampbook.people import Person
from clampbook.record import frozen
from clampbook.record.frozen import Frozen
from clampbook.run import asked, kinds
from clampbook.run.events import Event, Opened
from clampbook.run.fold.apply import begin
from clampbook.run.fold.follow import follow, tell
from clampbook.run.gather.keys import can_be_typed, listed
from clampbook.run.lines import stored
from clampbook.run.next_prompt import prompt
from clampbook.run.prompts import Ended, Inspect
from clampbook.run.session import Session
from clampbook.tools.reader import read_stock

GOLDEN = Path(__file__).parent.parent / "golden"
RUNS = tuple(sorted(folder.name for folder in GOLDEN.iterdir() if folder.is_dir()))
_WIDTH = 80
_TOOLS = read_stock(TOOLS_OF_THE_MUSEUM.format(recent="2026-01-12").encode(), "tools.toml")
_PEOPLE = tuple(Person(id=name.lower(), name=name) for name in ("Ines", "Tomas", "Maud", "Okke"))


def script(run: str) -> str:
    """All of one run, the details and keys of a question only where one of its shape comes for the first time."""
    return "\n".join(_lines(GOLDEN / run)) + "\n"


def sentences(run: str) -> tuple[str, ...]:
    """The sentences of all steps of one run, but for the questions that the procedure asks in its own words."""
    moments = (session for session, _ in _moments(_read(GOLDEN / run)))
    prompts = (prompt(session) for session in moments)
    return tuple(
        asked.words(now).sentence for now in prompts if isinstance(now, kinds.Asked) and not isinstance(now, Inspect)
    )


def _read(folder: Path) -> Frozen:
    names = ("procedure.toml", "plan.json", "daybook.jsonl")
    return frozen.read(*((folder / name).read_bytes() for name in names))


def _moments(run: Frozen) -> Iterator[tuple[Session, Event]]:
    """Each line with how the run stood before it."""
    progress = begin(run.plan)
    for event in run.events:
        yield Session(run.plan, progress, _TOOLS.tools, _PEOPLE), event
        progress = follow(run.plan, progress, event).progress


def _lines(folder: Path) -> Iterator[str]:
    run, told = _read(folder), set[str]()
    for session, event in _moments(run):
        if not isinstance(event, Opened):
            yield from _asked(session, told)
        yield from _wrapped(stored(event, run.plan, session.tools), "    > ")
    progress = tell(run.plan, run.events).progress
    yield from _asked(Session(run.plan, progress, _TOOLS.tools, _PEOPLE), told)


def _asked(session: Session, told: set[str]) -> Iterator[str]:
    now = prompt(session)
    words, keys = asked.words(now), asked.keys(now)
    yield from _wrapped(words.sentence, "")
    shape = re.sub(r"[0-9.]+|[A-Z]\d", "", f"{type(now).__name__} {words.sentence}")
    if shape in told or isinstance(now, Ended):
        return
    told.add(shape)
    for line in words.matters:
        yield from _wrapped(line, "  ")
    for choice in listed(keys):
        yield from _wrapped(f"{choice.key} {choice.text}", "    ")
    yield from _wrapped(can_be_typed(keys), "  ")


def _wrapped(line: str, before: str) -> list[str]:
    after = before.replace(">", " ") + ("  " if before else "")
    return textwrap.wrap(line, _WIDTH, initial_indent=before, subsequent_indent=after, break_on_hyphens=False)
