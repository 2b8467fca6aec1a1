"""A procedure file as a person writes it: its tables and keys, strict, each unknown key refused.

Only the shape is said here; `reader` turns it into the values of `model`, where everything has its meaning.
"""

from collections.abc import Mapping
from typing import ClassVar, Literal

from pydantic import Field

from clampbook.procedure.sheet_groups import GroupTable
from clampbook.procedure.sheet_stages import StageEntry
from clampbook.procedure.sheet_values import Amount, Count, Day, Ends, Name, Spot, Table, Text

NEWEST_FORMAT = 2


class AskTable(Table):
    """A question whose answer goes into the record."""

    reworded: ClassVar[Mapping[str, str]] = {"unit": "equipment"}

    name: Name = Field(description="What is asked for.", examples=["Engine serial number"])
    answer: Literal["text", "number", "choice", "yes"] = Field(
        "text",
        description="What kind of answer. Of a meter (usage) it is a number where nothing else is said.",
        examples=["choice"],
    )
    when: Literal["start", "end"] = Field(
        "start", description="Asked before the work, or at its end.", examples=["end"]
    )
    required: bool = Field(False, description="True where the work does not go on without an answer.", examples=[True])
    searched_as: Literal["equipment", "order", "usage"] | None = Field(
        None,
        alias="is",
        description="What records are found by: the equipment, the order, or a meter that counts its use.",
        examples=["equipment"],
    )
    unit: Text | None = Field(None, description="Unit of a number.", examples=["h"])
    between: Ends | None = Field(
        None,
        description="Limits of a number, both with unit.",
        examples=[["0 h", "100 h"], ["0 km", "50 km"], ["10 °C", "30 °C"], ["6 bar", "8 bar"]],
    )
    at_least: Amount | None = Field(
        None, description="Lower limit of a number, with unit.", examples=["0 h", "0 km", "10 °C", "6 bar"]
    )
    at_most: Amount | None = Field(
        None, description="Upper limit of a number, with unit.", examples=["100 h", "50 km", "30 °C", "8 bar"]
    )
    choices: list[Text] = Field(
        [], description="What can be chosen, with answer choice.", examples=[["new", "used before"]]
    )

    @property
    def kind(self) -> Literal["text", "number", "choice", "yes"]:
        """The kind of answer: a number where it asks for a meter and says nothing else."""
        return "number" if self.searched_as == "usage" and "answer" not in self.model_fields_set else self.answer


class PartTable(Table):
    """A consumable or counted part."""

    name: Name = Field(
        description="What it is. With the name of a group it counts that group's fasteners.", examples=["Head gasket"]
    )
    record: Literal["lot", "serial number", "count", "yes"] = Field(
        "yes", description="What is written down of it.", examples=["lot"]
    )
    needed: Count | None = Field(None, description="How many are needed.", examples=[10])
    left_over: bool = Field(False, description="True where what is left over is counted at the end.", examples=[True])


class EdgesTable(Table):
    """The surroundings of the joint, at the edges of the picture."""

    above: Text | None = Field(None, description="What lies at the upper edge.", examples=["inlet side"])
    below: Text | None = Field(None, description="What lies at the lower edge.", examples=["exhaust side"])
    left: Text | None = Field(None, description="What lies at the left edge.", examples=["front"])
    right: Text | None = Field(None, description="What lies at the right edge.", examples=["rear"])


class LayoutTable(Table):
    """One picture for the joint: rows, a circle, or coordinates."""

    rows: list[Text] | None = Field(
        None, description="A line for each row of the picture. A dot is an empty place.", examples=[["1 2 3", "4 . 5"]]
    )
    circle: Count | None = Field(None, description="So many positions on a circle, numbered from 1.", examples=[12])
    first: Literal["top", "right", "bottom", "left"] = Field(
        "top", description="Where position 1 of a circle stands.", examples=["right"]
    )
    clockwise: bool = Field(True, description="False where a circle is numbered the other way.", examples=[False])
    at: dict[Text, Spot] | None = Field(
        None,
        description="Each position with its x to the right and y downwards, all in one measure.",
        examples=[{"1": [0, 0], "2": [30, 0], "3": [0, 20], "4": [30, 20]}],
    )
    seen_from: Text | None = Field(None, description="From where one looks at the joint.", examples=["above"])
    edges: EdgesTable | None = Field(
        None, description="What lies at each edge of the picture.", examples=[{"above": "inlet side", "left": "front"}]
    )


class JointsTable(Table):
    """Several joints of one kind, done in one run."""

    one: Name | None = Field(
        None,
        description="What one of them is called. Left out: the names stand alone, and numbers are called Joint 1.",
        examples=["Injector"],
    )
    names: list[Name] | None = Field(
        None, description="A name for each. Instead of count.", examples=[["port", "starboard"]]
    )
    count: Count | None = Field(None, description="How many, numbered from 1. Instead of names.", examples=[6])
    walk: Literal["one after the other", "interleaved"] = Field(
        "one after the other",
        description="All stages of a joint before the next joint, or each stage at all joints before the next stage.",
        examples=["interleaved"],
    )


