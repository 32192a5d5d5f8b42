"""`log.txt`: one plain line an event, whatever the event's names contain."""

import json
import os
import re
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from loguru import logger

from watcher.records.log import EventLog, set_up_service_log

NOON = datetime(2026, 5, 1, 12, 0, 0, tzinfo=timezone(timedelta(hours=2)))


@pytest.fixture
def log(tmp_path: Path) -> EventLog:
    return EventLog(tmp_path / "log.txt", lambda: NOON)


@pytest.fixture
def _loggers_back():
    """The service's log takes over the library's only logger; give it up again."""
    yield
    logger.remove()


def _lines(tmp_path: Path) -> list[str]:
    return (tmp_path / "log.txt").read_text("utf-8").split("\n")


def test_an_event_is_a_line_with_its_time(log, tmp_path):
    log.add("lantern: made: 50 cards = 25 sheets, plus 1 spare")
    assert _lines(tmp_path) == ["2026-05-01 12:00:00  lantern: made: 50 cards = 25 sheets, plus 1 spare", ""]


def test_the_newest_is_last_and_nothing_is_overwritten(log, tmp_path):
    (tmp_path / "log.txt").write_text("an older line\n")
    log.add("one")
    log.add("two")
    assert [line[-3:] for line in _lines(tmp_path)] == ["ine", "one", "two", ""]


@pytest.mark.parametrize(
    "name",
    ["a\n2026-05-01 12:00:00  b: made", "a\rb", "a\x1b[2K\x1b[1Ab", "a\u202eb", "a\u2028b", "a\x85b", "a\udcffb"],
)
def test_no_name_forges_a_line(log, tmp_path, name):
    """A name with a line end, an escape or a separator stays on one line, in plain letters."""
    log.add(f"{name}: held")
    text = (tmp_path / "log.txt").read_text("utf-8")
    assert len(text.splitlines()) == 1
    assert re.fullmatch(r"[\x20-\x7e]+\n", text)


def test_a_very_long_event_is_cut(log, tmp_path):
    log.add("a" * 5000)
    assert len(_lines(tmp_path)[0]) < 2100


def test_a_line_is_appended_in_one_piece_and_flushed(log, monkeypatch):
    """Two programs that append a line each never mix them, and a cut of the power takes no line that was told."""
    done = []
    write, fsync = os.write, os.fsync
    monkeypatch.setattr(os, "write", lambda handle, data: (done.append(("write", data)), write(handle, data))[1])
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append(("flush", b"")), fsync(handle))[1])
    log.add("a")
    assert done == [("write", b"2026-05-01 12:00:00  a\n"), ("flush", b"")]


def test_a_log_that_was_deleted_begins_anew(log, tmp_path):
    log.add("one")
    (tmp_path / "log.txt").unlink()
    log.add("two")
    assert len(_lines(tmp_path)) == 2


def test_a_log_that_cannot_be_written_harms_nothing(log, tmp_path):
    (tmp_path / "log.txt").mkdir()
    log.add("one")
    assert log.written == ["one"]


def test_lines_that_could_not_be_written_come_later_in_their_order(log, tmp_path):
    (tmp_path / "log.txt").mkdir()
    for word in ("one", "two"):
        log.add(word)
    (tmp_path / "log.txt").rmdir()
    log.catch_up()
    log.add("three")
    assert [line[21:] for line in _lines(tmp_path)] == ["one", "two", "three", ""]


def test_a_line_that_was_cut_by_a_power_failure_is_ended_before_the_next(log, tmp_path):
    (tmp_path / "log.txt").write_text("2026-05-01 11:00:00  lan")
    log.add("one")
    assert _lines(tmp_path) == ["2026-05-01 11:00:00  lan", "2026-05-01 12:00:00  one", ""]


def test_a_line_of_which_only_a_part_could_be_written_is_taken_back(log, tmp_path, monkeypatch):
    log.add("one")
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: write(handle, data[:10]))
    log.add("two")
    monkeypatch.undo()
    assert len(_lines(tmp_path)) == 2
    log.catch_up()
    assert [line[21:] for line in _lines(tmp_path)] == ["one", "two", ""]


