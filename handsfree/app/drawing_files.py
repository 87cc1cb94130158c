"""Pictures and templates of a told reply, written into files that the user named."""

from pathlib import Path

from handsfree.drawing.sketch_kept import sketch_of
from handsfree.drawing.template import template_pdf, template_svg
from handsfree.errors import TemplateError
from handsfree.values import Told


def write_sketch(told: Told, path: Path) -> None:
    """The section with its numbered cuts, pieces against tips, or progress of practice, as SVG.

    Raises:
        TemplateError: the reply has nothing to draw, or the file cannot be written.
    """
    picture = sketch_of(told)
    if picture is None:
        raise TemplateError("There is no cut to draw in that reply. Ask how to cut a piece.")
    _write(path, picture.encode())


def write_template(told: Told, path: Path) -> None:
    """The unrolled line of a cut at full size, as PDF or SVG by the name of the file.

    Raises:
        TemplateError: the reply has no round piece, the name is neither, or it cannot be written.
    """
    if told.development is None:
        raise TemplateError("Only a round piece has a template. Ask for a pipe, mitred or square.")
    if path.suffix.lower() == ".svg":
        _write(path, template_svg(told.development).encode())
    elif path.suffix.lower() == ".pdf":
        _write(path, template_pdf(told.development))
    else:
        raise TemplateError(f"{path.name} is no name for a template: end it in .pdf or .svg.")


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as fault:
        raise TemplateError(f"{path} cannot be written: {fault.strerror}.") from fault
