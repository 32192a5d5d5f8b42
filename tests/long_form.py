"""Whether the long form of the tests was asked for, by PRINT_FOLDER_LONG=1 in the environment."""

import os
from typing import Any

LONG = os.environ.get("PRINT_FOLDER_LONG") == "1"


def in_long_form(*cases: Any) -> list[Any]:
    """The cases in the long form and none otherwise, as in `[1, 14, *in_long_form(3, 8)]`."""
    return list(cases) if LONG else []
