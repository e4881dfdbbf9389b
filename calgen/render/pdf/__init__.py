"""What chart and sheets share: shapes on a page, and the painter that turns pages into a PDF file."""
