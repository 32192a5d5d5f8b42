"""Say how far the rebuilding of a lost journal is."""

import sqlite3
from pathlib import Path

from watcher.records.journal import read_journal
from watcher.records.journal_rebuild import rebuild_progress


def rebuilding_note(state: Path) -> str | None:
    """Say how much of what was made before is known again; None where all is, or where nobody can tell."""
    try:
        journal = read_journal(state)
        if journal is None:
            return None
        try:
            progress = rebuild_progress(journal)
        finally:
            journal.close()
    except (sqlite3.Error, OSError):
        return None  # what is wrong with it is said elsewhere
    if progress is None:
        return None
    return (
        f"What was made before is being read again from the archive: {progress.done:,} of {progress.of_all:,} orders."
        " New orders are taken meanwhile."
    )
