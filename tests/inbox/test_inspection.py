"""What inspecting ZIP, PDF and TIFF files shows. ZIP fields: PKWARE APPNOTE 6.3, 4.3 and 4.4."""

import contextlib
import pickle
import zipfile
from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tests.inbox.bent_zip import ART, set_flag
from watcher.errors import ArtUnreadable
from watcher.inbox import inspection as look
from watcher.inbox.inside import Inside, Member
from watcher.inbox.inspection import inspect_file, read_member


def test_the_members_of_a_zip_are_listed_as_packed(make_zip):
    inside = inspect_file(make_zip(("set/1.png", ART), ("set/2.png", ART + b"2")))
    assert inside == Inside(
        members=(
            Member(name="1.png", stored_as="set/1.png", size=len(ART), sha256=sha256(ART).hexdigest(), pages=None),
            Member(
                name="2.png",
                stored_as="set/2.png",
                size=len(ART) + 1,
                sha256=sha256(ART + b"2").hexdigest(),
                pages=None,
            ),
        )
    )


def test_a_member_is_read_back(make_zip):
    path = make_zip(("set/1.png", ART * 100_000), method=zipfile.ZIP_DEFLATED)
    (member,) = inspect_file(path).members
    assert read_member(path, member.stored_as) == ART * 100_000


def test_what_systems_add_is_passed_over(make_zip):
    path = make_zip(
        ("set/", b""),
        ("__MACOSX/set/._front.png", b"x"),
        ("set/.DS_Store", b"x"),
        ("set/Thumbs.db", b"x"),
        ("set/desktop.ini", b"x"),
        ("set/front.png", ART),
        ("set/menu.toml", b"quantity = 5"),
    )
    assert [member.name for member in inspect_file(path).members] == ["front.png", "menu.toml"]


def test_names_are_composed(make_zip):
    (member,) = inspect_file(make_zip(("Cafe\u0301_front.png", ART))).members
    assert (member.name, member.stored_as) == ("Caf\u00e9_front.png", "Cafe\u0301_front.png")


def test_utf8_names_without_their_mark_are_repaired(make_zip):
    path = make_zip(("café.png", ART))
    set_flag(path, 0)
    (member,) = inspect_file(path).members
    assert member.name == "café.png"
    assert read_member(path, member.stored_as) == ART


def test_old_names_in_code_page_437_stay_what_they_are(make_zip):
    path = make_zip(("caf_.png", ART))
    path.write_bytes(path.read_bytes().replace(b"caf_.png", b"caf\x82.png"))  # 0x82: e acute in code page 437
    assert inspect_file(path).members[0].name == "café.png"


def test_pages_of_pdfs_are_counted_inside_a_zip_too(make_zip, pdf_bytes):
    path = make_zip(("menu.pdf", pdf_bytes(2)), ("card.PDF", pdf_bytes(1)))
    assert [member.pages for member in inspect_file(path).members] == [2, 1]


def test_pages_of_a_pdf_are_counted(tmp_path, pdf_bytes):
    (tmp_path / "menu.pdf").write_bytes(pdf_bytes(2))
    assert inspect_file(tmp_path / "menu.pdf") == Inside(pages=2)


def test_other_files_hold_nothing(tmp_path):
    (tmp_path / "a.png").write_bytes(ART)
    assert inspect_file(tmp_path / "a.png") == Inside()


def test_what_is_found_and_what_is_refused_pass_between_processes(make_zip):
    inside = inspect_file(make_zip(("1.png", ART)))
    assert pickle.loads(pickle.dumps(inside)) == inside
    refused = ArtUnreadable("a.zip", "is a damaged ZIP", "Pack it again")
    assert str(pickle.loads(pickle.dumps(refused))) == "a.zip is a damaged ZIP. Pack it again."


def test_a_pdf_that_needs_a_password_is_refused(tmp_path, pdf_bytes):
    (tmp_path / "menu.pdf").write_bytes(pdf_bytes(1, "secret"))
    with pytest.raises(ArtUnreadable, match="menu.pdf is a locked PDF"):
        inspect_file(tmp_path / "menu.pdf")


def test_one_that_opens_without_a_password_is_counted(tmp_path, pdf_bytes):
    (tmp_path / "menu.pdf").write_bytes(pdf_bytes(3, "secret", owner_only=True))
    assert inspect_file(tmp_path / "menu.pdf").pages == 3


@pytest.mark.parametrize("content", [b"", b"no PDF at all", b"%PDF-1.4\n" + b"garbage " * 100 + b"%%EOF"])
def test_a_damaged_pdf_is_refused(tmp_path, content):
    (tmp_path / "menu.pdf").write_bytes(content)
    with pytest.raises(ArtUnreadable, match="menu.pdf is a damaged PDF"):
        inspect_file(tmp_path / "menu.pdf")


def test_a_pdf_that_lies_about_its_pages_is_counted(tmp_path, pdf_bytes):
    data = pdf_bytes(2)
    assert b"/Count 2" in data
    (tmp_path / "menu.pdf").write_bytes(data.replace(b"/Count 2", b"/Count 1"))
    assert inspect_file(tmp_path / "menu.pdf").pages == 2


def test_a_pdf_of_very_many_pages_is_refused(tmp_path, pdf_bytes, monkeypatch):
    monkeypatch.setattr(look, "MOST_PAGES", 3)
    (tmp_path / "book.pdf").write_bytes(pdf_bytes(4))
    with pytest.raises(ArtUnreadable, match="book.pdf has 4 pages; 3 are the most"):
        inspect_file(tmp_path / "book.pdf")


def test_a_pdf_without_a_page_is_refused(tmp_path, pdf_bytes):
    (tmp_path / "menu.pdf").write_bytes(pdf_bytes(0))
    with pytest.raises(ArtUnreadable, match="without a page"):
        inspect_file(tmp_path / "menu.pdf")


@given(st.data())
def test_no_damage_crashes(tmp_path_factory, data):
    """Any bytes changed anywhere: the ZIP is listed, or refused as an order's fault, nothing else."""
    path = tmp_path_factory.getbasetemp() / "bent.zip"
    with zipfile.ZipFile(path, "w", compression=zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("set/front.png", ART * 10)
        archive.writestr("back.png", ART)
    raw = bytearray(path.read_bytes())
    for at in data.draw(st.lists(st.integers(0, len(raw) - 1), min_size=1, max_size=6)):
        raw[at] = data.draw(st.integers(0, 255))
    path.write_bytes(bytes(raw))
    with contextlib.suppress(ArtUnreadable):
        for member in inspect_file(path).members:
            read_member(path, member.stored_as)


def test_names_from_inside_cannot_forge_a_line(make_zip):
    with pytest.raises(ArtUnreadable) as refused:
        inspect_file(make_zip(("a\nforged\u202e.txt", b"x")))
    assert "\n" not in str(refused.value)
    assert "\u202e" not in str(refused.value)


@pytest.mark.parametrize(("count", "pages"), [(1, None), (2, 2), (3, 3)])
def test_a_tiff_of_several_pages_tells_how_many_and_one_of_one_is_a_picture(tmp_path, count, pages):
    path, page = tmp_path / "card.tif", Image.new("RGB", (4, 3))
    page.save(path, save_all=True, append_images=[page] * (count - 1))
    assert inspect_file(path) == Inside(pages=pages)