def test_where_the_outbox_is_not_there_no_log_is_begun(tmp_path):
    """Below the place of a drive that is gone."""
    there = [False]
    log = EventLog(tmp_path / "log.txt", lambda: NOON, lambda: there[0])
    log.add("one")
    assert not (tmp_path / "log.txt").exists()
    there[0] = True
    log.catch_up()
    assert len(_lines(tmp_path)) == 2


def test_what_this_run_wrote_is_remembered_but_not_for_ever(log, monkeypatch):
    monkeypatch.setattr(os, "fsync", lambda _handle: None)
    for number in range(1100):
        log.add(str(number))
    assert (len(log.written), log.written[-1]) == (1000, "1099")


# -- the service's own log ---------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("_loggers_back")
def test_the_service_log_is_one_record_a_line(tmp_path):
    set_up_service_log(tmp_path, to_screen=False)
    logger.warning("{name} broke", name="a\nb{c}\x1b")
    logger.info("two")
    records = [json.loads(line)["record"] for line in (tmp_path / "service.log").read_text().splitlines()]
    assert [record["message"] for record in records] == ["a\\nb{c}\\x1b broke", "two"]


@pytest.mark.usefixtures("_loggers_back")
def test_a_record_with_a_name_that_is_no_utf8_is_not_lost(tmp_path, capfd):
    """In the message and in the trace of an error. The library drops a record that its file cannot encode."""
    set_up_service_log(tmp_path, to_screen=True)
    name = os.fsdecode(b"caf\xe9\n12:00:00  forged")
    logger.warning("{name} broke", name=name)
    try:
        raise OSError(name)
    except OSError:
        logger.exception("it failed")
    lines = (tmp_path / "service.log").read_text("utf-8").splitlines()
    assert [json.loads(line)["record"]["message"][-5:] for line in lines] == ["broke", "ailed"]
    assert [line[10:] for line in capfd.readouterr().err.splitlines()] == [
        "caf\\udce9\\n12:00:00  forged broke",
        "it failed",
    ]


@pytest.mark.usefixtures("_loggers_back")
def test_rotation_keeps_five_and_touches_no_file_that_is_not_its_own(tmp_path, monkeypatch):
    """Tried with loguru 0.7.3: for `app.log`, its own `retention=1` deletes an `app.notes.log` too."""
    others = ["service.notes.log", "service.log.bak", "service.2026-01-01.log", "service.2026-01-01_old.log", "a.log"]
    for name in others:
        (tmp_path / name).write_text("mine")
        os.utime(tmp_path / name, (0, 0))
    set_up_service_log(tmp_path, to_screen=False)
    for _ in range(9):
        for _ in range(30):
            logger.info("{text}", text="x" * 200_000)
    logs = {path.name for path in tmp_path.iterdir()}
    assert logs > set(others)
    assert all((tmp_path / name).read_text() == "mine" for name in others)
    assert len(logs - set(others)) == 6  # the one in use and five more


@pytest.mark.usefixtures("_loggers_back")
def test_the_service_log_tells_no_contents_of_variables(tmp_path):
    set_up_service_log(tmp_path, to_screen=False)
    secret = "the customer's own words"
    try:
        [][len(secret)]
    except IndexError:
        logger.exception("it failed")
    assert secret not in (tmp_path / "service.log").read_text()


@pytest.mark.usefixtures("_loggers_back")
def test_events_are_shown_on_the_screen_when_asked(tmp_path, capsys):
    set_up_service_log(tmp_path, to_screen=True)
    EventLog(tmp_path / "log.txt", lambda: NOON).add("a\nb: made")
    shown = capsys.readouterr()
    assert re.fullmatch(r"\d\d:\d\d:\d\d  a\\nb: made\n", shown.err)
    assert shown.out == ""


@pytest.mark.usefixtures("_loggers_back")
def test_nothing_is_shown_when_not_asked(tmp_path, capsys):
    set_up_service_log(tmp_path, to_screen=False)
    EventLog(tmp_path / "log.txt", lambda: NOON).add("a: made")
    assert capsys.readouterr().err == ""


def test_what_only_the_owner_should_read_is_taken_out(tmp_path):
    log = EventLog(tmp_path / "log.txt", lambda: NOON, public=lambda text: text.replace("secret", "…"))
    log.add("secret: made")
    assert "secret" not in (tmp_path / "log.txt").read_text()
    assert log.has_said("secret: made", NOON.isoformat())
