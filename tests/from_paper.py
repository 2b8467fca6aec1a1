"""A paper form on which nothing stands, typed in to its end."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from clampbook.book.scans import read_scan
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.of_the_form import digits_of
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import conclude, walking
from clampbook.people import NOT_NAMED
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run_folder import RunFolder
from sealing import START, Shop


def typed_in(at: Shop, *scans: Path) -> RunFolder:
    """A form of the valve cover with these scans, typed in to its end: nothing stands on it."""
    work, began = work_named(at.book, "cover"), START - timedelta(hours=2)
    terms = Terms(person=at.ines, done_by=NOT_NAMED, on_paper_from=began, form=digits_of(work))
    run = open_run(at.book, work, terms, at.clock, "handed in")
    files = tuple(map(read_scan, scans))
    with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True, scans=files) as walk:
        while not isinstance(walk.prompt, ask.Ended):
            outcome = walk.answer(_nothing(at, walk.prompt))
            assert isinstance(outcome, Accepted), (walk.prompt, outcome)
    conclude(at.book, run)
    return run


def _nothing(at: Shop, prompt: ask.Prompt) -> a.Answer:
    match prompt:
        case ask.PaperTime():
            return a.PaperTime()
        case ask.TakeTool():
            return a.TakeUp("not-on-form")
        case ask.SignOff(role="typed in by"):
            return a.Sign(at.ines)
        case ask.Finished():
            return a.Finish(accepted=True)
        case _:
            return a.Blank()
