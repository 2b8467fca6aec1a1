"""`clampbook keys`, `seal` and `verify`, and the walk that signs at its end, line by line as they are used."""

from __future__ import annotations

import json
import os
import shutil
import sys
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path
from typing import Any

import pexpect
import pytest

from clampbook import cli
from clampbook.book.sealing.of_run import Signing
from clampbook.record.sealed.attachments import attached
from museum import lines_of
from sealing import Shop, sealed, shop, signed, walked
from signers import PHRASE, keygen

CLOCK = "2026-03-02T10:00:00Z+3s"
TO_THE_HOLD_POINT = ("W5", "1", "30.1", "30.2", "1", "Maud")
TO_THE_END = ("+", "Ines", "Maud", "1")


class Typing:
    """Runs commands with lines typed into them; `out` and `err` are what the last one said."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], root: Path) -> None:
        self._monkeypatch = monkeypatch
        self._capsys = capsys
        self._root = root
        self.out = self.err = ""

    def __call__(self, *arguments: str, typed: tuple[str, ...] = ()) -> int:
        """The exit status of a command."""
        stdin = TextIOWrapper(BytesIO("".join(f"{line}\n" for line in typed).encode()))
        self._monkeypatch.setattr(sys, "stdin", stdin)
        self._monkeypatch.setenv("CLAMPBOOK_CLOCK", CLOCK)
        status = cli.status([*arguments, "--book", str(self._root)])
        self.out, self.err = self._capsys.readouterr()
        return status

    def said(self) -> dict[str, Any]:
        """The one object that was printed."""
        told: dict[str, Any] = json.loads(self.out)
        return told


@pytest.fixture
def run(whinchat: Shop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Typing:
    """Commands on that book."""
    return Typing(monkeypatch, capsys, whinchat.book.root)


class TestKeys:
    """Keys are made, listed and withdrawn by name."""

    def test_a_key_is_made_after_the_same_passphrase_twice(self, run: Typing, whinchat: Shop) -> None:
        """One that is too short, or typed differently, is asked for again."""
        typed = ("1", "short", PHRASE, "another one", PHRASE, PHRASE)

        assert 0 == run("keys", "make", "Okke", typed=typed)
        assert "Okke now signs with SHA256:" in run.out
        for told in ("Okke is new in this book.", "too short", "They differ."):
            assert told in run.err
        assert 0o600 == (whinchat.book.root / "keys" / "okke.key").stat().st_mode & 0o777

    def test_the_passphrase_stands_nowhere(self, run: Typing, whinchat: Shop) -> None:
        """Neither on the screen nor in a file of the book."""
        run("keys", "make", "Okke", "--new-person", typed=(PHRASE, PHRASE))

        assert PHRASE not in run.out + run.err
        assert not [
            path for path in whinchat.book.root.rglob("*") if path.is_file() and PHRASE.encode() in path.read_bytes()
        ]

    def test_nobody_has_two_keys(self, run: Typing) -> None:
        """The one that is there is withdrawn first."""
        assert 2 == run("keys", "make", "ines", typed=(PHRASE, PHRASE))
        assert "Ines has a key already" in run.err and "clampbook keys revoke ines" in run.err

    def test_a_lost_key_is_withdrawn_and_replaced(self, run: Typing, whinchat: Shop) -> None:
        """Both stand in the list, and in what ssh-keygen reads."""
        typed = ("Maud", "2026-03-01", "revoke")
        assert 0 == run("keys", "revoke", "Ines", "--reason", "laptop stolen", typed=typed)
        assert not (whinchat.book.root / "keys" / "ines.key").exists()
        assert 0 == run("keys", "make", "Ines", typed=(PHRASE, PHRASE))

        run("keys", "--json")
        keys = [each for each in run.said()["keys"] if each["person"] == "ines"]
        run("keys", "--allowed-signers")

        assert [("laptop stolen", True), (None, False)] == [
            (each["why"], each["withdrawn"] is not None) for each in keys
        ]
        assert 1 == run.out.count("valid-before=")
        assert 2 == run.out.count("ines namespaces=")

    def test_the_comments_of_people_toml_stay(self, run: Typing, whinchat: Shop) -> None:
        """Whatever somebody wrote by hand is kept."""
        path = whinchat.book.root / "people.toml"
        path.write_text(path.read_text(encoding="utf-8").replace('name = "Maud"', 'name = "Maud"  # inspects'), "utf-8")

        run("keys", "revoke", "maud", "--as", "Ines", "--known-since", "never", "--yes")
        run("keys", "make", "maud", typed=(PHRASE, PHRASE))

        assert 'name = "Maud"  # inspects' in path.read_text(encoding="utf-8")

    def test_a_name_that_is_new_is_asked_about_with_the_nearest_known(self, run: Typing, whinchat: Shop) -> None:
        """Inez: Ines is meant, who has a key; and without an answer nothing is done."""
        assert 2 == run("keys", "make", "inez", typed=("1",))
        assert "inez is new here. Did you mean Ines?" in run.err
        assert "Ines has a key already" in run.err
        assert 2 == run("keys", "make", "inez")
        assert "and nothing was done. For somebody new say --new-person" in run.err
        assert ["Ines", "Maud"] == [person.name for person in whinchat.book.people()]

    def test_a_key_is_withdrawn_only_once_somebody_confirms_it(self, run: Typing, whinchat: Shop) -> None:
        """Who, since when, and then the word."""
        for typed in ((), ("Maud",), ("Maud", "-"), ("Maud", "-", "no")):
            assert 2 == run("keys", "revoke", "Ines", typed=typed)
            assert (whinchat.book.root / "keys" / "ines.key").exists()

    def test_an_end_of_input_makes_no_key(self, run: Typing, whinchat: Shop) -> None:
        """And leaves no file."""
        assert 2 == run("keys", "make", "Okke", "--new-person")
        assert "No key was made" in run.err
        assert not (whinchat.book.root / "keys" / "okke.key").exists()

    def test_nobody_comes_into_the_book_without_the_key(self, run: Typing, whinchat: Shop) -> None:
        """Two passphrases that differ and then the end of input leave people.toml as it was."""
        before = (whinchat.book.root / "people.toml").read_bytes()

        assert 2 == run("keys", "make", "Okke", "--new-person", typed=(PHRASE, "another one"))
        assert before == (whinchat.book.root / "people.toml").read_bytes()


class TestWalking:
    """The walk asks for each signature where it is announced, and seals at its end."""

    def test_a_run_is_signed_and_sealed(self, run: Typing) -> None:
        """Maud signs at the hold point at once; at the end both sign, and verifying finds nothing."""
        typed = (*TO_THE_HOLD_POINT, PHRASE, *TO_THE_END, PHRASE, PHRASE)

        assert 0 == run("walk", "cover", "--plain", "--as", "Ines", typed=typed)
        assert "The run is sealed." in run.out
        assert ["Signed by Maud", "Signed by Ines", "Signed by Maud"] == [
            line.split(",")[0] for line in run.out.splitlines() if line.startswith("Signed by")
        ]
        assert 0 == run("verify")
        assert "sealed, intact: 3 signatures" in run.out

    def test_what_is_signed_is_shown_before(self, run: Typing) -> None:
        """The sentence, the meaning and the time stand above the question for the passphrase."""
        run("walk", "cover", "--plain", "--as", "Ines", typed=(*TO_THE_HOLD_POINT, PHRASE))

        before, _, _ = run.out.partition("Maud, read this. Type your passphrase to sign")
        assert "I inspected these. I did none of the work." in before
        assert "Signed at:      2026-03-02T10:00:" in before

    def test_a_wrong_passphrase_is_asked_again(self, run: Typing) -> None:
        """With a sentence in between."""
        typed = (*TO_THE_HOLD_POINT, "four little worms", PHRASE, *TO_THE_END, PHRASE, PHRASE)

        assert 0 == run("walk", "cover", "--plain", "--as", "Ines", typed=typed)
        assert "The passphrase does not open this key" in run.out

    def test_a_run_can_be_left_unsealed(self, run: Typing, whinchat: Shop) -> None:
        """Nobody has the passphrase at hand: it is closed, not sealed, and is finished another day."""
        assert 1 == run("walk", "cover", "--plain", "--as", "Ines", typed=(*TO_THE_HOLD_POINT, "", *TO_THE_END))
        (left,) = whinchat.book.runs()
        assert f"closed, not sealed. Maud and Ines still have to sign: clampbook seal {left.id}" in " ".join(
            run.out.split()
        )

        assert 0 == run("seal", "cover", typed=(PHRASE, PHRASE, PHRASE))
        assert "The run is sealed." in run.out
        assert 0 == run("verify", left.id)

    def test_scripts_are_asked_in_objects(self, run: Typing) -> None:
        """The part is named, and the text that is signed goes to the talk."""
        typed = (*TO_THE_HOLD_POINT, PHRASE, *TO_THE_END, PHRASE, PHRASE)

        assert 0 == run("walk", "cover", "--plain", "--json", "--as", "Ines", typed=typed)
        asked = [json.loads(line) for line in run.out.splitlines()]
        assert 3 == sum(each.get("part") == "passphrase" for each in asked)
        assert "I tightened these" in run.err

    def test_without_keys_a_run_is_sealed_at_once(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Nobody is asked for anything; the record says that names were typed."""
        run = Typing(monkeypatch, capsys, shop(tmp_path / "plain", keys=False).book.root)

        assert 0 == run("walk", "cover", "--plain", "--as", "Ines", typed=(*TO_THE_HOLD_POINT, *TO_THE_END))
        assert 0 == run("verify")
        assert "sealed, intact: typed names" in run.out


