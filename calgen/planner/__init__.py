"""Stage 4: windows, chains and the choice of covers, with reasons."""
