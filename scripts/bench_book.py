"""Pages of a large book as a person calls them, whole process: the least and the median of 25 calls each, and the
processor's time, which other work on the machine lengthens least.

    python3 scripts/bench_book.py STANDFAST BOOK DAY
"""

import datetime
import os
import resource
import statistics
import subprocess
import sys
import time

CALLS = 25


def call(command):
    """Milliseconds by the clock and of the processor, and lines."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE)
    clock, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    worked = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return clock * 1e3, worked * 1e3, done.stdout.count(b"\n")


def main():
    program, book, day = sys.argv[1:]
    since = datetime.date.fromisoformat(day) - datetime.timedelta(days=14)
    pages = {
        "today's board": ["show"],
        "a day's page": ["day", day],
        "a lift's record, 14 days": ["record", "bay-1", "--since", since.isoformat()],
    }
    for name, page in pages.items():
        clock, worked, lines = zip(*(call([program, "book", *page, "--book", book]) for _ in range(CALLS)))
        least, median = min(clock), statistics.median(clock)
        print(
            f"{name:26} {lines[0]} lines: least {least:.0f}, median {median:.0f} ms; processor"
            f" {min(worked):.0f}, {statistics.median(worked):.0f} ms; load {os.getloadavg()[0]:.1f}"
        )


if __name__ == "__main__":
    main()
