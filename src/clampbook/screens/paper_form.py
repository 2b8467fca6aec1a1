"""The paper form that is typed in, as far as it is known before its run begins."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from clampbook.book.scans import Scan, read_scan
from clampbook.book.starting.of_the_form import not_here, told
from clampbook.ledger.refusals import LedgerFault
from clampbook.people import Person
from clampbook.run.answers import Refused
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.on_form.starting import (
    BEGAN,
    DONE_BY,
    FORM,
    OTHER,
    SCAN,
    YES,
    beginning,
    hands,
    other_revision,
    scan,
    this_revision,
)
from clampbook.run.on_form.times import beginning_of
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.book.starting.terms import Work
    from clampbook.ledger.stamp import There


class PaperForm(Struct, frozen=True):
    """A paper form. `revisions` are those that it can have been printed from, the one at hand first; `chosen` is the
    place of its own among them, `another` true once it is known not to be the first; `asks_done_by` true from its
    beginning until all names at its head are known, `asks_scan` true until nothing more was scanned."""

    revisions: tuple[Work, ...]
    now: datetime
    there: There
    chosen: int | None = None
    another: bool = False
    began: datetime | None = None
    asks_done_by: bool = False
    done_by: tuple[Person, ...] = ()
    asks_scan: bool = False
    scans: tuple[Scan, ...] = ()

    @property
    def work(self) -> Work | None:
        """The revision that it was printed from, once that is known."""
        return None if self.chosen is None else self.revisions[self.chosen]


def form_part(form: PaperForm, people: tuple[Person, ...]) -> Part | None:
    """Give what is asked next of the form; None where all of it is known."""
    if form.chosen is None:
        in_words = tuple(map(told, form.revisions))
        return other_revision(in_words[1:]) if form.another else this_revision(in_words[0])
    if form.began is None:
        return beginning()
    if form.asks_done_by:
        return hands(people, further=bool(form.done_by))
    return scan(another=bool(form.scans)) if form.asks_scan else None


def form_settled(form: PaperForm, given: Draft) -> PaperForm | Refused:
    """The same with one more answer."""
    if given.has(BEGAN):
        began = beginning_of(given.text(BEGAN), form.now, form.there)
        if isinstance(began, str):
            return Refused(began)
        return replace(form, began=began, asks_done_by=not form.done_by)
    if given.has(DONE_BY):
        person = given.person(DONE_BY)
        if person is None:
            return replace(form, asks_done_by=False)
        return replace(form, done_by=tuple(dict.fromkeys((*form.done_by, person))))
    if given.has(FORM) and given.text(FORM) == YES:
        return replace(form, chosen=0)
    if given.has(FORM) and len(form.revisions) > 1:
        return replace(form, another=True)
    if given.has(OTHER) and given.text(OTHER) != NONE:
        return replace(form, chosen=int(given.text(OTHER)) + 1)
    if given.has(SCAN):
        return _scanned(form, given.text(SCAN))
    return Refused(as_sentence(not_here().sentence)) if given.has(FORM) or given.has(OTHER) else form


def _scanned(form: PaperForm, typed: str) -> PaperForm | Refused:
    """With one scan more, read before there is a run; or with no further one."""
    if typed == NONE:
        return replace(form, asks_scan=False)
    try:
        return replace(form, scans=(*form.scans, read_scan(Path(typed).expanduser())))
    except LedgerFault as fault:
        return Refused(as_sentence(fault.sentence))
