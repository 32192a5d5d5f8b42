"""A page that eats memory or time: its worker is stopped, and nothing else."""

import io
import json
import os
import sys
from pathlib import Path

import pytest

from tests.long_form import LONG
from watcher.work import local_worker
from watcher.work.limits import MEMORY_BYTES

TRIES = 2  # of an order that breaks its worker (what breaks its worker twice is held)


def page(contents, resources=b"<<>>", *objects):
    """A PDF of one page of the card's size with bleed; further objects are numbered from 5."""
    bodies = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 257.95 172.91]/Contents 4 0 R/Resources %b>>" % resources,
        b"<</Length %d>>stream\n%b\nendstream" % (len(contents), contents),
        *objects,
    ]
    out, places = io.BytesIO(), []
    out.write(b"%PDF-1.7\n")
    for number, body in enumerate(bodies, start=1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%b\nendobj\n" % (number, body))
    table = out.tell()
    out.write(b"xref\n0 %d\n0000000000 65535 f \n" % (len(bodies) + 1))
    out.write(b"".join(b"%010d 00000 n \n" % place for place in places))
    out.write(b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (len(bodies) + 1, table))
    return out.getvalue()


# The look at the structure finds every page known to us that eats memory, so it is taken away here in the command's
# own processes; and, but for the long setting, most of the memory, so that it takes seconds.
WITHOUT_THE_LOOK = """
from watcher.art.pdf import draws
draws.count_drawn = lambda page: 0
from watcher.work import limits
limits.MEMORY_BYTES = {most}
"""
MOST = MEMORY_BYTES if LONG else 640 << 20
WITHIN_ITSELF = b"<</Length 11/Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</F 5 0 R>>>>>>stream\n"
EATS_MEMORY = page(b"/F Do", b"<</XObject<</F 5 0 R>>>>", WITHIN_ITSELF + b"/F Do /F Do\nendstream")


@pytest.mark.skipif(sys.platform != "linux", reason="limits of memory: Linux")
def test_a_page_that_eats_memory_stops_its_worker_alone_and_is_held_after_two_tries(shop, bad, tmp_path, monkeypatch):
    (tmp_path / "site").mkdir()
    (tmp_path / "site/sitecustomize.py").write_text(WITHOUT_THE_LOOK.format(most=MOST))
    here = Path(local_worker.__file__).parents[2]
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(tmp_path / "site"), str(here)]))
    settings = shop.folder / "settings.toml"
    settings.write_text(settings.read_text().replace("workers = 1", "workers = 2"))
    greedy = bad(name="greedy.pdf", data=EATS_MEMORY)
    shop.drop(greedy.name, greedy.data)
    for number in range(2):
        shop.drop_good_pair(f"lantern{number}")
    ran = shop.run()
    assert (ran.code, ran.err) == (1, "")
    assert shop.made() == {"lantern0", "lantern1"}
    assert shop.wrong_with(greedy, ("greedy.pdf cannot be opened safely", "Export it again")) is None
    assert said(shop).count("a worker could not go on") == TRIES
    assert 0.4 * MOST < ran.peak < 1.1 * MOST  # what is reserved counts too: each thread has room set aside
    shop.assert_nothing_lost()
    shop.assert_no_temporaries()


def said(shop):
    """The service's own log, its messages alone."""
    lines = (shop.folder / "state/service.log").read_text("utf-8").splitlines()
    return "\n".join(json.loads(line)["record"]["message"] for line in lines)


@pytest.mark.skipif(not LONG, reason="takes the limit of time twice: set PRINT_FOLDER_LONG=1")
@pytest.mark.timeout(600)
def test_a_page_that_never_ends_is_held_after_two_tries(shop, bad):
    """A line of 800,000 bends in dashes of a tenth of a point: nothing nests, and it takes the renderer minutes."""
    endless = bad(name="endless.pdf", data=page(b"[0.1] 0 d 0 0 m " + b"250 170 l 1 3 l " * 400_000 + b"S"))
    shop.drop(endless.name, endless.data)
    shop.drop_good_pair()
    ran = shop.run(limit_s=400)
    assert (ran.code, ran.err) == (1, "")
    assert shop.made() == {"lantern"}
    assert shop.wrong_with(endless, ("endless.pdf cannot be opened safely",)) is None
    assert ran.seconds < 2 * local_worker.TASK_S + 60
