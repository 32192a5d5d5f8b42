"""`print-folder check`: what the settings alone tell, and that art is judged by the printer it is for."""

from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from watcher.commands.check_report import check_art, describe_settings
from watcher.errors import ExitCode
from watcher.service.loop import Service
from watcher.settings.load import load_settings

SQUARE = """
[cards.coaster]
trim = "90 x 90 mm"
bleed = "3 mm"
sides = 1
sheet = "a4"
warn_ppi = 60
hold_ppi = 40
"""


@pytest.fixture
def shop(print_folder: Path) -> Path:
    file = print_folder / "settings.toml"
    file.write_text(file.read_text() + SQUARE)
    return print_folder


def said(shop: Path) -> list[str]:
    return [line.text for line in describe_settings(load_settings(shop / "settings.toml"))]


def test_a_card_whose_art_cannot_tell_its_bleed_is_warned_of(shop: Path) -> None:
    """Square with bleed and square without have one shape; the words name the key that decides."""
    warnings = [line for line in said(shop) if line.startswith("  warn: ") and "art_bleed" in line]
    assert len(warnings) == 1
    assert "90 x 90 mm" in warnings[0]
    assert "96 x 96 mm" in warnings[0]


def test_a_card_that_says_its_bleed_is_not_warned_of(shop: Path) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('trim = "90 x 90 mm"', 'trim = "90 x 90 mm"\nart_bleed = "3 mm"'))
    assert not [line for line in said(shop) if "art_bleed" in line]


def test_no_turn_is_told_in_degrees(shop: Path) -> None:
    (backs, *_) = (line for line in said(shop) if line.startswith("  backs: ") and "none" not in line)
    assert "a card turned like a book page shows its back" in backs
    assert "°" not in backs


def test_how_the_cards_lie_is_told(shop: Path) -> None:
    assert any("all upright" in line for line in said(shop))


@pytest.mark.parametrize(
    ("lines", "who"),
    [
        ("", "the printer turns the sheet on the"),
        ('duplex = "manual"', "you turn the stack on the"),
        (
            'duplex = "manual"\nreload = "printed side down, top edge first"',
            "you put the stack back in (printed side down, top edge first), which turns the sheet on the",
        ),
    ],
)
def test_who_turns_the_sheet_is_told(shop: Path, lines: str, who: str) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace('flip = "long-edge"', f'flip = "long-edge"\n{lines}'))
    (backs, *_) = (line for line in said(shop) if line.startswith("  backs: ") and "none" not in line)
    assert backs.startswith(f"  backs: {who} long edge")


def test_a_folder_of_notes_within_the_print_folder_is_warned_of_for_those_who_sync_it(
    shop: Path, tmp_path: Path
) -> None:
    def warned() -> list[str]:
        return [line for line in said(shop) if "If this print folder is synced between machines" in line]

    assert len(warned()) == 1
    file = shop / "settings.toml"
    file.write_text(file.read_text() + f'[folders]\nstate = "{tmp_path / "elsewhere"}"\n')
    assert warned() == []


@pytest.fixture
def inky(tmp_path: Path) -> Path:
    """CMYK art of 230 % of ink all over."""
    file = tmp_path / "art" / "sun.tif"
    file.parent.mkdir()
    Image.new("CMYK", (258, 173), (153, 128, 51, 255)).save(file)
    return file


def limited(shop: Path, percent: int) -> None:
    file = shop / "settings.toml"
    file.write_text(file.read_text().replace("[printers.office]", f"[printers.office]\nink_limit = '{percent} %'"))


@pytest.mark.parametrize(("percent", "count"), [(220, 1), (240, 0)])
def test_check_judges_ink_by_the_printer(
    shop: Path, inky: Path, inline_workers: None, percent: int, count: int
) -> None:
    limited(shop, percent)
    lines = list(check_art(load_settings(shop / "settings.toml"), [inky], "tag"))
    assert len([line for line in lines if f"{percent} % is the limit" in line.text]) == count


def test_an_order_is_judged_by_the_printer_too(shop: Path, inky: Path, once: Callable[[Path], Service]) -> None:
    limited(shop, 220)
    (shop / "inbox" / "tag").mkdir(exist_ok=True)
    inky.rename(shop / "inbox" / "tag" / inky.name)
    assert once(shop).making.made == 1
    assert 'code = "too-much-ink"' in (shop / "outbox/sun/sun_ticket.toml").read_text()


def replaced(shop: Path, before: str, after: str) -> None:
    file = shop / "settings.toml"
    assert before in file.read_text()
    file.write_text(file.read_text().replace(before, after))


def test_a_card_that_fits_no_sheet_is_not_right(shop: Path) -> None:
    replaced(shop, 'trim = "85 x 55 mm"', 'trim = "300 x 400 mm"')
    first, *rest = describe_settings(load_settings(shop / "settings.toml"))
    assert first.text.endswith("settings.toml: tag does not fit its sheet.")
    assert first.exit_code is ExitCode.USAGE
    assert any(line.text.startswith("  does not fit: Not one card fits: 300 x 400 mm") for line in rest)


def test_a_card_that_fits_another_sheet_of_the_settings_is_told_which(shop: Path) -> None:
    replaced(shop, 'trim = "85 x 55 mm"', 'trim = "300 x 400 mm"')
    file = shop / "settings.toml"
    file.write_text(file.read_text() + '\n[sheets.poster]\nsize = "A2"\nprinter = "office"\n')
    assert any('In these settings it fits with sheet = "poster" (1 on a sheet).' in line for line in said(shop))


