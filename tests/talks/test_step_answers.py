"""Every answer that a step of a list can get is understood as what it is, never its opposite."""

from collections.abc import Iterator
from functools import cache
from itertools import permutations, product

import pytest
import yaml

from handsfree.dialogue.procedure_words import can_say
from handsfree.engine import tables
from handsfree.store.resources import shipped_folder
from handsfree.understand.answers import DOUBTED, SAYS_NOTHING, Answers
from handsfree.understand.grammar import Grammar, load_grammar
from handsfree.understand.grammar_files import GrammarFiles, read_texts
from handsfree.understand.rules import (
    Choice,
    Node,
    Optional,
    Reference,
    Repeat,
    Sequence,
    Tagged,
    Word,
)
from handsfree.values import Expect, Fuel, Rig, Step, StepAnswer, StepAnswerKind, Words

FOLDER = shipped_folder("grammar")
RIGS = (Rig(), Rig(shuts_first="fuel"), Rig(shuts_first="oxygen"), Rig(fuel=Fuel.PROPANE))


@cache
def grammar() -> Grammar:
    return load_grammar(FOLDER, "answers")


@cache
def answers() -> Answers:
    return Answers(grammar())


@cache
def steps() -> tuple[tuple[str, Step], ...]:
    """Every step of every list on every rig, once, with where it stands."""
    found: dict[Step, str] = {}
    for key in tables.step_list_names():
        for rig in RIGS:
            for number, step in enumerate(tables.step_list(key, rig).steps, start=1):
                found.setdefault(step, f"{key} {number}")
    return tuple((where, step) for step, where in found.items())


def step_of(key: str, number: int) -> Step:
    return tables.step_list(key).steps[number - 1]


def read(text: str, step: Step, *others: str, sureness: float = 1.0) -> StepAnswer | None:
    return answers().of(Words(text, sureness, others), step)


@cache
def wordings() -> dict[str, tuple[str, ...]]:
    """For each sight all ways to say it, as the grammar file has them."""
    texts = read_texts(FOLDER)
    files = GrammarFiles("answers", texts)
    found: dict[str, tuple[str, ...]] = {}
    rule = files.rules["sight"]
    assert isinstance(rule, Choice)
    for option, _ in rule.options:
        tagged = option.items[0] if isinstance(option, Sequence) else option
        assert isinstance(tagged, Tagged), option
        kind = tagged.tag.partition("=")[2]
        found[kind] = tuple(dict.fromkeys(ways(tagged.item, files.rules)))
    return found


def ways(node: Node, rules: dict[str, Node]) -> Iterator[str]:
    match node:
        case Word(text):
            yield text
        case Reference(name):
            yield from ways(rules[name], rules)
        case Tagged(item=item):
            yield from ways(item, rules)
        case Optional(item):
            yield ""
            yield from ways(item, rules)
        case Choice(options):
            for option, _ in options:
                yield from ways(option, rules)
        case Sequence(items):
            said = [""]
            for item in items:
                said = [f"{first} {rest}".strip() for first in said for rest in ways(item, rules)]
            yield from said
        case Repeat():
            raise AssertionError("an answer that goes on for ever")


def test_every_sight_of_a_step_can_be_said_and_every_one_of_the_grammar_belongs_to_a_step() -> None:
    needed = {sight.kind for _, step in steps() for sight in step.sights}
    assert needed - set(wordings()) == set()
    assert set(wordings()) - needed == set()


def test_the_name_of_a_sight_is_understood_as_it_on_its_step() -> None:
    wrong = []
    for where, step in steps():
        for sight in step.sights:
            found = read(sight.kind, step)
            if found is None or found.sight != sight.kind:
                wrong.append(f"{where}: {sight.kind!r} is taken for {found}")
    assert wrong == []


def test_no_wording_of_what_is_wrong_passes_a_step_nor_the_other_way_round() -> None:
    wrong, tried = [], 0
    for where, step in steps():
        for sight in step.sights:
            for text in wordings()[sight.kind]:
                tried += 1
                found = read(text, step)
                taken = None if found is None else step.seen(found.sight)
                if taken is None or taken.right is not sight.right:
                    wrong.append(f"{where}: {text!r} is {sight.kind}, taken for {found}")
    assert tried > 3000
    assert wrong == []


