"""Stage 3: crops and covers as data, each value with its unit and source."""