class TestSeal:
    """`clampbook seal` finishes what was left."""

    def test_what_cannot_be_signed_any_more_can_be_left_out(self, run: Typing, whinchat: Shop) -> None:
        """On purpose; the status says that somebody must look, as verifying does ever after."""
        left = walked(whinchat)

        assert 2 == run("seal", left.id, "--skip-missing")
        gone = ("--skip-missing", "--as", "Ines", "--reason", "Maud lost her key")
        assert 1 == run("seal", left.id, *gone, typed=("", PHRASE, "", PHRASE))
        assert "The run is sealed" in run.out
        assert 1 == run("verify", left.id)
        assert "skipped by Ines: Maud lost her key" in run.out
        assert " problem" not in run.out

    def test_whoever_gives_up_what_a_withdrawn_key_owes_types_one_passphrase(self, run: Typing, whinchat: Shop) -> None:
        """Nobody else is asked in between, so that Ines signs and seals with it."""
        left = walked(whinchat)
        assert 0 == run("keys", "revoke", "Maud", "--as", "Ines", "--known-since", "never", "--yes")
        gone = ("--skip-missing", "--as", "Ines", "--reason", "her key is lost")

        assert 1 == run("seal", left.id, *gone, typed=(PHRASE,))

        assert "Type your passphrase to sign, and to seal this run" in run.err
        assert "The run is sealed" in run.out

    def test_a_sealed_run_is_left_alone(self, run: Typing, whinchat: Shop) -> None:
        """It is said that it is sealed already."""
        done = sealed(whinchat)

        assert 0 == run("seal", done.id)
        assert "is sealed already" in run.out


