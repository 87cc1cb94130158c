"""Pairing: a code works once, guessing gets nowhere, and what is kept lets nobody in."""

import json
import stat
from pathlib import Path

import pytest

from handsfree.errors import PageError
from handsfree.tell.page_pairing import FILE_NAME, REST_S, TRIES, Pairing
from handsfree.values import Failed


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def wrong(pairing: Pairing) -> str:
    return f"{(int(pairing.code) + 1) % 10**6:06d}"


def token_of(pairing: Pairing, code: str) -> str:
    token = pairing.pair(code)
    assert token is not None
    return token


@pytest.mark.parametrize("which", ["code", "key"])
def test_a_code_pairs_one_device_and_then_no_other(which: str) -> None:
    pairing = Pairing()
    code = getattr(pairing, which)
    token = token_of(pairing, code)
    assert pairing.knows(token)
    assert pairing.pair(code) is None
    assert (pairing.code, pairing.key) != (code, code)


def test_using_the_typed_code_spends_the_one_in_the_picture_too() -> None:
    pairing = Pairing()
    key = pairing.key
    token_of(pairing, pairing.code)
    assert pairing.pair(key) is None


def test_a_code_is_taken_as_people_type_it() -> None:
    pairing = Pairing()
    code = pairing.code
    assert pairing.pair(f" {code[:3]} {code[3:]} ") is not None


def test_guessing_is_stopped_and_every_guess_so_far_was_in_vain() -> None:
    clock = Clock()
    pairing = Pairing(clock=clock)
    first = pairing.code
    for _ in range(TRIES):
        assert pairing.pair(wrong(pairing)) is None
    assert pairing.code != first or pairing.pair(first) is None
    assert pairing.pair(pairing.code) is None  # even the right one: pairing rests
    clock.now += REST_S
    assert pairing.pair(pairing.code) is not None


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
