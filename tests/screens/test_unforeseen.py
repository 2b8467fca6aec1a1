"""What nobody foresaw on the full screen: the terminal is given back, one sentence says where the answers are."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from endurance.storming import Terminal
from museum import museum

BROKEN = """
from clampbook.__main__ import main
from clampbook.screens.app import Clampbook

def broken(self):
    {what}

Clampbook.action_actions = broken
main()
"""


@contextmanager
def stopped_by(what: str, place: Path) -> Iterator[tuple[Terminal, Path, int | None, str]]:
    """The terminal, its book, the status and the last words of a program in which this happened at F2."""
    book = museum(place / "book")
    program = place / "broken.py"
    program.write_text(BROKEN.format(what=what), encoding="utf-8")
    terminal = Terminal(book.root, place / "watched", program)
    try:
        assert terminal.is_up()
        terminal.look(1)
        terminal.type(b"\x1bOQ")
        status = terminal.ended()
        said = b" ".join(terminal.said.rpartition(b"\x1b[?1004l")[2].split()).decode()
        yield terminal, book.root, status, said
    finally:
        terminal.close()


@pytest.mark.parametrize(
    "what",
    [
        pytest.param("raise RuntimeError('a cable is loose')", id="a handler that raises"),
        pytest.param("self.panic('the toolkit gives up')", id="a toolkit that gives up"),
        pytest.param("self.set_timer(0.01, lambda: 1 / 0)", id="a timer that raises"),
        pytest.param("self.screen.query_one('#not-there')", id="a part that is not there"),
    ],
)
def test_the_terminal_is_given_back_and_the_answers_are_named(what: str, tmp_path: Path) -> None:
    """Never with status 0, never with a traceback."""
    with stopped_by(what, tmp_path) as (terminal, root, status, said):
        assert 2 == status
        assert "Traceback" not in said and "Unexpected error (" in said
        assert "Earlier answers are saved in" in said and str(root / "runs") in said.replace(" ", "")
        assert terminal.as_it_was()


@pytest.mark.parametrize(
    ("what", "told"),
    [
        pytest.param(
            "from clampbook.ledger.refusals import LedgerFault; raise LedgerFault('the shelf is gone')",
            "The shelf is gone.",
            id="of the disk",
        ),
        pytest.param(
            "from clampbook.signing.wire import KeyFault; raise KeyFault('the key of ines is no key')",
            "The key of ines is no key.",
            id="of a key",
        ),
        pytest.param(
            "from clampbook.work.frozen import RecordFault; raise RecordFault('line 3 is odd')",
            "Line 3 is odd.",
            id="of a daybook",
        ),
    ],
)
def test_what_was_foreseen_is_told_in_its_own_sentence(what: str, told: str, tmp_path: Path) -> None:
    """A refusal that no screen caught is still a refusal: its sentence, and status 2."""
    with stopped_by(what, tmp_path) as (_, _, status, said):
        assert (2, told) == (status, said.strip())
        assert "Unexpected" not in said and "Traceback" not in said
