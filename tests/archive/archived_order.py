"""An archived order made by hand: its folder and the least ticket that is one."""

from pathlib import Path

import tomli_w


def put_order(archive: Path, folder: str, **said: object) -> Path:
    """The folder of an order that is put into an archive; what its ticket says otherwise, by name."""
    ticket = {
        "order": folder, "card": "tag", "quantity": 10, "overs": 0, "up": 2, "sheets": 5,
        "made_at": "2026-05-01T10:00:00+02:00", "sheet": {"name": "a4", "width_mm": 210, "height_mm": 297},
        "art": [{"side": "front", "file": "a.png", "sha256": "ab"}],
    }  # fmt: skip
    (archive / folder).mkdir(parents=True)
    (archive / folder / f"{folder}_ticket.toml").write_text(tomli_w.dumps(ticket | said))
    return archive / folder
