"""The JSON Schema of tools.toml, made from the very tables that read it: editors complete and check by it."""

from typing import Any

from pydantic import Field

from clampbook.handwritten import NEWEST_FORMAT
from clampbook.procedure.schema import tidied
from clampbook.procedure.sheet_values import Table
from clampbook.tools.tables import AdapterTable, ToolTable


class ToolsFile(Table):
    """A whole tools.toml."""

    format: int = Field(
        NEWEST_FORMAT, ge=1, le=NEWEST_FORMAT, description="Number of the format.", examples=[NEWEST_FORMAT]
    )
    tool: list[ToolTable] = Field([], description="The tools.")
    adapter: list[AdapterTable] = Field([], description="Adapters and torque multipliers.")


def schema() -> dict[str, Any]:
    """The schema (JSON Schema, draft 2020-12) of a whole file."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:clampbook:tools:{NEWEST_FORMAT}",
        "title": f"Clampbook tools, format {NEWEST_FORMAT}",
        **tidied(ToolsFile.model_json_schema(by_alias=True)),
    }
