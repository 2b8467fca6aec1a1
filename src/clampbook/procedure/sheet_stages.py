"""The stages as a person writes them: one table a kind, told apart by `do`, and the block that repeats steps."""

from typing import Annotated, Literal, get_args

from pydantic import Discriminator, Field, Tag

from clampbook.procedure.sheet_shared import Named, Ordered, PulledTable, Said, SampledTable, StageTable
from clampbook.procedure.sheet_values import (
    Amount,
    Count,
    Ends,
    Few,
    Labels,
    Limit,
    LimitEnds,
    Limits,
    Text,
)

Asked = Literal["once", "each"]


class TightenTable(PulledTable):
    """Pull to a torque."""

    do: Literal["tighten"]
    to: Amount | None = Field(
        None, description="The torque, or a share of the group's target.", examples=["30 N·m", "60 %"]
    )
    within: Amount | None = Field(
        None, description="How far from it a reading may be.", examples=["±2 N·m", "+0 −3 N·m", "±5 %"]
    )
    between: Ends | None = Field(
        None, description="The window, both ends allowed. Instead of within.", examples=[["28 N·m", "32 N·m"]]
    )
    rounds: Few = Field(1, description="How often the whole order is worked through.", examples=[2])
    confirm: Literal["each", "each four", "round"] = Field(
        "each",
        description="How clicks are confirmed: one by one, four at a time, or the whole round at once.",
        examples=["each four"],
    )
    together: Count = Field(
        1, description="How many positions are pulled one after the other on one answer.", examples=[4]
    )
    least_pull: Amount = Field(
        "2 s", description="How long a slow pull takes. A sooner click is not believed.", examples=["2 s"]
    )
    may_repull: bool = Field(
        False, description="True where a finished position may be pulled again, as a recheck.", examples=[True]
    )
    until: Literal["stretch"] | None = Field(
        None, description="Tighten and measure in turn until it is stretched enough.", examples=["stretch"]
    )
    stretch_between: Ends | None = Field(
        None, description="With until: the stretch to reach.", examples=[["0.10 mm", "0.15 mm"]]
    )
    minus: Text | None = Field(
        None, description="With until: the id of the stage that measured the free length.", examples=["free length"]
    )
    never_above: Amount | None = Field(
        None, description="With until: the torque that is never passed.", examples=["95 N·m"]
    )


class TurnTable(PulledTable):
    """Turn by an angle from where the last stage left it."""

    do: Literal["turn"]
    by: Amount = Field(description="The angle, also as a part of a turn.", examples=["90°", "1/3 turn"])
    within: Amount | None = Field(None, description="How far from it the angle may be.", examples=["+4° −0°"])
    between: Ends | None = Field(
        None, description="The window of the angle, both ends allowed. Instead of within.", examples=[["90°", "94°"]]
    )
    rounds: Few = Field(
        1, description="How often all are turned by it. Two turns of 90° are not one of 180°.", examples=[2]
    )
    in_strokes: bool = Field(False, description="True where the turn may be split into strokes.", examples=[True])
    judged_by: Literal["gauge", "mark"] = Field(
        "gauge", description="How the angle is known: a gauge shows it, or a mark lines up.", examples=["mark"]
    )
    together: Count = Field(
        1, description="How many positions are turned one after the other on one answer.", examples=[4]
    )
    final_torque: Limits | None = Field(
        None,
        description="The torque that is read after the last round, as two ends or one.",
        examples=[["55 N·m", "95 N·m"], "at least 55 N·m"],
    )


class AlignTable(PulledTable):
    """Turn a castle nut on to its next slot, never back, for what locks it."""

    do: Literal["align"]
    slots: Few | None = Field(None, description="How many slots it has, all alike.", examples=[6])
    slot_every: Amount | None = Field(
        None, description="The angle from slot to slot. Instead of slots.", examples=["60°"]
    )
    at_most: Amount | None = Field(
        None, description="The torque that is never passed while turning on.", examples=["55 N·m"]
    )
    lock: Text = Field(description="What locks it.", examples=["split pin", "locking wire", "tab"])


class LoosenTable(StageTable):
    """Loosen fully, or by an angle."""

    do: Literal["loosen"]
    by: Amount | None = Field(
        None, description="The angle, also as a part of a turn. Left out: fully.", examples=["90°", "1/2 turn"]
    )
    together: Count = Field(1, description="How many positions are loosened on one answer.", examples=[4])


