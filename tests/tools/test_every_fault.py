"""Each fault that only a tools file can have has an example in tests/faults: a file that has it, and what is told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from clampbook.faults import CODES, Faulty, show
from clampbook.tools.codes import Code
from clampbook.tools.reader import read_tools

EXAMPLES = Path(__file__).parents[1] / "faults"
SLUGS = {f"{code.value}-{code.name.lower().replace('_', '-')}": code for code in Code}


@pytest.mark.parametrize("name", SLUGS)
def test_example_is_told_as_written_beside_it(name: str) -> None:
    """The faults of the example are told word for word as its page says, all with its code and a way on."""
    with pytest.raises(Faulty) as faulty:
        read_tools((EXAMPLES / name / "tools.toml").read_bytes(), "tools.toml")

    told = "".join(f"{show(fault)}\n" for fault in faulty.value.faults)
    assert (EXAMPLES / name / "expected.txt").read_text(encoding="utf-8") == told
    assert {SLUGS[name].value} == set(re.findall(r"^tools.toml:[0-9]+: (\w+): ", told, re.MULTILINE))
    assert [] == [fault.code for fault in faulty.value.faults if not fault.hint]


def test_every_code_has_an_example_and_every_example_a_code() -> None:
    """No fault of a tools file is without a reproduction."""
    assert sorted(SLUGS) == sorted(path.parent.name for path in EXAMPLES.glob("*/tools.toml"))


def test_every_code_is_explained() -> None:
    """The list of all codes has a sentence for each."""
    assert [] == [code.value for code in Code if code.value not in CODES]