def test_a_near_miss_stands_below_its_card(shop: Path) -> None:
    """Two coasters beside each other on A4: 2 x 90 + 6 + 6 of 210 mm leave 9 mm on each side."""
    replaced(shop, 'size = "A4"', 'size = "A4"\nunprintable = "9.5 mm"')
    lines = said(shop)
    (near,) = [line for line in lines if "less rim would put 4 on a sheet instead of 2" in line]
    assert near.startswith('  nearly: 1 mm less rim would put 4 on a sheet instead of 2: unprintable = "9 mm"')
    assert max(i for i, line in enumerate(lines) if line.startswith("coaster: ")) < lines.index(near)


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('bleed = "3 mm"', 'bleed = "0.125 mm"', "bleed of coaster is 0.125 mm; did you mean 0.125 in?"),
        ('size = "A4"', 'size = "A4"\nunprintable = "0.25 mm"', "top is 0.25 mm; did you mean 0.25 in?"),
    ],
)
def test_a_length_in_a_unit_that_cannot_be_meant_is_warned_of(shop: Path, before: str, after: str, says: str) -> None:
    replaced(shop, before, after)
    assert any(line.startswith("  warn: ") and says in line for line in said(shop))


def test_art_for_a_card_that_fits_no_sheet_would_be_held(
    shop: Path, inline_workers: None, draw_card: Callable[..., Path], tmp_path: Path
) -> None:
    replaced(shop, 'trim = "85 x 55 mm"', 'trim = "850 x 550 mm"')
    art = draw_card(tmp_path / "sun.png", (856, 556))
    lines = list(check_art(load_settings(shop / "settings.toml"), [art], "tag"))
    assert [line.exit_code for line in lines] == [ExitCode.HELD]
    assert "held: Not one card fits" in lines[0].text


@pytest.mark.parametrize(("up", "level"), [("1 mm", "warn"), ("3 mm", "hold")])
def test_a_correction_that_eats_bleed_is_mentioned_with_and_without_art(
    shop: Path, inline_workers: None, draw_card: Callable[..., Path], tmp_path: Path, up: str, level: str
) -> None:
    """Two invitations fill the letter sheet but for its rim: moving the backs up takes as much off their bleed."""
    replaced(
        shop, 'flip = "long-edge"', f'flip = "long-edge"\n[printers.office.align.letter]\nshift = ["0 mm", "{up}"]'
    )
    settings = load_settings(shop / "settings.toml")
    art = [draw_card(tmp_path / f"sun_{side}.png", word=side) for side in ("front", "back")]
    words = f"  {level}: The correction of office on letter moves the backs into the rim"
    assert any(line.text.startswith(words) for line in describe_settings(settings))
    assert any(line.text.startswith(words) for line in check_art(settings, art, None))
    assert any("of the 0.125 in of bleed" in line.text for line in describe_settings(settings))


def test_many_designs_are_checked_as_they_are_made(
    shop: Path, inline_workers: None, draw_card: Callable[..., Path], tmp_path: Path
) -> None:
    """Each page or file is a design of its own, none a second front of the same card."""
    art = [draw_card(tmp_path / f"guest-{number}.png", (258, 173), word=str(number)) for number in (1, 2, 3)]
    (tmp_path / "guest.toml").write_text('designs = 3\ncard = "tag"\nquantity = 4')
    lines = list(check_art(load_settings(shop / "settings.toml"), [*art, tmp_path / "guest.toml"], None))
    assert all(line.is_well for line in lines), [line.text for line in lines]
    assert "3 designs" in lines[0].text


def test_a_design_that_is_not_there_is_named(
    shop: Path, inline_workers: None, draw_card: Callable[..., Path], tmp_path: Path
) -> None:
    art = [draw_card(tmp_path / f"guest-{number}.png", (258, 173), word=str(number)) for number in (1, 3)]
    (tmp_path / "guest.toml").write_text('designs = 3\ncard = "tag"')
    lines = list(check_art(load_settings(shop / "settings.toml"), [*art, tmp_path / "guest.toml"], None))
    assert not lines[-1].is_well
    assert "2" in lines[-1].text


def test_check_leaves_nothing_behind(
    shop: Path, inline_workers: None, draw_card: Callable[..., Path], tmp_path: Path
) -> None:
    draw_card(shop / "back.png", word="B")
    replaced(shop, "overs = ", 'common_back = "back.png"\novers = ')
    (tmp_path / "art").mkdir()
    art = draw_card(tmp_path / "art/sun.png")
    before = sorted(path for path in tmp_path.rglob("*"))
    lines = list(check_art(load_settings(shop / "settings.toml"), [art], None))
    assert all(line.is_well for line in lines), [line.text for line in lines]
    assert sorted(path for path in tmp_path.rglob("*")) == before


def test_a_repeat_of_what_is_not_in_the_archive_would_be_held(shop: Path) -> None:
    ticket = shop / "again.toml"
    ticket.write_text('repeat = "lantren"\n')
    (line,) = check_art(load_settings(shop / "settings.toml"), [ticket], None)
    assert line.exit_code is ExitCode.HELD
    assert "lantren" in line.text


def test_a_pdf_that_may_not_be_printed_is_refused_in_one_sentence(shop: Path, inline_workers: None) -> None:
    file = shop / "lantern.pdf"
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(file, encryption=pikepdf.Encryption(owner="o", user="u"))
    (line,) = check_art(load_settings(shop / "settings.toml"), [file], None)
    assert line.exit_code is ExitCode.HELD
    assert line.text.count("lantern.pdf") == 1
    assert ".." not in line.text
