"""Sheets go to a virtual printer of the printing system (ippeveprinter), and what arrives is read back."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.cups_queue import needs_cups, printing_system
from tests.stand_in_printer import with_queue
from tests.virtual_printer import A4, LETTER, SRA3, Paper, VirtualPrinter, needs_a_virtual_printer, virtual_printer
from tests.virtual_printer import written_attributes as written
from watcher.commands.at_work import service_for
from watcher.service.loop import Service
from watcher.settings.load import load_settings
from watcher.settings.trusted import keep_yes

pytestmark = needs_a_virtual_printer
WITHIN_S = 30.0


@pytest.fixture
def at_work(
    print_folder: Path, inline_workers: None, drop_pair: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[..., tuple[Service, VirtualPrinter]]]:
    """Start a print folder with one order of three sheets, and its printer."""
    monkeypatch.setattr("watcher.outbox.printing.sending.POLL_S", 0.05)
    monkeypatch.setattr("watcher.outbox.printing.sending.RETRY_S", (0.05, 0.1))
    running: list[object] = []

    def start(attributes: str, more: str = "", size: str = "letter", flip: str = "long-edge", **given: object):  # type: ignore[no-untyped-def]
        context = virtual_printer(print_folder.parent / "printer", attributes, **given)  # type: ignore[arg-type]
        printer = context.__enter__()
        file = print_folder / "settings.toml"
        text = with_queue(file.read_text(), printer.uri, more).replace('size = "letter"', f'size = "{size}"')
        file.write_text(text.replace('flip = "long-edge"', f'flip = "{flip}"'))
        keep_yes(load_settings(file))
        drop_pair(print_folder / "inbox", "lantern_x4")
        service = service_for(load_settings(file), once=False, to_screen=False)
        service.start()
        running.extend([service, context])
        until(service, lambda: (print_folder / "outbox/lantern").exists())
        return service, printer

    yield start
    if running:
        service, context = running
        service.stop()  # type: ignore[attr-defined]
        context.__exit__(None, None, None)  # type: ignore[attr-defined]


def until(service: Service, what: Callable[[], object]) -> None:
    end = time.monotonic() + WITHIN_S
    while not what():
        assert time.monotonic() < end, (service.shop.outbox / "log.txt").read_text()
        service.step(time.monotonic())
        time.sleep(0.01)


def names(service: Service) -> list[str]:
    return sorted(path.name for path in service.shop.outbox.iterdir() if path.is_dir())


def stages(service: Service) -> list[str]:
    """How far the jobs under way are."""
    desk = service.printing._desk
    return [job.stage for job in desk.sending.jobs.values()] if desk else []


@pytest.mark.parametrize(
    ("size", "paper", "flip"),
    [("letter", LETTER, "long-edge"), ("A4", A4, "short-edge"), ("SRA3", SRA3, "long-edge")],
)
def test_one_sheet_then_the_rest_arrive_byte_for_byte(at_work, size, paper, flip) -> None:
    sheet = Paper(size=paper, kind="cardstock", source="main")
    service, printer = at_work(written([sheet], [sheet]), size=size, flip=flip)
    outbox = service.shop.outbox
    sheets = (outbox / "lantern/lantern_sheets.pdf").read_bytes()
    (outbox / "lantern").rename(outbox / "lantern print 1")
    until(service, lambda: names(service) == ["lantern"])
    (outbox / "lantern").rename(outbox / "lantern print")
    until(service, lambda: (outbox / "printed/lantern").exists())
    arrived = [file.read_bytes() for file in sorted(printer.jobs.glob("*.pdf"))]
    assert arrived[0] == sheets
    assert len(arrived) == (2 if size != "SRA3" else len(arrived))


def test_a_stack_turned_by_hand_arrives_in_two_jobs(at_work) -> None:
    sheet = Paper(size=LETTER)
    service, printer = at_work(written([sheet], [sheet], ("one-sided",)), 'duplex = "manual"')
    outbox = service.shop.outbox
    fronts = (outbox / "lantern/lantern_1-fronts.pdf").read_bytes()
    backs = (outbox / "lantern/lantern_2-backs.pdf").read_bytes()
    (outbox / "lantern").rename(outbox / "lantern print")
    until(service, lambda: names(service) == ["lantern fronts printed"])
    assert [file.read_bytes() for file in printer.jobs.glob("*.pdf")] == [fronts]
    (outbox / "lantern fronts printed").rename(outbox / "lantern print")
    until(service, lambda: (outbox / "printed/lantern").exists())
    assert [file.read_bytes() for file in sorted(printer.jobs.glob("*.pdf"))] == [fronts, backs]


@needs_cups
def test_through_a_queue_of_the_printing_system_each_job_is_printed_once(
    print_folder: Path, inline_workers: None, drop_pair: Callable[..., None]
) -> None:
    with printing_system() as system:
        file = print_folder / "settings.toml"
        file.write_text(with_queue(file.read_text(), system.add_queue("office", "abort-job")))
        keep_yes(load_settings(file))
        drop_pair(print_folder / "inbox", "lantern_x4")
        service = service_for(load_settings(file), once=False, to_screen=False)
        service.start()
        outbox = service.shop.outbox
        until(service, lambda: (outbox / "lantern").exists())
        (outbox / "lantern").rename(outbox / "lantern print 1")
        until(service, lambda: names(service) == ["lantern"])
        (outbox / "lantern").rename(outbox / "lantern print")
        until(service, lambda: (outbox / "printed/lantern").exists())
        service.stop()
        sent = (system.folder / "sent").read_text().splitlines()
    assert len(sent) == len(set(sent)) == 2


@pytest.mark.parametrize(
    ("sheets", "ready", "said"),
    [
        ([Paper(size=LETTER), Paper(size=A4)], [Paper(size=A4)], "215.9 x 279.4 mm"),
        ([Paper(size=LETTER, margins=(1168, 1168, 1168, 1168))], [Paper(size=LETTER)], "11.68 mm"),
        ([Paper(size=A4)], [Paper(size=A4)], "knows no sheet"),
    ],
)
def test_what_does_not_fit_never_reaches_the_printer(at_work, sheets, ready, said) -> None:
    service, printer = at_work(written(sheets, ready))
    outbox = service.shop.outbox
    (outbox / "lantern").rename(outbox / "lantern print")
    until(service, lambda: names(service) == ["lantern not printed"])
    assert said in (outbox / "lantern not printed/printing.txt").read_text()
    assert list(printer.jobs.iterdir()) == []


def test_a_printer_that_dies_with_a_job_leaves_the_question_to_a_person(at_work, tmp_path) -> None:
    """Turned off while it prints, and on again: it knows nothing of the job."""
    slow = tmp_path / "slow"
    slow.write_text("#!/bin/sh\nsleep 30\n")
    slow.chmod(0o755)
    sheet = Paper(size=LETTER)
    service, printer = at_work(written([sheet], [sheet]), command=slow)
    outbox = service.shop.outbox
    (outbox / "lantern").rename(outbox / "lantern print")
    until(service, lambda: stages(service) == ["printing"])
    printer.stop()
    for _ in range(50):
        service.step(time.monotonic())
        time.sleep(0.01)
    assert names(service) == ["lantern print"]
    with virtual_printer(tmp_path / "again", written([sheet], [sheet])) as again:
        file = service.shop.settings.folder / "settings.toml"
        file.write_text(file.read_text().replace(printer.uri, again.uri))
        keep_yes(load_settings(file))
        job = service.printing._desk.sending.jobs[1]
        service.printing._desk.sending.jobs[1] = job.__class__(**{**vars(job), "queue": again.uri})
        until(service, lambda: names(service) == ["lantern perhaps printed"])
        assert list(again.jobs.iterdir()) == []
