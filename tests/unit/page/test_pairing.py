"""Pairing: a code works once, guessing gets nowhere, and what is kept lets nobody in."""

import json
import stat
from pathlib import Path

import pytest

from handsfree.errors import PageError
from handsfree.page.pairing import (
    FILE_NAME,
    TRIES,
    TRIES_IN_ALL,
    Pairing,
    Refused,
)
from handsfree.values import Failed

PHONE, TABLET = "192.168.1.77", "192.168.1.78"
DAY_S = 86400.0


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def wrong(pairing: Pairing) -> str:
    return f"{(int(pairing.code) + 1) % 10**6:06d}"


def token_of(pairing: Pairing, code: str, device: str = "") -> str:
    token = pairing.pair(code, device)
    assert isinstance(token, str)
    return token


def refused(pairing: Pairing, code: str, device: str = "") -> Refused:
    outcome = pairing.pair(code, device)
    assert isinstance(outcome, Refused)
    return outcome


def exhaust(pairing: Pairing, device: str) -> Refused:
    """Wrong codes until that device rests, and what it is told at the last."""
    for _ in range(TRIES - 1):
        assert refused(pairing, wrong(pairing), device) == Refused()
    return refused(pairing, wrong(pairing), device)


@pytest.mark.parametrize("which", ["code", "key"])
def test_a_code_pairs_one_device_and_then_no_other(which: str) -> None:
    pairing = Pairing()
    code = getattr(pairing, which)
    token = token_of(pairing, code)
    assert pairing.knows(token)
    assert refused(pairing, code) == Refused()
    assert (pairing.code, pairing.key) != (code, code)


def test_using_the_typed_code_spends_the_one_in_the_picture_too() -> None:
    pairing = Pairing()
    key = pairing.key
    token_of(pairing, pairing.code)
    assert refused(pairing, key) == Refused()


def test_a_code_is_taken_as_people_type_it() -> None:
    pairing = Pairing()
    code = pairing.code
    assert pairing.knows(token_of(pairing, f" {code[:3]} {code[3:]} "))


def test_wrong_codes_rest_their_device_and_nobody_else() -> None:
    clock = Clock()
    pairing = Pairing(clock=clock)
    code = pairing.code
    assert exhaust(pairing, PHONE) == Refused(60)
    clock.now += 20.5
    assert refused(pairing, code, PHONE) == Refused(40)  # even with the right code
    assert pairing.knows(token_of(pairing, code, TABLET))
    clock.now += 39.5
    assert pairing.knows(token_of(pairing, pairing.code, PHONE))


def test_trying_on_while_it_rests_neither_counts_nor_prolongs_it() -> None:
    clock = Clock()
    pairing = Pairing(clock=clock)
    exhaust(pairing, PHONE)
    for _ in range(10 * TRIES_IN_ALL):
        assert refused(pairing, wrong(pairing), PHONE) == Refused(60)
    assert refused(pairing, wrong(pairing), TABLET) == Refused()
    clock.now += 60.0
    assert pairing.knows(token_of(pairing, pairing.code, PHONE))


def test_each_rest_is_twice_as_long_until_the_device_pairs_or_a_day_is_over() -> None:
    clock = Clock()
    pairing = Pairing(clock=clock)
    for _ in range(2):
        assert exhaust(pairing, PHONE).wait_s == 60.0
        clock.now += 60.0
        assert exhaust(pairing, PHONE).wait_s == 120.0
        clock.now += 120.0
        token_of(pairing, pairing.code, PHONE)
        clock.now += DAY_S + 1
    assert exhaust(pairing, TABLET).wait_s == 60.0
    clock.now += DAY_S + 1
    assert exhaust(pairing, TABLET).wait_s == 60.0


@pytest.mark.parametrize("device", [PHONE, None], ids=["one address", "ever new addresses"])
@pytest.mark.parametrize("hours", [1, 8, 24 * 60])
def test_a_code_is_beyond_guessing_from_one_address_and_from_many(
    device: str | None, hours: int
) -> None:
    """Guesses that count, as fast as they are taken: at most 140, and 20 more an hour."""
    clock = Clock()
    pairing = Pairing(clock=clock)
    counted, address, end = 0, 0, clock.now + hours * 3600
    while clock.now < end:
        address += 1
        outcome = refused(pairing, wrong(pairing), device or f"10.0.{address // 256}.{address}")
        counted += 1
        clock.now += outcome.wait_s
        assert outcome.wait_s <= 3600.0
    assert counted <= 140 + 20 * hours


