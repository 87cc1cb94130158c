"""What can be picked by touch, each with the words that picking it says.

A tap says words, as a voice would, so there is one way through the house. How picks become one
request, and what each step asks, is in `asking.py`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from handsfree.spoken_numbers import length_words, whole
from handsfree.values.units import inches, millimetres


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to pick: `shown` in huge letters, `words` as it is said, and its measure.

    Attributes:
        shown: at most a few characters, or a word or two.
        words: lower-case words that the grammar hears.
        millimetres: of a thickness, else None.
        under: small, beneath it: what else it is ("12.7 mm").
        named: how it is said of itself where that is not its words.
    """

    shown: str
    words: str
    millimetres: float | None = None
    under: str = ""
    named: str = ""

    @property
    def said(self) -> str:
        """How the helper says it."""
        return self.named or self.words


def _named(*names: str) -> tuple[Choice, ...]:
    return tuple(Choice(name, name) for name in names)


def shown_fraction(size: Fraction) -> str:
    """A size as it is chalked on steel.

    >>> shown_fraction(Fraction(3, 2)), shown_fraction(Fraction(3, 8)), shown_fraction(Fraction(2))
    ('1 1/2', '3/8', '2')
    """
    units, rest = divmod(size, 1)
    return " ".join(([str(units)] if units else []) + ([str(rest)] if rest else []))


def _inches(sizes: Iterable[Fraction]) -> tuple[Choice, ...]:
    return tuple(
        Choice(
            shown_fraction(size),
            length_words(inches(size), before_noun=True),
            round(float(size) * 25.4, 4),
            f"inch = {round(float(size) * 25.4 + 1e-9, 2):g} mm",
        )
        for size in sizes
    )


def _every(part: int, low: int | Fraction, high: int) -> list[Fraction]:
    """Sizes from `low` up to but without `high`, in steps of one `part`-th of an inch."""
    first, last = Fraction(low) * part, high * part
    return [Fraction(n, part) for n in range(int(first), last)]


def _gauge(number: int, thickness_in: float) -> Choice:
    size = f"{thickness_in:.4f}".lstrip("0")
    return Choice(
        f"{number} ga",
        f"{whole(number)} gauge",
        round(thickness_in * 25.4, 4),
        f"{size} in = {thickness_in * 25.4:.1f} mm",
    )


# Sheet by manufacturers' standard gauge; the same figures as in the engine's table of gauges, which
# a test compares, so that a thickness that was asked for finds its place on the wheel.
GAUGES = (_gauge(16, 0.0598), _gauge(14, 0.0747), _gauge(12, 0.1046), _gauge(10, 0.1345))

# Plate as steel yards stock it (common practice), thinnest first.
STOCK = _inches(
    [Fraction(n, 16) for n in (2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14)]
    + [Fraction(n, 8) for n in (8, 9, 10, 11, 12, 14, 16, 18, 20, 24, 28)]
    + [Fraction(n) for n in (4, 5, 6, 8, 10, 12)]
)
# Between them, for what was measured: steps that a tape or a caliper tells apart at that size.
FINER = _inches(
    _every(32, Fraction(1, 16), 1)
    + _every(16, 1, 3)
    + _every(8, 3, 6)
    + _every(4, 6, 12)
    + [Fraction(12)]
)
METRIC = tuple(
    Choice(
        f"{size} mm",
        length_words(millimetres(size), before_noun=True),
        float(size),
        f"= {size / 25.4:.3f} in",
    )
    for size in (
        *(3, 4, 5, 6, 8, 10, 12, 15, 16, 18, 20, 22, 25, 28, 30, 35, 40, 45, 50, 60, 70, 80),
        *(90, 100, 110, 120, 130, 140, 150, 180, 200, 220, 250, 280, 300),
    )
)
NOT_KNOWN = Choice("not known", "not known")

# Nominal sizes and the walls that are met with most; what a size does not come in is asked back.
PIPE_SIZES = tuple(
    Choice(choice.shown, choice.words, None, "inch nominal")
    for choice in _inches(
        [Fraction(n, 4) for n in (2, 3, 4, 5, 6, 8, 10)]
        + [Fraction(n) for n in (3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 24)]
    )
)
PIPE_WALLS = (
    Choice("40", "schedule forty", None, "schedule"),
    Choice("80", "schedule eighty", None, "schedule"),
    Choice("160", "schedule one sixty", None, "schedule"),
    Choice("STD", "standard", None, "wall"),
    Choice("XS", "extra strong", None, "wall"),
)

PLATE, PIPE = Choice("plate", "plate"), Choice("pipe", "pipe")
SECTIONS = _named("beam", "channel", "angle", "tee")
HOLLOW_OR_SOLID = _named("square tube", "round tube", "flat bar", "square bar", "shaft")

MILD = Choice("mild steel, clean", "", named="mild steel, clean")
HARD_STEELS = _named("high carbon steel", "alloy steel", "tool steel", "manganese steel")
NOT_STEELS = _named(
    "stainless steel", "cast iron", "aluminium", "copper", "brass", "bronze", "nickel alloy",
    "titanium", "lead", "zinc", "magnesium", "unknown metal",
)  # fmt: skip
COATINGS = (
    *_named("galvanised", "painted", "lead painted", "cadmium plated"),
    Choice("not known", "with an unknown coating", named="not known"),
)

FUELS = _named("acetylene", "propane", "propylene", "natural gas")


def _steps(shown: str, words: str) -> Choice:
    return Choice(shown, words, named=shown)


STEP_LISTS = (
    _steps("flashback", "it's a flashback"),
    _steps("backfire", "i had a backfire"),
    _steps("fire", "we've got a fire"),
    _steps("somebody burns", "somebody's on fire"),
    _steps("cylinder burns", "the cylinder's on fire"),
    _steps("gas leak", "i smell gas"),
    _steps("lighting", "walk me through lighting up"),
    _steps("shutting down", "walk me through shutting down"),
    _steps("height check", "height check"),
    _steps("hot work, before", "hot work check before"),
    _steps("hot work, during", "hot work check during"),
    _steps("hot work, after", "hot work check after"),
    _steps("final fire check", "final fire check"),
    _steps("dead gauge", "the gauge is dead"),
    _steps("leak test", "walk me through a leak test"),
    _steps("purging", "walk me through purging the hoses"),
    _steps("new cylinder", "walk me through changing a cylinder"),
    _steps("setting up", "walk me through setting up the rig"),
    _steps("pressures", "walk me through setting pressures"),
    _steps("neutral flame", "neutral flame"),
    _steps("starting a cut", "walk me through starting a cut"),
    _steps("cleaning the tip", "cleaning the tip"),
    _steps("end of shift", "end of shift"),
)
VOICE_WORDS = (
    Choice("say again", "say again"),
    Choice("slower", "slower"),
    Choice("faster", "faster"),
    Choice("louder", "louder"),
    Choice("softer", "softer"),
)
# The list of what goes up; pieces are added by picking them and ticked off by their place on it.
WORK_WORDS = (
    Choice("what goes up", "what do i take up", named="what goes up"),
    Choice("last one off", "take the last one off", named="last one off"),
    Choice("new list", "new list"),
)
TIPS_WORDS = "show me my tips"
