"""The keys of a book on disk: made, withdrawn, announced; what is not in order is told before anybody works with it."""

from __future__ import annotations

import tomllib

import pytest

from clampbook.book.keys import announced, held_keys, make_key, open_to_others, withdraw_key
from clampbook.book.sealing.of_run import Signing
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.signing.wire import KeyFault
from museum import log_of
from sealing import START, Shop, walked
from signers import PHRASE, keygen

NOW = Stamp(START, "+00:00", "ines")


def test_ssh_keygen_opens_the_key_file(whinchat: Shop) -> None:
    """It is OpenSSH's own format, readable by its owner alone."""
    path = whinchat.book.root / "keys" / "ines.key"

    public = keygen("-y", "-P", PHRASE, "-f", str(path)).stdout.decode().strip()

    assert (public, 0o600) == (held_keys(whinchat.book)[0].key.text, path.stat().st_mode & 0o777)


def test_keys_that_others_can_read_are_told(whinchat: Shop) -> None:
    """The file as well as its folder, each with what closes it; before anybody signs, too."""
    folder = whinchat.book.root / "keys"
    assert () == open_to_others(whinchat.book)

    (folder / "maud.key").chmod(0o640)
    [told] = open_to_others(whinchat.book)
    assert told.startswith("Others on this machine can read '") and f"chmod 600 '{folder / 'maud.key'}'" in told

    folder.chmod(0o755)
    assert 2 == len(open_to_others(whinchat.book))
    assert f"chmod 700 '{folder}'" in Signing(whinchat.book, walked(whinchat), whinchat.clock).beside[0]


def test_the_log_tells_of_keys_that_come_and_go(whinchat: Shop) -> None:
    """With the public part, so that it can be compared for ever."""
    withdraw_key(whinchat.book, whinchat.maud, "lost", NOW)

    told = [(entry["event"], entry["person"]) for entry in log_of(whinchat.book) if entry["event"].startswith("key_")]

    assert [("key_added", "ines"), ("key_added", "maud"), ("key_withdrawn", "maud")] == told


def test_a_withdrawn_key_is_announced_no_more(whinchat: Shop) -> None:
    """Maud's name is typed until she has another."""
    withdraw_key(whinchat.book, whinchat.maud, "lost", NOW)

    assert ["ines"] == list(announced(whinchat.book))


def test_nobody_withdraws_a_key_that_is_not_there(whinchat: Shop) -> None:
    """A second time there is nothing left to withdraw."""
    withdraw_key(whinchat.book, whinchat.maud, "lost", NOW)

    with pytest.raises(KeyFault, match="Maud has no key to revoke"):
        withdraw_key(whinchat.book, whinchat.maud, "lost", NOW)


def test_people_toml_stays_readable(whinchat: Shop) -> None:
    """Somebody new can be added behind somebody with a key, and each keeps what is theirs."""
    okke = whinchat.book.person_named("Okke")
    make_key(whinchat.book, okke, PHRASE, NOW)

    held = tomllib.loads((whinchat.book.root / "people.toml").read_text(encoding="utf-8"))["person"]

    assert [("ines", 1), ("maud", 1), ("okke", 1)] == [(each["id"], len(each["key"])) for each in held]
    assert ["Ines", "Maud", "Okke"] == [person.name for person in whinchat.book.people()]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("ssh-ed25519 AAAA", "ssh-ed25519 BBBB", "a key of ines cannot be used"),
        ("ssh-ed25519 AAAA", "ssh-rsa AAAA", "begins with ssh-ed25519"),
        ('added = "2026-03-02T09:00:00Z"', 'added = "soon"', "a key of ines cannot be used"),
        ('added = "2026-03-02T09:00:00Z"', 'added = "2026-03-02T09:00:00"', "has no time zone"),
        ('added = "2026-03-02T09:00:00Z"', "", "people.toml has errors"),
    ],
)
def test_a_key_that_is_not_in_order_is_told(whinchat: Shop, old: str, new: str, told: str) -> None:
    """A sign-off never becomes a typed name only because somebody damaged the file."""
    path = whinchat.book.root / "people.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")

    with pytest.raises(LedgerFault, match=told):
        announced(whinchat.book)
