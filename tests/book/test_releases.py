"""Releasing a procedure of a book: what is kept, what is signed, and what stands in its way."""

from __future__ import annotations

import subprocess
import tomllib
from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.book.keys import held_keys, withdraw_key
from clampbook.book.merging.merging import merge
from clampbook.book.releases import Given, Prepared, give, releasing, withdrawing
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Accepted
from clampbook.procedure.reader import read
from clampbook.procedure.release import says
from clampbook.procedure.release_editing import released
from clampbook.record.record import build
from clampbook.run.lines import stored
from clampbook.run_folder import RunFolder
from clampbook.signing import allowed, secret
from clampbook.signing.wire import KeyFault
from museum import log_of
from sealing import START, Shop, shop
from signers import PHRASE, verified

NOW = Stamp(START, "+00:00", "maud")


def path(at: Shop) -> Path:
    """The valve cover."""
    return at.book.root / "procedures" / "cover.toml"


def given(at: Shop, **changes: object) -> Given:
    """Maud compared it with issue 2 of the sheet; whatever the review asks is answered in the file first."""
    terms = {"person": at.maud, "at": START, "compared_with": "Sheet 3, issue 2", "look_again_by": "2027-03-02"}
    return Given(**{**terms, **changes})  # type: ignore[arg-type]


def answered(at: Shop) -> tuple[Accepted, ...]:
    """An answer to each query that stands."""
    from clampbook.book.releases import queries

    found, _ = queries(at.book, path(at))
    return tuple(Accepted(query=f"{each.code} {each.key}", because="looked at") for each in found.queries)


def prepared(at: Shop, **changes: object) -> Prepared:
    """A release that can be given now."""
    return releasing(at.book, path(at), given(at, accepted=answered(at), **changes))


def test_a_released_file_is_released_and_its_bytes_are_kept(whinchat: Shop) -> None:
    """The very bytes that stand in the procedures now, under slug, revision and hash."""
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW)

    assert "released" == work_named(whinchat.book, "cover").procedure.status
    assert (path(whinchat).read_bytes(), True) == (kept.read_bytes(), kept.name.startswith("cover-a-"))


def test_ssh_keygen_and_sha256sum_check_it_without_clampbook(whinchat: Shop, tmp_path: Path) -> None:
    """The text that was signed ends with a line for sha256sum."""
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    text = kept.with_suffix(".release.txt")
    keys = allowed.lines(held_keys(whinchat.book))

    said = verified(
        tmp_path, keys, "maud", text.read_bytes(), kept.with_suffix(".release.txt.sig").read_bytes(), "20260601Z"
    )
    sums = subprocess.run(["sha256sum", "-c", text.name], cwd=kept.parent, capture_output=True, timeout=30)

    assert (0, 0) == (said.returncode, sums.returncode)


def test_the_log_tells_of_it(whinchat: Shop) -> None:
    """By whom, compared with what, until when, and which bytes."""
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    line = log_of(whinchat.book)[-1]

    told = [line[key] for key in ("event", "procedure", "revision", "compared_with", "look_again_by", "person", "file")]
    assert ["procedure_released", "cover", "A", "Sheet 3, issue 2", "2027-03-02", "maud", kept.name] == told


def test_a_wrong_passphrase_changes_nothing(whinchat: Shop) -> None:
    """The file stays the draft it was, and nothing is kept."""
    before = path(whinchat).read_bytes()

    with pytest.raises(KeyFault, match="the passphrase does not open this key"):
        give(whinchat.book, prepared(whinchat), "quite another one", NOW)

    assert (before, False) == (path(whinchat).read_bytes(), (path(whinchat).parent / ".revisions").exists())


def test_a_file_edited_meanwhile_is_not_written_over(whinchat: Shop) -> None:
    """What somebody saved while the passphrase was typed is what stays."""
    ready = prepared(whinchat)
    edited = path(whinchat).read_bytes() + b"# Okke: ask about the gasket.\n"
    path(whinchat).write_bytes(edited)

    with pytest.raises(LedgerFault, match=r"has changed\. Nothing saved"):
        give(whinchat.book, ready, PHRASE, NOW)

    assert (edited, "key_added") == (path(whinchat).read_bytes(), log_of(whinchat.book)[-1]["event"])


def test_a_query_that_stands_is_in_the_way(whinchat: Shop) -> None:
    """Each wants an answer, or another sheet."""
    assert answered(whinchat)

    with pytest.raises(LedgerFault, match="Answer 3 queries"):
        releasing(whinchat.book, path(whinchat), given(whinchat))


