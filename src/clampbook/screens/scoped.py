"""The rule of all screens: nothing is done on one before its parts are there, nor after it was left.

A screen that is left stays alive for a moment: keys that were typed ahead, a timer, a call for after the next painting
still find it, and its parts no more. All that comes through here, so no handler has to ask whether there is something.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual import events
from textual.app import ScreenStackError
from textual.screen import Screen

_OF_ITS_PARTS = (events.Mount, events.Resize, events.ScreenResume, events.Timer)


class Scoped(Screen[None], inherit_bindings=False):
    """A screen whose handlers, timers and later calls run only while it is there, and its keys while it is on top."""

    @property
    def is_up(self) -> bool:
        """True once the screen was put up, until it is left."""
        # is_running alone stays true until the last message was handled, long after exit was called; _exit alone says
        # nothing where the program is taken down without it.
        try:
            return self.app.is_running and not self.app._exit and self in self.app.screen_stack
        except (ScreenStackError, KeyError):
            return False

    async def on_event(self, event: events.Event) -> None:
        """The toolkit's own way for every event, but for those that would find no parts any more."""
        if isinstance(event, events.InputEvent) and not (self.is_up and self.is_active):
            event.stop()
            return
        if isinstance(event, _OF_ITS_PARTS) and not self.is_up:
            return
        await super().on_event(event)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Bindings of a screen that is not yet made, or was left, do nothing."""
        return self.is_up and self.is_mounted and super().check_action(action, parameters)

    def call_after_refresh(self, callback: Callable[..., Any], *args: Any, **kwargs: Any) -> bool:
        """Call something once all is painted, if the screen is still there then."""
        return super().call_after_refresh(self.if_up, callback, *args, **kwargs)

    def from_thread(self, callback: Callable[..., Any], *args: Any) -> None:
        """Call something from the thread of a worker, if the screen is still there then."""
        self.app.call_from_thread(self.if_up, callback, *args)

    def if_up(self, callback: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
        """Call something now, if the screen is there."""
        return callback(*args, **kwargs) if self.is_up else None
