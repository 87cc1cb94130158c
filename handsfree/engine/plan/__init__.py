"""A piece of steel becomes a cut plan: its section, the order of its cuts, and what each takes.

`shapes` and `sections` make the section's faces, `mitres` changes them before it is laid, `lies`
turns it as a cutter would lay it, `order` weighs the rules of `data/cut_rules.yaml` over every
order, `strokes` words each travel, `cuts` works it out with one tip. `development` and `saddles`
make the line round a pipe; `tasks`, with `data/gouging.yaml`, a weld or a pin, which are no cut.
"""
