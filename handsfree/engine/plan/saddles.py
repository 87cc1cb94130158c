"""The line of a cut that is not square: what a request tells of it, how it is marked and balances.

A mitre on a pipe and a branch saddled on a larger pipe unroll to a line; a mitre on flat faces is
two marks and a straight edge. Inches and degrees.
"""

import math

from handsfree.engine import advice, tables
from handsfree.engine.plan import development, mitres
from handsfree.engine.plan.shapes import Section
from handsfree.engine.saying import eighths_of_an_inch
from handsfree.values import Development, Question, Request
from handsfree.values.reply import Asks


def header_of(request: Request, section: Section) -> float | None | Question:
    """Outside diameter of the pipe that a branch sits on; None for a plain cut; else a question."""
    if request.header is None:
        return None
    if not (section.radius and section.bore):
        return Question(request, Asks.SHAPE, "Only a pipe or a round tube is saddled. Which size?")
    schedules = tables.pipe_schedules(request.header)
    row = tables.pipe(request.header, schedules[0]) if schedules else None
    if row is None:
        prompt = "On which size of pipe does it sit? Say, onto an eight inch pipe."
        return Question(request, Asks.HEADER, prompt, again=request.header != 0)
    outside = float(row.outside.m_as("in"))
    if outside < 2 * section.radius - development.ALIKE:
        prompt = "The branch is larger than the pipe under it. Onto which size does it go?"
        return Question(request, Asks.HEADER, prompt, again=True)
    return outside


def unrolled(request: Request, section: Section) -> Development | None:
    """The line of the cut, unrolled; None for a piece with flat faces or a solid one."""
    if not (section.radius and section.bore):
        return None
    header, degrees = header_of(request, section), _degrees(request)
    if isinstance(header, float):
        return development.saddle(section, header, degrees)
    return development.mitre(section, degrees)


def stretch(section: Section, header: float | None, degrees: float) -> float:
    """How much longer the travel is round a pipe than a square cut; 1 where faces tell their own.

    A mitre is an ellipse to its circle; a saddle's line is measured along its ordinates.
    """
    if header is not None:
        line = development.saddle(section, header, degrees)
        assert line is not None, "branch and lean are checked before"
        return development.stretch(line)
    if not degrees or not section.radius:
        return 1.0
    longer = 1 / math.cos(math.radians(degrees))
    ratio = ((longer - 1) / (longer + 1)) ** 2
    # Ramanujan's first approximation, within a millionth for these ratios
    return (1 + longer) / 2 * (1 + 3 * ratio / (10 + math.sqrt(4 - 3 * ratio)))


def marked(request: Request, section: Section) -> tuple[str, ...]:
    """How the line is marked before the first cut."""
    degrees = _degrees(request)
    if request.header is not None:
        return advice.sentences("plan_band_offsets", "plan_saddle_1", "plan_saddle_2")
    if section.radius and section.bore:
        return advice.sentences("plan_band_offsets" if degrees else "plan_band")
    if not degrees:
        return ()
    far = eighths_of_an_inch(mitres.out_of_square(section, degrees))
    return (f"Over its full width the line runs {far} out of square.",)


def balance(request: Request, section: Section) -> tuple[float, float] | None:
    """Where a round stub with such an end balances: off the centre line, and along; else None."""
    length, degrees = request.piece_length, _degrees(request)
    if length is None or not section.radius:
        return None
    header = header_of(request, section)
    inches = float(length.m_as("in"))
    if isinstance(header, float):
        return development.balance_of_saddled_stub(section, header, inches, degrees)
    if request.mitre is None:
        return None
    return development.balance_of_mitred_stub(section.radius, section.bore, inches, degrees)


def _degrees(request: Request) -> float:
    return 0.0 if request.mitre is None else float(request.mitre.m_as("degree"))
