"""A procedure file as a person writes it: its tables and keys, strict, each unknown key refused.

Only the shape is said here; `reader` turns it into the values of `model`, where everything has its meaning.
"""

from collections.abc import Mapping
from typing import ClassVar, Literal

from pydantic import Field

from clampbook.procedure.sheet_stages import SequenceName, StageEntry
from clampbook.procedure.sheet_values import Amount, Band, Count, Day, Ends, Labels, Name, Spot, Table, Text

NEWEST_FORMAT = 2


class AskTable(Table):
    """A question whose answer goes into the record."""

    reworded: ClassVar[Mapping[str, str]] = {"unit": "equipment"}

    name: Name = Field(description="What is asked for.", examples=["Engine serial number"])
    answer: Literal["text", "number", "choice", "yes"] = Field(
        "text", description="What kind of answer. Of a meter (usage) it is a number where nothing else is said."
    )
    when: Literal["start", "end"] = Field("start", description="Before the work, or after it.")
    required: bool = Field(False, description="The work does not go on without it.")
    searched_as: Literal["equipment", "order", "usage"] | None = Field(
        None, alias="is", description="What records are searched by."
    )
    unit: Text | None = Field(None, description="Unit of a number.")
    between: Ends | None = Field(None, description="Limits of a number, with unit.")
    at_least: Amount | None = Field(None, description="Lower limit of a number, with unit.", examples=["0 h"])
    at_most: Amount | None = Field(None, description="Upper limit of a number, with unit.", examples=["100 h"])
    choices: list[Text] = Field([], description="What can be chosen.")

    @property
    def kind(self) -> Literal["text", "number", "choice", "yes"]:
        """The kind of answer: a number where it asks for a meter and says nothing else."""
        return "number" if self.searched_as == "usage" and "answer" not in self.model_fields_set else self.answer


class PartTable(Table):
    """A consumable or counted part."""

    name: Name = Field(description="What it is.", examples=["Head gasket"])
    record: Literal["lot", "serial number", "count", "yes"] = Field("yes", description="What is written down.")
    needed: Count | None = Field(None, description="How many are needed.")
    left_over: bool = Field(False, description="What is left over is counted at the end.")


class EdgesTable(Table):
    """The surroundings at the edges of the picture."""

    above: Text | None = Field(None, description="At the upper edge.")
    below: Text | None = Field(None, description="At the lower edge.")
    left: Text | None = Field(None, description="At the left edge.")
    right: Text | None = Field(None, description="At the right edge.")


class LayoutTable(Table):
    """One picture for the joint: rows, a circle, or coordinates."""

    rows: list[Text] | None = Field(None, description="A line a row; a dot is an empty place.")
    circle: Count | None = Field(None, description="So many positions on a circle, numbered from 1.")
    first: Literal["top", "right", "bottom", "left"] = Field("top", description="Where position 1 of a circle stands.")
    clockwise: bool = Field(True, description="Which way round a circle is numbered.")
    at: dict[Text, Spot] | None = Field(None, description="x to the right and y downwards of each position.")
    seen_from: Text | None = Field(None, description="From where one looks.")
    edges: EdgesTable | None = Field(None, description="What lies at each edge.")


class FrictionTable(Table):
    """Friction as lowest and highest."""

    thread: Band = Field(description="In the thread.", examples=[[0.1, 0.14]])
    head: Band = Field(description="Under the head.", examples=[[0.1, 0.14]])


class StrengthTable(Table):
    """The strength of a bolt that no property class stands for."""

    proof: Amount = Field(description="Proof stress.", examples=["600 MPa"])
    yield_: Amount = Field(alias="yield", description="Yield strength, or 0.2 % limit.", examples=["700 MPa"])
    tensile: Amount = Field(description="Tensile strength.", examples=["900 MPa"])
    source: Text = Field(description="Where these figures are printed.", examples=["manual, page 12"])


