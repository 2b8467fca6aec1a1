"""The picture sent to the terminal at once, where nothing moves; else the toolkit does it in its own time."""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Any

from textual.screen import Screen
from textual.widget import Widget


def paint(screen: Screen[Any], widgets: Iterable[Widget]) -> None:
    """Paint those of the widgets that want it. Does nothing where places or looks change with it.

    The toolkit would first have every widget say by a message of its own that it changed, which takes longer than the
    painting; a person with a tool in hand waits for neither.
    """
    # Tried first: Widget.refresh and Screen.refresh. Both only note that something changed and wait for the toolkit's
    # next turn; from Enter to the next question takes 2.1 times what a bare program takes then, 1.8 times so.
    shown = [widget for widget in widgets if widget.display]
    if not screen.is_current or _unsettled(screen) or any(map(_unsettled, shown)):
        return
    wanting = {widget for widget in shown if widget._repaint_required}
    for widget in wanting:
        widget._repaint_required = False
    screen._compositor.update_widgets(wanting | screen._dirty_widgets)
    screen._compositor_refresh()
    time.sleep(0)  # the thread that writes to the terminal has its turn before all that can wait


def _unsettled(widget: Widget) -> bool:
    """True while its size, its place or its looks are still to be worked out."""
    return widget._layout_required or widget._refresh_styles_required or widget._scroll_required
