"""The acts that can be said at any prompt: a table of them, most of it numbered as the menu of other actions.

A number means the same everywhere; what does not fit a prompt is left out there.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from clampbook.run.acts import (
    abandon,
    another_position,
    arrived,
    bad_pull,
    broken,
    change_tool,
    correct,
    drop,
    form_time,
    hand_over,
    hold,
    note,
    pause,
    skip,
    suspect_tool,
    turn_map,
    void,
)
from clampbook.run.acts.at_hand import NONE_OF_THEM, is_pull, position_at_hand
from clampbook.run.gather.asking import labels
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next
from clampbook.run.on_form.asked_on_form import of_a_form
from clampbook.run.prompts import Choice, Confirm, Ended, Prompt
from clampbook.run.session import Session

Fits = Literal["everywhere", "pull", "position", "form", "pull on form"]
Done = Literal["all", "all but one", "not asked"]


class Item(Struct, frozen=True):
    """One thing that can be said: the number to type, None where it stands on no menu; the act, and what asks for its
    parts, None where it is only shown.

    `fits` is where it is offered. `done`: where several pulls are confirmed in one answer, how many of them may be done
    when it is said, or that nobody is asked.
    """

    number: int | None
    act: str
    text: str
    complete: Callable[[Prompt, Session, Draft], Next] | None
    fits: Fits = "everywhere"
    done: Done = "all"
    on_form: str | None = None  # what it is called where a paper form is typed in, if that is something else

    @property
    def value(self) -> str:
        """The act in snake case, which scripts rely on."""
        return self.act.replace(" ", "_")


ITEMS = (
    Item(0, "pause", "Pause", pause.complete),
    Item(1, "correct", "Correct the last answer", correct.complete),
    Item(
        2,
        "pulled another",
        "I pulled another bolt",
        another_position.complete,
        "pull",
        "all but one",
        "Another row came first",
    ),
    Item(3, "skip", "Skip this bolt for now", skip.complete, "position", "all but one"),
    Item(4, "broken", "It broke or stripped", broken.complete, "position", "all but one"),
    Item(5, "never reaches", "It does not reach the torque", broken.never_reaches, "pull", "all but one"),
    Item(6, "wrong part", "Part wrong or missing", broken.wrong_part, "position", "all but one"),
    Item(7, "dropped", "A tool was dropped", drop.complete),
    Item(8, "change tool", "Use another tool", change_tool.complete, on_form="Another tool stands there"),
    Item(9, "void", "Void the last pull", void.complete, on_form="The last pull is crossed out"),
    Item(10, "hand over", "Hand over", hand_over.complete, on_form="Other initials stand there"),
    Item(11, "hold", "Put the run on hold", hold.complete),
    Item(12, "turn map", "Turn the map", turn_map.complete, done="not asked"),
    Item(13, "last three", "Show the last three bolts", None),
    Item(14, "abandon", "Abandon the run", abandon.complete),
    Item(15, "help", "Help", None),
    Item(16, "suspect tool", "Flag a tool as suspect", suspect_tool.complete),
    Item(17, "note", "Write a note", note.complete, done="not asked"),
    Item(18, "form time", "Another time stands there", form_time.complete, "form", "not asked"),
    Item(19, "bad pull", "This pull is crossed out (x)", bad_pull.complete, "pull on form", "all but one"),
)
_WITH_A_KEY = (  # or that come by themselves
    Item(None, "arrived", "A number came in", arrived.complete, done="not asked"),
)
_BY_NUMBER = {item.number: item for item in ITEMS}
_BY_ACT = {item.act: item for item in (*ITEMS, *_WITH_A_KEY)}


def items(prompt: Prompt) -> tuple[Item, ...]:
    """The lines of the menu that fit this prompt."""
    return tuple(item for item in ITEMS if _fits(item, prompt))


def numbered(number: int, prompt: Prompt) -> Item | None:
    """The line with this number, if it fits here."""
    item = _BY_NUMBER.get(number)
    return item if item is not None and _fits(item, prompt) else None


def of_value(value: str, prompt: Prompt) -> Item | None:
    """The line that a choice of this value stands for, if it fits here."""
    return next((item for item in items(prompt) if item.value == value), None)


def called(item: Item, prompt: Prompt) -> str:
    """The name of a line of it at this prompt."""
    return item.on_form if item.on_form is not None and of_a_form(prompt) else item.text


def choices(prompt: Prompt) -> tuple[Choice, ...]:
    """The menu as choices."""
    return tuple(Choice(str(item.number), called(item, prompt), item.value) for item in items(prompt))


def _fits(item: Item, prompt: Prompt) -> bool:
    if isinstance(prompt, Ended):
        return False
    match item.fits:
        case "everywhere":
            return True
        case "pull":
            return is_pull(prompt)
        case "form":
            return of_a_form(prompt)
        case "pull on form":
            return is_pull(prompt) and of_a_form(prompt)
        case "position":
            return position_at_hand(prompt) is not None


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Give what is asked next of an act; first, where several pulls are confirmed in one answer, how far they
    are done.
    """
    item = _BY_ACT[draft.act]
    assert item.complete is not None, "only shown"
    return _done_up_to(item, prompt, draft) or item.complete(prompt, session, draft)


def _done_up_to(item: Item, prompt: Prompt, draft: Draft) -> Part | None:
    if not isinstance(prompt, Confirm) or not prompt.positions or prompt.pull is None:
        return None
    if item.done == "not asked" or draft.has("done up to"):
        return None
    positions = prompt.positions[:-1] if item.done == "all but one" else prompt.positions
    if not positions:
        return None
    return Part("done up to", "Which bolt was done last?", "choice", (*labels(positions), NONE_OF_THEM))
