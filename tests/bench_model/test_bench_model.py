"""The program walked from outside: nothing that it orders or writes down contradicts what was done at the bench."""

import ast
from pathlib import Path

HERE = Path(__file__).parent


class TestIndependence:
    def test_the_model_imports_nothing_of_the_program(self) -> None:
        """What agrees with the program here agrees without having asked it."""
        for module in HERE.glob("*.py"):
            for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
                names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
                assert not [name for name in names if name.split(".")[0] == "clampbook"], module.name
