"""Whole books of format 2, written once: every later version finds them intact and says the same of them.

One has every kind of work and a check; the other has keys, and every way in which a run comes into a book or ends.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from line_by_line import printed
from signers import keygen

KEPT = Path(__file__).parent / "golden_book"
GOLDEN, KEYED = KEPT / "book", KEPT / "keyed"
CLOCK = "2026-04-01T09:00:00Z+1s"
CHECKS = sorted(path.name for path in (GOLDEN / "checks").glob("2026*"))
RUNS = [(book.name, path.name) for book in (GOLDEN, KEYED) for path in sorted((book / "runs").glob("2026*"))]
CLOSED = [(book, run) for book, run in RUNS if (KEPT / book / "runs" / run / "record.toml").exists()]


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of them: an index and locks may lie beside their files."""
    return Path(shutil.copytree(KEPT, tmp_path_factory.mktemp("golden") / "books"))


@pytest.fixture
def book(books: Path) -> Path:
    """The one with every kind of work."""
    return books / "book"


@pytest.mark.parametrize("name", ["book", "keyed"])
def test_all_of_it_is_intact(books: Path, name: str) -> None:
    """Each run and the check are counted again, with their signatures, seals, reports and the log."""
    told = json.loads(printed(CLOCK, books / name, "verify", "--json"))

    assert [] == [(each["run"], each["problems"]) for each in told["runs"] if each["problems"]]
    assert {*(run for of, run in CLOSED if of == name), *(CHECKS if name == "book" else ())} == {
        each["run"] for each in told["runs"]
    }
    assert all(each["intact"] and each["checked"] for each in told["runs"])


@pytest.mark.parametrize(("name", "run"), CLOSED)
def test_a_record_is_printed_as_it_was_written(books: Path, name: str, run: str) -> None:
    """Byte for byte, made again from the frozen files."""
    written = (KEPT / name / "runs" / run / "record.toml").read_text(encoding="utf-8")

    assert written == printed(CLOCK, books / name, "record", run)


@pytest.mark.parametrize(("name", "run"), CLOSED)
def test_its_readings_keep_their_columns(books: Path, name: str, run: str) -> None:
    """What stood in a column stands there still; later columns come behind."""
    header, *rows = (KEPT / "readings" / f"{run}.csv").read_text(encoding="utf-8").splitlines()
    header_now, *rows_now = printed(CLOCK, books / name, "export", run, "--csv", "--clicks").splitlines()

    assert header_now.startswith(header)
    assert len(rows) == len(rows_now)
    assert all(now.startswith(row) for row, now in zip(rows, rows_now, strict=True))


def test_the_one_that_was_left_open_goes_on(books: Path) -> None:
    """Its second screw is asked for as if it had been left a minute ago."""
    ((_, run),) = [each for each in RUNS if each not in CLOSED]
    told = printed(CLOCK, books / "keyed", "walk", "--resume", run, "--plain", "--as", "Ines", lines=["1", "1", "1"])

    assert "Cover screw 2: pull W5" in told


def test_what_is_due_stays_due(books: Path) -> None:
    """One follow-up was done, one crossed off, one crossed off and due again."""
    told = json.loads(printed("2026-04-20T09:00:00Z+1s", books / "keyed", "due", "--json"))

    assert ["20260306-cover"] == [each["run"][:14] for each in told["due"] if each["what"] == "follow_up"]


def test_a_signature_is_good_for_the_real_keygen(books: Path) -> None:
    """Whoever has no Clampbook any more checks it with what every system has."""
    ((_, run),) = [each for each in CLOSED if each[1].startswith("20260304") and each[0] == "keyed"]
    folder = books / "keyed" / "runs" / run
    said = [
        keygen(
            *("-Y", "verify", "-f", str(folder / "allowed_signers"), "-I", "ines", "-n", "clampbook"),
            *("-s", str(signature)),
            said=signature.with_suffix("").read_bytes(),
        ).returncode
        for signature in sorted(folder.glob("signoff-*.txt.sig"))
    ]

    assert 0 in said


@pytest.mark.parametrize("name", sorted(path.stem for path in (GOLDEN / "procedures").glob("*.toml")))
def test_its_procedures_are_read_without_an_error(book: Path, name: str) -> None:
    """Queries may grow, errors may not."""
    told = json.loads(printed(CLOCK, book, "review", str(book / "procedures" / f"{name}.toml"), "--json"))

    assert [] == told["errors"]


def test_its_tools_are_read(book: Path) -> None:
    """Levers, adapters, certified points and instruments among them."""
    tools = json.loads(printed(CLOCK, book, "tools", "--json"))["tools"]

    assert {"W1", "W2", "W5", "W7", "W9", "G1", "R1", "M1", "D1", "F1"} == {each["name"] for each in tools}
