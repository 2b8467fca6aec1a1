"""The full-screen program: a switchboard between the bench, a run that is walked, and pages to read."""

from __future__ import annotations

import asyncio
import signal
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.screen import Screen

from clampbook.screens import signals, theme
from clampbook.screens.nothing_unseen import NothingUnseen
from clampbook.screens.scoped import Scoped

if TYPE_CHECKING:
    from pathlib import Path

    from rich.console import RenderableType
    from textual.driver import Driver
    from textual.filter import LineFilter

    from clampbook.ledger.event import PauseCause
    from clampbook.screens.bench import Bench
    from clampbook.screens.in_hand import InHand
    from clampbook.screens.open_run import Taken
    from clampbook.screens.tour.touring import Tour

STOPPED = "stopped"
_NOTHING_UNSEEN = NothingUnseen()
First = Callable[["Clampbook"], Screen[None]]


def _nothing() -> None:
    """Most screens have nothing to save when the program ends."""


@dataclass(frozen=True, slots=True)
class Ending:
    """The ending of the program: the outcome of the run that was walked last, if any, and its name."""

    outcome: str = ""
    run: str = ""


class Clampbook(App[Ending], inherit_bindings=False):
    """The program. `first` makes the first screen; what went wrong with the disk is in `fault` afterwards."""

    TITLE = "Clampbook"
    ENABLE_COMMAND_PALETTE = False
    CSS_PATH: ClassVar = ["styles/widgets.tcss", "styles/screens.tcss"]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "of_the_screen('explain')", show=False, priority=True),
        Binding("f2,ctrl+p", "actions", show=False, priority=True),
        Binding("f3", "of_the_screen('turn_map')", show=False, priority=True),
        Binding("f4", "look", show=False, priority=True),
        Binding("ctrl+c", "stop_unless('copied')", show=False, priority=True),
        Binding("ctrl+z", "stop_unless('undone')", show=False, priority=True),
        Binding("ctrl+q", "stop", show=False, priority=True),
    ]

    def __init__(self, first: First, *, bell: bool = True) -> None:
        super().__init__(ansi_color=True if theme.without_colour() else None)
        theme.register(self)
        self._first = first
        self.bell_on = bell
        self.taken: InHand | None = None
        self.daybook: Path | None = None
        self.tour: Tour | None = None  # of the demo alone
        self.fault: Exception | None = None
        self.unforeseen: Exception | None = None

    def get_default_screen(self) -> Screen[None]:
        """The first screen, with its styles: the toolkit reads those of screens that are pushed, and of no other."""
        screen = self._first(self)
        for path in screen.css_path:
            self.stylesheet.read(path)
        return screen

    def on_mount(self) -> None:
        """Signals are safe pauses, also those that came before there was a screen."""
        if self.is_headless:
            return
        loop = asyncio.get_running_loop()
        for each in signals.ENDING:
            cause: PauseCause = "terminal closed" if each.name == "SIGHUP" else "asked"
            loop.add_signal_handler(each, self._stop, cause)
        if hasattr(signal, "SIGCONT"):
            loop.add_signal_handler(signal.SIGCONT, self._begin_again)
        signals.let_through()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Nothing that is painted steers a terminal, whatever a book holds."""
        return (*super().get_line_filters(), _NOTHING_UNSEEN)

    def get_driver_class(self) -> type[Driver]:
        """The toolkit's own for this system, but for the keyboard of a terminal, which nothing must break."""
        chosen = super().get_driver_class()
        if chosen.__name__ != "LinuxDriver":
            return chosen
        from clampbook.screens.terminal import Terminal

        return Terminal

    def walk(self, taken: Taken) -> None:
        """Walk a run on top of what asked for it; the bench, or the end of the program, comes after it.

        The first screen is never taken away: the toolkit can switch only what was pushed.
        """
        from clampbook.screens.walk import WalkScreen

        self.hold(taken)
        self.push_screen(WalkScreen(taken, self.walked))

    def hold(self, taken: InHand) -> None:
        """This run, or check, is in hand now."""
        self.taken = taken
        self.daybook = taken.run.daybook

    @property
    def bench(self) -> Bench | None:
        """The bench that the program goes back to; None where it began with a walk or a check, or has no book yet."""
        from clampbook.screens.bench import Bench

        return next((screen for screen in self.screen_stack if isinstance(screen, Bench)), None)

    def walked(self) -> None:
        """Nothing more is asked of the run: back to the bench, or out of the program."""
        ending, bench = self.leave_run(), self.bench
        if bench is None:
            self.exit(ending)
            return
        while self.screen is not bench:
            self.pop_screen()
        bench.again()

    def call_later(self, callback: Callable[..., Any], *args: Any, **kwargs: Any) -> bool:
        """Call something once the events before it are through; what belongs to a screen, if that is still there."""
        of = getattr(callback, "__self__", None)
        if isinstance(of, Scoped):
            return super().call_later(of.if_up, callback, *args, **kwargs)
        return super().call_later(callback, *args, **kwargs)

    def back_at_the_bench(self) -> None:
        """The bench is looked at again, after something was done in the book."""
        if self.bench is not None:
            self.call_later(self.bench.again)

    def leave_run(self, cause: PauseCause = "asked") -> Ending:
        """Let go of the run in hand, paused where it goes on another day."""
        taken, self.taken = self.taken, None
        if taken is None:
            return Ending()
        try:
            taken.leave(cause)
        except Exception as fault:
            self.fault = fault
        return Ending(taken.outcome, taken.run.id)

    def fail(self, fault: Exception) -> None:
        """Something cannot be written or read: the program ends, and tells it in one sentence."""
        self.fault = fault
        self.exit(self.leave_run())

    def _handle_exception(self, error: Exception) -> None:
        """End the program by what nobody foresaw; the command that started it tells it in a sentence."""
        self.unforeseen = self.unforeseen or error
        self._hold_back_signals()
        super()._handle_exception(error)

    def _fatal_error(self) -> None:
        self._close_messages_no_wait()

    def panic(self, *renderables: RenderableType) -> None:
        """The toolkit gives up: nothing of what it would print is for a person, and it is told like the rest."""
        del renderables
        self.unforeseen = self.unforeseen or RuntimeError("the screen could not go on")
        self._hold_back_signals()
        self._close_messages_no_wait()

    def exit(self, result: Ending | None = None, return_code: int = 0, message: RenderableType | None = None) -> None:
        """The program ends: a signal that comes meanwhile asks for nothing else."""
        self._hold_back_signals()
        super().exit(result, return_code, message)

    def _hold_back_signals(self) -> None:
        if not self.is_headless:
            signals.hold_back()

    def terminal_gone(self) -> None:
        """Nobody can type any more: a safe pause."""
        self._stop("terminal closed")

    def _begin_again(self) -> None:
        """The program was stopped for a while and is not ending: the terminal is set up anew, and all is painted."""
        from clampbook.screens.terminal import Terminal

        # No public name leads to the driver, and is_running stays true long after exit was called.
        if isinstance(self._driver, Terminal) and not self._exit:
            self._driver.begin_again()
            self.refresh(layout=True)

    def action_of_the_screen(self, name: str) -> None:
        """F1 and F3: what the screen at hand has to say or to do, if it has."""
        do = getattr(self.screen, name, None)
        if do is not None and self.screen.is_mounted:
            do()

    def action_actions(self) -> None:
        """F2: everything that can be done here."""
        from clampbook.screens.actions import Action, Actions
        from clampbook.screens.offering import offered

        if isinstance(self.screen, Actions):
            return
        everywhere = (
            Action("Dark or bright", "F4", self.action_look),
            Action(f"Bell on over: {'off' if self.bell_on else 'on'}", "", self.action_ring),
            Action("Help topics", "", self.show_topics),
        )
        self.push_screen(Actions(offered(self.screen, everywhere, self.action_stop)))

    def show_topics(self) -> None:
        """All topics of the help, on top of what is at hand."""
        from clampbook.screens.topics import Topics

        self.push_screen(Topics())

    def action_look(self) -> None:
        """F4: dark or bright."""
        self.theme = theme.other(self.theme)

    def action_ring(self) -> None:
        """The bell on over, on or off."""
        self.bell_on = not self.bell_on

    def action_stop(self) -> None:
        """A safe pause, and out of the program."""
        self._stop("asked")

    def action_stop_unless(self, name: str) -> None:
        """The same, but for a screen of text that has a use for the key: it does this, and tells whether it did."""
        do = getattr(self.screen, name, None)
        if do is None or not self.screen.is_mounted or not do():
            self._stop("asked")

    def _stop(self, cause: PauseCause) -> None:
        for screen in self.screen_stack:
            getattr(screen, "before_stop", _nothing)()
        ending = self.leave_run(cause)
        self.exit(Ending(STOPPED, ending.run), return_code=130)
