"""Who may use the shared page: a one-time code pairs a device, a kept token knows it again.

The code stands on the helper's own screen, short to type and long inside the QR code; either works
once. Of the tokens only hashes are kept, so the file lets nobody in.
"""

import hashlib
import hmac
import json
import secrets
import threading
import time
from collections.abc import Callable
from pathlib import Path

from handsfree.errors import PageError
from handsfree.store.faults import Faults
from handsfree.store.files import KeptFile
from handsfree.store.plain import from_json
from handsfree.tell.page_private import write_private

CODE_DIGITS = 6
TRIES = 5  # wrong codes; then pairing rests, and there is a new code
REST_S = 60.0
DEVICES_AT_MOST = 50
FILE_NAME = "paired-devices.json"


class Pairing:
    """Codes and tokens; safe to use from any thread.

    Args:
        folder: where the hashes of tokens are kept; nowhere when None, until the helper stops.
        clock: seconds that only move forward.

    Attributes:
        faults: what is wrong with the file of paired devices.
    """

    def __init__(
        self, folder: Path | None = None, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._file = None if folder is None else folder / FILE_NAME
        self._clock = clock
        self._lock = threading.Lock()
        self.faults = Faults()
        self._known = self._read()
        self._wrong = 0
        self._rests_until = 0.0
        self._watchers: list[Callable[[], None]] = []
        self._renew()

    @property
    def code(self) -> str:
        """The code to be typed."""
        return self._code

    @property
    def key(self) -> str:
        """The long code inside the QR code."""
        return self._key

    @property
    def paired(self) -> int:
        """How many devices are paired."""
        return len(self._known)

    def watch(self, changed: Callable[[], None]) -> None:
        """Be told, in the thread of whoever caused it, that there is a new code."""
        self._watchers.append(changed)

    def pair(self, tried: str) -> str | None:
        """A token for the device that gives the right code, which then counts no more; else None.

        Raises:
            PageError: the pairing cannot be kept; the code still counts.
        """
        plain = "".join(tried.split())
        with self._lock:
            if self._clock() < self._rests_until:
                return None
            right = _same(plain, self._code) or _same(plain, self._key)
            if right:
                token = secrets.token_urlsafe(32)
                self._keep([*self._known, _hash(token)][-DEVICES_AT_MOST:])
            else:
                self._wrong += 1
                if self._wrong < TRIES:
                    return None
                self._rests_until = self._clock() + REST_S
            self._renew()
        for changed in self._watchers:
            changed()
        return token if right else None

    def knows(self, token: str) -> bool:
        """Whether a device with that token was paired."""
        hashed = _hash(token)
        return any([_same(hashed, known) for known in self._known])  # no early end

    def forget(self) -> None:
        """Unpair every device.

        Raises:
            PageError: that cannot be kept.
        """
        with self._lock:
            self._keep([])

    def _renew(self) -> None:
        self._wrong = 0
        self._code = f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}d}"
        self._key = secrets.token_urlsafe(24)

    def _read(self) -> list[str]:
        if self._file is None:
            return []
        kept: KeptFile[list[str]] = KeptFile(
            self._file,
            "The paired devices",
            [],
            parse=_hashes,
            text=json.dumps,
            without="Pair your devices again.",
            refused=f"The pairing cannot be kept in {self._file}: {{fault}}.",
            faults=self.faults,
        )
        return kept.read()

    def _keep(self, known: list[str]) -> None:
        if self._file is not None:
            try:
                write_private(self._file, json.dumps(known))
            except OSError as fault:
                raise PageError(
                    f"The pairing cannot be kept in {self._file}: {fault}. Make room, pair again."
                ) from fault
        self._known = known


def _hashes(said: str) -> list[str]:
    known = from_json(said)
    if not isinstance(known, list) or not all(isinstance(entry, str) for entry in known):
        raise ValueError("it is no list of devices")
    return known


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
