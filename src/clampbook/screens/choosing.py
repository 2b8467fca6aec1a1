"""Lists on the screen: choices by key, and the items of the start sheet with what was answered."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len
from textual.content import Content

from clampbook.run.prompts import Choice
from clampbook.screens.key_meaning import Row
from clampbook.text import printable
from clampbook.unit_table import NO_BREAK, unparted

CHOSEN = "reverse"  # the look of the line whose number stands in the field
_SHORT_LABEL = 6  # characters; labels that are their own key and no longer than this stand in one line
_LONGEST_NAME = 34
_APART, _WIDEST = 3, 78  # columns between a choice and what it costs, and up to which that stands
_BROAD = 56  # columns from which on a cost has a line of its own where it needs one
_BETWEEN = " · "  # stands between the parts of a line


class Item(Struct, frozen=True):
    """One line of the start sheet: what is asked, what was answered (None: not yet), and whether it is asked now.

    `remark` is said beside it where there is room.
    """

    name: str
    answer: str | None
    now: bool = False
    remark: str = ""


def apart(choices: Sequence[Row]) -> tuple[str, tuple[Row, ...]]:
    """Labels that are their own key, joined into one line, and the choices that need a line each."""
    bare = tuple(choice.key for choice in choices if choice.key == choice.text and len(choice.key) <= _SHORT_LABEL)
    return "  ".join(bare), tuple(choice for choice in choices if choice.key not in bare)


def choices_shown(choices: Sequence[Row], field: str, columns: int = 0, keys: int = 0) -> Content:
    """One choice a line, its key bold; the one that stands in the field is reversed. Bare labels share a line.

    Within so many `columns` a long text goes on below its beginning, not below its key. The keys stand in as many
    columns as the longest needs, at least in `keys`.
    """
    bare, others = apart(choices)
    width = max((keys, *(len(choice.key) for choice in others)))
    lines = [Content(printable(bare))] if bare else []
    for choice in others:
        told = wrapped(printable(choice.text), columns - width - 2) if columns else [printable(choice.text)]
        text = Content.assemble(
            (f"{printable(choice.key):>{width}}", "bold"), "  ", f"\n{' ' * (width + 2)}".join(told)
        )
        chosen = field.strip() == choice.key
        cost = _cost(choice, min(columns, _WIDEST), width + 2, told[-1])
        lines.append(text.append(cost).stylize(CHOSEN) if chosen else Content.assemble(text, (cost, "$quiet")))
    return Content("\n").join(lines)


def _cost(choice: Row, columns: int, before: int, last: str) -> str:
    """Show what a choice costs, at the end of its `last` line, which has so much `before` it, else on a line of its
    own; on a narrow screen nothing where it does not fit."""
    costs = printable(choice.costs) if isinstance(choice, Choice) else ""
    free = columns - before - cell_len(last)
    if not costs or cell_len(costs) + _APART <= free:
        return costs.rjust(free) if costs else ""
    return f"\n{costs.rjust(columns)}" if columns >= _BROAD else ""


def cost_rows(choices: Sequence[Choice], columns: int) -> int:
    """Count the costs that stand on a line of their own."""
    if not any(choice.costs for choice in choices):
        return 0
    without = tuple(replace(choice, costs="") for choice in choices)
    whole, bare = (choices_shown(each, "", columns).plain.count("\n") for each in (choices, without))
    return whole - bare


def wrapped(text: str, columns: int) -> list[str]:
    """The text in lines of at most so many columns, broken between its parts; a part that is longer is broken between
    words, and a longer word stands in a line of its own. No line begins or ends on a "·".
    """
    lines: list[str] = []
    for part in text.split(_BETWEEN):
        longer = f"{lines[-1]}{_BETWEEN}{part}" if lines else part
        if lines and cell_len(longer) <= columns:
            lines[-1] = longer
        else:
            lines += _words_wrapped(part, columns)
    return lines


def _words_wrapped(text: str, columns: int) -> list[str]:
    lines = [""]
    for unbroken in unparted(text).split(" "):
        word = unbroken.replace(NO_BREAK, " ")
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if not lines[-1] or cell_len(longer) <= columns:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def items_shown(items: tuple[Item, ...], width: int) -> Content:
    """The form: what is answered with its answer, what is asked now, and what is still to come."""
    longest = min(max((cell_len(item.name) for item in items), default=0), _LONGEST_NAME, max(width - 12, 8))
    return Content("\n").join(_item(item, longest, width) for item in items)


def _item(item: Item, names: int, width: int) -> Content:
    name = printable(item.name)
    name = name if cell_len(name) <= names else f"{name[: names - 1]}…"
    lead = f"{'▸' if item.now else ' '} {name:<{names}}  "
    answer = printable(item.answer or "")
    remarked = f"{answer} {printable(item.remark)}".strip()
    told = lead + (remarked if cell_len(lead + remarked) <= width else answer)
    if item.now:
        return Content.styled(told.rstrip(), "bold")
    return Content(told) if item.answer is not None else Content.styled(f"{lead}·", "$quiet")
