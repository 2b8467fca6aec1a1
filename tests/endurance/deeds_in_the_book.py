"""What is done to checks, whole runs, the log, people, tools and the book's cover: one small function for each way."""

from __future__ import annotations

import re
import shutil
from datetime import timedelta

from clampbook.book.book import Book
from clampbook.book.keys import make_key, withdraw_key
from clampbook.check.folder import CheckFolder
from clampbook.ledger.stamp import Stamp
from clampbook.people import Person
from clampbook.record.checks.written import write as write_record
from clampbook.signing import secret
from endurance.forging import Fields, Forger, edited, keep, log_of, painted_over, set_all
from sealing import START, Shop, Ticking, sealed
from signers import PHRASE

OTHER = "20260302-cover-aaaaaaaa"


def person_renamed_in_people(at: Forger) -> None:
    edited(at.root / "people.toml", 'name = "Ines"', 'name = "Agnes"')


def daybook_truncated(at: Forger) -> None:
    path = at.latest / "daybook.jsonl"
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))


def log_cut_by_its_last_line(at: Forger) -> None:
    at.log.write_bytes(b"".join(at.log.read_bytes().splitlines(keepends=True)[:-1]))


def log_without_one_line(at: Forger) -> None:
    """How often tools were used in the earlier run is taken out; the chain is made anew."""
    gone = ("tools_used", at.earlier.name)
    at.rewrite_log(lambda log: keep(log, lambda line: (line["event"], line.get("run")) != gone))


def log_counts_fewer_pulls(at: Forger) -> None:
    at.rewrite_log(lambda log: set_all(log, "tools_used", used=[]))


def log_counts_fewer_pulls_by_hand(at: Forger) -> None:
    """What was counted by hand after the last seal."""
    at.rewrite_log(lambda log: log[-1].update(count=1))


def run_and_its_lines_gone(at: Forger) -> None:
    shutil.rmtree(at.latest)
    at.rewrite_log(lambda log: keep(log, lambda line: line.get("run") != at.latest.name))


def earlier_run_and_its_lines_gone(at: Forger) -> None:
    shutil.rmtree(at.earlier)
    at.rewrite_log(lambda log: keep(log, lambda line: line.get("run") != at.earlier.name))


def calibration_date_in_tools(at: Forger) -> None:
    path = at.root / "tools.toml"
    path.write_text(path.read_text() + "calibrated_on = 2026-03-01\n")


def cover_renamed(at: Forger) -> None:
    edited(at.root / "book.toml", 'name = "Whinchat"', 'name = "Wheatear"')


def book_under_another_id(at: Forger) -> None:
    path = at.root / "book.toml"
    said = next(line for line in path.read_text().splitlines() if line.startswith("id = "))
    edited(path, said, 'id = "aaaaaaaa"')


def who_sealed_changed_in_the_log(at: Forger) -> None:
    at.rewrite_log(lambda log: set_all(log, "run_sealed", by="okke"))


def said_to_be_abandoned(at: Forger) -> None:
    """The end of the run is cut off and it is said that it was given up; the log tells the same."""
    for path in at.latest.iterdir():
        if path.name.startswith(("seal", "signoff-3", "signoff-4", "facts", "allowed", "report", "record")):
            path.unlink()

    def ended(whole: list[Fields]) -> None:
        last = whole[-1]
        keep(whole, lambda line: line["event"] not in ("signed_off", "closed"))
        gone = {key: last[key] for key in ("at", "offset", "by")}
        whole.append({**gone, "event": "abandoned", "reason": "no time"})

    at.rewrite_daybook(at.latest, ended)

    def told(log: list[Fields]) -> None:
        for line in log:
            if line["event"] == "run_sealed" and line["run"] == at.latest.name:
                gone = {key: line[key] for key in ("at", "offset", "by", "last", "run")}
                line.clear()
                line.update({**gone, "event": "run_abandoned"})

    at.rewrite_log(told)


def copied_under_another_id(at: Forger) -> None:
    at.copy_as(at.latest, OTHER)


def copied_under_another_id_and_sealed(at: Forger) -> None:
    made = at.copy_as(at.latest, OTHER)
    at.remake(made)
    at.seal(made)


def folder_under_another_name(at: Forger) -> None:
    shutil.copytree(at.latest, at.latest.with_name(OTHER))


def forged_with_a_new_key_beside_the_old(at: Forger) -> None:
    """A whole run in the name of Ines and Maud, signed with new keys that the log now tells of too."""
    _forged(at, withdrawn=False)


def forged_with_a_new_key_after_the_old(at: Forger) -> None:
    """The same; the log tells that the old ones were withdrawn before."""
    _forged(at, withdrawn=True)


def _forged(at: Forger, *, withdrawn: bool) -> None:
    """With nothing but the program: it makes keys for whoever it is told to be."""
    book = Book.open(at.root)
    whole = Shop(book, Person("ines", "Ines"), Person("maud", "Maud"), Ticking(START + timedelta(days=1)))
    for person in (whole.ines, whole.maud):
        stamp = Stamp(whole.clock.now(), "+00:00", person.id)
        if withdrawn:
            withdraw_key(book, person, "lost", stamp)
        else:
            people = book.path("people.toml")
            people.write_text(
                re.sub(
                    rf'(id = "{person.id}"\nname = "[A-Za-z]+"\n)\n?\[\[person\.key\]\][^[]*',
                    r"\1\n",
                    people.read_text(),
                )
            )
        make_key(book, person, PHRASE, stamp)
    sealed(whole, over=True)


def key_out_of_the_log(at: Forger) -> None:
    """Nobody says any more that Ines ever had a key."""
    at.rewrite_log(lambda log: keep(log, lambda line: (line["event"], line.get("person")) != ("key_added", "ines")))


def key_in_people_exchanged(at: Forger) -> None:
    public = next(line["public"] for line in log_of(at) if line["event"] == "key_added")
    edited(at.root / "people.toml", public, secret.made().public.text)


def clock_of_the_log_changed(at: Forger) -> None:
    """When the run was sealed, by the log."""
    at.rewrite_log(lambda log: set_all(log, "run_sealed", at="2025-01-01T00:00:00.000Z"))


def page_of_a_check(at: Forger) -> None:
    """The pages of a check are painted over, its seal and the log made anew."""
    painted_over(at.check / "report.pdf")
    at.seal(at.check)


def check_that_nobody_signed(at: Forger) -> None:
    """The same, and the seal is said to be signed by nobody."""
    painted_over(at.check / "report.pdf")
    (at.check / "allowed_signers").unlink()
    at.seal(at.check, signature=False)


def check_closed_by_another(at: Forger) -> None:
    """Somebody else stands as who closed it; record and seal are made anew."""
    at.rewrite_daybook(at.check, lambda told: told[-1].update(by="okke"))
    seal = (at.check / "seal.sha256").read_bytes()
    (at.check / "seal.sha256").unlink()
    write_record(CheckFolder(at.check))
    (at.check / "seal.sha256").write_bytes(seal)
    at.seal(at.check)
