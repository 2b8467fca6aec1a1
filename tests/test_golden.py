"""Golden runs: finished runs, which this version reads and records as they were.

The folders in golden/ were made for the last time when format 2 was settled, and are never touched again. That in
before/ is of an earlier format: nothing is checked of it, and nothing said against it.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import msgspec
import pytest

from clampbook.ledger.chain import chain_faults, form_faults
from clampbook.ledger.lines import split
from clampbook.procedure import reader
from clampbook.record.record import build, format_of
from clampbook.run import plan as plans
from clampbook.run.planning import plan as plan_of
from clampbook.run.walk import read_progress
from golden_anew import Before

GOLDEN = Path(__file__).parent / "golden"
OUTCOMES = {  # folder -> how the run ended, when it was walked
    "head": "accepted",
    "flange": "done",
    "crank": "done",
    "given-up": "abandoned",
    "follow-up": "done",
    "clamp-loads": "done",
    "late": "done",
}
OLDEST = "clamp-loads"
BEFORE = Path(__file__).parent / "before"


@pytest.fixture(params=sorted(OUTCOMES))
def golden(request: pytest.FixtureRequest) -> Path:
    """The folder of one golden run."""
    return GOLDEN / str(request.param)


def test_every_golden_folder_is_looked_at() -> None:
    """None lies there unread."""
    assert sorted(OUTCOMES) == sorted(path.name for path in GOLDEN.iterdir())


def test_the_record_is_made_again_byte_for_byte(golden: Path) -> None:
    """The builder that made a record makes the same bytes for ever."""
    written = (golden / "record.toml").read_bytes()
    procedure, plan, daybook = (
        (golden / name).read_bytes() for name in ("procedure.toml", "plan.json", "daybook.jsonl")
    )

    assert written == build(procedure, plan, daybook, record=format_of(written))


def test_the_procedure_is_planned_as_it_was(golden: Path) -> None:
    """Byte for byte: a key that came later is left out of a plan where nothing of it is used."""
    if golden.name == OLDEST:
        pytest.skip("planned before anybody was asked whether one-use bolts are new, and read like all others")
    written = (golden / "plan.json").read_bytes()
    said = msgspec.json.decode(written, type=Before)

    planned = plan_of(
        reader.read((golden / "procedure.toml").read_bytes()),
        said.slug,
        trial=said.trial,
        joint=said.joint,
        follow_up=said.follow_up,
        late=said.from_paper,
    )

    assert written == plans.encode(planned)


def test_the_daybook_leads_to_the_same_end(golden: Path) -> None:
    """Folding the lines of long ago ends where the run ended."""
    lines, torn = split((golden / "daybook.jsonl").read_bytes())
    plan = plans.decode((golden / "plan.json").read_bytes())

    progress = read_progress(golden / "daybook.jsonl", plan, lines)

    assert b"" == torn
    assert OUTCOMES[golden.name] == progress.ended
    assert OUTCOMES[golden.name] == tomllib.loads((golden / "record.toml").read_text("utf-8"))["outcome"]


def test_the_lines_are_whole_and_in_their_one_form(golden: Path) -> None:
    """Numbers, hashes and the form of each line are what they were."""
    lines, _ = split((golden / "daybook.jsonl").read_bytes())

    assert [] == chain_faults(golden / "daybook.jsonl", lines)
    assert [] == form_faults(golden / "daybook.jsonl", lines)


def test_the_procedure_reads_without_fault(golden: Path) -> None:
    """A procedure file of long ago is still a procedure."""
    procedure = reader.read((golden / "procedure.toml").read_bytes())

    assert procedure.title == plans.decode((golden / "plan.json").read_bytes()).title


def test_estimates_are_kept_as_they_were_reckoned() -> None:
    """A setting, a reading, the angle of a turn and a stretch have their clamp load."""
    record = tomllib.loads((GOLDEN / "clamp-loads" / "record.toml").read_text("utf-8"))
    found = [{each["out_of"] for each in stage["at"]} for stage in record["clamp_load"]]

    assert [{"setting"}, {"reading"}, {"angle"}, {"stretch"}] == found
