"""What is printed does nothing on a terminal, fits its encoding, and where it cannot be printed that is a sentence."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from clampbook.streams import Outlet, StreamFault, json_list, json_text, toml_text
from museum import museum

HARMFUL = "cover\x1b[2J \u202e gask \u2066 \x9b1m \x7f \u200b"


def printed(text: str, encoding: str) -> bytes:
    """What comes out where a text is printed."""
    raw = io.BytesIO()
    outlet = Outlet(io.TextIOWrapper(raw, encoding=encoding), "output")
    print(text, file=outlet)
    outlet.flush()
    return raw.getvalue()


@pytest.mark.parametrize(
    ("encoding", "told"),
    [
        ("utf-8", "Within ●: 30.0 N·m, 28.0–32.0 N·m, 90° ± 2°, “Ärger” …\n".encode()),
        ("latin-1", 'Within *: 30.0 N·m, 28.0-32.0 N·m, 90° ± 2°, "Ärger" ...\n'.encode("latin-1")),
        ("ascii", b'Within *: 30.0 N.m, 28.0-32.0 N.m, 90deg +/- 2deg, "Arger" ...\n'),
    ],
)
def test_an_encoding_that_lacks_signs_gets_plain_ones(encoding: str, told: bytes) -> None:
    """Units stay units, a range stays a range."""
    assert told == printed("Within ●: 30.0 N·m, 28.0–32.0 N·m, 90° ± 2°, “Ärger” …", encoding)


@pytest.mark.parametrize("encoding", ["utf-8", "latin-1", "ascii"])
def test_nothing_that_is_printed_steers_a_terminal(encoding: str) -> None:
    """Control and bidirectional characters are written out, wherever they come from."""
    out = printed(HARMFUL, encoding).decode(encoding)

    assert out.startswith(r"cover\u001b[2J \u202e gask \u2066 \u009b1m \u007f")
    assert all(sign.isprintable() for sign in out.rstrip("\n"))


def test_a_json_text_reads_back_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    """Escaped it holds the very same text; where standard output takes ASCII alone, all of it is escaped."""
    value = {"title": HARMFUL + "\n\U000e0101 N·m"}

    assert value == json.loads(json_text(value))
    assert all(sign.isprintable() for sign in json_text(value).rstrip("\n"))
    assert "N·m" in json_text(value)
    monkeypatch.setattr(sys, "stdout", Outlet(io.TextIOWrapper(io.BytesIO(), encoding="ascii"), "output"))
    assert json_text(value).isascii() and value == json.loads(json_text(value))


def test_a_toml_text_reads_back_as_it_was() -> None:
    """The same of a record."""
    import tomllib

    text = 'title = "Valve \u202e cover \U000e0101"\n'

    assert tomllib.loads(text) == tomllib.loads(toml_text(text))
    assert "\u202e" not in toml_text(text)


def test_a_closed_output_is_a_sentence() -> None:
    """As soon as anything is printed."""
    with pytest.raises(StreamFault) as caught:
        print("30 N·m", file=Outlet(None, "output"))

    assert "standard output is closed. Start clampbook where its output can be written" == caught.value.sentence


def test_nobody_is_left_to_tell_of_a_closed_standard_error() -> None:
    """It is passed over, and the command does what it does."""
    print("30 N·m", file=Outlet(None, "error", quiet=True), flush=True)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book."""
    return museum(tmp_path_factory.mktemp("made") / "book").root


def shell(book: Path, command: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A command of the real program with its streams as a shell leaves them."""
    program = f'"{sys.executable}" -m clampbook.cli'
    line = command.replace("clampbook", program).replace("BOOK", f'--book "{book}"')
    found = subprocess.run(["sh", "-c", line], capture_output=True, timeout=60, env={**os.environ, **environment})
    assert b"Traceback" not in found.stderr and b"not foreseen" not in found.stderr
    assert b"Exception ignored" not in found.stderr
    return found


@pytest.mark.parametrize(
    ("command", "told"),
    [
        ("clampbook tools BOOK >&-", b"Standard output is closed"),
        ("clampbook tools --json BOOK >&-", b"Standard output is closed"),
        ("clampbook --help >&-", b"Standard output is closed"),
        ("clampbook tools BOOK >/dev/full", b"Standard output cannot be written (No space left on device)"),
        ("clampbook tools --json BOOK >/dev/full", b"Standard output cannot be written (No space left on device)"),
        ("clampbook keys make Ines BOOK <&-", b"Standard input is closed"),
        ("clampbook walk whinchat-pattern-c-head --plain --as Ines BOOK <&-", b"Standard input is closed"),
        ("clampbook walk whinchat-pattern-c-head --plain --as Ines BOOK 0>/dev/null", b"Standard input cannot be read"),
        ("clampbook walk whinchat-pattern-c-head --json --as Ines BOOK >/dev/full </dev/null", b"No space left"),
    ],
)
def test_streams_that_cannot_be_used_are_a_sentence(book: Path, command: str, told: bytes) -> None:
    """Status 2, and why."""
    found = shell(book, command)

    assert (2, True) == (found.returncode, told in found.stderr), found.stderr.decode()


def test_a_walk_on_a_full_output_is_paused(tmp_path: Path) -> None:
    """What was answered is kept, and the run says why it stopped."""
    own = museum(tmp_path / "book").root
    shell(own, "clampbook walk whinchat-pattern-c-head --plain --as Ines BOOK >/dev/full </dev/null")

    [run] = [path for path in (own / "runs").iterdir() if not path.name.startswith(".")]
    assert ["opened", "paused"] == [
        json.loads(line)["event"] for line in (run / "daybook.jsonl").read_bytes().splitlines()
    ]


def test_no_file_of_the_book_takes_the_place_of_a_closed_stream(book: Path) -> None:
    """With all three closed, what is printed lands in no daybook and no log."""
    before = (book / "book.jsonl").read_bytes()

    found = shell(book, "clampbook runs BOOK <&- >&- 2>&-")

    assert 2 == found.returncode
    assert before == (book / "book.jsonl").read_bytes()


@pytest.mark.parametrize(
    ("environment", "told"),
    [
        ({"PYTHONIOENCODING": "ascii:strict"}, b"4.0-40.0 N.m"),
        ({"PYTHONIOENCODING": "latin-1"}, "4.0-40.0 N·m".encode("latin-1")),
        ({"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}, b"4.0-40.0 N.m"),
        ({"PYTHONIOENCODING": "utf-8"}, "4.0–40.0 N·m".encode()),
    ],
)
def test_tools_are_listed_in_every_encoding(book: Path, environment: dict[str, str], told: bytes) -> None:
    """In the form that the encoding has."""
    found = shell(book, "clampbook tools BOOK", **environment)

    assert told in found.stdout, found


@pytest.mark.parametrize("values", [[], [{}], [{"position": "1", "value": 30.1}, {"position": "a\nb", "of": [1, []]}]])
def test_a_list_in_pieces_is_the_same_text_as_at_once(values: list[dict[str, object]]) -> None:
    """Whoever reads many readings need not know that they were written one by one."""
    assert "".join(json_list("readings", values)) == json.dumps({"readings": values}, indent=1) + "\n"
