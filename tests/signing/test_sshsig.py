"""Signatures, checked by the program that everybody has, ssh-keygen, and by our own eye."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from clampbook.signing import allowed, public, secret, sshsig
from clampbook.signing.held import HeldKey
from clampbook.signing.wire import KeyFault
from signers import INES, MAUD, PHRASE, keygen, verified

MESSAGE = "Ines tightened these, 30 N·m each.\n".encode()
SINCE = datetime(2020, 3, 2, 9, 14, 7, tzinfo=UTC)
HELD = HeldKey("ines", INES.public, SINCE)


class TestWithTheRealProgram:
    """OpenSSH says yes to what is made here, and no to anything else."""

    def test_it_accepts_a_signature(self, tmp_path: Path) -> None:
        """The person, the key and the namespace are those of the file of allowed signers."""
        said = verified(tmp_path, allowed.lines([HELD]), "ines", MESSAGE, INES.sign(MESSAGE))

        assert (0, True) == (said.returncode, b'Good "clampbook" signature for ines' in said.stdout)

    @pytest.mark.parametrize(
        ("person", "message", "signature"),
        [
            ("maud", MESSAGE, INES.sign(MESSAGE)),
            ("ines", MESSAGE + b"\n", INES.sign(MESSAGE)),
            ("ines", MESSAGE, MAUD.sign(MESSAGE)),
        ],
        ids=["another person", "another text", "another key"],
    )
    def test_it_refuses_all_else(self, tmp_path: Path, person: str, message: bytes, signature: bytes) -> None:
        """Nobody signs for another, and nothing is signed but the text itself."""
        assert 0 != verified(tmp_path, allowed.lines([HELD]), person, message, signature).returncode

    @pytest.mark.parametrize(
        ("at", "accepted"), [("20200302091406Z", False), ("20200601Z", True), ("20210101000001Z", False)]
    )
    def test_a_withdrawn_key_is_good_for_its_own_time(self, tmp_path: Path, at: str, accepted: bool) -> None:
        """What was signed before the key was lost stays checkable, with the time at which it was signed."""
        gone = HeldKey("ines", INES.public, SINCE, datetime(2021, 1, 1, tzinfo=UTC), "lost")

        said = verified(tmp_path, allowed.lines([gone]), "ines", MESSAGE, INES.sign(MESSAGE), at=at)

        assert accepted == (said.returncode == 0)

    def test_it_opens_our_key_files(self, tmp_path: Path) -> None:
        """A key file is OpenSSH's own, under its passphrase."""
        path = tmp_path / "ines.key"
        path.write_bytes(INES.locked(PHRASE))
        path.chmod(0o600)

        assert INES.public.text == keygen("-y", "-P", PHRASE, "-f", str(path)).stdout.decode().strip()

    def test_a_fingerprint_is_the_one_it_shows(self, tmp_path: Path) -> None:
        """So that two people can compare what is printed with what they hold."""
        path = tmp_path / "ines.pub"
        path.write_text(f"{INES.public.text}\n")

        assert INES.public.fingerprint in keygen("-l", "-f", str(path)).stdout.decode()


class TestReading:
    """A signature file has one form; every other byte is refused with a sentence."""

    def test_what_was_written_is_read_again(self) -> None:
        """The key stands in it, and the signature fits the message."""
        read = sshsig.read(INES.sign(MESSAGE))

        assert INES.public == read.key
        assert secret.made_by(read, MESSAGE)
        assert not secret.made_by(read, MESSAGE[1:])

    def test_every_changed_byte_is_noticed(self) -> None:
        """Wherever a byte is changed, the file cannot be read, or the signature does not fit."""
        whole = INES.sign(MESSAGE)

        passed = [at for at in range(len(whole)) if _fits(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])]

        assert [] == passed

    def test_every_cut_is_noticed(self) -> None:
        """A shorter file is none."""
        whole = INES.sign(MESSAGE)

        assert [] == [end for end in range(len(whole)) if _fits(whole[:end])]

    @pytest.mark.parametrize(
        "text", ["", "ssh-rsa AAAA", "ssh-ed25519", "ssh-ed25519 @@@@", "ssh-ed25519 AAAAC3NzaC1l"]
    )
    def test_what_is_no_key_is_refused(self, text: str) -> None:
        """With a sentence."""
        with pytest.raises(KeyFault):
            public.read(text)


