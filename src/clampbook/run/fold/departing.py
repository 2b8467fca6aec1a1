"""Lines that depart from the procedure by themselves: that came late, hold an unusual value, or note something."""

from __future__ import annotations

from clampbook.run.events import Event, LeftBlank, PaperTime, ToolTaken
from clampbook.run.fold.passes import PULL_ON, UNMOVED
from clampbook.run.session import BETWEEN_LINES

NOT_ALL_TICKED = "not all ticked"  # of the lines of a block on a paper form
NOTED_ONLY = ("the same as the reading before", UNMOVED, PULL_ON)  # worth a note beside the reading, and no more


def unusual(event: Event) -> str | None:
    """The code of what made its value unusual; what was read between two lines departs from nothing."""
    found: str | None = getattr(event, "unusual", None)
    return None if found == BETWEEN_LINES else found


def departs(event: Event, before: str) -> bool:
    """True where a line departs by itself, whatever comes of it; `before` is the time of the line before it."""
    noted = bool(event.noted) and any(each not in NOTED_ONLY for each in event.noted)
    return (
        isinstance(event, LeftBlank)
        or (isinstance(event, ToolTaken) and event.adapter_blank is True)
        or (isinstance(event, PaperTime) and event.stands is not None)
        or event.late is not None
        or unusual(event) is not None
        or noted
        or event.at < before
    )
