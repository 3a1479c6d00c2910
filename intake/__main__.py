"""``python -m intake``."""

import sys

from intake.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
