"""`record RUN` never shows bytes that nobody checked: made anew, compared, and what is only stored says so."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from check.book_of_tools import made, said
from clampbook.book.checks import checks
from clampbook.ledger import lines
from clampbook.run_folder import RunFolder
from sealing import Shop, sealed

FORGED = "# nobody over-tightened anything \x1b[2J \u202e\n"


@pytest.fixture
def run(at: Shop) -> RunFolder:
    """A sealed run of it."""
    return sealed(at)


def record(at: Shop, run: RunFolder, *options: str) -> tuple[int, str, str]:
    """What the command says of it."""
    return said("record", run.id, *options, book=at.book.root)


def test_a_record_that_is_what_the_daybook_makes_is_shown_as_it_is(at: Shop, run: RunFolder) -> None:
    """To the byte, and without a word beside it."""
    status, out, talk = record(at, run)

    assert (0, (run.path / "record.toml").read_text(encoding="utf-8"), "") == (status, out, talk)


def test_a_changed_record_is_told_and_never_shown(at: Shop, run: RunFolder) -> None:
    """What is shown is made from the daybook; the changed file stays as it was."""
    whole = (run.path / "record.toml").read_text(encoding="utf-8")
    (run.path / "record.toml").write_text(FORGED + whole, encoding="utf-8")

    status, out, talk = record(at, run)

    assert (1, whole) == (status, out)
    assert "record.toml on the disk differs from line 1 on" in talk
    assert (1, 2) == ((again := record(at, run, "--json"))[0], json.loads(again[1])["record"])
    assert (FORGED + whole).encode() == (run.path / "record.toml").read_bytes()


@pytest.mark.parametrize("damage", ["daybook.jsonl", "plan.json", "procedure.toml"])
def test_a_stored_record_that_cannot_be_made_anew_says_so_on_top(at: Shop, run: RunFolder, damage: str) -> None:
    """Cleaned, and with status 1."""
    (run.path / damage).write_bytes(b"{}\n")
    whole = (run.path / "record.toml").read_text(encoding="utf-8")
    (run.path / "record.toml").write_text(FORGED + whole, encoding="utf-8")

    status, out, talk = record(at, run)
    as_json = record(at, run, "--json")

    assert (1, True) == (status, out.startswith("# NOT CHECKED: the record cannot be made again. "))
    assert "NOT CHECKED" in talk
    assert r"# nobody over-tightened anything \u001b[2J \u202e" in out
    assert all(sign.isprintable() for sign in out.replace("\n", ""))
    assert 1 == as_json[0]
    assert json.loads(as_json[1])["not_checked"].startswith("NOT CHECKED")
    assert "\x1b" not in as_json[1] and "\u202e" not in as_json[1]


def test_where_neither_is_there_it_is_a_sentence(at: Shop, run: RunFolder) -> None:
    """Nothing to show, status 2."""
    (run.path / "plan.json").write_bytes(b"{}\n")
    (run.path / "record.toml").unlink()

    status, out, talk = record(at, run)

    assert (2, "") == (status, out)
    assert "plan.json" in talk


def test_the_record_of_a_check_is_held_to_the_same(tmp_path: Path) -> None:
    """Its frozen files make it, too."""
    book = made(tmp_path / "book")
    (tmp_path / "readings.csv").write_text("reference,indicated\n" + "60,60.1\n" * 5)
    said("check", "W5", "--readings", str(tmp_path / "readings.csv"), "--as", "Ines", book=book.root)
    [check] = checks(book)
    whole = (check.path / "record.toml").read_text(encoding="utf-8")
    assert (0, whole) == said("record", check.id, book=book.root)[:2]

    (check.path / "record.toml").write_text(whole.replace("passed", "failed"), encoding="utf-8")
    assert (1, whole) == said("record", check.id, book=book.root)[:2]

    (check.path / "plan.json").write_bytes(b"{}")
    status, out, _ = said("record", check.id, book=book.root)
    assert (1, True) == (status, out.startswith("# NOT CHECKED"))


def test_signs_that_do_not_show_in_a_sound_record_are_written_out(at: Shop, run: RunFolder) -> None:
    """A daybook that another program wrote can hold them; the record reads back as it is, and steers no terminal."""
    found = [lines.decode(line) for line in run.lines()[0]]
    found[0]["equipment"] = "Whinchat \u202e"
    chain, before = [], lines.NOTHING_BEFORE
    for number, line in enumerate(found, start=1):
        chain.append(lines.encode(line, number, before))
        before = lines.digest(chain[-1])
    run.daybook.write_bytes(b"".join(line + b"\n" for line in chain))

    status, out, _ = record(at, run)
    as_json = record(at, run, "--json")[1]

    assert 1 == status
    assert "\u202e" not in out + as_json
    assert "Whinchat \u202e" in json.dumps(tomllib.loads(out), ensure_ascii=False)
    assert json.loads(as_json) == tomllib.loads(out)
