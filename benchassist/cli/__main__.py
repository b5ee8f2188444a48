"""`python -m benchassist.cli`."""

import sys

from benchassist.cli import main

sys.exit(main())
