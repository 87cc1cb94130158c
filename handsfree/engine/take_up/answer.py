"""A list of work becomes which tip to take up, how each piece goes with it, and how much gas."""

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from handsfree.engine import advice, published, tables
from handsfree.engine.jobs import Means, means_for
from handsfree.engine.metals import metal_cautions, stop_for_metal
from handsfree.engine.pieces import find_metal
from handsfree.engine.saying import stamp as stamp_words
from handsfree.engine.saying import whole
from handsfree.engine.take_up.changes import completed
from handsfree.engine.take_up.choice import Chosen, choose
from handsfree.engine.take_up.trials import Ends, Line, Trial, line_of, told, trial
from handsfree.engine.tips import KnownTip, known_tips
from handsfree.values import (
    NOT_LISTED,
    Answer,
    Choice,
    Figure,
    Fuel,
    Going,
    Piece,
    Question,
    Refusal,
    Reply,
    Request,
    Rig,
    Span,
    Status,
    TakeUp,
    TipBox,
    TipTried,
    Wanted,
)
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity, inches, psi, registry, seconds

MOST_LINES = 60
MOST_TIPS = 12
MOST_CUTS = 1000


def answer_take_up(request: Request, rig: Rig, box: TipBox) -> Reply:
    """What to take up for the list of a request; a question where a piece is not told enough."""
    if NOT_LISTED in request.defaults:
        prompt = "That is not on the list of what is left. Say, done, and its number."
        return Question(request, Asks.LIST, prompt, again=True)
    left = [wanted for wanted in completed(request.wanted, request) if wanted.count > wanted.done]
    if not left:
        prompt = "What goes up? Tell me one piece after the other."
        if request.wanted:
            prompt = "Everything on the list is cut. What else goes up?"
        return Question(request, Asks.LIST, prompt)
    if len(left) > MOST_LINES or any(wanted.count > MOST_CUTS for wanted in left):
        return Question(request, Asks.LIST, "That list is too long. Tell me fewer.", again=True)
    lines: list[Line] = []
    for wanted in left:
        stopped = _stopped(request, wanted)
        if stopped is not None:
            return stopped
        line = line_of(wanted)
        if line is None:
            return _what_size(request, wanted)
        lines.append(line)
    means = means_for(replace(request, tip=None), rig, TipBox())
    if not isinstance(means, Means):
        return means
    tips = _tips(box)
    tried = [[trial(line, tip, means) for line in lines] for tip in tips]
    return _answer(request, left, lines, tips, tried, choose(tried), means)


def _stopped(request: Request, wanted: Wanted) -> Question | Refusal | None:
    """Metals that cannot be cut and coatings that poison stop the list as they stop a cut."""
    own = replace(request, piece=wanted.piece)
    found = stop_for_metal(own)
    return None if found is None else replace(found, request=request)


def _what_size(request: Request, wanted: Wanted) -> Question:
    """What is missing of a piece, the piece named."""
    found = find_metal(replace(request, piece=wanted.piece))
    if isinstance(found, Question):
        return replace(found, request=request, asks_for=Asks.LIST)
    return Question(request, Asks.LIST, f"What size is the {_name(wanted.piece)}?", again=True)


def _name(piece: Piece) -> str:
    return piece.shape.value if piece.shape is not None else "piece"


def _tips(box: TipBox) -> list[KnownTip]:
    """The tips that could go up: those in the box, or one of each bore that the table lists."""
    mine = sorted(known_tips(box), key=lambda tip: tip.bore)[:MOST_TIPS]
    if mine:
        return mine
    listed: dict[float, KnownTip] = {}
    for row in published.rows():
        for bore in row.bore:
            listed.setdefault(bore, KnownTip(bore, sources=(row.source,), status=row.status))
    return [listed[bore] for bore in sorted(listed)][:MOST_TIPS]


