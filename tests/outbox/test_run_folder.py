"""Delivery of a run: the archive first, the folder last, and what a crash leaves."""

import tomllib
from pathlib import Path

import pytest
import tomli_w

from watcher.orders.claim import note_of, taking_folder
from watcher.outbox.product import NUMBERS, write_product
from watcher.outbox.publish import NameTaken
from watcher.outbox.run_folder import RunFolder, deliver_run, numbers_file, run_building_folder, runs_cut_short
from watcher.records.plain_text import as_utf8

RUN = "run-2026-11-25"
NUMBERED = {"apple": 3, "birch": 5}


@pytest.fixture
def folders(tmp_path: Path) -> Path:
    for name in ("archive", "outbox"):
        (tmp_path / name).mkdir()
    for name, number in NUMBERED.items():
        taking_folder(tmp_path / "archive", number).mkdir()
        (taking_folder(tmp_path / "archive", number) / f"{name}.png").write_text(name)
        note_of(tmp_path / "archive", number).write_text("{}")
    return tmp_path


@pytest.fixture
def folder(folders: Path) -> RunFolder:
    building = run_building_folder(folders / "archive", 3)
    tickets = {
        f"{name}_ticket.toml": tomli_w.dumps({"order": name, "run": RUN, "run_orders": list(NUMBERED)}).encode()
        for name in NUMBERED
    }
    write_product(building, {f"{RUN}_sheets.pdf": b"%PDF", NUMBERS: numbers_file(NUMBERED), **tickets})
    return RunFolder(building=building, run=RUN, numbers=NUMBERED)


def deliver(folder: RunFolder, folders: Path) -> None:
    deliver_run(folder, archive=folders / "archive", outbox=folders / "outbox")
    for number in NUMBERED.values():
        note_of(folders / "archive", number).unlink(missing_ok=True)


def files(folders: Path) -> list[str]:
    return sorted(str(path.relative_to(folders)) for path in folders.rglob("*") if path.is_file())


DELIVERED = [
    "archive/apple/apple.png",
    "archive/apple/apple_ticket.toml",
    "archive/birch/birch.png",
    "archive/birch/birch_ticket.toml",
    f"outbox/{RUN}/apple_ticket.toml",
    f"outbox/{RUN}/birch_ticket.toml",
    f"outbox/{RUN}/{RUN}_sheets.pdf",
]


def test_art_and_tickets_go_to_the_archive_and_the_run_to_the_outbox(folder: RunFolder, folders: Path) -> None:
    deliver(folder, folders)
    assert files(folders) == DELIVERED


def test_delivering_twice_changes_nothing(folder: RunFolder, folders: Path) -> None:
    deliver(folder, folders)
    deliver(folder, folders)
    assert files(folders) == DELIVERED


@pytest.mark.parametrize("taken", ["archive/birch", f"outbox/{RUN}", "outbox/apple"])
def test_a_name_that_was_taken_meanwhile_moves_nothing(folder: RunFolder, folders: Path, taken: str) -> None:
    (folders / taken).mkdir()
    before = files(folders)
    with pytest.raises(NameTaken):
        deliver(folder, folders)
    assert files(folders) == before


def test_a_run_whose_delivery_had_not_begun_is_not_cut_short(folder: RunFolder, folders: Path) -> None:
    assert list(runs_cut_short(folders / "archive")) == []


def test_an_earlier_order_of_the_same_name_is_none_of_the_run(folder: RunFolder, folders: Path) -> None:
    (folders / "archive/apple").mkdir()
    (folders / "archive/apple/apple_ticket.toml").write_text('order = "apple"')
    assert list(runs_cut_short(folders / "archive")) == []


def test_one_that_had_begun_is_completed_from_the_folders(folder: RunFolder, folders: Path) -> None:
    taking = taking_folder(folders / "archive", 3)
    (taking / "apple_ticket.toml").write_bytes((folder.building / "apple_ticket.toml").read_bytes())
    taking.rename(folders / "archive/apple")
    (found,) = runs_cut_short(folders / "archive")
    deliver(found, folders)
    note_of(folders / "archive", 3).unlink(missing_ok=True)
    assert files(folders) == DELIVERED


def test_a_name_that_is_no_text_is_completed_too(folders: Path) -> None:
    """Bytes of a name that are no UTF-8 stand in the ticket as replacement signs."""
    numbers = {"caf\udce9": 3, "birch": 5}
    orders = [as_utf8(name) for name in numbers]
    tickets = {
        f"{name}_ticket.toml": tomli_w.dumps({"order": as_utf8(name), "run": RUN, "run_orders": orders}).encode()
        for name in numbers
    }
    building = run_building_folder(folders / "archive", 3)
    write_product(building, {f"{RUN}_sheets.pdf": b"%PDF", NUMBERS: numbers_file(numbers), **tickets})
    taking = taking_folder(folders / "archive", 5)
    (taking / "birch_ticket.toml").write_bytes(tickets["birch_ticket.toml"])
    taking.rename(folders / "archive/birch")
    (found,) = runs_cut_short(folders / "archive")
    assert found.numbers == numbers
    deliver(found, folders)
    assert (folders / "archive" / "caf\udce9" / "apple.png").exists()


def test_one_without_all_of_its_tickets_was_not_finished(folder: RunFolder, folders: Path) -> None:
    deliver(folder, folders)
    (folders / "outbox" / RUN).rename(folder.building)
    (folder.building / "birch_ticket.toml").unlink()
    assert list(runs_cut_short(folders / "archive")) == []


def test_a_name_taken_when_others_lie_in_the_archive_already_loses_nothing(folder: RunFolder, folders: Path) -> None:
    taking_folder(folders / "archive", 3).rename(folders / "archive/apple")
    (folders / "archive/birch").mkdir()
    deliver(folder, folders)
    assert (folders / "archive/birch-2/birch.png").read_text() == "birch"
    kept = tomllib.loads((folders / "archive/birch-2/birch-2_ticket.toml").read_text())
    assert kept["run"] == RUN
