"""Signals that end the program: each is a safe pause once there is a screen, and none comes at a bad moment.

Held back means held by the system: one that comes meanwhile is delivered afterwards.
"""

from __future__ import annotations

import signal

ENDING = tuple(getattr(signal, name) for name in ("SIGHUP", "SIGTERM", "SIGINT", "SIGTSTP") if hasattr(signal, name))
# Going on after a stop is nothing for a program that ends; its handler is gone before the last moment, too.
_HELD_BACK = (*ENDING, *((signal.SIGCONT,) if hasattr(signal, "SIGCONT") else ()))
_CAN_WAIT = hasattr(signal, "pthread_sigmask")


def hold_back() -> None:
    """None of them comes from now on: the program starts, or is ending anyway."""
    if _CAN_WAIT:
        signal.pthread_sigmask(signal.SIG_BLOCK, _HELD_BACK)


def let_through() -> None:
    """They come again, also the ones that came meanwhile."""
    if _CAN_WAIT:
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _HELD_BACK)


def forget() -> None:
    """They come again, but for the ones that came meanwhile: the program has ended as they wished."""
    before = {each: signal.signal(each, signal.SIG_IGN) for each in _HELD_BACK}
    let_through()
    for each, handler in before.items():
        signal.signal(each, handler if handler is not None else signal.SIG_DFL)
