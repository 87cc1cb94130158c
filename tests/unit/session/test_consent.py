"""Through whole turns, typed: what a yes opens, what stays refused, what of a tip stays told."""

from pathlib import Path

import pytest

from handsfree.engine import tables
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import FUEL_OVER_LIMIT, About, Fuel, Question, Request, Surface, Told, Words

COATINGS = {
    "galvanised": Surface.GALVANISED,
    "painted": Surface.PAINTED,
    "cadmium plated": Surface.CADMIUM,
    "lead painted": Surface.LEAD_PAINT,
    "unknown coating": Surface.UNKNOWN_COATING,
}
OF_A_COATING = (
    "what about half inch plate {}",
    "what about {}",
    "how about {}",
    "no, {}",
    "I said {}",
    "make that {}",
    "same but {}",
    "and on {} half inch plate",
    "what about a W10x33 {}",
    "no, a W10x33 {}",
    "half inch plate {}",
    "settings for half inch plate {}",
    "how fast on three quarter plate {}",
)
OF_THE_SAME_STEEL = (
    "what about three quarter",
    "how about three quarter inch plate",
    "now three quarter",
    "and three quarter",
    "three quarter",
    "three quarter inch",
    "now ten gauge",
    "same for one inch",
    "same with inch",
    "no, three eighths",
    "I meant three eighths",
    "make that three eighths",
    "what about a W10x33",
    "and how fast",
    "and the oxygen",
    "and overhead",
    "what about propane",
    "no, a half inch tip",
)
OF_A_SIZE = tuple(
    form
    for form in OF_THE_SAME_STEEL
    if any(size in form for size in ("three", "inch", "gauge")) and "tip" not in form
)


@pytest.fixture(scope="module")
def one_session(tmp_path_factory: pytest.TempPathFactory) -> Session:
    return Session(Settings(tmp_path_factory.mktemp("kept")))


@pytest.fixture
def session(one_session: Session) -> Session:
    one_session.start_afresh()
    return one_session


def take(session: Session, *texts: str) -> Told:
    """The reply to the last of what is typed, one turn after the other."""
    return [session.take(Words(text)) for text in texts][-1]


def asks_of(told: Told, coating: str) -> bool:
    """Whether the reply is the question of that coating, without a figure."""
    named = dict(told.request).get("surface") == COATINGS[coating].value
    return told.kind == "question" and "yes" in told.options and not told.figures and named


@pytest.mark.parametrize("first", COATINGS)
def test_a_yes_for_one_coating_opens_no_other_and_no_other_piece(
    session: Session, first: str
) -> None:
    wrong: list[object] = []
    for form in OF_A_COATING:
        for second in COATINGS:
            session.start_afresh()
            assert take(session, f"half inch plate {first}", "yes").kind == "answer"
            told = take(session, form.format(second))
            if not asks_of(told, second) or "confirmed" in dict(told.request):
                wrong.append((form.format(second), told.kind, told.sentences))
            elif take(session, "no").figures or take(session, "and how fast").figures:
                wrong.append((form.format(second), "a no opens it", told.sentences))
    assert not wrong


@pytest.mark.parametrize("coating", COATINGS)
def test_what_goes_on_from_a_coated_piece_asks_anew(session: Session, coating: str) -> None:
    wrong: list[object] = []
    for form in OF_THE_SAME_STEEL:
        session.start_afresh()
        assert take(session, f"half inch plate {coating}", "yes").figures
        told = take(session, form)
        if not asks_of(told, coating):
            wrong.append((form, told.kind, told.sentences))
    assert not wrong


@pytest.mark.parametrize("coating", COATINGS)
def test_the_size_that_was_asked_for_is_of_the_coated_steel(session: Session, coating: str) -> None:
    assert take(session, f"half inch plate {coating}", "yes", "how fast").kind == "question"
    assert asks_of(take(session, "three quarter"), coating)


def test_what_about_clean_plate_is_clean_plate(session: Session) -> None:
    assert take(session, "half inch galvanised plate", "what about clean plate").figures


@pytest.mark.parametrize("coating", COATINGS)
def test_a_yes_to_a_coating_ends_no_watch_and_forgets_nothing(
    session: Session, coating: str
) -> None:
    if not session.pacing.times.runs:
        session.pacing.times.run(lambda: None)
    take(session, "set the fire watch", f"half inch plate {coating}", "yes")
    assert take(session, "stop the fire watch").kind == "question"
    assert session.pacing.left("fire watch") is not None
    assert take(session, "yes").kind == "answer"
    assert session.pacing.left("fire watch") is None
    assert asks_of(take(session, f"half inch plate {coating}"), coating)


# --- dangers --------------------------------------------------------------------------------------


