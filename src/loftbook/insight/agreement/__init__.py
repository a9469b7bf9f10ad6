"""How alike two people mark the same turns, and what that says of a mark.

    tally         marks of the same turns as counts, child by child
    coefficients  how much more alike than chance: kappa, AC1 and AC2, alpha
    intervals     where each could lie: children drawn again, by a seed
    error         the error of one mark, and the smallest change that is more than it
    criteria      all of it for what became of a turn and for each criterion
    drift         whether the same person marks the same turns otherwise later

It is about criteria, not about people: nothing here puts raters in an order.
"""
