"""The keys that stages share, each said once: positions and their order, words beside the work, samples, adapters."""

from collections.abc import Mapping
from typing import ClassVar, Literal

from pydantic import Field

from clampbook.procedure.sheet_values import Labels, Limit, Name, Table, Text

SequenceName = Literal["numbered", "listed", "cross", "spiral", "circle"]
AfterFailure = Literal["as many again", "all"]


class Ordered(Table):
    """The positions that are worked on, and their order."""

    group: Text | None = Field(
        None, description="The name of the group. Left out: the only one, where there is one.", examples=["Head bolts"]
    )
    positions: Labels | None = Field(None, description="Some positions of the group only.", examples=["1-4"])
    sequence: SequenceName | None = Field(
        None, description="The order, worked out from the picture. Left out: the group's.", examples=["circle"]
    )
    order: Labels | None = Field(
        None, description="The order written out, each position once. Instead of sequence.", examples=["3, 4, 2, 1"]
    )
    reversed: bool = Field(False, description="True for the order backwards, as for loosening.", examples=[True])


class Said(Table):
    """The words told beside the work."""

    renamed: ClassVar[Mapping[str, str]] = {"sheet": "manual"}

    manual: Text | None = Field(None, description="Where it stands in the manual.", examples=["step 4"])
    note: Text | None = Field(None, description="Shown with the work.", examples=["Snug only: the angle comes later."])
    caution: Text | None = Field(None, description="Read before the stage begins.", examples=["Mark every head first."])
    trial: Literal["skip"] | None = Field(None, description="A trial assembly leaves this out.", examples=["skip"])


class Named(Said):
    """A stage that later ones can refer to."""

    id: Name | None = Field(None, description="A name by which other stages refer to this one.", examples=["slacken"])


class StageTable(Ordered, Named):
    """The keys of all stages that work on positions."""


class SampledTable(StageTable):
    """The keys of stages of which an inspector may draw a sample."""

    sample: Limit | None = Field(
        None,
        description="An inspector draws some of the positions: a share of them, a number, or both.",
        examples=["10 %, at least 2", "10 %", 3],
    )
    if_one_fails: AfterFailure | None = Field(
        None,
        description="With sample: how many more are drawn where one fails. Left out: as many again.",
        examples=["all"],
    )


class PulledTable(StageTable):
    """The keys of the stages that a torque tool is pulled for."""

    adapter: Text | None = Field(
        None,
        description="What must stand on the torque tool. Left out: as the group says.",
        examples=["open end, 19 mm"],
    )
