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
_AT_ONCE = 100  # signs that come together from no hand
_SHORT = 8  # signs, more than the mark of a paste's end has
_CTRL_C = "\x03"
_WANTED = (events.Key, events.Paste, messages.TerminalSupportsSynchronizedOutput)
# Everything else that bytes can claim to be is left out: a mouse nobody asked for, a window of a million columns, a
# focus before there is a screen. The size of the window is what the system says.


class Keystrokes:
    """Takes bytes as they come and gives what they mean; `at` is always in seconds of one clock that only grows.

    The text of a paste does not go through the parser, which takes it sign by sign: megabytes would keep the keys after
    them waiting for a quarter of a minute.
    """

    def __init__(self) -> None:
        self._decode = getincrementaldecoder("utf-8")("replace").decode
        self._parser = XTermParser()
        self._tail = ""
        self._pasted: list[str] | None = None  # what came of a paste so far; None outside of one
        self._paste_began = 0.0
        self._last = 0.0

    def take(self, data: bytes, at: float) -> Iterator[Message]:
        """Read what these bytes mean, after all that came before them."""
        text, place = self._decode(data), 0
        self._last = at if text else self._last
        while place < len(text):
            if self._pasted is None:
                yield from self._fed(text[place], at)
                place += 1
            else:
                rest, place = text[place:], len(text)
                message, behind = self._paste_goes_on(rest, at)
                yield from message
                place -= len(behind)

    def wait(self, at: float) -> Iterator[Message]:
        """Read what it means that nothing came: a lone Esc was a key, and a paste without an end is thrown away."""
        if self._pasted is not None and (at - self._last > PASTE_QUIET or at - self._paste_began > PASTE_LONGEST):
            self._begin_anew()
        try:
            found = tuple(self._parser.tick())
        except Exception:
            self._begin_anew()
            return
        yield from _wanted(found)

    def _fed(self, sign: str, at: float) -> tuple[Message, ...]:
        """Hand on a sign, but for the one that completes the mark of a paste's beginning."""
        self._tail = (self._tail + sign)[-len(BRACKETED_PASTE_START) :]
        if self._tail == BRACKETED_PASTE_START:
            self._begin_anew()
            self._pasted, self._paste_began = [], at
            return ()
        try:
            return _wanted(tuple(self._parser.feed(sign)))
        except Exception:
            self._begin_anew()
            return ()

    def _paste_goes_on(self, text: str, at: float) -> tuple[tuple[Message, ...], str]:
        """Take what came of a paste; gives the whole of it once its end is there, and what came behind that."""
        assert self._pasted is not None
        if len(text) >= _AT_ONCE:
            self._paste_began = at  # nobody types so much at once: it is a paste, and goes on
        elif text.endswith(_CTRL_C):  # within a paste it is one sign of many, and ends nothing
            self._begin_anew()
            return self._fed(_CTRL_C, at), ""
        begun = "".join(self._pasted[-1:]) + text
        pasted, end, behind = begun.partition(BRACKETED_PASTE_END)
        self._pasted[-1:] = [pasted]
        if not end:
            # Its end may be cut: the last piece stays short, so that joining it is nothing.
            self._pasted[-1:] = [pasted[:-_SHORT], pasted[-_SHORT:]] if len(pasted) > _SHORT else [pasted]
            return (), ""
        whole = "".join(self._pasted).replace("\x00", "")
        self._begin_anew()
        return (events.Paste(whole),), behind

    def _begin_anew(self) -> None:
        self._parser = XTermParser()
        self._tail = ""
        self._pasted = None


def _wanted(found: tuple[Message, ...]) -> tuple[Message, ...]:
    return tuple(each for each in found if isinstance(each, _WANTED) and not _is_half_a_sign(each))


def _is_half_a_sign(message: Message) -> bool:
    """True where a key stands for half of a sign (a surrogate), which nothing can store or show."""
    return isinstance(message, events.Key) and any("\ud800" <= sign <= "\udfff" for sign in message.character or "")