class GroupTable(Table):
    """Fasteners that are alike."""

    renamed: ClassVar[Mapping[str, str]] = {"cycles": "tightenings_at_most"}

    name: Name = Field(description="Its name, as stages and people use it.", examples=["Head bolts"])
    one: Name | None = Field(
        None, description="One of them; the name without its s where left out.", examples=["Head bolt"]
    )
    positions: Labels | None = Field(None, description="Left out: all of the layout, where there is one group.")
    sequence: SequenceName | None = Field(None, description="The order is worked out; listed where nothing is said.")
    order: Labels | None = Field(None, description="The order is written out, each position once.")
    reversed: bool = Field(False, description="The order backwards.")
    fits: dict[Text, Text] = Field({}, description='What fits where: { "1-4" = "M10x1.25 x 91 mm" }.')
    thread: Text | None = Field(None, description="The thread of all, such as M10x1.25.")
    property_class: Text | None = Field(None, description="Such as 10.9. With strength, the name of any other bolt.")
    strength: StrengthTable | None = Field(
        None, description="For a bolt of no class of ISO 898-1, SAE J429 or ISO 3506."
    )
    waist: Amount | None = Field(None, description="Diameter of a reduced or waisted shank.", examples=["8.5 mm"])
    head: Literal["hexagon", "socket"] = Field("hexagon", description="Which face rubs when it is turned.")
    seat: Literal["part", "washer"] = Field("part", description="What that face rubs on.")
    lubrication: Text | None = Field(None, description="What is on thread and under head.")
    friction: FrictionTable | None = Field(None, description="Friction in thread and under head.")
    nut_factor: Band | None = Field(None, description="Lowest and highest, instead of friction.")
    grip: Amount | None = Field(None, description="Clamped length.", examples=["72 mm"])
    clamped: list[Text] = Field(
        [], description="What is clamped, from the head on: thickness and material.", examples=[["72 mm aluminium"]]
    )
    into: Text | None = Field(None, description="The material of a tapped hole; left out: a nut.")
    shank: Amount | None = Field(None, description="How much of the grip is shank without thread.", examples=["50 mm"])
    target: Amount | None = Field(
        None, description="The torque that shares such as 30 % refer to.", examples=["250 N·m"]
    )
    left_hand: bool = Field(False, description="Left-hand thread.")
    fastener: Literal["new every time", "use again if measured", "use again"] = Field(
        "use again", description="Whether it may be used again."
    )
    tightenings_at_most: Count | None = Field(None, description="How many tightenings one fastener may see.")
    prepare: list[Text] = Field([], description="What is answered for before the first pull.")
    start_over: Literal["fastener", "neighbours", "group", "joint"] = Field("fastener", description="Least scope.")
    after_bad_pull: Literal["ask", "pull again", "from the beginning"] = Field(
        "ask", description="What becomes of a position after a pull that does not count."
    )
    sets: dict[Text, Labels] = Field({}, description='Positions worked through together: { "cap 1" = "1-2" }.')
    set_order: list[Text] | None = Field(None, description="The order of the sets; as written where left out.")
    neighbours: dict[Text, Labels] = Field({}, description='Where the picture says it wrongly: { "5" = "4,6" }.')
    prevailing: Literal["measure"] | None = Field(None, description="Ask for the prevailing torque of each position.")
    prevailing_rule: Literal["always", "from a third", "included"] | None = Field(
        None,
        description="Whether it is added to the target: always, from a third of the target on, or never as it is"
        " included. Rules differ, so the procedure says which.",
    )
    prevailing_least: Amount | None = Field(
        None, description="Below this a locking nut is worn, and refused.", examples=["2 N·m"]
    )
    prevailing_most: Amount | None = Field(
        None, description="Above this a thread may be damaged. Left out: the greatest target.", examples=["8 N·m"]
    )
    finish_within: Amount | None = Field(
        None, description="Time from applying to the last pull of a position.", examples=["20 min"]
    )
    recheck: Literal["allowed", "forbidden"] = Field("allowed", description="Forbidden for locker, stretch bolts.")
    adapter: Text | None = Field(
        None, description="What must stand on a torque tool for these.", examples=["open end, 19 mm"]
    )


