"""The note of an order goes last: when its line is in the log and the shop's own command has ended."""

from dataclasses import replace
from pathlib import Path

import pytest

from watcher.orders.claim import note_of, taking_folder
from watcher.records.journal import Entry
from watcher.records.log import EventLog
from watcher.records.order_life import Event, State
from watcher.service.life.announcing import drop_note, drop_notes, log_and_call, log_and_call_run, log_line
from watcher.service.life.cases import OrderCase, RunCase
from watcher.service.life.making import Making


def done(making: Making, case: OrderCase) -> OrderCase:
    taking_folder(making.shop.archive, case.number).rename(making.shop.archive / "lantern")
    entry = making.journal.entry(case.order, State.DONE, folder="lantern", says="1 card")
    making.journal.remember(entry)
    return replace(case, entry=entry)


def test_the_note_stays_until_the_logs_lines_are_on_the_disk(
    making: Making, taken: OrderCase, monkeypatch: pytest.MonkeyPatch
):
    case, note = done(making, taken), note_of(making.shop.archive, taken.number)
    with monkeypatch.context() as full:
        full.setattr(EventLog, "is_written", False)
        drop_note(making, case)
        assert note.exists()
    drop_notes(making)
    assert not note.exists()
    assert making.journal.state_of(taken.number) is None
    assert making.notes_to_drop == []


def test_a_note_that_cannot_be_removed_is_tried_again(
    making: Making, taken: OrderCase, monkeypatch: pytest.MonkeyPatch
):
    case = done(making, taken)
    with monkeypatch.context() as locked:
        locked.setattr("watcher.service.life.announcing.forget_note", _refuse)
        drop_note(making, case)
    assert making.notes_to_drop == [case.number]
    drop_notes(making)
    assert making.notes_to_drop == []


def _refuse(*_args: object) -> None:
    raise PermissionError


def test_without_a_command_an_order_is_announced_by_its_line(making: Making, taken: OrderCase):
    ((_, event),) = log_and_call(making, done(making, taken))
    assert event is Event.ANNOUNCED
    assert making.shop.log.written[-1] == "lantern: made: 1 card"


def test_a_line_whose_writing_a_crash_may_have_cut_short_stands_in_the_log_once(making: Making):
    since = making.shop.stamp()
    for _ in range(2):
        log_line(making.shop, "lantern: made: 1 card", since=since, begin="lantern: made: ")
    assert Path(making.shop.outbox / "log.txt").read_text().count("lantern: made:") == 1


@pytest.mark.parametrize(("again", "times"), [(True, 1), (False, 2)])
def test_a_run_is_told_once_after_a_crash_and_whenever_it_is_made_otherwise(making: Making, again: bool, times: int):
    case = RunCase(run="run-1", numbers=(1,), words="24 cards", again=again)
    since = making.shop.stamp()
    entry = Entry(number=1, name="a", key="a", card="tag", state=State.DONE, since=since, folder="a", run="run-1")
    for _ in range(2):
        making.runs.unannounced["run-1"] = [entry]
        log_and_call_run(making, case)
    assert making.shop.log.written.count("run-1: made: 24 cards") == times


def test_fronts_and_backs_that_an_earlier_version_made_are_each_printed_on_one_side(
    making: Making, taken: OrderCase, monkeypatch: pytest.MonkeyPatch
):
    """Its ticket does not tell how its files are printed."""
    case, started = done(making, taken), []
    (making.shop.archive / "lantern/lantern_ticket.toml").write_text('flip = "long-edge"\nsheet = "letter"')
    for file in ("lantern_1-fronts.pdf", "lantern_2-backs.pdf"):
        (making.shop.outbox / "lantern").mkdir(exist_ok=True)
        (making.shop.outbox / "lantern" / file).touch()
    service = making.shop.settings.service.model_copy(update={"on_finished": ("lp", "{sides}", "{sheets}")})
    monkeypatch.setattr(making.shop, "settings", making.shop.settings.model_copy(update={"service": service}))
    monkeypatch.setattr("watcher.service.life.announcing.is_command_trusted", lambda _settings: True)
    monkeypatch.setattr(making.commands, "start", lambda calls, *_: started.extend(calls))
    log_and_call(making, case)
    assert [call[1] for call in started] == ["one-sided", "one-sided"]
