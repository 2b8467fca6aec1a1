"""Verifying: whatever is done to a sealed run, its book or its keys is found, and named with its file."""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.book.keys import make_key, withdraw_key
from clampbook.book.sealing.of_run import Signing
from clampbook.book.soundness.found import Soundness, in_words
from clampbook.book.soundness.verifying import Verifying, over
from clampbook.faults import Fault
from clampbook.ledger import lines
from clampbook.ledger.lines import split
from clampbook.ledger.stamp import Stamp
from clampbook.record.record import build
from clampbook.record.sealed.known_keys import Keys
from clampbook.record.sealed.seal import seal_faults
from clampbook.record.sealed.seal_signed import MaySeal, seal_signed
from clampbook.record.sealed.sums import digests, sums
from clampbook.record.written import FROZEN
from clampbook.run_folder import RunFolder
from clampbook.signing import allowed, secret
from sealing import START, Shop, sealed, shop, walked
from signers import PHRASE

MORE = int(os.environ.get("CLAMPBOOK_TAMPERINGS", "120"))  # changed bytes, cuts and swaps that are verified in full


@dataclass(frozen=True)
class Sealed:
    """A book with one sealed run, and the run."""

    shop: Shop
    run: RunFolder

    def verified(self, outside: bytes | None = None) -> Soundness:
        """The run as it is found now."""
        return Verifying(self.shop.book, None if outside is None else allowed.read(outside)).run(self.run)

    def found(self) -> list[tuple[str, str, int | None]]:
        """Code, file and line of each fault of the run."""
        return [(each.code, each.path.rpartition("/")[2], each.line) for each in self.verified().faults]

    def told_of_the_book(self) -> list[str]:
        """The codes of what is wrong with the logs."""
        return [each.code for each in Verifying(self.shop.book).book()]


@pytest.fixture(scope="module")
def pristine(tmp_path_factory: pytest.TempPathFactory) -> Sealed:
    """A run with a concession, a hold point and two signers, that nothing was done to."""
    at = shop(tmp_path_factory.mktemp("whinchat") / "book")
    return Sealed(at, sealed(at, over=True))


@pytest.fixture
def copied(pristine: Sealed, tmp_path: Path) -> Sealed:
    """A copy of it to tamper with."""
    root = tmp_path / "book"
    shutil.copytree(pristine.shop.book.root, root)
    at = Shop(Book.open(root), pristine.shop.ines, pristine.shop.maud, pristine.shop.clock)
    return Sealed(at, at.book.run(pristine.run.id))


def edit(path: Path, old: bytes, new: bytes) -> None:
    """Change a file as somebody with an editor would."""
    data = path.read_bytes()
    assert old in data
    path.write_bytes(data.replace(old, new, 1))


