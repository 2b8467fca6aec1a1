"""The groups as a person writes them: fasteners that are alike, their order, friction and strength."""

from collections.abc import Mapping
from typing import ClassVar, Literal

from pydantic import Field

from clampbook.procedure.sheet_shared import SequenceName
from clampbook.procedure.sheet_values import Amount, Band, Count, Labels, Name, Table, Text


class FrictionTable(Table):
    """Friction as lowest and highest."""

    thread: Band = Field(description="In the thread, lowest and highest.", examples=[[0.1, 0.14]])
    head: Band = Field(description="Under the head, lowest and highest.", examples=[[0.1, 0.14]])


class StrengthTable(Table):
    """The strength of a bolt that no property class stands for."""

    proof: Amount = Field(description="Its proof stress.", examples=["600 MPa"])
    yield_: Amount = Field(alias="yield", description="Its yield strength, or 0.2 % limit.", examples=["700 MPa"])
    tensile: Amount = Field(description="Its tensile strength.", examples=["900 MPa"])
    source: Text = Field(description="Where these figures are printed.", examples=["manual, page 12"])


class GroupTable(Table):
    """Fasteners that are alike."""

    renamed: ClassVar[Mapping[str, str]] = {"cycles": "tightenings_at_most"}

    name: Name = Field(description="Its name, as stages and people use it.", examples=["Head bolts"])
    one: Name | None = Field(
        None, description="The name of one of them. Left out: the name without its s.", examples=["Head bolt"]
    )
    positions: Labels | None = Field(
        None, description="Its positions. Left out: all of the layout, where there is one group.", examples=["1-10"]
    )
    sequence: SequenceName | None = Field(
        None,
        description="The order, worked out from the picture. Left out: as the positions are listed.",
        examples=["cross"],
    )
    order: Labels | None = Field(
        None, description="The order written out, each position once. Instead of sequence.", examples=["3, 4, 2, 1"]
    )
    reversed: bool = Field(False, description="True for the order backwards.", examples=[True])
    fits: dict[Text, Text] = Field(
        {}, description="What belongs at which position, where that differs.", examples=[{"1-4": "M10x1.25 x 91 mm"}]
    )
    thread: Text | None = Field(None, description="The thread of all of them.", examples=["M10x1.25"])
    property_class: Text | None = Field(
        None,
        description="Its class of ISO 898-1, SAE J429 or ISO 3506. With strength, the name of any other bolt.",
        examples=["10.9"],
    )
    strength: StrengthTable | None = Field(
        None,
        description="The strength of a bolt of none of these classes, and where it is printed.",
        examples=[{"proof": "600 MPa", "yield": "700 MPa", "tensile": "900 MPa", "source": "manual, page 12"}],
    )
    waist: Amount | None = Field(None, description="The diameter of a reduced or waisted shank.", examples=["8.5 mm"])
    head: Literal["hexagon", "socket"] = Field(
        "hexagon", description="Which head it has, so which face rubs when it is turned.", examples=["socket"]
    )
    seat: Literal["part", "washer"] = Field("part", description="What that face rubs on.", examples=["washer"])
    lubrication: Text | None = Field(
        None, description="What is on thread and under head.", examples=["engine oil on thread and under head"]
    )
    friction: FrictionTable | None = Field(
        None,
        description="Friction in the thread and under the head, each lowest and highest.",
        examples=[{"thread": [0.1, 0.14], "head": [0.1, 0.14]}],
    )
    nut_factor: Band | None = Field(
        None, description="The nut factor, lowest and highest. Instead of friction.", examples=[[0.16, 0.22]]
    )
    grip: Amount | None = Field(None, description="The clamped length.", examples=["72 mm"])
    clamped: list[Text] = Field(
        [],
        description="What is clamped, from the head on, each with thickness and material.",
        examples=[["72 mm aluminium"]],
    )
    into: Text | None = Field(
        None, description="The material of a tapped hole. Left out: a nut.", examples=["cast iron"]
    )
    shank: Amount | None = Field(None, description="How much of the grip is shank without thread.", examples=["50 mm"])
    target: Amount | None = Field(
        None, description="The torque that shares such as 30 % refer to.", examples=["250 N·m"]
    )
    left_hand: bool = Field(False, description="True of a left-hand thread.", examples=[True])
    fastener: Literal["new every time", "use again if measured", "use again"] = Field(
        "use again", description="Whether it may be used again.", examples=["new every time"]
    )
    tightenings_at_most: Count | None = Field(
        None, description="How many tightenings one fastener may see.", examples=[5]
    )
    prepare: list[Text] = Field(
        [],
        description="What is answered for before the first pull, line by line.",
        examples=[["Holes dry and clean: no liquid below the bolt."]],
    )
    start_over: Literal["fastener", "neighbours", "group", "joint"] = Field(
        "fastener",
        description="How much is loosened at the least where one has to start over.",
        examples=["neighbours"],
    )
    after_bad_pull: Literal["ask", "pull again", "from the beginning"] = Field(
        "ask", description="What happens at a position after a pull that does not count.", examples=["pull again"]
    )
    sets: dict[Text, Labels] = Field(
        {},
        description="Positions worked through together, each set with its name.",
        examples=[{"cap 1": "1-2", "cap 2": "3-4"}],
    )
    set_order: list[Text] | None = Field(
        None, description="The order of the sets. Left out: as they are written.", examples=[["cap 2", "cap 1"]]
    )
    neighbours: dict[Text, Labels] = Field(
        {}, description="The neighbours of a position, where the picture says it wrongly.", examples=[{"1": "2,3"}]
    )
    prevailing: Literal["measure"] | None = Field(
        None, description="Asks for the prevailing torque of each locking nut, before it seats.", examples=["measure"]
    )
    prevailing_rule: Literal["always", "from a third", "included"] | None = Field(
        None,
        description="Whether it is added to the target: always, from a third of the target on, or never as it is"
        " included. Rules differ, so the procedure says which.",
        examples=["always"],
    )
    prevailing_least: Amount | None = Field(
        None, description="Below this a locking nut is worn, and refused.", examples=["2 N·m"]
    )
    prevailing_most: Amount | None = Field(
        None, description="Above this a thread may be damaged. Left out: the greatest target.", examples=["8 N·m"]
    )
    finish_within: Amount | None = Field(
        None, description="The time from applying to the last pull of a position.", examples=["20 min"]
    )
    recheck: Literal["allowed", "forbidden"] = Field(
        "allowed",
        description="Whether it may be rechecked. Forbidden with thread locker and for bolts beyond yield.",
        examples=["forbidden"],
    )
    adapter: Text | None = Field(
        None,
        description="What must stand on a torque tool for these, where no socket goes on.",
        examples=["open end, 19 mm"],
    )