class TestAddendum:
    """`clampbook addendum` adds to what is sealed."""

    def test_it_is_signed_and_told_when_the_run_is_verified(self, run: Typing, whinchat: Shop) -> None:
        """In words and, for scripts, under `notices`."""
        done = sealed(whinchat)

        assert 0 == run("addendum", done.id, "--as", "Ines", "--text", "Washer replaced.", typed=(PHRASE,))
        assert 0 == run("verify", done.id)
        assert "by Ines: Washer replaced." in run.out
        run("verify", done.id, "--json")
        assert 1 == len(run.said()["runs"][0]["notices"])


class TestVerify:
    """`clampbook verify` says in words and in its status how sound things are."""

    def test_a_key_is_vouched_for_from_outside(self, run: Typing, whinchat: Shop, tmp_path: Path) -> None:
        """By allowed signers kept elsewhere; without them it is said that the book alone knows the keys."""
        sealed(whinchat)
        run("keys", "--allowed-signers")
        outside = tmp_path / "allowed_signers"
        outside.write_text(run.out, encoding="utf-8")

        assert 0 == run("verify")
        assert "found only in this book" in run.out
        assert 0 == run("verify", "--trust", str(outside))
        assert "vouched for from outside" in run.out

    def test_a_fingerprint_alone_knows_the_key_and_not_the_person(
        self, run: Typing, whinchat: Shop, tmp_path: Path
    ) -> None:
        """It is told so, and is no trust."""
        sealed(whinchat)
        run("keys")
        outside = tmp_path / "fingerprints.txt"
        outside.write_text(run.out, encoding="utf-8")

        assert 1 == run("verify", "--trust", str(outside))
        assert "is known, the person is not" in run.out

    def test_a_file_of_before_vouches_for_sign_offs_and_not_for_seals(
        self, run: Typing, whinchat: Shop, tmp_path: Path
    ) -> None:
        """It lists the one namespace only, which is said."""
        sealed(whinchat)
        run("keys", "--allowed-signers")
        outside = tmp_path / "allowed_signers"
        outside.write_text(run.out.replace("clampbook,clampbook-seal", "clampbook"), encoding="utf-8")

        assert 1 == run("verify", "--trust", str(outside))
        assert 1 == run.out.count("S518")
        assert "is vouched for, but not for seals" in run.out

    def test_a_stranger_from_outside_is_no_trust(self, run: Typing, whinchat: Shop, tmp_path: Path) -> None:
        """Keys that are not in the file are told, one by one."""
        sealed(whinchat)
        outside = tmp_path / "others"
        outside.write_text("SHA256:" + "A" * 43 + "\n")

        assert 1 == run("verify", "--trust", str(outside))
        assert "S518" in run.out

    def test_a_fault_is_printed_with_its_place(self, run: Typing, whinchat: Shop) -> None:
        """File and line within the book."""
        done = sealed(whinchat)
        done.daybook.write_bytes(done.daybook.read_bytes().replace(b'"typed":"30.1"', b'"typed":"30.3"', 1))

        assert 1 == run("verify")
        assert " problem" in run.out
        assert f"runs/{done.id}/daybook.jsonl line 4, S503: this file was changed after the run was sealed" in run.out

    def test_as_an_object(self, run: Typing, whinchat: Shop) -> None:
        """`runs` with `run`, `sound` and `faults`, for scripts."""
        done = sealed(whinchat)
        (done.path / "extra").write_text("x")

        assert 1 == run("verify", "--json")
        (told,) = run.said()["runs"]
        assert (done.id, False, ["S502"]) == (told["run"], told["intact"], [each["code"] for each in told["problems"]])
        assert 3 == len(told["signatures"])

    def test_a_run_that_vanished_is_told(self, run: Typing, whinchat: Shop) -> None:
        """By its name, with the line of the log."""
        done = sealed(whinchat)
        shutil.rmtree(done.path)

        assert 1 == run("verify")
        assert f"S514: the run {done.id} was opened and is not there" in run.out

    def test_nothing_is_mended_by_looking(self, run: Typing, whinchat: Shop) -> None:
        """A log that lacks a line is told, and not quietly completed."""
        sealed(whinchat)
        path = whinchat.book.root / "book.jsonl"
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))
        before = path.read_bytes()

        assert 1 == run("verify")
        assert before == path.read_bytes()

    @pytest.mark.parametrize("name", ["nothing", "../../etc"])
    def test_a_run_that_is_not_there_is_a_sentence(self, run: Typing, name: str) -> None:
        """With status 2."""
        assert 2 == run("verify", name)
        assert "no run" in run.err

    def test_a_file_of_keys_that_cannot_be_read_is_a_sentence(self, run: Typing, tmp_path: Path) -> None:
        """With its line."""
        (tmp_path / "keys").write_text("\nines ssh-ed25519 AAAA\n")

        assert 2 == run("verify", "--trust", str(tmp_path / "keys"))
        assert "line 2: " in run.err


