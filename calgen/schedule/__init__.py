"""Stage 5: the dated result that every renderer shares."""
