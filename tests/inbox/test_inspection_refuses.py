"""What a ZIP must not be or hold is refused by name. Fields: PKWARE APPNOTE 6.3, 4.3 and 4.4."""

import zipfile

import pytest

from tests.inbox.bent_zip import ART, bend, set_flag
from watcher.errors import ArtUnreadable
from watcher.inbox import formats, zip_members
from watcher.inbox.inspection import inspect_file, read_member


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
    set_flag(path, 1)
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
        ArtUnreadable, match=f"note0.txt, note1.txt, note2.txt and 2 more.*{formats.say_formats(formats.ART, 'or')}"
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
    bend(path, b"PK\x05\x06", 8, (1).to_bytes(2, "little") * 2)
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
    bend(path, b"PK\x01\x02", 24, (250_000_000).to_bytes(4, "little"))
    with pytest.raises(ArtUnreadable, match=r"holds 1.png of 250 MB; 200 MB is the most"):
        inspect_file(path)


def test_members_of_more_than_a_thousand_megabytes_in_all_are_refused(make_zip):
    path = make_zip(*((f"{number}.png", ART) for number in range(6)))
    for which in range(6):  # sizes packed and unpacked
        bend(path, b"PK\x01\x02", 20, (190_000_000).to_bytes(4, "little") * 2, which)
    with pytest.raises(ArtUnreadable, match="unpacks to 1,140 MB; 1,000 MB is the most"):
        inspect_file(path)


def test_a_cut_zip_says_that_its_end_is_missing(make_zip):
    path = make_zip(("1.png", ART))
    path.write_bytes(path.read_bytes()[:-1])
    with pytest.raises(ArtUnreadable, match="not a whole ZIP"):
        inspect_file(path)


def test_a_damaged_directory_is_told(make_zip):
    path = make_zip(("1.png", ART), ("2.png", ART))
    bend(path, b"PK\x01\x02", 0, b"XX", which=1)
    with pytest.raises(ArtUnreadable, match="damaged ZIP"):
        inspect_file(path)


def test_a_false_utf8_mark_is_no_crash(make_zip):
    path = make_zip(("caf_.png", ART))
    path.write_bytes(path.read_bytes().replace(b"caf_.png", b"caf\xe9.png"))
    set_flag(path, 0x800)
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
    bend(path, b"PK\x01\x02", 20, (5).to_bytes(4, "little") * 2)
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
