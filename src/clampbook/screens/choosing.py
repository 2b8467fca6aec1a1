"""Lists on the screen: choices by key, and the items of the start sheet with what was answered."""

from __future__ import annotations

from rich.cells import cell_len
from textual.content import Content

from clampbook.run.prompts import Choice
from clampbook.screens.shown import Item, apart
from clampbook.text import printable

_LONGEST_NAME = 34


def choices_shown(choices: tuple[Choice, ...], field: str) -> Content:
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
