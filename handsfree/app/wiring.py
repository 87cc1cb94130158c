"""Devices wired to a session: a recording or the microphone in, the voice and the page out.

Each is loaded only when it is asked for, so that a typed question costs no speech.
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.errors import SoundError
from handsfree.hear.recogniser import Recogniser
from handsfree.session.session import Session
from handsfree.store.resources import MODEL as MODEL
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import cache_folder, user_folder
from handsfree.values import Sense, Told, WordNetwork, Words
from handsfree.voice.voice import UNHURRIED_S, Voice

if TYPE_CHECKING:  # libraries of speech and of the page are loaded when they are needed
    from handsfree.hear.vosk_adapter import VoskRecogniser
    from handsfree.hear.wake import Spotter
    from handsfree.page.share import Share, Sharing


def request_recogniser(session: Session, model: Path | None = None) -> "VoskRecogniser":
    """The recogniser of the request state.

    Args:
        session: its grammar is what is listened for.
        model: another model's folder; the one that came with this copy when None.

    Raises:
        ModelError: the folder holds no model that loads; the message says what to do.
    """
    from handsfree.hear.model_folder import open_model
    from handsfree.hear.vosk_adapter import load_recogniser

    folder = open_model(model or shipped_folder(MODEL))
    # No name holds the network here: it is large, and goes when its graph is compiled.
    return load_recogniser(
        folder, session.grammar.word_network(), cache_folder() / "graphs", session.sense
    )


def spotter_beside(
    recogniser: "VoskRecogniser",
    session: Session,
    network: WordNetwork,
    model: Path | None = None,
) -> "Spotter":
    """The spotter of calls and emergencies, which has them heard again with all that may be asked.

    Args:
        recogniser: of requests; it is not disturbed.
        session: what emergencies mean to it.
        network: of the attention state.
        model: as `request_recogniser`.

    Raises:
        ModelError: as `request_recogniser`.
        GrammarError: there is no attention phrase, or a word that cannot be pronounced.
    """
    from handsfree.hear.model_folder import open_model
    from handsfree.hear.second_hearing import SecondHearing
    from handsfree.hear.wake import load_spotter

    return load_spotter(
        open_model(model or shipped_folder(MODEL)),
        network,
        cache_folder() / "graphs",
        SecondHearing(recogniser.another(), session.emergency),
    )


def steps_recogniser(sense: Callable[[str], Sense], model: Path | None = None) -> Recogniser:
    """The recogniser of the answers to a step that is led, small beside that of requests.

    Args:
        sense: what a text comes to as an answer to the step that waits.
        model: another model's folder; the one that came with this copy when None.

    Raises:
        ModelError: as `request_recogniser`.
    """
    from handsfree.hear.model_folder import open_model
    from handsfree.hear.vosk_adapter import load_recogniser
    from handsfree.understand.grammar import load_grammar

    folder = open_model(model or shipped_folder(MODEL))
    grammar = load_grammar(shipped_folder("grammar"), "answers", cache_folder() / "grammar")
    return load_recogniser(folder, grammar.word_network(), cache_folder() / "graphs", sense)


def words_of_recording(
    session: Session, file: Path, model: Path | None = None
) -> tuple[Words, str]:
    """The words in a WAV file, and advice on its level.

    Raises:
        SoundError: the file cannot be used.
        ModelError: as `request_recogniser`.
    """
    from handsfree.audio.sound_file import read_wav
    from handsfree.hear.recogniser import recognise

    recording = read_wav(file)
    words = recognise(request_recogniser(session, model), recording.samples.data)
    return words, recording.level.advice


def words_of_microphone(
    session: Session,
    ready: Callable[[], None],
    model: Path | None = None,
    name: str | None = None,
) -> tuple[Words, str]:
    """The words of the next request spoken into the microphone, and advice on its level.

    Args:
        session: whose grammar is listened for.
        ready: called once the microphone is open.
        model: another model's folder.
        name: which microphone; the default when None.

    Raises:
        NoDeviceError: there is no microphone; typing and the page still work.
        SoundError: nobody spoke.
    """
    from handsfree.audio.device import SoundDevice
    from handsfree.audio.microphone import Microphone
    from handsfree.hear.listening import listen_once

    recogniser = request_recogniser(session, model)
    with Microphone(SoundDevice(), name) as microphone:
        ready()
        taken = listen_once(microphone.frames(), recogniser)
    return taken.words, taken.level.advice


def speak(sentences: Sequence[str], file: Path | None, aloud: bool, name: str | None) -> None:
    """Speak sentences into a WAV file, on a loudspeaker, or both.

    Raises:
        VoiceError: the voice does not start.
        SoundError: the file cannot be written, or there is no loudspeaker.
    """
    with Voice(store_folder=cache_folder() / "voice", patience_s=UNHURRIED_S) as voice:
        if file is not None:
            voice.write_wav(file, sentences)
        if aloud:
            from handsfree.audio.device import SoundDevice
            from handsfree.audio.speaker import Speaker

            speaker = Speaker(SoundDevice(), name)
            try:
                if not speaker.play(voice.render_all(sentences)):
                    raise SoundError("The answer was stopped before its end.")
            finally:
                speaker.close()


def shared(port: int, sharing: "Sharing | None", tell: Callable[[str], None]) -> "Share | None":
    """What shares the page as the user wants it, None when he does not; tells the code.

    Raises:
        PageError: there is no network to share it on, or something cannot be kept.
    """
    if sharing is None:
        return None
    from handsfree.page.share import share_page

    share = share_page(user_folder() / "page", port, sharing)
    share.pairing.faults.tell_to(lambda fault: tell(fault.sentence))
    tell(share.for_terminal())
    share.pairing.watch(lambda: tell(share.for_terminal()))
    return share


def serve_page(
    session: Session,
    port: int,
    announce: Callable[[str], None],
    sharing: "Sharing | None" = None,
    tell: Callable[[str], None] = lambda line: None,
) -> None:
    """Serve the page until interrupted: on this machine, and on the network when it is shared.

    Raises:
        PageError: the port cannot be served on, or the page cannot be shared.
    """
    from handsfree.page.app import page_app
    from handsfree.page.board import PageBoard
    from handsfree.page.server import serve

    def ask(text: str) -> Told:
        return session.take(Words(text))

    share = shared(port, sharing, tell)
    app = page_app(ask, PageBoard(), share=share)
    serve(app, port=port, announce=announce, share=share)
