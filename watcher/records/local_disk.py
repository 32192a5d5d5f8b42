"""Tell whether a folder is on a network share, where no journal may lie.

SQLite's write-ahead log needs shared memory between processes of one host and does not work over a network file system
(sqlite.org/wal.html, "WAL does not work over a network filesystem"; sqlite.org/useovernet.html).
"""

import os
import sys
from pathlib import Path

# Linux only; elsewhere nothing is known and nothing is refused
MOUNTS = Path("/proc/self/mountinfo" if sys.platform == "linux" else os.devnull)

_NETWORK = {
    *("nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "ceph", "glusterfs", "davfs", "lustre", "vboxsf"),
    *("fuse.sshfs", "fuse.rclone", "fuse.davfs2", "fuse.s3fs", "fuse.gvfsd-fuse", "fuse.glusterfs", "fuse.ceph-fuse"),
}


def network_kind(folder: Path, mounts: Path = MOUNTS) -> str | None:
    """The kind of network file system a folder lies on, or None for a local disk or when that cannot be told.

    Source of the line format: proc(5), /proc/pid/mountinfo (field 5 is the mount point, the type follows " - ").
    """
    try:
        lines = mounts.read_text("utf-8", "surrogateescape").splitlines()
    except OSError:
        return None
    wanted = os.path.realpath(folder)
    best, kind = "", None
    for line in lines:
        before, found, after = line.partition(" - ")
        fields = before.split()
        if not found or len(fields) < 5:
            continue
        point = fields[4].encode("utf-8", "surrogateescape").decode("unicode_escape")
        # >=: of two mounts over the same place the later one is in force
        if len(point) >= len(best) and (wanted == point or wanted.startswith(point.rstrip("/") + "/")):
            best, kind = point, after.split()[0]
    return kind if kind in _NETWORK else None
