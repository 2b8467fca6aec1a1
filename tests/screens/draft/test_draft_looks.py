"""How a draft looks at the three sizes: a picture that was looked at, beside what it must show."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from at_drafts import COVER, QUICK, Draft
from at_looks import SIZES
from clampbook.screens.app import Clampbook
from clampbook.screens.draft import previewing
from clampbook.screens.draft.screen import Drafting

Scene = Callable[[Draft], Awaitable[None]]


async def text(draft: Draft) -> None:
    """As it is opened, the cursor at a torque."""
    await draft.at(20)


async def beside(draft: Draft) -> None:
    """The other side, a step at hand."""
    await draft.press("f5", "down")


async def errors(draft: Draft) -> None:
    """A quote was lost."""
    await draft.at(20)
    await draft.press("backspace", "f5")


async def offers(draft: Draft) -> None:
    """What begins with the letter that was typed."""
    await draft.at(16)
    await draft.type("\ns")


async def inserting(draft: Draft) -> None:
    """The list of frames."""
    await draft.press("f6")


async def leaving(draft: Draft) -> None:
    """Something is not saved."""
    await draft.type("#")
    await draft.press("escape")


LOOKS = {
    "text": (text, ("cover.toml", 'to = "9 N·m"', "save", "other side")),
    "beside": (beside, ("No errors, no queries · 4 steps", "Enter go there")),
    "errors": (errors, ("1 error", "line 20")),
    "offers": (offers, ("sequence", "strength", "start_over")),
    "inserting": (inserting, ("What do you want to insert?", "Layout of rows")),
    "leaving": (leaving, ("cover.toml is not saved.", "1 Save it, then leave")),
}


@pytest.mark.parametrize("size", SIZES, ids=lambda size: "x".join(map(str, size)))
@pytest.mark.parametrize("look", LOOKS)
def test_it_looks_as_it_was_approved(
    look: str,
    size: tuple[int, int],
    tmp_path: Path,
    snap_compare: Callable[..., bool],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """And says what it must at every size."""
    monkeypatch.setattr(previewing, "CALM", QUICK)
    path = tmp_path / "cover.toml"
    path.write_text(COVER, encoding="utf-8")
    scene, words = LOOKS[look]
    seen: list[str] = []

    async def play(pilot: Pilot[Any]) -> None:
        draft = Draft(pilot)
        await draft.rested()
        await scene(draft)
        await draft.rested()
        seen.append(" ".join((await draft.seen()).split()))

    app = Clampbook(lambda app: Drafting(path, None, left=app.exit))
    alike = snap_compare(app, terminal_size=size, run_before=play)

    assert [] == [word for word in words if word not in seen[0]], seen[0]
    assert alike
