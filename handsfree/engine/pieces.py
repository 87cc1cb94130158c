"""What the user called the steel becomes one thickness of metal to be cut, or a question.

A thickness said aloud counts as it is; gauge, pipe and section are looked up; what is missing or
ambiguous is asked for and what is implausible is asked again. Outside the hand table there is a
refusal, and nothing is taken from the nearest row.
"""

from dataclasses import dataclass
from fractions import Fraction

from handsfree.engine import published, sheet, tables
from handsfree.engine.refusals import refuse
from handsfree.engine.saying import schedule as schedule_words
from handsfree.engine.saying import whole
from handsfree.values import Piece, Question, Refusal, Request, Shape, Status, Surface
from handsfree.values.reply import Asks
from handsfree.values.units import Quantity

THICKEST_PLAUSIBLE = 24.0  # inches: twice the table; more was most likely heard wrongly
MANY = 4  # options that can be read out

WALL_SCHEDULES = ("40", "80", "STD", "XS", "160", "XXS", "10")  # the ones that a shop keeps


@dataclass(frozen=True, slots=True)
class Metal:
    """The metal to be cut through.

    Attributes:
        thickness: in inches.
        quantity: the same with its unit, as said or as listed.
        name: as the trade says it, empty for a plain thickness: "W10X33 flange".
        sources: keys of the tables used.
        status: how far the thickness can be trusted.
        advice: keys of sentences that this shape calls for.
        solid: a shaft or bar, cut across its full thickness.
        round_wall: the wall of a pipe or round tube.
        outside: its diameter in inches; 0 when not known.
    """

    thickness: float
    quantity: Quantity
    name: str = ""
    sources: tuple[str, ...] = ()
    status: Status = Status.READ
    advice: tuple[str, ...] = ()
    solid: bool = False
    round_wall: bool = False
    outside: float = 0.0


def metal_to_cut(request: Request) -> Metal | Question | Refusal:
    """The metal of a request, inside the hand table; else what to ask or why not."""
    found = find_metal(request)
    if not isinstance(found, Metal):
        return found
    if found.thickness > published.thickest() + published.SAME:
        if found.thickness > THICKEST_PLAUSIBLE:
            return Question(
                request,
                Asks.THICKNESS,
                "I know nothing that thick, twelve inches at most. Say the thickness again.",
                again=True,
            )
        return refuse(request, "thickness_outside_table")
    if found.thickness < published.thinnest() - published.SAME:
        if found.round_wall and found.thickness < sheet.upright_from() - published.SAME:
            return refuse(request, "round_wall_too_thin")
        if found.solid or not sheet.is_sheet(found.thickness):
            return refuse(request, "sheet_too_thin")
    return found


def find_metal(request: Request) -> Metal | Question:
    """The metal of a request, whatever its thickness."""
    piece = request.piece or Piece()
    if piece.thickness is not None:
        return _said(request, piece, piece.thickness)
    if piece.gauge is not None:
        return _gauge(request, piece, piece.gauge)
    if piece.nominal is not None:
        return _pipe(request, piece, piece.nominal)
    if piece.designation is not None:
        return _section(request, piece.designation)
    if piece.shape in (Shape.SHAFT, Shape.SQUARE_BAR) and piece.outside:
        return _said(request, piece, min(piece.outside))
    return Question(request, Asks.THICKNESS, _how_thick(piece.shape))


def _said(request: Request, piece: Piece, thickness: Quantity) -> Metal | Question:
    inches = float(thickness.m_as("in"))
    if not 0 < inches < float("inf"):
        return Question(
            request, Asks.THICKNESS, "No steel is that thin. How thick is it?", again=True
        )
    solid = piece.shape in (Shape.SHAFT, Shape.SQUARE_BAR)
    keys: tuple[str, ...] = ("solid_round",) if piece.shape is Shape.SHAFT else ()
    if piece.shape in (Shape.PIPE, Shape.ROUND_TUBE):
        keys = ("pipe_aim", "hollow")
    elif piece.shape is Shape.SQUARE_TUBE:
        keys = ("hollow",)
    outside = float(max(piece.outside).m_as("in")) if piece.outside and "pipe_aim" in keys else 0.0
    return Metal(
        inches,
        thickness,
        advice=keys,
        solid=solid,
        round_wall="pipe_aim" in keys,
        outside=outside,
    )


def _gauge(request: Request, piece: Piece, gauge: int) -> Metal | Question:
    found = tables.sheet_gauge(gauge)
    if found is None:
        return Question(
            request,
            Asks.THICKNESS,
            "I have no sheet gauge of that number. How thick is it?",
            again=True,
        )
    name = f"{gauge} gauge"
    if piece.surface is Surface.GALVANISED:
        name += " before the zinc"
    return Metal(float(found.value.m_as("in")), found.value, name, (found.source,), found.status)


def _pipe(request: Request, piece: Piece, nominal: Fraction) -> Metal | Question:
    schedules = tables.pipe_schedules(nominal)
    if not schedules:
        return Question(
            request,
            Asks.THICKNESS,
            "I have no pipe of that size. How thick is the wall?",
            again=True,
        )
    row = tables.pipe(nominal, piece.schedule) if piece.schedule else None
    if row is None:
        return _which_schedule(request, piece, nominal, schedules)
    size = str(nominal) if nominal.denominator == 1 else _mixed(nominal)
    letters = row.schedule if row.schedule.isalpha() else f"schedule {row.schedule}"
    return Metal(
        float(row.wall.m_as("in")),
        row.wall,
        f"{size} in {letters} pipe wall",
        (row.source,),
        row.status,
        ("pipe_aim", "hollow"),
        round_wall=True,
        outside=float(row.outside.m_as("in")),
    )


