"""Signing and sealing: who is asked, in which order, what is refused, and what can be gone on with after a break."""

from __future__ import annotations

import re
import shutil
import subprocess
from datetime import timedelta
from pathlib import Path

import pypdf
import pytest

from clampbook.book.keys import make_key, unlock, withdraw_key
from clampbook.book.mending import mend
from clampbook.book.runs import unsealed
from clampbook.book.sealing import of_run
from clampbook.book.sealing.finishing import finish
from clampbook.book.sealing.of_run import Signing
from clampbook.book.soundness.verifying import Verifying
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.record.report import of_folder
from clampbook.record.sealed.dues import Due
from clampbook.record.written import write
from clampbook.signing.secret import SecretKey
from clampbook.signing.wire import KeyFault
from museum import log_of
from sealing import START, Shop, sealed, shop, signed, walked
from signers import PHRASE, keygen

NOW = Stamp(START, "+00:00", "ines")


def given_up(at: Shop, signing: Signing) -> Signing:
    """Ines gives up what is missing, and seals with her key."""
    signing.give_up(at.ines, "the keys are lost")
    signing.give(PHRASE)
    return signing


class TestSigning:
    """Each signature that a line announces is asked for, with its text, and given with the passphrase."""

    def test_what_was_signed_on_the_way_is_asked_for_first(self, whinchat: Shop) -> None:
        """The concession, the hold point, then the sign-offs at the end, which vouch for them too."""
        signing = Signing(whinchat.book, walked(whinchat, over=True), whinchat.clock)
        asked = []

        while signing.wanted is not None:
            assert isinstance(signing.wanted, Due)
            asked.append((signing.wanted.person.name, signing.wanted.role, signing.wanted.meaning))
            signing.give(PHRASE)

        assert [
            ("Maud", "second person", "concession"),
            ("Maud", "inspector at a hold point", "independently inspected"),
            ("Ines", "assembler", "performed"),
            ("Maud", "inspector", "independently inspected"),
        ] == asked

    def test_the_text_says_what_is_vouched_for(self, whinchat: Shop) -> None:
        """In a sentence, before the passphrase is typed, with the time and its zone."""
        signing = Signing(whinchat.book, walked(whinchat), whinchat.clock)

        text = signing.text()

        assert "I inspected these. I did none of the work." in text
        assert "Name:           Maud (maud)" in text
        assert f"Signed at:      {whinchat.clock.at:%Y-%m-%dT%H:%M:%S}+00:00" in text
        assert "Lines by then:  6" in text

    def test_a_wrong_passphrase_changes_nothing(self, whinchat: Shop) -> None:
        """It is told in a sentence, and the same signature is asked for again."""
        run = walked(whinchat)
        signing = Signing(whinchat.book, run, whinchat.clock)
        before = sorted(path.name for path in run.path.iterdir())

        with pytest.raises(KeyFault, match="the passphrase does not open this key"):
            signing.give("four little worms")

        assert before == sorted(path.name for path in run.path.iterdir())
        assert signing.wanted == signing.missing[0]

    def test_somebody_elses_key_is_refused(self, whinchat: Shop) -> None:
        """Also where its file was put in the other's place, under a passphrase that is known."""
        run = walked(whinchat)
        keys = whinchat.book.root / "keys"
        shutil.copy(keys / "ines.key", keys / "maud.key")

        with pytest.raises(KeyFault, match=r"keys/maud\.key is not the key in people\.toml"):
            Signing(whinchat.book, run, whinchat.clock).give(PHRASE)

    def test_a_withdrawn_key_signs_nothing_more(self, whinchat: Shop) -> None:
        """Nor does the one that replaced it, which nobody announced; and nobody is asked for its passphrase."""
        run = walked(whinchat)
        withdraw_key(whinchat.book, whinchat.maud, "lost", NOW)
        make_key(whinchat.book, whinchat.maud, PHRASE, NOW)
        signing = Signing(whinchat.book, run, whinchat.clock)

        assert signing.wanted is None
        assert "The key of Maud is revoked. To seal without: clampbook seal" in " ".join(finish(signing))

    def test_a_key_withdrawn_while_its_passphrase_is_asked_signs_nothing(self, whinchat: Shop) -> None:
        """Somebody else withdrew it in another window."""
        signing = Signing(whinchat.book, walked(whinchat), whinchat.clock)
        withdraw_key(whinchat.book, whinchat.maud, "lost", NOW)

        with pytest.raises(KeyFault, match="is no longer in use"):
            signing.give(PHRASE)

    def test_without_keys_nobody_is_asked(self, tmp_path: Path) -> None:
        """Names are typed, the record says so, and the run is sealed all the same."""
        at = shop(tmp_path / "book", keys=False)
        run = walked(at)
        signing = Signing(at.book, run, at.clock)

        told = " ".join(finish(signing))

        assert signing.wanted is None
        assert "The run is sealed." in told
        assert 'name_given_as = "typed name"' in (run.path / "record.toml").read_text(encoding="utf-8")
        assert not (run.path / "allowed_signers").exists()


