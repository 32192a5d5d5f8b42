"""Tell text that the reader of TOML would take very long over."""

_MOST_DOTS_SQUARED = 20_000_000  # about 0.3 s


def has_endless_key(text: str) -> bool:
    """Whether a key of the text may have thousands of dots: the reader takes time in the square of their number."""
    return sum(line.count(".") ** 2 for line in text.splitlines()) > _MOST_DOTS_SQUARED
