"""The question that a changed serial number brings, on the page of a tool."""

from __future__ import annotations

from clampbook.book import told_apart
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import stamp_of
from clampbook.people import Person
from clampbook.run.gather.asking import SAME_OR_ANOTHER, SAME_TOOL, numbered, who
from clampbook.run.gather.draft import Part
from clampbook.run.in_hand.offers import another_serial
from clampbook.screens.tools.deeds import ToolPage
from clampbook.screens.tools.dialogue import Dialogue, Steps
from clampbook.text import as_sentence


def tell_apart(page: ToolPage) -> None:
    """Ask whether a tool whose serial number was changed is another one, and who says so; it stands in the log by
    name."""
    was = told_apart.identities(page.book).was(page.tool.id, page.tool.serial)
    if was is None:
        page.again()
        return
    asked = another_serial(page.tool, was)

    def steps() -> Steps[tuple[Person, bool]]:
        said = yield Part(SAME_TOOL, asked, "choice", numbered(SAME_OR_ANOTHER))
        person = yield who(page.book.people())
        assert isinstance(person, Person)
        return person, said == "same"

    def done(given: tuple[Person, bool]) -> None:
        person, same = given
        stamp = stamp_of(page.clock.now(), person.id)
        try:
            told_apart.tell_apart(page.book, page.tool, same=same, person=person, stamp=stamp)
        except LedgerFault as fault:
            page.tell(as_sentence(fault.sentence))
            return
        page.again(told_apart.what_follows(same=same))

    page.app.push_screen(Dialogue(f"Serial number of {page.tool.name}", steps(), page.book.person_named, done))
