"""What the first start makes in a process of its own is all that the helper needs, and is found."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from handsfree.app import first_start as module
from handsfree.app.attention import attention_network
from handsfree.app.first_start import Made, first_start
from handsfree.app.wiring import request_recogniser, spotter_beside, steps_recogniser
from handsfree.session.session import Session

OWN = "fitter's mate"


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache/handsfree"


def _made(cache: Path) -> list[str]:
    """Grammars and graphs; what a parser of units keeps is another's."""
    return sorted(str(path.relative_to(cache)) for path in cache.glob("gra*/*"))


@pytest.mark.long
@pytest.mark.parametrize("own", [None, OWN])
def test_the_helper_finds_all_that_was_made_and_makes_nothing_more(
    cache: Path, own: str | None
) -> None:
    told: list[tuple[Made, int]] = []
    with first_start(None, own, lambda part, done: told.append((part, done))) as first:
        first.until_grammar()
        session = Session(attention=own, leads=True)
        first.until_graphs()
    assert {part for part, _ in told} == set(Made)
    assert [done for _, done in told] == [1, 2, 3, 4, 5]
    before = _made(cache)
    assert len([name for name in before if name.startswith("graphs/")]) == 3
    recogniser = request_recogniser(session)
    spotter_beside(recogniser, session, attention_network(own))
    steps_recogniser(session.answer_sense)
    assert _made(cache) == before


def test_once_all_is_there_no_process_is_started(
    cache: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Session(leads=True)
    assert _made(cache)

    def started(*_: object, **__: object) -> None:
        raise AssertionError("it was started")

    monkeypatch.setattr(subprocess, "Popen", started)
    with first_start(None, None) as first:
        first.until_grammar()
        first.until_graphs()


@pytest.mark.parametrize("fault", ["no process", "ends at once", "hangs"])
def test_where_it_fails_the_helper_makes_it_itself(
    cache: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    start = subprocess.Popen

    def instead(command: list[str], **named: object) -> object:
        if fault == "no process":
            raise OSError(12, "Cannot allocate memory")
        does = "import time; time.sleep(60)" if fault == "hangs" else "raise SystemExit(1)"
        return start([sys.executable, "-c", does], **named)  # type: ignore[call-overload]

    monkeypatch.setattr(subprocess, "Popen", instead)
    monkeypatch.setattr(module, "PATIENCE_S", 0.5)
    began = time.monotonic()
    with first_start(None, None) as first:
        first.until_grammar()
        first.until_graphs()
    assert time.monotonic() - began < 20.0
    assert not _made(cache)
    assert Session().grammar.words()
    assert _made(cache)


@pytest.mark.parametrize("job", ["small", "large"])
def test_what_cannot_be_made_is_no_fault_of_its_own(
    cache: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, job: str
) -> None:
    (tmp_path / "no model").mkdir()
    monkeypatch.setattr(sys, "argv", ["first_start", job, str(tmp_path / "no model"), ""])
    assert module.main() == 1
    assert not list(cache.glob("graphs/*"))


@pytest.mark.parametrize("phrase", ["\ud800", "\udcff mate", "\x00"])
def test_a_phrase_that_no_process_can_be_given_is_left_to_whoever_needs_it(
    cache: Path, phrase: str
) -> None:
    with first_start(None, phrase) as first:
        first.until_grammar()
    assert not _made(cache)
