"""The units are judged by systemd itself: `systemd-analyze verify` and `systemd-analyze security` (systemd.exec(5))."""

import os
import re
import shutil
import subprocess
from ipaddress import ip_address
from pathlib import Path

import pytest

from watcher.outbox.finished import HURRY_S
from watcher.settings.service import ServiceSettings
from watcher.work.limits import MEMORY_BYTES
from watcher.work.local_worker import TASK_S

LIMIT_TO_END_S = HURRY_S + 1  # it stops within 5 s after the order in hand
WORKERS = ServiceSettings().workers
OF_ITS_OWN = 200 * 1024**2  # measured: the service itself takes 70 MB beside its workers

UNITS = Path(__file__).parent.parent / "systemd"
USER, SYSTEM = UNITS / "user" / "print-folder.service", UNITS / "system" / "print-folder@.service"
BOTH = pytest.mark.parametrize("unit", [USER, SYSTEM], ids=["user", "system"])
ANALYZE = shutil.which("systemd-analyze")
needs_systemd = pytest.mark.skipif(ANALYZE is None, reason="systemd-analyze is not on this machine")
COMPLAINT = re.compile(r"unknown|fail|ignor|invalid|not (found|executable)|missing|deprecated", re.IGNORECASE)


def runnable(unit: Path, folder: Path, extra: str = "") -> Path:
    """A copy for one person whose program is there: verify looks for it."""
    text = re.sub(r"^ExecStart=\S+", f"ExecStart={shutil.which('true')}", unit.read_text(encoding="utf-8"), flags=re.M)
    copy = folder / unit.name.replace("@.", "@anna.")
    copy.write_text(text.replace("[Install]", f"{extra}\n[Install]"), encoding="utf-8")
    return copy


def analyze(*words: str | Path, folder: Path) -> tuple[int, str]:
    """Exit code and everything said."""
    environment = {**os.environ, "XDG_RUNTIME_DIR": str(folder), "LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        [str(ANALYZE), *map(str, words)], capture_output=True, text=True, env=environment, timeout=30, check=False
    )
    return done.returncode, done.stdout + done.stderr


def verify(unit: Path, folder: Path, extra: str = "") -> tuple[int, str]:
    """Exit code and what is said about this unit; of others on the machine it may say what it likes."""
    manager = ["--user"] if "user" in unit.parts else []
    code, said = analyze("verify", *manager, runnable(unit, folder, extra), folder=folder)
    return code, "\n".join(line for line in said.splitlines() if "print-folder" in line)


def exposure(unit: Path, folder: Path) -> float:
    _, said = analyze("security", "--offline=true", runnable(unit, folder), folder=folder)
    found = re.search(r"exposure level for .*?: ([0-9.]+)", said)
    assert found, said
    return float(found[1])


def values(unit: Path) -> dict[str, list[str]]:
    """Key and all of its values, comments left out."""
    found: dict[str, list[str]] = {}
    for key, value in re.findall(r"^(\w+)=(.*)$", unit.read_text(encoding="utf-8"), flags=re.M):
        found.setdefault(key, []).append(value)
    return found


@needs_systemd
@BOTH
def test_systemd_has_nothing_to_say_about_the_unit(unit: Path, tmp_path: Path) -> None:
    code, said = verify(unit, tmp_path)
    assert (code, COMPLAINT.findall(said)) == (0, []), said


@needs_systemd
@BOTH
def test_a_mistyped_key_would_be_noticed(unit: Path, tmp_path: Path) -> None:
    """It exits 0 even then, so its words are read."""
    _, said = verify(unit, tmp_path, "ProtectSytem=strict")
    assert COMPLAINT.search(said)


@needs_systemd
def test_the_system_unit_is_shut_off(tmp_path: Path) -> None:
    """Exposure 1.0 or less of 10; with its restrictions gone it is far above."""
    assert exposure(SYSTEM, tmp_path) <= 1.0
    bare = tmp_path / SYSTEM.name
    bare.write_text("[Service]\nExecStart=/bin/true\nUser=anna\n[Install]\n", encoding="utf-8")
    assert exposure(bare, tmp_path) > 8


@BOTH
def test_the_service_reports_and_is_started_again(unit: Path) -> None:
    found = values(unit)
    assert (found["Type"], found["Restart"], found["WatchdogSec"]) == (["notify"], ["on-failure"], ["120"])
    assert found["StartLimitIntervalSec"] == ["0"]


@BOTH
def test_it_may_finish_the_order_in_hand(unit: Path) -> None:
    found = values(unit)
    assert found["KillMode"] == ["mixed"]
    longest = 2 * TASK_S  # a worker that begins slowly, and then an order that takes all of its time
    assert int(found["TimeoutStopSec"][0]) > longest + LIMIT_TO_END_S


@BOTH
def test_each_worker_meets_its_own_limit_of_memory_before_that_of_the_service(unit: Path) -> None:
    """Or nobody could say which file it was. When the kernel ends a worker all the same the service goes on."""
    found = values(unit)
    most, letter = int(found["MemoryMax"][0][:-1]), found["MemoryMax"][0][-1]
    assert most * {"M": 1024**2, "G": 1024**3}[letter] > WORKERS * MEMORY_BYTES + OF_ITS_OWN
    assert found["OOMPolicy"] == ["continue"]


@BOTH
def test_it_runs_the_command_with_its_settings_named(unit: Path) -> None:
    [start] = values(unit)["ExecStart"]
    assert re.fullmatch(r"\S+/bin/print-folder run --settings \S+/print-folder/settings\.toml", start)


def test_the_folder_that_is_run_is_the_folder_that_is_open() -> None:
    found = values(SYSTEM)
    folder = found["ExecStart"][0].split()[-1].removesuffix("/settings.toml")
    assert [folder] == found["BindPaths"] == found["RequiresMountsFor"]


def test_the_service_can_read_what_a_yes_is_known_by_and_not_write_it() -> None:
    assert values(SYSTEM)["BindReadOnlyPaths"] == ["-/home/%i/.config/print-folder"]


@needs_systemd
def test_the_drop_in_for_a_cluster_is_understood_and_opens_no_more_than_it_says(tmp_path):
    drop_in = UNITS / "system" / "drop-ins" / "dask.conf"
    own = drop_in.read_text(encoding="utf-8").partition("[Service]")[2]
    code, said = verify(SYSTEM, tmp_path, f"[Service]\n{own}")
    assert (code, COMPLAINT.findall(said)) == (0, []), said
    assert values(drop_in)["IPAddressDeny"] == ["any"]


@needs_systemd
def test_the_drop_in_for_a_printer_opens_one_address(tmp_path):
    drop_in = UNITS / "system" / "drop-ins" / "printer.conf"
    own = drop_in.read_text(encoding="utf-8").partition("[Service]")[2]
    code, said = verify(SYSTEM, tmp_path, f"[Service]\n{own}")
    assert (code, COMPLAINT.findall(said)) == (0, []), said
    found = values(drop_in)
    assert found["IPAddressDeny"] == ["any"]
    assert ip_address(found["IPAddressAllow"][0]).is_private


@needs_systemd
def test_the_drop_in_for_a_printer_is_understood_for_one_person_too(tmp_path):
    own = (UNITS / "user" / "drop-ins" / "printer.conf").read_text("utf-8").partition("[Service]")[2]
    code, said = verify(USER, tmp_path, f"[Service]\n{own}")
    assert (code, COMPLAINT.findall(said)) == (0, []), said
