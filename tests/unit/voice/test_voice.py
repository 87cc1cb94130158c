"""The voice makes samples of sentences, at the pace that was set, and survives its process."""

import array
import json
import shutil
import sys
import wave
from collections.abc import Iterator
from pathlib import Path

import espeak_english
import pytest

from handsfree.errors import SettingsError, SoundError, VoiceError
from handsfree.values import Samples
from handsfree.voice.synthesis_pipe import default_command
from handsfree.voice.synthesis_process import LONGEST_DATA_PATH, short_data_path
from handsfree.voice.voice import (
    LONGEST_PIECE,
    PAUSE_S,
    SILENT,
    Voice,
    VoiceSettings,
    carries_value,
    parts,
    speakable,
)

SENTENCE = "Set cutting oxygen to twenty four to thirty five p s i at the regulator."

# Each stands for the voice process with one fault; the first argument is the process's own folder.
FAULTY = {
    "hangs": 'import time\nprint(\'{"engine": "x"}\', flush=True)\ntime.sleep(60)',
    "ends at once": "import sys\nprint('no phontab', file=sys.stderr)\nsys.exit(1)",
    "talks nonsense": "print('Audio saved to sentence.wav', flush=True)\ninput()",
    "gives no sound": (
        'print(\'{"engine": "x"}\', flush=True)\n'
        'while input(): print(\'{"rate": 22050, "size": 0}\', flush=True)'
    ),
    "reports a fault": 'print(\'{"fault": "no voice data in here"}\', flush=True)\ninput()',
    "cuts its samples short": (
        'print(\'{"engine": "x"}\', flush=True)\ninput()\n'
        'print(\'{"rate": 22050, "size": 800}\\nxx\', flush=True)'
    ),
    "says a size that is none": 'print(\'{"engine": 1, "size": "big"}\', flush=True)\ninput()',
}


@pytest.fixture(scope="module")
def voice() -> Iterator[Voice]:
    with Voice() as started:
        yield started


def rate_of(text: str, samples: Samples) -> float:
    """Words a minute, with the pause to the next sentence."""
    return 60 * len(text.split()) / (samples.seconds + PAUSE_S)


def loudest(samples: Samples) -> int:
    return max(abs(value) for value in array.array("h", samples.data))


def test_a_sentence_becomes_sound_of_a_fitting_length(voice: Voice) -> None:
    samples = voice.render(SENTENCE)
    assert samples.rate == 22050
    assert loudest(samples) > 8000
    assert 5 < samples.seconds < 12


@pytest.mark.parametrize(
    "sentence",
    [
        SENTENCE,
        "Three quarter inch plate, acetylene, with a tip made for a quarter.",
        "Travel at five to eight inches a minute and keep the torch upright.",
        "Shade four or five. Preheat until a bright cherry red, then open the oxygen.",
        "Use the tip that is made for one inch, or go no faster than four inches a minute.",
    ],
)
def test_a_value_is_spoken_at_100_to_120_words_a_minute(voice: Voice, sentence: str) -> None:
    """The design's range, pauses counted, whatever the length of the words."""
    assert 100 <= rate_of(sentence, voice.render(sentence)) <= 120


@pytest.mark.parametrize("rate", [100, 120, 150, 180])
def test_the_voice_is_never_much_faster_than_asked_for(voice: Voice, rate: int) -> None:
    text = "the torch is lit and the plate is hot so open the valve and move along the line now"
    spoken = rate_of(text, voice.render(text, rate))
    assert 0.85 * rate < spoken < 1.15 * rate


def test_a_sentence_with_a_figure_is_slower_than_the_rest(voice: Voice) -> None:
    as_value = voice.render(SENTENCE)
    assert as_value == voice.render(SENTENCE, voice.settings.value_rate)
    assert as_value.seconds > 1.2 * voice.render(SENTENCE, voice.settings.talk_rate).seconds


def test_sentences_are_rendered_one_by_one_when_asked_for(voice: Voice) -> None:
    asked: list[str] = []

    def sentences() -> Iterator[str]:
        for sentence in ("First one.", "", "...", "Then another."):
            asked.append(sentence)
            yield sentence

    pieces = voice.render_all(sentences())
    assert next(pieces).data
    assert asked == ["First one."]
    assert len(list(pieces)) == 1, "a sentence without a word makes no sound"


def test_a_long_text_is_spoken_whole_and_in_pieces(voice: Voice) -> None:
    text = ", ".join(["move the torch along the line"] * 30)
    assert len(parts(text)) > 1
    one = voice.render("move the torch along the line, ").seconds
    assert voice.render(text).seconds > 20 * one


