"""The keyboard of all screens that ask something: what is pressed becomes lines, at the right moment or not at all."""

from __future__ import annotations

import gc
from abc import abstractmethod
from typing import ClassVar

from msgspec import Struct
from textual import events
from textual.message import Message
from textual.timer import Timer

from clampbook.screens.bursts import FASTER_THAN_A_PERSON, LEAST_LINE, REPEATED, Bursts, ToolLine
from clampbook.screens.key_meaning import Back, Help, Line, Nothing, Typed, Wanted, stroke
from clampbook.screens.scoped import Scoped

NEVER, ALWAYS = float("inf"), float("-inf")
_SETTLED = FASTER_THAN_A_PERSON + 0.005  # seconds after which no sign can belong to the one before
_GARBAGE = 50_000  # things made anew before it is looked for; answering a key makes a few thousand
_LOST = 40  # signs without a meaning that are remembered
_OPENS_A_QUESTION = "*/?"  # no tool's line begins with these, so they need not wait for what follows
_ERASES = ("backspace", "ctrl+h")
_ERASING = 1.0  # seconds after a Backspace in which another one belongs to it
_RINGS = "+ "  # the deliberate key, typed by either of its names
_NOT_COUNTED = "Too soon, or held down: that + did not count. Look which row is asked."
_TOO_FAST = "Too fast to be typed. Nothing saved. Type it again."


def now() -> float:
    """Seconds on the clock that the toolkit stamps its events with."""
    return Message().time


class Pending(Struct, frozen=True):
    """A key that answers by itself, held back until it is sure that no tool is typing."""

    line: Line
    want: Wanted


