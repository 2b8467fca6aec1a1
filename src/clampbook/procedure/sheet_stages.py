"""The stages as a person writes them: one table a kind, told apart by `do`, and the block that repeats steps."""

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal, get_args

from pydantic import Discriminator, Field, Tag

from clampbook.procedure.sheet_values import (
    Amount,
    Count,
    Ends,
    Few,
    Labels,
    Limit,
    LimitEnds,
    Limits,
    Name,
    Table,
    Text,
)

SequenceName = Literal["numbered", "listed", "cross", "spiral", "circle"]
Asked = Literal["once", "each"]
AfterFailure = Literal["as many again", "all"]


class Ordered(Table):
    """The positions that are worked on, and their order."""

    group: Text | None = Field(None, description="Name of the group; may be left out where there is one group.")
    positions: Labels | None = Field(None, description="Some of the group's positions only.")
    sequence: SequenceName | None = Field(None, description="The order is worked out.")
    order: Labels | None = Field(None, description="The order is written out, each position once.")
    reversed: bool = Field(False, description="The order backwards, as for loosening.")


class Said(Table):
    """The words told beside the work."""

    renamed: ClassVar[Mapping[str, str]] = {"sheet": "manual"}

    manual: Text | None = Field(None, description="Where it stands in the manual.")
    note: Text | None = Field(None, description="Shown with the work.")
    caution: Text | None = Field(None, description="Read and answered for before the stage.")
    trial: Literal["skip"] | None = Field(None, description="A trial assembly leaves this out.")


class Named(Said):
    """A stage that later ones can refer to."""

    id: Name | None = Field(None, description="A name by which later stages refer to this one.")


class StageTable(Ordered, Named):
    """The keys of all stages that work on positions."""


class SampledTable(StageTable):
    """The keys of stages of which an inspector may draw a sample."""

    sample: Limit | None = Field(
        None,
        description="An inspector draws some of the positions: a share of them, a number, or both.",
        examples=["10 %, at least 2", 3],
    )
    if_one_fails: AfterFailure | None = Field(
        None, description="With sample: how many more are drawn where one fails; left out: as many again."
    )


class PulledTable(StageTable):
    """The keys of the stages that a torque tool is pulled for."""

    adapter: Text | None = Field(
        None,
        description="What must stand on the torque tool; left out: as the group says.",
        examples=["open end, 19 mm"],
    )


class TightenTable(PulledTable):
    """Pull to a torque."""

    do: Literal["tighten"]
    to: Amount | None = Field(None, description="The torque, or a share of the group's target.", examples=["30 N·m"])
    within: Amount | None = Field(None, description="Allowed deviation.", examples=["±2 N·m", "+0 −3 N·m", "±5 %"])
    between: Ends | None = Field(None, description="Allowed window, both ends.", examples=[["28 N·m", "32 N·m"]])
    rounds: Few = Field(1, description="How often the whole order is worked through.")
    confirm: Literal["each", "each four", "round"] = Field("each", description="How clicks are confirmed.")
    together: Count = Field(1, description="How many positions are shown as one.")
    least_pull: Amount = Field("2 s", description="A sooner click is not believed.", examples=["2 s"])
    may_repull: bool = Field(False, description="A finished position may be pulled again, as a recheck.")
    until: Literal["stretch"] | None = Field(None, description="Tighten and measure in turn until stretched enough.")
    stretch_between: Ends | None = Field(None, description="With until: the stretch to reach.")
    minus: Text | None = Field(None, description="With until: id of the stage that measured the free length.")
    never_above: Amount | None = Field(
        None, description="With until: the torque that is never passed.", examples=["95 N·m"]
    )


class TurnTable(PulledTable):
    """Turn by an angle from where the last stage left it."""

    do: Literal["turn"]
    by: Amount = Field(description='The angle, also as a part of a turn: "1/3 turn".', examples=["90°"])
    within: Amount | None = Field(None, description="Allowed deviation.", examples=["+4° −0°"])
    between: Ends | None = Field(None, description="Allowed window, both ends.", examples=[["90°", "94°"]])
    rounds: Few = Field(1, description="Two turns of 90° are not one of 180°.")
    in_strokes: bool = Field(False, description="The turn may be split into strokes.")
    judged_by: Literal["gauge", "mark"] = Field("gauge", description="How the angle is known.")
    together: Count = Field(1, description="How many positions are shown as one.")
    final_torque: Limits | None = Field(None, description="Read after the last round.")


class AlignTable(PulledTable):
    """Turn a castle nut on to its next slot, never back, for what locks it."""

    do: Literal["align"]
    slots: Few | None = Field(None, description="How many slots it has, all alike.", examples=[6])
    slot_every: Amount | None = Field(None, description="The angle from slot to slot.", examples=["60°"])
    at_most: Amount | None = Field(None, description="The torque limit while aligning.", examples=["55 N·m"])
    lock: Text = Field(description="What locks it.", examples=["split pin", "locking wire", "tab"])


class LoosenTable(StageTable):
    """Loosen fully, or by an angle."""

    do: Literal["loosen"]
    by: Amount | None = Field(None, description='The angle, also as "1/2 turn". Left out: fully.', examples=["90°"])
    together: Count = Field(1, description="How many positions are shown as one.")


