"""A key of thousands of dots is seen before it is read."""

import pytest

from watcher.disk import has_endless_key


@pytest.mark.parametrize(
    ("text", "is_endless"),
    [
        ("", False),
        ('trim = "5 x 7 in"\n' * 10_000, False),
        ("a." * 4_000 + "b = 1", False),
        ("a." * 5_000 + "b = 1", True),
        ('a = 1\n[b]\n"x"' + ".c" * 50_000 + " = 1\n", True),
    ],
)
def test_it_is_told_by_the_dots_of_its_lines(text, is_endless):
    assert has_endless_key(text) == is_endless
