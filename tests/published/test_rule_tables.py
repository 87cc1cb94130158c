"""Rules, shades, cut quality and preheat against second transcriptions, and their keys."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import yaml

from handsfree.engine import tables
from handsfree.values import Expect, Fuel, Rig, Status, Step
from handsfree.values.steps import EMERGENCIES
from handsfree.values.units import inches, millimetres

Typed = Callable[[str], list[dict[str, str]]]
HERE = Path(__file__).parent
HAZARDS = {
    "fuel_over_limit",
    "light_with_match",
    "oxygen_as_air",
    "oxygen_in_confined_space",
    "oil_on_oxygen",
    "cylinder_lying",
    "cylinder_in_tank",
    "container_not_cleaned",
    "skip_fire_watch",
    "flame_leak_test",
    "no_regulator",
    "no_flashback_protection",
    "no_eye_protection",
    "heat_cylinder",
    "no_permit",
    "tamper_cylinder",
    "unattended",
    "closed_container",
    "cut_cylinder",
    "load_on_piece",
    "people_below",
    "pressure_inside",
    "contents_inside",
    "near_cylinder",
    "near_fuel",
    "combustibles_near",
    "confined_space",
    "wet",
    "alone",
    "near_electric",
    "wrong_gas_gear",
    "stainless_steel",
    "aluminium",
    "copper_alloy",
    "cast_iron",
    "titanium",
    "nickel_alloy",
    "lead",
    "zinc",
    "magnesium",
    "unknown_metal",
    "galvanised",
    "cadmium",
    "lead_paint",
    "unknown_coating",
    "thickness_outside_table",
    "sheet_too_thin",
    "round_wall_too_thin",
    "tip_outside_model",
    "concrete_behind",
}


def test_quotes_of_the_rules_are_exact() -> None:
    typed = yaml.safe_load((HERE / "quotes.yaml").read_text(encoding="utf-8"))
    wrong = {key: tables.duty(key).quote for key in typed if tables.duty(key).quote != typed[key]}
    assert wrong == {}


def test_a_duty_has_a_quote_or_our_words_and_a_citation() -> None:
    for key in tables.duty_keys():
        found = tables.duty(key)
        assert bool(found.quote) != bool(found.text), key
        assert found.cite, key


def test_filter_shades_are_those_of_the_rule(typed_again: Typed) -> None:
    """29 CFR 1910.133(a)(5), oxygen cutting; 8 CCR 3382 Table EP-1."""
    typed = [
        (row["work"], int(row["minimum"]), tuple(int(end) for end in row["usual"].split("-")))
        for row in typed_again("filter_shades")
    ]
    assert [(row.work, row.minimum, row.usual) for row in tables.filter_shades()] == typed
    asked = [0.999, 1, 6, 6.001, 40]
    shades = [tables.filter_shade(inches(plate)) for plate in asked]
    assert [shade and shade.minimum for shade in shades] == [3, 4, 4, 5, 5]
    assert tables.filter_shade(inches(0)) is None


def test_cut_quality_follows_the_formulas_of_the_standard(typed_again: Typed) -> None:
    """ISO 9013:2017, u and Rz5 by thickness."""
    wrong = []
    for row in typed_again("iso9013_quality"):
        for thickness in (3.0, 20.0, 300.0):
            found = tables.iso9013(millimetres(thickness), int(row["range"]))
            assert found is not None
            for formula, value, unit in (
                (row["u"], found.squareness, "mm"),
                (row["rz5"], found.roughness, "um"),
            ):
                if not formula:
                    expected = None
                else:
                    constant, share = formula.removesuffix("a").split("+")
                    expected = pytest.approx(float(constant) + float(share) * thickness, rel=1e-9)
                got = None if value is None else float(value.m_as(unit))
                if got != expected:
                    wrong.append(f"range {row['range']} at {thickness} mm: {got}, {formula}")
    assert wrong == []
    assert tables.iso9013(millimetres(2.9), 1) is None
    assert tables.iso9013(millimetres(301), 1) is None
    assert tables.iso9013(millimetres(20), 6) is None


def test_limit_deviations_are_those_of_the_standard(typed_again: Typed) -> None:
    """ISO 9013:2017, tolerance class 1; a blank cell has no class."""
    wrong = []
    for row in typed_again("iso9013_class1"):
        over, to = float(row["a_over_mm"]), float(row["a_to_mm"])
        for column, text in row.items():
            if not column[0].isdigit():
                continue
            low, high = (float(end) for end in column.split("-"))
            inside = (over + to) / 2, (low + high) / 2
            for thickness, dimension in (inside, (to, high)):
                found = tables.iso9013_deviation(millimetres(thickness), millimetres(dimension))
                got = None if found is None else float(found.value.m_as("mm"))
                if got != (float(text) if text else None):
                    wrong.append(f"{thickness} mm, {dimension} mm: {got}, typed again {text}")
    assert wrong == []
    assert tables.iso9013_deviation(millimetres(301), millimetres(500)) is None


def test_preheat_floor_agrees_with_its_second_transcription(typed_again: Typed) -> None:
    """US Army Corps TI 809-26 Table 3-1 for A and B; C from memory."""
    plates = {"1/8 to 3/4 in": 0.75, "over 3/4 to 1-1/2 in": 1.5, "over 1-1/2 to 2-1/2 in": 2.5}
    for row in typed_again("preheat_floor"):
        for column, text in row.items():
            if column == "category":
                continue
            found = tables.preheat_floor(row["category"], inches(plates.get(column, 2.51)))
            assert found is not None
            assert found.value.m_as("degF") == float(text), f"{row['category']} {column}"
            expected = Status.MEMORY if row["category"] == "C" else Status.READ
            assert found.status is expected
    assert tables.preheat_floor("A", inches(0.1)) is None
    assert tables.preheat_floor("D", inches(1)) is None


def test_carbon_equivalent_of_a_usual_steel() -> None:
    """The formula of the International Institute of Welding, worked by hand."""
    steel = {"carbon": 0.18, "manganese": 1.2, "chromium": 0.1, "nickel": 0.15, "copper": 0.3}
    iiw, d1_1, pcm = tables.carbon_equivalents()
    assert iiw.of(steel) == pytest.approx(0.18 + 0.2 + 0.02 + 0.03)
    assert d1_1.of({**steel, "silicon": 0.3}) == pytest.approx(0.43 + 0.05)
    assert pcm.of({"carbon": 0.1, "boron": 0.001}) == pytest.approx(0.105)
    with pytest.raises(KeyError, match="helium"):
        iiw.of({"helium": 1.0})


def test_every_hazard_has_its_refusal_and_no_other() -> None:
    assert set(tables.refusal_keys()) == HAZARDS


def test_refusals_are_short_enough_to_be_read_aloud() -> None:
    for key in tables.refusal_keys():
        found = tables.refusal(key)
        assert len(found.reason.split()) <= 18, key
        assert found.reason.count(".") - found.reason.count("0.") == 1, key
        assert 1 <= len(found.instead) <= 3, key
        assert all(sentence.endswith(".") for sentence in (found.reason, *found.instead)), key


def test_a_rule_that_a_refusal_names_belongs_to_its_source() -> None:
    """Its number, or that of its chapter, appears in the citation of the source."""
    wrong = []
    for key in tables.refusal_keys():
        found = tables.refusal(key)
        if not found.rule:
            continue
        citation = tables.source(found.source).citation
        numbers = re.findall(r"\d{2,4}(?:[.-]\d+)*", found.rule)
        numbers += [number.rsplit("-", 1)[0] for number in numbers if number.count("-") == 2]
        if not any(number in citation for number in numbers):
            wrong.append(f"{key}: {found.rule} against {citation}")
    assert wrong == []


RIGS = (
    Rig(),
    Rig(shuts_first="fuel"),
    Rig(shuts_first="oxygen"),
    Rig(fuel=Fuel.PROPANE),
)


def led() -> Iterator[tuple[str, int, Step]]:
    """Every step of every list on every rig: the list's key, the step's number, the step."""
    for key in tables.step_list_names():
        for rig in RIGS:
            for number, step in enumerate(tables.step_list(key, rig).steps, start=1):
                yield key, number, step


def test_there_is_a_list_for_all_that_is_led() -> None:
    assert set(tables.step_list_names()) == {
        *("setup", "cylinder_change", "leak_test", "purge", "light", "neutral", "pressures"),
        *("start_cut", "shutdown", "end_of_shift", "tip_cleaning"),
        *("backfire", "flashback", "leak", "fire"),
        *("burning_person", "burning_cylinder"),
        *("height_check", "hot_work_before", "hot_work_during", "hot_work_after", "hot_work_end"),
        *("no_gauge", "no_gauge_oxygen", "no_gauge_fuel"),
    }
    assert set(tables.emergency_lists()) == {
        *("backfire", "flashback", "leak", "fire"),
        *("burning_person", "burning_cylinder"),
    }


def test_every_step_is_short_and_says_what_to_do_when_it_cannot_be_done() -> None:
    wrong = []
    for key, number, step in led():
        if len(step.say.split()) > 17 or len(step.ask.split()) > 13:
            wrong.append(f"{key} {number}: too long for one breath")
        if not step.cannot:
            wrong.append(f"{key} {number}: nothing is said to who cannot")
        if not step.ask.endswith(("?", ".")) or not step.say.endswith("."):
            wrong.append(f"{key} {number}: no sentence")
    assert wrong == []


def test_no_safety_step_is_passed_by_the_word_done() -> None:
    assert [key for key, _, step in led() if step.safety and step.expects is Expect.DONE] == []
    assert [step.say for _, _, step in led() if not step.safety]  # there are a few that may be


def test_no_acetylene_gauge_may_read_more_than_fifteen_pounds_and_more_is_an_alarm() -> None:
    read = [s for _, _, s in led() if s.limit and "acetylene" in s.limit.measures]
    assert len(read) > 3
    for step in read:
        limit = step.limit
        assert limit is not None and limit.unit == "psi"
        assert limit.high == 15 and limit.alarm_high
        assert step.source == "cfr_1910_253"
        assert "Back the screw out at once" in limit.too_high


def test_no_fuel_cylinder_valve_may_be_open_more_than_one_and_a_half_turns() -> None:
    limits = [s.limit for _, _, s in led() if s.limit and "fuel cylinder valve" in s.limit.measures]
    assert limits and all(limit.high == 1.5 and limit.unit == "turns" for limit in limits)


def test_a_flashback_begins_with_the_oxygen_and_does_not_hedge() -> None:
    for rig in RIGS:
        steps = tables.step_list("flashback", rig).steps
        assert "oxygen valve shut" in steps[0].say
        assert "fuel valve shut" in steps[1].say
        assert not any("disagree" in step.say for step in steps)


def test_lighting_goes_fuel_then_flame_then_oxygen() -> None:
    said = [step.say for step in tables.step_list("light").steps]
    fuel = next(at for at, say in enumerate(said) if "fuel valve and light it" in say)
    oxygen = next(at for at, say in enumerate(said) if "preheat oxygen" in say)
    assert fuel < oxygen


def test_the_order_of_shutting_down_is_the_torchs_own_and_is_told_to_be_disputed_once() -> None:
    fuel = tables.step_list("shutdown", Rig(shuts_first="fuel")).steps
    oxygen = tables.step_list("shutdown", Rig(shuts_first="oxygen")).steps
    unset = tables.step_list("shutdown").steps
    assert ["fuel" in step.say for step in fuel[:2]] == [True, False]
    assert ["oxygen" in step.say for step in oxygen[:2]] == [True, False]
    assert sum("disagree" in step.say for step in unset) == 1
    assert not any("disagree" in step.say for step in (*fuel, *oxygen))


def test_a_dead_gauge_is_replaced_first_by_the_rules_own_words() -> None:
    rule = tables.duty("gauges_working")
    for key in ("no_gauge", "no_gauge_oxygen", "no_gauge_fuel"):
        assert tables.step_list(key).cautions[0] == f"{rule.cite}: {rule.quote}"
        assert "eplace" in tables.step_list(key).steps[0].say
    for key in ("no_gauge_oxygen", "no_gauge_fuel"):
        first = tables.step_list(key).steps[0]
        assert first.source == "cfr_1926_350"
        refused = first.seen("not permitted")
        assert refused is not None and not refused.right and "do not cut" in refused.reply


def test_the_fire_watch_of_a_list_is_the_longest_that_applies_to_steel() -> None:
    watches = {
        step.starts.minutes
        for _, _, step in led()
        if step.starts and step.starts.name == "fire watch"
    }
    assert watches == {60.0}


def test_lists_branch_only_to_lists_that_are_there() -> None:
    known = set(tables.step_list_names()) | {""}
    for _, _, step in led():
        assert step.cannot_to in known
        assert {sight.goes_to for sight in step.sights} <= known


def test_sources_that_give_an_order_of_valves_agree_where_we_say_so() -> None:
    orders = tables.valve_orders()
    for order in orders:
        words = order.order.lower()
        if order.action == "light":
            assert words.startswith(("fuel", "acetylene"))
        if order.action == "flashback":
            assert "oxygen" in words.split(",")[0]
    shut = [order.order.lower() for order in orders if order.action == "normal shut-down"]
    assert any(words.startswith(("fuel", "fuel (acetylene)")) for words in shut)
    assert any(words.startswith("oxygen") for words in shut)


def test_longest_fire_watch_and_upright_wait_come_first() -> None:
    assert [found.value.m_as("min") for _, found in tables.fire_watches()][:2] == [120, 60]
    assert tables.upright_waits()[0][1].value.m_as("hour") == 2
    flows = [found for _, found in tables.acetylene_draws()]
    assert flows[0].value.m_as("cfh") == 50


def test_the_lists_that_begin_at_once_are_those_of_the_table() -> None:
    assert sorted(tables.emergency_lists()) == sorted(EMERGENCIES)
