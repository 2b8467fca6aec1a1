"""Frames to fill in: filled in they read, and what is not filled in is an error at its line."""

from __future__ import annotations

import re
import tomllib
from typing import get_args

import pytest

from clampbook.faults import Faulty
from clampbook.help import frames
from clampbook.procedure.reader import read
from clampbook.procedure.sheet_stages import StageKinds

FILLED = {  # by the key, what a manual might say
    "source": "manual, page 12",
    "rows": ["1 2 3 4"],
    "name": "Cover bolts",
    "to": "9 N·m",
    "within": "±1 N·m",
}
HEAD = frames.new_file("port-cover").partition("[[stage]]")[0]


def filled(text: str, more: dict[str, str] | None = None) -> str:
    """The frame with its empty keys filled in."""
    values = {key: _toml(value) for key, value in FILLED.items()} | (more or {})
    return re.sub(r'^(\w+) = (?:""|\["".*?\])', lambda key: f"{key[1]} = {values[key[1]]}", text, flags=re.MULTILINE)


def _toml(value: object) -> str:
    return str(value).replace("'", '"') if isinstance(value, list) else f'"{value}"'


def test_a_new_file_is_named_and_tells_what_is_to_be_filled_in() -> None:
    """Each empty key is an error at its own line, and nothing else is."""
    text = frames.new_file("port-cover")
    with pytest.raises(Faulty) as faulty:
        read(text.encode())
    empty = {number for number, line in enumerate(text.splitlines(), 1) if re.search(r'^\w+ = (""|\[""\])', line)}

    assert "Port cover" == tomllib.loads(text)["title"]
    assert empty == {fault.line for fault in faulty.value.faults}


def test_a_new_file_reads_once_it_is_filled_in() -> None:
    """With four bolts and one stage."""
    procedure = read(filled(frames.new_file("port-cover")).encode())

    assert ("Port cover", 1) == (procedure.title, len(procedure.stages))
    assert ("1", "2", "3", "4") == procedure.groups[0].positions


@pytest.mark.parametrize(
    ("kind", "needs"),
    [
        ("tighten", {}),
        ("turn", {"by": '"90°"'}),
        ("align", {"lock": '"split pin"'}),
        ("loosen", {}),
        ("measure", {"what": '"Gap"', "between": '["1.0 mm", "1.4 mm"]'}),
        ("inspect", {"ask": '"Is each at its mark?"'}),
        ("wait", {"for": '"10 min"'}),
        ("recheck", {"at": '"9 N·m"', "method": '"tighten on"'}),
        ("apply", {"what": '"Thread locker"'}),
        ("mark", {"paint": '"yellow paint"'}),
    ],
)
def test_the_frame_of_a_stage_reads_once_it_is_filled_in(kind: str, needs: dict[str, str]) -> None:
    """Behind a tightening, for those that follow one."""
    before = filled(HEAD + frames.frame("stage.tighten"))
    further = {"align": "slots = 6\n", "turn": 'within = "+4° −0°"\n'}  # one of several keys, as the manual has it
    text = filled(frames.frame(f"stage.{kind}"), needs) + further.get(kind, "")
    procedure = read(f"{before}\n{text}".encode())

    assert 2 == len(procedure.stages)
    assert kind == procedure.stages[1].__struct_config__.tag


def test_every_kind_of_stage_has_a_frame() -> None:
    """None is left out."""
    kinds = {get_args(each.model_fields["do"].annotation)[0] for each in get_args(StageKinds)}

    assert kinds == set(frames.STAGES)


def test_a_frame_says_beside_a_key_what_belongs_there() -> None:
    """In the words of the table that reads it, with the words that are allowed."""
    assert 'method = ""' in frames.frame("stage.recheck")
    assert "One of: tighten on, back off and tighten again, first movement." in frames.frame("stage.recheck")
    assert 'Such as "30 N·m".' in frames.frame("stage.tighten")
