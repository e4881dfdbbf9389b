"""Stage 2: what the weather allows, from three numbers, twelve months or a daily record, behind one interface."""
