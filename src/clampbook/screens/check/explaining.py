"""Help in a check: what this question asks, its keys and words, and all figures so far."""

from __future__ import annotations

from clampbook.check import prompts as ask
from clampbook.check import rests_on
from clampbook.check.deciding import Session
from clampbook.check.plan import PHASES
from clampbook.check.prompts import judged
from clampbook.check.wording import MARKS, VERIFICATION, details, sentence
from clampbook.screens.check.answering import MENU
from clampbook.screens.check.figures import all_figures

_KEYS = (
    "Enter saves what you typed. An empty Enter answers nothing.",
    "+ or the space bar: done. - bad pull: jerk, chatter, slipped socket.",
    "/ writes a note, * opens other actions, * and 0 pauses.",
    "Backspace on an empty field corrects the last reading. Esc goes back, and nothing changes.",
    "F1 or ? help, F2 actions, F4 dark or bright.",
    "Ctrl-C, Ctrl-Z or closing the window pauses. Each answer is saved before the next question.",
    "A line that a tool sends by itself is a reading, never a key.",
)
_WORDS = (
    "off by: (indicated − reference) ÷ reference, as in ISO 6789. Above zero the bolt gets less than the tool says.",
    "allowed: the limit for that, either way.",
    "as found: before any adjustment. as left: after it. Both are saved.",
    "passed: every reading is inside its limit, uncertainty included.",
    "failed: one is outside, whatever the uncertainty. The tool is out of service at once.",
    "undecided: the reference cannot tell.",
    "apart: how far one technique reads above the other, on average. ? no difference can be told.",
    "95 % interval: the true difference lies in it, nineteen times in twenty.",
)


def help_at(prompt: ask.Prompt, session: Session) -> tuple[str, ...]:
    """Help as lines; one that begins with "# " is a heading."""
    return (
        "# This question",
        sentence(prompt),
        *details(prompt),
        "",
        "# The picture",
        "Every pull, by how far it is off. The dashed lines are what is allowed, · is still to come.",
        f"{MARKS['passed']} inside, {MARKS['failed']} outside.",
        "",
        "# Keys",
        *_KEYS,
        "",
        "# Other actions",
        *(f"*{choice.key}  {choice.text}" for choice in MENU),
        "",
        "# Words",
        *_WORDS,
        "",
        "# What this check rests on",
        *rests_on.told(session.plan),
        VERIFICATION,
        "",
        *figures_at(session),
    )


def figures_at(session: Session) -> tuple[str, ...]:
    """All figures so far, as found and as left."""
    phases = tuple((phase.capitalize(), judged(session.plan, session.progress, phase)) for phase in PHASES)
    return all_figures(phases)
