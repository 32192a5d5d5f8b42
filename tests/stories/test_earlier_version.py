"""A print folder that an earlier version left behind goes on with this one: all is finished once, nothing is lost.

`earlier_version.zip` holds print folders as commit d3cb087 left them: `shop` after an ordinary day, and
`killed-at-STEP`, where the service was killed by `PRINT_FOLDER_KILL_AT=STEP`. They were made by that commit's own
`print-folder once`, `align` and `repeat` from flat art of two colours. To keep the file small, the instructions and
previews in it were emptied, and its log and lock were left out; the folder's own path is written as THE-FOLDER.
"""

import re
import tomllib
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.run_command import run_command
from tests.stories.shop_files import ticket
from tests.whole_folder import contents, left_lying
from watcher.records.journal import read_journal
from watcher.records.order_life import State
from watcher.service.loop import Service

Once = Callable[[Path], Service]
Draw = Callable[..., Path]
Run = Callable[..., tuple[int, str]]

PX = (131, 88)  # 40 x 25 mm with 3 mm bleed at 72 ppi
DONE = ["lantern", "acorn", "fern", "table", "apple", "birch", "cedar", "lantern-2"]
HELD = ["heron", "moss", "poppy", "wren"]
CUT_SHORT = ["file-moved", "hashed", "made", "delivering", "archived", "published"]


@pytest.fixture
def unpack(tmp_path: Path) -> Callable[[str], Path]:
    """Unpack one of the print folders."""

    def unpack(name: str) -> Path:
        with zipfile.ZipFile(Path(__file__).with_name("earlier_version.zip")) as archive:
            archive.extractall(tmp_path, [member for member in archive.namelist() if member.startswith(f"{name}/")])
        folder = tmp_path / name
        for file in (*folder.rglob("*.json"), *folder.rglob("*.toml")):
            file.write_bytes(file.read_bytes().replace(b"THE-FOLDER", str(folder).encode()))
        return folder

    return unpack


@pytest.fixture
def shop(unpack: Callable[[str], Path]) -> Path:
    """The print folder after an ordinary day."""
    return unpack("shop")


@pytest.fixture
def run(shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], inline_workers: None) -> Run:
    """Run a command on that folder; gives exit code and output."""

    def call(*words: str) -> tuple[int, str]:
        code, out, _ = run_command(monkeypatch, capsys, *words, "--settings", shop / "settings.toml")
        return code, out

    return call


def states(folder: Path) -> dict[str, State]:
    """What the journal says last of each order, by its folder."""
    journal = read_journal(folder / "state")
    assert journal is not None
    with closing(journal):
        return {entry.folder: entry.state for entry in reversed(journal.in_state(*State))}


# -- after an ordinary day ---------------------------------------------------------------------------------------------


def test_a_round_of_work_changes_nothing_in_it(shop: Path, once: Once) -> None:
    before = contents(shop, "inbox", "held", "archive", "outbox/lantern")
    known = states(shop)
    service = once(shop)
    assert (service.making.made, service.making.held) == (0, 0)
    assert states(shop) == known
    assert before <= contents(shop, "inbox", "held", "archive", "outbox/lantern")
    assert left_lying(shop) == []


def test_status_shows_what_waits_is_held_and_is_finished(run: Run) -> None:
    code, said = run("status")
    assert code == 1
    assert "otter" in said
    for order in (*HELD, "lantern", "acorn", "fern", "table", "run-2026-11-30"):
        assert order in said, order


def test_orders_lists_all_that_were_made(run: Run) -> None:
    code, said = run("orders")
    assert code == 0
    assert {line.partition(":")[0] for line in said.splitlines()[:-1]} == set(DONE)
    assert said.splitlines()[-1].startswith("8 orders: 20 cards, 6 sheets")


@pytest.mark.parametrize("order", ["lantern", "acorn", "fern", "table", "apple"])
def test_each_order_can_be_repeated(shop: Path, run: Run, order: str) -> None:
    """Of two sides, one-sided, folded, of several designs, and one that shared its sheets with others."""
    code, said = run("repeat", order)
    assert (code, f"{order} again" in said) == (1, True), said  # 1: otter waits
    again = next(name for name, state in states(shop).items() if name not in (*DONE, *HELD) and state is State.DONE)
    then = tomllib.loads((shop / f"archive/{order}/{order}_ticket.toml").read_text())
    now = tomllib.loads((shop / f"archive/{again}/{again}_ticket.toml").read_text())
    assert [art["sha256"] for art in now["art"]] == [art["sha256"] for art in then["art"]]
    assert (now["quantity"], now["sheet"]["name"]) == (then["quantity"], then["sheet"]["name"])


