"""``python -m calgen``."""

import sys

from calgen.cli import main

sys.exit(main())
