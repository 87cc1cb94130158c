"""What the slots say about the steel: its shape, its size, what it is and what is on it."""

from fractions import Fraction

from handsfree.understand.slots import Slots, Unreadable
from handsfree.values import Metal, Piece, Shape, Surface
from handsfree.values.units import Quantity, inches, millimetres

SIZES = (
    *("thick", "gauge", "nominal", "schedule", "family", "depth", "weight"),
    *("leg", "wall", "leg_mm", "wall_mm", "bar_side", "bare", "rebar"),
)
_ABOUT_PIECE = (*SIZES, "shape", "beside", "metal", "surface", "closed", "carbon")
# inches from which a length beside the word is what the section measures, not how thick it is
_DEEP = {
    **dict.fromkeys((Shape.BEAM, Shape.CHANNEL, Shape.TEE), 2.5),
    **dict.fromkeys((Shape.ANGLE, Shape.SQUARE_TUBE), 1.5),
}
FINEST = 64  # parts of an inch in which sections and pipes come
ROUNDED = Fraction(6, 10_000)  # inches: so far off is a decimal of three places that stands for one
SMALLEST_TOLD = 1.0  # inches: a length below it beside the word pipe may be the wall
_BEAMS = ("W", "S", "M", "HP", "IPE", "HEA", "HEB", "HEM", "UB", "UC", "UBP")
_TEES = ("WT", "MT", "ST")


def piece_of(slots: Slots) -> Piece | None:
    """The steel as it was named; None when nothing was said about it.

    Raises:
        Unreadable: the sizes do not go together.
    """
    if not slots.any_of(*_ABOUT_PIECE):
        return None
    shape = _shape(slots)
    carbon = slots.number("carbon")
    metal = _metal(slots)
    designation, shape = _designation(slots, shape)
    thickness, outside = _dimensions(slots, shape, designation)
    nominal = _nominal(slots)
    if nominal is None and thickness is not None and _is_pipe_size(slots, shape):
        nominal, thickness = _inches(thickness), None
    elif thickness is not None and designation is None and _is_depth(slots, shape, thickness):
        designation, thickness, outside = _by_depth(shape, thickness)
    gauge = slots.number("gauge")
    sizes = [thickness is not None, gauge is not None, designation is not None]
    if sum(sizes) > 1 or (nominal is not None and thickness is not None and "wall" not in slots):
        raise Unreadable("two sizes of steel at once")
    return Piece(
        shape=shape,
        thickness=thickness,
        gauge=None if gauge is None else int(gauge),
        nominal=nominal,
        schedule=slots.one("schedule"),
        designation=designation,
        outside=outside,
        metal=metal,
        surface=_surface(slots),
        closed="closed" in slots,
        carbon_percent=None if carbon is None else float(carbon),
    )


def _shape(slots: Slots) -> Shape | None:
    """The one shape said; "round" and "tube" give way to what is more exact."""
    said = dict.fromkeys(Shape(value) for value in slots.all("shape"))
    if slots.any_of("nominal", "schedule"):
        said.pop(Shape.SHAFT, None)  # "schedule forty, how fast do I go round"
    if Shape.PIPE in said:
        said.pop(Shape.ROUND_TUBE, None)
    if len(said) > 1 and slots.any_of("gauge"):
        said.pop(Shape.SHEET, None)
    if len(said) > 1 and Shape.PLATE in said and Shape.SHEET in said:
        said.pop(Shape.SHEET)
    if len(said) > 1:
        raise Unreadable(f"two shapes: {' and '.join(said)}")
    if said:
        return next(iter(said))
    if slots.any_of("nominal", "schedule"):
        return Shape.PIPE
    if "beside" in slots and not slots.any_of("family", "depth", "leg"):
        return Shape.PLATE  # "how far off the plate"
    return None


def _metal(slots: Slots) -> Metal:
    """The metal; plain steel gives way to a more exact word said with it."""
    said = dict.fromkeys(Metal(value) for value in slots.all("metal"))
    if len(said) > 1:
        said.pop(Metal.MILD_STEEL, None)
    if len(said) > 1:
        raise Unreadable(f"two metals: {' and '.join(said)}")
    if not said and "carbon" in slots:
        return Metal.HIGH_CARBON_STEEL
    return next(iter(said), Metal.MILD_STEEL)


_HEED = (
    *(Surface.CADMIUM, Surface.LEAD_PAINT, Surface.UNKNOWN_COATING, Surface.GALVANISED),
    *(Surface.PAINTED, Surface.RUSTY, Surface.CLEAN),
)


def _surface(slots: Slots) -> Surface:
    """The worst of what is said to be on the steel."""
    said = {Surface(value) for value in slots.all("surface")}
    return next((surface for surface in _HEED if surface in said), Surface.CLEAN)


def _nominal(slots: Slots) -> Fraction | None:
    value = slots.length("nominal")
    return None if value is None else _inches(value)


def _inches(value: Quantity) -> Fraction:
    """A size in inches: the sixty-fourth that it stands for (".313"), else just what was said."""
    said = Fraction(float(value.m_as("in"))).limit_denominator(1_000_000)
    near = Fraction(round(said * FINEST), FINEST)
    return near if abs(near - said) <= ROUNDED else said


def _is_depth(slots: Slots, shape: Shape | None, thickness: Quantity) -> bool:
    """Whether a length told beside a section is its depth or leg: no flange is that thick."""
    if shape not in _DEEP or slots.any_of("thick_word", "wall", "wall_mm", "leg", "leg_mm"):
        return False
    return float(thickness.m_as("in")) >= _DEEP[shape]


