"""The pages of docs/ with their tables of keys written anew: python tests/docs_anew.py."""

from __future__ import annotations

from pathlib import Path

from clampbook.help.reference import filled_in

DOCS = Path(__file__).parents[1] / "docs"


def anew() -> None:
    """Fill in what stands between the marks of each page, from the tables that read the files."""
    for page in sorted(DOCS.glob("*.md")):
        page.write_text(filled_in(page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    anew()