class TestASoundRun:
    """What is said of a run that nothing was done to."""

    def test_nothing_is_found(self, pristine: Sealed) -> None:
        """Neither in the run nor in the book."""
        assert ([], []) == (pristine.found(), pristine.told_of_the_book())

    def test_every_signature_holds(self, pristine: Sealed) -> None:
        """With its meaning, and that its key was only found in the book."""
        signed = pristine.verified().signed

        assert [
            ("Maud", "concession", "found only in this book"),
            ("Maud", "independently inspected", "found only in this book"),
            ("Ines", "performed", "found only in this book"),
            ("Maud", "independently inspected", "found only in this book"),
        ] == [(each.name, each.meaning, each.known) for each in signed]

    def test_keys_can_be_vouched_for_from_outside(self, pristine: Sealed) -> None:
        """By a file of allowed signers that is kept elsewhere."""
        found = pristine.verified((pristine.run.path / "allowed_signers").read_bytes())

        assert found.sound
        assert {"vouched for from outside"} == {each.known for each in found.signed}

    def test_a_key_that_nobody_outside_knows_is_told(self, pristine: Sealed) -> None:
        """Whoever can write to the book could have made it."""
        found = pristine.verified(f"ines {secret.made().public.text}\n".encode())

        assert {"S518"} == {each.code for each in found.faults}
        assert () == found.signed

    def test_a_run_without_keys_is_sound_too(self, tmp_path: Path) -> None:
        """It has no signatures, and nothing is missing."""
        at = shop(tmp_path / "book", keys=False)
        run = sealed(at)

        found = Verifying(at.book).run(run)

        assert ("sealed", (), ()) == (found.state, found.faults, found.signed)

    def test_old_signatures_outlive_their_key(self, copied: Sealed) -> None:
        """A key that is lost and replaced later takes nothing from what it signed before."""
        later = Stamp(START.replace(year=2027), "+00:00", "maud")
        withdraw_key(copied.shop.book, copied.shop.maud, "lost", later)
        make_key(copied.shop.book, copied.shop.maud, PHRASE, later)

        assert [] == copied.found()

    def test_what_was_signed_when_others_may_have_had_the_key_is_named(self, copied: Sealed) -> None:
        """Maud's key may be known since the morning of the run: nothing was changed, and each signature is named."""
        later = Stamp(START.replace(year=2027), "+00:00", "ines")
        withdraw_key(copied.shop.book, copied.shop.maud, "known", later, START.replace(hour=0))

        found = Verifying(copied.shop.book).run(copied.run)

        assert {"S529"} == {each.code for each in found.faults}
        assert all(each.text.startswith("Maud signed this on 2026-03-02") for each in found.faults)
        assert "signatures by a key that others may have had by then" in in_words(found)

    def test_what_was_signed_before_that_is_as_good_as_it_was(self, copied: Sealed) -> None:
        """Known since a day later, the key takes nothing from the run."""
        later = Stamp(START.replace(year=2027), "+00:00", "ines")
        withdraw_key(copied.shop.book, copied.shop.maud, "known", later, START.replace(day=3, hour=0))

        assert [] == copied.found()

    def test_a_run_that_is_not_sealed_is_told(self, tmp_path: Path) -> None:
        """It is closed, and what finishes it is said."""
        at = shop(tmp_path / "book")
        run = walked(at)

        (fault,) = Verifying(at.book).run(run).faults

        assert ("S517", True) == (fault.code, f"clampbook seal {run.id}" in fault.text)
        assert (run,) == over(at.book)


class TestEveryByte:
    """No byte of a sealed run can be changed, cut off or exchanged without its file being named."""

    def test_every_one_byte_change_is_found(self, pristine: Sealed) -> None:
        """Each byte of each file that is sealed in, one after the other: the file is named, and no other."""
        files = {path.name: path.read_bytes() for path in pristine.run.path.iterdir()}
        seal, hashes = _summed(files)
        assert [] == seal_faults(seal, hashes, trusted=True)

        missed = []
        for name in hashes:
            before, data = sha256(), files[name]
            for place, byte in enumerate(data):
                changed = before.copy()
                changed.update(bytes([byte ^ 1]) + data[place + 1 :])
                if changed.hexdigest() == hashes[name]:
                    missed.append((name, place))
                before.update(data[place : place + 1])
            (fault,) = seal_faults(seal, {**hashes, name: changed.hexdigest()}, trusted=True)
            assert ("S503", name) == (fault.code, fault.path)

        assert [] == missed

    def test_every_one_byte_change_of_the_seal_is_found(self, pristine: Sealed) -> None:
        """Also with nothing but the folder itself to go by."""
        files = {path.name: path.read_bytes() for path in pristine.run.path.iterdir()}
        seal, hashes = _summed(files)

        changed = (seal[:at] + bytes([seal[at] ^ 1]) + seal[at + 1 :] for at in range(len(seal)))
        cut = (seal[:at] for at in range(len(seal)))

        assert [] == [each for each in (*changed, *cut) if not seal_faults(each, hashes, trusted=False)]

    def test_every_one_byte_change_of_what_goes_with_the_seal_is_found(self, pristine: Sealed) -> None:
        """Its text, which names the sum of the seal, and the signature over that."""
        files = {path.name: path.read_bytes() for path in pristine.run.path.iterdir()}
        may = MaySeal(what="run", name=pristine.run.id, closers=[("maud", None)])
        vouched = allowed.read(files["allowed_signers"])

        def faults(name: str, data: bytes) -> list[Fault]:
            found = seal_signed({**files, name: data}, digests(files), may, vouched, Keys())
            return [each for each in found if isinstance(each, Fault)]

        missed = []
        for name in ("seal.txt", "seal.txt.sig"):
            data = files[name]
            assert [] == faults(name, data)
            for at in range(len(data)):
                changed = data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]
                missed += [(name, at) for each in (changed, data[:at]) if not faults(name, each)]

        assert [] == missed

    def test_changes_cuts_and_swaps_are_named_with_their_file(self, copied: Sealed) -> None:
        """Whatever is done to a file at random, verifying the whole run names that file."""
        draw = random.Random(7)
        names = sorted(path.name for path in copied.run.path.iterdir())

        missed = []
        for number in range(MORE):
            name = names[number % len(names)]
            path = copied.run.path / name
            whole = path.read_bytes()
            path.write_bytes(_tampered(draw, whole))
            if name not in {file for _, file, _ in copied.found()}:
                missed.append((name, number))
            path.write_bytes(whole)

        assert [] == missed
        assert [] == copied.found()


