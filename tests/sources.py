"""The program's own sources, parsed: once for all tests of a file that looks through them."""

import ast
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parent.parent / "watcher"
MODULES = sorted(PACKAGE.rglob("*.py"))


@cache
def parsed(file: Path) -> ast.Module:
    """Give the syntax tree of a source file. All of them take 90 MB: who is done calls `parsed.cache_clear()`."""
    return ast.parse(file.read_text("utf-8"), str(file))
