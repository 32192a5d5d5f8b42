"""A gutter below twice the bleed is warned of, with both numbers, in `check` and with the order."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from watcher.commands.check_report import check_art, describe_settings
from watcher.service.loop import Service
from watcher.settings.load import load_settings

Once = Callable[[Path], Service]
PX = (258, 173)  # 85 x 55 mm with 3 mm bleed at about 72 ppi
CODE = "narrow-gutter"


def with_gutter(folder: Path, gutter: str) -> None:
    file = folder / "settings.toml"
    file.write_text(file.read_text().replace('size = "A4"', f'size = "A4"\ngutter = "{gutter}"'))


def draw(path: Path, ground: str = "#c03030", stripe: str | None = None) -> Path:
    """A card with something in the middle; with a stripe along its lower edge."""
    image = Image.new("RGB", PX, ground)
    pen = ImageDraw.Draw(image)
    pen.rectangle([80, 60, 160, 100], fill="white")
    if stripe:
        pen.rectangle([0, 160, PX[0], PX[1]], fill=stripe)
    path.parent.mkdir(parents=True, exist_ok=True)
    image.save(path)
    return path


def findings(folder: Path, name: str = "sun") -> dict[str, str]:
    (file,) = (folder / "outbox").glob(f"*/{name}_ticket.toml")
    return {one["code"]: one["message"] for one in tomllib.loads(file.read_text())["findings"]}


@pytest.mark.parametrize("gutter", ["0 mm", "0.5 mm", "1 mm", "5.9 mm"])
def test_an_order_whose_edge_is_not_one_colour_is_warned_with_both_numbers(
    print_folder: Path, once: Once, gutter: str
) -> None:
    with_gutter(print_folder, gutter)
    draw(print_folder / "inbox/tag/sun.png", stripe="#3030c0")
    once(print_folder)
    said = findings(print_folder)[CODE]
    assert f"lie {gutter} apart" in said
    assert "twice the bleed of tag is 6 mm" in said
    assert "sun.png is not one flat colour along its edges" in said


def test_art_of_one_colour_along_its_edges_is_no_news(print_folder: Path, once: Once) -> None:
    with_gutter(print_folder, "0 mm")
    draw(print_folder / "inbox/tag/sun.png")
    once(print_folder)
    assert CODE not in findings(print_folder)


@pytest.mark.parametrize("gutter", ["6 mm", "8 mm"])
def test_a_gutter_wide_enough_is_no_news(print_folder: Path, once: Once, gutter: str) -> None:
    with_gutter(print_folder, gutter)
    draw(print_folder / "inbox/tag/sun.png", stripe="#3030c0")
    once(print_folder)
    assert CODE not in findings(print_folder)


@pytest.mark.parametrize(("second", "warned"), [("#c03030", False), ("#30c030", True)])
def test_designs_that_meet_in_other_colours_are_warned_of(
    print_folder: Path, once: Once, second: str, warned: bool
) -> None:
    with_gutter(print_folder, "0 mm")
    for number, colour in enumerate(("#c03030", second), start=1):
        draw(print_folder / f"inbox/tag/guest-{number}.png", colour)
    (print_folder / "inbox/tag/guest.toml").write_text("designs = 2")
    once(print_folder)
    assert (CODE in findings(print_folder, "guest")) is warned


def test_a_gang_run_of_other_colours_is_warned_of(print_folder: Path, once: Once) -> None:
    with_gutter(print_folder, '0 mm"\ngang = true\nmarks = "crop')
    for name, colour in (("sun", "#c03030"), ("moon", "#30c030")):
        draw(print_folder / f"inbox/tag/{name}.png", colour)
    once(print_folder)
    assert "The fronts do not have the same colour along their edges" in findings(print_folder)[CODE]


def test_check_warns_before_any_art_comes(print_folder: Path) -> None:
    with_gutter(print_folder, "1 mm")
    lines = [line.text for line in describe_settings(load_settings(print_folder / "settings.toml"))]
    (said,) = [line for line in lines if "(gutter)" in line]
    assert said.startswith("  warn: The cards on a4 lie 1 mm apart (gutter), but twice the bleed of tag is 6 mm.")
    assert 'write gutter = "6 mm"' in said


def test_check_of_art_warns_like_the_order(print_folder: Path, inline_workers: None, tmp_path: Path) -> None:
    with_gutter(print_folder, "1 mm")
    art = draw(tmp_path / "sun.png", stripe="#3030c0")
    lines = [line.text for line in check_art(load_settings(print_folder / "settings.toml"), [art], "tag")]
    assert any("sun.png is not one flat colour along its edges" in line for line in lines)
