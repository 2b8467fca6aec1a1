"""The record of a run: one text made from its three frozen files, the same bytes whenever it is made again."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable

from clampbook.ledger.formats import FORMAT, unlike
from clampbook.record import tables
from clampbook.record.agreement import disagrees_at, not_done
from clampbook.record.clamp_loads import clamp_loads
from clampbook.record.decisions import decisions
from clampbook.record.deviations import deviations
from clampbook.record.ending import follow_ups, not_measured, sign_offs
from clampbook.record.frozen import Frozen, read
from clampbook.record.groups import groups
from clampbook.record.heading import heading, people
from clampbook.record.history import tell
from clampbook.record.in_question import in_question, mark
from clampbook.record.interruptions import inspections, interruptions, notes, samples, scans, waits
from clampbook.record.positions import positions
from clampbook.record.reading import readings
from clampbook.record.sheet import accepted_queries, answers, cautions, parts, prepared
from clampbook.record.toolbox import tools
from clampbook.work.frozen import RecordFault


def build(procedure: bytes, plan: bytes, daybook: bytes, record: int | None = None) -> bytes:
    """record.toml of a run, from the bytes of procedure.toml, plan.json and daybook.jsonl and from nothing else.

    `record` names the builder to use, such as the one that an older record was made with; None is the newest.
    A run that is still open or held has a record too. Raises RecordFault with one sentence.
    """
    return build_from(read(procedure, plan, daybook), NEWEST if record is None else record)


def build_from(run: Frozen, number: int) -> bytes:
    """The same of files that were read already, by the builder of this number. Raises RecordFault."""
    if number not in BUILDERS:
        raise RecordFault(f"{unlike('record.toml', number)}.")
    return BUILDERS[number](run).encode()


def disagreement(record: bytes) -> str | None:
    """Say that a record disagrees with the walk; None where it does not."""
    found = _DISAGREES.search(record, 0, max(record.find(b"\n["), 0) + 1)
    return f"Record disagrees with the walk at line {found[1].decode()}" if found is not None else None


def format_of(record: bytes) -> int:
    """The number of the builder that a record.toml was made with. Raises RecordFault where it names none."""
    try:
        number = tomllib.loads(record.decode()).get("record")
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise RecordFault(f"record.toml cannot be read ({error}); make it again from the other files.") from error
    if not isinstance(number, int) or isinstance(number, bool):
        raise RecordFault("record.toml does not say which format it has; make it again from the other files.")
    return number


def _second(run: Frozen) -> str:
    """Format 2: deviations and decisions before all else that happened."""
    history = tell(run)
    mark(history)
    departed = deviations(run, history)
    told = disagrees_at(run, history), len(not_done(run, history))
    return "".join(
        (
            tables.heading(heading(run, FORMAT, len(departed), told)),
            tables.rows("in_question", in_question(run, history)),
            tables.rows("person", people(run)),
            tables.rows("deviation", departed),
            tables.rows("decision", decisions(run, history)),
            tables.rows("scan", scans(run)),
            tables.rows("interruption", interruptions(run)),
            tables.rows("answer", answers(run)),
            tables.rows("caution", cautions(run)),
            tables.rows("prepared", prepared(run)),
            tables.rows("part", parts(run, history)),
            tables.rows("tool", tools(run, history)),
            tables.rows("group", groups(run, history)),
            tables.rows("position", positions(run, history)),
            tables.rows("reading", readings(run, history)),
            tables.rows("sample", samples(run, history)),
            tables.rows("inspection", inspections(run)),
            tables.rows("wait", waits(run)),
            tables.rows("note", notes(run)),
            tables.rows("sign_off", sign_offs(run)),
            tables.rows("follow_up", follow_ups(run)),
            tables.table("not_measured", {"clamp_load": True, **not_measured(run, history)}),
            tables.rows("clamp_load", clamp_loads(run, history)),
            tables.rows("accepted_query", accepted_queries(run)),
        )
    )


_DISAGREES = re.compile(rb"^disagrees_with_the_walk_at_line = ([0-9]{1,9})$", re.MULTILINE)
BUILDERS: dict[int, Callable[[Frozen], str]] = {FORMAT: _second}  # a builder stays as it is for ever
NEWEST = max(BUILDERS)
