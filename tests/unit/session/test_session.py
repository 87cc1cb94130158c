"""Words in, a told reply out: whole turns through the real rooms."""

from fractions import Fraction
from pathlib import Path

import pytest

from handsfree.errors import SettingsError
from handsfree.session.session import Session
from handsfree.spoken_numbers import amount, fraction, spelt, whole
from handsfree.store.settings import Settings
from handsfree.values import About, Answer, Fuel, Question, Refusal, Words

HEARD = 0.9  # a sureness that no typed words have
HARDLY_HEARD = 0.2


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(tmp_path)


@pytest.fixture
def session(settings: Settings) -> Session:
    return Session(settings)


def said(session: Session, text: str, sureness: float = 1.0) -> str:
    return " ".join(session.take(Words(text, sureness)).sentences).lower()


def test_help_says_what_can_be_said_now(session: Session) -> None:
    at_first = said(session, "help")
    assert "say what you cut" in at_first
    assert "slower, louder, or stop" in at_first
    session.start_afresh()
    assert "of the last answer" not in said(session, "help")
    session.take(Words("how fast on half inch plate"))
    assert "say, more, say again, or go back" in said(session, "help")
    session.take(Words("what do i set for ten"))
    assert "ten inch, ten millimetres, or ten gauge" in said(session, "help")


def test_every_answer_opens_with_what_was_understood(session: Session) -> None:
    told = session.take(Words("what do i set for three quarter plate with a quarter inch tip"))
    assert told.kind == "answer"
    assert told.sentences[0].lower().startswith("three quarter inch plate")


def test_a_missing_thickness_is_asked_for_and_then_answered(session: Session) -> None:
    question = session.reply(Words("how fast on propane"))
    assert isinstance(question, Question)
    assert question.asks_for == "thickness"
    answer = session.reply(Words("half inch"))
    assert isinstance(answer, Answer)
    assert answer.figures[0].name == "travel_speed"
    assert answer.request.fuel is Fuel.PROPANE


def test_a_bare_number_is_offered_as_a_choice(session: Session) -> None:
    question = session.reply(Words("what do i set for ten"))
    assert isinstance(question, Question)
    assert question.options == ("ten inch", "ten millimetres", "ten gauge")
    answer = session.reply(Words("ten millimetres"))
    assert isinstance(answer, Answer)
    assert answer.thickness is not None
    assert answer.thickness.m_as("mm") == pytest.approx(10)


def test_a_typed_tip_is_kept_after_a_yes_and_used(session: Session, settings: Settings) -> None:
    session.take(Words("i've got a number one tip it's made for half inch plate"))
    assert not settings.path.exists()
    session.take(Words("yes"))
    assert [tip.stamp for tip in settings.read().box.tips] == ["1"]
    answer = Session(settings).reply(Words("settings for half inch plate with a number one tip"))
    assert isinstance(answer, Answer)
    assert answer.fit == "right"


def test_a_heard_tip_is_kept_only_after_a_yes(session: Session, settings: Settings) -> None:
    question = session.reply(Words("add a number one tip made for half inch plate", HEARD))
    assert isinstance(question, Question)
    assert not settings.path.exists()
    session.reply(Words("confirm", HEARD))
    assert [tip.stamp for tip in settings.read().box.tips] == ["1"]


def test_a_heard_change_is_dropped_by_a_no(session: Session, settings: Settings) -> None:
    session.reply(Words("i'm on propane today", HEARD))
    session.reply(Words("no", HEARD))
    assert not settings.path.exists()


def test_the_rig_counts_in_later_answers(session: Session) -> None:
    session.take(Words("i'm on propane today"))
    session.take(Words("yes"))
    answer = session.reply(Words("what do i set for half inch plate"))
    assert isinstance(answer, Answer)
    assert "propane" in said(session, "what do i set for half inch plate")