def _summed(files: dict[str, bytes]) -> tuple[bytes, dict[str, str]]:
    """The seal, and the sums of the files that it names."""
    beside = ("seal.sha256", "seal.txt", "seal.txt.sig")
    return files["seal.sha256"], digests({name: data for name, data in files.items() if name not in beside})


def _tampered(draw: random.Random, data: bytes) -> bytes:
    """The bytes with one changed, cut off at some place, or with two parts exchanged."""
    first, second = sorted(draw.sample(range(1, len(data)), 2))
    ways: tuple[Callable[[], bytes], ...] = (
        lambda: data[:first] + bytes([data[first] ^ draw.randint(1, 255)]) + data[first + 1 :],
        lambda: data[:second],
        lambda: data[first:second] + data[:first] + data[second:],
        lambda: data + data[first:second],
    )
    return next(made for made in (draw.choice(ways)() for _ in range(100)) if made != data)


def _chained(whole: list[dict[str, object]]) -> bytes:
    """The lines of a log made anew, each holding the hash of the one before."""
    made, before = [], lines.NOTHING_BEFORE
    for number, fields in enumerate(whole, start=1):
        made.append(lines.encode(fields, number, before))
        before = lines.digest(made[-1])
    return b"".join(line + b"\n" for line in made)


class TestTampering:
    """Ten ways in which somebody might go about it."""

    def test_a_better_reading(self, copied: Sealed) -> None:
        """The line is named, since the report still carries the one that was written."""
        edit(copied.run.daybook, b'"typed":"35"', b'"typed":"31"')

        found = copied.found()

        assert ("S503", "daybook.jsonl", 4) in found
        assert ("D303", "daybook.jsonl", 4) in found

    def test_a_better_verdict_with_everything_made_anew_but_the_log_and_the_signatures(self, copied: Sealed) -> None:
        """The chain, record, facts and seal fit; the figure, the log and every signature over it do not."""
        _rewritten(copied, b'"verdict":"over"', b'"verdict":"within"')

        codes = {code for code, _, _ in copied.found()}

        assert {"S508", "S505", "S511"} <= codes
        assert "D303" not in codes

    def test_a_tail_that_was_cut_off(self, copied: Sealed) -> None:
        """The log knows the last line."""
        whole = copied.run.daybook.read_bytes()
        copied.run.daybook.write_bytes(b"".join(whole.splitlines(keepends=True)[:-1]))

        assert ("D305", "daybook.jsonl", 10) in copied.found()

    def test_a_file_that_was_taken_away(self, copied: Sealed) -> None:
        """Each of them is missed."""
        for path in sorted(copied.run.path.iterdir()):
            data = path.read_bytes()
            path.unlink()
            assert ("S501", path.name) in {(code, file) for code, file, _ in copied.found()}, path.name
            path.write_bytes(data)

    @pytest.mark.parametrize("name", ["notes.txt", "signoff-5.txt", "daybook.torn-0001", ".hidden"])
    def test_a_file_that_was_added(self, copied: Sealed, name: str) -> None:
        """It was not sealed in."""
        (copied.run.path / name).write_text("I was here.\n")

        assert ("S502", name, None) in copied.found()

    def test_a_signature_that_was_exchanged_for_another(self, copied: Sealed) -> None:
        """Maud's second signature does not fit her first text."""
        shutil.copy(copied.run.path / "signoff-2.txt.sig", copied.run.path / "signoff-1.txt.sig")

        assert ("S510", "signoff-1.txt.sig", None) in copied.found()

    def test_a_signature_with_a_key_of_ones_own(self, copied: Sealed) -> None:
        """It fits the text, but another key was announced."""
        text = (copied.run.path / "signoff-3.txt").read_bytes()
        (copied.run.path / "signoff-3.txt.sig").write_bytes(secret.made().sign(text))

        assert ("S512", "signoff-3.txt.sig", None) in copied.found()

    def test_a_signature_that_was_dated_back(self, copied: Sealed) -> None:
        """The log says that the key was withdrawn before the run began, so no clock makes its signatures older."""
        log = copied.shop.book.path("book.jsonl")
        whole = [lines.decode(line) for line in split(log.read_bytes())[0]]
        begun = next(at for at, each in enumerate(whole) if each["event"] == "run_opened")
        added = next(each for each in whole if each["event"] == "key_added" and each["person"] == "ines")
        whole.insert(begun, {**added, "event": "key_withdrawn", "why": "lost", "at": "2027-01-01T00:00:00Z"})
        log.write_bytes(_chained(whole))

        found = copied.verified()

        assert any("so signature 3 cannot be of 2026-03-02" in each.text for each in found.faults)
        assert {"maud"} == {each.person for each in found.signed}

    def test_a_key_slipped_into_the_book(self, copied: Sealed) -> None:
        """A key that is put in the place of Ines's is one that the log does not know."""
        ours = (copied.run.path / "allowed_signers").read_text().split("\n")
        public = next(line for line in ours if line.startswith("ines ")).split()[-1]
        edit(copied.shop.book.root / "people.toml", public.encode(), secret.made().public.text.split()[1].encode())

        assert ["S512", "S512"] == copied.told_of_the_book()  # the one put in, and the one taken out
        assert [] == copied.found()

    def test_a_key_taken_out_of_the_book(self, copied: Sealed) -> None:
        """So that a name would be typed only: the log still knows the key."""
        path = copied.shop.book.root / "people.toml"
        path.write_text('[[person]]\nid = "ines"\nname = "Ines"\n\n[[person]]\nid = "maud"\nname = "Maud"\n')

        assert ["S512", "S512"] == copied.told_of_the_book()

    def test_a_key_slipped_into_the_log(self, copied: Sealed) -> None:
        """The chain of the log breaks, and what was signed was signed with a key that it does not know."""
        log = copied.shop.book.root / "book.jsonl"
        first = lines.decode(log.read_bytes().splitlines()[0])
        edit(log, first["public"].encode(), secret.made().public.text.encode())

        assert "D303" in copied.told_of_the_book()
        assert ("S512", "book.jsonl", None) in copied.found()

    def test_a_key_used_after_it_was_withdrawn(self, copied: Sealed) -> None:
        """By the time that its signature claims."""
        run = walked(copied.shop)
        sealed_later = copied.shop.clock.at
        signing = Signing(copied.shop.book, run, copied.shop.clock)
        while signing.wanted is not None:
            signing.give(PHRASE)
        signing.seal()
        withdraw_key(copied.shop.book, copied.shop.ines, "lost", Stamp(sealed_later, "+00:00", "ines"))

        codes = {(each.code, each.path) for each in Verifying(copied.shop.book).run(run).faults}

        assert {("S512", "book.jsonl")} == codes

    def test_a_seal_written_anew(self, copied: Sealed) -> None:
        """It fits the changed file, but it is not the one that the log knows."""
        edit(copied.run.path / "report.pdf", b"/Lang(en)", b"/Lang(de)")
        _, hashes = _summed({path.name: path.read_bytes() for path in copied.run.path.iterdir()})
        (copied.run.path / "seal.sha256").write_bytes(sums(hashes))

        assert [("S505", "seal.sha256", None), ("S511", "seal.txt", None)] == copied.found()

    def test_a_seal_taken_away(self, copied: Sealed) -> None:
        """The run looks as if it were only closed; the log knows better."""
        (copied.run.path / "seal.sha256").unlink()

        assert ("S501", "seal.sha256", None) in copied.found()

    def test_a_run_that_vanished(self, copied: Sealed) -> None:
        """The log names it."""
        shutil.rmtree(copied.run.path)

        assert ["S514"] == copied.told_of_the_book()

    def test_a_run_that_vanished_with_its_lines_in_the_log(self, copied: Sealed) -> None:
        """The chain of the log has a gap, and what came later began at a place that it does not know."""
        later = sealed(copied.shop)
        shutil.rmtree(copied.run.path)
        path = copied.shop.book.root / "book.jsonl"
        kept = [line for line in path.read_bytes().splitlines(keepends=True) if copied.run.id.encode() not in line]
        path.write_bytes(b"".join(kept))

        told = Verifying(copied.shop.book)

        assert {"D302", "D304"} <= {each.code for each in told.book()}
        assert ("S516", 1) in {(each.code, each.line) for each in told.run(later).faults}

    def test_a_log_cut_at_its_end(self, copied: Sealed) -> None:
        """A sealed run of which the log does not say so."""
        path = copied.shop.book.root / "book.jsonl"
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))

        assert ("S515", "book.jsonl", None) in copied.found()

    def test_a_run_put_into_the_book(self, copied: Sealed) -> None:
        """A copy under another name is not in the log, and its daybook says whose it is."""
        other = copied.run.path.with_name("20260302-cover-aaaaaaaa")
        shutil.copytree(copied.run.path, other)

        codes = {each.code for each in Verifying(copied.shop.book).run(RunFolder(other)).faults}

        assert {"S515", "S516"} <= codes

    def test_a_link_out_of_the_book(self, copied: Sealed, tmp_path: Path) -> None:
        """It is told, and what it leads to is not read."""
        outside = tmp_path / "secret"
        outside.write_text("nobody's business")
        path = copied.run.path / "record.toml"
        path.unlink()
        path.symlink_to(outside)

        found = copied.verified()

        assert {("S504", "record.toml"), ("S501", "record.toml")} <= {(c, f) for c, f, _ in copied.found()}
        assert "nobody's business" not in str(found)

    def test_a_file_that_would_fill_the_memory(self, copied: Sealed) -> None:
        """It is told and not read."""
        with (copied.run.path / "signoff-1.txt").open("r+b") as file:
            file.truncate(10**12)

        assert ("S504", "signoff-1.txt", None) in copied.found()

    def test_names_and_lines_that_would_steer_a_terminal(self, copied: Sealed) -> None:
        """They are written out, wherever they turn up."""
        (copied.run.path / "\x1b[2Jgone").write_text("x")
        (copied.run.path / "seal.sha256").write_bytes(b"0" * 64 + b"  ../../\x1b[31m\n")

        assert not any("\x1b" in f"{each.path}{each.text}{each.found}" for each in copied.verified().faults)


