"""`print-folder run`: the service."""

from watcher.commands.options import SettingsOption
from watcher.commands.settings_file import load


def run(settings: SettingsOption = None) -> None:
    """Watch the inbox and make every order, until stopped (Ctrl-C)."""
    from watcher.commands.at_work import service_for

    service = service_for(load(settings), once=False, to_screen=True)
    service.mind_signals()
    service.start()
    service.run()
