"""Text that has come in can be written, shows what is there, and still shows what was lost."""

import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Words
from handsfree.values.clean_text import LOST, argument_text, clean_text, clean_values

ASKED = "how fast on 3 1/2 inch plate"
ANY = st.text(st.characters(codec=None, exclude_categories=()))


@given(ANY)
def test_clean_text_can_be_written_and_holds_nothing_unseen(text: str) -> None:
    clean = clean_text(text)
    assert clean.encode().decode() == clean
    assert not [sign for sign in clean if unicodedata.category(sign) in ("Cc", "Cf", "Cs")]
    assert unicodedata.is_normalized("NFC", clean)
    assert clean_text(clean) == clean


@given(st.binary())
def test_any_bytes_of_an_argument_come_in(raw: bytes) -> None:
    argument = raw.decode("utf-8", "surrogateescape")
    assert argument_text(argument) == clean_text(raw.decode("utf-8", "replace"))
    in_plain_locale = raw.decode("ascii", "surrogateescape")
    assert argument_text(in_plain_locale) == argument_text(argument)


@given(st.recursive(ANY | st.integers(), lambda some: st.lists(some) | st.dictionaries(ANY, some)))
def test_values_are_clean_all_the_way_down(value: object) -> None:
    for text in texts(clean_values(value)):
        assert text == clean_text(text)


def texts(value: object) -> Iterator[str]:
    match value:
        case str():
            yield value
        case list():
            for each in value:
                yield from texts(each)
        case dict():
            for key, each in value.items():
                yield from texts(key)
                yield from texts(each)


@pytest.mark.parametrize("lost", ["\udcbd", "\ufffd", "\ud800", "\ufdd0", "\U0010ffff", "\u202e"])
def test_where_text_was_lost_no_figure_is_given(tmp_path: Path, lost: str) -> None:
    """What was lost may have been half of a number, a minus, or a letter of a metal."""
    session = Session(Settings(tmp_path))
    for place in range(len(ASKED) + 1):
        asked = clean_text(ASKED[:place] + lost + ASKED[place:])
        assert LOST in asked
        session.start_afresh()
        told = session.take(Words(asked))
        assert (told.kind, told.figures) == ("not_understood", ()), asked
