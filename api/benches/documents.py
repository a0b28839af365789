"""Times WeasyPrint on the HTML files named on the command line.

For each file: processor milliseconds of one PDF, warm, the least of some runs. Prints a JSON list.
"""

import json
import pathlib
import sys
import time

import weasyprint

RUNS = 5


def main():
    out = []
    for name in sys.argv[1:]:
        page = pathlib.Path(name).read_text(encoding="utf-8")
        weasyprint.HTML(string=page).write_pdf()
        best = float("inf")
        for _ in range(RUNS):
            started = time.process_time()
            weasyprint.HTML(string=page).write_pdf()
            best = min(best, time.process_time() - started)
        out.append(best * 1e3)
    print(json.dumps(out))


if __name__ == "__main__":
    main()
