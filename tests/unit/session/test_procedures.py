"""Lists led through a session: walked to their ends, broken into, kept over a restart."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from handsfree.dialogue.procedure import Leading, Led, answered
from handsfree.dialogue.procedure_words import NOT_SKIPPED, OTHER_STEP
from handsfree.engine import tables
from handsfree.engine.step_answer import led_list, list_key
from handsfree.logbook.logbook import Logbook
from handsfree.logbook.writer import LogbookWriter
from handsfree.session.procedure_file import FILE_NAME, LedListFile
from handsfree.session.procedures import LedLists
from handsfree.session.session import Session
from handsfree.store.faults import Faults
from handsfree.store.resources import shipped_folder
from handsfree.store.settings import Kept, Settings
from handsfree.understand.answers import Answers
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.understand.understanding import Understanding
from handsfree.values import (
    Confirmed,
    Expect,
    Request,
    Rig,
    Step,
    StepAnswerKind,
    Taken,
    Told,
    Words,
)
from handsfree.values.record import RecordKind
from handsfree.wording.ear import for_the_ear

START = {
    "setup": "walk me through setting up the rig",
    "cylinder_change": "walk me through changing a cylinder",
    "leak_test": "walk me through a leak test",
    "purge": "walk me through purging the hoses",
    "light": "walk me through lighting up",
    "neutral": "neutral flame",
    "pressures": "walk me through setting pressures",
    "start_cut": "walk me through starting a cut",
    "shutdown": "walk me through shutting down",
    "end_of_shift": "end of shift",
    "tip_cleaning": "cleaning the tip",
    "backfire": "it backfired",
    "flashback": "flashback",
    "leak": "i smell gas",
    "fire": "we've got a fire",
    "burning_person": "i'm on fire",
    "burning_cylinder": "cylinder's on fire",
    "height_check": "height check",
    "hot_work_before": "hot work check",
    "hot_work_during": "hot work check during",
    "hot_work_after": "hot work check after",
    "hot_work_end": "final fire check",
    "no_gauge": "the gauge is dead",
    "no_gauge_oxygen": "my oxygen gauge is dead",
    "no_gauge_fuel": "my acetylene gauge is dead",
}
STARTED = 1_700_000_000.0


class Shift:
    """A session over a folder, with a clock of its own; it can be ended and begun again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.now = STARTED
        self.faults: list[str] = []
        self.begin()

    def begin(self) -> None:
        self.session = Session(
            Settings(self.folder),
            logbook=Logbook(self.folder / "logbook.sqlite"),
            wall=lambda: self.now,
            leads=True,
        )
        self.session.faults.tell_to(lambda fault: self.faults.append(fault.sentence))
        assert self.session.lists is not None
        self.lists = self.session.lists

    def __call__(self, words: str, sureness: float = 1.0) -> Taken:
        return self.session.turn(Words(words, sureness))

    @property
    def at(self) -> tuple[str, int] | None:
        return None if self.lists.led is None else (self.lists.led.key, self.lists.led.number)

    @property
    def record(self) -> list[tuple[str, str]]:
        entries = Logbook(self.folder / "logbook.sqlite").entries()
        return [(entry.kind, entry.understood) for entry in entries]


@pytest.fixture
def shift(tmp_path: Path) -> Iterator[Shift]:
    yield Shift(tmp_path)


def right(step: Step) -> str:
    """Something that passes a step."""
    match step.expects:
        case Expect.SEEN:  # one after which this list goes on, where there is one
            seen = [sight for sight in step.sights if sight.right]
            return min(seen, key=lambda sight: bool(sight.goes_to)).kind
        case Expect.NUMBER:
            assert step.limit is not None
            low = step.limit.low or 0.0
            high = low if step.limit.high is None else step.limit.high
            return {0.2: "half", 0.1: "a quarter"}.get(low, f"{min(low + 4, high):g}")
        case Expect.NAMED:
            return "the foreman"
        case Expect.DONE:
            return "done"


