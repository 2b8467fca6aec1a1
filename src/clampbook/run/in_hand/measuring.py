"""Measuring with an instrument: what a step wants of one, and which one serves its stage.

An instrument is asked for once a stage. Where the book has none that could measure it nothing is asked.
"""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.procedure.model import Measure
from clampbook.procedure.naming import within_a_sentence
from clampbook.run.fold.measured import before_it
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Progress
from clampbook.tools.demand import Demand, First
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
    before = None if progress is None else before_it(plan, progress, step)
    demand = demanded(plan.stages, plan.stage_of(step), None if before is None else before.value)
    if demand is None or before is None or before.by is None:
        return demand
    return replace(demand, first=First(before.by, _what(plan, before.name)))


def _what(plan: Plan, name: str) -> str:
    """Give what a stage of this name measures, as it stands within a sentence."""
    stage = next(each for each in plan.stages if each.id == name)
    return within_a_sentence(stage.what) if isinstance(stage, Measure) else name
