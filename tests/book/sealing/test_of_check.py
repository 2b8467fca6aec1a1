"""A check of a tool is sealed like a run: whoever closed it signs the seal, which covers every file and every page."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from checked import closed, sealed_check
from clampbook.book.keys import held_keys
from clampbook.book.sealing.of_check import CheckSigning
from clampbook.book.soundness.found import Soundness
from clampbook.book.soundness.verifying import Verifying
from clampbook.check.folder import CheckFolder
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.checks.report import of_check
from clampbook.signing import allowed
from clampbook.signing.wire import KeyFault
from endurance.forging import Forger
from museum import log_of
from sealing import Shop, shop
from signers import keygen


def verified(at: Shop, check: CheckFolder, *, trusted: bool = False) -> Soundness:
    """The check as it is found now."""
    outside = allowed.read(allowed.lines(held_keys(at.book))) if trusted else None
    return Verifying(at.book, outside).check(check)


def test_whoever_closed_it_seals_it_with_a_key(whinchat: Shop) -> None:
    """Sound, with trusted keys from outside too; the log holds who sealed it, and when."""
    check = sealed_check(whinchat)

    found = verified(whinchat, check, trusted=True)

    assert (True, "sealed") == (found.sound, found.state)
    assert found.seal is not None and ("ines", True) == (found.seal.person, found.seal.trusted)
    last = log_of(whinchat.book)[-1]
    assert ("check_sealed", check.id, "ines") == (last["event"], last["check"], last["by"])


def test_ordinary_tools_check_it(whinchat: Shop) -> None:
    """sha256sum and ssh-keygen, in the folder alone."""
    check = sealed_check(whinchat)

    summed = subprocess.run(["sha256sum", "-c", "--strict", "seal.sha256"], cwd=check.path, capture_output=True)
    where = ["-f", str(check.path / "allowed_signers"), "-n", "clampbook-seal", "-s", str(check.path / "seal.txt.sig")]
    text = (check.path / "seal.txt").read_bytes()
    signed = keygen("-Y", "verify", "-I", "ines", "-Overify-time=20260401Z", *where, said=text)

    assert (0, b"", 0) == (summed.returncode, summed.stderr, signed.returncode)


def test_it_stays_unsealed_until_it_is_signed(whinchat: Shop) -> None:
    """The passphrase was left for later, or was a wrong one: it says who is to sign, and is sealed another day."""
    check = closed(whinchat)
    signing = CheckSigning(whinchat.book, check, whinchat.clock)
    with pytest.raises(KeyFault):
        signing.give("four little worms")
    signing.later()

    with pytest.raises(LedgerFault, match=f"Ines still has to sign: clampbook seal {check.id}"):
        signing.seal()

    assert ["S517"] == [each.code for each in verified(whinchat, check).faults]


def test_without_a_key_it_is_sealed_as_it_is(tmp_path: Path) -> None:
    """The name stands as typed: sound, and with trusted keys not enough."""
    at = shop(tmp_path / "book", keys=False)
    check = sealed_check(at)

    assert verified(at, check).sound
    assert ["S525"] == [each.code for each in Verifying(at.book, ()).check(check).faults]


def test_its_report_is_printed_again_with_the_same_bytes(whinchat: Shop) -> None:
    """Also once the log of the book has grown."""
    check = sealed_check(whinchat)
    sealed_check(whinchat)

    assert (check.path / "report.pdf").read_bytes() == of_check(check)


@pytest.mark.parametrize(("keep", "code"), [(True, "S510"), (False, "S526")])
def test_another_page_one_is_found(whinchat: Shop, keep: bool, code: str) -> None:
    """Seal and log are made anew around it: the signature does not fit, or whoever closed it had a key and did not."""
    check = sealed_check(whinchat)
    path = check.path / "report.pdf"
    path.write_bytes(path.read_bytes().replace(b"/MediaBox[0 0 595", b"/MediaBox[0 0 095", 1))
    Forger(whinchat.book.root, check.path, check.path, check.path).seal(check.path, signature=keep)

    assert code in {each.code for each in verified(whinchat, check).faults}
