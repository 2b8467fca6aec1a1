"""The question about answers that nobody saved: gone on with, or discarded."""

from __future__ import annotations

from collections.abc import Callable

from clampbook.book.drafting.kept_answers import Found
from clampbook.procedure.guided.talk import Talk
from clampbook.screens.draft.asked import Asked
from clampbook.text import quoted
from clampbook.units import show_day


def offered(
    found: Found, resume: Callable[[Talk], None], discard: Callable[[], None], leave: Callable[[], None]
) -> Asked:
    """Ask what becomes of them. Esc leaves, and they stay."""
    choices = {
        "resume": "Go on where they end. Nothing is saved before the last question",
        "discard": "Begin a new procedure, and discard them",
    }
    when = f"{show_day(found.at.date().isoformat())}, {found.at:%H:%M}"
    about = quoted(found.talk.answers.title) if found.talk.answers.title else "a joint without a name"
    text = f"Answers about {about} of {when} were not saved. What do you want to do?"

    def chosen(key: str) -> None:
        if key == "resume":
            resume(found.talk)
        else:
            discard()

    return Asked("New procedure", "answers", text, choices, chosen, leave)