def _answer(
    request: Request,
    left: Sequence[Wanted],
    lines: Sequence[Line],
    tips: Sequence[KnownTip],
    tried: Sequence[Sequence[Trial]],
    choices: Sequence[Chosen],
    means: Means,
) -> Answer:
    best = choices[0]
    names = [_tip_name(tip) for tip in tips]
    take_up = TakeUp(
        lines=tuple(_line_name(wanted, line) for wanted, line in zip(left, lines, strict=True)),
        tips=tuple(
            TipTried(_tip_label(tip), inches(tip.bore), tuple(map(told, trials)))
            for tip, trials in zip(tips, tried, strict=True)
        ),
        choices=tuple(map(_choice, choices)),
    )
    technique = [
        _taken(best, names),
        *_refusals(best, tried, left),
        *_goings(best, tried),
        *_gas(best),
        *_next_best(choices, names, tried),
    ]
    cautions = list(
        dict.fromkeys(
            [key for wanted in left for key in metal_cautions(wanted.piece)]
            + ["take_up_cylinders", "plan_stored_energy", "plan_fall_zone", "lanyard", "defer"]
        )
    )
    notes = ["take_up_compared", "plan_times_computed", "table_from_memory", "chart_first"]
    if not tips[0].stamp:
        notes.insert(0, "take_up_listed_bores")
    figures = _figures(best, tried, means.fuel)
    keys = (*cautions, *notes)
    return Answer(
        request=request,
        figures=figures,
        technique=tuple(technique),
        cautions=advice.sentences(*cautions),
        notes=advice.sentences(*notes),
        sources=tuple(
            dict.fromkeys((*(figure.source for figure in figures), *advice.sources(*keys)))
        ),
        thickness=_thickest(best, lines),
        take_up=take_up,
    )


def _thickest(best: Chosen, lines: Sequence[Line]) -> Quantity | None:
    """The thickest steel that the choice cuts."""
    sections = [
        line.lie.section for line, tip in zip(lines, best.cuts_with, strict=True) if tip is not None
    ]
    found = [face.thickness for section in sections for face in section.faces]
    found += [section.wall for section in sections if section.radius]
    return inches(max(found)) if found else None


def _taken(best: Chosen, names: Sequence[str]) -> str:
    used = [tip for tip in best.tips if tip in best.cuts_with]
    if not used:
        return "No tip here cuts any of it."
    if len(used) == 1:
        return f"Take {names[used[0]]}."
    return f"Take two, {_together([names[tip] for tip in used])}."


def _together(names: Sequence[str]) -> str:
    """One or two tips in few words: "number fifty six and forty drill tips"."""
    drills = [name.removeprefix("a number ").removesuffix(" drill tip") for name in names]
    stamps = [name.removeprefix("the tip stamped ") for name in names]
    if len(names) == 1:
        return names[0]
    if all(drill != name for drill, name in zip(drills, names, strict=True)):
        return f"number {' and '.join(drills)} drill tips"
    if all(stamp != name for stamp, name in zip(stamps, names, strict=True)):
        return f"the tips stamped {' and '.join(stamps)}"
    return " and ".join(names)


def _goings(best: Chosen, tried: Sequence[Sequence[Trial]]) -> list[str]:
    """How many lines go right, leaned and slow."""
    found = [tried[tip][line].going for line, tip in enumerate(best.cuts_with) if tip is not None]
    words = {
        Going.RIGHT: "the right tip",
        Going.LEANED: "the torch leaned",
        Going.SLOW: "a slow, woven cut",
    }
    said = [
        f"{whole(found.count(going)).capitalize()} of the list with {name}."
        for going, name in words.items()
        if going in found
    ]
    return said


def _refusals(best: Chosen, tried: Sequence[Sequence[Trial]], left: Sequence[Wanted]) -> list[str]:
    """Each line that the choice does not cut, by its place on the list, and why."""
    said = []
    for line, tip in enumerate(best.cuts_with):
        if tip is None:
            why = tried[best.tips[-1]][line].why
            said.append(f"Not number {whole(line + 1)} on the list. {why}")
    return said


def _next_best(
    choices: Sequence[Chosen], names: Sequence[str], tried: Sequence[Sequence[Trial]]
) -> list[str]:
    """What the next best choice would cost."""
    if len(choices) < 2:
        return []
    best, other = choices[0], choices[1]
    used = [names[tip] for tip in other.tips if tip in other.cuts_with]
    if not used:
        return []
    more = round((sum(other.time) - sum(best.time)) / 2 / 60)
    named = f"Next best, {_together(used)}"
    if other.refused > best.refused:
        lost = other.refused - best.refused
        return [f"{named}: it leaves {whole(lost)} more uncut."]
    amount = min(abs(more), 999)
    minutes = f"{whole(amount)} minute{'s' if amount > 1 else ''}"
    rougher = ", but rougher" if _worse(other, best, tried) else ""
    if more > 0:
        return [f"{named}: {minutes} more{rougher}."]
    if more < 0:
        return [f"{named}: {minutes} less{rougher or ', but more gas or tips'}."]
    return [f"{named}: about as long{rougher}."]


