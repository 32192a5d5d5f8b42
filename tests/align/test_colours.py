"""The colour strip: greys and skin tones where they should be, on one side, inside the rim, always the same bytes."""

from pathlib import Path

import pypdfium2
import pytest

from watcher.align.colours import GREYS, SKIN_TONES, colour_strip
from watcher.align.dialogue import Dialogue
from watcher.align.pages import sheet_files
from watcher.align.printouts import print_colour_strips
from watcher.align.session import FOLDER
from watcher.errors import WrongUsage
from watcher.records.timestamps import local_now
from watcher.settings.values import parse_size

# The values that the scale's author publishes (skintone.google, CC BY 4.0), from memory and seen in two public sources.
MONK = "f6ede4 f3e7db f7ead0 eadaba d7bd96 a07e56 825c43 604134 3a312a 292420"


def strip(settings, name: str) -> bytes:
    sheet = settings.sheets[name]
    (pdf,) = sheet_files(colour_strip(settings.printer_for(sheet), sheet)).values()
    return pdf


@pytest.fixture
def rendered(settings):
    """The strip of a sheet as another program renders it, 2 pixels for a mm."""

    def render(name: str):
        document = pypdfium2.PdfDocument(strip(settings, name))
        try:
            assert len(document) == 1
            return document[0].render(scale=2 * 25.4 / 72).to_pil().convert("RGB")
        finally:
            document.close()

    return render


def test_the_skin_tones_are_those_that_are_published():
    assert " ".join(f"{r:02x}{g:02x}{b:02x}" for _, (r, g, b) in SKIN_TONES) == MONK


def test_the_greys_go_from_white_to_black_in_even_steps():
    levels = [red for _, (red, green, blue) in GREYS if red == green == blue]
    assert (levels[0], levels[-1], len(levels)) == (255, 0, 11)
    assert {one - other for one, other in zip(levels, levels[1:], strict=False)} <= {25, 26}


@pytest.mark.parametrize("name", ["letter", "a4", "wide", "sra3"])
def test_each_colour_stands_on_the_sheet_in_a_patch_of_its_own(rendered, name):
    page = rendered(name)
    found = {colour for count, colour in page.getcolors(page.width * page.height) if count > 150}
    assert {colour for _, colour in (*GREYS, *SKIN_TONES)} <= found


@pytest.mark.parametrize("name", ["letter", "wide", "sra3"])
def test_nothing_stands_in_the_rim(rendered, settings, name):
    page, rim = rendered(name), int(2 * settings.sheets[name].unprintable.left)
    left, top, right, bottom = page.convert("L").point(lambda level: 255 - level).getbbox()
    assert min(left, top, page.width - right, page.height - bottom) >= rim


def test_the_same_strip_has_the_same_bytes(settings):
    assert strip(settings, "letter") == strip(settings, "letter")


def test_a_sheet_that_is_too_small_is_said(settings):
    small = settings.sheets["small"].model_copy(update={"size": parse_size("3 x 5 in")})
    with pytest.raises(WrongUsage, match="too small for a colour strip"):
        colour_strip(settings.printers["laser"], small)


def test_without_a_sheet_each_sheet_of_the_printer_gets_one_and_nothing_is_promised(shop: Path, settings):
    heard: list[str] = []
    print_colour_strips(settings, "laser", None, Dialogue(say=heard.append, listen=lambda _: ""), local_now())
    made = sorted(file.name for file in (shop / FOLDER).iterdir())
    assert made == [f"laser_{name}_colours.pdf" for name in ("a4", "letter", "small", "wide")]
    assert "makes no colour profile" in heard[-1]
