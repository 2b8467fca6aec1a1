"""A tool and an adapter as a person writes them into tools.toml; what the texts mean is read in `entry`."""

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from clampbook.procedure.sheet_values import Amount, Count, Day, Ends, Table, Text, Texts
from clampbook.tools.lever import MOST_RATIO

Months = Annotated[int, Field(ge=1, le=120)]
Ratio = Annotated[float, Field(ge=1, le=MOST_RATIO, allow_inf_nan=False)]
Factor = Annotated[float, Field(ge=1, le=4, allow_inf_nan=False)]


class CertifiedTable(Table):
    """A point of a certificate."""

    at: Amount = Field(description="Where on its scale.", examples=["60 lbf·ft", "80 mm", "350 bar"])
    off_by: Amount = Field(
        description="What it shows too much there, with minus too little. In %, of what measures in its unit.",
        examples=["+1.2 %", "+0.001 mm", "+1 bar"],
    )
    uncertainty: Amount = Field(
        description="Expanded, at this point, in the same unit.", examples=["0.5 %", "0.003 mm", "2 bar"]
    )


class ToolTable(Table):
    """A tool of the book."""

    renamed: ClassVar[Mapping[str, str]] = {"useful": "working_range", "interval_cycles": "interval_pulls"}

    id: Text = Field(
        description="Fixed, small letters, digits and hyphens. Never used for another tool.", examples=["w2"]
    )
    name: Text = Field(description="As marked on the tool.", examples=["W2"])
    kind: Literal[
        "setting",
        "indicating",
        "angle gauge",
        "marks",
        "reference",
        "micrometer",
        "caliper",
        "dial gauge",
        "depth gauge",
        "feeler gauges",
        "pressure gauge",
    ] = Field(
        description="What it does: it tightens, shows an angle, is a reference, or measures.", examples=["setting"]
    )
    unit: Text | None = Field(None, description="The unit printed on its scale.", examples=["lbf·ft"])
    only_unit: bool = Field(
        False, description="True where its scale has no other unit, so that none is asked for.", examples=[True]
    )
    range: Ends | None = Field(
        None,
        description="Both ends of its scale.",
        examples=[["20 lbf·ft", "100 lbf·ft"], ["75 mm", "100 mm"], ["0 bar", "700 bar"], ["0°", "360°"]],
    )
    resolution: Amount | None = Field(
        None,
        description="The distance between two scale lines, or two leaves.",
        examples=["0.5 lbf·ft", "0.01 mm", "10 bar", "1°"],
    )
    working_range: Ends | None = Field(
        None,
        description="Where on its scale it works well. Left out: 20 to 100 % of its maximum.",
        examples=[["30 lbf·ft", "100 lbf·ft"]],
    )
    iso_6789: Text | None = Field(None, description="Its type and class by ISO 6789.", examples=["II A"])
    permissible_deviation: Amount | None = Field(
        None, description="Its permissible deviation, in %. Left out: that of ISO 6789.", examples=["±4 %"]
    )
    lever: Amount | None = Field(
        None, description="From the drive to the middle of the grip, for adapters.", examples=["400 mm"]
    )
    directions: Literal["both", "clockwise", "anticlockwise", "counterclockwise"] = Field(
        "both", description="The direction it works in.", examples=["clockwise"]
    )
    wound_down: bool = Field(False, description="True where it needs winding down after use.", examples=[True])
    wound_down_to: Amount | None = Field(
        None, description="What it is wound down to. Left out: its lowest scale line.", examples=["20 lbf·ft"]
    )
    reads_angle: bool = Field(False, description="True of a torque tool that shows the angle too.", examples=[True])
    gives: Literal["click", "slip", "break"] | None = Field(
        None,
        description="How a setting tool tells its torque: by a click, by slipping, or by breaking over."
        " Left out: by a click.",
        examples=["slip"],
    )
    follower_needle: bool = Field(False, description="True where a needle stays where the pull ended.", examples=[True])
    serial: Text | None = Field(None, description="Its serial number.", examples=["HM-0031"])
    calibrated_on: Day | None = Field(None, description="The day of its latest calibration.", examples=["2026-03-02"])
    calibration_due: Day | None = Field(
        None, description="The day on which its calibration is over.", examples=["2027-03-02"]
    )
    interval_months: Months | None = Field(None, description="Months between calibrations.", examples=[12])
    interval_pulls: Count | None = Field(None, description="Pulls between calibrations.", examples=[5000])
    certificate: Text | None = Field(
        None, description="The number of its certificate, and who issued it.", examples=["HM-C-0412 (invented)"]
    )
    uncertainty: Amount | None = Field(
        None,
        description="Expanded, from its certificate: in %, of what measures in its unit.",
        examples=["0.5 %", "0.003 mm", "2 bar", "1°"],
    )
    coverage: Factor | None = Field(
        None, description="The coverage factor of that uncertainty. Left out: 2.", examples=[2.0]
    )
    certified: list[CertifiedTable] = Field([], description="Points of its certificate, from the lowest up.")
    withdrawn_on: Day | None = Field(None, description="Out of service since this day.", examples=["2026-03-02"])
    withdrawn_because: Text | None = Field(None, description="Why it is out of service.", examples=["damaged"])
    note: Text | None = Field(None, description="Anything else.", examples=["For the propeller shaft."])


class AdapterTable(Table):
    """An adapter, or a torque multiplier."""

    id: Text = Field(description="Fixed, small letters, digits and hyphens, unlike any tool's.", examples=["a1"])
    name: Text = Field(description="As marked on the adapter.", examples=["A1"])
    extension: Amount | None = Field(
        None,
        description="What it adds to the lever, with minus what it takes off. Left out: asked at pick up, with is."
        " A multiplier has none.",
        examples=["60 mm"],
    )
    offset: Amount | None = Field(
        None, description="Its angle to the lever. Left out: 0, or asked at pick up, with is.", examples=["45°"]
    )
    kinds: Texts | None = Field(
        None, alias="is", description="What procedures call it, one text or several.", examples=["open end, 19 mm"]
    )
    ratio: Ratio | None = Field(None, description="Of a torque multiplier: torque out over torque in.", examples=[5.0])
    ratio_uncertainty: Amount | None = Field(
        None, description="Of its ratio: expanded (k = 2), in %.", examples=["3 %"]
    )
    max_torque: Amount | None = Field(None, description="The most that a multiplier may give.", examples=["1500 N·m"])
    max_torque_in: Amount | None = Field(None, description="The most that may go into it.", examples=["300 N·m"])
    note: Text | None = Field(None, description="Anything else.", examples=["Open end, for where no socket goes on."])