class Walk:
    """A list that is led without a session around it: what is no answer is not understood."""

    def __init__(self, folder: Path, key: str) -> None:
        self.now = STARTED
        self.logbook = Logbook(folder / "logbook.sqlite")
        self.lists = LedLists(
            _answers(),
            LedListFile(folder, tables.step_list),
            Kept,
            LogbookWriter(self.logbook),
            lambda timing: None,
            Faults(),
            wall=lambda: self.now,
        )
        self.key = key
        self.told = self.lists.begin(Words(START[key]), key)

    def __call__(self, words: str) -> Told:
        nothing = Told("not_understood", words, 1.0, "", "", (), ())
        taken = self.lists.turn(Words(words), False, lambda: Taken(nothing, None, False))
        self.told = taken.told
        return self.told

    def wait(self, step: Step) -> None:
        self.now += 60.0 * step.starts.minutes if step.starts and step.starts.waits else 0.0

    @property
    def at(self) -> tuple[str, int] | None:
        return None if self.lists.led is None else (self.lists.led.key, self.lists.led.number)

    @property
    def passed(self) -> int:
        """How many steps are confirmed on the disk."""
        return [entry.kind for entry in self.logbook.entries()].count(RecordKind.STEP)


@cache
def _reader() -> Answers:
    return Answers(_answers())


@cache
def _answers() -> Grammar:
    return load_grammar(shipped_folder("grammar"), "answers")


@cache
def _requests() -> Understanding:
    return Understanding(load_grammar(shipped_folder("grammar")))


def test_every_list_has_words_that_start_it() -> None:
    assert set(START) == set(tables.step_list_names())
    for key, words in START.items():
        request = _requests().request(Words(words))
        assert isinstance(request, Request) and list_key(request) == key, words


@pytest.mark.parametrize("key", START)
def test_a_list_is_walked_to_its_end_and_every_step_is_on_record_before_the_next(
    key: str, tmp_path: Path
) -> None:
    walk = Walk(tmp_path, key)
    for number, step in enumerate(tables.step_list(key).steps, start=1):
        assert walk.at == (key, number)
        assert walk.told.led is not None and walk.told.led.say == step.say
        walk.wait(step)
        walk(right(step))
        assert walk.passed == number
    kinds = [entry.kind for entry in walk.logbook.entries()]
    assert RecordKind.LIST_DONE in kinds and RecordKind.NOT_PASSED not in kinds


def said_at(key: str, number: int, words: str) -> tuple[Led | None, Step]:
    """What comes of words at a step of a list; None where they are no answer. Nothing is kept."""
    steps = tables.step_list(key)
    leading = Leading(steps, "1", at=number - 1)
    answer = _reader().of(Words(words), leading.step)
    if answer is None:
        return None, leading.step
    led = answered(leading, answer, STARTED, tables.step_list, lambda: "2")
    return led, leading.step


@pytest.mark.parametrize("key", START)
def test_nothing_but_what_was_asked_passes_a_safety_step(key: str) -> None:
    for number, step in enumerate(tables.step_list(key).steps, start=1):
        wrong = [sight.kind for sight in step.sights if not sight.right]
        plain = ("done", "yes", "checked", "skip it", "go on", "next step", "no", "i can't")
        for words in (*wrong, *(plain if step.safety else ()), "ninety nine thousand psi"):
            led, _ = said_at(key, number, words)
            if led is None:
                continue
            records = [each for each in led.records if isinstance(each, Confirmed)]
            assert not any(each.right for each in records), (number, words)
            assert led.sentences and led.leading is not None, (number, words)
            stays = led.leading.list.key == key and led.leading.at == number - 1
            put_aside = led.leading.aside and led.leading.aside[0].at == number - 1
            assert stays or put_aside, (number, words)


