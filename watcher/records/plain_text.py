"""Make text from outside safe to show: one line, no control characters, nothing that reorders the text around it."""

import re
import unicodedata
from collections.abc import Iterable
from pathlib import Path, PurePath

# An absolute path in a sentence: between quotes, else up to the next space or sign. Not the path of an address.
_ABSOLUTE = re.compile(
    r"""(?<=')(?:~?/|[A-Za-z]:[\\/])[^']+(?=')|(?<![\w.:/~…-])(?:~?/|[A-Za-z]:[\\/])[^\s"'()<>|;,]+"""
)
_SEPARATOR = re.compile(r"[/\\]")
_UNSEEN = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}


def one_line(text: str, most: int = 400) -> str:
    """The text with control and invisible characters written as escapes, cut to `most` characters.

    Covers C0 and C1 controls, line and paragraph separators, format signs (bidi marks, zero width) and the lone
    surrogates by which Python carries bytes that are not UTF-8.
    """
    shown = text[: most + 1]  # writing out makes nothing shorter
    if not shown.isprintable():
        shown = "".join(_written_out(sign) if unicodedata.category(sign) in _UNSEEN else sign for sign in shown)
    return shown if len(shown) <= most else shown[: most - 1] + "…"


def as_utf8(text: str) -> str:
    r"""The text with bytes of a file name that are not UTF-8 written as `\udcff`, so that it can be stored."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def hide_places(text: str, folder: Path, more: Iterable[Path] = ()) -> str:
    """The text without the names of folders above the print folder; others than its owner may read it.

    Args:
        text: a sentence of ours, with paths in it.
        folder: the print folder; what lies in it is named from there.
        more: other files and folders of the settings; of these, and of every other path, the last name stays.
    """
    if "/" not in text and "\\" not in text:
        return text
    text = text.replace(f"{folder}/", "").replace(f"{folder}\\", "").replace(str(folder), folder.name)
    for path in sorted(map(str, more), key=len, reverse=True):
        text = text.replace(path, f"…/{PurePath(path).name}")
    above = {str(one) for path in (folder, *more) for one in path.parents}
    for one in sorted((one for one in above if " " in one), key=len, reverse=True):
        text = re.sub(rf"{re.escape(one)}(?![\w/\\])", "…", text).replace(one, "")
    return _ABSOLUTE.sub(lambda found: _last_name(found[0], above), text)


def _last_name(path: str, above: set[str]) -> str:
    kept = path.rstrip(".:!?")
    name = "" if kept.rstrip("/") in above else f"/{_SEPARATOR.split(kept.rstrip('/'))[-1]}"
    return f"…{name}{path[len(kept) :]}"


def _written_out(sign: str) -> str:
    return sign.encode("unicode_escape", "surrogatepass").decode("ascii")