def test_a_change_that_cannot_be_kept_is_told_and_not_made(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("handsfree.store.settings.os.fsync", full)
    session.take(Words("i'm on propane today"))
    with pytest.raises(SettingsError, match="old file stands"):
        session.take(Words("yes"))
    answer = session.reply(Words("what do i set for half inch plate"))
    assert isinstance(answer, Answer)
    assert answer.request.fuel is Fuel.ACETYLENE


def test_unsafe_wishes_are_refused_in_any_state(session: Session) -> None:
    session.reply(Words("how fast on propane"))
    refusal = session.reply(Words("can i light it with a match"))
    assert isinstance(refusal, Refusal)
    assert "1926.350" in refusal.rule


def test_afresh_means_that_no_question_is_open(session: Session) -> None:
    session.reply(Words("how fast on propane"))
    session.start_afresh()
    answer = session.reply(Words("half inch plate"))
    assert isinstance(answer, Answer)
    assert answer.request.fuel is Fuel.ACETYLENE
    assert answer.request.about is About.SETTING


def test_two_wordings_of_one_request_mean_the_same(session: Session) -> None:
    assert session.means("half inch plate settings") == session.means("settings half inch plate")
    assert session.means("half inch plate") != session.means("three quarter inch plate")


def test_doubtful_words_are_asked_about_and_settled_by_saying_one_again(session: Session) -> None:
    doubtful = Words(
        "settings for fifteen mil plate", 0.6, ("settings for fifty mil plate", "[unk]")
    )
    question = session.reply(doubtful)
    assert isinstance(question, Question)
    assert question.asks_for == "reading"
    assert len(question.options) == 2
    told = session.take(Words("fifty mil", HEARD))
    assert told.kind == "answer"
    assert "fifty" in told.sentences[0].lower()


def test_the_read_back_of_a_doubt_names_the_digits(session: Session) -> None:
    told = session.take(
        Words("settings for fifteen mil plate", 0.6, ("settings for fifty mil plate",))
    )
    said = " ".join(told.sentences).lower()
    assert "fifteen, one five" in said
    assert "fifty, five oh" in said


@pytest.mark.parametrize("sureness", [1.0, 0.95])
@pytest.mark.parametrize("number", [*range(13, 20), *range(30, 100, 10)])
def test_teens_and_tens_are_read_back_by_their_figures_too(
    session: Session, number: int, sureness: float
) -> None:
    heard = f"settings for {whole(number)} mil plate"
    assert f"{whole(number)}, {spelt(str(number))}, millimetre" in said(session, heard, sureness)


SIXTEENTHS = [Fraction(n, 16) for n in range(1, 16)]
MILLIMETRES = [Fraction(n) for n in (*range(2, 21), 25, 30, 40, 50, 60, 80, 90)]


def _plate(size: Fraction) -> str:
    said = whole(int(size)) + " mil" if size.denominator == 1 else f"{fraction(size)} inch"
    return f"settings for {said} plate"


@pytest.mark.parametrize("size", SIXTEENTHS + MILLIMETRES)
def test_a_number_with_a_plausible_rival_is_read_back_in_two_ways(
    session: Session, size: Fraction
) -> None:
    """Five sixteenths beside nine sixteenths, eight beside eighty: a wrong one is heard at once."""
    rivals = SIXTEENTHS if size.denominator > 1 else MILLIMETRES
    for rival in rivals:
        if rival != size:
            told = session.take(Words(_plate(size), 0.95, (_plate(rival),)))
            assert told.kind == "answer"
            _, twice, *_ = told.sentences[0].lower().split(", ")
            if size.denominator > 1:
                assert amount(twice.split()) == size
            else:
                assert twice == (spelt(str(size)) if size >= 10 else f"figure {whole(int(size))}")


def test_a_rival_that_cannot_be_needs_no_second_way(session: Session) -> None:
    told = session.take(
        Words("settings for eight inch plate", 0.95, ("settings for eighty inch plate",))
    )
    assert told.sentences[0] == "Eight inch plate, acetylene."


def test_the_second_way_is_said_for_the_doubtful_turn_only(session: Session) -> None:
    doubt = Words("settings for five mil plate", 0.95, ("settings for nine mil plate",))
    assert "five, figure five, millimetre" in session.take(doubt).sentences[0].lower()
    assert "figure" not in said(session, "settings for five mil plate")


def test_five_and_nine_are_offered_in_two_ways(session: Session) -> None:
    told = session.take(Words("settings for five mil plate", 0.6, ("settings for nine mil plate",)))
    choice = " ".join(told.sentences).lower()
    assert "five, figure five" in choice
    assert "nine, figure nine" in choice


def test_an_implausible_reading_gives_way_to_a_plausible_one(session: Session) -> None:
    question = session.reply(
        Words("settings for eighty inch plate", 0.9, ("settings for eight inch plate",))
    )
    assert isinstance(question, Question)
    assert question.request is not None
    assert question.request.piece is not None
    assert question.request.piece.thickness is not None
    assert question.request.piece.thickness.m_as("in") == pytest.approx(8)


def test_hardly_heard_words_are_to_be_said_again(session: Session) -> None:
    assert "again" in said(session, "settings for half inch plate", 0.1)


def test_an_emergency_that_was_doubtful_starts_at_once(session: Session) -> None:
    assert session.take(Words("it backfired", 0.5)).kind == "steps"


def test_a_change_that_something_else_pushed_aside_is_told_not_to_be_kept(
    session: Session, settings: Settings
) -> None:
    session.take(Words("i'm on propane today", HEARD))
    told = session.take(Words("how fast on half inch plate", HEARD))
    assert told.sentences[-2:] == ("The change before that was not kept.", "More?")
    assert not settings.path.exists()


def test_a_change_that_is_mended_or_kept_is_not_told_to_be_lost(session: Session) -> None:
    session.take(Words("add a number one tip made for half inch plate", HEARD))
    assert "not kept" not in said(session, "no three quarter", HEARD)
    assert "not kept" not in said(session, "yes", HEARD)


def test_the_tip_in_the_torch_is_named_in_the_read_back(session: Session) -> None:
    for words in ("add a number one tip made for half inch plate", "yes"):
        session.take(Words(words))
    for words in ("put the number one tip in the torch", "yes"):
        session.take(Words(words))
    assert "tip stamped one" in said(session, "how fast on half inch plate")


def test_a_word_of_an_option_answers_a_choice(session: Session) -> None:
    session.take(Words("what do i set for ten"))
    assert said(session, "gauge", HEARD).startswith("ten gauge")


def test_a_control_word_that_was_hardly_heard_is_not_obeyed(session: Session) -> None:
    told = said(session, "what tip for half inch plate")
    assert "did not catch" in said(session, "say again", HARDLY_HEARD)
    assert said(session, "say again", HEARD) == told


def test_words_that_sound_alike_and_differ_in_size_are_asked_about_however_sure(
    session: Session,
) -> None:
    asked = session.take(Words("oxygen pressure four inch and a half on propane", 0.99))
    assert asked.kind == "question"
    assert "four and a half" in asked.sentences[1]
    assert "one and a half" in asked.sentences[1]
    session.start_afresh()
    assert session.take(Words("how fast for inch plate", 0.99)).kind == "question"
    session.start_afresh()
    taken = session.take(Words("oxygen pressure for inch and a half on propane", 0.99))
    assert taken.kind == "answer"
    assert "one and a half inch" in taken.understood


@pytest.mark.parametrize(
    "words",
    [
        "half inch plate with a tip made for ten gauge",
        "what do i set for half inch plate with a tip made for ten gauge",
        "half inch plate with a ten gauge tip",
    ],
)
def test_a_tip_told_by_gauge_is_asked_about_and_never_taken_for_the_sheet(
    session: Session, words: str
) -> None:
    assert session.take(Words(words)).kind == "question"


def test_no_choice_is_put_between_two_readings_that_sound_the_same(session: Session) -> None:
    words = Words(
        "a tip made for half on five eighth plate",
        0.44,
        (
            "set up made for half on five eighth plate",
            "a tip made for half on five eighth plate now",
        ),
    )
    asked = session.take(words)
    assert asked.kind == "question"
    assert len(set(asked.options)) == len(asked.options)
    assert asked.sentences[-1].lower().count("five eighths inch plate") <= 1


def test_a_good_cut_of_plate_is_ticked_off_and_one_of_a_beam_only_when_it_is_parted(
    tmp_path: Path,
) -> None:
    session = Session(Settings(tmp_path))
    session.take(Words("going up two W12x26"))
    session.take(Words("add two half inch plate"))

    def said(words: str) -> str:
        return " ".join(session.take(Words(words)).sentences)

    said("how fast on half inch plate")
    assert "Ticked off" not in said("it would not go through")
    assert "Ticked off the list, three cuts are left." in said("good cut")
    said("how do i cut a w twelve by twenty six")
    told = said("good cut")
    assert "Ticked off" not in told and "say, done, and its number" in told
    assert "one cut of w twelve" in said("done number one")


def test_a_tip_that_is_gone_plans_the_list_anew(tmp_path: Path) -> None:
    session = Session(Settings(tmp_path))
    for words in (
        "add a number one tip made for half inch plate",
        "yes",
        "add a number four tip made for two inch plate",
        "yes",
        "going up six feet of two inch plate",
        "the two inch tip is gone",
    ):
        session.take(Words(words))
    told = " ".join(session.take(Words("yes")).sentences)
    assert "I take the tip stamped four out of the box" in told
    assert "No tip here cuts any of it" in told
    assert [tip.stamp for tip in session.kept.box.tips] == ["1"]