class JointsTable(Table):
    """Several joints of one kind, done in one run."""

    one: Name | None = Field(
        None, description="One of them; left out: the names stand alone, numbers as Joint 1.", examples=["Injector"]
    )
    names: list[Name] | None = Field(None, description="A name for each; or count.", examples=[["port", "starboard"]])
    count: Count | None = Field(None, description="How many, numbered from 1; or names.", examples=[6])
    walk: Literal["one after the other", "interleaved"] = Field(
        "one after the other",
        description="All stages of a joint before the next joint, or each stage at all joints before the next stage.",
    )


class FollowUpTable(Table):
    """Work that is due after this run."""

    title: Name = Field(description="What it is.", examples=["Check again after first run"])
    after: Amount | None = Field(None, description="A time. A distance goes into or_use.", examples=["30 min"])
    or_use: Amount | None = Field(None, description="A distance or hours of use.", examples=["50 km"])
    stage: list[StageEntry] = Field([], description="What is then done; left out: a reminder only.")


class ReleaseTable(Table):
    """The release of this revision, and by whom."""

    by: Text = Field(description="A person.", examples=["Maud"])
    compared_with: Text = Field(description="The manual it was compared with.", examples=["Workshop manual, page 12"])
    on: Day = Field(description="The day.", examples=["2026-03-02"])
    look_again_by: Day | None = Field(None, description="The day by which to look again.")
    says: Text | None = Field(None, description="What was released, as a SHA-256: clampbook release writes it.")
    key: Text | None = Field(None, description="Fingerprint of the key that signed it: clampbook release writes it.")


class WithdrawalTable(Table):
    """The withdrawal of this revision: by whom, and why."""

    by: Text = Field(description="A person.", examples=["Maud"])
    on: Day = Field(description="The day.", examples=["2026-03-02"])
    because: Text = Field(description="Why nobody should work by it.", examples=["the manual has a new issue"])
    key: Text | None = Field(None, description="Fingerprint of the key that signed it: clampbook release writes it.")


class AcceptedTable(Table):
    """A query of the review that was looked at."""

    renamed: ClassVar[Mapping[str, str]] = {"doubt": "query"}

    query: Text = Field(description="Code of the query, or code and key.", examples=["W401", "W401 stage[3]"])
    because: Text = Field(description="Why it is all right.", examples=["compared with the manual"])


class Sheet(Table):
    """A whole procedure file."""

    format: int = Field(
        description=f"Number of the format: {NEWEST_FORMAT}.",
        examples=[NEWEST_FORMAT],
        json_schema_extra={"const": NEWEST_FORMAT},
    )
    title: Name = Field(description="What the procedure is for.", examples=["Cylinder head"])
    revision: Name = Field(description="Such as B.", examples=["A"])
    unit: Text = Field(description="The torque unit of the procedure.", examples=["N·m", "lbf·ft"])
    source: Text | None = Field(None, description="Where the values come from, and when they were looked up.")
    cautions: list[Text] = Field([], description="Read and answered for at the start.")
    pause_limit: Amount = Field(
        "10 min", description="A longer silence asks for zero and a look back.", examples=["10 min"]
    )
    accept: Literal["simple", "guarded"] = Field(
        "simple", description="guarded: a reading must lie inside its window by the uncertainty of its tool."
    )
    status: Literal["draft", "released", "withdrawn"] = Field("draft", description="A released file names its release.")
    repeat: list[Text] = Field([], description="Names, where the same joint is made several times.")
    release: ReleaseTable | None = Field(None, description="Belongs to a released revision.")
    withdrawal: WithdrawalTable | None = Field(None, description="Belongs to a withdrawn revision.")
    sign_off: dict[Text, Literal["required", "required, another person", "optional"]] = Field(
        {}, description="Who signs at the end."
    )
    layout: LayoutTable | None = Field(None, description="The picture of the joint.")
    joints: JointsTable | None = Field(None, description="Several such joints in one run.")
    ask: list[AskTable] = Field([], description="Questions of the start checklist or the end.")
    part: list[PartTable] = Field([], description="Consumables, lots, counts.")
    group: list[GroupTable] = Field(min_length=1, description="The fasteners.")
    stage: list[StageEntry] = Field(min_length=1, description="What is done, in order.")
    follow_up: list[FollowUpTable] = Field([], description="Work that is due later.")
    accepted: list[AcceptedTable] = Field([], description="Queries that were looked at.")
