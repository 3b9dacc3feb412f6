"""Run pytest again and again in copies of one process that has the slow libraries loaded.

Started by `run` as a script in the tree to be tested. Each line that it reads is a JSON list of
pytest's arguments; to each it answers with one line, pytest's exit code (1 when it was ended).
Nothing of the tree itself is loaded before a copy is made, so that each sees the files as they are.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import signal
import sys

import pytest

LIBRARIES = ("PIL.Image", "colour", "cv2", "django.test", "highspy", "hypothesis", "scipy.optimize")


def main(seconds: int) -> None:
    sys.path[0] = os.getcwd()
    for library in LIBRARIES:
        with contextlib.suppress(ImportError):
            importlib.import_module(library)
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _run(json.loads(line), seconds)
        _, status = os.waitpid(child, 0)
        code = os.waitstatus_to_exitcode(status)
        sys.stdout.write(f"{code if code >= 0 else int(pytest.ExitCode.TESTS_FAILED)}\n")
        sys.stdout.flush()


def _run(arguments: list[str], seconds: int) -> None:
    signal.alarm(seconds)  # a fault may keep a test from ending
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    code = 3  # pytest's own word for an error inside it
    try:
        code = int(pytest.main(arguments))
    finally:
        os._exit(code)


if __name__ == "__main__":
    main(int(sys.argv[1]))
