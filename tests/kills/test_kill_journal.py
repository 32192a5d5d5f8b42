"""The journal is lost or damaged, also in the moment in which the service dies: nothing is made twice."""

import os
import random
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.kills.killed import kill_and_start_again
from tests.kills.stories import ABlurredPair, APair, ARepeat, ARun, Story, run_to_its_end
from tests.long_form import LONG, in_long_form
from watcher.commands.at_work import service_for
from watcher.settings.load import load_settings

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

Tell = Callable[[type[Story]], Story]


class TestAJournal:
    @pytest.mark.parametrize("how", ["deleted", "cut", "scribbled"] + ["zeros"] * LONG)
    def test_that_is_lost_or_damaged_is_made_again_and_nothing_is_made_twice(self, tell: Tell, how: str) -> None:
        told = tell(APair)
        run_to_its_end(told.folder)
        self.damage(told.folder / "state/journal.sqlite", how)
        told.drop()
        run_to_its_end(told.folder)
        assert sorted(path.name for path in (told.folder / "outbox").iterdir() if path.is_dir()) == ["lantern"]
        assert "the same art again" in (told.folder / "outbox/log.txt").read_text()

    def damage(self, file: Path, how: str) -> None:
        for beside in ("-wal", "-shm"):
            file.with_name(file.name + beside).unlink(missing_ok=True)
        data = file.read_bytes()
        if how == "deleted":
            file.unlink()
        elif how == "zeros":
            file.write_bytes(bytes(len(data)))
        elif how == "cut":
            file.write_bytes(data[: len(data) // 2])
        else:
            scribble = random.Random(7)
            file.write_bytes(data[:4096] + bytes(scribble.randrange(256) for _ in data[4096:]))

    @pytest.mark.parametrize(
        "step", ["delivering", "archived", "held", "done", "told"] + ["made", "published", "held-noted"] * LONG
    )
    def test_that_is_lost_in_the_same_moment_as_the_service_dies_makes_nothing_twice(
        self, tell: Tell, step: str
    ) -> None:
        kill_and_start_again(tell(ABlurredPair if step.startswith("held") else APair), step, loses_journal=True)

    @pytest.mark.parametrize("step", ["linked", "archived", "done"])
    def test_that_is_lost_as_the_service_dies_over_a_repeat_makes_it_once(self, tell: Tell, step: str) -> None:
        kill_and_start_again(tell(ARepeat), step, loses_journal=True)

    @pytest.mark.parametrize("step", ["archived", "published", *in_long_form("run-made", "archived:3", "unlisted")])
    def test_that_is_lost_in_the_moment_in_which_the_service_dies_makes_no_run_twice(
        self, tell: Tell, step: str
    ) -> None:
        told = tell(ARun)
        kill_and_start_again(told, step, loses_journal=True)
        told.drop()
        run_to_its_end(told.folder)
        assert (told.folder / "outbox/log.txt").read_text().count("the same art again") == 3

    def test_on_a_network_drive_is_refused(
        self, print_folder: Path, inline_workers: None, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("watcher.service.state_folder.network_kind", lambda _folder: "nfs4")
        service = service_for(load_settings(print_folder / "settings.toml"), once=True, to_screen=False)
        with pytest.raises(Exception, match="network drive"):
            service.start()
