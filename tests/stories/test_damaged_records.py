"""A ticket in the archive, or a note of what is held, that is damaged: it is named, with the way out."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.run_command import run_command
from tests.stories.a_repeat import ask
from tests.stories.shop_files import why
from watcher.commands.app import main
from watcher.service.loop import Service

Once = Callable[[Path], Service]


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda file: file.write_bytes(file.read_bytes()[:40]), "its lantern_ticket.toml is damaged: it breaks off"),
        (lambda file: file.write_bytes(b"a = 1\nb = \n"), "its lantern_ticket.toml is damaged: line 2 cannot be read"),
        (lambda file: file.write_bytes(b"\xff\xfe"), "its lantern_ticket.toml is damaged: it is no text"),
        (lambda file: file.write_text('order = "lantern"'), "is damaged: the entry made_at is missing"),
        (lambda file: file.unlink(), "its lantern_ticket.toml is missing"),
    ],
)
def test_a_damaged_ticket_is_named_with_the_way_out(made: Path, once: Once, damage: Callable, said: str) -> None:
    damage(made / "archive/lantern/lantern_ticket.toml")
    ask(made, 'repeat = "lantern"')
    once(made)
    text = why(made, "lantern")
    assert "lantern lies in the archive, but " in text
    assert said in text
    assert "Its art is there: lantern_x50_back.png, lantern_x50_front.png. To have it made anew, copy the art" in text


def test_orders_and_remove_name_what_is_damaged(made: Path, capsys, monkeypatch) -> None:
    (made / "archive/lantern/lantern_ticket.toml").write_text("order = ")
    for words, code in ((["orders"], 0), (["remove", "lantern", "--yes"], 2)):
        ended, out, err = run_command(monkeypatch, capsys, *words, "--settings", made / "settings.toml")
        assert ended == code
        assert "lantern_ticket.toml is damaged" in " ".join((out + err).split())


def test_a_held_folder_without_a_note_that_can_be_read_is_named(print_folder: Path, capsys, monkeypatch) -> None:
    (print_folder / "held/lantern").mkdir(parents=True)
    (print_folder / "held/lantern/held.toml").write_text("order = ")
    monkeypatch.setattr(
        "sys.argv", ["print-folder", "retry", "lantern", "--settings", str(print_folder / "settings.toml")]
    )
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 2
    assert "held/lantern cannot be taken up again: its held.toml is missing or damaged" in " ".join(
        capsys.readouterr().err.split()
    )
