"""Each error that only a tools file can have has an example in tests/faults: a file that has it, and what is told."""

from __future__ import annotations

import pytest

from clampbook.faults import CODES
from clampbook.tools.codes import Code
from error_examples import FOLDERS, TOLD, errors, named, told

EXAMPLES = FOLDERS[0]
SLUGS = named(Code)


@pytest.mark.parametrize("name", SLUGS)
def test_example_is_told_as_written_beside_it(name: str) -> None:
    """The errors of the example are told word for word as its page says, all with its code and a way on."""
    found = errors(EXAMPLES / name)

    assert (EXAMPLES / name / TOLD).read_text(encoding="utf-8") == told(EXAMPLES / name)
    assert {SLUGS[name]} == {error.code for error in found}
    assert [] == [error.code for error in found if not error.hint]


def test_every_code_has_an_example_and_every_example_a_code() -> None:
    """No error of a tools file is without a reproduction."""
    assert sorted(SLUGS) == sorted(path.parent.name for path in EXAMPLES.glob("*/tools.toml"))


def test_every_code_is_explained() -> None:
    """The list of all codes has a sentence for each."""
    assert [] == [code.value for code in Code if code.value not in CODES]
