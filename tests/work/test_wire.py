"""Answers as bytes: what a worker may send is read, and nothing else, whatever its bytes would do."""

import json
import os
import pickle
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from watcher.inbox.inside import Inside, Member
from watcher.terms import Finding, HeldFor, Level, Side
from watcher.work import warm_up
from watcher.work.answer import Answer
from watcher.work.gang_model import Examined, RunJob, RunMade, RunSpoiled
from watcher.work.inspect_file import InspectFile
from watcher.work.job import Checked, Made
from watcher.work.wire import is_answer_to, read_answer, write_answer

FINDING = Finding(level=Level.WARN, code="bleed", message="There is none in a\udcff.png.", side=Side.FRONT)
MEMBER = Member(name="1.toml", stored_as="1.toml", size=2, sha256="ab", pages=None, text=b"\x00\xff")


@pytest.mark.parametrize(
    "result",
    [
        Inside(members=(MEMBER,), pages=2),
        Checked(findings=(FINDING,), words="50 cards", up=4),
        Made(sheets=3, up=4, words="", findings=(FINDING,), product={"a.pdf": 7}),
        Examined(),
        RunMade(words={"menu": "50 cards"}, sheets=2, product={"a.pdf": 7}),
        RunSpoiled(order="menu", answer=Answer(reasons=(FINDING,), soft=True, needs=HeldFor.YES)),
        {"numbers": [1, None, 1.5, "words"]},
        True,
    ],
)
def test_every_answer_comes_back_as_it_was(result):
    answer = Answer(result=result, reasons=(FINDING,), detail="twice", pictures=("a.png",))
    assert read_answer(write_answer(answer)) == answer


class _Calls:
    """Has whoever unpickles it call a function."""

    def __reduce__(self) -> Any:
        return os.system, ("exit 0",)


@pytest.mark.parametrize(
    "data",
    [b"", b"\x80", b"garbage", b"null", b"[]", b'"words"', pickle.dumps(Answer()), pickle.dumps(_Calls())],
)
def test_what_is_no_answer_is_refused(data):
    with pytest.raises(ValueError, match="no answer of a worker"):
        read_answer(data)


def test_bytes_that_would_change_a_class_change_nothing():
    """In a pickle the operation BUILD sets what an object has, and a class is one (pickletools, `BUILD`)."""
    held = Answer.held
    builds = b"\x80\x02cwatcher.work.answer\nAnswer\nN}X\x04\x00\x00\x00heldX\x03\x00\x00\x00bads\x86b0"
    with pytest.raises(ValueError, match="no answer of a worker"):
        read_answer(builds + b"cwatcher.work.answer\nAnswer\n)\x81}b.")
    assert Answer.held is held


@pytest.mark.parametrize(
    "fields",
    [
        {"reasons": [{"level": "warn", "code": "bleed", "message": 7}]},
        {"reasons": ["words"]},
        {"reasons": [{"level": "loud", "code": "bleed", "message": "words"}]},
        {"reasons": [{"level": "warn", "code": "bleed"}]},
        {"pictures": "a.png"},
        {"pictures": [None]},
        {"soft": 1},
        {"held": []},
        {"result": {"record": "Made", "sheets": 1, "up": 1, "words": "", "findings": [], "product": {"a.pdf": "7"}}},
        {"result": {"record": "Made", "sheets": True, "up": 1, "words": "", "findings": [], "product": {}}},
        {"result": {"record": "Made", "sheets": 10**30, "up": 1, "words": "", "findings": [], "product": {}}},
        {"result": {"record": "Inside", "members": [{"name": "1.png"}]}},
        {"result": {"record": "Journal"}},
    ],
)
def test_what_is_no_field_of_a_record_is_refused(fields):
    with pytest.raises(ValueError, match="no answer of a worker"):
        read_answer(json.dumps(fields).encode())


def test_what_no_answer_holds_is_not_written():
    with pytest.raises(TypeError, match="no answer holds a PosixPath|WindowsPath"):
        write_answer(Answer(result=Path("a")))


def test_what_another_task_gives_is_no_answer():
    """An order's result for a file that was inspected would stop the look at the inbox."""
    inspect = InspectFile(path=Path("a.zip"))
    assert is_answer_to(inspect, Answer(result=Inside()))
    assert is_answer_to(inspect, Answer(reasons=(FINDING,)))
    assert not is_answer_to(inspect, Answer(result=Examined()))
    assert not is_answer_to(inspect, Answer(result={"pages": 2}))


JOB = warm_up._any_job()
PRODUCT = {f"{JOB.name}_sheets.pdf": 9, f"{JOB.name}_ticket.toml": 9}


def made(product, **changed):
    return Answer(result=replace(Made(sheets=1, up=1, words="", findings=(), product=product), **changed))


def test_a_product_has_its_ticket_and_names_of_ours():
    """Without its ticket no order can be archived: before, the program paused as if the disk had lost it."""
    assert is_answer_to(JOB, made(PRODUCT))
    assert not is_answer_to(JOB, made({}))
    assert not is_answer_to(JOB, made({f"{JOB.name}_sheets.pdf": 9}))
    for name in ("../../a.pdf", "run.desktop", "page.html", "a\0.pdf", ".."):
        assert not is_answer_to(JOB, made(PRODUCT | {name: 9}))


def test_no_product_has_no_sheet():
    assert not is_answer_to(JOB, made(PRODUCT, sheets=-5))
    assert not is_answer_to(JOB, made(PRODUCT, up=0))


def test_an_answer_says_what_came_of_the_task():
    """An order was held with the words `cannot be opened safely ()`."""
    assert not is_answer_to(JOB, Answer())
    assert is_answer_to(JOB, Answer(died="the program broke down over it"))
    assert is_answer_to(JOB, Answer(trouble="the disk is full"))


def test_a_run_spoiled_by_an_order_says_why():
    run = RunJob(jobs=(JOB,), numbers={JOB.name: 1}, run="run", building=Path("b"), date="2026-03-01")
    assert not is_answer_to(run, Answer(result=RunSpoiled(order=JOB.name, answer=Answer())))
    assert is_answer_to(run, Answer(result=RunSpoiled(order=JOB.name, answer=Answer(died="it broke"))))
    assert is_answer_to(run, Answer(result=RunMade(words={})))
    assert not is_answer_to(run, Answer(result=RunMade(words={JOB.name: "1 card"}, sheets=1, product={})))


def test_a_text_longer_than_any_of_ours_is_no_answer():
    with pytest.raises(ValueError, match="larger than any answer has"):
        read_answer(write_answer(Answer(died="x" * 100_000)))
