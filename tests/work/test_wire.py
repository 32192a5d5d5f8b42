"""Answers as bytes: what a worker may send is read, and nothing else, whatever its bytes would do."""

import os
import pickle
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from watcher.inbox.inside import Inside, Member
from watcher.terms import Finding, Level, Side
from watcher.work.answer import Answer
from watcher.work.job import Checked, Made
from watcher.work.wire import read_answer, write_answer

FINDING = Finding(level=Level.WARN, code="bleed", message="There is none.", side=Side.FRONT)


class _Calls:
    """Has whoever unpickles it call a function."""

    def __init__(self, function: Any, *arguments: Any) -> None:
        self._call = (function, arguments)

    def __reduce__(self) -> Any:
        return self._call


@pytest.mark.parametrize(
    "result",
    [
        Inside(members=(Member(name="1.png", stored_as="1.png", size=1, sha256="ab", pages=None),), pages=None),
        Checked(findings=(FINDING,), words="50 cards", up=4),
        Made(sheets=3, up=4, words="", findings=(FINDING,), product={"a.pdf": 7}),
        {"numbers": (Fraction(1, 3), Path("a"), None, 1.5, b"bytes")},
    ],
)
def test_every_answer_comes_back_as_it_was(result):
    answer = Answer(result=result, reasons=(FINDING,), detail="twice")
    assert read_answer(write_answer(answer)) == answer


@pytest.mark.parametrize(
    "foreign",
    [
        _Calls(os.system, "exit 0"),
        _Calls(eval, "1"),
        _Calls(getattr, Answer, "held"),
        _Calls(Path("nowhere").unlink),
        os.system,
        read_answer,
    ],
)
def test_what_would_call_or_name_a_function_is_refused(foreign):
    """Python's documentation of pickle: restrict globals by `find_class`."""
    with pytest.raises(ValueError, match="no answer of a worker"):
        read_answer(pickle.dumps(Answer(result=foreign)))


@pytest.mark.parametrize("data", [b"", b"\x80", b"garbage", pickle.dumps("words"), pickle.dumps(FINDING)])
def test_what_is_no_answer_is_refused(data):
    with pytest.raises(ValueError, match="no answer of a worker"):
        read_answer(data)
