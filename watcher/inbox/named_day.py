"""Find `due DATE` in a name: `due 2026-12-24`, `due 24 Dec`, `due 24.12.`, `due Dec 24 2026`, `due Thursday`."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

# Month and day names: from memory; English, German, French, Spanish, Italian, Dutch, Portuguese, Danish, Swedish.
_MONTHS = (
    "january jan januar jänner janvier janv enero ene gennaio gen januari janeiro",
    "february feb februar feber février févr fév febrero febbraio februari fevereiro fev",
    "march mar märz mrz mär mars marzo maart mrt março marts",
    "april apr avril avr abril abr aprile",
    "may mai mayo maggio mag mei maio maj",
    "june jun juni juin junio giugno giu junho",
    "july jul juli juillet juil julio luglio lug julho",
    "august aug août agosto ago augustus augusti",
    "september sep sept septembre septiembre settembre set setembro",
    "october oct oktober okt octobre octubre ottobre ott outubro out",
    "november nov novembre noviembre novembro",
    "december dec dezember dez décembre déc diciembre dic dicembre dezembro",
)
_WEEKDAYS = (
    "monday mon montag lundi lunes lunedì maandag segunda",
    "tuesday tue tues dienstag mardi martes martedì dinsdag terça",
    "wednesday wed mittwoch mercredi miércoles mercoledì woensdag quarta",
    "thursday thu thur thurs donnerstag jeudi jueves giovedì donderdag quinta",
    "friday fri freitag vendredi viernes venerdì vrijdag sexta",
    "saturday sat samstag sonnabend samedi sábado sabato zaterdag",
    "sunday sun sonntag dimanche domingo domenica zondag",
)
_DAYS_AHEAD = {"today": 0, "heute": 0, "tomorrow": 1, "morgen": 1}
_CENTURY = 2000


def _bare(word: str) -> str:
    """A word without case and accents."""
    parts = unicodedata.normalize("NFD", word.casefold())
    return "".join(sign for sign in parts if not unicodedata.combining(sign))


def _numbered(rows: tuple[str, ...], first: int) -> Mapping[str, int]:
    return {_bare(word): number for number, row in enumerate(rows, first) for word in row.split()}


_MONTH_OF, _WEEKDAY_OF = _numbered(_MONTHS, 1), _numbered(_WEEKDAYS, 0)

_GAP = r"[\s_.,\-]"
_WORD = r"(?P<{}>(?:[^\W\d_][\u0300-\u036f]?){{3,12}})"
_YEAR = r"(?P<year>[0-9]{4})"
_DUE = re.compile(r"(?:\A|(?<=[\s_.\-(\[]))due(?:[\s_.:=\-]+|(?=[0-9]))", re.IGNORECASE)
_NEXT = re.compile(r"[^\s_]{1,20}")


@cache
def _forms() -> tuple[re.Pattern[str], ...]:
    """How people write a day; compiled when a name with `due` in it is first looked at."""
    return tuple(
        re.compile(rf"(?:{form})(?=[\s_\-)\]]|\.?\Z)", re.IGNORECASE)
        for form in (
            rf"{_YEAR}[\s_.\-](?P<month>[0-9]{{1,2}})[\s_.\-](?P<day>[0-9]{{1,2}})",
            r"(?P<day>[0-9]{1,2})\.\s?(?P<month>[0-9]{1,2})(?:\.\s?(?P<year>[0-9]{4}|[0-9]{2})|\.)?",
            rf"(?P<one>[0-9]{{1,2}})[_\-](?P<other>[0-9]{{1,2}})(?:[_\-]{_YEAR})?",
            rf"(?P<day>[0-9]{{1,2}})(?:st|nd|rd|th|er|º|\.)?{_GAP}{{0,2}}(?:(?:of|de|di){_GAP})?"
            rf"{_WORD.format('name')}\.?(?:{_GAP}{{1,2}}(?:de{_GAP})?{_YEAR})?",
            rf"{_WORD.format('name')}\.?{_GAP}{{0,2}}(?P<day>[0-9]{{1,2}})(?:st|nd|rd|th)?(?:{_GAP}{{1,2}}{_YEAR})?",
            _WORD.format("word"),
        )
    )


@dataclass(frozen=True, kw_only=True)
class NamedDay:
    """A day as a name says it: with or without the year, a day of the week, or so many days ahead."""

    year: int | None = None
    month: int | None = None
    day: int | None = None
    weekday: int | None = None
    ahead: int | None = None

    def on_or_after(self, first: date) -> date:
        """The day that is meant by a name that was given on `first`: without a year the next such day."""
        if self.ahead is not None:
            return first + timedelta(days=self.ahead)
        if self.weekday is not None:
            return first + timedelta(days=(self.weekday - first.weekday()) % 7)
        assert self.month is not None
        assert self.day is not None
        if self.year is not None:
            return date(self.year, self.month, self.day)
        for year in range(first.year, first.year + 9):  # nine years have a 29 February in them
            try:
                found = date(year, self.month, self.day)
            except ValueError:
                continue
            if found >= first:
                return found
        raise AssertionError("every day of a month comes within nine years")


@dataclass(frozen=True, kw_only=True)
class DueWords:
    """`due DATE` in a text.

    Attributes:
        start, end: where it stands in the text.
        day: the day; None where what stands there is no day.
        says: the words, for people.
    """

    start: int
    end: int
    day: NamedDay | None
    says: str


def find_due(text: str) -> DueWords | None:
    """Find `due DATE`; None where the word is not there, or only as a word like any other (`due north`)."""
    if "due" not in text.casefold():
        return None
    for keyword in _DUE.finditer(text):
        unreadable: DueWords | None = None
        for form in _forms():
            found = form.match(text, keyword.end())
            if found is None:
                continue
            day, is_date = _day(found.groupdict())
            said = DueWords(start=keyword.start(), end=found.end(), day=day, says=text[keyword.start() : found.end()])
            if day is not None:
                return said
            unreadable = unreadable or (said if is_date else None)
        if unreadable is not None:
            return unreadable
        if text[keyword.end() : keyword.end() + 1].isdecimal() and (shown := _NEXT.match(text, keyword.end())):
            says = text[keyword.start() : shown.end()]
            return DueWords(start=keyword.start(), end=shown.end(), day=None, says=says)
    return None


def _day(said: Mapping[str, str | None]) -> tuple[NamedDay | None, bool]:
    """The day, and whether the words are those of a date at all."""
    if word := said.get("word"):
        bare = _bare(word)
        if bare in _DAYS_AHEAD:
            return NamedDay(ahead=_DAYS_AHEAD[bare]), True
        return (NamedDay(weekday=_WEEKDAY_OF[bare]), True) if bare in _WEEKDAY_OF else (None, False)
    year = _year(said.get("year"))
    if name := said.get("name"):
        month = _MONTH_OF.get(_bare(name))
        return (None, False) if month is None else (_checked(year, month, int(said["day"] or 0)), True)
    if said.get("one"):
        return _either_way(year, int(said["one"] or 0), int(said["other"] or 0)), True
    return _checked(year, int(said["month"] or 0), int(said["day"] or 0)), True


def _either_way(year: int | None, one: int, other: int) -> NamedDay | None:
    """Day and month in an order that is not known: clear only where one of them can be no month."""
    days = {_checked(year, other, one), _checked(year, one, other)} - {None}
    return days.pop() if len(days) == 1 else None


def _year(said: str | None) -> int | None:
    if not said:
        return None
    return int(said) + (_CENTURY if len(said) == 2 else 0)


def _checked(year: int | None, month: int, day: int) -> NamedDay | None:
    try:
        date(2024 if year is None else year, month, day)  # a leap year
    except ValueError:
        return None
    return NamedDay(year=year, month=month, day=day)
