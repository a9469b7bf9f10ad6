"""Loftbook: the camp book of a programme coach. This page is the map of the house.

The packages, from the ground up (each may use those above it in this list, as the
arrow says; `tests/test_shape_of_the_code.py` holds it):

    errors      what can go wrong, as sentences that say the next step
    units       the only conversions: cm, degrees, frames to SI
    mechanics   bodies in the air: shape, spin, twist, budget (pure; SI, radians, no mass)
    ladder      skills, rungs, standards, drills: data with an edition (pure)
    book        what a camp writes down: people, attempts, typed lists (pure)
    insight     from many facts to something worth saying (pure)
    store       the only SQL: one SQLite file
    film        from a phone clip to readings; knows clips, never children (pure, with two edges)
    reports     papers and drawings: composed as values, set by one edge
    desk        the join: one plain function for each thing a person asks for
    web, cli    pages and commands; they call only the desk
    checks      every check of the product against something outside it

    cli, web -> desk -> store, film, reports, insight -> book, mechanics -> ladder -> errors, units

An example: three good turns out of three prove less than one hopes.

>>> from loftbook.insight.wilson import wilson
>>> low_high = wilson(3, 3)
>>> f"{low_high.low:.0%} to {low_high.high:.0%}"
'44% to 100%'
"""

__version__ = "0.1.0"
