"""The real program, which writes the name of every screen that it shows into the file that WATCHED names."""

from __future__ import annotations

import os
from pathlib import Path

from textual.app import App

from clampbook.__main__ import main

_push = App.push_screen


def _noted(app: App[object], screen: object, *arguments: object, **more: object) -> object:
    with Path(os.environ["WATCHED"]).open("a", encoding="utf-8") as names:
        names.write(f"{type(screen).__name__}\n")
    return _push(app, screen, *arguments, **more)  # type: ignore[call-overload]


if __name__ == "__main__":
    App.push_screen = _noted  # type: ignore[assignment,method-assign]
    main()
