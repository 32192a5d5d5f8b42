"""`print-folder orders` and `remove`."""

import json
import shutil
import tomllib
from collections.abc import Callable
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from watcher.archive.listing import list_orders
from watcher.commands.app import main
from watcher.commands.orders_report import lines, print_list
from watcher.records.timestamps import say_day
from watcher.service.loop import Service

Once = Callable[[Path], Service]

# Letter is 8.5 x 11 in, two 5 x 7 in cards lie on it: 1 - 2 * 35 / 93.5. A4 is 210 x 297 mm (ISO 216), tags 85 x 55.
LETTER_WASTE = 100 * (1 - 70 / 93.5)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the print folder below is kept for the next test, once the first one has made it."""
    return tmp_path_factory.mktemp("filled") / "shop"


@pytest.fixture
def shop(
    print_folder: Path, filled: Path, once: Once, drop_pair: Callable[..., None], draw_card: Callable[..., Path]
) -> Path:
    """Ten lanterns, repeated once, and three tags called night."""
    if filled.exists():
        return shutil.copytree(filled, print_folder, dirs_exist_ok=True)
    drop_pair(print_folder / "inbox", "lantern_x10")
    draw_card(print_folder / "inbox/tag/night_x3.png", (258, 173))
    (print_folder / "inbox/night.toml").write_text("quantity = 3")
    (print_folder / "inbox/night.toml").rename(print_folder / "inbox/tag/night.toml")
    once(print_folder)
    (print_folder / "inbox/again.toml").write_text('repeat = "lantern"\nquantity = 4\nnote = "for the Harbour Ball"')
    once(print_folder)
    shutil.copytree(print_folder, filled)
    return print_folder


def call(folder: Path, monkeypatch: pytest.MonkeyPatch, *words: str) -> int | str | None:
    monkeypatch.setattr("sys.argv", ["print-folder", *words, "--settings", str(folder / "settings.toml")])
    with pytest.raises(SystemExit) as ended:
        main()
    return ended.value.code


def names(folder: Path, text: str = "", since: date | None = None) -> set[str]:
    return {entry.folder for entry in list_orders(folder / "archive", text, since).entries}


def test_everything_that_was_made_is_listed_and_searched(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    made = list_orders(shop / "archive").entries[0].made_at[:10]
    assert call(shop, monkeypatch, "orders") == 0
    out = capsys.readouterr().out.splitlines()
    waste = f"2 on a sheet, {LETTER_WASTE:.0f} % waste, made {say_day(date.fromisoformat(made))}"
    assert f"lantern: invitation, 10 cards, 6 sheets letter, {waste}, repeated 1 x" in out
    assert f"lantern-2: invitation, 4 cards, 3 sheets letter, {waste}, repeat of lantern" in out
    assert out[-1].startswith("3 orders: 17 cards, 10 sheets, ")
    assert names(shop, "LANT") == {"lantern", "lantern-2"}
    assert names(shop, "ball invitation") == {"lantern-2"}
    assert names(shop, "tag") == {"night"}
    assert names(shop, since=date.fromisoformat(made)) == {"lantern", "lantern-2", "night"}
    assert names(shop, since=date(2999, 1, 1)) == set()


def test_json_sums_the_paper(shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Letter: 9 sheets of 0.2159 x 0.2794 m; A4: one of 0.210 x 0.297 m, its waste told by the ticket's own places."""
    assert call(shop, monkeypatch, "orders", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    ticket = tomllib.loads((shop / "archive/night/night_ticket.toml").read_text())
    a4_waste = 100 * (1 - ticket["up"] * 85 * 55 / (210 * 297))
    letter, a4 = 9 * 0.2159 * 0.2794, 0.210 * 0.297
    assert ticket["waste_percent"] == pytest.approx(a4_waste, abs=0.005)
    assert told["paper_use"]["paper_m2"] == pytest.approx(letter + a4, abs=1e-4)
    assert told["paper_use"]["waste_percent"] == pytest.approx(
        (LETTER_WASTE * letter + a4_waste * a4) / (letter + a4), abs=0.01
    )
    again = next(order for order in told["orders"] if order["order"] == "lantern-2")
    assert (again["repeat_of"], again["quantity"], again["note"]) == ("lantern", 4, "for the Harbour Ball")
    assert {order["order"]: order["times_repeated"] for order in told["orders"]}["lantern"] == 1


def test_a_screen_lists_the_newest_and_says_how_many_more_there_are(
    shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("watcher.commands.orders.MOST_ON_A_SCREEN", 1)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert call(shop, monkeypatch, "orders") == 0
    out = capsys.readouterr().out
    assert sum(name in out for name in ("night", "lantern-2")) == 1  # made within a second of each other
    assert "3 orders: 17 cards" in out
    assert out.splitlines()[-1].startswith("The newest 1 are listed, 2 more are not:")


def test_on_a_terminal_it_is_a_list(shop: Path) -> None:
    console = Console(file=StringIO(), width=140, markup=False)
    print_list(list_orders(shop / "archive"), console)
    shown = console.file.getvalue()  # type: ignore[attr-defined]
    assert "lantern: invitation, 10 cards, 6 sheets letter, " in shown
    assert "repeat of lantern" in shown
    assert "3 orders: 17 cards" in shown


def test_an_empty_archive_is_no_fault(
    print_folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(print_folder, monkeypatch, "orders", "moon") == 0
    assert capsys.readouterr().out == "No orders.\n"


def test_folders_and_tickets_that_are_not_ours_are_passed_over(shop: Path) -> None:
    archive = shop / "archive"
    for name, text in {
        "mine": None,
        "broken": "order = ",
        "poor": 'order = "poor"',
        "outside": (archive / "night/night_ticket.toml").read_text().replace('"night_x3.png"', '"../../x.png"'),
    }.items():
        (archive / name).mkdir()
        if text is not None:
            (archive / name / f"{name}_ticket.toml").write_text(text)
    (archive / "a note.txt").write_text("hello")
    assert names(shop) == {"lantern", "lantern-2", "night"}


def test_a_name_is_never_obeyed_by_the_terminal(shop: Path) -> None:
    ticket = shop / "archive/night/night_ticket.toml"
    ticket.write_text(ticket.read_text().replace('card = "tag"', 'card = "\\u001b[2J"'))
    assert all(line.isprintable() for line in lines(list_orders(shop / "archive")))


class TestRemove:
    def test_says_what_goes_and_takes_it_out(
        self, shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert call(shop, monkeypatch, "remove", "lantern", "--yes") == 0
        said = capsys.readouterr().out
        assert "lantern (10 cards, invitation, made " in said
        assert "leaves the archive with 3 files; it cannot be repeated any more. Its sheets in the outbox stay." in said
        assert sorted(path.name for path in (shop / "archive").iterdir()) == ["lantern-2", "night"]
        assert (shop / "outbox/lantern/lantern_sheets.pdf").exists()
        assert "lantern: taken out of the archive by hand" in (shop / "outbox/log.txt").read_text()

    @pytest.mark.parametrize("answer", ["n", ""])
    def test_asks_first(self, shop: Path, monkeypatch: pytest.MonkeyPatch, answer: str) -> None:
        monkeypatch.setattr("sys.stdin", StringIO(f"{answer}\n"))
        assert call(shop, monkeypatch, "remove", "lantern") == 0
        assert (shop / "archive/lantern").is_dir()

    @pytest.mark.parametrize("name", ["lantren", "../inbox"])
    def test_of_what_is_not_there_removes_nothing(
        self, shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
    ) -> None:
        assert call(shop, monkeypatch, "remove", name, "--yes") == 2
        assert "in the archive" in capsys.readouterr().err
        assert names(shop) == {"lantern", "lantern-2", "night"}

    def test_refuses_while_a_repeat_of_it_is_on_its_way(
        self, shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], once: Once
    ) -> None:
        (shop / "inbox/again.toml").write_text('repeat = "Lantern"')
        with monkeypatch.context() as killed:
            killed.setattr("watcher.service.life.job_for.bring_art", lambda *_: (_ for _ in ()).throw(SystemExit))
            with pytest.raises(SystemExit):
                once(shop)
        assert call(shop, monkeypatch, "remove", "lantern", "--yes") == 2
        assert "are being made now" in capsys.readouterr().err
        assert once(shop).making.made == 1
        assert call(shop, monkeypatch, "remove", "lantern", "--yes") == 0

    def test_that_was_cut_short_is_completed_at_the_next_start(self, shop: Path, once: Once) -> None:
        (shop / "archive/lantern").rename(shop / "archive/.lantern.gone")
        once(shop)
        assert sorted(path.name for path in (shop / "archive").iterdir()) == ["lantern-2", "night"]
