"""Every way of tampering with a sealed run, its book or its keys, as a table: what finds it, and what only names it.

Whoever does it has the book and the program, and no key. `CASES` is the table; `tamperings` tries all of it.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from checked import sealed_check
from clampbook.book.book import Book
from clampbook.book.keys import held_keys
from clampbook.book.sealing.seal_writing import log_head
from clampbook.book.soundness.logged_seals import noted
from clampbook.book.soundness.verifying import Verifying, checks_over, over
from clampbook.book.toolbox import add_pulls, stock
from clampbook.commands.verified import Logs, told
from clampbook.signing import allowed
from endurance import deeds
from endurance import deeds_in_the_book as book_deeds
from endurance.forging import Forger
from endurance.rows import Found as Row
from sealing import sealed, shop

Deed = Callable[[Forger], object]
OURS = "Keys found only in this book could have been made by anyone who can write to it"
THE_END = "Lines removed or rewritten at the end of a log show only against an end that you wrote down"
PEOPLE_NOW = "what a person is called in people.toml"
TOOLS_NOW = "tools.toml as it is now, calibration dates too"
COVER_NOW = "the name and the paper in book.toml"
AFTER = "Nothing is known of the log of"


@dataclass(frozen=True)
class Case:
    """One way. `plain`, `trust` and `head` are what verifying says with no option, with --trust and with --head: codes
    of which each must be among those found, or a sentence that names what is not vouched for, where nothing is found.
    """

    name: str
    do: Deed
    plain: tuple[str, ...] | str
    trust: tuple[str, ...] | str
    head: tuple[str, ...] | str


@dataclass(frozen=True)
class Pristine:
    """A book to which nothing was done: two sealed runs, and what somebody has outside of it."""

    root: Path
    earlier: str
    latest: str
    check: str
    trusted: bytes
    head: str


def pristine(root: Path) -> Pristine:
    """A check, and two runs with a concession and a hold point, signed and sealed; at the end pulls counted by hand."""
    at = shop(root)
    check = sealed_check(at)
    earlier, latest = sealed(at, over=True), sealed(at, over=True)
    tool = stock(at.book).tools[0]
    add_pulls(at.book, tool, 5, at.clock.now().date(), {"at": "2026-03-02T12:00:00.000Z", "offset": "+00:00"})
    return Pristine(root, earlier.id, latest.id, check.id, allowed.lines(held_keys(at.book)), log_head(at.book).shown)


def copied(from_it: Pristine, root: Path) -> Forger:
    """A copy to tamper with."""
    shutil.copytree(from_it.root, root)
    runs = root / "runs"
    return Forger(root, runs / from_it.earlier, runs / from_it.latest, root / "checks" / from_it.check)


@dataclass(frozen=True)
class Found:
    """What verifying said: the codes of faults, and all of it in words."""

    codes: tuple[str, ...]
    words: str


def verified(root: Path, trusted: bytes | None = None, head: str | None = None) -> Found:
    """All runs, the logs and the book, as `clampbook verify` puts them together."""
    book = Book.open(root)
    verifying = Verifying(book, None if trusted is None else allowed.read(trusted))
    heads = () if head is None else (noted(head),)
    runs = [*map(verifying.run, over(book)), *map(verifying.check, checks_over(book))]
    of_the_book = (*verifying.book(), *verifying.leads_to(heads))
    logs = Logs(verifying.ends(), heads, trusted is not None)
    words = "\n".join(told(runs, of_the_book, {each.run: () for each in runs}, logs))
    return Found(tuple(sorted({f.code for f in (*of_the_book, *(f for run in runs for f in run.faults))})), words)


def missed(case: Case, from_it: Pristine, place: Path) -> list[str]:
    """What was neither found nor named, though it is to be; nothing where all is well."""
    forger = copied(from_it, place / "copy")
    try:
        case.do(forger)
        told_of = (
            _wrong("", case.plain, verified(forger.root)),
            _wrong("--trust", case.trust, verified(forger.root, trusted=from_it.trusted)),
            _wrong("--head", case.head, verified(forger.root, head=from_it.head)),
        )
        return [f"{case.name} {each}" for each in told_of if each]
    finally:
        shutil.rmtree(forger.root)


def _wrong(option: str, wanted: tuple[str, ...] | str, found: Found) -> str:
    if isinstance(wanted, str):
        right = not found.codes and wanted in found.words
    else:
        right = bool(found.codes) and set(wanted) <= set(found.codes)
    return "" if right else f"{option or 'no option'}: wanted {wanted}, found {', '.join(found.codes) or 'nothing'}"


NOTED = ("S527",)
TEXT, SEAL, LOG = ("S511",), ("S510",), ("S528",)  # a text, the seal's signature, the log that a seal was put under
CASES = tuple(
    Case(deed.__name__.replace("_", " "), deed, plain, trust, head)
    for deed, plain, trust, head in (
        # signatures taken out, copied, exchanged
        (deeds.signatures_out, ("S526",), ("S525",), NOTED),
        (deeds.keys_out_of_the_log_too, ("S512", *LOG), ("S525",), NOTED),
        (deeds.signature_emptied, ("S510",), ("S510",), NOTED),
        (deeds.a_key_of_ones_own, ("S512",), ("S512",), NOTED),
        (deeds.another_persons_key, TEXT, TEXT, NOTED),
        (deeds.sign_off_of_another_run, TEXT, TEXT, NOTED),
        (deeds.sign_offs_exchanged, TEXT, TEXT, NOTED),
        (deeds.sign_off_text_changed, TEXT, TEXT, NOTED),
        (deeds.allowed_signers_replaced, ("S512",), ("S512",), NOTED),
        (deeds.allowed_signers_emptied, ("S512",), ("S512",), NOTED),
        (deeds.signature_said_to_be_given_up, ("S524", "S526"), ("S525",), NOTED),
        (deeds.signature_said_to_be_given_up_by_a_newcomer, ("S524",), ("S525",), NOTED),
        (deeds.everything_said_to_be_given_up, ("S524",), ("S525",), NOTED),
        # the report and its seal
        (deeds.page_one_with_seal_and_log, SEAL, SEAL, NOTED),
        (deeds.page_one_with_seal_and_log_and_the_old_text, TEXT, TEXT, NOTED),
        (deeds.page_one_with_no_signature_of_the_seal, ("S523",), ("S523",), NOTED),
        (deeds.page_one_sealed_with_a_key_of_ones_own, ("S512",), ("S518",), NOTED),
        (deeds.page_one_sealed_by_a_stranger_with_a_key_in_the_log, ("S512",), ("S518",), NOTED),
        (deeds.red_rectangle, SEAL, SEAL, NOTED),
        (deeds.report_of_another_run, ("S510", "S513"), ("S510", "S513"), NOTED),
        (deeds.seal_signature_of_another_run, SEAL, SEAL, NOTED),
        (deeds.seal_text_and_signature_of_another_run, TEXT, TEXT, NOTED),
        (deeds.sign_off_in_place_of_the_seals, SEAL, SEAL, SEAL),
        (deeds.time_of_the_seal_changed, SEAL, SEAL, NOTED),
        (deeds.head_in_the_seals_text_changed, ("S510", *LOG), ("S510", *LOG), NOTED),
        (deeds.seal_taken_away_with_its_line, ("S517",), ("S517",), NOTED),
        # what the record says, with all made anew that needs no key
        (deeds.person_renamed_in_the_daybook, TEXT, TEXT, NOTED),
        (deeds.tool_renamed, TEXT, TEXT, NOTED),
        (deeds.better_reading, ("S508", *TEXT), ("S508", *TEXT), NOTED),
        (deeds.wider_window, TEXT, TEXT, NOTED),
        (deeds.procedure_reworded, TEXT, TEXT, NOTED),
        (deeds.another_inspector, TEXT, ("S518",), NOTED),
        (deeds.times_changed, TEXT, TEXT, NOTED),
        (deeds.record_edited, ("S507",), ("S507",), NOTED),
        (book_deeds.daybook_truncated, ("D305", "S503"), ("D305", "S503"), ("D305", "S503")),
        (deeds.daybook_truncated_and_all_made_anew, TEXT, TEXT, NOTED),
        # a check of a tool
        (book_deeds.page_of_a_check, SEAL, SEAL, NOTED),
        (book_deeds.check_that_nobody_signed, ("S526",), ("S525",), NOTED),
        (book_deeds.check_closed_by_another, ("S510", *LOG), ("S510", *LOG), NOTED),
        # whole runs
        (book_deeds.copied_under_another_id, TEXT, TEXT, TEXT),
        (book_deeds.copied_under_another_id_and_sealed, TEXT, TEXT, TEXT),
        (book_deeds.folder_under_another_name, ("S515", "S516"), ("S515", "S516"), ("S515", "S516")),
        (book_deeds.forged_with_a_new_key_beside_the_old, ("S512",), ("S518",), ("S512",)),
        (book_deeds.forged_with_a_new_key_after_the_old, OURS, ("S518",), AFTER),
        (book_deeds.said_to_be_abandoned, THE_END, ("S525",), NOTED),
        (book_deeds.run_and_its_lines_gone, THE_END, THE_END, NOTED),
        (book_deeds.earlier_run_and_its_lines_gone, LOG, LOG, NOTED),
        # the log, the people, the tools, the book
        (book_deeds.log_cut_by_its_last_line, THE_END, THE_END, NOTED),
        (book_deeds.log_without_one_line, LOG, LOG, NOTED),
        (book_deeds.log_counts_fewer_pulls, LOG, LOG, NOTED),
        (book_deeds.log_counts_fewer_pulls_by_hand, THE_END, THE_END, NOTED),
        (book_deeds.who_sealed_changed_in_the_log, ("S515",), ("S515",), NOTED),
        (book_deeds.clock_of_the_log_changed, ("S515",), ("S515",), NOTED),
        (book_deeds.key_out_of_the_log, ("S512", *LOG), ("S512", *LOG), NOTED),
        (book_deeds.key_in_people_exchanged, ("S512",), ("S512",), ("S512",)),
        (book_deeds.book_under_another_id, ("S515",), ("S515",), NOTED),
        (book_deeds.person_renamed_in_people, PEOPLE_NOW, PEOPLE_NOW, PEOPLE_NOW),
        (book_deeds.calibration_date_in_tools, TOOLS_NOW, TOOLS_NOW, TOOLS_NOW),
        (book_deeds.cover_renamed, COVER_NOW, COVER_NOW, COVER_NOW),
    )
)


def tamperings(place: Path, tries: int, seed: int) -> Row:
    """The table as a row: every way with each of the three options. `tries` is how many of them are made at most."""
    del seed
    row, from_it = Row(), pristine(place / "pristine")
    for case in CASES[: max(1, tries // 3)]:
        row.tries += 3
        row.failures += missed(case, from_it, place)
    return row
