"""What atheris runs in the long setting: bytes into the door for art, by kind. Run by `test_fuzz.py`, or by hand."""

import sys

import atheris

with atheris.instrument_imports(include=["watcher", "pypdf", "PIL"]):
    from watcher.art.decode import open_art
    from watcher.errors import ArtUnreadable
    from watcher.terms import Side

KINDS = ("png", "jpg", "tif", "webp", "pdf")


def try_one(data: bytes) -> None:
    """Open the bytes as each kind in turn; anything but our own error is a find."""
    if len(data) < 2:
        return
    kind = KINDS[data[0] % len(KINDS)]
    try:
        open_art(Side.FRONT, f"x.{kind}", "0" * 64, data[1:], kind)
    except ArtUnreadable:
        return


if __name__ == "__main__":
    atheris.Setup(sys.argv, try_one)
    atheris.Fuzz()