def _by_depth(
    shape: Shape | None, depth: Quantity
) -> tuple[str | None, Quantity | None, tuple[Quantity, ...]]:
    """Designation, thickness and outside of a section told by its depth: "i beam, ten inch"."""
    size = _inches(depth)
    if depth.units != inches(1).units or shape is Shape.TEE:
        return None, None, (depth,)
    letters = {Shape.BEAM: "W", Shape.CHANNEL: "C", Shape.ANGLE: "L", Shape.SQUARE_TUBE: "HSS"}
    return f"{letters[shape or Shape.BEAM]}{_fraction(size)}", None, ()


def _is_pipe_size(slots: Slots, shape: Shape | None) -> bool:
    """Whether a length told beside a pipe, and not as its wall, is the pipe's nominal size."""
    if shape is not Shape.PIPE or slots.any_of("wall", "wall_mm", "leg_mm", "thick_word"):
        return False
    value = slots.length("thick")
    if value is None or value.units != inches(1).units:
        return False
    return "schedule" in slots or float(value.m_as("in")) >= SMALLEST_TOLD


def _designation(slots: Slots, shape: Shape | None) -> tuple[str | None, Shape | None]:
    """The section in the trade's spelling, and the shape that follows from it."""
    family, depth = slots.one("family"), slots.number("depth")
    if depth is not None:
        weight = slots.number("weight")
        if family is None:
            family = "C" if shape is Shape.CHANNEL else "W"
        width = slots.number("width")
        by = "" if width is None else f"X{_plain(width)}"
        by += "" if weight is None else f"X{_plain(weight)}"
        follows = Shape.BEAM if family in _BEAMS else Shape.CHANNEL
        follows = Shape.TEE if family in _TEES else follows
        if shape not in (None, follows):
            raise Unreadable(f"{family} is no {shape}")
        return f"{family}{_plain(depth)}{by}", follows
    legs = slots.lengths("leg")
    if not legs:
        return None, shape
    shape = shape or _from_legs(slots)
    wall = slots.length("wall")
    sizes = [_inches(leg) for leg in legs]
    if wall is not None:
        sizes.append(_inches(wall))
        if len(legs) == 1:
            sizes.insert(0, sizes[0])
    elif len(sizes) == 2 and sizes[1] < 1 <= sizes[0]:
        sizes.insert(0, sizes[0])  # three inch by quarter: two equal legs, a quarter thick
    if len(sizes) > 3:
        raise Unreadable("two legs and a thickness, and one size more")
    if shape is Shape.ANGLE and len(sizes) == 1 and sizes[0] < 1:
        return None, shape  # "half inch angle": its legs are not told
    if shape is Shape.ANGLE:
        return "L" + "X".join(_fraction(size) for size in sizes), shape
    if shape is Shape.SQUARE_TUBE and "gauge" in slots:
        return None, shape
    if shape is Shape.SQUARE_TUBE:
        return "HSS" + "X".join(_fraction(size) for size in sizes), shape
    if shape is Shape.ROUND_TUBE and wall is not None and len(legs) == 1:
        return f"HSS{_decimal(sizes[0])}X{_decimal(sizes[-1])}", shape
    if shape in (Shape.ROUND_TUBE, None):
        return None, shape
    raise Unreadable(f"{shape} is not told by its legs")


def _from_legs(slots: Slots) -> Shape | None:
    said = slots.one("dims")
    return {"angle": Shape.ANGLE, "tube": Shape.SQUARE_TUBE}.get(said or "")


def _dimensions(
    slots: Slots, shape: Shape | None, designation: str | None
) -> tuple[Quantity | None, tuple[Quantity, ...]]:
    """Thickness and outside dimensions, where they are given and not looked up."""
    thickness = slots.length("thick")
    if (eighths := slots.number("rebar")) is not None:
        return inches(eighths / 8), ()  # bars for concrete are numbered by eighths of an inch
    sides = slots.lengths("bar_side")
    if sides:
        ordered = sorted(sides, key=lambda side: float(side.m_as("in")))
        return ordered[0], tuple(ordered[1:])
    metric = [float(_whole(words)) for words in slots.all("leg_mm")]
    wall_mm = slots.number("wall_mm")
    if metric or wall_mm is not None:
        wall = None if wall_mm is None else millimetres(float(wall_mm))
        return wall or thickness, tuple(millimetres(leg) for leg in metric)
    if designation is None and "wall" in slots:
        return slots.length("wall"), slots.lengths("leg")
    if designation is None and shape is Shape.ANGLE and "leg" in slots:
        return slots.lengths("leg")[0], ()
    if designation is None and shape is not Shape.ANGLE and "leg" in slots:
        return thickness, slots.lengths("leg")
    return thickness, ()


def _whole(words: str) -> Fraction:
    value = Slots((("n", words),)).number("n")
    assert value is not None
    return value


def _plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):g}"


def _decimal(value: Fraction) -> str:
    return f"{float(value):.3f}"


def _fraction(value: Fraction) -> str:
    """5/2 as the section tables spell it: 2-1/2; what is no fraction of theirs, as a decimal."""
    if FINEST % value.denominator:
        return _decimal(value)
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


def bare_number(slots: Slots) -> Fraction | None:
    """A number without unit that can only be the steel's size."""
    return slots.number("bare")