def phrases_of_dangers(session: Session) -> dict[str, str]:
    """One phrase for each danger that words can name."""
    found: dict[str, str] = {}
    for key, groups in session.grammar.spotted:
        said = " ".join(group[0] for group in groups)
        named = session.means(said)
        if isinstance(named, Request) and named.hazards == (key,):
            found.setdefault(key, said)
    return found


def test_every_danger_stays_in_force_until_it_is_dealt_with(session: Session) -> None:
    dangers = phrases_of_dangers(session)
    assert len(dangers) > 10
    wrong: list[object] = []
    for key, said in dangers.items():
        for before in ((), ("settings for half inch plate",)):
            session.start_afresh()
            assert take(session, *before, said).kind == "refusal"
            for form in (*OF_THE_SAME_STEEL, "how fast", "settings for half inch plate"):
                told = take(session, form)
                if key == FUEL_OVER_LIMIT and "propane" in form:
                    take(session, "what about acetylene")  # a gas with a limit of its own
                    continue
                if told.kind != "refusal" or told.figures or not told.cautions:
                    wrong.append((said, form, told.kind, told.sentences))
                elif told.cautions != (tables.refusal(key).reason,):
                    wrong.append((said, form, told.cautions))
            lifted = take(session, "yes")
            if key == FUEL_OVER_LIMIT:
                if lifted.figures or take(session, "now three quarter").figures:
                    wrong.append((said, "a yes lifts the limit"))
                lifted = take(session, "acetylene at twelve on half inch plate")
            if not lifted.figures or not take(session, "now three quarter").figures:
                wrong.append((said, "is never lifted", lifted.sentences))
    assert not wrong


def test_a_no_leaves_the_danger_in_force_and_help_puts_its_question_again(
    session: Session,
) -> None:
    take(session, "can I lay the acetylene bottle on its side")
    asked = take(session, "what about half inch")
    assert asked.options == ("yes", "no")
    assert take(session, "help").options == ("yes", "no")
    assert not take(session, "no").figures
    assert take(session, "what about half inch").kind == "refusal"
    session.drop()  # nobody answered
    assert take(session, "what about half inch").kind == "refusal"


def test_what_is_dealt_with_is_read_back_and_on_record(session: Session) -> None:
    told = take(session, "can I lay the acetylene bottle on its side", "half inch plate", "yes")
    assert "cylinder lying dealt with" in told.sentences[0].lower()
    assert dict(told.request)["confirmed"] == "cylinder lying dealt with"


def test_a_danger_is_dealt_with_by_its_own_yes_only(session: Session) -> None:
    take(session, "can I lay the acetylene bottle on its side", "can I light it with a match")
    first = take(session, "half inch galvanised plate")
    second = take(session, "yes")
    third = take(session, "yes")
    assert (first.kind, second.kind, third.kind) == ("refusal", "refusal", "question")
    assert first.cautions != second.cautions
    assert asks_of(third, "galvanised")


def test_lists_of_steps_conversions_and_emergencies_are_answered_in_danger(
    session: Session,
) -> None:
    take(session, "can I lay the acetylene bottle on its side")
    for words in ("how do I light up", "how many millimetres is half an inch", "it backfired"):
        assert take(session, words).kind in ("answer", "steps"), words


OVER = ("acetylene at seventeen", "can I run the acetylene at twenty on half inch plate")


@pytest.mark.parametrize("over", OVER)
@pytest.mark.parametrize("form", [*OF_THE_SAME_STEEL, "how fast on half inch plate"])
def test_a_pressure_over_the_limit_holds_until_another_is_named(
    session: Session, over: str, form: str
) -> None:
    assert take(session, over).kind == "refusal"
    told = take(session, form)
    if "propane" in form:  # another gas has a limit of its own
        assert "explode" not in " ".join(told.sentences)
        told = take(session, "what about acetylene")
    assert told.kind == "refusal" and not told.figures
    assert "fifteen" in " ".join(told.sentences)
    assert not take(session, "yes").figures
    assert take(session, "acetylene at sixteen on half inch plate").kind == "refusal"
    assert take(session, "now three quarter").kind == "refusal"
    assert take(session, "acetylene at twelve on half inch plate").figures
    assert take(session, "now three quarter").figures


def test_a_list_of_work_is_neither_lost_nor_doubled_by_a_danger_or_a_coating(
    tmp_path: Path,
) -> None:
    session = Session(Settings(tmp_path))
    take(session, "can I lay the acetylene bottle on its side")
    assert take(session, "going up two galvanised half inch plate").kind == "refusal"
    assert take(session, "yes").kind == "question"
    told = take(session, "yes")
    assert told.kind == "answer"
    assert dict(told.request)["wanted"] == "two cuts of galvanised half inch plate"


# --- tips, and changes ----------------------------------------------------------------------------

