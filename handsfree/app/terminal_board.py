"""The page's board, whose replies and faults stand on the terminal as well."""

from handsfree.app.commands.replying import USUAL
from handsfree.app.printing import Printing
from handsfree.engine import advice
from handsfree.page.board import PageBoard
from handsfree.values import Part, Told
from handsfree.values.clean_text import clean_text
from handsfree.wording.paper_short import short_paper


class TerminalBoard(PageBoard):
    """A board that prints; what is wrong with several parts for one reason stands there once.

    Args:
        printing: takes the lines.
    """

    def __init__(self, printing: Printing) -> None:
        super().__init__()
        self._printing = printing
        self._typed: str | None = None
        self._wrong: dict[Part, str] = {}

    def typed(self, line: str) -> None:
        """That was typed on the terminal, where it stands already: its reply is to be read."""
        self._typed = clean_text(line)

    def publish(self, told: Told) -> None:
        """Pin a reply, and print it."""
        super().publish(told)
        typed, self._typed = self._typed, None
        if typed is not None and told.heard == typed:
            usual = frozenset(advice.sentences(*USUAL))
            self._printing.tell(short_paper(told, usual, more='"more"'))
        else:
            self._printing.tell("\n".join((f"> {told.heard}", *told.sentences)))

    def notify(self, part: Part, sentence: str = "") -> None:
        """Show a fault, and print it; or that it is over."""
        sentence = clean_text(sentence)  # it may name a file whose name is no text
        super().notify(part, sentence)
        others = [said for other, said in self._wrong.items() if other is not part and said]
        self._wrong[part] = sentence
        if not sentence or not any(said in sentence or sentence in said for said in others):
            self._printing.complain(f"{part}: {sentence or 'works again'}")
