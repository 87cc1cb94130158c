"""Hears words with vosk: always from a folder, never from the network, silent, our values only.

The only file that imports vosk. The import is heavy, so only a process that listens makes it. Where
vosk does not load, importing this file raises a `ModelError` that says what to do.
"""

import contextlib
import ctypes
import json
import os
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from handsfree.errors import ModelError, SoundError
from handsfree.hear.graph import compile_graph
from handsfree.hear.graph_talk import talk_words
from handsfree.hear.graph_words import HESITATION
from handsfree.hear.model_folder import ModelFolder, ModelKind
from handsfree.hear.phrases import phrases_of
from handsfree.hear.recogniser import (
    SAMPLE_RATE_HZ,
    Reading,
    TimedWord,
    judged,
    recognise,
    same_text,
    with_whispered_silence,
)
from handsfree.hear.vosk_library import DOES_NOT_LOAD, library_fault
from handsfree.values import Sense, WordNetwork, Words
from handsfree.values.clean_text import clean_text

try:
    import vosk
except DOES_NOT_LOAD as fault:
    raise library_fault(fault) from fault

ALTERNATIVES = 40  # readings asked for: many differ only in a hesitation
WHOLE_UTTERANCES = ("--frames-per-chunk=120", "--max-active=1500")
"""What the decoder does otherwise where an utterance is judged when it is over: longer steps of the
network and fewer ways open at a time take two thirds of the work."""
WITHOUT_END = ("--lattice-beam=2", "--acoustic-scale=1.0", "--max-mem=1000000")
"""And where it listens without end, for a few phrases: of what is said only the best is kept, which
takes a sixth of the work in loud noise and a fifth of the memory (in bytes), and what it sounded
like counts in full."""
QUIETEST = -2  # vosk's log level without warnings; errors still go to the standard error stream

vosk.SetLogLevel(QUIETEST)


class VoskRecogniser:
    """A `Recogniser` for one listening state; not for two threads at once.

    Made by `load_recogniser`. Two recognisers of one process may work in two threads.
    """

    def __init__(
        self,
        native: "vosk.Model",
        model: ModelFolder,
        phrases: str | None,
        sense: Callable[[str], Sense],
        timed: bool = False,
    ) -> None:
        self._native = native
        self._timed = timed
        self._model = model
        self._phrases = phrases
        self._sense = sense
        self._half_sample = b""
        self._samples = 0
        self._fresh: vosk.KaldiRecognizer | None = None
        self._listening: vosk.KaldiRecognizer | None = None

    def another(self) -> "VoskRecogniser":
        """One that hears the same in another utterance at the same time; both share the memory."""
        return VoskRecogniser(
            self._native, self._model, self._phrases, self._sense, timed=self._timed
        )

    def begin(self) -> None:
        """Forget everything and listen to a new utterance."""
        if self._fresh is None or self._phrases is None:
            # On a graph this takes a millisecond and carries nothing over.
            self._fresh = self._new()
        elif self._listening is not None:
            self._fresh.FinalResult()  # so it starts anew without reading the phrases again
        self._listening = self._fresh
        self._half_sample, self._samples = b"", 0

    def _new(self) -> "vosk.KaldiRecognizer":
        arguments: list[object] = [self._native, float(SAMPLE_RATE_HZ)]
        if self._phrases is not None:
            arguments.append(self._phrases)
        try:
            made = vosk.KaldiRecognizer(*arguments)
        except Exception as fault:
            raise ModelError(f"The recogniser does not start: {fault}. {_TRY_OURS}") from fault
        made.SetMaxAlternatives(ALTERNATIVES)
        if self._timed:
            made.SetWords(True)
        return made

    def accept(self, block: bytes) -> bool:
        """Hear a block; half a sample at its end waits for the next. True at an end point."""
        listening = self._native_recogniser()
        sound = self._half_sample + block
        whole = len(sound) // 2 * 2
        self._half_sample = sound[whole:]
        if not whole:
            return False
        heard = with_whispered_silence(sound[:whole])
        self._samples += whole // 2
        try:
            ended = bool(listening.AcceptWaveform(heard))
        except Exception as fault:
            raise SoundError(f"The recogniser could not take the sound: {fault}. Say it again.") \
                from fault  # fmt: skip
        if self._timed:
            _trim()  # in loud noise a step takes 30 MB for a moment, and no end is near
        return ended

    def partial(self) -> str:
        """The words so far."""
        if self._listening is None:
            return ""
        return self._plain(_text(_parsed(self._listening.PartialResult()), "partial"))

    def finish(self) -> Words:
        """The words of the whole utterance, how sure they are, and what else they might be."""
        readings, seconds = self.readings()
        return self._judged(readings, seconds)

    def finish_timed(self) -> tuple[Words, tuple[TimedWord, ...]]:
        """The words like `finish`, and where each of the best reading lies.

        Only of a recogniser that was loaded with `timed`; of another, no places are told.
        """
        result = self._ended()
        words = self._judged(self._readings(result), self._samples / SAMPLE_RATE_HZ)
        return words, _timed_words(result)

    def _judged(self, readings: tuple[Reading, ...], seconds: float) -> Words:
        model = self._model
        return judged(readings, seconds, model.sureness, model.filler, self._sense)

    def readings(self) -> tuple[tuple[Reading, ...], float]:
        """Ends the utterance like `finish`: its readings unjudged, and its length in seconds."""
        result = self._ended()
        return self._readings(result), self._samples / SAMPLE_RATE_HZ

    def _ended(self) -> Mapping[str, object]:
        """What the utterance came to. What it took of memory goes back to the system."""
        result = _parsed(self._native_recogniser().FinalResult())
        self._listening = None
        if self._phrases is None:
            self._fresh = None
            _trim()
        return result

    def recognise(self, samples_16k: bytes) -> Words:
        """The words of a whole recording: mono 16-bit samples at 16 kHz."""
        return recognise(self, samples_16k)

    def _native_recogniser(self) -> "vosk.KaldiRecognizer":
        if self._listening is None:
            self.begin()
        return self._listening

    def _readings(self, result: Mapping[str, object]) -> tuple[Reading, ...]:
        alternatives = result.get("alternatives")
        if not isinstance(alternatives, list):
            return ()
        best: dict[str, float] = {}
        for alternative in alternatives:
            text = self._plain(_text(alternative, "text"))
            score = float(alternative["confidence"])
            best[text] = max(score, best.get(text, score))
        return tuple(Reading(text, score) for text, score in best.items())

    def _plain(self, text: str) -> str:
        """Without hesitations, and a run of fillers as one."""
        words: list[str] = []
        for word in text.split():
            again = word == self._model.filler and words[-1:] == [word]
            if word != HESITATION and not again:
                words.append(word)
        return " ".join(words)