class MeasureTable(SampledTable):
    """Measure something and judge it. Without a group it is a gate."""

    do: Literal["measure"]
    what: Text = Field(description="What is measured, as the person is told.", examples=["Crankshaft end play"])
    unit: Text | None = Field(
        None,
        description="The unit, where no limit says it. With count, limits are whole numbers alone.",
        examples=["mm", "count"],
    )
    between: LimitEnds | None = Field(
        None,
        description="The window, both ends allowed.",
        examples=[["0.10 mm", "0.25 mm"], ["80 bar", "90 bar"], ["2°", "6°"], ["18 kN", "22 kN"]],
    )
    at_least: Limit | None = Field(
        None, description="The lower limit alone.", examples=["0.10 mm", "80 bar", "2°", "18 kN", 2]
    )
    at_most: Limit | None = Field(
        None, description="The upper limit alone.", examples=["0.25 mm", "90 bar", "6°", "22 kN", 5]
    )
    asked: Asked | None = Field(
        None, description="Once, or at each position. Left out: at each where a group is named.", examples=["once"]
    )
    at: Labels | None = Field(None, description="Points at which it is measured.", examples=[["front", "rear"]])
    spread: Limit | None = Field(
        None,
        description="The most that the largest minus the smallest of the points may be.",
        examples=["0.05 mm", "5 bar", "2°", "1 kN"],
    )
    all_but: Count | None = Field(None, description="How many of the points may be outside the window.", examples=[1])
    tensions: bool = Field(
        False, description="True where the hydraulic tensioner puts this pressure on the stud.", examples=[True]
    )
    minus: Text | None = Field(
        None, description="The id of an earlier measure stage whose value is taken off.", examples=["free length"]
    )
    if_outside: Literal["decide"] = Field(
        "decide", description="What happens to a value outside its window: a person decides.", examples=["decide"]
    )
    adjust_from: Text | None = Field(
        None, description="The id of the stage from which all is done again where it is outside.", examples=["slacken"]
    )
    adjust_at_most: Few | None = Field(None, description="With adjust_from: how often at the most.", examples=[3])


class InspectTable(SampledTable):
    """Look and answer."""

    do: Literal["inspect"]
    ask: Text = Field(description="A question that yes or no answers.", examples=["Every mark half a turn on?"])
    expect: Literal["yes", "no"] = Field("yes", description="The answer that lets the work go on.", examples=["no"])
    asked: Asked | None = Field(
        None, description="Once, or at each position. Left out: at each where a group is named.", examples=["once"]
    )
    by: Literal["another person"] | None = Field(
        None, description="Makes it a hold point: another person looks and answers.", examples=["another person"]
    )


class WaitTable(Named):
    """Let time pass."""

    do: Literal["wait"]
    lasts: Amount = Field(alias="for", description="How long.", examples=["10 min"])
    since: Text | None = Field(
        None,
        description="What it counts from: last pull, or the id of an earlier stage. Left out: it is started by a key.",
        examples=["last pull"],
    )


class RecheckTable(SampledTable, PulledTable):
    """See whether anything moves."""

    do: Literal["recheck"]
    at: Amount = Field(description="The torque, or a share of the group's target.", examples=["100 %", "30 N·m"])
    method: Literal["tighten on", "back off and tighten again", "first movement"] = Field(
        description="How it is done. Saved with each reading, because the number depends on it.",
        examples=["tighten on"],
    )
    back_off: Amount | None = Field(
        None,
        description="With back off and tighten again: how far. Left out: a quarter turn.",
        examples=["90°", "360°"],
    )
    still: Amount = Field(
        "no movement before it releases", description="What counts as still: these words, or an angle.", examples=["5°"]
    )
    within: Amount | None = Field(
        None,
        description="How far from it a reading may be. Left out: as for the tightening before it.",
        examples=["±2 N·m"],
    )
    between: Ends | None = Field(
        None,
        description="The window, both ends allowed. Left out: as for the tightening before it.",
        examples=[["28 N·m", "32 N·m"]],
    )
    until_still: bool = Field(
        False, description="True for another round over all positions after any that moved.", examples=[True]
    )
    at_most: Few | None = Field(
        None, description="With until_still: how many rounds before a person decides.", examples=[3]
    )
    then: Literal["decide"] = Field(
        "decide", description="What happens after these rounds: a person decides.", examples=["decide"]
    )
    together: Count = Field(
        1, description="How many positions are pulled one after the other on one answer.", examples=[4]
    )
    least_pull: Amount = Field(
        "2 s", description="How long a slow pull takes. A sooner click is not believed.", examples=["2 s"]
    )


class ApplyTable(StageTable):
    """Put sealant or locker on. The group's finish_within begins."""

    do: Literal["apply"]
    what: Text = Field(description="What is put on.", examples=["Thread locker"])
    lot: bool = Field(True, description="False where its lot is not written down.", examples=[False])
    asked: Asked = Field("each", description="Once for all, or at each position.", examples=["once"])


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

    for_each: Literal["position", "set"] = Field(
        description="What the steps are repeated for: each position, or each set of the group.", examples=["position"]
    )
    steps: list[StepTable] = Field(
        min_length=1,
        description="The steps, as stages without a group.",
        examples=[
            [{"do": "tighten", "to": "10 N·m", "within": "±1 N·m"}, {"do": "turn", "by": "45°", "within": "+4° −0°"}]
        ],
    )


StageEntry = Annotated[_Tagged | Annotated[BlockTable, Tag("<for_each>")], _BY_KIND]
