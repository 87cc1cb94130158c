"""The fixed sentences of leading a list, and how an answer is said back."""

from typing import Final

from handsfree.values import Expect, Step, StepAnswer, StepAnswerKind

MOST_SAID: Final = 3  # answers named aloud; more are not kept in mind

FULL_STOP: Final = "."
NOT_SKIPPED: Final = "That step is never skipped."
SKIPPED: Final = "Left out."
NO_STEP_BEFORE: Final = "This is the first step."
TAKE_YOUR_TIME: Final = "All right."
STILL_WAITS: Final = "This step still waits."
NOT_YET: Final = "Not yet. {} to go."
WHERE: Final = "{}, step {} of {}."
HEARD_DOUBTFULLY: Final = "Did you say {}? Say it again."
OTHER_STEP: Final = "That does not answer this step."
OTHER_UNIT: Final = "That is asked in {}."
STOPPED: Final = "{} is stopped. It stands on record as not finished."
SHALL_GO_ON: Final = "Say go on, or stop the list."
SHALL_GO_ON_WITH: Final = "{} was put aside. Say go on, or stop the list."
FROM_THE_TOP: Final = "Next is {}. Say go on, or stop the list."
LEFT_OPEN: Final = "{} was left at step {} of {}."
DONE_IS_NO_ANSWER: Final = "Say what you see: {}."
READ_IT: Final = "Say the number that it reads."
NAME_IT: Final = "Say a name, or his job, such as the foreman."
DONE_OR_NOT: Final = "Say done, or I can't."
SAY_IT: Final = {
    "turns": "Say the number of turns.",
    "seconds": "Say the number of seconds.",
    "minutes": "Say the number of minutes.",
    "feet": "Say the number of feet.",
}


def what_belongs(step: Step) -> str:
    """What can be answered to a step, as one sentence.

    What is right is not put into anybody's mouth: what is wrong is named beside it.
    """
    match step.expects:
        case Expect.NUMBER:
            return SAY_IT.get(step.limit.unit if step.limit else "", READ_IT)
        case Expect.NAMED:
            return NAME_IT
        case Expect.DONE:
            return DONE_OR_NOT
    *most, last = _sights(step)
    return DONE_IS_NO_ANSWER.format(f"{', '.join(most)}, or {last}" if most else last)


def _sights(step: Step) -> list[str]:
    """What may be seen, some of it right and some of it wrong."""
    right = [sight.kind for sight in step.sights if sight.right]
    wrong = [sight.kind for sight in step.sights if not sight.right]
    share = max(1, MOST_SAID - max(1, min(len(wrong), MOST_SAID - 1)))
    named = right[:share]
    return [*named, *wrong[: MOST_SAID - len(named)]]


def can_say(step: Step) -> tuple[str, ...]:
    """A few answers to a step as phrases, for the page; each is understood as it stands."""
    match step.expects:
        case Expect.NUMBER:
            unit = step.limit.unit if step.limit else ""
            found = {"psi": "gauge reads five", "turns": "half a turn"}.get(unit, f"ten {unit}")
            return (found, "i can't", "go back")
        case Expect.NAMED:
            return ("the foreman", "i can't", "go back")
        case Expect.DONE:
            return ("done", "skip it", "i can't")
    return (*_sights(step), "i can't")


def put_again(step: Step) -> tuple[str, ...]:
    """A step once more, behind an answer to something else."""
    return ("Back to the list.", step.say, step.ask)


def came_to(answer: StepAnswer) -> str:
    """What an answer came to, in short words.

    >>> came_to(StepAnswer(StepAnswerKind.NUMBER, number=5.0, unit="psi"))
    '5 psi'
    """
    match answer.kind:
        case StepAnswerKind.SEEN:
            return answer.sight
        case StepAnswerKind.NUMBER:
            number = round(answer.number or 0.0, 2)
            unit = answer.unit.removesuffix("s") if number == 1 else answer.unit
            return f"{number:g} {'foot' if unit == 'feet' and number == 1 else unit}".strip()
        case StepAnswerKind.NAMED:
            return answer.text
    return answer.kind.value


def left(seconds: float) -> str:
    """How long a time has to go, as it is said.

    >>> left(125.0), left(50.0), left(1.0)
    ('2 minutes', '50 seconds', '1 second')
    """
    if seconds >= 90:
        return f"{seconds / 60:.0f} minutes"
    whole = max(1, round(seconds))
    return f"{whole} second{'' if whole == 1 else 's'}"
