"""What the list of all actions offers, on top of which screen."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from clampbook.screens.actions import Action

if TYPE_CHECKING:
    from clampbook.screens.app import Clampbook


def offered(app: Clampbook) -> tuple[Action, ...]:
    """All actions at this moment, those of the screen at hand first."""
    from clampbook.screens.walk import WalkScreen

    screen = app.screen
    common = (
        *_if_any("what this step wants", "F1", getattr(screen, "explain", None)),
        Action("dark or bright", "F4", app.action_look),
        Action(f"bell on over: turn it {'off' if app.bell_on else 'on'}", "", app.action_ring),
    )
    if isinstance(screen, WalkScreen):
        own = tuple(
            Action(item.text, f"*{item.number}", partial(screen.do, f"* {item.number}"), item.number)
            for item in screen.menu_items()
        )
        map_and_sheet = (
            Action("turn the map by a quarter", "F3", screen.turn_map),
            Action("the map in words", "", screen.tell_map),
            Action("look at the procedure", "", partial(_procedure, app, screen)),
        )
        return (*own, *map_and_sheet, *common, Action("pause and leave the program", "Ctrl-C", app.action_stop))
    of_screen = getattr(screen, "actions", None)
    own = of_screen() if callable(of_screen) else ()
    return (*own, *common, Action("leave the program", "Ctrl-C", app.action_stop))


def _if_any(text: str, key: str, do: Callable[[], None] | None) -> tuple[Action, ...]:
    return (Action(text, key, do),) if do is not None else ()


def _procedure(app: Clampbook, screen: object) -> None:
    from clampbook.screens import procedure_view
    from clampbook.screens.page import Page
    from clampbook.screens.walk import WalkScreen

    if isinstance(screen, WalkScreen):
        plan = screen.taken.walk.plan
        app.push_screen(Page(procedure_view.heading(plan), procedure_view.lines(plan)))