def test_when_many_guess_all_who_type_rest_the_code_changes_and_scanning_goes_on() -> None:
    clock = Clock()
    pairing = Pairing(clock=clock)
    shown: list[str] = []
    pairing.watch(lambda: shown.append(pairing.key))
    spent = pairing.key
    for number in range(TRIES_IN_ALL - 1):
        assert refused(pairing, wrong(pairing), f"10.0.0.{number}") == Refused()
    assert refused(pairing, wrong(pairing), PHONE) == Refused(60, everybody=True)
    assert shown == [pairing.key] != [spent]
    assert refused(pairing, pairing.code, TABLET) == Refused(60, everybody=True)
    assert pairing.knows(token_of(pairing, pairing.key, TABLET))
    clock.now += 60.0
    assert pairing.knows(token_of(pairing, pairing.code, PHONE))


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        (Refused(), "That is not the code on the helper's screen now. Look again."),
        (Refused(60), "from this device. Try again in 60 seconds, or scan the picture"),
        (Refused(1), "Try again in 1 second, "),
        (Refused(121), "Try again in 3 minutes, "),
        (Refused(3600, everybody=True), "from several devices. Try again in 60 minutes, or scan"),
    ],
)
def test_what_a_refused_device_shows(told: Refused, sentence: str) -> None:
    assert sentence in told.sentence


def test_nothing_but_a_token_that_was_given_is_known() -> None:
    pairing = Pairing()
    token = token_of(pairing, pairing.code)
    for tried in ("", token[:-1], token.lower() if token.lower() != token else "x", "é", "\0"):
        assert not pairing.knows(tried)


def test_tokens_cannot_be_guessed() -> None:
    pairing = Pairing()
    tokens = {token_of(pairing, pairing.code) for _ in range(20)}
    assert len(tokens) == 20
    assert all(len(token) >= 43 for token in tokens)  # 256 bits


def test_a_device_stays_paired_over_a_restart_and_its_token_is_nowhere_on_disk(
    tmp_path: Path,
) -> None:
    pairing = Pairing(tmp_path)
    token = token_of(pairing, pairing.code)
    assert Pairing(tmp_path).knows(token)
    file = tmp_path / FILE_NAME
    assert token not in file.read_text()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    kept = json.loads(file.read_text())
    assert not any(Pairing(tmp_path).knows(entry) for entry in kept)


def test_forgotten_devices_are_turned_away(tmp_path: Path) -> None:
    pairing = Pairing(tmp_path)
    token = token_of(pairing, pairing.code)
    pairing.forget()
    assert not pairing.knows(token)
    assert not Pairing(tmp_path).knows(token)


def test_who_shows_the_code_is_told_of_each_new_one() -> None:
    pairing = Pairing()
    seen: list[str] = []
    pairing.watch(lambda: seen.append(pairing.code))
    token_of(pairing, pairing.code)
    assert seen == [pairing.code]


@pytest.mark.parametrize("content", ["", "{}", "[1]", "\xff", '["a", null]'])
def test_a_broken_file_is_told_and_set_aside(tmp_path: Path, content: str) -> None:
    file, told = tmp_path / FILE_NAME, list[Failed]()
    file.write_text(content)
    pairing = Pairing(tmp_path)
    pairing.faults.tell_to(told.append)
    assert [str(file) in fault.sentence for fault in told] == [True]
    assert file.with_name(f"{FILE_NAME}.broken-1").read_text() == content
    assert pairing.paired == 0
    token = token_of(pairing, pairing.code)
    assert Pairing(tmp_path).knows(token)


def test_a_pairing_that_cannot_be_kept_pairs_nobody(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    pairing = Pairing(blocked / "folder")
    code = pairing.code
    with pytest.raises(PageError, match="Make room"):
        pairing.pair(code)
    assert pairing.code == code
    assert pairing.paired == 0
