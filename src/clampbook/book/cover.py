"""book.toml: which book this is, and in which format it is kept."""

from __future__ import annotations

from typing import Literal

import tomli_w
from pydantic import Field

from clampbook.handwritten import read_table
from clampbook.procedure.sheet_values import Count, Table, Text

FORMAT = 1


class Cover(Table):
    """The one table of book.toml."""

    format: Count = Field(description="Number of the format.", examples=[1])
    id: Text = Field(description="Never changed: runs name it.", examples=["k7q2m4xa"])
    name: Text = Field(description="As it is shown.", examples=["Whinchat, harbour museum"])
    paper: Literal["a4", "letter"] = Field(
        "a4", description="The paper on which reports of this book are printed.", examples=["letter"]
    )
    unit: Literal["N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm", "ozf·in", "cN·m", "kN·m"] | None = Field(
        None,
        description="The torque unit that the workshop works in. New procedures begin with it.",
        examples=["lbf·ft"],
    )


def read_cover(data: bytes, path: str) -> Cover:
    """Read what stands on the cover; `path` stands in the faults. Raises Faulty with all of them."""
    return read_table(data, path, Cover, FORMAT)


def cover(id: str, name: str, paper: str | None = None, unit: str | None = None) -> bytes:
    """The bytes of a new book's book.toml; what nobody said is left out."""
    said = {key: value for key, value in (("paper", paper), ("unit", unit)) if value is not None}
    return tomli_w.dumps({"format": FORMAT, "id": id, "name": name, **said}).encode()
