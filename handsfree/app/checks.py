"""What works on this machine, part by part: each check tells what it found and what to do."""

import os
import socket
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final

from handsfree.audio.device import SoundDevice
from handsfree.audio.level import level_of
from handsfree.audio.microphone import RATE, Microphone
from handsfree.errors import HandsfreeError, SoundError, in_words
from handsfree.store.resources import MODEL, shipped_folder
from handsfree.store.settings import Sound, SoundSettings, cache_folder, logbook_path, user_folder

LISTEN_S: Final = 3.0
BAR_DB: Final = 60.0  # what is quieter than that below full scale is no bar at all
BARS: Final = 12


class State(StrEnum):
    """How a part stands."""

    WORKS = "works"
    NO_SOUND = "no sound"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class Finding:
    """How one part stands.

    Attributes:
        part: its name.
        state: how it stands.
        told: what was found, and what to do where it does not work.
    """

    part: str
    state: State
    told: str


def findings(
    port: int, model: Path | None, hint: Callable[[str], None], *, listens: bool = True
) -> Iterator[Finding]:
    """Each part of the helper in turn, as it is looked at.

    Args:
        port: of the page.
        model: another speech model's folder.
        hint: is told what the user should do meanwhile.
        listens: the microphone is opened, and its level taken.
    """
    kept = SoundSettings()
    sound = kept.read()
    system = SoundDevice()
    yield _loudspeaker(system, sound)
    yield _microphone(system, sound, hint, listens)
    yield _recogniser()
    yield _tried("model", lambda: _model(model))
    yield _tried("caches", _caches)
    yield _tried("kept files", lambda: _kept_files(kept))
    yield _logbook()
    yield _page(port)


def _tried(part: str, look: Callable[[], str]) -> Finding:
    try:
        return Finding(part, State.WORKS, look())
    except HandsfreeError as fault:
        return Finding(part, State.FAULT, str(fault))


# --- sound ----------------------------------------------------------------------------------------


def _loudspeaker(system: SoundDevice, sound: Sound) -> Finding:
    try:
        system.playback(sound.loudspeaker, RATE, bytes).close()
        names = system.playbacks()
    except SoundError as fault:
        return Finding("loudspeaker", State.NO_SOUND, str(fault))
    return Finding("loudspeaker", State.WORKS, _which(sound.loudspeaker, names))


def _microphone(
    system: SoundDevice, sound: Sound, hint: Callable[[str], None], listens: bool
) -> Finding:
    try:
        names = system.captures()
        if not listens:
            system.capture(sound.microphone, RATE, lambda samples: None).close()
            return Finding("microphone", State.WORKS, _which(sound.microphone, names))
        with Microphone(system, sound.microphone) as microphone:
            hint(f"Say something for {LISTEN_S:.0f} seconds.")
            heard = b"".join(_frames(microphone))
    except SoundError as fault:
        return Finding("microphone", State.NO_SOUND, str(fault))
    level = level_of(heard)
    told = f"{_which(sound.microphone, names)}. {meter(level.level_db)} {level.advice}".rstrip()
    return Finding("microphone", State.NO_SOUND if level.advice else State.WORKS, told)


def _frames(microphone: Microphone) -> Iterator[bytes]:
    for _ in range(round(LISTEN_S / 0.02)):
        frame = microphone.read(0.1)
        if frame is not None:
            yield frame


def meter(level_db: float) -> str:
    """A level as a bar and a number.

    >>> meter(-30.0)
    '[######......] 30 dB below full scale.'
    """
    full = round(BARS * max(0.0, min(1.0, 1.0 + level_db / BAR_DB)))
    return f"[{'#' * full}{'.' * (BARS - full)}] {-level_db:.0f} dB below full scale."


def _which(name: str | None, names: tuple[str, ...]) -> str:
    others = f" of {len(names)}: {', '.join(names)}" if names else ""
    return f"{name or 'the default'}{others}"


# --- what is read and written ---------------------------------------------------------------------


def _recogniser() -> Finding:
    from handsfree.hear.vosk_library import recogniser_fault

    fault = recogniser_fault()
    if fault is not None:
        return Finding("recogniser", State.FAULT, str(fault))
    return Finding("recogniser", State.WORKS, "its library loads")


def _model(model: Path | None) -> str:
    from handsfree.hear.model_folder import ModelKind, open_model

    opened = open_model(model or shipped_folder(MODEL))
    return f"{opened.path}, {'a stock model' if opened.kind is ModelKind.STOCK else 'our own'}"


def _caches() -> str:
    folder = cache_folder()
    _writable(folder)
    files = [path for path in folder.rglob("*") if path.is_file()]
    size = sum(path.stat().st_size for path in files)
    made = "" if any(folder.glob("graphs/*")) else "; the next start makes them, which takes longer"
    return f"{folder}, {len(files)} files, {size / 1e6:.0f} MB{made}"


def _kept_files(sound: SoundSettings) -> str:
    """Reads all that is kept, as a start does."""
    from handsfree.session.session import Session
    from handsfree.values import Failed

    folder = user_folder()
    _writable(folder)
    wrong: list[Failed] = []
    sound.faults.tell_to(wrong.append)
    Session(leads=True).faults.tell_to(wrong.append)
    if wrong:
        raise HandsfreeError(" ".join(fault.sentence for fault in wrong))
    return f"{folder}, {len(list(folder.glob('*.yaml')))} files, all of them read"


def _writable(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise HandsfreeError(
            f"{folder} cannot be made: {in_words(fault)}. Free the disk or mend its rights."
        ) from fault
    if not os.access(folder, os.W_OK | os.X_OK):
        raise HandsfreeError(f"{folder} cannot be written. Mend the rights of that folder.")


def _logbook() -> Finding:
    from handsfree.logbook.logbook import Logbook

    path = logbook_path()
    if not path.exists():
        return Finding("logbook", State.WORKS, f"{path}, nothing in it yet")
    try:
        book = Logbook(path)
        chain = book.chain()
        book.close()
    except HandsfreeError as fault:
        return Finding("logbook", State.FAULT, str(fault))
    state = State.WORKS if chain.broken_at is None else State.FAULT
    return Finding("logbook", state, f"{path}. {chain.told}")


def _page(port: int) -> Finding:
    address = f"http://127.0.0.1:{port}/"
    try:
        with socket.socket() as tried:
            tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            tried.bind(("127.0.0.1", port))
    except (OSError, OverflowError) as fault:
        told = (
            f"{address} cannot be served: {in_words(fault)}. Is the helper running there already?"
        )
        return Finding("page", State.FAULT, f"{told} Else choose another with --port.")
    return Finding("page", State.WORKS, f"{address} once the helper runs")
