"""`python -m gramwright` does what the `gramwright` command does."""

import sys

from gramwright.cli import main

sys.exit(main())