@pytest.mark.parametrize("text", ["", "x" * 1000, "a, " * 300, "word " * 300, "one. two. " * 90])
def test_no_piece_of_a_text_is_too_long_and_no_letter_is_lost(text: str) -> None:
    pieces = parts(text)
    assert all(len(piece) <= LONGEST_PIECE for piece in pieces)
    assert "".join("".join(pieces).split()) == "".join(text.split())


def test_markup_and_control_characters_are_not_obeyed(voice: Voice) -> None:
    plain = voice.render("three eighths plate")
    assert voice.render("<three> [[eighths]]\x00\x1b plate") == plain
    assert speakable("a\nb\tc") == "a b c"


def test_numbers_are_found_in_figures_and_words_alike() -> None:
    for sentence in ("Shade 5.", "About fourteen inches a minute.", "Three eighths.", "Sixty."):
        assert carries_value(sentence), sentence
    for sentence in ("Ready.", "Stone and bone are often weighty.", "Say again?"):
        assert not carries_value(sentence), sentence


@pytest.mark.parametrize(
    "settings", [{"value_rate": 20.0}, {"talk_rate": 900.0}, {"pitch": 101}, {"pitch": -1}]
)
def test_settings_that_the_voice_cannot_follow_are_refused(settings: dict[str, float]) -> None:
    with pytest.raises(SettingsError, match="between"):
        VoiceSettings(**settings)  # type: ignore[arg-type]  # one field at a time


def test_both_voices_of_the_install_speak_and_a_third_is_refused() -> None:
    spoken = []
    for name in ("en-us", "en"):
        with Voice(VoiceSettings(voice=name)) as voice:
            spoken.append(voice.render("a quarter inch tip"))
    assert spoken[0] != spoken[1]
    with (
        Voice(VoiceSettings(voice="no-such-voice")) as voice,
        pytest.raises(VoiceError, match="no-such-voice"),
    ):
        voice.render("Hello.")


def test_the_library_without_its_driver_says_the_same() -> None:
    with Voice() as driven, Voice(command=library_command()) as bare:
        assert bare.render("Hello there.") == driven.render("Hello there.")


def test_every_sentence_is_spoken_at_its_own_rate_whatever_came_before() -> None:
    """The library without the driver speaks in one thread, so it shows what is right.

    The driver's thread took a new rate too late for the sentence after it, or lost the sentence.
    """
    with Voice() as driven, Voice(command=library_command()) as bare:
        for turn in range(24):
            text = ("Ready.", "Say again?", "Keep the torch upright.")[turn % 3]
            rate = (80, 275, 110, 200, 150)[turn % 5]
            request: dict[str, str | int]
            request = {"text": text, "rate": rate, "pitch": 50, "voice": "en-us"}
            lasts = bare._speak(request).seconds
            assert driven._speak(request).seconds == pytest.approx(lasts, abs=0.02), (turn, rate)


def library_command() -> tuple[str, ...]:
    """The voice process told to leave pyttsx3 alone; our own process appends the folder."""
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); import synthesis_process as p;"
        "from pathlib import Path; sys.exit(p.main(Path(sys.argv[2]), 'library'))"
    )
    return (sys.executable, "-P", "-c", code, str(Path(default_command()[-1]).parent))


def test_a_wav_file_holds_all_sentences(voice: Voice, tmp_path: Path) -> None:
    path = tmp_path / "answer.wav"
    sentences = ["Three quarter inch plate.", SENTENCE]
    voice.write_wav(path, sentences)
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 22050)
        data = file.readframes(file.getnframes())
    assert data == b"".join(piece.data for piece in voice.render_all(sentences))
    first, last = map(voice.render, sentences)
    pause = bytes(2 * round(PAUSE_S * first.rate))
    assert data == first.data + pause + last.data


def test_a_sentence_ends_when_its_last_sound_does(voice: Voice) -> None:
    """The voice's own silence behind it would keep the ears shut for half a second."""
    wave = array.array("h", voice.render(SENTENCE).data)
    assert any(abs(value) >= SILENT for value in wave[-round(0.05 * 22050) :])


def test_long_words_are_not_drawn_out(voice: Voice) -> None:
    opening = "Three eighths inch plate, acetylene."
    assert rate_of(opening, voice.render(opening)) > 0.85 * voice.settings.value_rate


def test_a_wav_file_that_cannot_be_written_says_so(voice: Voice, tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="Name another file"):
        voice.write_wav(tmp_path / "no" / "folder.wav", ["Hello."])
    with pytest.raises(VoiceError, match="nothing to say"):
        voice.write_wav(tmp_path / "empty.wav", ["", "--"])
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("fault", FAULTY)
def test_a_process_that_fails_twice_is_told_with_what_to_do(fault: str) -> None:
    command = (sys.executable, "-c", FAULTY[fault])
    with (
        Voice(command=command, patience_s=0.4) as voice,
        pytest.raises(VoiceError, match="install again"),
    ):
        voice.render("Hello.")


