"""The menu of wishes: what somebody wants to do, and the command that does it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wish:
    """A wish, and the command after `clampbook` that fulfils it; words in capitals stand for names of one's own."""

    wish: str
    command: str


WISHES = (
    Wish("Look at an example", "demo"),
    Wish("Make a book of my own", 'new --name "Our workshop"'),
    Wish("Write a procedure of my own", "draft"),
    Wish("Start a procedure from a sample", "new --from NAME"),
    Wish("Find errors and queries in a procedure", "review PROCEDURE"),
    Wish("Tighten a joint", "walk NAME"),
    Wish("Continue where I stopped", "walk --resume"),
    Wish("See what is due", "due"),
    Wish("Do the follow-up of a run", "walk --of RUN"),
    Wish("Take the steps along on paper", "form FILE"),
    Wish("Type in a filled paper form", "walk NAME --late"),
    Wish("Find a closed run", "find WORDS"),
    Wish("Read a record, or print its report", "record RUN"),
    Wish("Save readings for a spreadsheet", "export --csv"),
    Wish("See how readings change over time", "trend --tool W5"),
    Wish("See which tools are ready", "tools"),
    Wish("See which tool suits which stage", "match FILE"),
    Wish("Check a tool against a reference", "check W5"),
    Wish("List work that a bad tool was used on", "affected W5"),
    Wish("Work out a setting with an adapter", "setting --help"),
    Wish("Estimate clamp load from torque", "estimate --help"),
    Wish("Release a procedure", "release NAME"),
    Wish("Sign with a key", "keys make PERSON"),
    Wish("Check that nothing was changed", "verify"),
)
