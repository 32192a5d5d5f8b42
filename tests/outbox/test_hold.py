"""`held/ORDER/`: appears whole, says why in plain words, and knows its way back."""

import errno
import os
from pathlib import Path

import pytest

from watcher.errors import WrongUsage
from watcher.orders.claim import note_of
from watcher.orders.held_note import HeldFile, read_held_note
from watcher.orders.model import KeptFile, Order
from watcher.orders.recover import LeftOver, forget_note, left_overs, undo
from watcher.outbox.hold import finish_hold, give_back, hold
from watcher.terms import Finding, Level, Side

SINCE = "2026-05-01T10:11:12+02:00"
WHY = (
    "spring menu_back.png is 408 x 555 px, 150 dpi at 69 x 94 mm with bleed; 300 dpi is needed."
    " Export at 815 x 1111 px or more."
)

ART = {"spring menu_front.png": b"front", "spring menu_back.png": b"back"}


@pytest.fixture
def hold_it(shelves):
    """Hold a taken order."""

    def held(order: Order, *reasons: str | Finding, soft: bool = False):
        archive = shelves / "archive"
        note = hold(order, reasons or (WHY,), soft=soft, archive=archive, held=shelves / "held", since=SINCE)
        forget_note(archive, order.number)
        return note

    return held


def _why(shelves: Path, name: str = "spring menu") -> str:
    return (shelves / "held" / name / "why.txt").read_text("utf-8")


# -- the folder --------------------------------------------------------------------------------------------------------


def test_the_folder_holds_art_reason_and_note(take, hold_it, contents, shelves):
    note = hold_it(take())
    assert sorted(contents()) == [
        "held/spring menu/held.toml",
        "held/spring menu/spring menu_back.png",
        "held/spring menu/spring menu_front.png",
        "held/spring menu/why.txt",
    ]
    assert read_held_note(shelves / "held" / "spring menu") == note
    assert list((shelves / "archive").iterdir()) == []


def test_the_note_tells_what_and_where_from(take, hold_it):
    order = take(folder="menu")
    note = hold_it(order, "It is too small.\nAnd blue.", "It is red.", soft=True)
    assert (note.order, note.key, note.card, note.inbox_folder) == ("spring menu", "spring menu", "menu", "menu")
    assert (note.soft, note.since, note.why, note.missing) == (True, SINCE, r"It is too small.\nAnd blue.", "")
    assert note.files == tuple(HeldFile(name=file.name, sha256=file.sha256) for file in order.files)


def test_the_members_of_a_zip_go_into_the_note(take, hold_it):
    order = take(files={"week.zip": b"PK"})
    (kept,) = order.files
    members = KeptFile(**{**vars(kept), "members": ("set/1.png", "job.toml")})
    note = hold_it(Order(**{**vars(order), "files": (members,)}))
    assert note.files[0].members == ("set/1.png", "job.toml")


@pytest.mark.parametrize(
    ("name", "folder"), [("../../etc/passwd", "etcpasswd"), ("a\nb", "ab"), ("con", "con_"), ("...", "order")]
)
def test_no_name_leaves_the_shelf(take, hold_it, shelves, name, folder):
    note = hold_it(take(name=name, files={"a.png": b"a"}))
    assert note.folder == folder
    assert [path.name for path in (shelves / "held").iterdir()] == [folder]
    assert read_held_note(shelves / "held" / folder) == note


def test_a_name_that_is_taken_gets_a_number(take, hold_it, shelves):
    for number in (1, 2, 3):
        hold_it(take(number=number))
    assert sorted(path.name for path in (shelves / "held").iterdir()) == [
        "spring menu",
        "spring menu-2",
        "spring menu-3",
    ]
    assert "spring menu-3 ok" in _why_soft(take, hold_it, shelves)


def _why_soft(take, hold_it, shelves) -> str:
    (shelves / "held" / "spring menu-3").rename(shelves / "inbox" / "gone")
    hold_it(take(number=4), soft=True)
    return _why(shelves, "spring menu-3")


