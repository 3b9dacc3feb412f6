"""The process that reads photos: bytes in, what was taken from them out, within limits.

It is started by `stash.photos.apart.reading` and knows nothing of the site: no settings and no
database. Each message is its length in eight bytes and then a pickle; only the site and this
process hold the two ends. It ends when its input ends, so that a site that was killed leaves none
behind.
"""

from __future__ import annotations

import os
import pickle
import struct
import sys
import traceback
from typing import IO, Any

__all__ = ["LENGTH", "receive", "send"]

LENGTH = struct.Struct(">Q")


def send(stream: IO[bytes], message: object) -> None:
    content = pickle.dumps(message, pickle.HIGHEST_PROTOCOL)
    stream.write(LENGTH.pack(len(content)) + content)
    stream.flush()


def receive(stream: IO[bytes]) -> Any:
    """Return the next message; raises EOFError where the other end is gone."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        raise EOFError
    (size,) = LENGTH.unpack(head)
    content = stream.read(size)
    if len(content) < size:
        raise EOFError
    return pickle.loads(content)


def main(memory: int, seconds: int) -> None:
    """Serve until the input ends; a photo that takes more than the limits ends the process.

    It then ends by a signal of the limits or with code 0; any other end is a crash.
    """
    questions = os.fdopen(os.dup(0), "rb")
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever a library prints must not be taken for an answer

    from stash.colour import taking
    from stash.colour.picture import photo
    from stash.colour.references import chart_colours

    chart_colours.chart_xyz()  # its library is large, and is loaded once for all photos
    _limit_memory(memory)
    send(answers, "ready")
    while True:
        try:
            data, card_print, views = receive(questions)
        except EOFError:
            return
        _limit_seconds(seconds)
        answer: object
        try:
            answer = taking.take(data, card_print, views)
        except photo.PhotoError as error:
            if _is_lack_of_memory(error.__cause__):
                return  # what is left of it may hold anything; a new process begins empty
            answer = error
        except Exception as error:
            if _is_lack_of_memory(error):
                return
            answer = taking.Fault(trace=traceback.format_exc())
        send(answers, answer)


def _is_lack_of_memory(error: BaseException | None) -> bool:
    """OpenCV has an error of its own for it."""
    return isinstance(error, MemoryError) or "Insufficient memory" in str(error)


def _limit_memory(more: int) -> None:
    """Let it take so many bytes more than it has now; without effect on Windows."""
    try:
        import resource
    except ImportError:
        return
    now = _data_bytes()
    if now:
        resource.setrlimit(resource.RLIMIT_DATA, (now + more, now + more))


def _data_bytes() -> int:
    """What this process may write to, as the limit counts it; 0 where the system does not tell."""
    try:
        with open("/proc/self/status") as file:
            told = next(line for line in file if line.startswith("VmData"))
    except (OSError, StopIteration):
        return 0
    return int(told.split()[1]) * 1024


def _limit_seconds(more: int) -> None:
    """Let the next photo take so many seconds of processor time; without effect on Windows."""
    try:
        import resource
    except ImportError:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    end = int(used.ru_utime + used.ru_stime) + more + 1
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (end, hard))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
