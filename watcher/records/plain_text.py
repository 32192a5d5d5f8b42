"""Make text from outside safe to show: one line, no control characters, nothing that reorders the text around it."""

import unicodedata

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


def _written_out(sign: str) -> str:
    return sign.encode("unicode_escape", "surrogatepass").decode("ascii")