@pytest.mark.parametrize("key", START)
def test_what_is_wrong_says_what_to_do(key: str) -> None:
    for number, step in enumerate(tables.step_list(key).steps, start=1):
        for sight in step.sights:
            if not sight.right:
                led, _ = said_at(key, number, sight.kind)
                assert led is not None and led.sentences[0] == sight.reply
        led, _ = said_at(key, number, "i can't")
        assert led is not None and led.sentences[0] == step.cannot


@pytest.mark.parametrize("key", START)
def test_every_list_defers_to_permit_employer_and_local_code(key: str) -> None:
    steps = led_list(key, Rig())
    told = steps.ends if steps.emergency else steps.cautions[-1]
    assert told.endswith("come first.")
    assert all(name in told.lower() for name in ("permit", "employer", "local code"))


def test_the_cautions_that_a_list_begins_with_are_told_apart_for_the_page(shift: Shift) -> None:
    told = shift(START["light"]).told
    assert told.cautions == led_list("light", Rig()).cautions
    assert all(for_the_ear(caution) in told.sentences for caution in told.cautions)
    assert shift("goggles and gloves").told.cautions == ()
    assert shift("flashback").told.cautions == ()  # nothing stands beside what is to be done now


def test_what_to_say_of_a_list_put_aside_is_shown_once(shift: Shift) -> None:
    for words in (START["light"], "flashback", "stop the list"):
        told = shift(words).told
    assert " ".join(told.technique).count("Say go on, or stop the list.") == 1


def test_a_request_in_between_is_answered_and_the_step_is_put_again(shift: Shift) -> None:
    shift(START["leak_test"])
    taken = shift("how fast on half inch plate")
    assert taken.leads and taken.told.figures
    step = tables.step_list("leak_test").steps[0]
    assert taken.told.sentences[-2:] == (step.say, step.ask)
    assert shift.at == ("leak_test", 1)


@pytest.mark.parametrize(
    ("key", "said", "came_to"),
    [
        ("flashback", "gauge reads five", "5"),
        ("flashback", "five psi", "5 psi"),
        ("flashback", "a hundred pounds", "100 psi"),
        ("light", "flame is neutral", "flame is neutral"),
        ("light", "both shut off", None),
        ("leak_test", "next to me", None),
        ("leak_test", "acetylene", None),
        ("flashback", "fire is out", None),
        ("setup", "fire's out", None),
        ("light", "no fire", None),
    ],
)
@pytest.mark.parametrize("sureness", [1.0, 0.7])
def test_an_answer_to_another_step_does_not_fit_and_never_becomes_a_request(
    shift: Shift, key: str, said: str, came_to: str | None, sureness: float
) -> None:
    shift(START[key])
    step = tables.step_list(key).steps[0]
    assert _reader().of(Words(said), step) is not None, "it is an answer to some step"
    taken = shift(said, sureness)
    assert taken.told.sentences[:2] == (OTHER_STEP, for_the_ear(step.say))
    assert not taken.told.figures and not taken.asks and taken.leads
    assert shift.at == (key, 1)
    kind, understood = shift.record[-1]
    assert kind == RecordKind.NOT_PASSED
    assert came_to in (None, understood)


@pytest.mark.parametrize(
    "said", ["is the valve shut", "what is five gauge", "fitter's mate acetylene", "which tip"]
)
def test_words_that_ask_are_a_request_in_any_step(shift: Shift, said: str) -> None:
    shift(START["leak_test"])
    told = shift(said).told
    assert OTHER_STEP not in told.sentences and not told.heard.startswith("next")
    assert (RecordKind.NOT_PASSED, said) not in shift.record


@pytest.mark.parametrize(
    ("said", "begins"),
    [("it's on fire", "fire"), ("it popped", "backfire"), ("it's leaking", "leak")],
)
def test_words_of_a_danger_go_before_a_step_that_does_not_ask_for_them(
    shift: Shift, said: str, begins: str
) -> None:
    shift(START["setup"])
    assert tables.step_list("setup").steps[0].seen(said) is None
    shift(said)
    assert shift.at == (begins, 1)