def test_the_report_is_enough_for_ssh_keygen(whinchat: Shop, tmp_path: Path) -> None:
    """What is attached to the PDF alone verifies without Clampbook and without the book."""
    left = walked(whinchat)
    signing: Signing = signed(whinchat, left)
    signing.seal()
    for name, data in attached((left.path / "report.pdf").read_bytes()).items():
        (tmp_path / name).write_bytes(data)

    where = ["-f", str(tmp_path / "allowed_signers"), "-n", "clampbook", "-s", str(tmp_path / "signoff-2.txt.sig")]
    said = keygen(
        "-Y", "verify", "-I", "ines", "-Overify-time=20260401Z", *where, said=(tmp_path / "signoff-2.txt").read_bytes()
    )

    assert 0 == said.returncode


class TestOnATerminal:
    """On a real terminal a passphrase does not show while it is typed."""

    def test_a_key_is_made_and_a_run_sealed(self, whinchat: Shop) -> None:
        """What was typed before shows again afterwards, and the passphrase never stood there."""
        run = walked(whinchat)
        seen = StringIO()
        for arguments, times in ((["keys", "make", "Okke", "--new-person"], 2), (["seal", run.id], 3)):
            program = at_a_terminal(whinchat, *arguments)
            program.logfile_read = seen
            for _ in range(times):
                program.expect(["It stays hidden\\.", "Type it again", "passphrase to sign"])
                program.waitnoecho()
                program.sendline(PHRASE)
            program.expect(pexpect.EOF)
            program.close()
            assert 0 == program.exitstatus

        assert PHRASE not in seen.getvalue()
        assert "The run is sealed." in seen.getvalue()

    @pytest.mark.parametrize(
        ("answer", "by", "people"), [("1", "ines", ["Ines", "Maud"]), ("2", "inez", ["Ines", "Maud", "Inez"])]
    )
    def test_an_addendum_by_a_name_that_is_new_is_asked_about(
        self, whinchat: Shop, answer: str, by: str, people: list[str]
    ) -> None:
        """Ines signs it with her key; Inez, once she is in the book, has none."""
        done = sealed(whinchat)
        program = at_a_terminal(whinchat, "addendum", done.id, "--as", "Inez", "--text", "Washer replaced.")
        program.expect_exact("Inez is new here. Did you mean Ines? Type the number.")
        program.expect_exact("2 no, add Inez as a new person")
        program.sendline(answer)
        if by == "ines":
            program.expect("Type your passphrase to sign")
            program.waitnoecho()
            program.sendline(PHRASE)
        program.expect_exact("The run is sealed.")
        program.expect(pexpect.EOF)
        program.close()

        (added,) = [each for each in whinchat.book.runs() if each.addendum_to == done.id]
        assert 0 == program.exitstatus
        assert by == lines_of(added)[0]["by"]
        assert people == [person.name for person in whinchat.book.people()]


def at_a_terminal(at: Shop, *arguments: str) -> pexpect.spawn[str]:
    """The program of its own on a real terminal."""
    return pexpect.spawn(
        sys.executable,
        ["-m", "clampbook.cli", *arguments, "--book", str(at.book.root)],
        encoding="utf-8",
        timeout=30,
        env={**os.environ, "CLAMPBOOK_CLOCK": CLOCK},
    )