class MeasureTable(SampledTable):
    """Measure something and judge it; without a group it is a gate."""

    do: Literal["measure"]
    what: Text = Field(description="What is measured, as the person is told.", examples=["Crankshaft end play"])
    unit: Text | None = Field(
        None,
        description="The unit, where no limit says it. With count, limits are whole numbers alone.",
        examples=["mm", "count"],
    )
    between: LimitEnds | None = Field(None, description="Allowed window, both ends.", examples=[["0.10 mm", "0.25 mm"]])
    at_least: Limit | None = Field(None, description="Lower limit alone.", examples=["0.10 mm"])
    at_most: Limit | None = Field(None, description="Upper limit alone.", examples=["0.25 mm"])
    asked: Asked | None = Field(None, description="Once, or at each position; each where a group is named.")
    at: Labels | None = Field(None, description="Measuring points.", examples=[["front", "rear"]])
    spread: Limit | None = Field(None, description="The most that largest minus smallest may be.", examples=["0.05 mm"])
    all_but: Count | None = Field(None, description="How many of the points may be outside the window.")
    tensions: bool = Field(False, description="True where a tensioner puts this pressure on the stud.")
    minus: Text | None = Field(None, description="id of an earlier measure stage whose value is taken off.")
    if_outside: Literal["decide"] = Field("decide", description="A person decides.")
    adjust_from: Text | None = Field(
        None, description="id of the stage from which all is done again where it is outside.", examples=["slacken"]
    )
    adjust_at_most: Few | None = Field(None, description="With adjust_from: how often.", examples=[3])


class InspectTable(SampledTable):
    """Look and answer."""

    do: Literal["inspect"]
    ask: Text = Field(description="A question that yes or no answers.", examples=["Every mark half a turn on?"])
    expect: Literal["yes", "no"] = Field("yes", description="The answer that lets the work go on.")
    asked: Asked | None = Field(None, description="Once, or at each position; each where a group is named.")
    by: Literal["another person"] | None = Field(None, description="Makes it a hold point.")


class WaitTable(Named):
    """Let time pass."""

    do: Literal["wait"]
    lasts: Amount = Field(alias="for", description="How long.", examples=["10 min"])
    since: Text | None = Field(None, description='"last pull", or the id of an earlier stage.')


class RecheckTable(SampledTable, PulledTable):
    """See whether anything moves."""

    do: Literal["recheck"]
    at: Amount = Field(description="The torque, or a share of the group's target.", examples=["100 %"])
    method: Literal["tighten on", "back off and tighten again", "first movement"] = Field(
        description="Saved with each reading, because the number depends on it.", examples=["tighten on"]
    )
    back_off: Amount | None = Field(
        None, description="With back off: how far; left out: a quarter turn.", examples=["90°", "360°"]
    )
    still: Amount = Field(
        "no movement before it releases", description="What counts as still: these words, or an angle.", examples=["5°"]
    )
    within: Amount | None = Field(None, description="Allowed deviation; left out: as for the tightening before it.")
    between: Ends | None = Field(None, description="Allowed window; left out: as for the tightening before it.")
    until_still: bool = Field(False, description="Another round over all positions after any that moved.")
    at_most: Few | None = Field(None, description="With until_still: rounds before a person decides.")
    then: Literal["decide"] = Field("decide", description="A person decides.")
    together: Count = Field(1, description="How many positions are shown as one.")
    least_pull: Amount = Field("2 s", description="A sooner click is not believed.", examples=["2 s"])


class ApplyTable(StageTable):
    """Put sealant or locker on; starts the group's finish_within."""

    do: Literal["apply"]
    what: Text = Field(description="What is put on.", examples=["Thread locker"])
    lot: bool = Field(True, description="Its lot is written down.")
    asked: Asked = Field("each", description="Once for all, or at each position.")


class MarkTable(StageTable):
    """Mark fastener and part across after the last pull, so that one that moved is seen later."""

    do: Literal["mark"]
    paint: Text = Field(description="What the mark is made with.", examples=["yellow paint"])


StageKinds = (
    TightenTable
    | TurnTable
    | AlignTable
    | LoosenTable
    | MeasureTable
    | InspectTable
    | WaitTable
    | RecheckTable
    | ApplyTable
    | MarkTable
)
KINDS: dict[str, type[Named]] = {get_args(each.model_fields["do"].annotation)[0]: each for each in get_args(StageKinds)}
BLOCK = "for_each"
TAGS = frozenset(f"<{name}>" for name in (*KINDS, BLOCK))


def _kind(table: object) -> str | None:
    """The tag of a stage's table; its angle brackets keep tags apart from keys in the places of faults."""
    if not isinstance(table, dict):
        return None
    kind = BLOCK if BLOCK in table and "do" not in table else table.get("do")
    return f"<{kind}>" if isinstance(kind, str) and f"<{kind}>" in TAGS else None


_Tagged = (
    Annotated[TightenTable, Tag("<tighten>")]
    | Annotated[TurnTable, Tag("<turn>")]
    | Annotated[AlignTable, Tag("<align>")]
    | Annotated[LoosenTable, Tag("<loosen>")]
    | Annotated[MeasureTable, Tag("<measure>")]
    | Annotated[InspectTable, Tag("<inspect>")]
    | Annotated[WaitTable, Tag("<wait>")]
    | Annotated[RecheckTable, Tag("<recheck>")]
    | Annotated[ApplyTable, Tag("<apply>")]
    | Annotated[MarkTable, Tag("<mark>")]
)
_BY_KIND = Discriminator(_kind, custom_error_type="no_such_stage", custom_error_message="no such stage")
StepTable = Annotated[_Tagged, _BY_KIND]


class BlockTable(Ordered, Said):
    """Steps that are done one after the other at each position, or at each set, before the next one begins."""

    for_each: Literal["position", "set"] = Field(description="What the steps are repeated for.", examples=["position"])
    steps: list[StepTable] = Field(min_length=1, description="The steps, as stages without a group.")


StageEntry = Annotated[_Tagged | Annotated[BlockTable, Tag("<for_each>")], _BY_KIND]
