"""A hash that is kept is the record's own, and stays in its process."""

import copy
import pickle
from dataclasses import dataclass, replace

from watcher.layout.cached_hash import cached_hash


@cached_hash
@dataclass(frozen=True)
class Named:
    name: str
    parts: tuple[int, ...] = ()


def test_equal_records_are_one_key_and_others_are_not():
    one, other = Named("a", (1, 2)), Named("a", (1, 2))
    assert hash(one) == hash(other) == hash(one)
    assert {one: 1}[other] == 1
    assert replace(one, name="b") not in {one: 1}


def test_it_is_worked_out_once():
    class Counting(tuple):
        asked = 0

        def __hash__(self):
            Counting.asked += 1
            return super().__hash__()

    record = Named("a", Counting((1, 2)))
    assert hash(record) == hash(record)
    assert Counting.asked == 1


def test_it_is_not_sent_to_other_processes():
    record = Named("a")
    hash(record)
    for copied in (pickle.loads(pickle.dumps(record)), copy.copy(record)):
        assert vars(copied) == {"name": "a", "parts": ()}
        assert copied == record
