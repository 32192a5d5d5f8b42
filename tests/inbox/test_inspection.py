"""What a look inside ZIPs and PDFs shows and refuses. ZIP fields: PKWARE APPNOTE 6.3, 4.3 and 4.4."""

import contextlib
import pickle
import zipfile
from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from watcher.errors import ArtUnreadable
from watcher.inbox import inspection as look
from watcher.inbox import zip_members
from watcher.inbox.inside import Inside, Member
from watcher.inbox.inspection import inspect_file, read_member

ART = b"\x89PNG and so on"


def _bend(path, find: bytes, at: int, value: bytes, which: int = 0) -> None:
    """Overwrite bytes `at` behind the start of a record."""
    data = bytearray(path.read_bytes())
    start = -1
    for _ in range(which + 1):
        start = data.index(find, start + 1)
    data[start + at : start + at + len(value)] = value
    path.write_bytes(bytes(data))


def _set_flag(path, flag: int) -> None:
    """Set general purpose bits in the local header and in the directory."""
    _bend(path, b"PK\x03\x04", 6, flag.to_bytes(2, "little"))
    _bend(path, b"PK\x01\x02", 8, flag.to_bytes(2, "little"))


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
    _set_flag(path, 0)
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


@pytest.mark.parametrize(
    "name",
    [
        "/etc/front.png",
        "../front.png",
        "a/../../front.png",
        "C:\\front.png",
        "..\\front.png",
        "\\\\server\\front.png",
        "__MACOSX/../front.png",
        "../",
    ],
)
def test_names_that_lead_out_of_the_zip_are_refused(make_zip, name):
    with pytest.raises(ArtUnreadable, match="leads out of the ZIP"):
        inspect_file(make_zip((name, ART), ("back.png", ART)))


def test_a_file_without_a_name_is_refused(make_zip):
    path = make_zip(("1.png", ART))
    path.write_bytes(path.read_bytes().replace(b"1.png", b"\0.png"))  # a zero ends the name
    with pytest.raises(ArtUnreadable, match="without a name"):
        inspect_file(path)


def test_a_link_is_refused(make_zip, link_info):
    with pytest.raises(ArtUnreadable, match=r"front.png, a link instead of a file"):
        inspect_file(make_zip((link_info, b"/etc/passwd")))


def test_a_locked_zip_is_refused(make_zip):
    path = make_zip(("front.png", ART))
    _set_flag(path, 1)
    with pytest.raises(ArtUnreadable, match="locked with a password"):
        inspect_file(path)


@pytest.mark.parametrize(
    "names", [("1.png", "1.png"), ("a/front.png", "b/front.png"), ("Front.png", "front.PNG"), ("é.png", "e\u0301.png")]
)
@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_name_that_occurs_twice_is_refused(make_zip, names):
    with pytest.raises(ArtUnreadable, match="more than once"):
        inspect_file(make_zip(*((name, ART) for name in names)))


def test_a_zip_in_the_zip_is_refused(make_zip):
    with pytest.raises(ArtUnreadable, match=r"holds another ZIP \(more.zip\)"):
        inspect_file(make_zip(("more.zip", b"PK"), ("1.png", ART)))


def test_files_of_other_kinds_are_refused_by_name_with_the_kinds_taken(make_zip):
    path = make_zip(*((f"note{number}.txt", b"hello") for number in range(5)), ("1.png", ART))
    with pytest.raises(
        ArtUnreadable, match=r"note0.txt, note1.txt, note2.txt and 2 more.*PNG, JPEG, TIFF, WebP or PDF"
    ):
        inspect_file(path)


def test_rare_ways_of_packing_are_refused(make_zip):
    with pytest.raises(ArtUnreadable, match=r"1.png, packed in a rare way"):
        inspect_file(make_zip(("1.png", ART), method=zipfile.ZIP_BZIP2))


@pytest.mark.parametrize(("field", "value"), [(6, 99), (8, 0x20), (8, 0x40)], ids=["version", "patch", "strong"])
def test_what_the_library_has_no_way_to_unpack_is_refused(make_zip, field, value):
    """PKWARE APPNOTE 4.4.3 (version needed) and 4.4.4 (bits 5 and 6), in the directory and before the member."""
    path = make_zip(("1.png", ART))
    data = bytearray(path.read_bytes())
    data[data.index(b"PK\x01\x02") + field] = data[data.index(b"PK\x03\x04") + field - 2] = value
    path.write_bytes(data)
    with pytest.raises(ArtUnreadable, match="Pack it again|damaged"):
        inspect_file(path)


@pytest.mark.parametrize("members", [(), (("set/", b""),), (("__MACOSX/._a.png", b"x"),)])
def test_a_zip_without_art_says_so(make_zip, members):
    with pytest.raises(ArtUnreadable, match="holds no art"):
        inspect_file(make_zip(*members))


