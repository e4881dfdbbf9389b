"""Which crop wanted goes into which bed, where orders leave the crop to calgen.

``outline`` puts a bed's order in dates; ``rules`` tell what a crop is worth in a place of it; ``assign`` finds what is
best for all beds together; ``chosen`` writes that into the site and keeps the reasons.
"""
