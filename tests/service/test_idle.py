"""A service that waits is small: what its process holds after an order, once its workers have ended.

Measured alone (PSS, proc(5)): 34 MB; with the libraries below, which only workers need, 80 MB.
"""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

ONLY_FOR_WORKERS = {"numpy", "PIL", "pypdf", "pypdfium2", "pypdfium2_raw", "reportlab", "isal"}
ONLY_FOR_COMMANDS = {"rich", "tomlkit", "distributed"}

ONE_ORDER = """
import multiprocessing, sys, time
from pathlib import Path

if __name__ == "__main__":
    from watcher.commands.app import main  # as the command loads it
    from watcher.commands.at_work import service_for
    from watcher.commands.settings_file import load
    from watcher.service import scheduling

    scheduling.IDLE_S = 0.0
    service = service_for(load(Path(sys.argv[1])), once=False, to_screen=False)
    service.start()
    ends = time.monotonic() + 120
    while not (service.making.made + service.making.held and service.scheduling.is_idle):
        assert time.monotonic() < ends
        service.step(time.monotonic())
        if not service.making.made + service.making.held:
            service.wait()
    service.step(time.monotonic())
    print(service.making.made, len(multiprocessing.active_children()))
    print(*sys.modules)
    service.stop()
"""


def test_after_an_order_the_service_is_alone_and_holds_nothing_that_opens_or_draws_art(
    print_folder: Path, draw_card: Callable[..., Path], tmp_path: Path
):
    (print_folder / "settings.toml").write_text(
        (print_folder / "settings.toml").read_text().replace("[service]", "[service]\nread_back = false", 1)
    )
    draw_card(print_folder / "inbox/tag/night_x3.png", (258, 173))
    script = tmp_path / "one_order.py"
    script.write_text(ONE_ORDER)
    ran = subprocess.run(
        [sys.executable, str(script), str(print_folder / "settings.toml")], capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stderr[-1000:]
    came_to, modules = ran.stdout.splitlines()
    assert came_to == "1 0"  # made; no worker is left
    loaded = {name.partition(".")[0] for name in modules.split()}
    assert loaded.isdisjoint(ONLY_FOR_WORKERS | ONLY_FOR_COMMANDS)
