"""A scan of the paper form lies in the run's folder: told, and never read."""

from __future__ import annotations

from clampbook.run import events as e
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.kinds.kind import Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress


def fold(plan: Plan, progress: Progress, event: e.ScanAdded) -> Progress:
    """Nothing comes of it: what stands on it is typed."""
    del plan, event
    return progress


def acts(line: Line, event: e.ScanAdded) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.ScanAdded, plan: Plan, tools: Tools) -> str:
    """Tell its name in the folder, and how large it is."""
    del plan, tools
    return f"Scan added: {event.name}, {event.size} bytes."