def test_a_fault_is_in_the_way(whinchat: Shop) -> None:
    """What cannot be walked cannot be released."""
    path(whinchat).write_bytes(path(whinchat).read_bytes().replace(b'"30 N', b'"30 Q'))

    with pytest.raises(Faulty):
        releasing(whinchat.book, path(whinchat), given(whinchat))


def test_another_text_needs_another_revision(whinchat: Shop) -> None:
    """Revision A stays what Maud released as A."""
    give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    path(whinchat).write_bytes(path(whinchat).read_bytes().replace(b"30 N", b"31 N"))

    with pytest.raises(LedgerFault, match="released with other content on 2 March 2026"):
        prepared(whinchat)


def test_a_release_that_the_log_does_not_tell_of_is_finished(whinchat: Shop) -> None:
    """A crash between the file and the log: said again, only the line is added, without a passphrase."""
    log_file = whinchat.book.root / "book.jsonl"
    before = log_file.read_bytes()
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    log_file.write_bytes(before)

    again = releasing(whinchat.book, path(whinchat), given(whinchat))
    assert kept == give(whinchat.book, again, None, NOW)

    assert ["key_added", "key_added", "procedure_released"] == [line["event"] for line in log_of(whinchat.book)]


def test_a_withdrawn_one_is_kept_and_signed_too(whinchat: Shop) -> None:
    """By another person, with the reason."""
    give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    ready = withdrawing(whinchat.book, path(whinchat), given(whinchat, person=whinchat.ines, because="issue 4 is out"))
    kept = give(whinchat.book, ready, PHRASE, NOW)

    assert "withdrawn" == read(kept.read_bytes()).status
    assert kept.with_suffix(".withdrawal.txt.sig").exists()
    assert ("procedure_withdrawn", "issue 4 is out") == tuple(
        log_of(whinchat.book)[-1][key] for key in ("event", "because")
    )


def test_a_draft_is_not_withdrawn(whinchat: Shop) -> None:
    """Nobody released it."""
    with pytest.raises(LedgerFault, match="is a draft"):
        withdrawing(whinchat.book, path(whinchat), given(whinchat, because="no use"))


def test_whoever_has_no_key_gives_a_typed_name(tmp_path: Path) -> None:
    """The text says so, and no signature is beside it."""
    plain = shop(tmp_path / "book", keys=False)
    kept = give(plain.book, prepared(plain), None, NOW)

    assert "With key:       none: the name was typed" in kept.with_suffix(".release.txt").read_text(encoding="utf-8")
    assert not kept.with_suffix(".release.txt.sig").exists()


def test_a_release_that_somebody_made_up_does_not_hold(whinchat: Shop) -> None:
    """It names what the file says, but no line of the log tells of it: a run from it says that it is a draft."""
    said = says(tomllib.loads(path(whinchat).read_text(encoding="utf-8")))
    rows = {"by": "Maud", "compared_with": "Sheet 3", "on": "2026-03-02", "says": said}
    path(whinchat).write_bytes(released(path(whinchat).read_bytes(), rows))

    found = work_named(whinchat.book, "cover").procedure

    told = "no log of this book has the release by Maud on 2 March 2026"
    assert ("draft", told) == (found.status, found.lapsed)


def test_a_book_with_releases_verifies_without_faults(whinchat: Shop) -> None:
    """Kept files, texts and signatures are those that the log tells of."""
    give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    ready = withdrawing(whinchat.book, path(whinchat), given(whinchat, because="issue 4 is out"))
    give(whinchat.book, ready, PHRASE, NOW)

    assert () == Verifying(whinchat.book).book()


@pytest.mark.parametrize("suffix", [".toml", ".release.txt", ".release.txt.sig"])
@pytest.mark.parametrize("gone", [True, False])
def test_a_kept_file_that_is_gone_or_changed_is_found(whinchat: Shop, suffix: str, gone: bool) -> None:
    """Its name and what is wrong with it."""
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW).with_suffix(suffix)
    if gone:
        kept.unlink()
    else:
        kept.write_bytes(kept.read_bytes().replace(b"a", b"b", 1))

    found = Verifying(whinchat.book).book()

    assert "S520" in {each.code for each in found}
    places = {each.path for each in found}
    assert f"procedures/.revisions/{kept.name}" in places or (suffix, gone) == (".release.txt", False)


def test_a_text_changed_by_a_byte_no_longer_fits_its_signature(whinchat: Shop) -> None:
    """Told beside the signature, which is over the text as it was."""
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW).with_suffix(".release.txt")
    kept.write_bytes(kept.read_bytes().replace(b"issue 2", b"issue 3"))

    assert ["the key of maud did not sign this text"] == [each.text for each in Verifying(whinchat.book).book()]