def load_recogniser(
    model: ModelFolder,
    network: WordNetwork,
    cache: Path,
    sense: Callable[[str], Sense] = same_text,
    timed: bool = False,
) -> VoskRecogniser:
    """A recogniser for what `network` allows to be said.

    A model of our own gets a graph, compiled at the first start and kept in `cache`; a stock model
    gets the network's phrases at run time.

    Args:
        model: from `open_model`.
        network: what may be said.
        cache: folder for finished graphs.
        sense: what a text comes to; readings with equal meanings are no doubt to each other.
        timed: it shall tell where words lie, in a stream that is listened to without end: it then
            works in small steps, as the model says, and knows of no talk but the filler's phones.

    Raises:
        ModelError: the model does not load; tells vosk's own reason.
        GrammarError: the network has no end or a word that cannot be pronounced.
    """
    if model.kind is ModelKind.STOCK:
        phrases = json.dumps([*phrases_of(network), model.filler])
        return VoskRecogniser(_loaded(model.path), model, phrases, sense, timed)
    graph = compiled(network, model, cache, timed)
    del network  # so that what was passed on without a name makes room for the graph
    return VoskRecogniser(_loaded(graph), model, None, sense, timed)


def compiled(network: WordNetwork, model: ModelFolder, cache: Path, timed: bool = False) -> Path:
    """The folder of the graph that `load_recogniser` loads; takes and raises what it does."""
    if timed:
        return compile_graph(network, model, cache, options=WITHOUT_END)
    return compile_graph(network, model, cache, talk_words(model.path), WHOLE_UTTERANCES)


_STREAM = threading.Lock()
_TRY_OURS = "Install the project again, or leave out --model to use the model that comes with it."


def _loaded(folder: Path) -> "vosk.Model":
    """The native model, always by path: without one, vosk would reach for the network."""
    assert folder.is_dir()
    with _silenced() as told:
        try:
            return vosk.Model(str(folder))
        except Exception as fault:
            reason = told() or str(fault)
    raise ModelError(f"vosk cannot load the model in {folder}: {reason}. {_TRY_OURS}")


def _system_trim() -> Callable[[], object]:
    """Gives freed memory back where the C library keeps it, as glibc does; else it does nothing."""
    try:
        trim = ctypes.CDLL(None).malloc_trim
    except (OSError, AttributeError, TypeError):
        return lambda: None
    return lambda: trim(0)


_trim = _system_trim()


def _parsed(answer: str) -> Mapping[str, object]:
    try:
        values = json.loads(answer)
    except ValueError as fault:
        raise ModelError(f"The recogniser gave no readable result: {fault}. {_TRY_OURS}") from fault
    return values if isinstance(values, dict) else {}


def _timed_words(result: Mapping[str, object]) -> tuple[TimedWord, ...]:
    """The places of the best alternative's words."""
    alternatives = result.get("alternatives")
    best = alternatives[0] if isinstance(alternatives, list) and alternatives else {}
    return tuple(
        TimedWord(_text(told, "word"), float(told["start"]), float(told["end"]))
        for told in best.get("result", ())
    )


def _text(values: Mapping[str, object], name: str) -> str:
    value = values.get(name, "")
    return clean_text(value) if isinstance(value, str) else ""


@contextlib.contextmanager
def _silenced() -> Iterator[Callable[[], str]]:
    """Keeps native lines off the standard error stream; gives a way to read the errors meanwhile.

    vosk reports why a model does not load in no other way than on that stream. The stream belongs
    to the whole process, so that one thread at a time may take it.
    """
    with _STREAM, tempfile.TemporaryFile() as log:
        try:
            sys.stderr.flush()
            kept = os.dup(2)
        except (OSError, ValueError, AttributeError):  # no standard error stream at all
            yield lambda: ""
            return
        os.dup2(log.fileno(), 2)

        def told() -> str:
            log.seek(0)
            return _reasons(log.read().decode("utf-8", errors="replace"))

        try:
            yield told
        finally:
            os.dup2(kept, 2)
            os.close(kept)


def _reasons(log: str) -> str:
    """What vosk's error lines say, without where in its source they were written.

    >>> _reasons("ERROR (VoskAPI:Input():x.cc:756) Error opening input stream am/final.mdl")
    'Error opening input stream am/final.mdl'
    """
    errors = [line for line in log.splitlines() if line.startswith(("ERROR", "ASSERTION"))]
    said = (line.split(") ", 1)[-1].strip() for line in errors)
    return "; ".join(dict.fromkeys(line for line in said if line))
