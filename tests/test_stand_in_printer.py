"""What the stand-in printer answers is read by ipptool, a program of the printing system that knows the standard."""

import plistlib
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.stand_in_printer import HELD, LETTER, media, stand_in

pytestmark = pytest.mark.skipif(not shutil.which("ipptool"), reason="ipptool (Debian: cups-ipp-utils) is not there")
CREATE = """{
  OPERATION Create-Job
  GROUP operation-attributes-tag
  ATTR charset attributes-charset utf-8
  ATTR naturalLanguage attributes-natural-language en
  ATTR uri printer-uri $uri
  ATTR name job-name "lantern sheets"
  GROUP job-attributes-tag
  ATTR integer copies 3
  ATTR keyword job-hold-until indefinite
  STATUS successful-ok
}
"""


def read_by_ipptool(uri: str, test: str) -> dict[str, object]:
    """The groups of attributes of the answer, in one table."""
    ran = subprocess.run(["ipptool", "-X", uri, test], capture_output=True, timeout=20, check=False)
    groups = plistlib.loads(ran.stdout)["Tests"][0]["ResponseAttributes"]
    return {name: value for group in groups for name, value in group.items()}


def test_what_it_says_of_itself_is_read_as_it_was_written() -> None:
    ready = media(LETTER, margin=423, media_source="main", media_type="cardstock")
    with stand_in(attributes={"media-col-ready": [ready], "copies-supported": (1, 7)}) as printer:
        told = read_by_ipptool(printer.uri, "get-printer-attributes.test")
    assert told["media-col-ready"] == ready
    assert told["copies-supported"] == {"lower": 1, "upper": 7}
    assert told["printer-is-accepting-jobs"] is True
    assert told["sides-supported"] == ["one-sided", "two-sided-long-edge", "two-sided-short-edge"]


def test_a_job_is_read_and_its_state_is_told(tmp_path: Path) -> None:
    test = tmp_path / "create.test"
    test.write_text(CREATE)
    with stand_in() as printer:
        told = read_by_ipptool(printer.uri, str(test))
        asked = printer.jobs[1].asked
    assert (told["job-id"], told["job-state"]) == (1, HELD)
    assert (asked["job-name"], asked["copies"]) == (["lantern sheets"], [3])
