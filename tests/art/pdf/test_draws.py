"""How much a page draws, things within things included, and where that is refused."""

import io

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name
from pypdf import PdfReader

from watcher.art.pdf.draws import DEEPEST, TooMuchDrawn, count_drawn


@pytest.fixture
def counted_of():
    """What is counted on a page with contents and resources that `change(document, page)` puts there."""

    def count(content, change):
        document = pikepdf.new()
        page = document.add_blank_page(page_size=(100, 100))
        page.Contents = document.make_stream(content)
        page.Resources = Dictionary(XObject=Dictionary())
        change(document, page)
        finished = io.BytesIO()
        document.save(finished)
        return count_drawn(PdfReader(finished).pages[0])

    return count


def form(document, content, **named):
    made = document.make_stream(content, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]))
    made.Resources = Dictionary(XObject=Dictionary(named))
    return made


def test_forms_within_forms_are_counted_each_time_that_they_are_drawn(counted_of):
    def change(document, page):
        inner = form(document, b"0 0 5 5 re f")
        page.Resources.XObject.F = form(document, b"/I Do /I Do", **{"/I": inner})

    assert counted_of(b"/F Do", change) == 3
    assert counted_of(b"/F Do /F Do", change) == 6


def test_a_pattern_is_counted_for_each_thing_painted_with_it(counted_of):
    def change(document, page):
        steps = {"PatternType": 1, "PaintType": 1, "TilingType": 1, "XStep": 9, "YStep": 9}
        tile = document.make_stream(b"/I Do", BBox=Array([0, 0, 9, 9]), **steps)
        tile.Resources = Dictionary(XObject=Dictionary(I=form(document, b"")))
        page.Resources.Pattern = Dictionary(P=tile)

    assert counted_of(b"/P scn 0 0 5 5 re f 9 9 5 5 re f", change) == 2
    assert counted_of(b"q /P scn Q 0 0 5 5 re f", change) == 0


def test_a_pattern_of_countless_tiles_is_refused(counted_of):
    def change(document, page):
        steps = {"PatternType": 1, "PaintType": 1, "TilingType": 1, "XStep": 0.01, "YStep": 0.01}
        page.Resources.Pattern = Dictionary(P=document.make_stream(b"", BBox=Array([0, 0, 9, 9]), **steps))

    with pytest.raises(TooMuchDrawn, match="countless tiles"):
        counted_of(b"/P scn 0 0 5 5 re f", change)


def test_what_is_nested_too_deep_or_within_itself_is_refused(counted_of):
    def nested(depth):
        def change(document, page):
            made = form(document, b"")
            for _ in range(depth - 1):
                made = form(document, b"/I Do", **{"/I": made})
            page.Resources.XObject.F = made

        return change

    def endless(document, page):
        page.Resources.XObject.F = made = document.make_indirect(form(document, b"/F Do"))
        made.Resources.XObject.F = made

    assert counted_of(b"/F Do", nested(DEEPEST)) == DEEPEST
    with pytest.raises(TooMuchDrawn, match="deep"):
        counted_of(b"/F Do", nested(DEEPEST + 1))
    with pytest.raises(TooMuchDrawn, match="within themselves"):
        counted_of(b"/F Do", endless)


def test_a_picture_larger_than_pictures_may_be_is_refused_before_it_is_drawn(counted_of):
    def change(document, page):
        page.Resources.XObject.F = document.make_stream(b"", Subtype=Name.Image, Width=100_000, Height=100_000)

    with pytest.raises(TooMuchDrawn, match="shows a picture that"):
        counted_of(b"/F Do", change)
    with pytest.raises(TooMuchDrawn, match="shows a picture that"):
        counted_of(b"BI /W 100000 /H 100000 /BPC 8 ID x EI", lambda document, page: None)


def test_a_mask_is_counted_for_each_thing_that_is_painted_through_it(counted_of):
    """The group holds one form, and is itself one. Source: ISO 32000-1 11.6.5.3; Table 57: /None takes it away."""

    def change(document, page):
        group = form(document, b"/I Do", **{"/I": form(document, b"")})
        masks = {"M": Dictionary(S=Name.Luminosity, G=group), "N": Name("/None")}
        states = {f"/{name}": Dictionary(SMask=mask) for name, mask in masks.items()}
        page.Resources.ExtGState = Dictionary({**states, "/W": Dictionary(LW=2)})

    assert counted_of(b"/M gs 0 0 5 5 re f 0 0 5 5 re S", change) == 2
    assert counted_of(b"/M gs /W gs 0 0 5 5 re f", change) == 1  # a state that says nothing of masks
    assert counted_of(b"/M gs /N gs 0 0 5 5 re f", change) == 0


def test_letters_that_are_drawn_count_by_the_length_of_their_text(counted_of):
    """Source: ISO 32000-1 9.6.5. Each byte before the operator may be a letter, so the text is never counted short."""

    def change(document, page):
        glyph = document.make_stream(b"/I Do")
        font = Dictionary(Subtype=Name.Type3, CharProcs=Dictionary(a=glyph))
        font.Resources = Dictionary(XObject=Dictionary(I=form(document, b"")))
        page.Resources.Font = Dictionary(T=font, P=Dictionary(Subtype=Name.Type1))

    assert counted_of(b"BT /T 9 Tf (abcdefgh) Tj ET", change) >= 8
    assert counted_of(b"BT /P 9 Tf (abcdefgh) Tj ET", change) == 0


def test_a_name_that_a_form_lacks_is_looked_for_on_the_page(counted_of):
    def change(document, page):
        page.Resources.XObject.F = form(document, b"/G Do")
        page.Resources.XObject.G = form(document, b"")

    assert counted_of(b"/F Do", change) == 2
    with pytest.raises(TooMuchDrawn, match="draws something that is not in the file"):
        counted_of(b"/H Do", change)


@pytest.mark.parametrize(("doublings", "is_refused"), [(15, False), (16, True)])
def test_forms_that_draw_each_other_twice_are_refused_at_a_hundred_thousand(counted_of, doublings, is_refused):
    """2 + 4 + ... + 2 to the 15th are 65,534 things; one more doubling is over the limit."""

    def change(document, page):
        made = form(document, b"")
        for _ in range(doublings - 1):
            made = form(document, b"/I Do /I Do", **{"/I": made})
        page.Resources.XObject.F = made

    if is_refused:
        with pytest.raises(TooMuchDrawn, match="without end"):
            counted_of(b"/F Do /F Do", change)
    else:
        assert counted_of(b"/F Do /F Do", change) == 2**16 - 2


@pytest.mark.parametrize(("step", "is_refused"), [(0.1, False), (0.099, True)])
def test_a_pattern_may_have_a_million_tiles(counted_of, step, is_refused):
    """On a page of 100 x 100 units tiles of 0.1 x 0.1 are just a million."""

    def change(document, page):
        steps = {"PatternType": 1, "PaintType": 1, "TilingType": 1, "XStep": step, "YStep": step}
        page.Resources.Pattern = Dictionary(P=document.make_stream(b"", BBox=Array([0, 0, 9, 9]), **steps))

    if is_refused:
        with pytest.raises(TooMuchDrawn, match="countless tiles"):
            counted_of(b"/P scn 0 0 5 5 re f", change)
    else:
        assert counted_of(b"/P scn 0 0 5 5 re f", change) == 0
