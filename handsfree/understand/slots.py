"""The slots of one reading, asked by name; one that makes no sense spoils the reading."""

from collections.abc import Iterable
from fractions import Fraction

from handsfree.spoken_numbers import NUMBER_WORDS
from handsfree.understand.lengths import length, number
from handsfree.understand.parser import Slot
from handsfree.values.units import Quantity


class Unreadable(ValueError):  # noqa: N818  # not a fault: this reading is dropped for the next
    """The slots of this reading do not go together."""


class Slots:
    """Slots of one reading by name, in order spoken."""

    def __init__(self, slots: Iterable[Slot]) -> None:
        self.said = tuple(map(_bare, slots))
        self._by_name: dict[str, list[str]] = {}
        for name, value in self.said:
            self._by_name.setdefault(name, []).append(value)

    def __contains__(self, name: str) -> bool:
        return name in self._by_name

    def any_of(self, *names: str) -> bool:
        """Whether one of these slots is filled."""
        return any(name in self._by_name for name in names)

    def all(self, name: str) -> tuple[str, ...]:
        """Every value of a slot, in order spoken."""
        return tuple(self._by_name.get(name, ()))

    def one(self, name: str) -> str | None:
        """The value of a slot that may be said once, or twice alike.

        Raises:
            Unreadable: it was said with two different values.
        """
        values = dict.fromkeys(self._by_name.get(name, ()))
        if len(values) > 1:
            raise Unreadable(f"{name} is said twice: {' and '.join(values)}")
        return next(iter(values), None)

    def number(self, name: str) -> Fraction | None:
        """The number in a slot; None when it is empty.

        Raises:
            Unreadable: the words are not exactly one number.
        """
        return None if (words := self.one(name)) is None else _number(words)

    def length(self, name: str) -> Quantity | None:
        """The length in a slot; None when it is empty.

        Raises:
            Unreadable: the words are not exactly one length.
        """
        return None if (words := self.one(name)) is None else _length(words)

    def lengths(self, name: str) -> tuple[Quantity, ...]:
        """Every length of a slot, in order spoken."""
        return tuple(_length(words) for words in self.all(name))


def _bare(slot: Slot) -> Slot:
    """A slot that holds the words before its number ("tip's half inch") without them.

    >>> _bare(("tip_for_is", "tip's half inch"))
    ('tip_for', 'half inch')
    """
    name, value = slot
    if not name.endswith("_is"):
        return slot
    words = value.split()
    while words and words[0] not in NUMBER_WORDS and words[0] != "inch":
        del words[0]
    return name.removesuffix("_is"), " ".join(words)


def _number(words: str) -> Fraction:
    value = number(words)
    if value is None:
        raise Unreadable(f"{words} is not one number")
    return value


def _length(words: str) -> Quantity:
    value = length(words)
    if value is None:
        raise Unreadable(f"{words} is not one length")
    return value
