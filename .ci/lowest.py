"""Print the lowest version that pyproject.toml declares of each dependency, as constraints for pip."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

PROJECT = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def main() -> None:
    """Every dependency has a lower bound, or one version: it is an error here where one has neither."""
    for each in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]):
        found = re.fullmatch(r"([A-Za-z0-9_-]+)(?:>=|==)([0-9.]+)(?:,<[0-9.]+)?", each)
        if found is None:
            raise SystemExit(f"{each}: write it as name>=LOWEST, with ,<NOT_YET where a later one is known not to do")
        print(f"{found[1]}=={found[2]}")


if __name__ == "__main__":
    main()
