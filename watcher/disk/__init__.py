"""Safe writing, moving and removing of files and folders.

In: paths and bytes. Out: files that are whole or not there at all, whatever is cut short and whatever other programs
have open.
"""

from watcher.disk.calls import (
    empty_folder,
    make_folder_itself,
    remove,
    remove_empty_folder,
    remove_file,
    remove_tree,
    rename,
)
from watcher.disk.in_use import FileInUse
from watcher.disk.moves import (
    identity_of,
    link_or_copy,
    move_file,
    move_folder,
    read_regular_file,
    remove_folder,
    sha256_of,
    status_of_file,
    sync_folder,
    write_atomically,
    write_durably,
)
from watcher.disk.names import (
    cut_name,
    fitting_file_name,
    fitting_order_name,
    free_name,
    is_bare_name,
    longer_name,
    unshortened_name,
)
from watcher.disk.toml_text import has_endless_key

__all__ = [
    "FileInUse",
    "cut_name",
    "empty_folder",
    "fitting_file_name",
    "fitting_order_name",
    "free_name",
    "has_endless_key",
    "identity_of",
    "is_bare_name",
    "link_or_copy",
    "longer_name",
    "make_folder_itself",
    "move_file",
    "move_folder",
    "read_regular_file",
    "remove",
    "remove_empty_folder",
    "remove_file",
    "remove_folder",
    "remove_tree",
    "rename",
    "sha256_of",
    "status_of_file",
    "sync_folder",
    "unshortened_name",
    "write_atomically",
    "write_durably",
]