def test_what_a_try_left_beside_the_art_is_not_held(take, hold_it, contents, shelves):
    """The card's common back is copied beside the art when the order is made; it is no part of what came."""
    order = take()
    (shelves / "archive" / ".taking-1" / "common-back.png").write_bytes(b"common")
    hold_it(order)
    assert "held/spring menu/common-back.png" not in contents()


def test_names_of_any_bytes_are_held_and_known_again(take, hold_it, shelves):
    odd = os.fsdecode(b"caf\xe9\n.png")
    note = hold_it(take(name=os.fsdecode(b"caf\xe9"), files={odd: b"art"}))
    assert read_held_note(shelves / "held" / "caf") == note
    assert note.files[0].name == odd
    assert r"  caf\udce9\n.png" in _why(shelves, "caf").splitlines()


@pytest.fixture
def pictures(tmp_path_factory):
    """Files of ours in a building folder."""
    folder = tmp_path_factory.mktemp("building")
    for name in ("spring menu_card.png", "fault_front.png"):
        (folder / name).write_bytes(name.encode())
    return tuple(sorted(folder.iterdir()))


def test_our_own_pictures_lie_beside_and_are_no_files_of_the_order(take, shelves, pictures):
    archive, held = shelves / "archive", shelves / "held"
    note = hold(take(), (WHY,), soft=True, archive=archive, held=held, since=SINCE, pictures=pictures)
    assert note.pictures == ("fault_front.png", "spring menu_card.png")
    assert {file.name for file in note.files} == set(ART)
    assert all((held / "spring menu" / picture.name).read_bytes() == picture.read_bytes() for picture in pictures)
    assert "  fault_front.png  (made by the program)\n" in _why(shelves)


def test_a_picture_never_takes_the_place_of_a_file(take, shelves, pictures):
    """File systems that do not tell capitals apart would overwrite it."""
    order = take(files={"FAULT_front.png": b"art"})
    archive, held = shelves / "archive", shelves / "held"
    note = hold(order, (WHY,), soft=True, archive=archive, held=held, since=SINCE, pictures=pictures[:1])
    assert note.pictures == ("fault_front-2.png",)
    assert (held / "spring menu" / "FAULT_front.png").read_bytes() == b"art"


# -- why.txt -----------------------------------------------------------------------------------------------------------


def test_why_reads_well(take, hold_it, shelves):
    hold_it(take(folder="menu"), WHY, "The front and the back have different shapes.", soft=True)
    assert _why(shelves) == (
        "spring menu was set aside on 2026-05-01 10:11.\n"
        "\n"
        "Why\n"
        "  - spring menu_back.png is 408 x 555 px, 150 dpi at 69 x 94 mm with bleed; 300 dpi is needed.\n"
        "    Export at 815 x 1111 px or more.\n"
        "  - The front and the back have different shapes.\n"
        "\n"
        "What you can do\n"
        "  - Put the mended files into inbox/menu, under the same names. The rest is taken from this\n"
        "    folder when nothing newer of it has come after a while; when you send no more, move this\n"
        "    folder back into the inbox as well: it is made at once.\n"
        "  - Or put them into this folder, in place of those that are here, and move the whole folder\n"
        "    back into the inbox: it is tried again.\n"
        '  - Or rename this folder to "spring menu ok": it is made anyway, just as is said above.\n'
        "  - Or delete this folder, if you no longer want it.\n"
        "\n"
        "In this folder\n"
        "  spring menu_front.png\n"
        "  spring menu_back.png\n"
    )


def test_what_cannot_be_accepted_does_not_offer_it(take, hold_it, shelves):
    hold_it(take(), "spring menu_back.png is a damaged PNG. Export it again.")
    assert " ok" not in _why(shelves)


