"""The questions of the topic about many workshops, by their headings: its text is the one place where they stand."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from clampbook.help.topics import topic_named

TABLES = "Tables"
_ASKED = re.compile(r"^### ([^\n]+)\n(?:(?!^#).)*?^```sql\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_FILES = re.compile(r"read_parquet\('([^']+)'")


@cache
def _blocks() -> Mapping[str, str]:
    topic = topic_named("fleet")
    return {} if topic is None else {found[1]: found[2] for found in _ASKED.finditer(topic.text)}


def questions() -> Mapping[str, str]:
    """Each question as the engine is asked it, by its heading; the tables have to be known before."""
    return {heading: sql for heading, sql in _blocks().items() if heading != TABLES}


def tables_of(dataset: Path) -> str:
    """The lines that make the tables of a dataset known to the engine, wherever it runs."""
    folder = str(dataset).replace("'", "''")
    return _FILES.sub(lambda found: f"read_parquet('{folder}/{found[1]}'", _blocks()[TABLES])
