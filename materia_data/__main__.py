"""`python -m materia_data` is the command `materia`."""

from materia_data.cli import main

raise SystemExit(main())
