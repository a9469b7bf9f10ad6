"""Skills, rungs, criteria and drills: the catalogue, and the way up.

shipped     the ladder that comes with Loftbook, as values and as text to copy
reading     a coach's own ladder file, or the line of its first mistake
rungs       what a ladder holds        scales      help, surfaces, outcomes, shapes
notation    8 – 2 o and back           headings    when two names are one
graph       what leads to what         drills      what to send home
difficulty  by dated editions of the rules, off unless switched on
"""
