"""`print-folder demo`: a print folder with invented art, and its sheets."""

from pathlib import Path
from typing import Annotated

import typer


def demo(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where to make it.")] = Path("print-folder-demo"),
) -> None:
    """Make a print folder with invented art, and its sheets."""
    from watcher.commands.at_work import work_once
    from watcher.demo import make_demo
    from watcher.settings.load import load_settings

    make_demo(folder)
    code = work_once(load_settings(folder / "settings.toml"))
    print(f"The art came from {folder / 'archive'}; the sheets are in {folder / 'outbox'}:")
    for order in sorted((folder / "outbox").iterdir()):
        if order.is_dir():
            print(f"  {order}")
    raise typer.Exit(code)
