"""Odd and broken files that others have gathered over the years, from the source distributions of three libraries.

    pillow 13.0.0    Tests/images: odd pictures of every kind, finds of fuzzers (crash-, oom-, timeout-)
    pikepdf 10.18.0  tests/resources: damaged, locked and odd PDFs
    pypdf 7.1.1      resources: PDFs and pictures from its bug reports

Nothing is fetched here. Put the three archives (`NAME-VERSION.tar.gz`) into `.corpora` beside the tests' folder, or
name another folder in PRINT_FOLDER_CORPORA. By default a part of each is tried; `PRINT_FOLDER_LONG=1` tries all.
"""

import hashlib
import multiprocessing.connection
import os
import random
import tarfile
import time
from pathlib import Path, PurePosixPath

import pytest

from watcher.art.preflight import ORDINARY
from watcher.job import ArtCheck
from watcher.orders.model import ArtSource
from watcher.settings.load import load_settings
from watcher.terms import Side
from watcher.workers import Look, Worker

LONG = os.environ.get("PRINT_FOLDER_LONG") == "1"
FOLDER = Path(os.environ.get("PRINT_FOLDER_CORPORA", Path(__file__).parents[2] / ".corpora"))
KINDS = {".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".pdf"}
PART = 25  # of each archive in the short setting, beside those that are called broken
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
SLOWEST_S = 20.0  # by the clock, for one file


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


@pytest.fixture
def worker():
    """One real worker under its limits."""
    one = Worker()
    yield one
    one.stop()


def answer_of(worker, message):
    """What the worker says, and how long it took."""
    begun = time.monotonic()
    worker.start("task", message)
    while (answer := worker.answer()) is None:
        multiprocessing.connection.wait([worker.pipe], 0.5)
    return answer, time.monotonic() - begun


@pytest.mark.parametrize("library", ["pillow", "pikepdf", "pypdf"])
@pytest.mark.timeout(1200)
def test_every_file_opens_or_is_refused_in_a_plain_line_and_in_time(library, worker, print_folder, tmp_path):
    archive = next(iter(sorted(FOLDER.glob(f"{library}-*.tar.gz"))), None)
    if archive is None:
        pytest.skip(f"{FOLDER.name} holds no source distribution of {library}")
    card = load_settings(print_folder / "settings.toml").cards["tag"]
    wrong, tried, opened = {}, 0, 0
    for number, (name, data) in enumerate(files_of(archive)):
        suffix = PurePosixPath(name).suffix.lower()
        path = tmp_path / f"{number}{suffix}"
        path.write_bytes(data)
        source = ArtSource(
            side=Side.FRONT,
            file=str(path),
            sha256=hashlib.sha256(data).hexdigest(),
            page=0 if suffix == ".pdf" else None,
        )
        for message in (Look(path=path), ArtCheck(card=card, printer=ORDINARY, sources=(source,), common=())):
            answer, took = answer_of(worker, message)
            fine = answer.result is not None or (answer.held and all("\n" not in line for line in answer.held))
            if answer.died or answer.trouble or not fine or took > SLOWEST_S:
                wrong[name] = (answer, round(took, 1))
        tried, opened = tried + 1, opened + (answer.result is not None)
        path.unlink()
    assert wrong == {}
    assert tried > 10
    assert opened > 5
