"""The lab: what a flight would be, how forgiving it is, and what a next rung would ask for.

Everything here is a model to think with. It clears nobody for anything: a qualified
coach decides, and nothing is shown without its band.
"""
