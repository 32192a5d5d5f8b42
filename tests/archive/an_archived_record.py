"""An archived order as its ticket might tell it, for tests that need no ticket."""

from typing import Any

from watcher.archive.archived import Archived
from watcher.orders.wishes import Wishes


def archived(**said: Any) -> Archived:
    """Ten lanterns on six sheets of letter; any attribute changed by its name."""
    plain: dict[str, Any] = {
        "folder": "lantern", "name": "lantern", "wishes": Wishes(card="invitation", sheet="letter", quantity=10),
        "sheets": 6, "up": 2, "made_at": "2026-05-01T12:00:00+02:00", "printed_as": "lantern",
        "printed_on": "2026-05-01", "repeat_of": None, "sheets_only": None, "accepted": False, "order_sha256": "",
        "settings_sha256": "", "art": (), "settings": None, "area_mm2": 60_000.0, "waste_percent": 25.4,
        "profile_sha256": None, "run": None, "run_sheets": 0, "designs": 1, "overruled": False, "libraries": {},
        "cost": None,
    }  # fmt: skip
    return Archived(**(plain | said))
