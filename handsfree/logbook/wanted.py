"""Which entries of a logbook are asked for, as a condition in SQL."""

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Wanted:
    """A filter; what is not given lets everything through.

    Attributes:
        since: from this day on, by the local time of the entries.
        until: up to this day and with it.
        kinds: of these kinds.
        lists: of these step lists, by key or by words of the title.
        text: with this text in what was heard, understood, said or noted, in any case.
    """

    since: date | None = None
    until: date | None = None
    kinds: tuple[str, ...] = ()
    lists: tuple[str, ...] = ()
    text: str = ""

    def sql(self) -> tuple[str, tuple[str, ...]]:
        """A condition on `entries` and the values of its marks.

        >>> Wanted(since=date(2026, 3, 4), kinds=("step", "alarm")).sql()
        ('at >= ? AND kind IN (?, ?)', ('2026-03-04', 'step', 'alarm'))
        >>> Wanted().sql()
        ('1', ())
        """
        conditions, values = list[str](), list[str]()
        if self.since is not None:
            conditions.append("at >= ?")
            values.append(self.since.isoformat())
        if self.until is not None:
            conditions.append("at < ?")
            values.append((self.until + timedelta(days=1)).isoformat())
        if self.kinds:
            conditions.append(f"kind IN ({', '.join('?' * len(self.kinds))})")
            values += self.kinds
        if self.lists:
            one = (
                "(json_extract(detail, '$.list') = ?"
                " OR json_extract(detail, '$.title') LIKE ? ESCAPE '!')"
            )
            conditions.append(f"({' OR '.join([one] * len(self.lists))})")
            for wanted in self.lists:
                values += (wanted, _anywhere(wanted))
        if self.text:
            places = ("heard", "understood", "said", "detail")
            conditions.append(
                f"({' OR '.join(f'{each} LIKE ? ESCAPE {_MARK}' for each in places)})"
            )
            values += [_anywhere(self.text)] * len(places)
        return " AND ".join(conditions) or "1", tuple(values)


_MARK = "'!'"


def _anywhere(text: str) -> str:
    """A pattern for text that may hold the signs of patterns itself."""
    for sign in "!%_":
        text = text.replace(sign, f"!{sign}")
    return f"%{text}%"
