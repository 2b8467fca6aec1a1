"""The list of frames that a draft can get, and the one that is chosen put into its text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clampbook.help.frames import FRAMES, frame
from clampbook.help.keys import header_of, says_of
from clampbook.screens.draft.asked import Asked

if TYPE_CHECKING:
    from clampbook.screens.draft.screen import Drafting

_ONCE = ("[layout]", "[joints]")
_SAID = {"layout": "Layout of rows", "circle": "Layout on a circle"}


def inserting(screen: Drafting) -> Asked:
    """Ask which frame; it stands behind the table that the cursor is in."""

    def chosen(table: str) -> None:
        text = frame(table)
        header = text.partition("\n")[0]
        there = next((n for n, line in enumerate(screen.sheet_text.document.lines, 1) if line.startswith(header)), None)
        if header in _ONCE and there is not None:
            screen.go_to(there)
            screen.tell(f"{header} is there already. A procedure has one.")
            return
        screen.remove_class("-beside")
        screen.sheet_text.focus()
        screen.sheet_text.add_table(text)

    choices = {table: _SAID.get(table) or _in_words(table) for table in FRAMES}
    return Asked(screen.path.name, "frame", "What do you want to insert?", choices, chosen, deed="insert")


def _in_words(table: str) -> str:
    do = table.removeprefix("stage.")
    return f"{header_of(table) if do == table else f'Stage {do}'}: {says_of(table)}"
