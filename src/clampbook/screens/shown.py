"""The look of a question on a screen, as one frozen value: made by pure functions, painted by the walk's screen."""

from __future__ import annotations

from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from clampbook.run.gather.draft import NONE, Part
from clampbook.run.gather.keys import PLUS, acts_alone
from clampbook.run.prompts import Choice
from clampbook.run.told.clamp_loads import EstimateLine
from clampbook.run.told.words import Band, Figure
from clampbook.screens.choosing import Item
from clampbook.screens.hinting import before_field, keys_of
from clampbook.screens.widgets.bottom_line import KeyHint


class Waiting(Struct, frozen=True):
    """A wait that runs: counted from `since`."""

    since: datetime
    lasts: timedelta
    lead: str = ""


class Shown(Struct, frozen=True):
    """One question on the screen. `field` is what stands before the field, None where nothing is typed as a rule.

    `picture`: the map belongs to it; `pulls`: something is pulled, so that the readings before it are of use;
    `estimate`: one of the lines that has a shorter form; `joints`: the run does several, which stand over the map;
    `apart`: each of the lines stands by itself.
    """

    sentence: str
    hand: Figure | None = None
    position: Figure | None = None
    lines: tuple[str, ...] = ()
    choices: tuple[Choice, ...] = ()
    items: tuple[Item, ...] = ()
    field: str | None = None
    unit: str = ""
    keys: tuple[KeyHint, ...] = ()
    picture: bool = False
    pulls: bool = False
    waiting: Waiting | None = None
    band: Band | None = None
    estimate: EstimateLine | None = None
    joints: bool = False
    apart: bool = False

    def with_keys(self, *keys: KeyHint) -> Shown:
        """The same with more keys behind."""
        return replace(self, keys=(*self.keys, *keys))


def hints(choices: tuple[Choice, ...]) -> tuple[KeyHint, ...]:
    """The keys of choices that stand in the line at the bottom; a sign that says of no act that it is done wants its
    Enter.
    """
    return tuple(
        KeyHint(choice.key if acts_alone(choice) else f"{choice.key} then Enter", choice.text)
        for choice in choices
        if choice.key in (PLUS, NONE)
    )


def of_part(part: Part, *, picture: bool = False, joints: bool = False) -> Shown:
    """One question of several; the map stays where it belongs to the question that they answer."""
    return Shown(
        part.text,
        choices=part.choices,
        field=before_field(part),
        keys=keys_of(part),
        picture=picture,
        joints=joints,
    )