def _worse(other: Chosen, best: Chosen, tried: Sequence[Sequence[Trial]]) -> bool:
    """Whether more of the list goes leaned or woven with the other choice."""

    def rough(one: Chosen) -> int:
        found = [
            tried[tip][line].going for line, tip in enumerate(one.cuts_with) if tip is not None
        ]
        return sum(going is not Going.RIGHT for going in found)

    return rough(other) > rough(best)


def _gas(best: Chosen) -> list[str]:
    """How many usual oxygen cylinders the choice takes."""
    if best.oxygen is None or not best.oxygen[1]:
        return []
    usual = next(row for row in tables.cylinders() if row.gas == "oxygen")
    many = math.ceil(best.oxygen[1] / float(usual.content.m_as("ft**3")))
    if many > 99:
        return ["That is more oxygen than cylinders are taken up for."]
    return [f"{whole(many).capitalize()} usual oxygen cylinder{'s' if many > 1 else ''} will do."]


def _figures(best: Chosen, tried: Sequence[Sequence[Trial]], fuel: Fuel) -> tuple[Figure, ...]:
    cut = [tried[tip][line] for line, tip in enumerate(best.cuts_with) if tip is not None]
    pressures = [one.pressure for one in cut if one.pressure is not None]
    if not pressures:
        return ()
    low, high = min(low for low, _ in pressures), max(high for _, high in pressures)
    source, status = "this_project", Status.MEMORY
    found = [
        Figure("oxygen_pressure", psi(round(low)), psi(round(high)), source, status, "over all"),
        Figure("time", seconds(best.time[0]), seconds(best.time[1]), source, status, "in all"),
    ]
    if best.oxygen is not None:
        found.append(Figure("oxygen_used", *_feet3(best.oxygen), source, status, "in all"))
    if best.fuel is not None:
        note = f"{fuel.value}, in all"
        found.append(Figure("fuel_used", *_feet3(best.fuel), source, status, note))
    return tuple(found)


def _choice(one: Chosen) -> Choice:
    return Choice(
        tips=one.tips,
        cuts_with=one.cuts_with,
        time=(seconds(one.time[0]), seconds(one.time[1])),
        oxygen=None if one.oxygen is None else _feet3(one.oxygen),
        fuel=None if one.fuel is None else _feet3(one.fuel),
    )


def _feet3(span: Ends) -> Span:
    return registry.Quantity(span[0], "foot**3"), registry.Quantity(span[1], "foot**3")


def _line_name(wanted: Wanted, line: Line) -> str:
    """A line as a list shows it: "2 x W12X26"."""
    piece, section = wanted.piece, line.lie.section
    if section.name:
        name = section.name
    elif piece.nominal is not None:
        name = f"{piece.nominal} in schedule {piece.schedule} pipe"
    else:
        thick = (
            piece.thickness if piece.thickness is not None else inches(section.faces[0].thickness)
        )
        name = f"{_size(thick)} {section.shape.value}"
    length = f", {wanted.length:.4g~P} of cut" if wanted.length is not None else ""
    return f"{line.left} x {name}{length}"


def _size(thick: Quantity) -> str:
    """A thickness as it is chalked on steel: "1/2 in", "1 1/2 in", "12 mm"."""
    sixteenths = 16 * float(thick.m_as("in"))
    if thick.units == registry.inch and abs(sixteenths - round(sixteenths)) < 1e-6:
        units, rest = divmod(Fraction(round(sixteenths), 16), 1)
        return " ".join(str(part) for part in (units, rest) if part) + " in"
    return f"{thick:.4g~P}"


def _tip_name(tip: KnownTip) -> str:
    """A tip in words, as it is said."""
    if tip.stamp:
        return f"the tip stamped {stamp_words(tip.stamp)}"
    drill = next(
        (
            number
            for number, row in tables.number_drills()
            if abs(float(row.value.m_as("in")) - tip.bore) < 5e-5
        ),
        None,
    )
    if drill is not None:
        return f"a number {whole(drill)} drill tip"
    return "a tip of its own bore"


def _tip_label(tip: KnownTip) -> str:
    """A tip as a list shows it."""
    return f"stamped {tip.stamp}" if tip.stamp else f"bore {tip.bore:.4f} in"