def test_the_note_gives_each_reason_with_its_code_and_side(take, hold_it, shelves):
    finding = Finding(level=Level.HOLD, code="low-resolution", message=WHY, side=Side.BACK)
    hold_it(take(), finding, "The front and the back\nare one file.")
    note = read_held_note(shelves / "held" / "spring menu")
    said = Finding(level=Level.REFUSE, code="order-unclear", message=r"The front and the back\nare one file.")
    assert note.reasons == (finding, said)


def test_a_lone_half_has_a_code_that_tells_what_is_missing(take, hold_it):
    note = hold_it(take(missing="back"), "a.png has waited 15 min for its back.")
    assert [reason.code for reason in note.reasons] == ["back-missing"]


@pytest.mark.parametrize("side", ["front", "back"])
def test_a_lone_half_is_told_that_its_other_side_finds_it(take, hold_it, shelves, side):
    hold_it(take(missing=side, folder="menu"), f"a.png has waited 15 min for its {side}.")
    assert f"  - Put the {side} into inbox/menu, under the name that is said above: the two" in _why(shelves)
    assert "mended" not in _why(shelves)


def test_a_lone_ticket_is_told_that_its_art_finds_it(take, hold_it, shelves):
    hold_it(take(missing="art", files={"a.toml": b""}), "The job ticket a.toml has waited 15 min for its art.")
    assert "  - Put the art into inbox: it finds this job ticket by itself.\n" in _why(shelves)


def test_a_long_name_is_never_parted(take, hold_it, shelves):
    """Or it could not be searched for."""
    name = "a-" * 60 + "front.png"
    hold_it(take(files={name: b"a"}), f"{name} cannot be used.")
    assert sum(name in line for line in _why(shelves).splitlines()) == 2


def test_nothing_from_a_name_forges_a_line(take, hold_it, shelves):
    hold_it(take(name="a\nb", folder="x\ny"), "a\nb is bad.\u2028All is well.", soft=True)
    assert not {"b", "b is bad.", "All is well."} & {line.strip(" -") for line in _why(shelves, "ab").splitlines()}
    assert r"a\nb was set aside" in _why(shelves, "ab")


# -- crashes and trouble -----------------------------------------------------------------------------------------------


@pytest.fixture
def two_devices(monkeypatch):
    """The held folder lies on another device than the archive."""
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if Path(target).parent != self.parent:
            raise OSError(errno.EXDEV, os.strerror(errno.EXDEV), str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)


def test_it_goes_to_another_device_whole(take, hold_it, contents, two_devices):
    hold_it(take())
    assert sorted(contents()) == [
        "held/spring menu/held.toml",
        "held/spring menu/spring menu_back.png",
        "held/spring menu/spring menu_front.png",
        "held/spring menu/why.txt",
    ]


@pytest.mark.parametrize("devices", [1, 2])
def test_killed_at_any_step_it_is_here_or_there_and_whole(
    take, shelves, contents, killed_at, devices, pictures, request
):
    """Recovered as the service does it: what is whole is made again, with the same end; the rest goes back."""
    if devices == 2:
        request.getfixturevalue("two_devices")

    def hold_it(order):
        archive, held = shelves / "archive", shelves / "held"
        hold(order, (WHY,), soft=False, archive=archive, held=held, since=SINCE, pictures=pictures)
        forget_note(archive, order.number)

    for step in range(1, 60):
        order = take()
        died = killed_at(step, lambda order=order: hold_it(order))
        _is_not_half(shelves / "held" / "spring menu")
        for left in left_overs(shelves / "archive"):
            _recover(left, shelves, hold_it)
        found = contents()
        ours = {picture.name for picture in pictures}
        art = [(Path(path).name, data) for path, data in found.items() if path.endswith(".png")]
        assert sorted(one for one in art if one[0] not in ours) == sorted(ART.items()), f"step {step}"  # each once
        assert not [path for path in found if "/." in path], f"step {step}"
        if not died:
            assert step > 8
            return
        _clear(shelves)
    raise AssertionError("it never came to its end")


