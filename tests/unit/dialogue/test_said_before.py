"""What was said before: again, more, back."""

from dataclasses import replace

from handsfree.dialogue.repeating import MORE, PART, REMEMBERED, THAT_IS_ALL, SaidBefore, repeated
from handsfree.values import Control, Told

FIRST = Told("answer", "one", 1.0, "", "", (), ("First.",), ("A.", "B.", "C.", "D.", "E."))
QUESTION = replace(FIRST, kind="question", sentences=("How thick?",))
SECOND = replace(FIRST, sentences=("Second.",), more=())


def test_more_is_told_in_parts_until_that_is_all() -> None:
    said = SaidBefore().and_now(FIRST)
    said, told = repeated(said, Control.MORE)
    assert told is not None
    assert told.sentences == ("A.", "B.", "C.", "D.", MORE)
    assert len(told.sentences) == PART + 1
    said, told = repeated(said, Control.MORE)
    assert told is not None
    assert told.sentences == ("E.",)
    _, told = repeated(said, Control.MORE)
    assert told is not None
    assert told.sentences == (THAT_IS_ALL,)


def test_again_says_the_answer_itself_also_after_more() -> None:
    said, _ = repeated(SaidBefore().and_now(FIRST), Control.MORE)
    _, told = repeated(said, Control.AGAIN)
    assert told is not None
    assert told.sentences == FIRST.sentences


def test_back_goes_to_the_answer_before_and_its_more_is_of_that() -> None:
    said = SaidBefore().and_now(FIRST).and_now(QUESTION).and_now(SECOND)
    said, told = repeated(said, Control.BACK)
    assert told == FIRST, "a question that was answered is passed over"
    said, more = repeated(said, Control.MORE)
    assert more is not None
    assert more.sentences[0] == "A."
    assert repeated(said, Control.BACK)[1] is None


def test_a_new_reply_is_spoken_of_after_going_back() -> None:
    said, _ = repeated(SaidBefore().and_now(FIRST).and_now(SECOND), Control.BACK)
    said = said.and_now(QUESTION)
    assert repeated(said, Control.AGAIN)[1] == QUESTION
    assert repeated(said, Control.BACK)[1] == SECOND


def test_before_anything_was_said_there_is_nothing_to_repeat() -> None:
    for control in Control:
        assert repeated(SaidBefore(), control) == (SaidBefore(), None)


def test_the_memory_does_not_grow() -> None:
    said = SaidBefore()
    for _ in range(3 * REMEMBERED):
        said = said.and_now(FIRST)
    assert len(said.replies) == REMEMBERED
