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


class TestMultiplier:
    """A ratio instead of a lever."""

    def test_the_setting_is_the_target_over_the_ratio(self, capsys: Captured) -> None:
        """300 N·m through 5 to 1 are 60 N·m on the tool."""
        expected = "at the fastener: 300 N·m\nset the tool to: 60 N·m\n"

        assert (0, expected, "") == said(capsys, "300 N·m", "--ratio", "5")

    def test_its_uncertainty_is_told_at_the_fastener(self, capsys: Captured) -> None:
        """3 % of 300 N·m are 9 either way."""
        _, out, _ = said(capsys, "300 N·m", "--ratio", "5", "--ratio-uncertainty", "3 %")

        assert "by the ratio's uncertainty: 291.0 to 309.0 N·m\n" == out.splitlines(keepends=True)[-1]

    def test_of_the_mark_that_is_set(self, capsys: Captured) -> None:
        """90 N·m through 3.3 to 1 are 297; 3 % of it are 8.91."""
        arguments = ("--ratio", "3.3", "--ratio-uncertainty", "±3", "--resolution", "2 N·m", "--json")
        _, out, _ = said(capsys, "300 N·m", *arguments, "--between", "280 N·m", "320 N·m")

        found = json.loads(out)
        assert {"value": 90.0, "unit": "N·m"} == found["setting"]
        assert {"from": 288.09, "to": 305.91, "unit": "N·m"} == found["by_the_ratio"]

    def test_backwards(self, capsys: Captured) -> None:
        """While the tool shows 60 N·m, the fastener gets 300."""
        _, out, _ = said(capsys, "60 N·m", "--ratio", "5", "--reading", "--json")

        assert {"at_fastener": {"value": 300.0, "unit": "N·m"}} == json.loads(out)

    @pytest.mark.parametrize(
        ("arguments", "told"),
        [
            (("--ratio", "0.5"), "--ratio: “0.5” is not possible. Give 1 to 1000, torque out over torque in."),
            (("--ratio", "nan"), "--ratio: “nan” is not possible."),
            (("--ratio", "5", "--lever", "400 mm"), "A multiplier changes no lever."),
            (("--ratio", "5", "--ratio-uncertainty", "80 %"), "Give more than 0 and up to 50 %."),
            (("--ratio-uncertainty", "3 %"), "--ratio-uncertainty needs --ratio, torque out over torque in."),
            (("--lever", "400 mm"), "Give --lever and --adapter, or --ratio of a torque multiplier."),
        ],
    )
    def test_what_cannot_be(self, capsys: Captured, arguments: tuple[str, ...], told: str) -> None:
        """Said with what can be given."""
        code, out, talk = said(capsys, "60 N·m", *arguments)

        assert (2, "") == (code, out)
        assert told in talk