class FollowUpTable(Table):
    """Work that is due after this run."""

    title: Name = Field(description="What it is.", examples=["Check again after first run"])
    after: Amount | None = Field(
        None, description="The time after which it is due. A distance goes into or_use.", examples=["30 min"]
    )
    or_use: Amount | None = Field(
        None, description="The distance or the hours of use after which it is due.", examples=["50 km", "10 h"]
    )
    stage: list[StageEntry] = Field([], description="What is then done. Left out: it is a reminder only.")


class ReleaseTable(Table):
    """The release of this revision, and by whom."""

    by: Text = Field(description="Who released it.", examples=["Maud"])
    compared_with: Text = Field(description="The manual it was compared with.", examples=["Workshop manual, page 12"])
    on: Day = Field(description="The day of the release.", examples=["2026-03-02"])
    look_again_by: Day | None = Field(
        None, description="The day by which to compare it again.", examples=["2027-03-02"]
    )
    says: Text | None = Field(
        None,
        description="What was released, as a SHA-256: clampbook release writes it.",
        examples=["9f2c4e0b7a1d58c36e9f2c4e0b7a1d58c36e9f2c4e0b7a1d58c36e9f2c4e0b7a"],
    )
    key: Text | None = Field(
        None,
        description="Fingerprint of the key that signed it: clampbook release writes it.",
        examples=["SHA256:k7q2m4xa"],
    )


class WithdrawalTable(Table):
    """The withdrawal of this revision: by whom, and why."""

    by: Text = Field(description="Who withdrew it.", examples=["Maud"])
    on: Day = Field(description="The day of the withdrawal.", examples=["2026-03-02"])
    because: Text = Field(description="Why nobody should work by it.", examples=["the manual has a new issue"])
    key: Text | None = Field(
        None,
        description="Fingerprint of the key that signed it: clampbook release writes it.",
        examples=["SHA256:k7q2m4xa"],
    )


class AcceptedTable(Table):
    """A query of the review that was looked at."""

    renamed: ClassVar[Mapping[str, str]] = {"doubt": "query"}

    query: Text = Field(
        description="The code of the query, or its code and the place it is meant for.",
        examples=["W401", "W401 stage[3]"],
    )
    because: Text = Field(description="Why the procedure is right as it is.", examples=["compared with the manual"])


class Sheet(Table):
    """A whole procedure file."""

    format: int = Field(
        description=f"Number of the format: {NEWEST_FORMAT}.",
        examples=[NEWEST_FORMAT],
        json_schema_extra={"const": NEWEST_FORMAT},
    )
    title: Name = Field(description="What the procedure is for.", examples=["Cylinder head"])
    revision: Name = Field(
        description="The revision of this file. A released file that changes gets a new one.", examples=["A"]
    )
    unit: Text = Field(description="The torque unit of the manual.", examples=["N·m", "lbf·ft"])
    source: Text | None = Field(
        None,
        description="Where the values come from, and when they were looked up.",
        examples=["Workshop manual, page 12, looked up on 2026-03-02"],
    )
    cautions: list[Text] = Field(
        [], description="Read at the start, line by line.", examples=[["Engine cold, below 30 °C."]]
    )
    pause_limit: Amount = Field(
        "10 min", description="After a longer silence the walk asks for zero and a look back.", examples=["10 min"]
    )
    accept: Literal["simple", "guarded"] = Field(
        "simple",
        description="With guarded each window of a torque is narrowed by the uncertainty of the tool that reads it.",
        examples=["guarded"],
    )
    status: Literal["draft", "released", "withdrawn"] = Field(
        "draft", description="Whether it is released. clampbook release writes it.", examples=["draft"]
    )
    repeat: list[Text] = Field(
        [],
        description="Names, where the same joint is made several times, each in a run of its own.",
        examples=[["port engine", "starboard engine"]],
    )
    release: ReleaseTable | None = Field(None, description="The release of this revision. clampbook release writes it.")
    withdrawal: WithdrawalTable | None = Field(
        None, description="The withdrawal of this revision. clampbook release writes it."
    )
    sign_off: dict[Text, Literal["required", "required, another person", "optional"]] = Field(
        {},
        description="Who signs at the end: a role, and whether it is required, or may be left open.",
        examples=[{"assembler": "required", "inspector": "required, another person"}],
    )
    layout: LayoutTable | None = Field(None, description="The picture of the joint.")
    joints: JointsTable | None = Field(None, description="Several such joints in one run.")
    ask: list[AskTable] = Field([], description="Questions of the start checklist, or of the end.")
    part: list[PartTable] = Field([], description="Consumables, lots and counted parts.")
    group: list[GroupTable] = Field(min_length=1, description="The fasteners, alike in each group.")
    stage: list[StageEntry] = Field(min_length=1, description="What is done, in the order of the work.")
    follow_up: list[FollowUpTable] = Field([], description="Work that is due after this run.")
    accepted: list[AcceptedTable] = Field([], description="Queries of the review, answered.")
