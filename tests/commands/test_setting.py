"""`setting`: what to set on a tool with an adapter, without any book."""

from __future__ import annotations

import json

import pytest

from . import saying
from .saying import Captured


def said(capsys: Captured, *arguments: str) -> tuple[int, str, str]:
    """Exit status, output and talk of `setting` with these arguments."""
    return saying.said(capsys, "setting", *arguments)


def test_target_and_setting_stand_on_two_labelled_lines(capsys: Captured) -> None:
    """80 N·m over 400 mm and 50 mm are 71.1 N·m on the tool; neither number stands without its label."""
    expected = "at the fastener: 80.0 N·m\nset the tool to: 71.1 N·m\n"

    assert (0, expected, "") == said(capsys, "80 N·m", "--lever", "400 mm", "--adapter", "50 mm")


def test_one_object_for_scripts(capsys: Captured) -> None:
    """300 lbf·in with 10 in and 4 in back are 500 lbf·in."""
    _, out, _ = said(capsys, "300 lbf in", "--lever", "10 in", "--adapter", "-4 in", "--json")

    assert {"setting": {"value": 500.0, "unit": "lbf·in"}} == json.loads(out)


def test_another_unit_on_the_tool(capsys: Captured) -> None:
    """80 N·m over 400 mm and 50 mm are 52.4 lbf·ft on a tool in that unit (NIST SP 811: 1.3558179 N·m each)."""
    _, out, _ = said(capsys, "80 N·m", "--lever", "400 mm", "--adapter", "50 mm", "--unit", "ft-lb", "--json")

    found = json.loads(out)["setting"]
    assert "lbf·ft" == found["unit"]
    assert 52.449 == pytest.approx(found["value"], abs=0.001)


def test_lengths_without_a_unit_are_in_one_and_the_same(capsys: Captured) -> None:
    """Only their ratio counts: 40 lbf·ft, 12 and 4 at 45° are 32.37 lbf·ft."""
    _, out, _ = said(capsys, "40 lbf ft", "--lever", "12", "--adapter", "4", "--offset", "45", "--json")

    assert 32.37 == pytest.approx(json.loads(out)["setting"]["value"], abs=0.005)


def test_rounded_to_the_scale_within_the_window(capsys: Captured) -> None:
    """A scale in steps of 5 N·m: 70 on it are 78.75 at the fastener, which the window takes."""
    window = ("--resolution", "5 N·m", "--between", "76 N·m", "84 N·m")

    assert "set the tool to: 70 N·m\n" in said(capsys, "80 N·m", "--lever", "400 mm", "--adapter", "50 mm", *window)[1]


def test_a_reading_at_the_fastener(capsys: Captured) -> None:
    """The other way about: while the tool shows 60 lbf·in, the fastener gets 70."""
    arguments = ("60 lbf in", "--lever", "12 in", "--adapter", "2 in", "--reading", "--json")

    assert {"at_fastener": {"value": 70.0, "unit": "lbf·in"}} == json.loads(said(capsys, *arguments)[1])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("80", "--lever", "4 in", "--adapter", "1 in"), "“80” needs its unit"),
        (("80 N·m", "--lever", "400", "--adapter", "50 mm"), "--lever: “400” needs its unit"),
        (("80 N·m", "--lever", "400 mm", "--adapter", "-400 mm"), "leaves nothing of a lever of 400 mm"),
        (("0 N·m", "--lever", "400 mm", "--adapter", "50 mm"), "more than zero"),
        (("80 N·m", "--lever", "400 mm", "--adapter", "50 mm", "--unit", "mm"), "--unit:"),
        (("80 N·m", "--lever", "400 mm", "--adapter", "50 mm", "--between", "1 N·m", "2 N·m"), "needs --resolution"),
        (
            ("80 N·m", "--lever=400 mm", "--adapter=50 mm", "--resolution=5 N·m", "--between", "79.5 N·m", "80.5 N·m"),
            "too coarse for 79.5 to 80.5 N·m",
        ),
    ],
)
def test_what_cannot_be_set_is_said_in_a_sentence(capsys: Captured, arguments: tuple[str, ...], sentence: str) -> None:
    """Status 2, nothing on the output, and what is wrong."""
    status, out, talk = said(capsys, *arguments)

    assert (2, "") == (status, out)
    assert sentence in talk
