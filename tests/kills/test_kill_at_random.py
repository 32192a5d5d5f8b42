"""The real `print-folder run`, killed at random instants: each order is made exactly once, and nothing is lost."""

import hashlib
import os
import random
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.long_form import LONG
from tests.whole_folder import contents, left_lying


@pytest.mark.skipif(not LONG, reason="the long form: PRINT_FOLDER_LONG=1")
@pytest.mark.timeout(7200)
def test_killed_at_random_instants_two_hundred_orders_are_each_made_once(
    print_folder: Path, draw_card: Callable[..., Path]
) -> None:
    """KILLS (1,000) kills of the real service at random instants while ORDERS (200) orders come in.

    They lie within one and a half times what one order takes from the start of the command on this machine now. An
    order over which the service died five times in a row is set aside, as it must be, and taken up again in the end.
    """
    kills, orders = int(os.environ.get("KILLS", "1000")), int(os.environ.get("ORDERS", "200"))
    chance = random.Random(20261125)
    command = [sys.executable, "-m", "watcher", "run", "--settings", str(print_folder / "settings.toml")]
    once = [*command[:3], "once", *command[4:]]
    file = print_folder / "settings.toml"
    file.write_text(file.read_text().replace('events = "polling"', 'events = "polling"\nrescan = "1 s"'))
    dropped: set[str] = set()

    def drop(number: int) -> None:
        for side in ("front", "back"):
            path = draw_card(print_folder / f"inbox/order{number}_{side}.png", word=f"{side[0]}{number}")
            dropped.add(hashlib.sha256(path.read_bytes()).hexdigest())

    drop(0)
    begun = time.monotonic()
    subprocess.run(once, check=True, stdout=subprocess.DEVNULL)
    longest_s, delivered = 1.5 * (time.monotonic() - begun), 0
    for kill in range(kills):
        while len(dropped) < 2 * orders * (kill + 1) // kills:
            drop(len(dropped) // 2)
        process = subprocess.Popen(command, stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.1, longest_s))  # the random instant is what is tested here
        process.kill()
        process.wait()
        delivered = len(list((print_folder / "outbox").glob("order*")))
    subprocess.run(once, check=False, stdout=subprocess.DEVNULL)
    five_deaths = sorted(path.name for path in (print_folder / "held").iterdir())
    for order in five_deaths:
        assert "died 5 times" in " ".join((print_folder / f"held/{order}/why.txt").read_text().split())
        subprocess.run([*once[:3], "retry", order, *once[4:]], check=True, stdout=subprocess.DEVNULL)
    (print_folder.parent / "told").write_text(
        f"{kills} kills within {longest_s:.1f} s of the start, {orders} orders, {delivered} of them made between the"
        f" kills, {len(five_deaths)} set aside after five deaths and taken up again\n"
    )
    made = sorted(path.name for path in (print_folder / "outbox").iterdir() if path.is_dir())
    assert made == sorted(f"order{number}" for number in range(orders))
    assert sorted(path.name for path in (print_folder / "archive").iterdir()) == made
    assert dropped <= contents(print_folder, "archive")
    assert left_lying(print_folder) == []
    assert list((print_folder / "held").iterdir()) == []
