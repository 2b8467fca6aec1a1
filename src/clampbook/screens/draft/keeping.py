"""The text of a draft on its way to the disk: saved, copied aside, and the questions before anything is lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.drafting import copies, files
from clampbook.book.drafting.files import ChangedMeanwhile
from clampbook.book.drafting.revisions import Begun, begun
from clampbook.faults import Faulty, briefly
from clampbook.ledger.refusals import LedgerFault, LedgerFull
from clampbook.screens.draft.asked import Asked
from clampbook.screens.hinting import KEEP
from clampbook.screens.questions import Question
from clampbook.text import as_sentence, quoted
from clampbook.units import show_day

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.screens.draft.screen import Drafting

_FULL = "Disk full. Not saved. Free some space, then save again."


class Keeping:
    """The file of a draft as it was last read or saved, and the copy beside it. Raises as `files.opened` does."""

    def __init__(self, path: Path, book: Book | None, text: str | None = None) -> None:
        self.path, self.book = path, book
        self.saved_text, self.before = files.opened(path)
        start = begun(self.saved_text, path, book) if self.before is not None else _new(path, text or "")
        self.text, self.since, self.told = start.text, start.since, start.told
        self.in_place_of = start.in_place_of
        self.lost: str | None = None  # the SHA-256 of the file that a copy began from, where that is no longer there

    # Saving.

    def save(self, screen: Drafting, then: Callable[[], None] | None = None) -> None:
        """Save what stands on the screen; what has changed meanwhile is asked about."""
        text = screen.text
        try:
            if self.lost is not None:
                raise ChangedMeanwhile(self.path, self.before)
            self.before = files.save(self.path, text, self.before, self.book)
        except ChangedMeanwhile as changed:
            self._ask_about_theirs(screen, changed, then)
        except LedgerFull:
            screen.tell(_FULL)
        except LedgerFault as refused:
            screen.tell(f"Not saved. {as_sentence(refused.sentence)}")
        else:
            self.saved_text, self.text, self.lost = text, text, None
            copies.forget(self.path)
            screen.tell(" ".join(("Saved.", *self._out_of_the_lists())))
            if then is not None:
                then()

    def _out_of_the_lists(self) -> tuple[str, ...]:
        """Tell once of a released revision that the lists had until now."""
        released, self.in_place_of = self.in_place_of, None
        if released is None:
            return ()
        return (f"The lists have this draft now. Revision {released} is saved in procedures/.revisions.",)

    def copied(self, text: str) -> str:
        """Keep a copy of the text where it is not saved; "" or a sentence why there is none."""
        try:
            if text in (self.saved_text, self.text):
                copies.forget(self.path)
            else:
                copies.keep(self.path, text, self.lost or copies.digest(self.before), datetime.now().astimezone())
        except LedgerFault as refused:
            return f"No copy could be saved, so save often. {as_sentence(refused.sentence)}"
        return ""

    # Questions.

    def ask_about_a_copy(self, screen: Drafting) -> None:
        """Offer what was typed before the program ended, where that was not saved."""
        copy = copies.kept(self.path)
        if copy is None or copy.text in (self.saved_text, self.text):
            return
        moved = copy.before != copies.digest(self.before)
        when = f"{show_day(copy.at.date().isoformat())}, {copy.at:%H:%M}"
        changed = " The file has changed since." if moved else ""
        choices = {
            "open": "Open what was typed. Nothing is saved before you save it",
            "file": "Open the file as it is, and discard what was typed",
        }

        def chosen(key: str) -> None:
            if key == "file":
                copies.forget(self.path)
                return
            if moved:
                self.lost = copy.before or "none"
            screen.sheet_text.put(copy.text)
            screen.tell("This is what was typed. It is not saved yet.")

        text = f"On {when} something was typed into {self.path.name} and not saved.{changed} What do you want to open?"
        # Typing on would take the place of the copy, so Esc leaves.
        screen.app.push_screen(Asked(self.path.name, "copy", text, choices, chosen, screen.go_away, deed="open"))

    def ask_before_leaving(self, screen: Drafting) -> None:
        """Ask for what is to become of changes: saved, discarded, or typed on."""
        choices = {"save": "Save it, then leave", "leave": "Leave without saving: it is lost"}

        def chosen(key: str) -> None:
            if key == "save":
                screen.save(screen.leave)
            else:
                screen.leave()

        text = f"{self.path.name} is not saved. What do you want to do?"
        screen.app.push_screen(Asked(self.path.name, "leave", text, choices, chosen))

    def _ask_about_theirs(self, screen: Drafting, changed: ChangedMeanwhile, then: Callable[[], None] | None) -> None:
        """Somebody else has written the file: nothing of it or of this text is lost unless somebody says so."""
        choices = {"name": "Save this text under another name"}
        if changed.now is not None:
            choices["theirs"] = "Open theirs. Ctrl-Z brings this text back"
        choices["over"] = "Save this text all the same" + (": theirs is lost" if changed.now is not None else "")

        def chosen(key: str) -> None:
            match key:
                case "name":
                    self.ask_for_another_name(screen, then)
                case "theirs":
                    self._open_theirs(screen, changed.now or b"")
                case _:
                    self._over(screen, changed, then)

        text = f"{as_sentence(changed.sentence)} What do you want to do?"
        screen.app.push_screen(Asked(self.path.name, "theirs", text, choices, chosen))

    def _over(self, screen: Drafting, changed: ChangedMeanwhile, then: Callable[[], None] | None) -> None:
        """Asked once more, with how much of theirs would be lost."""
        if changed.now is None:
            self.before, self.lost = None, None
            self.save(screen, then)
            return
        lines = _only_theirs(changed.now, screen.text)
        choices = {"no": "No, go back to the text", "yes": "Yes, theirs is lost"}

        def chosen(key: str) -> None:
            if key == "yes":
                self.before, self.lost = changed.now, None
                self.save(screen, then)

        text = f"{lines} Save this text over theirs?"
        screen.app.push_screen(Asked(self.path.name, "over", text, choices, chosen))

    def _open_theirs(self, screen: Drafting, now: bytes) -> None:
        try:
            text = files.as_text(now, self.path)
        except Faulty as faulty:
            screen.tell(briefly(faulty))
            return
        except LedgerFault as refused:
            screen.tell(as_sentence(refused.sentence))
            return
        self.before, self.saved_text, self.text, self.lost = now, text, text, None
        screen.sheet_text.put(text)
        screen.tell("This is theirs. Press Ctrl-Z for your text.")

    def ask_for_another_name(self, screen: Drafting, then: Callable[[], None] | None = None) -> None:
        """Save it beside the file, as a file of its own from then on."""
        free = _free(self.path)

        def named(line: str) -> None:
            name = line.strip() or free.name
            path = self.path.with_name(name if name.endswith(".toml") else f"{name}.toml")
            if path.name.startswith(".") or path.parent != self.path.parent or path.exists():
                screen.tell(f"{path.name} cannot be the name: it is there already, or begins with a dot. Not saved.")
                return
            copies.forget(self.path)
            self.path, self.before, self.lost = path, None, None
            screen.path = path
            self.save(screen, then)

        question = Question("name", f"Under which name? Press Enter for {free.name}, or type another.", "line")
        screen.app.push_screen(Asked(self.path.name, "name", question.text, {}, named, deed=KEEP.text))


def _new(path: Path, text: str) -> Begun:
    """A file that is not there yet, which is told: its name may be a slip."""
    near = files.nearest_to(path)
    meant = "Nothing is saved yet." if near is None else f"Did you mean {near}? Press Esc to leave."
    return Begun(text, told=f"“{path.stem}” is new. {meant}")


def _free(path: Path) -> Path:
    """A name that no file has yet."""
    names = (path.with_name(f"{path.stem}-{number}.toml") for number in range(2, 1000))
    return next(each for each in names if not each.exists())


def _only_theirs(now: bytes, text: str) -> str:
    """Count the lines that only theirs has, and quote the first of them."""
    mine = set(text.splitlines())
    lines = [line for line in now.decode(errors="replace").splitlines() if line not in mine and line.strip()]
    if not lines:
        return "No line of theirs would be lost, only their order or empty lines."
    count = "1 line" if len(lines) == 1 else f"{len(lines)} lines"
    return f"{count} of theirs would be lost, such as {quoted(lines[0].strip())}."
