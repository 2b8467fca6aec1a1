"""Whatever happens at the bench, the report of it can be printed, at any line of its daybook."""

from __future__ import annotations

import os
import tomllib

from hypothesis import HealthCheck, settings
from hypothesis.stateful import rule
from test_model import WalkOfAnything

from clampbook.demo import samples
from clampbook.record import report
from clampbook.record.frozen import read
from clampbook.record.pages.pages import pages
from clampbook.record.record import build
from walks import bad_day, frozen, of_sheet

EXAMPLES = int(os.environ.get("CLAMPBOOK_REPORT_EXAMPLES", "20"))


class ReportOfAnything(WalkOfAnything):
    """Random procedures, walked with everything that can go wrong; printed in between and at the end."""

    @rule()
    def is_printed(self) -> None:
        files = frozen(self.bench)
        record = build(*files)
        assert pages(read(*files).plan, tomllib.loads(record.decode()), {"record.toml": record}).startswith(
            b'{"title":'
        )

    def teardown(self) -> None:
        if hasattr(self, "bench"):
            files = frozen(self.bench)
            assert report.make(*files, build(*files)).startswith(b"%PDF-")


TestReportOfAnything = ReportOfAnything.TestCase
TestReportOfAnything.settings = settings(
    max_examples=EXAMPLES, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)


def test_a_run_has_a_report_after_each_of_its_lines() -> None:
    """On hold, broken off, or over: what was written so far can be printed."""
    procedure, plan, daybook = bad_day()
    lines = daybook.splitlines(keepends=True)
    for count in range(1, len(lines) + 1):
        files = (procedure, plan, b"".join(lines[:count]))
        told = tomllib.loads(build(*files).decode())

        assert pages(read(*files).plan, told, {}).startswith(b'{"title":')


def test_every_sample_has_a_report_of_a_good_day() -> None:
    """A run as the sheet wants it, of each procedure that comes with the program."""
    for path in samples():
        bench, data = of_sheet(path)
        bench.steadily()
        files = frozen(bench, data)

        assert report.make(*files, build(*files)).startswith(b"%PDF-")