def _which_schedule(
    request: Request, piece: Piece, nominal: Fraction, schedules: tuple[str, ...]
) -> Question:
    """The walls of a size, each offered once: standard wall and schedule forty are often one."""
    walls: dict[float, str] = {}
    for name in (*WALL_SCHEDULES, *schedules):
        row = tables.pipe(nominal, name) if name in schedules else None
        if row is not None:
            walls.setdefault(round(float(row.wall.m_as("in")), 4), name)
    no_such = f"That size has no {schedule_words(piece.schedule)}. " if piece.schedule else ""
    several = f"It comes in {whole(len(walls))} walls. " if len(walls) > 1 else ""
    return Question(
        request,
        Asks.SCHEDULE,
        f"{no_such}{several}Which schedule?",
        tuple(schedule_words(name) for name in list(walls.values())[:MANY]),
        again=piece.schedule is not None,
    )


def _section(request: Request, designation: str) -> Metal | Question:
    row = tables.section(designation)
    if row is None:
        return _which_section(request, designation)
    part, thickness = row.parts[0]
    part = "leg" if row.family == "L" else "stem" if _is_tee(row) and part == "web" else part
    hollow = row.family in ("HSS", "SHS", "RHS", "CHS")
    keys = ("hollow",) if hollow else ("web_thinner",) if part == "flange" else ()
    return Metal(
        float(thickness.m_as("in")),
        thickness,
        f"{row.designation} {part}",
        (row.source,),
        row.status,
        keys,
        round_wall=hollow and row.width is None,
        outside=float(row.depth.m_as("in")) if hollow and row.width is None else 0.0,
    )


def _is_tee(row: tables.SectionRow) -> bool:
    return row.family in ("WT", "MT", "ST")


def _which_section(request: Request, designation: str) -> Question:
    family = designation.rstrip("0123456789./-X ").upper() or designation.upper()
    numbers = [part for part in designation.upper().removeprefix(family).split("X") if part]
    sizes = [size for size in map(_number, numbers) if size is not None]
    rows = tables.sections_of(family, *sizes) if sizes else ()
    unfinished = bool(rows)
    for known in range(len(sizes) - 1, 0, -1):
        rows = rows or tables.sections_of(family, *sizes[:known])
    if not rows:
        return Question(
            request,
            Asks.THICKNESS,
            "I have no such section. How thick is the part you cut?",
            again=True,
        )
    if unfinished:
        prompt = f"There are {whole(len(rows))} of those. Which one?"
        near = _spread(rows)
    else:
        prompt = f"I have no {_said_section(designation)}. Which one is it?"
        near = _nearest(rows, float(sizes[-1]))
    options = tuple(_said_section(row.designation) for row in near)
    return Question(request, Asks.SECTION, prompt, options, again=not unfinished)


def _nearest(rows: tuple[tables.SectionRow, ...], last: float) -> tuple[tables.SectionRow, ...]:
    """At most `MANY` of the rows, whose last number comes nearest to the one named, in order."""

    def off(row: tables.SectionRow) -> float:
        number = _number(row.designation.split("X")[-1])
        return abs(float(number) - last) if number is not None else float("inf")

    near = sorted(rows, key=off)[:MANY]
    return tuple(row for row in rows if row in near)


def _spread(rows: tuple[tables.SectionRow, ...]) -> tuple[tables.SectionRow, ...]:
    """At most `MANY` of the rows, from the heaviest to the lightest."""
    if len(rows) <= MANY:
        return rows
    step = (len(rows) - 1) / (MANY - 1)
    return tuple(rows[round(index * step)] for index in range(MANY))


def _said_section(designation: str) -> str:
    """A designation in words where its numbers are whole, else as it stands."""
    family = designation.rstrip("0123456789./-X")
    numbers = designation.removeprefix(family).split("X")
    words = [_said_number(number) for number in numbers]
    return designation if None in words else f"{family.lower()} " + " by ".join(filter(None, words))


def _said_number(number: str) -> str | None:
    """A whole number or a decimal below a thousand in words, None for a fraction."""
    units, _, decimals = number.partition(".")
    if not units.isdigit() or int(units) > 999 or not (decimals or "0").isdigit():
        return None
    said = whole(int(units))
    return f"{said} point {' '.join(map(whole, map(int, decimals)))}" if decimals else said


def _number(text: str) -> Fraction | None:
    try:
        return Fraction(text)
    except (ValueError, ZeroDivisionError):
        return None


def _mixed(size: Fraction) -> str:
    units, rest = divmod(size, 1)
    return f"{units} {rest}" if units else f"{rest}"


def _how_thick(shape: Shape | None) -> str:
    if shape in (Shape.BEAM, Shape.CHANNEL, Shape.TEE, Shape.ANGLE):
        return "Which section is it, or how thick is the part you cut?"
    if shape in (Shape.PIPE, Shape.ROUND_TUBE, Shape.SQUARE_TUBE):
        return "How thick is the wall?"
    if shape in (Shape.SHAFT, Shape.SQUARE_BAR):
        return "How thick is it through?"
    return "How thick is the steel?"