class TestKeys:
    """A key is worth nothing without its passphrase."""

    def test_the_passphrase_opens_it(self) -> None:
        """And gives the very same key."""
        assert INES.public == secret.unlocked(INES.locked(PHRASE), PHRASE).public

    @pytest.mark.parametrize("wrong", ["", "four little wordS", "\udcff", "x" * 5000])
    def test_another_passphrase_gives_a_sentence(self, wrong: str) -> None:
        """Never a traceback."""
        with pytest.raises(KeyFault, match="the passphrase does not open this key"):
            secret.unlocked(INES.locked(PHRASE), wrong)

    @pytest.mark.parametrize("damaged", [b"", b"\0" * 400, b"nothing of a key"])
    def test_a_damaged_file_gives_a_sentence(self, damaged: bytes) -> None:
        """The file itself is named as the reason."""
        with pytest.raises(KeyFault, match="the key file is damaged"):
            secret.unlocked(damaged, PHRASE)

    @pytest.mark.parametrize("phrase", ["", "short", "x" * 201, "with a \x1b escape"])
    def test_a_poor_passphrase_is_not_taken(self, phrase: str) -> None:
        """Too short, too long, or holding what cannot be seen."""
        with pytest.raises(KeyFault, match="this passphrase"):
            INES.locked(phrase)


class TestTrustFromOutside:
    """A file that somebody keeps elsewhere: allowed signers, or fingerprints as they are printed."""

    def test_a_line_says_whose_key_it_is_and_since_when(self) -> None:
        """Our own lines are read as they were written."""
        (read,) = allowed.read(allowed.lines([HELD]))

        assert (INES.public.fingerprint, True, False) == (read.fingerprint, read.names("ines"), read.names("maud"))
        assert (SINCE, None) == (read.after, read.before)

    def test_a_printed_fingerprint_is_enough(self) -> None:
        """Copied from the paper, whatever stands around it."""
        (read,) = allowed.read(f"# from the report\nKey of Ines: {INES.public.fingerprint}\n".encode())

        assert (INES.public.fingerprint, True) == (read.fingerprint, read.names("ines"))

    def test_a_fingerprint_may_be_copied_out_of_a_report(self) -> None:
        """With the invisible places at which a page may break it."""
        printed = "\u200b".join((INES.public.fingerprint[:16], INES.public.fingerprint[16:]))

        (read,) = allowed.read(printed.encode())

        assert INES.public.fingerprint == read.fingerprint

    def test_a_key_for_another_purpose_is_not_taken(self) -> None:
        """A key that is vouched for to sign mail signs no record."""
        (read,) = allowed.read(f'ines namespaces="file,email" {INES.public.text}\n'.encode())

        assert not read.names("ines")

    def test_patterns_are_read_as_everywhere(self) -> None:
        """A star stands for anybody, an exclamation mark forbids."""
        (read,) = allowed.read(f"*,!maud {INES.public.text} a comment\n".encode())

        assert (True, False) == (read.names("ines"), read.names("maud"))

    @pytest.mark.parametrize(
        "text",
        ["ines", "ines ssh-ed25519 AAAA", 'ines valid-after="soon" ' + INES.public.text],
        ids=["no key", "a key cut short", "no date"],
    )
    def test_what_cannot_be_understood_is_told_with_its_line(self, text: str) -> None:
        """Nothing is passed over in silence."""
        with pytest.raises(KeyFault, match=r"^line 2: "):
            allowed.read(f"\n{text}\n".encode())


def _fits(data: bytes) -> bool:
    try:
        return secret.made_by(sshsig.read(data), MESSAGE)
    except KeyFault:
        return False
