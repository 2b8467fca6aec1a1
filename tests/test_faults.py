"""How faults and queries are told."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.faults import CODES, Fault, Faulty, Query, as_data, nearest, show

FAULT = Fault(
    path="head.toml",
    line=14,
    key="stage[2].to",
    code="E118",
    found="30",
    allowed="N·m, lbf·ft",
    text="“30” needs its unit, such as 30 N·m",
    hint="write the unit into the quotes",
)
QUERY = Query(line=3, key="group[1].target", code="W401", text="is 250 N·m meant for an M8?", found="250 N·m")


def test_an_error_is_told_in_one_frame() -> None:
    """File, line and code, then what is wrong and what to do, each a sentence, on one line."""
    assert "head.toml line 14, E118: “30” needs its unit, such as 30 N·m. Write the unit into the quotes." == show(
        FAULT
    )


def test_where_no_line_is_known_the_key_stands_in_its_place() -> None:
    """No number is better than a made-up one."""
    assert show(replace(FAULT, line=None)).startswith("head.toml, stage[2].to, E118: ")


def test_an_empty_key_and_an_empty_hint_are_left_out() -> None:
    """An error of the file as a whole has no key."""
    told = show(replace(FAULT, key="", hint="", line=None))

    assert "head.toml, E118: “30” needs its unit, such as 30 N·m." == told


def test_a_query_without_a_file_begins_with_its_line() -> None:
    """The lines of a query are those of the procedure at hand."""
    assert "line 3, W401: is 250 N·m meant for an M8?" == show(QUERY)


def test_a_query_of_a_file_is_told_like_an_error() -> None:
    """Whoever reads both finds the same things at the same places."""
    assert show(replace(QUERY, path="head.toml")).startswith("head.toml line 3, W401: ")


def test_foreign_text_in_an_error_steers_no_terminal() -> None:
    """A file name or key with an escape character is written out."""
    told = show(replace(FAULT, path="a\x1b[2J.toml", line=None, key="\u202ekey", text="x\ny", hint="\a"))

    assert "a\\u{1b}[2J.toml, \\u{202e}key, E118: x\\u{a}y. \\u{7}." == told


@given(st.text(), st.text(), st.text())
def test_an_error_is_one_line_whatever_it_quotes(path: str, text: str, hint: str) -> None:
    """No face has to take it apart, and the code is found in it."""
    told = show(replace(FAULT, path=path, text=text, hint=hint))

    assert 1 == len(told.splitlines())
    assert ", E118: " in told


def test_the_data_of_a_fault_hold_every_field() -> None:
    """Scripts get all that a person gets, and the file."""
    assert {
        "file": "head.toml",
        "line": 14,
        "key": "stage[2].to",
        "code": "E118",
        "found": "30",
        "allowed": "N·m, lbf·ft",
        "text": "“30” needs its unit, such as 30 N·m",
        "hint": "write the unit into the quotes",
    } == as_data(FAULT)


def test_the_data_of_a_query_have_the_same_keys() -> None:
    """Faults and queries are read by the same script."""
    assert as_data(FAULT).keys() == as_data(QUERY).keys()
    assert "W401" == json.loads(json.dumps(as_data(QUERY)))["code"]


def test_a_refused_input_carries_all_its_faults() -> None:
    """Nobody mends one fault only to be told the next."""
    second = replace(FAULT, line=20, code="E119")

    with pytest.raises(Faulty) as caught:
        raise Faulty([FAULT, second])

    assert (FAULT, second) == caught.value.faults
    assert f"{show(FAULT)}\n{show(second)}" == str(caught.value)


@pytest.mark.parametrize(
    ("word", "meant"),
    [("torqe", "torque"), ("Lubrication", "lubrication"), ("postions", "positions"), ("frobnicate", None), ("", None)],
)
def test_a_misspelt_word_finds_the_one_that_was_meant(word: str, meant: str | None) -> None:
    """Only a close word is offered."""
    assert meant == nearest(word, ["torque", "lubrication", "positions", "rounds"])


def test_of_no_words_none_is_near() -> None:
    """An empty list offers nothing."""
    assert nearest("torque", []) is None


@given(st.text(), st.lists(st.text()))
def test_what_is_offered_is_a_known_word(word: str, known: list[str]) -> None:
    """A suggestion is never made up."""
    assert nearest(word, known) in {None, *known}


def test_every_code_has_the_shape_of_its_family_and_one_sentence() -> None:
    """A code is the letter and number of its family and two digits; its meaning is one line like those of a fault."""
    assert [] == [code for code in CODES if not re.fullmatch("(E1|E2|D3|W4|S5)[0-9]{2}", code)]
    assert [] == [meaning for meaning in CODES.values() if not re.fullmatch(r"[a-z'].*[^.\s]", meaning)]
