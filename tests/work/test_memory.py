"""Freed memory is kept up to a size, and given back after large art; other C libraries are left alone."""

import gc
from types import SimpleNamespace

import pytest

from watcher.work import memory

PAGE = 1


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> list[tuple[object, ...]]:
    """What the C library and the garbage collector are asked for."""
    asked: list[tuple[object, ...]] = []
    library = SimpleNamespace(
        mallopt=lambda *option: asked.append(("keep", *option)), malloc_trim=lambda _pad: asked.append(("trim",))
    )
    monkeypatch.setattr(memory, "_c_library", lambda: library)
    monkeypatch.setattr(gc, "collect", lambda: asked.append(("collect",)))
    return asked


def use(monkeypatch: pytest.MonkeyPatch, resident: int) -> None:
    """As if the process had so many bytes in memory. Source: proc_pid_statm(5), the second number, in pages."""
    statm = f"9999999999 {resident} 7 1 0 5 0\n".encode()
    monkeypatch.setattr(memory, "Path", lambda _path: SimpleNamespace(read_bytes=lambda: statm))
    monkeypatch.setattr(memory, "os", SimpleNamespace(sysconf=lambda _name: PAGE))


@pytest.mark.parametrize(
    ("resident", "asked"),
    [
        (memory.LITTLE_BYTES, []),
        (memory.LITTLE_BYTES + 1, [("collect",)]),
        (memory.USUAL_BYTES, [("collect",)]),
        (memory.USUAL_BYTES + 1, [("collect",), ("trim",)]),
    ],
)
def test_the_more_is_in_use_the_more_is_done(
    calls: list[tuple[object, ...]], monkeypatch: pytest.MonkeyPatch, resident: int, asked: list[tuple[str]]
) -> None:
    use(monkeypatch, resident)
    memory.give_back_after_large()
    assert calls == asked


def test_both_thresholds_are_set_to_what_is_kept(calls: list[tuple[object, ...]]) -> None:
    """M_TRIM_THRESHOLD is -1, M_MMAP_THRESHOLD is -3. Source: <malloc.h> of glibc, from memory."""
    memory.keep_freed()
    assert sorted(calls) == [("keep", -3, 32 * 2**20), ("keep", -1, 32 * 2**20)]


def test_without_glibc_nothing_is_asked_of_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(memory, "sys", SimpleNamespace(platform="darwin"))
    monkeypatch.setattr(memory, "ctypes", None)
    memory.keep_freed()
    memory.give_back_after_large()
    memory.give_back()
