"""Measuring with an instrument: what a step wants of one, and which one serves its stage.

An instrument is asked for once a stage. Where the book has none that could measure it nothing is asked.
"""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.run.fold.measured import taken_off
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Progress
from clampbook.tools.demand import Demand
from clampbook.tools.measured import demanded
from clampbook.tools.model import Tool

NOT_LISTED = Tool(id="not-listed", name="another one, not in tools.toml", kind="not listed", unit="")


def serving(stage: int) -> str:
    """The need that an instrument serves, as progress keeps it: the measuring of one stage."""
    return f"measure {stage}"


def not_listed(demand: Demand) -> Tool:
    """Whatever measures in this unit and does not stand in tools.toml."""
    return replace(NOT_LISTED, unit=demand.unit or "")


def measured(plan: Plan, step: Step, progress: Progress | None = None) -> Demand | None:
    """Give what a step wants of an instrument, with what was measured so far (`progress`); None where nothing is
    measured, or with none that a book lists."""
    off = None if progress is None else taken_off(plan, progress, step)
    return demanded(plan.stages, plan.stage_of(step), off)
