"""Labels of tools: what a scanner that shares no code with them reads off the code."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
import zxingcpp
from pypdf import PdfReader

from clampbook.record.tool_labels import code, printed
from clampbook.tools.reader import read_tools

TOOLS = """
[[tool]]
id = "w7"
name = "W7"
kind = "setting"
unit = "N·m"
range = ["20 N·m", "120 N·m"]
resolution = "0.5 N·m"
serial = "HM-0009"

[[tool]]
id = "slipway-bench-tool-of-the-far-shed-2"
name = "Torque tool of the slipway, far shed"
kind = "indicating"
unit = "N·m"
range = ["10 N·m", "100 N·m"]
resolution = "0.1 N·m"
""".encode()


def scanned(text: str) -> list[str]:
    """What a scanner reads off the code of a text, each square six dots wide."""
    drawn = code(text)
    dots = np.full((drawn.size, drawn.size), 255, np.uint8)
    for row, runs in enumerate(drawn.rows):
        for begin, many in runs:
            dots[row, begin : begin + many] = 0
    return [each.text for each in zxingcpp.read_barcodes(np.kron(dots, np.ones((6, 6), np.uint8)))]


@pytest.mark.parametrize("id", ["w7", "1", "slipway-bench-tool-of-the-far-shed-2"])
def test_the_code_holds_the_id_and_nothing_else(id: str) -> None:
    """Whatever changes about a tool, its label stays right."""
    assert [id] == scanned(id)


def test_each_tool_has_a_label_with_its_name_its_scale_and_its_number() -> None:
    """For people who read it."""
    page = PdfReader(BytesIO(printed("Harbour museum", read_tools(TOOLS, "tools.toml"), "a4"))).pages[0].extract_text()

    assert [] == [
        told
        for told in ("W7", "setting tool, 20–120 N·m", "no. HM-0009", "Torque tool of the slipway, far shed")
        if told not in " ".join(page.split())
    ]


def test_nothing_on_it_will_be_wrong_soon() -> None:
    """No day of a calibration, no state."""
    due = TOOLS.replace(b'serial = "HM-0009"', b'serial = "HM-0009"\ncalibration_due = 2026-02-01')
    page = (
        PdfReader(BytesIO(printed("Harbour museum", read_tools(due, "tools.toml"), "letter"))).pages[0].extract_text()
    )

    assert "2026" not in page and "due" not in page