def _recover(left: LeftOver, shelves: Path, hold_it) -> None:
    """As `recovery.recover` does it with an order that the journal knows nothing about."""
    archive = shelves / "archive"
    if not left.order.files or finish_hold(left.order, archive=archive, held=shelves / "held"):
        forget_note(archive, left.order.number)
    elif left.whole:
        hold_it(left.order)
    else:
        undo(left.order, archive)


def _is_not_half(held: Path) -> None:
    if held.exists():
        assert {name: (held / name).read_bytes() for name in ART} == ART
        assert read_held_note(held) is not None


def test_an_earlier_try_to_hold_it_is_not_taken_for_the_last(take, hold_it, shelves):
    """A held order of the same name from another day lies where that note points to."""
    order = take()
    hold_it(take(number=2))
    (shelves / "archive/.taking-1/held.toml").write_bytes(b"# another day\n" + _note_of_held(shelves))
    assert not finish_hold(order, archive=shelves / "archive", held=shelves / "held")
    assert (shelves / "archive/.taking-1/spring menu_front.png").exists()


def _note_of_held(shelves: Path) -> bytes:
    return (shelves / "held/spring menu/held.toml").read_bytes()


def _clear(shelves: Path) -> None:
    for path in sorted(shelves.rglob("*"), reverse=True):
        if path.is_file():
            path.unlink()
        elif path.parent != shelves:
            path.rmdir()


def test_a_full_disk_leaves_it_where_it_was(take, hold_it, contents, shelves, monkeypatch):
    order = take()
    before = contents()

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="full"):
        hold_it(order)
    assert contents() == before
    assert note_of(shelves / "archive", 1).exists()


# -- give back ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def give(shelves):
    def do(name: str, *, accepted: bool = False) -> Path:
        return give_back(name, held=shelves / "held", inbox=shelves / "inbox", accepted=accepted)

    return do


def test_it_goes_back_into_the_inbox(take, hold_it, give, shelves):
    hold_it(take())
    assert give("spring menu") == shelves / "inbox" / "spring menu"
    assert (shelves / "inbox" / "spring menu" / "held.toml").exists()
    assert list((shelves / "held").iterdir()) == []


def test_accepted_it_goes_back_as_a_person_would_rename_it(take, hold_it, give, shelves):
    note = hold_it(take(), soft=True)
    target = give("spring menu", accepted=True)
    assert target == shelves / "inbox" / "spring menu ok"
    assert note.is_accepted_as(target.name)


def test_what_cannot_be_accepted_says_why(take, hold_it, give, shelves):
    hold_it(take(), "spring menu_back.png is a damaged PNG.")
    with pytest.raises(
        WrongUsage, match=r"^spring menu cannot be printed as it is: spring menu_back\.png is a damaged"
    ):
        give("spring menu", accepted=True)
    assert (shelves / "held" / "spring menu").exists()


def test_an_unknown_name_lists_those_there_are(take, hold_it, give):
    hold_it(take(name="b"))
    hold_it(take(name="a", number=2))
    with pytest.raises(WrongUsage, match=r"^There is no held order 'c'\. Held are: a, b\.$"):
        give("c")


def test_where_nothing_is_held_it_says_so(give, shelves):
    (shelves / "held").rmdir()
    with pytest.raises(WrongUsage, match="Nothing is held"):
        give("a")


@pytest.mark.parametrize("name", ["../inbox/a", "..", ".", "", "/etc", "a/../a", "a\0"])
def test_no_name_reaches_out_of_the_shelf(take, hold_it, give, name):
    hold_it(take(name="a"))
    with pytest.raises(WrongUsage, match="There is no held order"):
        give(name)


def test_a_folder_that_lies_in_the_inbox_already_stays(take, hold_it, give, shelves, contents):
    hold_it(take())
    (shelves / "inbox" / "spring menu").mkdir()
    before = contents()
    with pytest.raises(FileExistsError):
        give("spring menu")
    assert contents() == before
