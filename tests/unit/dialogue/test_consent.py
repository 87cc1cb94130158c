"""Whatever is said in whatever order, a yes is taken once, by the request it was asked about."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.dialogue.talk import step
from handsfree.dialogue.talk_state import AnswerIt, Talk, asked, closed, refused
from handsfree.engine.answer import answer
from handsfree.values import (
    About,
    Consent,
    Fuel,
    Pick,
    Piece,
    Question,
    Refusal,
    Request,
    Rig,
    Surface,
    TipBox,
    TipOnHand,
    YesKind,
)
from handsfree.values.units import inches

PIECES = st.builds(
    Piece,
    thickness=st.none() | st.sampled_from([inches(0.25), inches(0.5), inches(1)]),
    designation=st.none() | st.just("W10X33"),
    surface=st.sampled_from(list(Surface)),
)
REQUESTS = st.builds(
    Request,
    about=st.sampled_from([About.SETTING, About.TRAVEL_SPEED, About.OXYGEN_PRESSURE, About.GAS]),
    piece=st.none() | PIECES,
    tip=st.none() | st.just(TipOnHand(made_for=(inches(0.5), inches(0.5)))),
    fuel=st.none() | st.sampled_from([Fuel.ACETYLENE, Fuel.PROPANE]),
    follows=st.booleans(),
    hazards=st.sampled_from([(), (), (), ("cylinder_lying",), ("heat_cylinder",)]),
    defaults=st.sampled_from([(), ("setting",)]),
)
SAID = st.one_of(REQUESTS, REQUESTS, st.builds(Consent, st.booleans()), st.just(Pick("same")))


@settings(deadline=None)  # the first call reads the tables
@given(st.lists(SAID, max_size=14))
def test_a_yes_is_never_inherited_and_no_coating_or_danger_passes_without_its_own(
    said: list[Request | Consent | Pick],
) -> None:
    talk = Talk()
    told: set[str] = set()  # dangers that he has named and not said to be dealt with
    for words in said:
        before, (talk, effect) = talk, step(talk, words)
        if not isinstance(effect, AnswerIt):
            continue
        request = effect.request
        if isinstance(words, Consent):
            question = before.asked
            assert words.given and question is not None and question.yes_to is not None
            assert question.request is not None
            assert request == replace(
                question.request, confirmed=(*question.request.confirmed, question.yes_to)
            )
            if question.yes_to.kind is YesKind.HAZARD_DEALT_WITH:
                told.discard(str(question.yes_to.of))
        else:
            assert request.confirmed == ()
            assert set(request.standing) == told
        told |= set(request.hazards)
        assert talk.last is None or talk.last.confirmed == ()
        reply = answer(request, Rig(), TipBox())
        if isinstance(reply, Question):
            talk = asked(talk, reply, before)
        elif isinstance(reply, Refusal):
            talk = refused(talk, reply)
        else:
            confirmed = {(yes.kind, yes.of) for yes in request.confirmed}
            assert not told - {of for kind, of in confirmed if kind is YesKind.HAZARD_DEALT_WITH}
            surface = request.piece.surface if request.piece is not None else Surface.CLEAN
            if surface not in (Surface.CLEAN, Surface.RUSTY):
                assert (YesKind.COATING, request.piece) in confirmed
        assert set(closed(talk).dangers) == told
