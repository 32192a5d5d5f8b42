"""Orders are counted once, for every sentence and every tile."""

import re
from dataclasses import replace
from datetime import date

from watcher.status.counts import count
from watcher.status.model import Listed, Progress
from watcher.status.words import say_call, tiles
from watcher.terms import HeldFor

TODAY = date(2026, 11, 25)


def test_each_order_is_of_one_kind(full_day):
    (held,), (making,) = full_day.held.entries, full_day.making.entries
    asked, strange = replace(held, needs=HeldFor.YES), replace(held, is_ours=False)
    seen = replace(
        full_day,
        held=Listed(entries=(held, asked, strange)),
        making=Listed(entries=(making, replace(making, progress=Progress.SHARING))),
    )
    counts = count(seen, TODAY)
    assert (counts.to_answer, counts.asked, counts.strange) == (1, 1, 1)
    assert (counts.waiting, counts.making, counts.sharing, counts.finished) == (1, 1, 1, 1)
    assert counts.orders == 6


def test_a_run_counts_as_its_orders(full_day):
    run = replace(full_day.finished.entries[0], orders=("a", "b", "c"))
    seen = replace(full_day, finished=Listed(entries=(run,)), printed=Listed(entries=(run,), more=2))
    counts = count(seen, TODAY)
    assert (counts.finished, counts.printed, counts.sheets) == (3, 5, 26)


def test_what_was_due_before_today_is_late(full_day):
    late = replace(full_day.held.entries[0], due=date(2026, 11, 24))
    assert count(replace(full_day, held=Listed(entries=(late,))), TODAY).late == 1


def test_the_tiles_say_what_the_sentences_say(full_day):
    late = replace(full_day.held.entries[0], due=date(2026, 11, 24))
    counts = count(replace(full_day, held=Listed(entries=(late,))), TODAY)
    told = sorted(int(number) for sentence in say_call(counts) for number in re.findall(r"\d+", sentence))
    assert sorted(number for key, number, _ in tiles(counts) if key != "left") == told
