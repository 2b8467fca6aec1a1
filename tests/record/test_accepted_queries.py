"""A query that was answered in the procedure goes with every run: into its plan, its record and its report."""

from __future__ import annotations

import msgspec

from clampbook.demo import samples
from clampbook.procedure.model import Accepted
from clampbook.procedure.reader import read_file
from clampbook.record.pages.blocks import Facts, Heading
from clampbook.record.pages.closing import closing
from clampbook.record.pages.telling import Telling
from clampbook.run.plan import Plan, decode, encode
from clampbook.run.planning import plan

from .daybooks import Daybook
from .head import a_plan

ANSWER = Accepted(query="W405", because="Counterbores 12 mm deep.")


def answered() -> Plan:
    """The plan of the small head with one answer."""
    return msgspec.structs.replace(a_plan(), accepted_queries=(ANSWER,))


def test_plan_takes_over_what_the_file_answers() -> None:
    """The sample of the head answers two queries, and its frozen plan holds both, also for a trial."""
    path = next(path for path in samples() if path.stem == "whinchat-pattern-c-head")
    procedure, _ = read_file(path)

    for trial in (False, True):
        frozen = decode(encode(plan(procedure, "head", trial=trial)))
        assert procedure.accepted == frozen.accepted_queries
        assert ["W405", "W451"] == [each.query for each in frozen.accepted_queries]


def test_record_lists_each_answer_with_its_reason() -> None:
    """Whoever reads the record years later sees what was known and let pass."""
    record = Daybook(answered()).record()

    assert [{"query": "W405", "because": "Counterbores 12 mm deep."}] == record["accepted_query"]


def test_record_without_answers_says_nothing_of_them() -> None:
    """Records of old keep their bytes."""
    assert "accepted_query" not in Daybook().record()


def test_plan_of_old_has_no_answers() -> None:
    """Its file knows no such key, and is read all the same."""
    old = msgspec.json.decode(encode(a_plan()))
    del old["accepted_queries"]

    assert () == decode(msgspec.json.encode(old)).accepted_queries


def test_report_has_a_part_of_its_own_for_them() -> None:
    """Below what was not measured; a run without answers has no such part."""
    title = "Queries answered in the procedure"
    found = list(closing(Telling(Daybook(answered()).record())))
    at = next(n for n, block in enumerate(found) if isinstance(block, Heading) and block.text == title)

    facts = found[at + 1]
    assert isinstance(facts, Facts)
    assert (("W405", "Counterbores 12 mm deep."),) == facts.rows
    assert title not in [block.text for block in closing(Telling(Daybook().record())) if isinstance(block, Heading)]
