"""All actions: everything that can be done at this moment, in one list that is searched by typing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

from textual.content import Content

from clampbook.screens.choosing import choices_shown
from clampbook.screens.hinting import BACK_HINT
from clampbook.screens.key_meaning import Wanted
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint

_TEXT = "Type part of a name, or its number."


@dataclass(frozen=True, slots=True)
class Action:
    """Something that can be done: what it is, the key that does the same, the deed, and its number in the list of
    other actions (*), where it stands there too.
    """

    text: str
    key: str
    do: Callable[[], None]
    number: int | None = None


class Actions(Questions):
    """The list of all actions; the chosen one is done once the list is gone."""

    then = (
        "The list shows what matches so far. Enter does the one that is left.",
        "Esc goes back, and nothing is done.",
    )

    def __init__(self, actions: tuple[Action, ...]) -> None:
        self.actions = actions
        super().__init__(Question("action", _TEXT, "line", _choices(actions)))

    def heading(self) -> str:
        """The top line."""
        return "All actions"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (KeyHint("Enter", "do it"), KeyHint("↑ ↓", "choose"), BACK_HINT)

    def want(self) -> Wanted:
        """Letters and digits are typed."""
        return Wanted(field=True, text=True, part=True)

    def found(self) -> tuple[Action, ...]:
        """The actions that what was typed can mean: by number, else by words."""
        typed = self.field.strip().casefold()
        by_number = [choice.key for choice in self.part.choices].index(typed) if self._is_number(typed) else None
        if by_number is not None:
            return (self.actions[by_number],)
        words = typed.split()
        return tuple(action for action in self.actions if all(word in action.text.casefold() for word in words))

    def listed(self) -> Content:
        """Give the list of what is found, with the numbers they always have."""
        found = self.found()
        return choices_shown(
            tuple(c for c, action in zip(self.part.choices, self.actions, strict=True) if action in found),
            self.field,
            self.columns,
        )

    def take(self, line: str) -> None:
        """Do the only one that was found."""
        self.field = line
        found = self.found() if line.strip() else ()
        if len(found) == 1:
            self.dismiss()
            self.app.call_later(found[0].do)
        else:
            self.tell("Type more of it." if found else "No action matches." if line.strip() else "")

    def back(self) -> None:
        """Nothing is done."""
        if self.is_current:
            self.dismiss()

    def _is_number(self, typed: str) -> bool:
        return any(choice.key == typed for choice in self.part.choices)


def _choices(actions: tuple[Action, ...]) -> tuple[Line, ...]:
    """Each with the number that it has everywhere; those without one follow."""
    further = count(max((action.number for action in actions if action.number is not None), default=0) + 1)
    return tuple(
        Line(
            str(action.number if action.number is not None else next(further)),
            f"{action.text}  ({action.key})" if action.key else action.text,
        )
        for action in actions
    )