def test_the_reason_that_the_process_gave_is_told() -> None:
    for command, reason in (
        ((sys.executable, "-c", FAULTY["ends at once"]), "no phontab"),
        (("/no/such/program",), "does not start"),
    ):
        with Voice(command=command) as voice, pytest.raises(VoiceError, match=reason):
            voice.render("Hello.")


@pytest.mark.parametrize("fault", ["hangs", "ends at once", "gives no sound", "talks nonsense"])
def test_a_process_that_fails_once_is_started_anew(fault: str, tmp_path: Path) -> None:
    once = tmp_path / "failed once"
    code = (
        "import os, sys, pathlib\n"
        f"once = pathlib.Path({str(once)!r})\n"
        "if not once.exists():\n"
        "    once.touch()\n"
        f"    exec({FAULTY[fault]!r})\n"
        f"command = [*{list(default_command())!r}, sys.argv[1]]\n"
        "os.execv(command[0], command)\n"
    )
    with Voice(command=(sys.executable, "-c", code), patience_s=2.0) as voice:
        assert voice.render("Hello there.").seconds > 0.4


def test_a_process_that_dies_between_sentences_is_started_anew(voice: Voice) -> None:
    voice.render("Ready.")
    assert voice._process is not None
    voice._process._child.kill()
    voice._process._child.wait()
    assert voice.render("Still here.").seconds > 0.4


def test_the_next_sentence_is_tried_after_a_failure(tmp_path: Path) -> None:
    works = tmp_path / "works now"
    code = (
        "import os, sys, pathlib\n"
        f"if not pathlib.Path({str(works)!r}).exists(): sys.exit(3)\n"
        f"command = [*{list(default_command())!r}, sys.argv[1]]\n"
        "os.execv(command[0], command)\n"
    )
    with Voice(command=(sys.executable, "-c", code)) as voice:
        with pytest.raises(VoiceError):
            voice.render("Hello.")
        works.touch()
        assert voice.render("Hello.").data


def test_closing_leaves_no_process_and_no_folder() -> None:
    voice = Voice()
    voice.render("Hello.")
    assert voice._process is not None
    child, folder = voice._process._child, Path(voice._process._folder.name)
    assert folder.is_dir()
    voice.close()
    assert child.poll() is not None
    assert not folder.exists()
    voice.close()
    assert voice.render("Hello again.").data, "a closed voice starts when it is needed"
    voice.close()


def test_the_data_is_found_from_a_folder_too_deep_for_the_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its buffer holds 160 bytes; a virtual environment deep in a home folder is past that."""
    deep = tmp_path / ("site-" + "packages" * 12) / ("deep" * 12)
    source = Path(espeak_english.__file__).parent
    shutil.copytree(source, deep / "espeak_english")
    assert len(str(deep / "espeak_english" / "espeak-ng-data")) > 172
    monkeypatch.setenv("PYTHONPATH", str(deep))
    with Voice() as voice:
        samples = voice.render("Hello there.")
    monkeypatch.delenv("PYTHONPATH")
    with Voice() as voice:
        assert samples == voice.render("Hello there.")


def test_a_short_data_path_is_used_as_it_is(tmp_path: Path) -> None:
    short = Path("/data/espeak-ng-data")
    assert short_data_path(tmp_path, short) == short
    far = tmp_path / ("x" * 120) / "espeak-ng-data"
    far.mkdir(parents=True)
    (far / "phontab").write_text("here")
    link = short_data_path(tmp_path, far)
    assert len(str(link)) <= LONGEST_DATA_PATH
    assert (link / "phontab").read_text() == "here"


def test_the_process_writes_nothing_but_replies(tmp_path: Path) -> None:
    """The driver prints a line for every file; that must not reach the pipe."""
    import subprocess

    line = json.dumps({"text": "Hello.", "rate": 150, "pitch": 50, "voice": "en-us"}) + "\n"
    done = subprocess.run(
        [*default_command(), str(tmp_path)],
        input=2 * line.encode(),
        capture_output=True,
        check=True,
    )
    first, rest = done.stdout.split(b"\n", 1)
    assert json.loads(first) == {"engine": "pyttsx3"}
    for _ in range(2):
        header, rest = rest.split(b"\n", 1)
        rest = rest[json.loads(header)["size"] :]
    assert rest == b""
    assert not list(tmp_path.glob("*.wav"))
