"""The entry of a tool or an adapter as a form: one item a line, and what is wrong beside it while it is typed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widgets import Static

from clampbook.screens.choosing import wrapped
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import BACK_HINT, HELP, KEEP
from clampbook.screens.key_meaning import Asked
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.tools.filling import Filling, begun
from clampbook.screens.tools.form_items import FormItem
from clampbook.screens.tools.live_faults import said
from clampbook.screens.tools.writing import add, change
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.screens.widgets.entry_line import EntryLine
from clampbook.screens.widgets.long_text import LongText
from clampbook.text import printable
from clampbook.tools.editing import List

if TYPE_CHECKING:
    from clampbook.book.book import Book

_WRITE, _LEAVE = "1", "2"
_LONGEST = 24  # columns of the names of items
_UNWRITTEN = "Nothing is saved yet. Press Esc again to discard, or save on the last line."


class EntryForm(Questions):
    """`id` None: a new entry. `before` is the file as it was read; `after` is called once it is written."""

    def __init__(self, book: Book, kind: List, id: str | None, before: bytes, after: Callable[[str], None]) -> None:
        self.book = book
        self.filling: Filling = begun(before, kind, id)
        self.at = 0
        self.seen: set[str] = set()
        self.warned = False
        self._typed = ""
        self._after = after
        super().__init__(self._question())

    # The item at hand.

    @property
    def item(self) -> FormItem | None:
        """None on the last line, where it is saved."""
        items = self.filling.items
        return items[self.at] if self.at < len(items) else None

    def _question(self) -> Question:
        item = self.item
        if item is None:
            ends = (Line(_WRITE, "save"), Line(_LEAVE, "discard"))
            return Question("write", f"{self.filling.title}: save to tools.toml?", "choice", ends)
        about = self.filling.about(item)
        text = f"{self.filling.title}: {item.words}{f' ({about})' if about else ''}"
        lines = tuple(Line(str(n), each) for n, each in enumerate(item.choices, 1))
        return Question(item.name, text, "line" if item.shape == "text" else "choice" if lines else "line", lines)

    def _stands(self) -> str:
        """Give what the field begins with: what the item has already, where it is typed."""
        item = self.item
        if item is None or (item.choices and item.shape != "text"):
            return ""
        return self.filling.values.get(item.name, "")

    def ask(self, part: Asked | None = None) -> None:
        """The field begins with what the item has already."""
        super().ask(part)
        self.field = self._stands()
        self.fresh = bool(self.field)
        self.paint()

    # Keys.

    def take(self, line: str) -> None:
        """One item, or the end."""
        if self.item is None:
            self._end(line.strip())
            return
        self._keep(line)
        self.go(self.at + 1)

    def _keep(self, line: str) -> None:
        item = self.item
        if item is None:
            return
        text = line.strip()
        if item.choices and text.isdecimal() and 0 < int(text) <= len(item.choices):
            text = item.choices[int(text) - 1]
        elif item.choices and item.shape != "text":
            text = self.filling.values.get(item.name, "")
        self.filling = self.filling.with_value(item, text)
        self.seen.add(item.name)
        self.warned = False

    def _end(self, key: str) -> None:
        if key == _LEAVE:
            self.dismiss()
        elif key == _WRITE:
            self._write()
        else:
            self.ask(self._question())

    def _write(self) -> None:
        faults = self.filling.faults
        self.seen = {item.name for item in self.filling.items}
        first = next((n for n, item in enumerate(self.filling.items) if self.filling.faults_at(item)), None)
        if faults:
            self.notice = "Not saved. Correct the lines with !."
            self.go(len(self.filling.items) if first is None else first, keep_notice=True)
            return
        told = self._written()
        if told:
            self.notice = told
            self.go(self.at, keep_notice=True)
            return
        self.dismiss()
        self.app.call_later(self._after, f"{self.filling.title} is saved in tools.toml.")

    def _written(self) -> str:
        filling = self.filling
        if filling.id is None:
            return add(self.book, filling.before, filling.kind, filling.entry)
        if not filling.changes:
            return ""
        return change(self.book, filling.before, filling.kind, filling.id, filling.changes)

    def go(self, at: int, *, keep_notice: bool = False) -> None:
        """To another line of the form."""
        self.at = at % (len(self.filling.items) + 1)
        if not keep_notice:
            self.notice = ""
        self.ask(self._question())

    def other_key(self, key: str) -> None:
        """Up and down keep what was typed and go to the next line; Home and End to the first and the last.

        The arrows to the sides keep what stands in the field, so that signs are added to it.
        """
        if key in ("left", "right") and self.fresh:
            self.fresh = False
            self.paint()
            return
        places = {"up": self.at - 1, "down": self.at + 1, "home": 0, "end": len(self.filling.items)}
        if key in places:
            if (self.item is not None and self.item.shape == "text") or self.part.kind == "line":
                self._keep(self.field)
            self.go(places[key])

    def back(self) -> None:
        """Leave; where something was typed, only when it is said twice."""
        untouched = not self.filling.changes and self._typed == self._stands()
        if self.is_current and (self.warned or untouched):
            self.dismiss()
            return
        self.warned = True
        self.field = self._stands()
        self.fresh = bool(self.field)
        self.tell(_UNWRITTEN)

    # What is shown.

    def heading(self) -> str:
        """Name what is filled in."""
        return f"{self.book.name} · tools.toml"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        own = KeyHint("number", "choose") if self.part.kind == "choice" else KEEP
        edit = (KeyHint("→", "edit"),) if self.fresh else ()
        return (own, *edit, KeyHint("↑ ↓", "line"), KeyHint("End", "save or discard"), BACK_HINT, HELP)

    def show_field(self) -> None:
        """The field, and the form with what is wrong as it stands now."""
        self._typed = self.field
        item = self.item
        before = "number" if self.part.kind == "choice" else item.words if item is not None else "number"
        field = self.query_one(EntryLine)
        field.show(before, self.field, fresh=self.fresh)
        self.query_one("#keys", BottomLine).show(self.keys())
        content, row = self.form()
        self.query_one("#choices", Static).update(content)
        scroll = self.query_one("#listed", LongText)
        scroll.scroll_to(y=max(0, row - scroll.size.height // 2), animate=False)

    def listed(self) -> Content:
        """The form."""
        return self.form()[0]

    def form(self) -> tuple[Content, int]:
        """All lines, and in which row the one at hand stands."""
        filling, item = self.filling, self.item
        if item is not None and self.part.kind == "line":
            filling = filling.with_value(item, self.field)
        names = min(_LONGEST, max(self.columns // 2, 8))
        rows: list[Content] = []
        here = 0
        for number, each in enumerate(filling.items):
            if number == self.at:
                here = len(rows)
            rows += self._row(each, filling, names, now=number == self.at)
            rows += self._faulty(each, filling)
        if item is None:
            here = len(rows)
        rows += [
            _line("save or discard", "", names, now=item is None),
            *(self._choices() if item is None else ()),
            *(self._still_wrong(filling) if item is None else ()),
        ]
        return Content("\n").join(rows), here

    def _row(self, item: FormItem, filling: Filling, names: int, *, now: bool) -> list[Content]:
        line = _line(item.words, filling.values.get(item.name, ""), names, now=now)
        return [line, *(self._choices() if now else ())]

    def _choices(self) -> list[Content]:
        """List what can be chosen here, by number, below its line."""
        told = " · ".join(f"{choice.key} {choice.text}" for choice in self.part.choices)
        return [Content(f"    {printable(row)}") for row in wrapped(told, self.columns - 4)] if told else []

    def _faulty(self, item: FormItem, filling: Filling) -> list[Content]:
        """Tell what is wrong with an item, below it; an empty one is left alone until it was visited."""
        if item.name not in self.seen and not filling.values.get(item.name, "").strip():
            return []
        return self._told(tuple(dict.fromkeys(said(fault, filling.kind) for fault in filling.faults_at(item))))

    def _still_wrong(self, filling: Filling) -> list[Content]:
        """On the last line: which items are still wrong, and what is wrong with the whole."""
        items = [item.words for item in filling.items if filling.faults_at(item)]
        whole = tuple(said(fault, filling.kind) for fault in filling.faults.get("", ()))
        return self._told((*((f"Correct first: {', '.join(items)}.",) if items else ()), *whole))

    def _told(self, sentences: tuple[str, ...]) -> list[Content]:
        lines = []
        for told in sentences:
            for number, row in enumerate(wrapped(printable(told), self.columns - 4)):
                lines.append(Content.styled(f"  {'!' if number == 0 else ' '} {row}", "$over"))
        return lines

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: an entry of tools.toml", (*HELP_LINES, *self.filling.explained)))


def _line(name: str, value: str, names: int, *, now: bool) -> Content:
    told = f"{'▸' if now else ' '} {name:<{names}}  {printable(value)}".rstrip()
    if now:
        return Content.styled(told, "bold")
    return Content(told) if value else Content.styled(f"{told.ljust(names + 3)} ·", "$quiet")


HELP_LINES = (
    "One item a line. What is wrong appears below its line as you type.",
    "A number alone gets the unit of the scale, or % or mm. An empty line is left out of the file.",
    "Nothing is saved until you choose save on the last line. The rest of tools.toml stays as it is, comments too.",
    "If someone else changed the file, nothing is saved.",
    "",
    "# Keys",
    "Enter goes to the next line, ↑ ↓ to another, Home and End to the first and the last.",
    "A field shown reversed is replaced by what you type. Press → or Backspace to edit it instead.",
    "Where choices are listed, type a number. Ctrl-U empties the field. Esc discards.",
    "",
    "# Items",
)
