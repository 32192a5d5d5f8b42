"""Odd and broken files that others have gathered over the years, from the source distributions of three libraries.

    pillow 13.0.0    Tests/images: odd pictures of every kind, finds of fuzzers (crash-, oom-, timeout-)
    pikepdf 10.18.0  tests/resources: damaged, locked and odd PDFs
    pypdf 7.1.1      resources: PDFs and pictures from its bug reports

Nothing is fetched here: `.ci/run` does that. Or put the three archives (`NAME-VERSION.tar.gz`) into `.corpora` beside
the tests' folder, or name another folder in PRINT_FOLDER_CORPORA. By default a part of each is tried;
`PRINT_FOLDER_LONG=1` tries all.
"""

import hashlib
import multiprocessing.connection
import os
import random
import tarfile
from dataclasses import replace
from functools import cache
from pathlib import Path, PurePosixPath

import pytest

from tests.long_form import LONG
from watcher.archive.effective_settings import settings_now
from watcher.orders.draft import draft_order
from watcher.orders.model import ArtSource, Planned
from watcher.orders.wishes import Wishes
from watcher.settings.load import load_settings
from watcher.terms import Side
from watcher.work.inspect_file import InspectFile
from watcher.work.job import OrderCheck, job_for
from watcher.work.local_worker import LocalWorker

FOLDER = Path(os.environ.get("PRINT_FOLDER_CORPORA", Path(__file__).parents[2] / ".corpora"))
KINDS = {".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".pdf"}
LIBRARIES = ("pillow", "pikepdf", "pypdf")
PART = 12  # of each archive in the short setting, beside those that are called broken
DROPPED = 2  # of each archive for the whole command in the short setting
CALLED_BROKEN = (
    "crash",
    "oom",
    "timeout",
    "broken",
    "bad",
    "trunc",
    "invalid",
    "overflow",
    "ossfuzz",
    "recurs",
    "loop",
)
SLOWEST_S = 20.0  # of processor time, for one file
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100


def files_of(archive):
    """The files of the kinds that are taken, as (name, bytes)."""
    with tarfile.open(archive) as tar:
        members = [one for one in tar if one.isfile() and PurePosixPath(one.name).suffix.lower() in KINDS]
        if not LONG:
            broken = [one for one in members if any(word in one.name.lower() for word in CALLED_BROKEN)]
            members = list({*broken, *random.Random(archive.name).sample(members, min(PART, len(members)))})
        for member in sorted(members, key=lambda one: one.name):
            if member.size:
                yield member.name, tar.extractfile(member).read()


@cache
def part_of(archive):
    """The files of the short setting, unpacked once for all tests."""
    return tuple(files_of(archive))


@pytest.fixture(scope="module")
def worker():
    """One real worker under its limits, for all archives."""
    one = LocalWorker()
    yield one
    one.stop()


def answer_of(worker, message):
    """What the worker says, and the processor time that it took: on a busy machine the clock would tell of others."""
    before = used_by(worker)
    worker.start("task", message)
    process = worker._process.pid
    while (answer := worker.answer()) is None:
        multiprocessing.connection.wait([worker.pipe], 0.5)
    after = used_by(worker)
    return answer, after.get(process, 0.0) - before.get(process, 0.0)


def used_by(worker):
    """Seconds of processor time, by the process; nothing where the system does not tell."""
    if worker._process is None or not Path("/proc/self/stat").exists():
        return {}
    pid = worker._process.pid
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()  # proc(5): utime, stime
    return {pid: (int(fields[11]) + int(fields[12])) / TICKS_A_SECOND}


def archive_of(library):
    """The source distribution of a library; skips where it is not there."""
    archive = next(iter(sorted(FOLDER.glob(f"{library}-*.tar.gz"))), None)
    if archive is None:
        pytest.skip(f"{FOLDER.name} holds no source distribution of {library}")
    return archive


def _tag_job(settings):
    """An order of a tag whose art is still to be named."""
    card = settings.cards["tag"]
    order = draft_order(
        Planned(name="x", key="x", folder=None, wishes=Wishes(card="tag", sheet=card.sheet, quantity=1)), 0, {}
    )
    force = settings_now(settings, card, settings.sheet_for(card))
    return job_for(order, force, Path(), "2026-01-01T12:00:00+00:00")


@pytest.mark.parametrize("library", LIBRARIES)
@pytest.mark.timeout(1200)
def test_every_file_opens_or_is_refused_in_a_plain_line_and_in_time(library, worker, print_folder, tmp_path):
    archive = archive_of(library)
    job_of_no_art = _tag_job(load_settings(print_folder / "settings.toml"))
    wrong, tried, opened = {}, 0, 0
    for number, (name, data) in enumerate(files_of(archive) if LONG else part_of(archive)):
        suffix = PurePosixPath(name).suffix.lower()
        path = tmp_path / f"{number}{suffix}"
        path.write_bytes(data)
        source = ArtSource(
            side=Side.FRONT,
            file=str(path),
            sha256=hashlib.sha256(data).hexdigest(),
            page=0 if suffix == ".pdf" else None,
        )
        job = replace(job_of_no_art, order=replace(job_of_no_art.order, art=(source,)))
        for message in (InspectFile(path=path), OrderCheck(job=job, is_whole=False)):
            answer, took = answer_of(worker, message)
            fine = answer.result is not None or (answer.held and all("\n" not in line for line in answer.held))
            if answer.died or answer.trouble or not fine or took > SLOWEST_S:
                wrong[name] = (answer, round(took, 1))
        tried, opened = tried + 1, opened + (answer.result is not None)
        path.unlink()
    assert wrong == {}
    assert tried > 10
    assert opened > 5


@pytest.mark.timeout(3600)
def test_dropped_together_each_is_made_or_held_and_the_order_beside_them_is_made(shop):
    """All of the way, by the real command."""
    for library in LIBRARIES:
        archive = archive_of(library)
        chosen = files_of(archive) if LONG else random.Random(library).sample(part_of(archive), DROPPED)
        for number, (name, data) in enumerate(chosen):
            shop.drop(f"{library}{number}{PurePosixPath(name).suffix.lower()}", data)
    shop.drop_good_pair()
    ran = shop.run(limit_s=3000 if LONG else 100)
    assert (ran.code, ran.err) == (1, "")
    assert "lantern" in shop.made()
    assert [path for path in (shop.folder / "inbox").rglob("*") if path.is_file()] == []
    shop.assert_nothing_lost()
    shop.assert_no_temporaries()
    held = list((shop.folder / "held").iterdir())
    assert len(held) + len(shop.made()) > DROPPED
    for folder in held:
        why = " ".join((folder / "why.txt").read_text("utf-8").split())
        assert "cannot be opened safely" not in why, why
