"""What is added to a run after its seal: beside it, signed and sealed like any other, and nothing in it changes."""

from __future__ import annotations

import pytest

from clampbook.book.notices import notices
from clampbook.book.sealing.addenda import add
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger.refusals import LedgerFault
from clampbook.text import TextFault
from sealing import Shop, sealed, signed, walked

TEXT = "The second screw was replaced on the quay."


def test_it_is_signed_and_sealed_in_a_folder_of_its_own(whinchat: Shop) -> None:
    """Its text stands in its own record, and what Ines signs names the run that it belongs to."""
    run = sealed(whinchat)
    before = {path.name: path.read_bytes() for path in run.path.iterdir()}

    made = add(whinchat.book, run, whinchat.ines, TEXT, whinchat.clock, "handed in")
    signed(whinchat, made).seal()

    assert before == {path.name: path.read_bytes() for path in run.path.iterdir()}
    assert f'note = "{TEXT}"' in (made.path / "record.toml").read_text(encoding="utf-8")
    text = (made.path / "signoff-1.txt").read_text(encoding="utf-8")
    assert "I add this to a sealed record." in text
    assert f"Valve cover, revision A, Whinchat, addendum of {run.id}" in text


def test_it_is_about_the_same_equipment(whinchat: Shop) -> None:
    """Whoever looks for the Whinchat finds what was added too."""
    made = add(whinchat.book, sealed(whinchat), whinchat.ines, TEXT, whinchat.clock, "handed in")

    assert 'equipment = "Whinchat"' in (made.path / "record.toml").read_text(encoding="utf-8")


def test_both_are_sound(whinchat: Shop) -> None:
    """Verifying finds nothing wrong with the one or the other."""
    run = sealed(whinchat)
    made = add(whinchat.book, run, whinchat.ines, TEXT, whinchat.clock, "handed in")
    signed(whinchat, made).seal()

    verifying = Verifying(whinchat.book)

    assert [("sealed", ()), ("sealed", ())] == [(f.state, f.faults) for f in (verifying.run(run), verifying.run(made))]
    assert () == verifying.book()


def test_it_is_told_beside_the_run(whinchat: Shop) -> None:
    """Wherever the record is opened, printed or verified."""
    run = sealed(whinchat)

    made = add(whinchat.book, run, whinchat.ines, TEXT, whinchat.clock, "handed in")

    assert (f"Addendum {made.id} by Ines: {TEXT}",) == notices(whinchat.book, run.id)


def test_only_a_sealed_run_has_addenda(whinchat: Shop) -> None:
    """Before that it is finished first."""
    run = walked(whinchat)

    with pytest.raises(LedgerFault, match="is not sealed"):
        add(whinchat.book, run, whinchat.ines, TEXT, whinchat.clock, "handed in")


@pytest.mark.parametrize("text", ["", "  ", "a \x1b escape", "x" * 3000])
def test_it_says_something_that_can_be_read(whinchat: Shop, text: str) -> None:
    """An empty one, or one with signs that steer a terminal, is refused, and nothing is made."""
    run = sealed(whinchat)

    with pytest.raises((LedgerFault, TextFault)):
        add(whinchat.book, run, whinchat.ines, text, whinchat.clock, "handed in")
    assert (run,) == whinchat.book.runs()


def test_to_a_run_whose_plan_cannot_be_read_nothing_is_added(whinchat: Shop) -> None:
    """A sentence, and no folder."""
    run = sealed(whinchat)
    (run.path / "plan.json").write_bytes(b'{"plan":2,"layout":{}}')

    with pytest.raises(LedgerFault, match="is no plan that can be read"):
        add(whinchat.book, run, whinchat.ines, TEXT, whinchat.clock, "handed in")
    assert [run.id] == [each.id for each in whinchat.book.runs()]