def test_the_key_of_a_release_can_be_vouched_for_from_outside(whinchat: Shop) -> None:
    """By a file that is kept elsewhere; a key that only this book knows is told."""
    kept = give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    known = allowed.lines(held_keys(whinchat.book))
    other = f"maud {secret.made().public.text}\n".encode()

    assert () == Verifying(whinchat.book, allowed.read(known)).book()
    (told,) = Verifying(whinchat.book, allowed.read(other)).book()
    assert ("S518", f"procedures/.revisions/{kept.stem}.release.txt.sig") == (told.code, told.path)


def test_a_release_comes_along_where_its_book_is_merged(whinchat: Shop, tmp_path: Path) -> None:
    """With the kept file, its text and its signature; the other log tells of it."""
    give(whinchat.book, prepared(whinchat), PHRASE, NOW)
    office = Book.create(tmp_path / "office", "Office")
    kept = sorted(each.name for each in (path(whinchat).parent / ".revisions").iterdir())

    merge(office, whinchat.book, {"at": "2026-05-01T12:00:00.000Z", "offset": "+00:00"})

    assert kept == sorted(each.name for each in (office.root / "procedures" / ".revisions").iterdir())
    assert "released" == work_named(office, "cover").procedure.status


def test_a_release_dated_back_to_before_its_key_was_withdrawn_is_told(whinchat: Shop) -> None:
    """By its date the key was in use; by the order of the log it was withdrawn already."""
    root = whinchat.book.root
    kept = {path: path.read_bytes() for path in (root / "people.toml", root / "keys" / "maud.key")}
    withdraw_key(whinchat.book, whinchat.maud, "lost", Stamp(START.replace(year=2027), "+00:00", "maud"))
    for file, data in kept.items():
        file.write_bytes(data)
    give(whinchat.book, prepared(whinchat), PHRASE, NOW)

    told = [each for each in Verifying(whinchat.book).book() if each.code == "S520"]

    assert [True] == ["the log says its key was revoked at line" in each.text for each in told]


class TestWithdrawnWhileItIsUsed:
    """A withdrawal reaches whoever works by the revision."""

    def withdrawn(self, at: Shop) -> None:
        """Maud withdraws the cover."""
        ready = withdrawing(at.book, path(at), given(at, because="sheet 3 has issue 3"))
        give(at.book, ready, PHRASE, NOW)

    def opened(self, at: Shop, **terms: str) -> RunFolder:
        """A run of the cover that Ines begins."""
        asked = Terms(person=at.ines, equipment="Whinchat", **terms)  # type: ignore[arg-type]
        return open_run(at.book, work_named(at.book, "cover"), asked, at.clock, "handed in")

    def test_an_open_run_is_told_at_its_next_prompt_and_once(self, whinchat: Shop) -> None:
        """Another window withdraws it between two questions."""
        give(whinchat.book, prepared(whinchat), PHRASE, NOW)
        run = self.opened(whinchat)
        with walking(whinchat.book, run, clock=whinchat.clock, person=whinchat.ines, exempt=True, fresh=True) as walk:
            before = walk.hear()
            self.withdrawn(whinchat)
            heard, again = walk.hear(), walk.hear()
            plan = walk.plan

        assert ((), ()) == (before, again)
        assert [
            "Maud withdrew revision A of this procedure on 2 March 2026: sheet 3 has issue 3. Ask before you go on."
        ] == [stored(event, plan) for event in heard]

    def test_it_stands_on_page_one(self, whinchat: Shop) -> None:
        """As a deviation, and above it."""
        give(whinchat.book, prepared(whinchat), PHRASE, NOW)
        run = self.opened(whinchat)
        self.withdrawn(whinchat)
        with walking(whinchat.book, run, clock=whinchat.clock, person=whinchat.ines, exempt=True, fresh=True):
            pass
        record = build(run.procedure(), run.plan(), run.daybook.read_bytes()).decode()

        assert 'withdrawn_because = "sheet 3 has issue 3"' in record
        assert 'kind = "procedure withdrawn"' in record

    def test_beginning_a_withdrawn_one_needs_a_reason(self, whinchat: Shop) -> None:
        """Which stands in the first line and on page one."""
        give(whinchat.book, prepared(whinchat), PHRASE, NOW)
        self.withdrawn(whinchat)

        with pytest.raises(LedgerFault, match="is withdrawn"):
            self.opened(whinchat)
        run = self.opened(whinchat, despite="agreed with the person in charge")
        record = build(run.procedure(), run.plan(), run.daybook.read_bytes()).decode()
        assert 'begun_despite_withdrawal = "agreed with the person in charge"' in record
        assert ('kind = "started though withdrawn"\nreason = "agreed with the person in charge"') in record
