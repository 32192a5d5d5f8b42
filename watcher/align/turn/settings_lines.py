"""Write what a turn test found into settings.toml, and say what was done."""

from collections.abc import Mapping

from watcher.align.session import Session
from watcher.align.turn.advice import KEYS
from watcher.settings.edit import NotWritten, write_values
from watcher.settings.faults import show_heading


def write_lines(session: Session, lines: Mapping[str, str]) -> bool:
    """Write lines under the printer's heading and keep the file as it was beside it; say so, or why not.

    Returns:
        Whether they are written.
    """
    path = session.settings.path
    table = ("printers", session.printer.name)
    backup = path.with_name(f"{path.stem}-before-{session.now:%Y-%m-%d}{path.suffix}")
    in_order = {key: lines[key] for key in KEYS if key in lines}
    try:
        kept = write_values(path, table, in_order, backup)
    except NotWritten as error:
        session.say(f"{error}", f"Nothing was changed. Write the lines under {show_heading(table)} yourself.")
        return False
    session.say(
        f"Written into {path} under {show_heading(table)}: {', '.join(in_order)}.",
        f"The file as it was before is kept as {kept.name}.",
    )
    return True
