"""The command line in the test's own process."""

import pytest

from watcher.commands import app


def run_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: object
) -> tuple[int, str, str]:
    """Run a command to its end; gives exit code, output and errors."""
    monkeypatch.setattr("sys.argv", ["print-folder", *map(str, words)])
    with pytest.raises(SystemExit) as ended:
        app.main()
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err
