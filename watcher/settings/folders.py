"""`[folders]`: where things come in, go out and are kept."""

from pathlib import Path

from pydantic import ConfigDict

from watcher.settings import fields
from watcher.settings.table import Table


class FolderSettings(Table):
    """`[folders]`: where things come in, go out and are kept."""

    model_config = ConfigDict(validate_default=True)  # a default is relative to the file, as a written path is

    inbox: fields.Place = Path("inbox")
    outbox: fields.Place = Path("outbox")
    held: fields.Place = Path("held")
    archive: fields.Place = Path("archive")
    state: fields.Place = Path("state")
