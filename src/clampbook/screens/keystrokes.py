"""The keys and pastes in what a terminal sends: any bytes at all, cut anywhere, and never an error.

The toolkit's parser is right about everything a keyboard sends, and dies of what none does: a key code beyond Unicode,
a size of the window with a zero in it. Its public way in is a whole driver, which keeps its parser to itself and has no
hook for that, and a parser that has raised is dead; so one is fed sign by sign here, and another takes its place,
without the sequence that it died of.
"""

from __future__ import annotations

from codecs import getincrementaldecoder
from collections.abc import Iterator

from textual import events, messages
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser
from textual.message import Message

PASTE_QUIET = 1.0  # seconds without a sign after which a paste that has no end is none
PASTE_LONGEST = 5.0  # seconds from its first sign
_CTRL_C = "\x03"
_WANTED = (events.Key, events.Paste, messages.TerminalSupportsSynchronizedOutput)
# Everything else that bytes can claim to be is left out: a mouse nobody asked for, a window of a million columns, a
# focus before there is a screen. The size of the window is what the system says.


class Keystrokes:
    """Takes bytes as they come and gives what they mean; `at` is always in seconds of one clock that only grows."""

    def __init__(self) -> None:
        self._decode = getincrementaldecoder("utf-8")("replace").decode
        self._parser = XTermParser()
        self._tail = ""
        self._paste_began: float | None = None
        self._last = 0.0

    def take(self, data: bytes, at: float) -> Iterator[Message]:
        """Read what these bytes mean, after all that came before them."""
        for sign in self._decode(data):
            self._watch_for_pastes(sign, at)
            yield from self._fed(sign)

    def wait(self, at: float) -> Iterator[Message]:
        """Read what it means that nothing came: a lone Esc was a key, and a paste without an end is thrown away."""
        if self._paste_began is not None and (at - self._last > PASTE_QUIET or at - self._paste_began > PASTE_LONGEST):
            self._begin_anew()
        try:
            found = tuple(self._parser.tick())
        except Exception:
            self._begin_anew()
            return
        yield from _wanted(found)

    def _fed(self, sign: str) -> tuple[Message, ...]:
        try:
            return _wanted(tuple(self._parser.feed(sign)))
        except Exception:
            self._begin_anew()
            return ()

    def _watch_for_pastes(self, sign: str, at: float) -> None:
        """Note whether the parser is within a paste, which it does not say; Ctrl-C ends one, for no paste holds it."""
        self._last = at
        if sign == _CTRL_C and self._paste_began is not None:
            self._begin_anew()
        self._tail = (self._tail + sign)[-len(BRACKETED_PASTE_START) :]
        if self._tail == BRACKETED_PASTE_START and self._paste_began is None:
            self._paste_began = at
        elif self._tail == BRACKETED_PASTE_END:
            self._paste_began = None

    def _begin_anew(self) -> None:
        self._parser = XTermParser()
        self._tail = ""
        self._paste_began = None


def _wanted(found: tuple[Message, ...]) -> tuple[Message, ...]:
    return tuple(each for each in found if isinstance(each, _WANTED) and not _is_half_a_sign(each))


def _is_half_a_sign(message: Message) -> bool:
    """True where a key stands for half of a sign (a surrogate), which nothing can store or show."""
    return isinstance(message, events.Key) and any("\ud800" <= sign <= "\udfff" for sign in message.character or "")
