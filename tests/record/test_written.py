"""The writer: record.toml beside the frozen files, whole or not at all."""

from pathlib import Path

import pytest

from clampbook.ledger.refusals import LedgerFault
from clampbook.record.written import write
from clampbook.run.plan import encode
from clampbook.work.frozen import RecordFault

from .daybooks import Daybook
from .head import PROCEDURE


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A run's folder with its three frozen files."""
    day = Daybook()
    day.reading("1.1/1", "30.0")
    day.closed("not accepted", reason="only begun")
    (tmp_path / "procedure.toml").write_bytes(PROCEDURE)
    (tmp_path / "plan.json").write_bytes(encode(day.plan))
    (tmp_path / "daybook.jsonl").write_bytes(day.data)
    return tmp_path


def test_the_record_lies_beside_the_files_it_was_made_from(folder: Path) -> None:
    """Its path is told, and nothing else is left in the folder."""
    path = write(folder)

    assert folder / "record.toml" == path
    assert {"procedure.toml", "plan.json", "daybook.jsonl", "record.toml"} == {each.name for each in folder.iterdir()}


def test_writing_it_again_changes_nothing(folder: Path) -> None:
    """The same files give the same bytes."""
    first = write(folder).read_bytes()

    assert first == write(folder).read_bytes()


@pytest.mark.parametrize("name", ["procedure.toml", "plan.json", "daybook.jsonl"])
def test_a_missing_file_is_named(folder: Path, name: str) -> None:
    """A sentence, and no half record."""
    (folder / name).unlink()

    with pytest.raises(LedgerFault, match=name):
        write(folder)
    assert not (folder / "record.toml").exists()


def test_damaged_files_leave_the_old_record_alone(folder: Path) -> None:
    """What was made before stays until a whole one can take its place."""
    before = write(folder).read_bytes()
    (folder / "daybook.jsonl").write_bytes(b"{}\n")

    with pytest.raises(RecordFault):
        write(folder)
    assert before == (folder / "record.toml").read_bytes()
