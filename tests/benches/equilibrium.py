"""Times PHREEQC on the mixtures of a file: database loaded, two figures of output.

Prints a JSON list of microseconds per solution, the least of three batches.
"""

import importlib.util
import json
import pathlib
import sys
import time

import phreeqc

RUNS = 60


def load(name, path):
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main():
    here = pathlib.Path(__file__).resolve().parent
    check = load("cross_check", here.parent.parent / "domain/tests/data/cross_check.py")
    data = json.loads(pathlib.Path(sys.argv[1]).read_text(encoding="utf-8"))
    out = []
    for mix in data["mixtures"]:
        engine = phreeqc.Phreeqc()
        engine.LoadDatabaseString(check.database(data["tables"], mix["ideal"], mix["metal"] in ("Cu", "Zn", "Fe")))
        engine.RunString('SELECTED_OUTPUT 1\n -reset false\nUSER_PUNCH 1\n -headings pH Ag\n 10 PUNCH -LA("H+"), TOT("Ag")\nEND\n')
        text = check.program(data["tables"], mix)
        best = float("inf")
        for _ in range(3):
            began = time.perf_counter()
            for _ in range(RUNS):
                engine.RunString(text)
                engine.GetSelectedOutput()
            best = min(best, (time.perf_counter() - began) / RUNS)
        out.append(best * 1e6)
    print(json.dumps(out))
    return 0


if __name__ == "__main__":
    sys.exit(main())
