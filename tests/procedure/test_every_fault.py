"""Each error of a procedure file has an example in tests/faults: a file that has it, and what is told of it."""

from __future__ import annotations

import pytest

from clampbook.faults import CODES
from clampbook.procedure.codes import Code
from error_examples import FOLDERS, TOLD, errors, named, told

EXAMPLES = FOLDERS[0]
SLUGS = named(Code)


@pytest.mark.parametrize("name", SLUGS)
def test_example_is_told_as_written_beside_it(name: str) -> None:
    """The errors of the example are told word for word as its page says, and all of them have its code."""
    assert (EXAMPLES / name / TOLD).read_text(encoding="utf-8") == told(EXAMPLES / name)
    assert {SLUGS[name]} == {error.code for error in errors(EXAMPLES / name)}


def test_every_code_has_an_example_and_every_example_a_code() -> None:
    """No fault of a procedure file is without a reproduction, and no folder is left over from a fault long gone."""
    of_procedures = [path for path in EXAMPLES.iterdir() if path.is_dir() and not (path / "tools.toml").exists()]

    assert sorted(SLUGS) == sorted(path.name for path in of_procedures)


def test_every_code_is_explained() -> None:
    """The list of all codes has a sentence for each."""
    assert [] == [code.value for code in Code if code.value not in CODES]


def test_no_error_leaves_its_reader_without_a_way_on() -> None:
    """Every example says what to do: in its hint, or in a second sentence of a refused quantity or text."""
    without_hint = {name for name in SLUGS for error in errors(EXAMPLES / name) if not error.hint}

    assert without_hint == {"E123-unseen-sign", "E201-not-understood"}
    assert all(". " in error.text for name in without_hint for error in errors(EXAMPLES / name))
