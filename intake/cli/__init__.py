"""The ``intake`` command: arguments in, plain text and an exit code out."""
