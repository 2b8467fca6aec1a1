"""A release in a procedure file: it holds for what was released, and for nothing else."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest

from clampbook.procedure.model import Accepted, Procedure
from clampbook.procedure.reader import read
from clampbook.procedure.release import before_start, not_released, says
from clampbook.procedure.release_editing import NotWritten, accepting, released, withdrawn

SAMPLES = sorted((Path(__file__).parents[2] / "procedures").glob("*.toml"))
SHEET = b"""\
# The valve cover. Values are invented.
format = 2
title = "Valve cover"
revision = "A"
unit = "N\xc2\xb7m"  # as the sheet has it

[[group]]
name = "Cover screws"
positions = "1-2"
thread = "M10"

# One round is enough.
[[stage]]
do = "tighten"
to = "30 N\xc2\xb7m"
within = "\xc2\xb12 N\xc2\xb7m"
"""


def release(data: bytes = SHEET, **changes: str) -> bytes:
    """The sheet as Maud released it."""
    said = says(tomllib.loads(data.decode()))
    rows = {"by": "Maud", "compared_with": "Sheet 3, issue 2", "on": "2026-03-02", "says": said, **changes}
    return released(data, rows)


def withdraw(data: bytes) -> bytes:
    """The sheet as Okke withdrew it."""
    return withdrawn(data, {"by": "Okke", "on": "2026-04-01", "because": "sheet 3 has issue 4"})


def status(data: bytes) -> tuple[str, str | None]:
    """How it stands, and why it is not released."""
    procedure = read(data)
    return procedure.status, not_released(procedure)


def test_what_was_released_is_released() -> None:
    """The release names what the file says."""
    assert ("released", None) == status(release())


def test_every_line_of_the_draft_stays() -> None:
    """Only the status is put below the revision, and the release at the end."""
    lines = release().decode().splitlines()
    kept = [line for line in lines[: lines.index("[release]")] if line != 'status = "released"']

    assert SHEET.decode().splitlines() == kept[:-1]


def test_comments_may_change_after_a_release() -> None:
    """They are for people; nothing that is walked changes."""
    assert ("released", None) == status(release().replace(b"# One round", b"# Still, one round"))


@pytest.mark.parametrize(
    ("before", "after"),
    [(b"30 N", b"31 N"), (b"1-2", b"1-3"), (b'revision = "A"', b'revision = "B"'), (b"Valve", b"Rocker")],
)
def test_a_file_that_was_changed_is_a_draft_again(before: bytes, after: bytes) -> None:
    """Whatever it was that changed; the reason says whose release does not hold."""
    changed = release().replace(before, after)

    assert ("draft", "it was changed after the release by Maud of 2026-03-02") == status(changed)


def test_put_back_as_it_was_it_is_released_again() -> None:
    """The release holds for the text, not for the moment of saving."""
    assert ("released", None) == status(release().replace(b"30 N", b"31 N").replace(b"31 N", b"30 N"))


def test_a_release_written_by_hand_does_not_hold() -> None:
    """It cannot say what was released."""
    by_hand = b"\n".join(line for line in release().split(b"\n") if not line.startswith(b"says"))

    told = "the release by Maud of 2026-03-02 does not say what was released. Run clampbook release again"
    assert ("draft", told) == status(by_hand)


def test_a_withdrawn_one_says_by_whom_and_why() -> None:
    """Nobody should work by it any more."""
    assert ("withdrawn", "Okke withdrew it on 2026-04-01: sheet 3 has issue 4") == status(withdraw(release()))


def test_released_again_it_is_withdrawn_no_more() -> None:
    """The withdrawal is taken out, the release put in its old place, and the comments stay."""
    again = release(withdraw(release() + b"# Kept in the office.\n"), on="2026-05-01")

    assert ("released", None) == status(again)
    assert [1, 1, 0] == [again.count(part) for part in (b"[release]", b"# Kept in the office.", b"[withdrawal]")]


def test_an_answered_query_belongs_to_what_is_released() -> None:
    """It stands at the end of the file; taken away again, the release does not hold."""
    answered = release(accepting(SHEET, (Accepted(query="W451", because="the sheet says no more"),)))

    assert "released" == status(answered)[0]
    assert "draft" == status(answered.replace(b"no more", b"nothing"))[0]


@pytest.mark.parametrize(
    "written",
    [
        b'accepted = [{ query = "W415", because = "one round" }]\n',
        b'accepted = [\n  { query = "W415", because = "one round" },  # asked Okke\n]\n',
    ],
)
def test_an_answer_joins_those_that_stand_in_brackets(written: bytes) -> None:
    """As they are written by hand, above all tables."""
    data = SHEET.replace(b"\n[[group]]", written + b"\n[[group]]", 1)
    answered = release(accepting(data, (Accepted(query="W451", because="the sheet says no more"),)))

    assert ["W415", "W451"] == [each.query for each in read(answered).accepted]
    assert "released" == status(answered)[0]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_sample_can_be_released_withdrawn_and_released_again(path: Path) -> None:
    """Each line that was written by hand is still there, but for the status."""
    before = path.read_bytes()

    after = release(withdraw(release(before)))

    assert "released" == status(after)[0]
    assert [] == [line for line in before.splitlines() if line not in after.splitlines() and b"status" not in line]


def test_line_ends_of_another_system_stay() -> None:
    """A file from a machine that ends its lines with two signs is released as well."""
    windows = SHEET.replace(b"\n", b"\r\n")

    assert "released" == status(release(windows))[0]
    assert release(windows).startswith(windows[: windows.index(b"unit")].replace(b'"A"\r\n', b'"A"\r\nstatus'))


def test_a_file_that_cannot_be_changed_safely_is_left_alone() -> None:
    """A comment within the old withdrawal would be lost."""
    data = withdraw(release()).replace(b"[withdrawal]\n", b"[withdrawal]\n# Ask Okke first.\n")

    with pytest.raises(NotWritten, match="a comment would be lost"):
        release(data)


@pytest.mark.parametrize(
    ("data", "today", "expected"),
    [
        (SHEET, "2026-03-03", ("Draft. The record will say so.",)),
        (release(look_again_by="2027-03-02"), "2027-03-02", ()),
        (
            release(look_again_by="2027-03-02"),
            "2027-03-03",
            ("This revision was to be compared again by 2027-03-02. The record will say so.",),
        ),
        (
            withdraw(release()),
            "2026-05-01",
            ("Withdrawn. Okke withdrew it on 2026-04-01: sheet 3 has issue 4. The record will say so.",),
        ),
    ],
)
def test_before_a_run_it_is_said(data: bytes, today: str, expected: tuple[str, ...]) -> None:
    """A draft, a withdrawn one, and one that should have been looked at again; the day itself is still in time."""
    procedure: Procedure = read(data)

    assert expected == before_start(procedure, date.fromisoformat(today))