def test_a_repeat_is_printed_with_the_correction_that_was_measured(shop: Path, run: Run) -> None:
    run("repeat", "lantern")
    again = ticket(shop, "lantern-3")["settings"]["align"]
    assert again == ticket(shop, "lantern")["settings"]["align"]
    assert again["shift"] == ["0.8 mm", "-0.5 mm"]


def test_the_same_art_again_is_known(shop: Path, once: Once) -> None:
    for side in ("front", "back"):
        name = f"lantern_x4_{side}.png"
        (shop / "inbox" / name).write_bytes((shop / "archive/lantern" / name).read_bytes())
    assert once(shop).making.made == 0
    assert "the same art again" in (shop / "outbox/log.txt").read_text()


def test_a_late_partner_finds_its_half_in_held(shop: Path, once: Once, draw_card: Draw) -> None:
    draw_card(shop / "inbox/heron_back.png", PX)
    assert once(shop).making.made == 1
    assert not (shop / "held/heron").exists()
    assert {path.name for path in (shop / "archive/heron").glob("*.png")} == {"heron_back.png", "heron_front.png"}


def test_a_late_partner_finds_its_half_in_the_inbox(shop: Path, once: Once, draw_card: Draw) -> None:
    draw_card(shop / "inbox/otter_back.png", PX)
    assert once(shop).making.made == 1
    assert states(shop)["otter"] is State.DONE


@pytest.mark.parametrize("order", ["wren", "moss", "poppy"])
def test_ok_in_held_is_honoured(shop: Path, once: Once, order: str) -> None:
    """Art of too few pixels or of another shape is printed anyway; the customer has said yes."""
    (shop / "held" / order).rename(shop / "held" / f"{order} ok")
    assert once(shop).making.made == 1
    assert (shop / f"outbox/{order}/{order}_sheets.pdf").is_file()
    assert not list((shop / "held").glob(f"{order}*"))


def test_retry_takes_a_held_order_up_again(shop: Path, run: Run) -> None:
    code, said = run("retry", "wren")
    assert (code, "wren: held" in said) == (1, True)
    assert (shop / "held/wren/why.txt").is_file()


def test_retry_anyway_prints_it(shop: Path, run: Run) -> None:
    run("retry", "wren", "--anyway")
    assert states(shop)["wren"] is State.DONE


def test_mended_art_takes_the_place_of_what_was_held(shop: Path, once: Once, draw_card: Draw) -> None:
    for side in ("front", "back"):
        draw_card(shop / f"inbox/wren_{side}.png", PX, word=side)
    assert once(shop).making.made == 1
    assert (shop / "held/wren-2").is_dir()


def test_a_lost_journal_is_rebuilt_from_the_archive(shop: Path, once: Once) -> None:
    for file in (shop / "state").glob("journal.sqlite*"):
        file.unlink()
    assert once(shop).making.made == 0
    assert {name for name, state in states(shop).items() if state is State.DONE} == set(DONE)


# -- cut short ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("step", CUT_SHORT)
def test_an_order_cut_short_is_finished_once(unpack: Callable[[str], Path], once: Once, step: str) -> None:
    folder = unpack(f"killed-at-{step}")
    art = {path.read_bytes() for path in folder.rglob("lantern_x4_*.png")}
    once(folder)
    assert states(folder) == {"lantern": State.DONE}
    assert {path.read_bytes() for path in (folder / "archive/lantern").glob("*.png")} == art
    names = {"card.png", "instructions.pdf", "preview.png", "sheets.pdf", "ticket.toml"}
    assert {path.name for path in (folder / "outbox/lantern").iterdir()} == {f"lantern_{name}" for name in names}
    assert [path for path in (folder / "inbox").rglob("*") if path.is_file()] + left_lying(folder) == []
    assert (folder / "outbox/log.txt").read_text().count("lantern: made") == 1


@pytest.mark.parametrize("step", CUT_SHORT)
def test_a_second_round_makes_nothing_again(unpack: Callable[[str], Path], once: Once, step: str) -> None:
    folder = unpack(f"killed-at-{step}")
    once(folder)
    assert (once(folder).making.made, len(list((folder / "outbox").glob("*/")))) == (0, 1)


def test_a_run_cut_short_is_finished_once(unpack: Callable[[str], Path], once: Once) -> None:
    folder = unpack("killed-at-run-made")
    once(folder)
    assert states(folder) == dict.fromkeys(("apple", "birch", "cedar"), State.DONE)
    (run,) = [path.name for path in (folder / "outbox").glob("*/")]
    assert re.fullmatch(r"run-\d{4}-\d\d-\d\d", run)  # the day on which it is made
    assert {path.name for path in (folder / "archive").iterdir()} == {"apple", "birch", "cedar"}
    log = (folder / "outbox/log.txt").read_text()
    assert [log.count(f"{name}: made") for name in ("apple", "birch", "cedar", run)] == [1, 1, 1, 1]