def test_an_unsafe_state_is_refused_where_the_step_asks_for_something_else(shift: Shift) -> None:
    shift(START["leak_test"])
    assert shift("no goggles").told.kind == "refusal"


def test_a_question_in_between_waits_for_its_answer_before_the_step_does(shift: Shift) -> None:
    shift(START["leak_test"])
    asked = shift("i've got a number one tip made for half inch plate", sureness=0.97)
    assert asked.asks and asked.told.kind == "question"
    kept = shift("yes")
    assert not kept.asks and kept.leads
    assert kept.told.sentences[-1] == tables.step_list("leak_test").steps[0].ask
    assert shift.session.kept.box.tips


def test_an_emergency_breaks_into_a_list_and_the_list_is_offered_after(shift: Shift) -> None:
    shift(START["light"])
    shift("goggles and gloves")
    taken = shift("it's burning back", sureness=0.5)
    assert taken.told.sentences[0] == tables.step_list("flashback").steps[0].say
    assert shift.at == ("flashback", 1)
    for step in tables.step_list("flashback").steps:
        taken = shift(right(step))
    assert taken.told.sentences[-1].startswith("Lighting was put aside.")
    shift("go on")
    assert shift.at == ("light", 2)
    kinds = [kind for kind, _ in shift.record]
    aside, begun = kinds.index(RecordKind.LIST_ASIDE), kinds.index(RecordKind.ALARM)
    assert aside < begun and RecordKind.LIST_TAKEN_UP in kinds


def test_a_restart_offers_the_list_at_the_step_that_was_not_confirmed(shift: Shift) -> None:
    shift(START["leak_test"])
    shift("both shut")
    shift.begin()
    left = shift.lists.left_open()
    assert left is not None and "step two of four" in left.sentences[0]
    assert shift.at == ("leak_test", 2)
    assert shift("no bubbles").told.led is not None
    assert shift.at == ("leak_test", 2), "it was offered, not yet taken up"
    shift("go on")
    assert shift("no bubbles").leads and shift.at == ("leak_test", 3)


def test_a_restart_remembers_what_was_put_aside(shift: Shift) -> None:
    shift(START["leak_test"])
    shift("flashback")
    shift.begin()
    shift("go on")
    assert shift.at == ("flashback", 1)
    for step in tables.step_list("flashback").steps:
        taken = shift(right(step))
    assert taken.told.sentences[-1].startswith("Leak test was put aside.")


def test_no_file_is_left_once_no_list_is_led(shift: Shift, tmp_path: Path) -> None:
    shift(START["tip_cleaning"])
    assert (tmp_path / FILE_NAME).exists()
    shift("stop the list")
    assert not (tmp_path / FILE_NAME).exists()
    shift.begin()
    assert shift.lists.left_open() is None


def test_a_file_that_makes_no_sense_is_told_and_set_aside(tmp_path: Path) -> None:
    path = tmp_path / FILE_NAME
    path.write_text("- list: dancing\n", encoding="utf-8")
    shift = Shift(tmp_path)
    assert len(shift.faults) == 1 and FILE_NAME in shift.faults[0]
    assert shift.at is None and not path.exists()
    assert path.with_name(f"{FILE_NAME}.broken-1").read_text() == "- list: dancing\n"


def test_steps_that_have_changed_since_begin_at_the_first_one_not_confirmed(
    tmp_path: Path,
) -> None:
    file = LedListFile(tmp_path, tables.step_list)
    first = tables.step_list("leak_test").steps[0].say
    file.path.write_text(
        f"- {{list: leak_test, run: '1', step: Gone., confirmed: ['{first}']}}\n", encoding="utf-8"
    )
    found = file.read()
    assert found is not None and (found.at, found.confirmed) == (1, frozenset({0}))


