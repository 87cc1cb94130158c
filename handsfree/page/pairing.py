"""Who may use the shared page: a one-time code pairs a device, a kept token knows it again.

The code stands on the helper's own screen, short to type and long inside the QR code; either works
once. Who types wrong codes rests, and for a short while all who type if many do; the long code is
beyond guessing and always taken. Of the tokens only hashes are kept, so the file lets nobody in.
"""

import hashlib
import hmac
import json
import math
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from handsfree.errors import PageError
from handsfree.page.private import write_private
from handsfree.store.faults import Faults
from handsfree.store.files import KeptFile
from handsfree.store.plain import from_json

CODE_DIGITS = 6
TRIES = 5  # wrong codes of one device; then it rests
TRIES_IN_ALL = 20  # wrong codes of all devices; then typed codes rest, and there is a new one
REST_S, LONGEST_REST_S = 60.0, 3600.0  # each rest is twice as long as the one before
FORGIVEN_S = 24 * 3600.0  # without a wrong code
DEVICES_AT_MOST = 50
RESTING_AT_MOST = 200  # devices whose wrong codes are remembered
FILE_NAME = "paired-devices.json"

# Guessing from ever new addresses is bound by TRIES_IN_ALL alone: 20 wrong codes before each rest
# of 1, 2, 4 ... 32 minutes and then of an hour are 140 in the first 63 minutes and 20 an hour from
# then on, 260 in a shift of eight hours: one chance in 3800 against a million codes. Keeping still
# for a day to be forgiven gains less than going on.


@dataclass(frozen=True, slots=True)
class Refused:
    """A code that does not pair.

    Attributes:
        wait_s: whole seconds until that device may try again; 0 is now.
        everybody: all who type wait, not that device alone.
    """

    wait_s: int = 0
    everybody: bool = False

    @property
    def sentence(self) -> str:
        """What the device shows."""
        if not self.wait_s:
            return "That is not the code on the helper's screen now. Look again."
        whose = "from several devices" if self.everybody else "from this device"
        wait, unit = self.wait_s, "second"
        if wait > 120:
            wait, unit = math.ceil(wait / 60), "minute"
        return (
            f"Too many wrong codes {whose}. Try again in {wait} {unit}{'s' * (wait > 1)}, "
            "or scan the picture on the helper's screen."
        )


class _Tries:
    """Wrong codes of one device or of all: after some it rests, each time twice as long."""

    def __init__(self, allowed: int) -> None:
        self._allowed = allowed
        self._wrong = self._rests = 0
        self._last, self._until = -math.inf, 0.0

    def wait_s(self, now: float) -> int:
        """Whole seconds that it still rests."""
        return max(0, math.ceil(self._until - now))

    def wrong(self, now: float) -> None:
        """Count a wrong code."""
        if now - self._last > FORGIVEN_S:
            self._wrong = self._rests = 0
        self._last = now
        self._wrong += 1
        if self._wrong == self._allowed:
            self._until = now + min(LONGEST_REST_S, REST_S * 2 ** min(self._rests, 10))
            self._wrong = 0
            self._rests += 1


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
        self._of_all = _Tries(TRIES_IN_ALL)
        self._of_device: dict[str, _Tries] = {}
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

    def pair(self, tried: str, device: str = "") -> str | Refused:
        """A token for the device that gives the right code, which then counts no more.

        Args:
            tried: the code, typed or scanned.
            device: its address, which rests after too many wrong codes.

        Raises:
            PageError: the pairing cannot be kept; the code still counts.
        """
        plain = "".join(tried.split())
        with self._lock:
            outcome, renewed = self._tried(plain, device)
        if renewed:
            for changed in self._watchers:
                changed()
        return outcome

    def _tried(self, plain: str, device: str) -> tuple[str | Refused, bool]:
        """The token or why there is none, and whether there is a new code."""
        now = self._clock()
        scanned = _same(plain, self._key)
        if not scanned:
            refused = self._waits(device, now)
            if refused.wait_s:
                return refused, False
        if scanned or _same(plain, self._code):
            token = secrets.token_urlsafe(32)
            self._keep([*self._known, _hash(token)][-DEVICES_AT_MOST:])
            self._of_device.pop(device, None)
            self._renew()
            return token, True
        self._count_wrong(device, now)
        all_rest = self._of_all.wait_s(now) > 0
        if all_rest:
            self._renew()  # so every guess so far was in vain
        return self._waits(device, now), all_rest

    def _waits(self, device: str, now: float) -> Refused:
        """How long that device waits: for its own wrong codes or for those of all."""
        own = self._of_device[device].wait_s(now) if device in self._of_device else 0
        every = self._of_all.wait_s(now)
        return Refused(max(own, every), everybody=every > own)

    def _count_wrong(self, device: str, now: float) -> None:
        tries = self._of_device.pop(device, None) or _Tries(TRIES)
        self._of_device[device] = tries  # the latest is last
        if len(self._of_device) > RESTING_AT_MOST:
            del self._of_device[next(iter(self._of_device))]
        tries.wrong(now)
        self._of_all.wrong(now)

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