def test_what_the_page_offers_to_say_is_understood() -> None:
    wrong = []
    for where, step in steps():
        for text in can_say(step):
            found = read(text, step)
            if found is None or (found.sight and step.seen(found.sight) is None):
                wrong.append(f"{where}: {text!r} is taken for {found}")
    assert wrong == []


def test_every_word_of_an_answer_has_its_sounds() -> None:
    assert grammar().unpronounced() == ()
    assert grammar().word_network().arcs


def test_the_recogniser_of_answers_stays_small() -> None:
    assert len(grammar().listens_for.ends) < 10_000


# --- what must never pass -------------------------------------------------------------------------

WEAKENED = (
    *("nearly {}", "almost {}", "not {}", "one is {}", "only one {}", "i think {}", "maybe {}"),
    *("{} but one", "{} nearly", "is it {}", "it was {} before", "never {}", "half {}"),
)


@pytest.mark.parametrize(("key", "number"), [("leak_test", 1), ("leak_test", 2), ("shutdown", 5)])
@pytest.mark.parametrize("around", WEAKENED)
def test_an_answer_that_is_weakened_or_turned_round_is_not_taken_for_it(
    key: str, number: int, around: str
) -> None:
    step = step_of(key, number)
    for sight in step.sights:
        if sight.right:
            found = read(around.format(sight.kind), step)
            seen = None if found is None else step.seen(found.sight)
            assert seen is None or not seen.right


def test_no_word_that_is_passed_over_can_turn_an_answer_round() -> None:
    turning = "no not never none nothing nobody without nearly almost but only half one still"
    assert SAYS_NOTHING.isdisjoint(turning.split())


def test_what_this_step_does_not_ask_for_never_passes_it_beside_what_it_does() -> None:
    beside = ("gone", "no gloves", "hose is burning", "no chain", "it's open")
    passed = []
    for where, step in steps():
        for sight in (each for each in step.sights if each.right):
            for other in beside:
                alone = read(other, step)
                if alone is None or step.seen(alone.sight) is not None:
                    continue
                text = f"{sight.kind} {other}"
                found = read(text, step)
                if found is not None and found.sight == sight.kind:
                    passed.append((where, text))
    assert passed == []


def test_a_feather_that_has_gone_is_no_feather() -> None:
    step = step_of("light", 4)
    for text in ("feather gone", "feather has gone"):
        found = read(text, step)
        assert found is None or found.sight != "there's a feather"


@pytest.mark.parametrize(
    "text",
    ["done", "checked", "yes", "okay", "all good", "it's fine", "that's it", "i did", "ready"],
)
def test_done_is_never_more_than_done_where_something_is_to_be_seen(text: str) -> None:
    for key, number in (("leak_test", 2), ("setup", 14), ("height_check", 2), ("light", 4)):
        found = read(text, step_of(key, number))
        assert found is not None and found.kind is StepAnswerKind.DONE


def test_nothing_of_it_is_taken_where_a_part_was_not_made_out() -> None:
    assert read("no bubbles [unk]", step_of("leak_test", 2)) is None


def test_a_request_is_no_answer() -> None:
    for text in ("what do i set for half inch plate", "how fast on one inch", "which tip"):
        for _, step in steps():
            assert read(text, step) is None


# --- numbers --------------------------------------------------------------------------------------

READ = [
    ("setup", 14, "five", 5.0),
    ("setup", 14, "gauge reads five", 5.0),
    ("setup", 14, "it reads five psi", 5.0),
    ("setup", 14, "gauge reads fifteen pounds", 15.0),
    ("setup", 14, "fifty", 50.0),
    ("setup", 14, "one bar", 14.504),
    ("setup", 14, "nothing", 0.0),
    ("setup", 14, "five and a half", 5.5),
    ("setup", 6, "half a turn", 0.5),
    ("setup", 6, "one and a half turns", 1.5),
    ("setup", 6, "a quarter", 0.25),
    ("setup", 9, "two hundred", 200.0),
    ("setup", 10, "eighteen hundred", 1800.0),
    ("purge", 3, "thirty seconds", 30.0),
    ("purge", 3, "a minute", None),
    ("hot_work_end", 1, "an hour", 60.0),
    ("hot_work_end", 1, "two hours", 120.0),
    ("hot_work_end", 1, "half an hour", 30.0),
    ("hot_work_end", 1, "fifty five minutes", 55.0),
]


