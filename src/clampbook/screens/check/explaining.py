"""Help in a check: what this question wants, its keys and words, and all figures so far."""

from __future__ import annotations

from clampbook.check import prompts as ask
from clampbook.check.deciding import Session
from clampbook.check.plan import PHASES
from clampbook.check.prompts import judged
from clampbook.check.wording import MARKS, VERIFICATION, details, sentence
from clampbook.screens.check.answering import MENU
from clampbook.screens.check.figures import all_figures

_KEYS = (
    "Enter keeps what was typed. An empty Enter answers nothing.",
    "+ or the space bar: loaded once. - the pull just made was bad: jerk, chatter, slipped socket.",
    "/ writes a note; * opens the list of all else; * and 0 pauses.",
    "Backspace on an empty field corrects the last reading. Esc goes back, and nothing is changed.",
    "F1 or ? this help; F2 all actions; F4 dark or bright.",
    "Ctrl-C, Ctrl-Z or closing the window is a safe pause: each answer is stored before the next question.",
    "A tool that types by itself is taken at its word: its line is a reading, never a key.",
)
_WORDS = (
    "deviation: (indicated − reference) ÷ reference, as in ISO 6789; above zero the tool says more than there is.",
    "as found: before anybody adjusted the tool. as left: after that. Both are kept.",
    "permitted: how far the tool may be off, either way.",
    "within: every reading is inside, also with all that is not known of the reference.",
    "outside: a reading lies beyond, whatever the reference may be off. The tool is withdrawn at once.",
    "cannot be decided: the reference is not known well enough for the one or the other.",
    "apart on average: by how much one way of pulling lies above the other.",
)


def help_at(prompt: ask.Prompt, session: Session) -> tuple[str, ...]:
    """Help as lines; one that begins with "# " is a heading."""
    return (
        "# This question",
        sentence(prompt),
        *details(prompt),
        "",
        "# The picture",
        "Every pull by how far it was off; the dashed lines are what is permitted, · is still to come.",
        f"{MARKS['within']} as permitted, {MARKS['outside']} beyond.",
        "",
        "# Keys",
        *_KEYS,
        "",
        "# Something else",
        *(f"* {choice.key}  {choice.text}" for choice in MENU),
        "",
        "# Words",
        *_WORDS,
        "",
        "# What this check rests on",
        *session.plan.assumed,
        VERIFICATION,
        "",
        *figures_at(session),
    )


def figures_at(session: Session) -> tuple[str, ...]:
    """All figures so far, as found and as left."""
    phases = tuple((phase.capitalize(), judged(session.plan, session.progress, phase)) for phase in PHASES)
    return all_figures(phases, session.plan.tool.unit)
