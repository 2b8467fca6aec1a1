"""Each thing that verifying works out anew finds something that nothing else does: left out, it would slip by."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from clampbook.book.soundness import verifying
from clampbook.ledger import lines
from clampbook.record.frozen import read
from clampbook.record.sealed import given_up, verify
from clampbook.record.sealed.folder import Lying, lying
from clampbook.record.sealed.known_keys import Keys
from clampbook.record.sealed.sums import digests
from endurance.tampering import CASES, Pristine, missed, pristine
from sealing import sealed, shop

Files = dict[str, bytes]
DAYBOOK = "daybook.jsonl"


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Files:
    """The files of a run with a concession, a hold point and two signers."""
    at = shop(tmp_path_factory.mktemp("whinchat") / "book")
    return lying(sealed(at, over=True).path).files


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Pristine:
    """A book with two such runs and a check."""
    return pristine(tmp_path_factory.mktemp("whinchat") / "book")


def told(files: Files, keys: Keys | None = None) -> set[str]:
    """The codes of what is wrong with a run's files, where nothing else of its book is at hand."""
    found = verify.verify(Lying(files, ()), digests(files), verify.Logged(), keys or Keys())
    return {each.code for each in found.faults}


def chained(files: Files, old: bytes, new: bytes) -> None:
    """A line of the daybook put in other words, with all lines after it chained to it again."""
    whole, before = [], lines.NOTHING_BEFORE
    assert files[DAYBOOK].count(old) >= 1
    for line in lines.split(files[DAYBOOK].replace(old, new, 1))[0]:
        again = re.sub(rb'"prev":"[0-9a-f]{64}"', f'"prev":"{before}"'.encode(), line)
        whole.append(again)
        before = lines.digest(again)
    files[DAYBOOK] = b"".join(line + b"\n" for line in whole)


def put(name: str, old: bytes, new: bytes) -> Callable[[Files], None]:
    """A file with other bytes in it."""

    def deed(files: Files) -> None:
        assert old in files[name]
        files[name] = files[name].replace(old, new, 1)

    return deed


def more(name: str, data: bytes) -> Callable[[Files], None]:
    """A file that was not there, or another one in its place."""
    return lambda files: files.update({name: data})


def less(name: str) -> Callable[[Files], None]:
    """A file that is not there any more."""

    def deed(files: Files) -> None:
        del files[name]

    return deed


def disagreeing(files: Files) -> None:
    """A record that says of itself that it and the walk differ."""
    first, _, rest = files["record.toml"].partition(b"\n")
    files["record.toml"] = first + b"\ndisagrees_with_the_walk_at_line = 3\n" + rest


def better(files: Files) -> None:
    """Another number typed than the one that was judged."""
    chained(files, b'"typed":"30.1"', b'"typed":"30.2"')


def in_other_form(files: Files) -> None:
    """A blank that no program of this kind writes."""
    chained(files, b'"event":"closed",', b'"event": "closed",')


def nothing(*_: Any, **__: Any) -> Iterator[Any]:
    """Left out."""
    return iter(())


OF_A_RUN = {  # what is worked out anew: what is done, and the code that names it
    "against_the_seal": (put("report.pdf", b"%PDF", b"%PDf"), "S505"),
    "chain_faults": (put(DAYBOOK, b'"typed":"30.1"', b'"typed":"30.2"'), "D303"),
    "form_faults": (in_other_form, "D306"),
    "recounted": (better, "S508"),
    "scan_faults": (more("scan-1.pdf", b"%PDF-1.7"), "S530"),
    "_record": (put("record.toml", b"Whinchat", b"Whinchit"), "S507"),
    "disagreement": (disagreeing, "S522"),
    "facts_faults": (put("facts.sha256", b"  plan.json", b"  plan.jsom"), "S506"),
    "signatures": (less("signoff-1.txt.sig"), "S509"),
    "_seal": (less("seal.txt.sig"), "S523"),
    "carried_faults": (more("report.pdf", b"%PDF-1.7\n%%EOF\n"), "S513"),
}


@pytest.mark.parametrize("name", OF_A_RUN)
def test_it_finds_what_nothing_else_of_a_run_does(name: str, keyed: Files, monkeypatch: pytest.MonkeyPatch) -> None:
    """Found, and no longer found once this one thing is not worked out."""
    deed, code = OF_A_RUN[name]
    files = dict(keyed)
    deed(files)
    assert not told(keyed)
    assert code in told(files)

    monkeypatch.setattr(verify, name, (lambda _: None) if name == "disagreement" else nothing)

    assert code not in told(files)


def test_a_frozen_file_that_is_not_the_one_of_the_run_is_named(keyed: Files, monkeypatch: pytest.MonkeyPatch) -> None:
    """The plan, with nothing but a blank behind it: its daybook names another one."""
    files = keyed | {"plan.json": keyed["plan.json"] + b" "}
    assert "S519" in told(files)

    right = read(*(keyed[name] for name in ("procedure.toml", "plan.json", DAYBOOK)))
    monkeypatch.setattr(verify, "read", lambda *_: right)

    assert "S519" not in told(files)


def test_a_list_of_signatures_given_up_that_cannot_be_read_is_named(
    keyed: Files, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half a line of it."""
    files = keyed | {"given-up.toml": b"[[given_up"}
    assert "S519" in told(files)

    monkeypatch.setattr(given_up, "read", lambda _: ())

    assert "S519" not in told(files)


def test_names_that_nobody_signed_for_are_named_where_keys_are_trusted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A run in which all typed their names."""
    files = lying(sealed(shop(tmp_path / "book", keys=False)).path).files
    by_name = [("S525", DAYBOOK), ("S525", "seal.txt.sig")]
    found = verify.verify(Lying(files, ()), digests(files), verify.Logged(), Keys(outside=())).faults
    assert sorted({(each.code, each.path) for each in found}) == by_name

    monkeypatch.setattr(verify, "_by_name", nothing)

    found = verify.verify(Lying(files, ()), digests(files), verify.Logged(), Keys(outside=())).faults
    assert sorted({(each.code, each.path) for each in found}) == by_name[1:]


OF_A_BOOK = {  # what is worked out anew of a run in its book: the deed that only it finds as it is to be found
    "without_it": "signatures out",
    "_in_the_log": "folder under another name",
    "of_the_seal": "who sealed changed in the log",
    "as_people_have_them": "key in people exchanged",
}


@pytest.mark.parametrize("name", OF_A_BOOK)
def test_it_finds_what_nothing_else_of_a_book_does(
    name: str, untouched: Pristine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All is found as it is to be, and no longer once this one thing is not worked out."""
    case = next(each for each in CASES if each.name == OF_A_BOOK[name])
    assert [] == missed(case, untouched, tmp_path)

    monkeypatch.setattr(verifying, name, nothing)

    assert [] != missed(case, untouched, tmp_path)
