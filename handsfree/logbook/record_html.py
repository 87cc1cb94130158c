"""A record as one HTML page that needs nothing beside it, to be read on a screen or printed."""

from collections.abc import Iterator
from html import escape

from handsfree.logbook.record import TITLE, Record
from handsfree.logbook.record_pictures import for_html, size_mm
from handsfree.logbook.record_sheet import Block, Box, Fields, Heading, Pictures, Table, Text, sheet

PAPER, HALF = 182.0, 86.0  # mm between the margins, and for each of two pictures
_STYLE = """
@page { margin: 14mm; }
* { box-sizing: border-box; }
body { max-width: 190mm; margin: 8mm auto; padding: 0 4mm; color: #000; background: #fff;
  font: 10.5pt/1.4 "DejaVu Sans", Verdana, Arial, sans-serif; }
h1 { font-size: 22pt; margin: 0 0 4mm; }
h2 { font-size: 13pt; margin: 8mm 0 2mm; border-bottom: 2px solid #000; break-after: avoid; }
h3 { font-size: 11pt; margin: 5mm 0 1mm; break-after: avoid; }
p { margin: 1mm 0 2mm; }
p.strong { font-weight: bold; font-size: 12pt; }
dl { display: grid; grid-template-columns: 1fr 1fr; gap: 3mm 8mm; margin: 4mm 0; }
dl div { display: flex; gap: 3mm; align-items: end; }
dt { font-weight: bold; white-space: nowrap; }
dd { margin: 0; flex: 1; display: flex; align-items: end; border-bottom: 1px solid #000;
  min-height: 7mm; overflow-wrap: anywhere; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; font-size: 9pt; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { border: 1px solid #000; padding: 1mm 1.5mm; text-align: left; vertical-align: top;
  overflow-wrap: anywhere; }
th { background: #e4e4e4; }
tr.heavy td { font-weight: bold; border-width: 2px; }
.wide { overflow-x: auto; }
@media screen and (max-width: 720px) { .wide table { min-width: 660px; } }
.pictures { display: flex; flex-wrap: wrap; gap: 4mm; align-items: end; }
figure { margin: 0; break-inside: avoid; }
figcaption { font-weight: bold; margin-bottom: 2mm; overflow-wrap: anywhere; }
figure svg { display: block; max-width: 100%; height: auto; border: 1px solid #000; }
ul { list-style: none; margin: 2mm 0 3mm; padding: 2mm 4mm; border: 3px solid #000; }
li { break-inside: avoid; margin: 1mm 0; }
li.square { padding-left: 7mm; position: relative; }
li.square::before { content: ""; position: absolute; left: 0; top: 0.8mm; width: 4mm; height: 4mm;
  border: 2px solid #000; }
@media print { body { margin: 0; padding: 0; max-width: none; } th { print-color-adjust: exact; } }
"""


def record_html(record: Record) -> str:
    """The whole page."""
    return "\n".join(_page(record)) + "\n"


def _page(record: Record) -> Iterator[str]:
    title = f"{TITLE} {record.days}".strip()
    yield "<!doctype html>"
    yield '<html lang="en"><head><meta charset="utf-8">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>"
    yield f"<h1>{TITLE}</h1>"
    for block in sheet(record):
        yield from _block(block)
    yield "</body></html>"


def _block(block: Block) -> Iterator[str]:
    match block:
        case Heading(text, level, _):
            yield f"<h{level}>{escape(text)}</h{level}>"
        case Text(text, strong):
            yield f'<p class="strong">{escape(text)}</p>' if strong else f"<p>{escape(text)}</p>"
        case Fields(rows):
            cells = (f"<div><dt>{escape(n)}</dt><dd>{escape(v)}</dd></div>" for n, v in rows)
            yield f"<dl>{''.join(cells)}</dl>"
        case Box(lines, squares):
            mark = ' class="square"' if squares else ' class="strong"'
            yield f"<ul>{''.join(f'<li{mark}>{escape(line)}</li>' for line in lines)}</ul>"
        case Pictures(drawn):
            yield '<div class="pictures">'
            for number, (told, svg) in enumerate(drawn, 1):
                wide, _ = size_mm(svg, PAPER)
                picture = for_html(svg, number).replace(
                    "<svg ", f'<svg style="width:{wide:g}mm" ', 1
                )
                yield (
                    f'<figure style="max-width:{max(wide, HALF):g}mm">'
                    f"<figcaption>{escape(told)}</figcaption>{picture}</figure>"
                )
            yield "</div>"
        case Table():
            yield from _table(block)


def _table(table: Table) -> Iterator[str]:
    yield '<div class="wide"><table><colgroup>'
    yield "".join(f'<col style="width:{share}%">' for _, share in table.columns)
    yield "</colgroup><thead><tr>"
    yield "".join(f'<th scope="col">{escape(title)}</th>' for title, _ in table.columns)
    yield "</tr></thead><tbody>"
    for at, row in enumerate(table.rows):
        heavy = ' class="heavy"' if at in table.heavy else ""
        yield f"<tr{heavy}>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>"
    yield "</tbody></table></div>"
