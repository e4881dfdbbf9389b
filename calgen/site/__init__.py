"""Stage 1: what the grower wrote, read and checked."""