@pytest.mark.parametrize(("key", "number", "text", "value"), READ)
def test_numbers_come_in_the_unit_of_the_step(
    key: str, number: int, text: str, value: float | None
) -> None:
    step = step_of(key, number)
    assert step.limit is not None
    found = read(text, step)
    if value is None:
        assert found is None
        return
    assert found is not None and found.kind is StepAnswerKind.NUMBER
    assert found.unit == step.limit.unit
    assert found.number == pytest.approx(value, abs=0.001)


def test_a_number_of_another_kind_keeps_its_own_unit() -> None:
    found = read("five turns", step_of("setup", 14))
    assert found is not None and (found.number, found.unit) == (5.0, "turns")


def test_a_rival_number_makes_an_answer_doubtful() -> None:
    step = step_of("setup", 14)
    doubted = read("fifteen", step, "fifty", sureness=0.97)
    assert doubted is not None and doubted.sureness == DOUBTED
    alone = read("fifteen", step, "fifteen psi", sureness=0.97)
    assert alone is not None and alone.sureness == 0.97


def test_a_rival_that_is_wrong_makes_a_sight_doubtful() -> None:
    step = step_of("leak_test", 2)
    doubted = read("no bubbles", step, "bubbles", sureness=0.97)
    assert doubted is not None and doubted.sureness == DOUBTED


# --- names and words that steer -------------------------------------------------------------------


def test_names_and_offices_are_taken_where_a_name_is_asked_for() -> None:
    step = step_of("hot_work_before", 1)
    assert step.expects is Expect.NAMED
    for text in ("the foreman", "bill", "it's dave", "the safety officer", "me"):
        found = read(text, step)
        assert found is not None and found.kind is StepAnswerKind.NAMED and found.text == text


def test_nobody_is_no_name() -> None:
    found = read("nobody", step_of("height_check", 2))
    assert found is not None and found.kind is StepAnswerKind.CANNOT


def test_he_himself_is_no_second_person() -> None:
    step = step_of("height_check", 2)
    for text in ("me", "it's me", "myself"):
        found = read(text, step)
        assert found is not None
        seen = step.seen(found.sight)
        assert seen is not None and not seen.right


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("i can't", StepAnswerKind.CANNOT),
        ("it won't turn", StepAnswerKind.CANNOT),
        ("skip it", StepAnswerKind.SKIP),
        ("go back", StepAnswerKind.BACK),
        ("say again", StepAnswerKind.AGAIN),
        ("where are we", StepAnswerKind.WHERE),
        ("stop the list", StepAnswerKind.STOP),
        ("go on with the list", StepAnswerKind.GO_ON),
        ("not yet", StepAnswerKind.NOT_DONE),
    ],
)
def test_words_that_steer_are_understood_on_every_step(text: str, kind: StepAnswerKind) -> None:
    for where, step in steps():
        found = read(text, step)
        assert found is not None, where
        assert found.kind is kind or step.seen(found.sight) is not None, where


def test_no_list_of_the_tables_is_left_without_a_phrase_that_starts_it() -> None:
    content = yaml.safe_load((FOLDER / "steps.yaml").read_text(encoding="utf-8"))
    told = yaml.safe_load((FOLDER / "emergencies.yaml").read_text(encoding="utf-8"))
    by_a_table = {*told["in_order"], *told["together"]}
    named = str(content["rules"])
    for key in tables.step_list_names():
        said = {"light": "lighting", "no_gauge_oxygen": "no_gauge", "no_gauge_fuel": "no_gauge"}
        assert key in by_a_table or f"steps={said.get(key, key)}" in named, key


@pytest.mark.parametrize("joint", ["", "then", "and"])
def test_of_two_sights_in_one_breath_the_wrong_one_counts(joint: str) -> None:
    """Whichever comes first, no step is passed by the one that is right."""
    passed, taken = [], 0
    for where, step in steps():
        right = [sight.kind for sight in step.sights if sight.right]
        wrong = [sight.kind for sight in step.sights if not sight.right]
        for pair in product(right, wrong):
            for first, second in permutations(pair):
                found = read(f"{first} {joint} {second}", step)
                sight = None if found is None else step.seen(found.sight)
                taken += sight is not None
                if sight is not None and sight.right:
                    passed.append(f"{where}: {first} {joint} {second}")
    assert not passed
    assert taken or joint == "and"  # "and" may add anything: nothing is taken of it
