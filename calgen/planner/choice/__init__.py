"""Which cover goes into a gap: what each would attain there, what speaks against it, and the ranking.

    growth -> course -> ending -> attain -> seed          what a cover does between two days at this place
    need, case, pairing, rules -> score -> mixture, rank    what is wanted, what forbids, what it is worth
"""
