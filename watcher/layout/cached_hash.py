"""Cache the hash of frozen records that are used as dictionary keys.

A layout is the key of several caches, and its hash is that of hundreds of fractions.
"""

from typing import Any, TypeVar

_Record = TypeVar("_Record")
_KEPT = "_hash"


def cached_hash(record: type[_Record]) -> type[_Record]:
    """A frozen dataclass that keeps its hash; not when it is copied or sent, for words hash otherwise elsewhere."""
    made: Any = record
    work_out = made.__hash__

    def kept(self: Any) -> int:
        if _KEPT not in self.__dict__:
            self.__dict__[_KEPT] = work_out(self)
        found: int = self.__dict__[_KEPT]
        return found

    def without(self: Any) -> dict[str, Any]:
        return {name: value for name, value in self.__dict__.items() if name != _KEPT}

    made.__hash__, made.__getstate__ = kept, without
    return record
