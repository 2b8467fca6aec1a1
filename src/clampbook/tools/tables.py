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
    """A point of a certificate as a person writes it."""

    at: Amount = Field(description="Where on its scale.")
    off_by: Amount = Field(description="Minus shows too little. In %, of what measures in its unit.")
    uncertainty: Amount = Field(description="Expanded, at this point, in the same unit.")


class ToolTable(Table):
    """A tool as a person writes it."""

    renamed: ClassVar[Mapping[str, str]] = {"useful": "working_range", "interval_cycles": "interval_pulls"}

    id: Text = Field(description="Fixed, small letters, digits and hyphens.")
    name: Text = Field(description="As marked on the tool.")
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
    ] = Field(description="What it does: tightens, shows an angle, is a reference, or measures.")
    unit: Text | None = Field(None, description="The unit printed on its scale.")
    only_unit: bool = Field(False, description="Its scale has no other unit, so none is asked for.")
    range: Ends | None = Field(None, description="Both ends of its scale.")
    resolution: Amount | None = Field(None, description="The distance between two scale lines, or two leaves.")
    working_range: Ends | None = Field(None, description="Blank is 20 to 100 % of maximum.")
    iso_6789: Text | None = Field(None, description='Such as "II A".')
    permissible_deviation: Amount | None = Field(None, description="Blank is ISO 6789's, in %.")
    lever: Amount | None = Field(None, description="Drive to middle of grip, for adapters.")
    directions: Literal["both", "clockwise", "anticlockwise", "counterclockwise"] = Field(
        "both", description="The direction it works in."
    )
    wound_down: bool = Field(False, description="It needs winding down after use.")
    wound_down_to: Amount | None = Field(None, description="Blank is the lowest scale line.")
    reads_angle: bool = Field(False, description="A torque tool that shows angle too.")
    gives: Literal["click", "slip", "break"] | None = Field(
        None,
        description="How a setting tool tells its torque: by a click where left out, by slipping, by breaking over.",
    )
    follower_needle: bool = Field(False, description="A needle that stays where the pull ended.")
    serial: Text | None = None
    calibrated_on: Day | None = None
    calibration_due: Day | None = None
    interval_months: Months | None = Field(None, description="Months between calibrations.")
    interval_pulls: Count | None = Field(None, description="Pulls between calibrations.")
    certificate: Text | None = Field(None, description="Its number and who issued it.")
    uncertainty: Amount | None = Field(
        None, description="Expanded, from its certificate: in %, of what measures in its unit."
    )
    coverage: Factor | None = Field(None, description="Blank is 2.")
    certified: list[CertifiedTable] = Field([], description="Points of its certificate, each [[tool.certified]].")
    withdrawn_on: Day | None = Field(None, description="Out of service since this day.")
    withdrawn_because: Text | None = None
    note: Text | None = None


class AdapterTable(Table):
    """An adapter as a person writes it."""

    id: Text = Field(description="Fixed, small letters, digits and hyphens, unlike any tool's.")
    name: Text = Field(description="As marked on the adapter.")
    extension: Amount | None = Field(
        None, description="Minus shortens. Blank is asked at pick up, with is. A multiplier has none."
    )
    offset: Amount | None = Field(None, description='Such as "45°". Blank is 0, or asked at pick up, with is.')
    kinds: Texts | None = Field(
        None, alias="is", description="What procedures call it, one text or several.", examples=["open end, 19 mm"]
    )
    ratio: Ratio | None = Field(None, description="Of a torque multiplier: torque out over torque in.")
    ratio_uncertainty: Amount | None = Field(None, description="Of its ratio: expanded (k = 2), in %.")
    max_torque: Amount | None = Field(None, description="The most that a multiplier may give.")
    max_torque_in: Amount | None = Field(None, description="The most that may go into it.")
    note: Text | None = None