class Hands(Scoped, inherit_bindings=False):
    """A screen that is answered by typing. All keys come here; what is shown takes no focus of its own.

    A screen of this kind says what it wants, takes lines, and tells when its question is another one.
    """

    AUTO_FOCUS = ""
    now: ClassVar = staticmethod(now)

    def __init__(self) -> None:
        super().__init__()
        self.field = ""
        self.fresh = False  # the field stands as the screen filled it, and the first sign typed takes its place
        self.lost = ""  # signs that mean nothing here: they are not shown, and named once Enter hands on no other
        self.painted_at = NEVER
        self._bursts = Bursts()
        self._pending: Pending | None = None
        self._timer: Timer | None = None
        self._late: ToolLine | None = None
        self._erased_at = ALWAYS
        self._led_back = False  # the last Backspace found the field empty
        self._ring_lost = False  # a row was to be ringed before it was asked: nobody may think that it counted

    # What each screen says and does.

    @abstractmethod
    def want(self) -> Wanted:
        """Give what the question at hand takes."""

    @abstractmethod
    def take(self, line: str) -> None:
        """A line answers the question at hand; the field is empty by then, and is to be shown so."""

    def take_arrived(self, line: str) -> None:
        """A tool's line came where no number is asked for."""
        self.tell(f"{line} came in unasked. Nothing is measured here.")

    def back(self) -> None:
        """One question back, nothing changed."""

    def show_field(self) -> None:
        """Show what stands in the field."""

    def other_key(self, key: str) -> None:
        """A key without meaning for the question itself, such as one that scrolls."""

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""

    def explain(self) -> None:
        """Say what is wanted here, and which keys there are."""

    def painted(self) -> None:
        """The question was just painted."""

    # The moment from which a question can be answered.

    def ask_anew(self) -> None:
        """Another question is about to be painted: what is typed before that is thrown away."""
        self.field, self.fresh, self.lost = "", False, ""
        self._drop_pending()
        self.painted_at = NEVER
        self.call_after_refresh(self._now_painted)

    def _now_painted(self) -> None:
        self.painted()
        self.painted_at = self.now()
        late, self._late = self._late, None
        if late is not None:
            self.take_arrived(late.text)
        lost, self._ring_lost = self._ring_lost, False
        if lost:
            self.tell(_NOT_COUNTED)

    def on_screen_resume(self) -> None:
        """The first question is on its way to the screen."""
        gc.freeze()  # what is loaded stays: looking through it again and again would hold up keys
        gc.enable()
        gc.set_threshold(_GARBAGE)
        if not self.stack_updates:
            self.call_next(self._painted_once)

    def _painted_once(self) -> None:
        """Laying the screen out for the first time has painted it; the toolkit would paint all of it again."""
        # Tried first: refresh, batch_update and call_after_refresh; each can ask for a painting, none takes one back.
        self._repaint_required = False

    # Keys.

    def on_key(self, event: events.Key) -> None:
        """Every key that is none of the program's own."""
        event.stop()
        event.prevent_default()
        self.pressed(event.key, event.character, event.time)

    def pressed(self, key: str, character: str | None, at: float) -> None:
        """One key, at a moment of the toolkit's clock."""
        if key == "enter":
            self._enter(at)
            return
        signs = character is not None and character.isprintable()
        if signs and character is not None:
            self._bursts.sign(character, at)
        copying = self.want().copying
        held = self._bursts.held(key, at, copying=copying)
        ring = copying and character is not None and character in _RINGS
        if at < self.painted_at:
            self._ring_lost |= ring and not held
            return
        if self._pending is not None:
            if signs and self._bursts.quick():
                self._wait_for_quiet()
                return
            if ring and held:
                self._repeats()
                return
            self.settle()
            if at < self.painted_at:
                return
        if key not in _ERASES or not self._one_too_many(at):
            self._act(key, character, held=held)

    def _one_too_many(self, at: float) -> bool:
        """True of a Backspace of several that finds the field emptied by the one before, or comes right after one that
        led back: whoever only wanted to erase would lose the answer before."""
        close, self._erased_at = at - self._erased_at < _ERASING, at
        if close and (not self.field or self._led_back):
            return True
        self._led_back = not self.field
        return False

    def _act(self, key: str, character: str | None, *, held: bool) -> None:
        want = self.want()
        anew = self.fresh and character is not None and character.isprintable()
        match stroke(want, "" if anew else self.field, key, character):
            case Typed(field=field):
                self.field, self.fresh, self.lost = field, False, ""
                self.show_field()
            case Line() as line:
                if held:
                    return
                self._pending = Pending(line, want)
                if character is None or character in _OPENS_A_QUESTION:
                    self.settle()
                else:
                    self._wait_for_quiet()
            case Back():
                self.field, self.fresh, self.lost = "", False, ""
                self.back()
            case Help():
                self.explain()
            case Nothing():
                if character is not None and character.isprintable() and not self.field:
                    self.lost = (self.lost + character)[-_LOST:]
                self.other_key(key)

    def _repeats(self) -> None:
        """The key that waits comes again: it is held down, and only its first press counted. Of a press that stands
        alone this is a bounce, and it counts."""
        if self._bursts.may_repeat():
            self._drop_pending()
            self.tell(_NOT_COUNTED)

    def _enter(self, at: float) -> None:
        want = self.want()
        tool_line = self._bursts.line(at, 1 if want.deliberate else LEAST_LINE if want.field else 2)
        if tool_line is not None:
            self._drop_pending()
            self._from_a_tool(tool_line, want, at)
            return
        if self._pending is not None and at >= self.painted_at:
            self.settle()
        if self._bursts.held("enter", at) or at < self.painted_at:
            return
        field, self.field, self.fresh = self.field, "", False
        self.take(field)
        self.lost = ""

    def _from_a_tool(self, line: ToolLine, want: Wanted, at: float) -> None:
        """A line from a tool: the answer where a number or a text is wanted, and was before the line began."""
        from clampbook.run.gather.draft import looks_like_a_number

        text = line.text.strip()
        number = looks_like_a_number(text.lstrip("+"))
        self.field = ""
        self.show_field()
        if at < self.painted_at:
            self._late = line if number else None
        elif line.began >= self.painted_at and not want.deliberate and (want.asks_number or want.text):
            self.take(text)
        elif number and len(text) > 1:
            self.take_arrived(text)
        elif want.text and line.began >= self.painted_at:
            self.field = text
            self.show_field()
        else:
            self.tell(_TOO_FAST)

    def on_paste(self, event: events.Paste) -> None:
        """Take what is pasted by the rules of what is typed."""
        event.stop()
        if event.time < self.painted_at:
            return
        self._drop_pending()
        lines = event.text.splitlines()
        want = self.want()
        if len(lines) != 1:
            self.tell("Paste one line only.")
        elif event.text != lines[0]:
            self._from_a_tool(ToolLine(lines[0], event.time), want, event.time)
        elif want.text or want.asks_number:
            self.field = lines[0] if self.fresh else self.field + lines[0]
            self.fresh = False
            self.show_field()
        else:
            self.tell("Nothing can be pasted here.")

    # Keys that answer by themselves wait a moment: a tool's line may begin with them.

    def _wait_for_quiet(self) -> None:
        self._stop_timer()
        repeats = self.want().copying and self._bursts.may_repeat()
        self._timer = self.set_timer(REPEATED if repeats else _SETTLED, self._settle_after_what_waits)

    def _settle_after_what_waits(self) -> None:
        """Keys that came meanwhile and wait, because the machine was busy, are looked at first."""
        self.app.call_later(self.call_later, self._settle_unless_more_came, self._timer)

    def _settle_unless_more_came(self, timer: Timer | None) -> None:
        if timer is self._timer:
            self.settle()

    @property
    def holds_back(self) -> bool:
        """True while a key waits until it is sure that it stands alone."""
        return self._pending is not None

    def settle(self) -> None:
        """No sign follows any more: a single key acts, several at once do not."""
        self._stop_timer()
        pending, self._pending = self._pending, None
        if pending is None or not self.is_up:
            return
        if self._bursts.quick() and not self._bursts.one_press():
            self.tell(_TOO_FAST)
        elif pending.want == self.want():
            self.take(pending.line.text)

    def _drop_pending(self) -> None:
        self._stop_timer()
        self._pending = None

    def _stop_timer(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None