def test_an_empty_member_is_refused(make_zip):
    with pytest.raises(ArtUnreadable, match=r"1.png, which is empty"):
        inspect_file(make_zip(("1.png", b"")))


def test_more_than_two_thousand_files_are_refused(make_zip):
    entries = [(f"{number}.png", b"x") for number in range(2001)]
    assert len(inspect_file(make_zip(*entries[:2000])).members) == 2000
    with pytest.raises(ArtUnreadable, match="holds 2,001 files; 2,000 is the most"):
        inspect_file(make_zip(*entries))


def test_more_files_than_the_end_record_admits_are_refused(make_zip):
    path = make_zip(*((f"{number}.png", b"x") for number in range(2001)))
    _bend(path, b"PK\x05\x06", 8, (1).to_bytes(2, "little") * 2)
    with pytest.raises(ArtUnreadable, match="2,000 is the most"):
        inspect_file(path)


def test_a_member_that_unpacks_to_far_more_than_its_size_is_refused(make_zip):
    path = make_zip(("1.png", bytes(11_000_000)), method=zipfile.ZIP_DEFLATED)
    with pytest.raises(ArtUnreadable, match="more than 200 times its size"):
        inspect_file(path)


def test_flat_art_below_ten_megabytes_may_pack_as_tightly_as_it_likes(make_zip):
    path = make_zip(("1.tif", bytes(9_000_000)), method=zipfile.ZIP_DEFLATED)
    assert inspect_file(path).members[0].size == 9_000_000


def test_a_member_of_more_than_200_megabytes_is_refused(make_zip):
    path = make_zip(("1.png", ART))
    _bend(path, b"PK\x01\x02", 24, (250_000_000).to_bytes(4, "little"))
    with pytest.raises(ArtUnreadable, match=r"holds 1.png of 250 MB; 200 MB is the most"):
        inspect_file(path)


def test_members_of_more_than_a_thousand_megabytes_in_all_are_refused(make_zip):
    path = make_zip(*((f"{number}.png", ART) for number in range(6)))
    for which in range(6):  # sizes packed and unpacked
        _bend(path, b"PK\x01\x02", 20, (190_000_000).to_bytes(4, "little") * 2, which)
    with pytest.raises(ArtUnreadable, match="unpacks to 1,140 MB; 1,000 MB is the most"):
        inspect_file(path)


def test_a_cut_zip_says_that_its_end_is_missing(make_zip):
    path = make_zip(("1.png", ART))
    path.write_bytes(path.read_bytes()[:-1])
    with pytest.raises(ArtUnreadable, match="not a whole ZIP"):
        inspect_file(path)


def test_a_damaged_directory_is_told(make_zip):
    path = make_zip(("1.png", ART), ("2.png", ART))
    _bend(path, b"PK\x01\x02", 0, b"XX", which=1)
    with pytest.raises(ArtUnreadable, match="damaged ZIP"):
        inspect_file(path)


def test_a_false_utf8_mark_is_no_crash(make_zip):
    path = make_zip(("caf_.png", ART))
    path.write_bytes(path.read_bytes().replace(b"caf_.png", b"caf\xe9.png"))
    _set_flag(path, 0x800)
    with pytest.raises(ArtUnreadable, match="damaged ZIP"):
        inspect_file(path)


def test_a_member_whose_bytes_changed_fails_its_check_sum(make_zip):
    path = make_zip(("1.png", ART))
    path.write_bytes(path.read_bytes().replace(b"so on", b"so no"))
    with pytest.raises(ArtUnreadable, match=r"spring.zip: 1.png is damaged inside the ZIP"):
        read_member(path, "1.png")
    with pytest.raises(ArtUnreadable, match=r"spring.zip: 1.png is damaged inside the ZIP"):
        inspect_file(path)


def test_a_member_that_is_longer_than_it_says_is_damaged(make_zip):
    path = make_zip(("1.png", ART))
    _bend(path, b"PK\x01\x02", 20, (5).to_bytes(4, "little") * 2)
    with pytest.raises(ArtUnreadable, match="damaged inside the ZIP"):
        read_member(path, "1.png")


def test_no_more_than_the_limit_is_ever_unpacked(make_zip, monkeypatch):
    path = make_zip(("1.png", bytes(200_000)), method=zipfile.ZIP_DEFLATED)
    monkeypatch.setattr(zip_members, "MOST_MEMBER_BYTES", 100_000)
    monkeypatch.setattr(zip_members, "_MEMBER_CHECKS", ())
    with pytest.raises(ArtUnreadable, match="is the most"):
        read_member(path, "1.png")


def test_a_member_that_is_not_there_is_told(make_zip):
    with pytest.raises(ArtUnreadable, match="gone.png"):
        read_member(make_zip(("1.png", ART)), "gone.png")


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
