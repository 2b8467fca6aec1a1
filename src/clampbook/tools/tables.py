"""A tool and an adapter as a person writes them into tools.toml; what the texts mean is read in `entry`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from clampbook.procedure.sheet_values import Amount, Count, Day, Ends, Table, Text

Months = Annotated[int, Field(ge=1, le=120)]
Factor = Annotated[float, Field(ge=1, le=4, allow_inf_nan=False)]


class ToolTable(Table):
    """A tool as a person writes it."""

    id: Text = Field(description="Its own for ever: lower-case letters, digits, hyphens.")
    name: Text = Field(description="What stands on it.")
    kind: Literal["setting", "indicating", "angle gauge", "marks", "reference"]
    unit: Text | None = Field(None, description="The unit printed on its scale.")
    only_unit: bool = Field(False, description="Whether its scale has no other unit; then none is asked for.")
    range: Ends | None = Field(None, description="Where its scale begins and ends.")
    resolution: Amount | None = Field(None, description="How fine its scale is.")
    useful: Ends | None = Field(None, description="The part of the scale that is used; 20 to 100 % of the maximum.")
    iso_6789: Text | None = Field(None, description='Type and class of ISO 6789, such as "II A".')
    permissible_deviation: Amount | None = Field(None, description="Either way, in %; by ISO 6789 where left out.")
    lever: Amount | None = Field(None, description="From the drive to the middle of the grip, for adapters.")
    directions: Literal["both", "clockwise", "anticlockwise", "counterclockwise"] = Field(
        "both", description="Which way it works."
    )
    wound_down: bool = Field(False, description="Whether it is wound down after use.")
    wound_down_to: Amount | None = Field(None, description="How far; the lowest mark where left out.")
    reads_angle: bool = Field(False, description="A torque tool that shows angles too.")
    follower_needle: bool = Field(False, description="A needle that stays where the pull ended.")
    serial: Text | None = None
    calibrated_on: Day | None = None
    calibration_due: Day | None = None
    interval_months: Months | None = Field(None, description="Calibrated again after so many months.")
    interval_cycles: Count | None = Field(None, description="Calibrated again after so many pulls.")
    certificate: Text | None = Field(None, description="Which certificate, by whom.")
    uncertainty: Amount | None = Field(None, description="Expanded uncertainty of its certificate, in %.")
    coverage: Factor | None = Field(None, description="Coverage factor k of that, 2 where left out.")
    withdrawn_on: Day | None = Field(None, description="Not to be used since this day.")
    withdrawn_because: Text | None = None
    note: Text | None = None


class AdapterTable(Table):
    """An adapter as a person writes it."""

    id: Text = Field(description="Its own for ever, among tools and adapters: lower-case letters, digits, hyphens.")
    name: Text = Field(description="What stands on it.")
    extension: Amount = Field(description="What it adds to the lever; below zero where it shortens it.")
    offset: Amount | None = Field(None, description='Its angle to the lever, such as "45°"; 0 where left out.')
    note: Text | None = None
