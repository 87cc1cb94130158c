"""Readings with scores become words with a sureness; digital silence becomes a whisper."""

from array import array

from hypothesis import given
from hypothesis import strategies as st

from handsfree.hear.model_folder import Sureness
from handsfree.hear.recogniser import (
    WEIGHED,
    Reading,
    evidence,
    judged,
    with_whispered_silence,
)
from handsfree.values import Sense

EVEN = Sureness(bias=-1.0, margin=1.0, filler=0.0)


def test_sureness_grows_with_the_margin_to_the_best_different_reading() -> None:
    sure = [
        judged([Reading("a", 0.0), Reading("b", -margin)], 1.0, EVEN, "[unk]").sureness
        for margin in (0.0, 0.5, 1.0, 3.0)
    ]
    assert sure == sorted(sure) and sure[2] == 0.5 and sure[0] < 0.3 and sure[-1] > 0.85


def test_sureness_falls_where_talk_would_do_as_well() -> None:
    model = Sureness(bias=0.0, margin=0.0, filler=1.0)
    near = judged([Reading("a", 0.0), Reading("[unk]", -0.1)], 1.0, model, "[unk]")
    far = judged([Reading("a", 0.0), Reading("[unk]", -3.0)], 1.0, model, "[unk]")
    assert near.sureness < 0.6 < 0.9 < far.sureness


def test_sureness_falls_where_the_sound_fits_badly() -> None:
    model = Sureness(bias=2.0, margin=0.0, filler=0.0, fit=0.5)
    assert (
        judged([Reading("a", -9.0)], 1.0, model, "[unk]").sureness
        < judged([Reading("a", -9.0)], 3.0, model, "[unk]").sureness
    )


def test_a_reading_with_the_same_meaning_is_passed_over() -> None:
    readings = [Reading("gage", 0.0), Reading("gauge", -0.1), Reading("plate", -2.0)]
    ranked, seen = evidence(
        readings, 1.0, 4.0, "[unk]", lambda text: Sense(text.replace("gage", "gauge"))
    )
    assert [r.text for r in ranked] == ["gage", "plate"]
    assert (seen.margin, seen.filler) == (2.0, 4.0)


def test_what_is_unlikely_to_be_said_falls_behind_and_talk_does_not() -> None:
    def sense(text: str) -> Sense:
        return Sense(text, 0.0 if "plate" in text else 4.0)

    readings = [Reading("have played", 0.0), Reading("half plate", -3.5)]
    ranked, seen = evidence(readings, 1.0, 8.0, "[unk]", sense)
    assert ranked == [Reading("half plate", -3.5), Reading("have played", -4.0)]
    assert seen.margin == 0.5
    ranked, _ = evidence([*readings, Reading("[unk]", -1.0)], 1.0, 8.0, "[unk]", sense)
    assert ranked[0].text == "[unk]"
    ranked, _ = evidence(readings, 1.0, 8.0, "[unk]")
    assert ranked[0].text == "have played"


def test_of_one_meaning_the_likeliest_way_to_say_it_counts() -> None:
    costs = {"have plate settings": 3.0, "half plate": 0.5}
    readings = [Reading("have plate settings", 0.0), Reading("half plate", -1.0)]
    ranked, _ = evidence(readings, 1.0, 8.0, "[unk]", lambda text: Sense("half plate", costs[text]))
    assert ranked == [Reading("half plate", -1.5)]


def test_without_another_reading_the_margin_is_the_widest() -> None:
    _, seen = evidence([Reading("a", -1.0)], 2.0, 4.0, "[unk]")
    assert (seen.margin, seen.filler, seen.fit) == (4.0, 4.0, -0.5)


def test_readings_need_no_order() -> None:
    readings = [Reading("b", -2.0), Reading("a", -1.0), Reading("c", -3.0)]
    words = judged(readings, 1.0, EVEN, "[unk]")
    assert (words.text, words.others) == ("a", ("b", "c"))


def test_a_reading_far_behind_is_no_choice() -> None:
    readings = [Reading("a", 0.0), Reading("b", -1.9), Reading("c", -2.1)]
    assert judged(readings, 1.0, EVEN, "[unk]").others == ("b",)


def test_no_more_meanings_are_looked_at_than_bear_a_parse_each() -> None:
    asked: list[str] = []

    def sense(text: str) -> Sense:
        asked.append(text)
        return Sense("the same")

    readings = [Reading(f"{n}", -0.01 * n) for n in range(40)] + [Reading("[unk]", -3.0)]
    _, seen = evidence(readings, 1.0, 8.0, "[unk]", sense)
    assert len(asked) == WEIGHED and (seen.margin, seen.filler) == (8.0, 3.0)


def test_no_reading_is_no_words() -> None:
    words = judged([], 0.0, EVEN, "[unk]")
    assert (words.text, words.sureness) == ("", 0.0)


@given(st.lists(st.integers(-3, 3) | st.just(0), max_size=80), st.integers(0, 60))
def test_only_long_runs_of_zeros_change_and_only_to_a_whisper(
    samples: list[int], zeros: int
) -> None:
    sound = array("h", [*samples, *[0] * zeros, *samples])
    heard = array("h", with_whispered_silence(sound.tobytes()))
    assert len(heard) == len(sound)
    for before, after in zip(sound, heard, strict=True):
        assert after == before or (before == 0 and abs(after) <= 2)


def test_a_second_of_digital_silence_is_no_longer_silent() -> None:
    heard = array("h", with_whispered_silence(bytes(32_000 * 3)))
    assert 0.5 < sum(value * value for value in heard) / len(heard) < 4


def test_sound_from_a_microphone_stays_as_it_is() -> None:
    sound = array("h", [0, 1, 0, 0, -1, 0, 0, 0, 2] * 100).tobytes()
    assert with_whispered_silence(sound) == sound
