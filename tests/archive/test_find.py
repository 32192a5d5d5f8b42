"""A name finds the archived order it means; where it could mean several, they are told apart."""

import pickle
from pathlib import Path

import pytest

from tests.archive.archived_order import put_order
from watcher.archive.find import DamagedOrder, NotInArchive, SeveralArts, find_archived, nearest_names


def archived(
    archive: Path, folder: str, name: str = "spring", sha256: str = "ab", day: int = 1, **said: object
) -> None:
    art = [{"side": "front", "file": "a.png", "sha256": sha256}]
    put_order(archive, folder, name=name, made_at=f"2026-05-{day:02}T10:00:00+02:00", art=art, **said)


def test_of_one_art_the_folder_of_the_very_name_goes_before_the_newest(tmp_path):
    archived(tmp_path, "spring-2", day=2), archived(tmp_path, "spring-3", day=3)
    assert find_archived("SPRING", tmp_path).folder == "spring-3"
    archived(tmp_path, "spring", day=1)
    assert find_archived("SPRING", tmp_path).folder == "spring"


def test_different_art_under_a_name_is_told_apart_and_each_can_be_asked_for(tmp_path):
    archived(tmp_path, "spring"), archived(tmp_path, "spring-2", sha256="cd", day=2)
    with pytest.raises(SeveralArts) as told:
        find_archived("spring", tmp_path)
    assert told.value.there == ("spring-1 (Fri 1 May 2026, 10 cards, tag)", "spring-2 (Sat 2 May 2026, 10 cards, tag)")
    assert [find_archived(name, tmp_path).folder for name in ("spring-1", "spring-2")] == ["spring", "spring-2"]


def test_spoiled_designs_made_again_are_no_other_art(tmp_path):
    archived(tmp_path, "spring"), archived(tmp_path, "spring-2", sha256="cd", day=2, only=[2])
    assert find_archived("spring", tmp_path).folder == "spring"


def test_a_folder_of_the_name_whose_ticket_is_gone_is_not_passed_over(tmp_path):
    archived(tmp_path, "spring-2")
    (tmp_path / "spring").mkdir()
    (tmp_path / "spring/a.png").touch()
    with pytest.raises(
        DamagedOrder, match=r"but its spring_ticket\.toml is missing\. Its art is there: a\.png"
    ) as told:
        find_archived("Spring", tmp_path)
    assert vars(pickle.loads(pickle.dumps(told.value))) == vars(told.value)


def test_where_there_is_none_the_nearest_names_are_said(tmp_path):
    archived(tmp_path, "spring"), archived(tmp_path, "moon", name="moon")
    with pytest.raises(NotInArchive, match="The nearest names there: spring"):
        find_archived("sprign", tmp_path)
    assert nearest_names("fair", ["moon", "Summer Fair of the harbour"]) == ("Summer Fair of the harbour",)
    with pytest.raises(NotInArchive, match=r"no order sun in the archive\. Every order has its folder there\.$"):
        find_archived("sun", tmp_path)


def test_a_name_written_without_its_accents_finds_the_one_order_it_can_mean(tmp_path):
    archived(tmp_path, "Boda Lucía", name="Boda Lucía")
    assert find_archived("boda-lucia", tmp_path).folder == "Boda Lucía"
    archived(tmp_path, "Bodà Lucia", name="Bodà Lucia")
    with pytest.raises(NotInArchive):
        find_archived("boda-lucia", tmp_path)
