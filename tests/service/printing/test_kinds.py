"""Repeated pages, many designs and gang runs go to the printer as other orders do."""

import io
import zipfile

import pypdf
import pytest

from tests.stand_in_printer import A4, media

TAG_PX = (258, 173)


@pytest.fixture
def a4_shop(print_shop):
    """A print folder whose printer has A4 in it."""
    shop = print_shop()
    shop.printer.attributes["media-col-ready"] = [media(A4)]
    return shop


def pages(shop) -> list[int]:
    """How many pages each document had that arrived."""
    return [len(pypdf.PdfReader(io.BytesIO(job.document)).pages) for job in shop.printer.jobs.values()]


def test_one_sheet_of_repeated_pages_is_two_pages_and_the_rest_are_the_others(print_shop) -> None:
    shop = print_shop()
    shop.settings('size = "letter"', 'size = "letter"\ncopies = "pages"')
    shop.make("lantern_x4")
    shop.rename("lantern", "lantern print 1")
    shop.until(lambda: shop.names == ["lantern"] and shop.printer.paper)
    shop.rename("lantern", "lantern print")
    shop.until(lambda: shop.done == ["lantern"])
    assert pages(shop) == [2, 4]
    assert [job.asked["copies"] for job in shop.printer.jobs.values()] == [[1], [1]]


def test_sheets_of_many_designs_that_differ(a4_shop, draw_card, tmp_path) -> None:
    with zipfile.ZipFile(a4_shop.folder / "inbox/guests.zip", "w") as file:
        for number in range(1, 13):
            file.write(draw_card(tmp_path / f"{number}.png", TAG_PX, word=str(number)), f"{number}.png")
    (a4_shop.folder / "inbox/tag").mkdir(exist_ok=True)
    (a4_shop.folder / "inbox/guests.zip").rename(a4_shop.folder / "inbox/tag/guests.zip")
    a4_shop.until(lambda: a4_shop.names == ["guests"])
    a4_shop.rename("guests", "guests print 1")
    a4_shop.until(lambda: a4_shop.names == ["guests"] and a4_shop.printer.paper)
    a4_shop.rename("guests", "guests print")
    a4_shop.until(lambda: a4_shop.done == ["guests"])
    assert pages(a4_shop) == [1, 1]
    a4_shop.rename("printed/guests", "guests print 1")
    a4_shop.until(lambda: "guests not printed" in a4_shop.names)
    assert "they differ from each other" in a4_shop.log
    assert a4_shop.printer.sheets == 2


def test_a_gang_run(a4_shop, draw_card) -> None:
    a4_shop.settings('size = "A4"', 'size = "A4"\ngang = true\ngang_wait = "0 s"')
    for name in ("apple", "birch", "cedar"):
        draw_card(a4_shop.folder / f"inbox/tag/{name}.png", TAG_PX, word=name)
    a4_shop.until(lambda: any(name.startswith("run-") for name in a4_shop.names))
    (run,) = a4_shop.names
    a4_shop.rename(run, f"{run} print")
    a4_shop.until(lambda: a4_shop.done == [run])
    assert f"{run}: its sheet is printed; its folder is in printed" in a4_shop.log
    assert a4_shop.printer.sheets == 1
    assert a4_shop.printer.jobs[1].asked["sides"] == ["one-sided"]
