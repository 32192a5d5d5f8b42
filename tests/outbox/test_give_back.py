"""A held order is given back to the inbox."""

from pathlib import Path

import pytest

from watcher.errors import WrongUsage
from watcher.outbox.hold import give_back

# -- give back ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def give(folders):
    def do(name: str, *, accepted: bool = False) -> Path:
        return give_back(name, held=folders / "held", inbox=folders / "inbox", accepted=accepted)

    return do


def test_it_goes_back_into_the_inbox(take, hold_it, give, folders):
    hold_it(take())
    assert give("spring menu") == folders / "inbox" / "spring menu"
    assert (folders / "inbox" / "spring menu" / "held.toml").exists()
    assert list((folders / "held").iterdir()) == []


def test_accepted_it_goes_back_as_a_person_would_rename_it(take, hold_it, give, folders):
    note = hold_it(take(), soft=True)
    target = give("spring menu", accepted=True)
    assert target == folders / "inbox" / "spring menu ok"
    assert note.is_accepted_as(target.name)


def test_what_cannot_be_accepted_says_why(take, hold_it, give, folders):
    hold_it(take(), "spring menu_back.png is a damaged PNG.")
    with pytest.raises(
        WrongUsage, match=r"^spring menu cannot be printed as it is: spring menu_back\.png is a damaged"
    ):
        give("spring menu", accepted=True)
    assert (folders / "held" / "spring menu").exists()


def test_an_unknown_name_lists_those_there_are(take, hold_it, give):
    hold_it(take(name="b"))
    hold_it(take(name="a", number=2))
    with pytest.raises(WrongUsage, match=r"^There is no held order 'c'\. Held are: a, b\.$"):
        give("c")


def test_where_nothing_is_held_it_says_so(give, folders):
    (folders / "held").rmdir()
    with pytest.raises(WrongUsage, match="Nothing is held"):
        give("a")


@pytest.mark.parametrize("name", ["../inbox/a", "..", ".", "", "/etc", "a/../a", "a\0"])
def test_no_name_reaches_out_of_the_shelf(take, hold_it, give, name):
    hold_it(take(name="a"))
    with pytest.raises(WrongUsage, match="There is no held order"):
        give(name)


def test_a_folder_that_lies_in_the_inbox_already_stays(take, hold_it, give, folders, contents):
    hold_it(take())
    (folders / "inbox" / "spring menu").mkdir()
    before = contents()
    with pytest.raises(FileExistsError):
        give("spring menu")
    assert contents() == before