TOLD = "how fast with a quarter inch tip on half inch plate"


@pytest.mark.parametrize(
    "form",
    [
        *OF_THE_SAME_STEEL[:-1],
        "settings for three eighths plate",
        "how fast on three eighths plate",
        "oxygen pressure for three eighths plate",
        "three eighths plate",
        "how fast",
    ],
)
def test_what_he_told_of_the_tip_stays_and_is_read_back(session: Session, form: str) -> None:
    told = take(session, TOLD, form)
    assert dict(told.request)["tip_made_for_mm"] == pytest.approx(6.35), told.sentences
    assert "tip made for quarter inch plate" in told.understood
    assert "tip made for quarter inch plate" in told.sentences[0]


@pytest.mark.parametrize("form", OF_A_SIZE)
def test_the_gas_and_the_position_stay_as_well(session: Session, form: str) -> None:
    told = dict(take(session, "half inch plate overhead on propane", form).request)
    assert told["fuel"] == Fuel.PROPANE.value
    assert told["position"] == "overhead" or "W10" in form


def test_another_tip_takes_its_place(session: Session) -> None:
    told = take(session, TOLD, "what about with a half inch tip", "now three quarter")
    assert dict(told.request)["tip_made_for_mm"] == pytest.approx(12.7)


def test_which_tip_suits_does_not_ask_of_the_tip_that_was_told(session: Session) -> None:
    assert "tip" not in dict(take(session, TOLD, "which tip for inch plate").request)


def test_the_tip_that_he_fits_takes_the_place_of_the_one_he_told(tmp_path: Path) -> None:
    session = Session(Settings(tmp_path))
    take(session, "add a number one tip made for half inch plate", "yes", TOLD)
    take(session, "put the number one tip in the torch", "yes")
    assert dict(take(session, "now three quarter").request)["tip_stamp"] == "1"
    take(session, "how fast on half inch plate on propane", "I'm on propylene today", "yes")
    assert dict(take(session, "now three quarter").request)["fuel"] == "propylene"


def test_a_tip_that_cannot_be_or_is_not_known_is_not_told(session: Session) -> None:
    assert take(session, "how fast on half inch plate with a number seven tip").kind == "question"
    take(session, "no")
    assert take(session, "how fast on half inch plate").figures


CHANGES = (
    "I've got a number one tip, it's made for half inch plate",
    "add a number one tip made for half inch plate",
    "i'm on propane today",
    "i've got a hundred feet of hose",
    "my torch shuts the oxygen first",
    "cut a propane cylinder",
    "acetylene bottle's burning",
)


@pytest.mark.parametrize("sureness", [1.0, 0.95])
@pytest.mark.parametrize("words", CHANGES)
def test_nothing_typed_or_spoken_changes_tips_or_rig_without_a_yes(
    tmp_path: Path, words: str, sureness: float
) -> None:
    settings = Settings(tmp_path)
    session = Session(settings)
    reply = session.reply(Words(words, sureness))
    assert not settings.path.exists()
    if isinstance(reply, Question) and reply.request is not None:
        changes = reply.request.about in (About.TIP_BOX, About.RIG)
        session.reply(Words("yes", sureness))
        assert settings.path.exists() == changes


def test_a_yes_to_words_that_change_nothing_opens_no_coating_and_no_danger(
    session: Session,
) -> None:
    for coating in COATINGS:
        session.start_afresh()
        left = take(session, f"half inch {coating} plate on the crane")
        assert left.kind == "question" and "crane" in " ".join(left.sentences)
        assert asks_of(take(session, "yes"), coating)
    session.start_afresh()
    take(session, "can I lay the acetylene bottle on its side", "half inch plate on the crane")
    assert take(session, "yes").kind == "refusal"


DENIALS = (
    "not {wrong}, {right}",
    "scrap the {wrong}, it's {right}",
    "{wrong} is wrong, it's {right}",
    "make it {right} instead of {wrong}",
    "forget {wrong}, {right}",
)


@pytest.mark.parametrize("form", DENIALS)
def test_a_size_said_to_be_wrong_is_put_right_where_it_was_said(
    session: Session, form: str
) -> None:
    """Half inch plate, tip for three quarter: what is denied tells which of the two is meant."""
    of_the_tip = form.format(wrong="three quarter", right="one inch")
    told = take(session, "half inch plate with a tip made for three quarter", of_the_tip)
    assert "half inch plate" in told.sentences[0].lower()
    assert "made for one inch" in told.sentences[0]
    session.start_afresh()
    of_the_plate = form.format(wrong="half inch", right="one inch")
    told = take(session, "half inch plate with a tip made for three quarter", of_the_plate)
    assert "one inch plate" in told.sentences[0].lower()
    assert "made for three quarter" in told.sentences[0]
