"""Whatever procedure somebody writes: each of its steps has a place on the form, and no two the same."""

from __future__ import annotations

import os
from collections import Counter
from datetime import UTC, datetime
from io import BytesIO

import pypdf
from hypothesis import given, settings
from invented import procedures

from clampbook.procedure import model as m
from clampbook.record.form.blocks import Rows
from clampbook.record.paper_form import blocks, pdf
from clampbook.run.planning import plan

from ..on_the_form import rows_and_boxes, without_a_place

EXAMPLES = int(os.environ.get("CLAMPBOOK_MODEL_EXAMPLES", "150"))


@given(procedures())
@settings(max_examples=EXAMPLES, deadline=None)
def test_each_step_has_its_row_or_its_box(procedure: m.Procedure) -> None:
    """Bolt by bolt, round by round, set by set, or joint by joint."""
    of = plan(procedure, "invented")

    assert [] == without_a_place(of, rows_and_boxes(of))


@given(procedures())
@settings(max_examples=EXAMPLES, deadline=None)
def test_no_row_stands_twice_in_a_table(procedure: m.Procedure) -> None:
    """Two bolts of two joints are two rows."""
    of = plan(procedure, "invented")

    for each in blocks(of):
        if isinstance(each, Rows) and each.head[0] == "Pos.":
            names = [row[panel * len(each.head)] for row in each.rows for panel in range(each.panels)]
            assert not [name for name, often in Counter(filter(None, names)).items() if often > 1]


@given(procedures())
@settings(max_examples=max(1, EXAMPLES // 10), deadline=None)
def test_its_last_page_is_the_one_that_it_counts_to(procedure: m.Procedure) -> None:
    """The last table fills what the rest leaves free, and the joint is drawn where a page begins: both settle."""
    made = pdf(plan(procedure, "invented"), b"", made=datetime(2026, 3, 2, tzinfo=UTC))

    pages = pypdf.PdfReader(BytesIO(made)).pages
    assert f"page {len(pages)} of {len(pages)}" in pages[-1].extract_text()
