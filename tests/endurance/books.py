"""A book with something on every screen: open runs and checks, one to sign, one sealed, keys, many tools."""

from __future__ import annotations

import re
import shutil
from decimal import Decimal
from pathlib import Path

from at_checks import answered_at_once
from at_keyboard import Time
from clampbook.book.starting.checking import open_check
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.toolbox import references, tool_named
from clampbook.check.planning import planned
from museum import museum
from sealing import TOOLS, Shop, sealed, shop, walked
from whinchat import HEAD

_ITS_W5 = re.compile(r'\[\[tool\]\]\nid = "w5"\n.*?(?=\n\[\[|\Z)', re.DOTALL)


def full_book(folder: Path) -> Shop:
    """The book of the harbour museum after a busy week; made in a moment by those who work there."""
    at = shop(folder)
    sealed(at)
    walked(at)
    _with_everything_of_the_demo(at, folder.with_name(f"{folder.name}-demo"))
    open_run(at.book, work_named(at.book, HEAD), Terms(person=at.ines, equipment="Whinchat"), at.clock, "handed in")
    answered_at_once(at.book, Time(), "w2", Decimal(1))
    open_check(at.book, planned(tool_named(at.book, "w2"), references(at.book)[0]), at.maud, at.clock, "handed in")
    return at


def _with_everything_of_the_demo(at: Shop, place: Path) -> None:
    """Its procedures and tools, but for W5, which is the shop's own."""
    made = museum(place)
    for path in made.path("procedures").iterdir():
        shutil.copy(path, at.book.path("procedures"))
    others = _ITS_W5.sub("", made.path("tools.toml").read_text(encoding="utf-8"))
    at.book.path("tools.toml").write_text(f"{TOOLS}\n{others}", encoding="utf-8")
    shutil.rmtree(place)
