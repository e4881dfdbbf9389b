"""Stage 6: the schedule as bytes: chart, sheets, feeds, page, plan.json."""
