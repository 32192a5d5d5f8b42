"""Which folders are on a network share. Line format: proc(5), /proc/pid/mountinfo; the samples follow its example."""

from pathlib import Path

import pytest

from watcher.records.local_disk import network_kind

MOUNTS = """\
22 1 254:0 / / rw,relatime shared:1 - ext4 /dev/vda1 rw
40 22 0:35 / /mnt/office rw,relatime shared:20 - nfs4 server:/export rw,vers=4.2
41 22 0:36 / /mnt/with\\040space rw,relatime - cifs //server/share rw
42 40 254:1 / /mnt/office/local rw,relatime - ext4 /dev/vdb1 rw
43 22 0:37 / /home/anna/cloud rw,nosuid - fuse.rclone cloud: rw
"""


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/home/anna/print-folder", None),
        ("/mnt/office/print-folder/state", "nfs4"),
        ("/mnt/office", "nfs4"),
        ("/mnt/office-of-mine", None),
        ("/mnt/office/local/state", None),
        ("/mnt/with space/state", "cifs"),
        ("/home/anna/cloud/state", "fuse.rclone"),
    ],
)
def test_the_longest_mount_point_decides(tmp_path: Path, folder: str, kind: str | None) -> None:
    (tmp_path / "mountinfo").write_text(MOUNTS)
    assert network_kind(Path(folder), tmp_path / "mountinfo") == kind


def test_nothing_is_refused_where_the_system_does_not_tell(tmp_path: Path) -> None:
    assert network_kind(tmp_path, tmp_path / "no-such-file") is None


def test_of_two_mounts_over_one_place_the_later_counts(tmp_path: Path) -> None:
    (tmp_path / "mountinfo").write_text(MOUNTS + "50 22 254:2 / /mnt/office rw - ext4 /dev/vdc rw\n")
    assert network_kind(Path("/mnt/office/state"), tmp_path / "mountinfo") is None
