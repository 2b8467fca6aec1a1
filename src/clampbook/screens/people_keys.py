"""The people of a book and the keys they sign with: made, revoked and replaced by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING

from msgspec import Struct

from clampbook.book.keys import TRAVELS, known_keys, make_key, withdraw_key
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person, find, known_name, nearest
from clampbook.procedure.release import day
from clampbook.run.gather.asking import numbered, who
from clampbook.run.gather.draft import NONE, Part
from clampbook.run.gather.newcomers import MEANT, NEW, asked_about
from clampbook.run.prompts import Choice
from clampbook.screens.hidden import Hidden
from clampbook.screens.listing import Listing
from clampbook.screens.questions import Line, Question
from clampbook.screens.tools.dialogue import Dialogue, Steps
from clampbook.signing.held import HeldKey, in_use
from clampbook.signing.wire import KeyFault
from clampbook.text import TextFault, as_sentence
from clampbook.units import show_day

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.ledger.stamp import Clock

_SENTENCE = "Whose key?"
_SOMEBODY_ELSE = "Someone new"
ANOTHER_REASON = "another_reason"
_LOST = {
    "lost": "lost or forgotten",
    "known_to_others": "someone else may know it",
    ANOTHER_REASON: "another reason",
}
_KEPT = "A lost passphrase cannot be recovered. Revoke the key and make a new one.\nEarlier signatures stay valid."


class PeopleKeys(Listing):
    """Everybody with the key that they sign with; the one chosen gets a key, or has theirs revoked."""

    then = (
        "Someone without a key gets one, with a passphrase of their own. A key in use can be revoked.",
        "Without a key the name is typed, and the record says so.",
    )

    def __init__(self, book: Book, clock: Clock) -> None:
        self.book = book
        self.clock = clock
        super().__init__(self.read())

    def heading(self) -> str:
        """The name of the book."""
        return f"{self.book.name} · people and keys"

    def read(self) -> Question:
        """Everybody, and room for somebody new. Raises LedgerFault where people.toml is not in order."""
        self.held = known_keys(self.book)
        self.people = self.book.people()
        texts = (*(row(person, self.held) for person in self.people), _SOMEBODY_ELSE)
        return Question("person", _SENTENCE, "choice", tuple(Line(str(n), text) for n, text in enumerate(texts, 1)))

    def open(self, place: int) -> None:
        """A key is made, or the one that there is revoked."""
        if place == len(self.people):
            steps = _name(self.people)
            self.app.push_screen(Dialogue("Someone new", steps, self.book.person_named, self._new_key))
            return
        person = self.people[place]
        held = in_use(self.held).get(person.id)
        if held is None:
            self._new_key(person.name)
        else:
            title = f"{person.name}'s key"
            asked = _withdrawal(person, held, self.people)
            self.app.push_screen(Dialogue(title, asked, self.book.person_named, self._withdraw(person)))

    def _new_key(self, name: str) -> None:
        self.app.push_screen(NewKey(self.book, self.clock, name, self.again))

    def _withdraw(self, person: Person) -> Callable[[Withdrawal | None], None]:
        def done(said: Withdrawal | None) -> None:
            if said is None:
                self.tell("Nothing revoked.")
                return
            stamp = stamp_of(self.clock.now(), said.by.id)
            try:
                gone = withdraw_key(self.book, person, said.why, stamp, said.known_since)
            except (KeyFault, LedgerFault) as refused:
                self.tell(as_sentence(refused.sentence))
                return
            since = said.known_since
            named = "" if since is None else f" Verify reports what it signed since {show_day(since)}."
            self.again(f"{person.name}'s key {gone.key.fingerprint} is revoked.{named}")

        return done


class NewKey(Hidden):
    """A passphrase is typed twice; then there is a key. `done` hears of it."""

    then = (
        "The passphrase, typed twice, locks the new key. The key stays in the book's folder keys.",
        TRAVELS,
        "Esc leaves. No key is made.",
    )

    def __init__(self, book: Book, clock: Clock, name: str, done: Callable[[str], None]) -> None:
        self._book, self._clock, self._whose, self._done = book, clock, name, done
        self._first = ""
        super().__init__(self._once(), "save")
        self.reading = _KEPT

    def heading(self) -> str:
        """Say whose key it is."""
        return f"A key for {self._whose}"

    def take(self, line: str) -> None:
        """The passphrase, or the same again."""
        from clampbook.signing.passphrase import unfit

        wrong = unfit(line)
        if not self._first and wrong is not None:
            self._from_the_beginning(wrong)
        elif not self._first:
            self._first, self.notice = line, ""
            self.ask(Question("passphrase", "Type it again.", "line"))
        elif line != self._first:
            self._from_the_beginning("they differ. Type both again")
        else:
            self._make(line)

    def _make(self, phrase: str) -> None:
        try:
            whose = self._book.person_named(self._whose)
            held = make_key(self._book, whose, phrase, stamp_of(self._clock.now(), whose.id))
        except (KeyFault, LedgerFault, TextFault) as refused:
            self._from_the_beginning(refused.sentence)
            return
        self.dismiss()
        told = f"{whose.name} now signs with {held.key.fingerprint}. Write it down outside this book."
        self.app.call_later(self._done, told)

    def _from_the_beginning(self, refused: str) -> None:
        self._first = ""
        self.ask(self._once())
        self.refuse(refused)

    def _once(self) -> Question:
        from clampbook.signing.passphrase import SHORTEST

        text = f"{self._whose}, type a new passphrase, {SHORTEST} characters or more. It stays hidden."
        return Question("passphrase", text, "line")


def row(person: Person, held: tuple[HeldKey, ...]) -> str:
    """Somebody with the key they sign with, or why there is none."""
    mine = [each for each in held if each.person == person.id]
    now = in_use(mine).get(person.id)
    if now is not None:
        return f"{person.name} · signs with {now.key.fingerprint} since {now.added:%Y-%m-%d}"
    if mine and (gone := mine[-1]).withdrawn is not None:
        return f"{person.name} · no key: the last was revoked on {gone.withdrawn:%Y-%m-%d} ({gone.why or 'lost'})"
    return f"{person.name} · no key: the name is typed"


def _name(people: tuple[Person, ...]) -> Steps[str]:
    said = ""
    while True:
        part = Part("name", f"{said}What is the name?", "line", people=people)
        typed = str((yield part))
        try:
            if find(people, typed) is not None:
                said = f"{typed} is on the list. "
                continue
            near, name, asked = nearest(people, typed), known_name(typed), asked_about(part, typed)
        except TextFault as fault:
            said = f"{as_sentence(fault.sentence)} "
            continue
        if near is None or asked is None or (yield Part(MEANT, asked.text, "choice", asked.choices)) == NEW:
            return name
        said = f"{near.name} is on the list. "


class Withdrawal(Struct, frozen=True):
    """The revoking of a key: by whom, why, and from when on others may have had it."""

    by: Person
    why: str
    known_since: datetime | None


def _withdrawal(person: Person, held: HeldKey, people: tuple[Person, ...]) -> Steps[Withdrawal | None]:
    """Ask who, why, since when others may know it, and whether it is to be; None where not."""
    by = yield who(people)
    assert isinstance(by, Person)
    text = f"Why revoke {person.name}'s key {held.key.fingerprint}? Earlier signatures stay valid."
    why = str((yield Part("why", text, "choice", numbered(_LOST))))
    reason = _LOST[why]
    if why == ANOTHER_REASON:
        reason = str((yield Part("because", f"Why revoke {person.name}'s key?", "line")))
    since = yield from _known_since()
    sure = numbered({"yes": "Revoke it, for good", "no": "Leave it"})
    asked = f"{by.name}, revoke {person.name}'s key ({reason})?"
    return Withdrawal(by, reason, since) if (yield Part("sure", asked, "choice", sure)) == "yes" else None


def _known_since() -> Steps[datetime | None]:
    said = ""
    never = (Choice(NONE, "nobody had it", "never"),)
    while True:
        text = f"{said}Since which day may someone else have had it? Type a date such as 2026-03-02."
        typed = str((yield Part("known since", text, "line", never)))
        if typed == "never":
            return None
        found = day(typed.strip())
        if found is not None:
            return datetime.combine(found, time(), UTC)
        said = f"“{typed}” is not a date. "