def test_a_folder_in_the_place_of_the_file_is_told_and_costs_nothing(
    shift: Shift, tmp_path: Path
) -> None:
    shift(START["leak_test"])
    (tmp_path / FILE_NAME).unlink()
    (tmp_path / FILE_NAME).mkdir()
    taken = shift("both shut")
    assert taken.leads and shift.at == ("leak_test", 2)
    assert shift.faults and FILE_NAME in shift.faults[-1]


def test_a_doubtful_number_is_read_back_both_ways_before_it_counts(shift: Shift) -> None:
    shift(START["purge"])
    shift("in the open")
    shift("gas is heard")
    said = shift("fifteen", sureness=0.6).told.sentences
    assert said == ("Did you say fifteen, one five, seconds? Say it again.",)
    assert shift.at == ("purge", 3)
    assert shift("fifteen", sureness=0.6).told.sentences[0] == "Fifteen, one five, seconds."


def test_a_name_that_is_none_of_the_known_ones_is_asked_about_once(shift: Shift) -> None:
    shift(START["hot_work_before"])
    assert shift("esmeralda quint").told.sentences[0].startswith("Did you say esmeralda quint?")
    assert shift.at == ("hot_work_before", 1)
    shift("yes")
    assert shift.at == ("hot_work_before", 2)
    assert (RecordKind.STEP, "esmeralda quint") in shift.record


def test_acetylene_over_its_limit_stops_at_once_and_is_an_alarm_on_record(shift: Shift) -> None:
    shift(START["pressures"])
    shift("both loose")
    told = shift("twenty").told
    assert told.sentences[0].startswith("Back the screw out at once.")
    assert told.led is not None and told.led.alarm
    again = shift("say again").told.led
    assert again == replace(told.led, alarm=False), "it sounds once"
    assert shift.at == ("pressures", 2)
    assert RecordKind.ALARM in [kind for kind, _ in shift.record]


def test_the_fire_watch_runs_once_somebody_has_it(shift: Shift) -> None:
    shift(START["hot_work_after"])
    shift("both shut")
    shift("no smoke")
    assert shift.session.pacing.left("fire watch") is None
    shift("bill")
    left = shift.session.pacing.left("fire watch")
    assert left is not None and left == pytest.approx(3600.0, abs=30.0)


def test_a_torch_that_shuts_oxygen_first_is_shut_so_and_asked_no_more(shift: Shift) -> None:
    said = shift(START["shutdown"]).told.sentences
    assert any("disagree" in sentence for sentence in said)
    shift("stop the list")
    shift("my torch shuts oxygen first")
    shift("yes")
    assert shift.session.kept.rig.shuts_first == "oxygen"
    said = shift(START["shutdown"]).told.sentences
    assert not any("disagree" in sentence for sentence in said)
    assert any("oxygen valve" in sentence for sentence in said)
    assert tables.step_list("shutdown", Rig(shuts_first="oxygen")).steps[0].say in said


def test_a_safety_step_is_not_skipped_and_the_wish_is_on_record(shift: Shift) -> None:
    shift(START["leak_test"])
    assert shift("skip it").told.sentences[0] == NOT_SKIPPED
    assert (RecordKind.NOT_PASSED, "skip") in shift.record


def test_a_list_that_is_offered_gives_way_to_another_request(shift: Shift) -> None:
    shift(START["tip_cleaning"])
    shift("stop the list")
    shift(START["backfire"])
    for step in tables.step_list("backfire").steps:
        shift(right(step))
    assert shift.at == ("light", 1), "it goes on with lighting, when he says so"
    taken = shift("what do i set for half inch plate")
    assert not taken.leads and shift.lists.led is None
    assert StepAnswerKind.GO_ON.value not in " ".join(taken.told.sentences)


def test_a_session_that_leads_no_lists_says_a_list_as_a_whole(tmp_path: Path) -> None:
    session = Session(Settings(tmp_path))
    taken = session.turn(Words(START["leak_test"]))
    assert taken.told.kind == "steps" and not taken.leads
    assert all(step.say in taken.told.technique for step in tables.step_list("leak_test").steps)
    assert not (tmp_path / FILE_NAME).exists()
