"""A job is laid beside what the printer says: what is asked of it, or why nothing is sent."""

from dataclasses import replace
from fractions import Fraction

import pytest

from tests.outbox.printing.a_job import A4, LETTER, RIM, STATUS, media, says, wanted
from watcher.layout.geometry import Margins, Size
from watcher.outbox.printing.job_request import name_at_printer, refuse_ignored, request_for, token_of
from watcher.outbox.printing.order_printing import Part, SheetJob
from watcher.outbox.printing.stacks import NotSent


def test_all_that_is_asked() -> None:
    asked = request_for(wanted(quality="high"), says(), STATUS, "name")
    assert (asked.copies, asked.sides, asked.scaling, asked.held) == (3, "two-sided-long-edge", "none", True)
    assert (asked.quality, asked.collated, asked.media) == (5, True, media())


def test_one_copy_needs_no_collation_and_no_quality_is_asked_for_by_itself() -> None:
    asked = request_for(wanted(copies=1), says(), STATUS, "name")
    assert asked.collated is None
    assert asked.quality is None


@pytest.mark.parametrize(
    ("told", "of_sheet", "said"),
    [
        ({"ready": (media(A4),)}, {}, "letter (215.9 x 279.4 mm)"),
        ({"ready": (media(),)}, {"tray": "bypass"}, "in tray bypass"),
        ({"ready": (media(), media(source="bypass"))}, {}, "several places"),
        ({}, {"stock": "felt"}, 'no stock "felt"'),
        ({}, {"tray": "attic"}, 'no tray "attic"'),
        ({"sheets": (media(A4),)}, {}, "knows no sheet"),
        (
            {"sheets": (media(), media(margins=Margins.all_round(Fraction("11.68"))))},
            {},
            "top 11.68 mm instead of 6.35",
        ),
        ({"sheets": (media(margins=Margins.all_round(Fraction(0))),), "ready": (media(margins=None),)}, {}, "enlarges"),
        ({"formats": ("image/urf",)}, {}, "takes no PDF"),
        ({"scalings": ("fit",)}, {}, "actual size"),
        ({"sides": ("one-sided",)}, {}, 'prints one side only. Write duplex = "manual"'),
        ({"sides": ("one-sided", "two-sided-short-edge")}, {}, "not on the long edge, only on the short edge"),
        ({}, {"quality": "draft"}, 'no quality "draft"'),
        ({"most_copies": 1}, {}, "3 copies are wanted"),
    ],
)
def test_what_does_not_fit_is_refused(told, of_sheet, said) -> None:
    with pytest.raises(NotSent) as refused:
        request_for(wanted(**of_sheet), says(**told), STATUS, "name")
    assert said in str(refused.value)


def test_all_faults_are_told_together() -> None:
    wide = (media(margins=Margins.all_round(Fraction("11.68"))),)
    with pytest.raises(NotSent, match=r"PDF.*actual size.*11\.68"):
        request_for(wanted(), says(formats=(), scalings=("fit",), sheets=wide), STATUS, "name")


def test_what_lies_in_it_now_counts_and_not_what_lay_there() -> None:
    with pytest.raises(NotSent, match="lies A4"):
        request_for(wanted(), says(), replace(STATUS, ready=(media(A4),)), "name")


def test_a_printer_that_does_not_tell_is_asked_for_the_very_paper() -> None:
    asked = request_for(wanted(stock="card"), says(ready=None), STATUS, "name")
    assert asked.media is not None
    assert (asked.media.size, asked.media.kind, asked.media.source) == (LETTER, "card", None)


def test_a_rim_of_nothing_is_never_asked_for() -> None:
    borderless = media(margins=Margins.all_round(Fraction(0)))
    asked = request_for(wanted(), says(sheets=(borderless, media()), ready=(borderless,)), STATUS, "name")
    assert asked.media is not None
    assert asked.media.margins == RIM


def test_the_rim_of_what_lies_there_counts_for_a_sheet_on_its_side_too() -> None:
    lying = media(margins=Margins(Fraction(3), Fraction(3), Fraction("12.7"), Fraction(3)))
    on_its_side = replace(wanted(), size=Size(LETTER.height, LETTER.width))
    with pytest.raises(NotSent, match=r"left 12\.7 mm instead of 6\.35 mm"):
        request_for(on_its_side, says(sheets=(media(margins=None),), ready=(lying,)), STATUS, "name")


def test_rims_that_contradict_each_other_are_compared_edge_by_edge() -> None:
    high = media(margins=Margins(Fraction(9), Fraction(3), Fraction(3), Fraction(3)))
    broad = media(margins=Margins(Fraction(3), Fraction(3), Fraction(3), Fraction(8)))
    with pytest.raises(NotSent, match=r"top 9 mm instead of 6\.35 mm, left 8 mm instead of 6\.35 mm"):
        request_for(wanted(), says(sheets=(high, broad)), STATUS, "name")


def test_what_the_printer_would_leave_out() -> None:
    asked = request_for(wanted(), says(), STATUS, "name")
    refuse_ignored("p", asked, ("print-quality", "job-hold-until"))
    with pytest.raises(NotSent, match="both sides of a sheet, its size, tray and rim"):
        refuse_ignored("p", asked, ("sides", "media-col"))
    refuse_ignored("p", replace(asked, scaling=None), ("print-scaling",))


def test_each_try_has_a_token_of_its_own_in_its_name() -> None:
    job = SheetJob(order_key="k", printer="p", stack=0, side=Part.ALL, first=1, sheets=1, sha256="s", number=1)
    tokens = {token_of(job), token_of(replace(job, times=2)), token_of(replace(job, sha256="t")), token_of(job)}
    assert len(tokens) == 3
    name = name_at_printer("ü" * 300, replace(job, token="t" * 16))
    assert len(name.encode()) <= 255
    assert name.endswith(" " + "t" * 16)
