"""Lists on the screen: choices by key, and the items of the start sheet with what was answered."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content

from clampbook.screens.meaning import Row
from clampbook.text import printable

_SHORT_LABEL = 6  # characters; labels that are their own key and no longer than this stand in one line
_LONGEST_NAME = 34


class Item(Struct, frozen=True):
    """One line of the start sheet: what is asked, what was answered (None: not yet), and whether it is asked now."""

    name: str
    answer: str | None
    now: bool = False


def apart(choices: Sequence[Row]) -> tuple[str, tuple[Row, ...]]:
    """Labels that are their own key, joined into one line, and the choices that need a line each."""
    bare = tuple(choice.key for choice in choices if choice.key == choice.text and len(choice.key) <= _SHORT_LABEL)
    return "  ".join(bare), tuple(choice for choice in choices if choice.key not in bare)


def choices_shown(choices: Sequence[Row], field: str) -> Content:
    """One choice a line, its key bold; the one that stands in the field is reversed. Bare labels share a line."""
    bare, others = apart(choices)
    width = max((len(choice.key) for choice in others), default=0)
    lines = [Content(printable(bare))] if bare else []
    for choice in others:
        text = Content.assemble((f"{printable(choice.key):>{width}}", "bold"), f"  {printable(choice.text)}")
        lines.append(text.stylize("reverse") if field.strip() == choice.key else text)
    return Content("\n").join(lines)


def items_shown(items: tuple[Item, ...], width: int) -> Content:
    """The form: what is answered with its answer, what is asked now, and what is still to come."""
    longest = min(max((cell_len(item.name) for item in items), default=0), _LONGEST_NAME, max(width - 12, 8))
    return Content("\n").join(_item(item, longest) for item in items)


def _item(item: Item, width: int) -> Content:
    name = printable(item.name)
    name = name if len(name) <= width else f"{name[: width - 1]}…"
    if item.now:
        return Content.styled(f"▸ {name:<{width}}  {printable(item.answer or '')}".rstrip(), "bold")
    if item.answer is not None:
        return Content(f"  {name:<{width}}  {printable(item.answer)}")
    return Content.styled(f"  {name:<{width}}  ·", "$quiet")
