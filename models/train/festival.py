"""The classic voice ``ked`` (diphones), spoken by a process of Festival that is told what to say.

``folder`` holds ``festival/``: the program, ``lib/`` (all its libraries and the loader, so that it
runs on a machine that has not got them) and ``share/`` (its Scheme files, the dictionaries and the
voice), from Debian's ``festival``, ``libestools2.5``, ``festlex-cmu``, ``festlex-poslex`` and
``festvox-kdlpc16k``.
"""

from __future__ import annotations

import subprocess
import tempfile
import wave
from pathlib import Path

import numpy as np

from models.train.classic import resampled

# How Festival's segments are called in the CMU dictionary; pauses are not heard.
_CALLED = {"ax": "AH", "axr": "ER", "dx": "T", "el": "AH L", "em": "AH M", "en": "AH N"}
_SILENT = {"pau", "h#", "brth"}


class Festival:
    """Says a text with the voice ``ked``, as float samples at 16 kHz; one process for each."""

    def __init__(self, folder: Path) -> None:
        home = (folder / "festival").resolve()
        share = str(home / "share")
        self.place = Path(tempfile.mkdtemp(prefix="ked"))
        self.command = [
            str(home / "lib/ld-linux-x86-64.so.2"), "--library-path", str(home / "lib"),
            str(home / "festival"), "--libdir", share, "--datadir", share, "--pipe",
        ]  # fmt: skip
        self._begin()

    def _begin(self) -> None:
        self.process = subprocess.Popen(
            self.command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        self._tell("(voice_ked_diphone)")

    def _tell(self, command: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(command + "\n")
        self.process.stdin.flush()

    def say(
        self, text: str, stretch: float, pitch: float, spread: float
    ) -> tuple[np.ndarray, list[str]]:
        """Samples and the phones that were said; ``pitch`` and ``spread`` in hertz.

        Festival ends at some texts: it is begun anew, and that text is not said.
        """
        try:
            return self._said(text, stretch, pitch, spread)
        except OSError:
            self.process.kill()
            self.process.wait()
            self._begin()
            raise

    def _said(
        self, text: str, stretch: float, pitch: float, spread: float
    ) -> tuple[np.ndarray, list[str]]:
        file = self.place / "said.wav"
        said = "".join(c for c in text if c.isalnum() or c in " ,'.-")
        self._tell(f"(Parameter.set 'Duration_Stretch {stretch:.3f})")
        self._tell(
            f"(set! int_lr_params '((target_f0_mean {pitch:.1f}) (target_f0_std {spread:.1f})"
            " (model_f0_mean 170) (model_f0_std 34)))"
        )
        self._tell(f'(set! said (utt.synth (Utterance Text "{said}")))')
        self._tell(f'(utt.save.wave said "{file}" \'riff)')
        self._tell(
            '(begin (format t "said")'
            ' (mapcar (lambda (s) (format t " %s" (item.name s)))'
            ' (utt.relation.items said \'Segment)) (format t "\\n") (fflush nil))'
        )
        assert self.process.stdout is not None
        line = ""
        while not line.startswith("said"):
            line = self.process.stdout.readline()
            if not line:
                raise OSError("Festival ended: is its folder whole?")
        with wave.open(str(file)) as sound:
            rate = sound.getframerate()
            samples = np.frombuffer(sound.readframes(sound.getnframes()), "<i2")
        return resampled(samples.astype(np.float32), rate), phones_said(line.split()[1:])


def phones_said(segments: list[str]) -> list[str]:
    """Festival's segments as phones of the CMU dictionary.

    >>> phones_said("pau th er r t iy n pau".split())
    ['TH', 'ER', 'T', 'IY', 'N']
    """
    phones: list[str] = []
    for segment in segments:
        if segment in _SILENT or (segment == "r" and phones[-1:] == ["ER"]):
            continue
        phones += _CALLED.get(segment, segment.upper()).split()
    return phones
