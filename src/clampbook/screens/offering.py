"""The offer of the list of all actions, on top of each screen."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from textual.screen import Screen

from clampbook.screens.actions import Action

if TYPE_CHECKING:
    from clampbook.screens.walk import WalkScreen


def offered(screen: Screen[object], everywhere: tuple[Action, ...], stop: Callable[[], None]) -> tuple[Action, ...]:
    """All actions at this moment, those of the screen at hand first; `stop` leaves the program."""
    from clampbook.screens.walk import WalkScreen

    if isinstance(screen, WalkScreen):
        from clampbook.run.acts.menu import called

        prompt = screen.gathering.prompt
        own = tuple(
            Action(called(item, prompt), f"*{item.number}", partial(screen.do, f"* {item.number}"), item.number)
            for item in screen.menu_items()
        )
        map_and_sheet = (
            Action("Turn the map a quarter", "F3", screen.turn_map),
            Action("Describe the map in words", "", screen.tell_map),
            Action("View the procedure", "", partial(_procedure, screen)),
        )
        about = Action("About this step", "F1", screen.explain)
        return (*own, *map_and_sheet, about, *everywhere, Action("Pause and quit", "Ctrl-C", stop))
    of_screen = getattr(screen, "actions", None)
    own = of_screen() if callable(of_screen) else ()
    return (*own, *_if_any("Help", "F1", getattr(screen, "explain", None)), *everywhere, Action("Quit", "Ctrl-C", stop))


def _if_any(text: str, key: str, do: Callable[[], None] | None) -> tuple[Action, ...]:
    return (Action(text, key, do),) if do is not None else ()


def _procedure(screen: WalkScreen) -> None:
    from clampbook.screens import procedure_view
    from clampbook.screens.page import Page

    plan = screen.taken.walk.plan
    screen.app.push_screen(Page(procedure_view.heading(plan), procedure_view.lines(plan)))