class TestSealing:
    """The seal closes the folder; until it stands, the run is closed and not sealed."""

    def test_ordinary_tools_check_everything(self, whinchat: Shop) -> None:
        """sha256sum and ssh-keygen, in the folder alone, with no Clampbook."""
        run = sealed(whinchat, over=True)

        for sums in ("facts.sha256", "seal.sha256"):
            summed = subprocess.run(["sha256sum", "-c", "--strict", sums], cwd=run.path, capture_output=True)
            assert (0, b"") == (summed.returncode, summed.stderr)
        for number, person in enumerate(("maud", "maud", "ines", "maud"), start=1):
            name = run.path / f"signoff-{number}.txt"
            where = ["-f", str(run.path / "allowed_signers"), "-n", "clampbook", "-s", f"{name}.sig"]
            assert (
                0
                == keygen(
                    "-Y", "verify", "-I", person, "-Overify-time=20260401Z", *where, said=name.read_bytes()
                ).returncode
            )

    def test_the_seal_holds_every_file_but_itself(self, whinchat: Shop) -> None:
        """Nothing lies in the folder that is not summed, but for the text that names the seal's own sum, and its
        signature."""
        run = sealed(whinchat)

        summed = {line.split("  ")[1] for line in (run.path / "seal.sha256").read_text().splitlines()}

        assert {path.name for path in run.path.iterdir()} == summed | {"seal.sha256", "seal.txt", "seal.txt.sig"}

    def test_the_books_log_says_so(self, whinchat: Shop) -> None:
        """Once, with the seal's own sum."""
        run = walked(whinchat)
        seal = signed(whinchat, run).seal()
        Signing(whinchat.book, run, whinchat.clock).seal()

        said = [entry for entry in log_of(whinchat.book) if entry["event"] == "run_sealed"]

        assert [(run.id, seal)] == [(entry["run"], entry["seal"]) for entry in said]

    def test_a_missing_signature_keeps_it_open(self, whinchat: Shop) -> None:
        """It is told who is missing and what to do; the rest can be given later, by another start of the program."""
        run = walked(whinchat)
        first = Signing(whinchat.book, run, whinchat.clock)
        first.give(PHRASE)
        first.give(PHRASE)
        first.later()

        told = " ".join(finish(first))

        assert f"is closed, not sealed. Maud still has to sign: clampbook seal {run.id}" in told
        assert (run,) == unsealed(whinchat.book)
        signed(whinchat, run).seal()
        assert () == unsealed(whinchat.book)

    def test_a_signature_that_can_never_be_given_may_be_left_out(self, whinchat: Shop) -> None:
        """On purpose only; the run is sealed without it."""
        run = walked(whinchat)
        withdraw_key(whinchat.book, whinchat.maud, "forgotten", NOW)
        signing = Signing(whinchat.book, run, whinchat.clock)
        with pytest.raises(LedgerFault, match="Maud and Ines still have to sign"):
            signing.seal()

        given_up(whinchat, signing).seal()

        assert signing.sealed

    def test_a_key_serves_what_was_said_as_its_passphrase_was_asked(self, whinchat: Shop) -> None:
        """Ines signs, Maud leaves hers and it is given up: a key is not kept while somebody else is asked, so the seal
        asks Ines again."""
        signing = Signing(whinchat.book, walked(whinchat), whinchat.clock)
        signing.give(PHRASE)
        first = signing.asked
        signing.give(PHRASE)
        signing.later()

        signing.give_up(whinchat.ines, "she has left the house")

        assert ("to sign", "to seal this run") == (first, signing.asked)
        with pytest.raises(LedgerFault, match="Ines still has to sign"):
            signing.seal()
        signing.give(PHRASE)
        signing.seal()
        assert signing.sealed

    def test_given_up_before_anybody_signs_it_costs_no_further_passphrase(self, whinchat: Shop) -> None:
        """What Maud was to sign can never be signed; then Ines signs last, and seals with it."""
        run = walked(whinchat)
        withdraw_key(whinchat.book, whinchat.maud, "forgotten", NOW)
        signing = Signing(whinchat.book, run, whinchat.clock)

        assert signing.never
        signing.give_up(whinchat.ines, "her key is lost")
        asked = signing.asked
        signing.give(PHRASE)
        signing.seal()

        assert "to sign, and to seal this run" == asked
        assert signing.sealed and not signing.never

    def test_a_sealed_run_is_not_written_to(self, whinchat: Shop) -> None:
        """Making its record again leaves the file as it is."""
        run = sealed(whinchat)
        before = (run.path / "record.toml").stat().st_mtime_ns

        write(run.path)

        assert before == (run.path / "record.toml").stat().st_mtime_ns

    def test_who_signs_while_another_program_seals_changes_nothing(
        self, whinchat: Shop, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The other is done while the key is unlocked here: what was signed first stands, and the run is sound."""
        run = walked(whinchat)
        late = Signing(whinchat.book, run, whinchat.clock)
        late.text()

        def slowly(*words: str) -> SecretKey:
            monkeypatch.undo()
            signed(whinchat, run).seal()
            return unlock(whinchat.book, *words)

        monkeypatch.setattr(of_run, "unlock", lambda _, *words: slowly(*words))
        with pytest.raises(LedgerFault, match="needs no signature"):
            late.give(PHRASE)

        assert () == Verifying(whinchat.book).run(run).faults

    def test_an_open_run_is_not_sealed(self, whinchat: Shop) -> None:
        """Nothing is over yet."""
        run = walked(whinchat)
        lines = run.daybook.read_bytes().splitlines(keepends=True)
        run.daybook.write_bytes(b"".join(lines[:-1]))

        with pytest.raises(LedgerFault, match="Only a closed run can be sealed"):
            Signing(whinchat.book, run, whinchat.clock).seal()

    @pytest.mark.parametrize("name", ["notes.txt", "signoff-9.txt", "..data", "\x1b[2J"])
    def test_a_strange_file_is_not_sealed_in(self, whinchat: Shop, name: str) -> None:
        """It is named, so that somebody takes it away."""
        run = walked(whinchat)
        (run.path / name).write_text("x")

        with pytest.raises(LedgerFault, match=r"does not belong to the run\. Remove it first"):
            given_up(whinchat, Signing(whinchat.book, run, whinchat.clock)).seal()

    def test_a_link_is_not_sealed_in(self, whinchat: Shop) -> None:
        """A text that leads out of the book is never read, summed or printed."""
        run = walked(whinchat)
        (run.path / "signoff-1.txt").symlink_to("/etc/hostname")

        with pytest.raises(LedgerFault, match="is not a plain file"):
            given_up(whinchat, Signing(whinchat.book, run, whinchat.clock)).seal()

    def test_what_was_signed_over_cannot_be_changed_before_the_seal(self, whinchat: Shop) -> None:
        """Once somebody signed at the end, the facts stay as they are."""
        run = walked(whinchat)
        first = Signing(whinchat.book, run, whinchat.clock)
        first.give(PHRASE)
        first.give(PHRASE)
        (run.path / "record.toml").write_text("title = 'another'\n")

        with pytest.raises(LedgerFault, match="does not match the files beside it"):
            given_up(whinchat, first).seal()

    @pytest.mark.parametrize("name", ["facts.sha256", "daybook.jsonl"])
    def test_a_file_that_went_missing_after_a_signature_is_told(self, whinchat: Shop, name: str) -> None:
        """It was signed over, so nothing can stand in for it: neither signing nor sealing goes on."""
        run = walked(whinchat)
        signing = Signing(whinchat.book, run, whinchat.clock)
        signing.give(PHRASE)
        signing.give(PHRASE)
        (run.path / name).unlink()

        with pytest.raises(LedgerFault, match=f"{name}.*could not be read"):
            Signing(whinchat.book, run, whinchat.clock).text()
        with pytest.raises(LedgerFault, match=f"{name}.*could not be read"):
            given_up(whinchat, Signing(whinchat.book, run, whinchat.clock)).seal()

    def test_a_kill_between_seal_and_log_is_mended(self, whinchat: Shop) -> None:
        """The next start writes the line that is missing."""
        run = sealed(whinchat)
        path = whinchat.book.root / "book.jsonl"
        whole = path.read_bytes()
        path.write_bytes(b"".join(whole.splitlines(keepends=True)[:-1]))

        told = mend(whinchat.book)

        assert (f"{run.id} was sealed. The book's log now says so.",) == told
        assert ("run_sealed", run.id) == (log_of(whinchat.book)[-1]["event"], log_of(whinchat.book)[-1]["run"])


@pytest.mark.parametrize(("written", "width"), [("", 595.28), ('paper = "letter"\n', 612.0)])
def test_a_sealed_report_has_the_paper_of_its_book(tmp_path: Path, written: str, width: float) -> None:
    """ISO 216 A4 is 210 mm wide, letter (ANSI/ASME Y14.1 A) 8.5 inches."""
    at = shop(tmp_path / "book")
    with at.book.path("book.toml").open("a", encoding="utf-8") as file:
        file.write(written)
    run = sealed(at)

    page = pypdf.PdfReader(run.path / "report.pdf").pages[0]
    assert width == pytest.approx(float(page.mediabox.width), abs=0.5)
    assert Verifying(at.book).run(run).sound


def test_a_paper_that_nobody_has_is_told(tmp_path: Path) -> None:
    """With its line and what is allowed."""
    at = shop(tmp_path / "book")
    with at.book.path("book.toml").open("a", encoding="utf-8") as file:
        file.write('paper = "a5"\n')

    with pytest.raises(Faulty) as found:
        at.book.paper()

    assert (4, "paper") == (found.value.faults[0].line, found.value.faults[0].key)


def test_a_clock_that_was_put_back_before_a_key_was_made_does_not_sign(tmp_path: Path) -> None:
    """Nothing is written then, and once the clock is right the run is signed and sealed, and is sound."""
    at = shop(tmp_path / "book")
    run = walked(at)
    now = at.clock.at
    at.clock.at = START - timedelta(days=400)
    before = sorted(path.name for path in run.path.iterdir())
    signing = Signing(at.book, run, at.clock)
    signing.text()

    with pytest.raises(LedgerFault, match=r"before Maud's key was made \(2026-03-02T09:00:00Z\).*Correct the clock"):
        signing.give(PHRASE)

    assert before == sorted(path.name for path in run.path.iterdir())
    at.clock.at = now
    signed(at, run).seal()
    assert Verifying(at.book).run(run).sound


def test_its_report_printed_again_says_nothing_that_was_only_true_before_the_seal(whinchat: Shop) -> None:
    """The same bytes, also once the log has grown; the log is told as it stood before the seal, which adds a line."""
    run = sealed(whinchat)
    sealed(whinchat)

    assert (run.path / "report.pdf").read_bytes() == of_folder(run.path)
    pages = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(run.path / "report.pdf").pages).split())
    seal = (run.path / "seal.txt").read_text(encoding="utf-8")
    before = re.search(r"^Log before: +(\d+) lines, the last of them ([0-9a-f]{32})", seal, re.MULTILINE)
    assert before is not None
    assert "Printed before" not in pages
    assert "The seal adds a line." in pages
    assert f":{before[1]}:{before[2]}" in pages.replace("\u200b", "").replace(" ", "")
