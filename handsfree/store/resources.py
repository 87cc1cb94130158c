"""Where grammar/ and models/ lie: inside an installed wheel, or beside the package."""

from pathlib import Path
from typing import Final

from handsfree.errors import HandsfreeError

MODEL: Final = "models/shop-english"
_PACKAGE = Path(__file__).resolve().parents[1]


def shipped_folder(name: str) -> Path:
    """The folder `grammar` or `models/...` that came with this copy of the project.

    Raises:
        HandsfreeError: it is in neither place; the installation is incomplete.
    """
    for base in (_PACKAGE / "_shipped", _PACKAGE.parent):
        if (base / name).is_dir():
            return base / name
    raise HandsfreeError(
        f"The folder {name} did not come with this installation. Install the project again."
    )
