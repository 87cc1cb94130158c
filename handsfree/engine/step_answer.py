"""A step list that is asked for becomes an answer with every step in order, written out."""

from dataclasses import replace

from handsfree.engine import advice, tables
from handsfree.values import Answer, Question, Request, Rig, Step, StepList
from handsfree.values.reply import Asks

# The step lists as the grammar calls them, where the table has another name.
STEP_NAMES = {"lighting": "light", "starting": "start_cut"}
DEAD_GAUGE = "no_gauge"


def answer_steps(request: Request, rig: Rig) -> Answer | Question:
    """The list that is asked for; the question which one, where it is none of them.

    >>> from handsfree.values import About
    >>> answer_steps(Request(About.STEPS, steps="flashback"), Rig()).steps[0]
    'Torch oxygen valve shut, now.'
    """
    key = list_key(request)
    names = tables.step_list_names()
    if key not in names:
        titles = tuple(tables.step_list(name).title.lower() for name in names)
        return Question(request, Asks.STEPS, "Which steps do you want?", titles)
    found = tables.step_list(key, rig)
    steps = _written_out(key, rig)
    sources = [step.source for step in steps]
    return Answer(
        request,
        technique=(*((found.opens,) if found.opens else ()), *found.cautions[1:]),
        cautions=(*found.cautions[:1], *advice.sentences("defer")),
        notes=(found.ends,) if found.ends and key.startswith(DEAD_GAUGE) else (),
        steps=tuple(step.say for step in steps),
        sources=tuple(dict.fromkeys((*sources, *advice.sources("defer")))),
        list_key=key,
    )


def led_list(key: str, rig: Rig) -> StepList:
    """A list as it is led: what comes before it (permit, employer, local code) is part of it.

    An emergency says that when it is over.

    >>> led_list("light", Rig()).cautions[-1]
    'Your permit, your employer and the local code come first.'
    """
    found = tables.step_list(key, rig)
    defer = advice.sentences("defer")
    if found.emergency:
        return replace(found, ends=" ".join((found.ends, *defer)))
    if any(sentence.endswith("come first.") for sentence in found.cautions):
        return found
    return replace(found, cautions=(*found.cautions, *defer))


def list_key(request: Request) -> str:
    """Key of the list that a request asks for, as the tables name it; a dead gauge by its gas."""
    named = request.steps or ""
    if named == DEAD_GAUGE and request.gauge_of is not None:
        return f"{DEAD_GAUGE}_{request.gauge_of}"
    return STEP_NAMES.get(named, named)


def _written_out(key: str, rig: Rig) -> tuple[Step, ...]:
    """The steps; where a first step only asks which gauge, those of both gauges follow it."""
    steps = tables.step_list(key, rig).steps
    if key != DEAD_GAUGE:
        return steps
    both = (tables.step_list(f"{DEAD_GAUGE}_{gas}", rig).steps[1:] for gas in ("fuel", "oxygen"))
    return (*steps, *(step for each in both for step in each))
