"""The order of a plan, before and after its files were read."""

from tests.orders.an_order import sides_of
from watcher.orders.draft import draft_order, with_content
from watcher.orders.model import Planned, Repeat
from watcher.orders.wishes import Wishes


def test_the_order_of_a_plan_has_its_files_without_their_content(drop, pair):
    paths = drop("spring_x5_front.png", "spring_back.png")
    (plan,) = pair()
    order = draft_order(plan, 7, {path: path.name for path in paths})
    assert (order.number, order.name, order.wishes.quantity) == (7, "spring", 5)
    assert {str(source.side): source.file for source in order.art} == sides_of(plan)
    assert [(file.origin, file.sha256) for file in order.files] == [(str(path), "") for path in paths]


def test_hashes_are_filled_in_by_name(drop, pair):
    paths = drop("spring_front.png", "spring_back.png")
    (plan,) = pair()
    digests = {"spring_front.png": "f" * 64, "spring_back.png": "b" * 64}
    order = with_content(draft_order(plan, 7, {path: path.name for path in paths}), plan, digests)
    assert {source.file: source.sha256 for source in order.art} == digests
    assert {file.name: file.sha256 for file in order.files} == digests


def test_of_a_zip_the_members_are_noted_and_its_own_hash_beside_theirs(drop, pair, make):
    (path,) = drop(**{"spring.zip": make.packed({"front.png": make.png("f"), "back.png": make.png("b")})})
    (plan,) = pair()
    order = with_content(draft_order(plan, 7, {path: "spring.zip"}), plan, {"spring.zip": "a" * 64})
    assert order.files[0].members == ("front.png", "back.png")
    assert {source.file_sha256 for source in order.art} == {"a" * 64}
    assert len({source.sha256 for source in order.art} - {"a" * 64}) == 2


def test_what_was_asked_for_is_the_same_in_the_plan_and_in_its_order():
    said = {"folder": "tags", "wishes": Wishes(quantity=3), "repeat": Repeat(order="autumn"), "accepted": True}
    kept_from = {"fault": "It is blue.", "fault_code": "blue", "missing": "back", "came_in": "spring in May"}
    seen = {"seen": ("mark",), "overruled": True}
    plan = Planned(name="spring", key="spring", **said, **kept_from, **seen, lacks="3 is missing")
    order = draft_order(plan, 7, {})
    assert {key: getattr(order, key) for key in (*said, *kept_from, *seen)} == {**said, **kept_from, **seen}