def _rewritten(at: Sealed, old: bytes, new: bytes) -> None:
    """The daybook changed, and everything that is made from it made anew, but for the signatures and the log."""
    path = at.run.path
    edit(at.run.daybook, old, new)
    chained: list[bytes] = []
    for line in split(at.run.daybook.read_bytes())[0]:
        before = lines.digest(chained[-1]) if chained else lines.NOTHING_BEFORE
        chained.append(lines.encode(lines.decode(line), len(chained) + 1, before))
    at.run.daybook.write_bytes(b"".join(line + b"\n" for line in chained))
    procedure, plan, daybook = ((path / name).read_bytes() for name in FROZEN)
    (path / "record.toml").write_bytes(build(procedure, plan, daybook))
    for name in ("facts.sha256", "seal.sha256"):
        summed = [line.split("  ")[1] for line in (path / name).read_text().splitlines()]
        (path / name).write_bytes(sums(digests({each: (path / each).read_bytes() for each in summed})))


def test_a_signature_that_is_missing_is_told_for_ever(tmp_path: Path) -> None:
    """A run that was sealed without one says which, whose, and who gave it up; it is no theft."""
    at = shop(tmp_path / "book")
    run = walked(at)
    signing = Signing(at.book, run, at.clock)
    signing.give(PHRASE)
    signing.give_up(at.ines, "the keys are lost")
    signing.give(PHRASE)
    signing.seal()

    found = Verifying(at.book).run(run)

    assert ["S524", "S524"] == [each.code for each in found.faults]
    assert "announces a signature of Ines (performed), skipped by Ines: the keys are lost" in found.faults[0].text
    assert " problem" not in in_words(found)
    assert found.seal is not None
