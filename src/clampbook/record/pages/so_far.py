"""The deviations of a run before its end, in the report's own words, for whoever is about to close it."""

from __future__ import annotations

import tomllib

from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.pages.departed import told
from clampbook.record.pages.headline import deviations_counted
from clampbook.record.pages.silences import silences
from clampbook.record.pages.telling import Telling
from clampbook.record.rebuilt import rebuilt
from clampbook.run.plan import Plan
from clampbook.run.prompts import Finished, Prompt
from clampbook.run_folder import MOST_OF_A_PLAN, RunFolder


def before_closing(run: RunFolder, plan: Plan, prompt: Prompt) -> tuple[str, ...]:
    """Count the deviations that the record will have, then tell each in a line; nothing at any other question than the
    last, and nothing of a run that makes no record, which closing it tells."""
    if not isinstance(prompt, Finished) or not prompt.deviations:
        return ()
    try:
        record = tomllib.loads(rebuilt(run).text)
        daybook = read_file(inside(run.path, run.daybook.name), MOST_OF_A_PLAN)
    except (LedgerFault, tomllib.TOMLDecodeError):
        return ()
    telling = Telling(record, None, plan.numbered, plan.stages, silences(daybook))
    rows = telling.rows("deviation")
    return (f"{deviations_counted(record)}:", *(f"{telling.where(row)}: {told(telling, row)}" for row in rows))
