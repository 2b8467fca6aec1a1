"""A draft as it stands at this moment: its errors, or else its queries and its plan, in one pass of what reads, plans
and reviews every procedure.
"""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from clampbook.faults import Fault, Faulty, Query
from clampbook.procedure.difference import difference
from clampbook.procedure.model import Procedure
from clampbook.procedure.places import Places
from clampbook.procedure.reader import read
from clampbook.review.look import placed
from clampbook.review.review import review
from clampbook.run.plan import Plan
from clampbook.run.planning import plan
from clampbook.slug import slug
from clampbook.tools.model import Stock


class Preview(Struct, frozen=True):
    """`plan` is None where there are errors; `line_of_stage` gives the line on which each stage begins, and `changes`
    say in what it differs from the revision it is compared with.
    """

    errors: tuple[Fault, ...] = ()
    queries: tuple[Query, ...] = ()
    procedure: Procedure | None = None
    plan: Plan | None = None
    line_of_stage: dict[int, int | None] = {}
    changes: tuple[str, ...] = ()


def previewed(data: bytes, path: Path, stock: Stock | None = None, since: Procedure | None = None) -> Preview:
    """Read, plan and review these bytes; `stock` None leaves out what only the tools of a book can tell. `since` is the
    revision that it is compared with.
    """
    try:
        procedure = read(data, str(path))
    except Faulty as faulty:
        return Preview(errors=tuple(faulty.faults))
    line_of = Places(data).line
    return Preview(
        queries=review(procedure, stock, path=str(path), line_of=line_of).queries,
        procedure=procedure,
        plan=plan(procedure, slug(path.stem, "run")),
        line_of_stage={each.stage.number: line_of(each.at) for each in placed(procedure.stages, ("stage",))},
        changes=() if since is None else difference(since, procedure),
    )
