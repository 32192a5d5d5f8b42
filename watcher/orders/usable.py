"""Say of a dropped file, by its name and size alone, why it cannot be used."""

from watcher.inbox.file_names import is_conflict_copy, read_extension
from watcher.inbox.formats import ART, ART_KINDS, CONTAINER, TICKET, ZIP, say_formats
from watcher.inbox.scan import SeenFile

# Our own limits, far above any honest export. A file beyond the last one is not even moved: hashing it takes minutes.
MOST_ART_BYTES = 500_000_000
MOST_ZIP_BYTES = 1_000_000_000
MOST_BYTES = 2_000_000_000

FILE_UNUSABLE = "file-unusable"  # the fault's word for machines
TAKEN = say_formats((*ART, ZIP), "or")


def why_unusable(file: SeenFile) -> str | None:
    """Say why a file can be no order's, to go on behind its name, without a full stop; None when it can."""
    extension = read_extension(file.name)
    if is_conflict_copy(file.name):
        return "is a copy that a sync program made because two versions were saved. Keep the one you mean"
    if extension not in ART_KINDS | {CONTAINER, TICKET}:
        return f"is not a kind of file that can be printed. Export {TAKEN}"
    most = MOST_ZIP_BYTES if extension == CONTAINER else MOST_ART_BYTES
    return f"{too_large(file, most)}. Export it smaller" if file.identity.size > most else None


def too_large(file: SeenFile, most: int) -> str:
    """Say how large a file is, and how large one may be, to go on behind its name."""
    return f"is {file.identity.size / 1e6:,.0f} MB; {most / 1e6:,.0f} MB is the most"
