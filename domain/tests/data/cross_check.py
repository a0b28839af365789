"""Solves the mixtures in a file with PHREEQC and compares with the answers beside them.

Usage: cross_check.py FILE. The file holds the tables of constants, and mixtures with our answers.
Prints the number compared, the worst disagreement and how many PHREEQC gave up on.
"""

import json
import math
import sys
import time

import phreeqc

# PHREEQC's gas constant in kJ; ours is exact, so enthalpies are scaled to the same shift of log K.
R_RATIO = 0.00831470 / 0.008314462618

ALIAS = {
    "H+": {"H": 1}, "Ag+": {"Ag": 1}, "Cl-": {"Cl": 1}, "Br-": {"Br": 1}, "I-": {"I": 1},
    "S2O3-2": {"Thiosulfate": 1}, "SO3-2": {"Sulfite": 1}, "SO4-2": {"Sulfate": 1},
    "HS-": {"H": 1, "Sulfide": 1}, "CN-": {"Cyanide": 1}, "SCN-": {"Thiocyanate": 1},
    "NH3": {"Ammonia": 1}, "CH3COO-": {"Acetate": 1}, "NO3-": {"Nitrate": 1},
    "CO3-2": {"C": 1, "O": 3}, "CrO4-2": {"Chromate": 1}, "Na+": {"Na": 1}, "K+": {"K": 1},
    "Cu+2": {"Cu": 1}, "Zn+2": {"Zn": 1}, "Fe+2": {"Fe": 1}, "H2O": {"H": 2, "O": 1},
}


def atoms(reaction):
    out = {}
    for name, nu in reaction.items():
        for element, count in ALIAS[name].items():
            out[element] = out.get(element, 0) + nu * count
    return {e: n for e, n in out.items() if n}


def formula(reaction, charge=0):
    parts = atoms(reaction)
    order = sorted(parts, key=lambda e: (e != "Ag", e in ("H", "O"), e))
    text = ""
    for e in order:
        n = parts[e]
        text += e if n == 1 else (f"({e}){n}" if len(e) > 2 else f"{e}{n}")
    if charge:
        text += ("+" if charge > 0 else "-") + (str(abs(charge)) if abs(charge) > 1 else "")
    return text


def term(nu, name):
    return name if nu == 1 else f"{nu} {name}"


def database(tables, ideal, metal):
    names = {c: (formula({c: 1}, z)) for c, z in tables["components"]}
    names["H2O"] = "H2O"
    gamma = ["    -gamma 1e9 0.0"] if ideal else []
    out = ["SOLUTION_MASTER_SPECIES", "H H+ -1 H 1.008", "H(0) H2 0 H", "H(1) H+ -1 0", "E e- 0 0 0",
           "O H2O 0 O 15.999", "O(0) O2 0 O", "O(-2) H2O 0 0", "Alkalinity CO3-2 1 50.04 50.04",
           "C CO3-2 2 C 12.011", "C(4) CO3-2 2 C"]
    for c, z in tables["components"]:
        element = [e for e in ALIAS[c] if e not in ("H", "O")] or None
        if element and c != "CO3-2":
            out.append(f"{element[0]} {names[c]} 0 100 100")
    out += ["SOLUTION_SPECIES", "H+ = H+", "    log_k 0"] + gamma + ["e- = e-", "    log_k 0", "H2O = H2O", "    log_k 0"]
    for c, z in tables["components"]:
        if c != "H+":
            out += [f"{names[c]} = {names[c]}", "    log_k 0"] + gamma
    for s in tables["species"]:
        left = [term(nu, names[c]) for c, nu in s["reaction"].items() if nu > 0]
        right = [formula(s["reaction"], s["charge"])]
        right += [term(-nu, names[c]) for c, nu in s["reaction"].items() if nu < 0]
        names_of_species[s["formula"]] = right[0]
        out += [f"{' + '.join(left)} = {' + '.join(right)}", f"    log_k {s['log_k']!r}"]
        if s["enthalpy_kj_per_mol"] is not None:
            out.append(f"    delta_h {s['enthalpy_kj_per_mol'] * R_RATIO!r} kJ")
        out += gamma
    out += ["2 H2O = O2 + 4 H+ + 4 e-", f"    log_k {-150 if metal else -86.08}"] + gamma
    out += ["2 H+ + 2 e- = H2", f"    log_k {-100 if metal else -3.15}"] + gamma
    out.append("PHASES")
    for p in tables["solids"]:
        left = [formula(p["reaction"])] + [term(-nu, names[c]) for c, nu in p["reaction"].items() if nu < 0]
        right = [term(nu, names[c]) for c, nu in p["reaction"].items() if nu > 0]
        out += [f"{p['formula']}(s)", f"    {' + '.join(left)} = {' + '.join(right)}", f"    log_k {p['log_k']!r}"]
        if p["enthalpy_kj_per_mol"] is not None:
            out.append(f"    delta_h {p['enthalpy_kj_per_mol'] * R_RATIO!r} kJ")
    g = tables["gas"]
    out += ["CO2(g)", "    CO2 = CO2", f"    log_k {g['log_k']!r}"]
    if g["enthalpy_kj_per_mol"] is not None:
        out.append(f"    delta_h {g['enthalpy_kj_per_mol'] * R_RATIO!r} kJ")
    for m in tables["metals"]:
        out += [f"{m['formula']}(m)", f"    {m['formula']} = {names[m['ion']]} + {term(m['electron_count'], 'e-')}",
                f"    log_k {m['log_k']!r}"]
    out.append("END")
    return "\n".join(out) + "\n"


names_of_species = {}


def program(tables, mix):
    amounts = {}
    for c, n in list(mix["totals"].items()) + [("H2O", mix["water_mol"])]:
        for element, count in ALIAS[c].items():
            amounts[element] = amounts.get(element, 0.0) + n * count
    lines = ["SOLUTION 1", " temp 25", " pH 7", " units mol/kgw", f" -water {mix['water_kg']!r}"]
    lines.append("REACTION 1")
    lines += [f" {e} {n!r}" for e, n in amounts.items() if n != 0.0] or [" H2O 0"]
    lines.append(" 1 moles")
    if mix["temperature_c"] != 25:
        lines += ["REACTION_TEMPERATURE 1", f" {mix['temperature_c']!r}"]
    plenty = 100 * mix["water_kg"]
    phases = [f" {f}(s) 0 {n!r}" for f, n in mix["solids"]]
    if mix["carbon_dioxide"] == "vents_at_saturation":
        phases.append(" CO2(g) 0 0")
    elif mix["carbon_dioxide"] == "open_to_air":
        phases.append(f" CO2(g) {tables['air_log_pressure']!r} {plenty!r}")
    if mix["metal"] in ("Cu", "Zn", "Fe"):
        phases += [" Ag(m) 0 0", f" {mix['metal']}(m) 0 {plenty!r}"]
    if phases:
        lines += ["EQUILIBRIUM_PHASES 1"] + phases
    lines.append("END")
    return "\n".join(lines) + "\n"


HEAD = """SELECTED_OUTPUT 1
 -reset false
 -high_precision true
USER_PUNCH 1
 -headings pH laAg mAg mu water
 10 PUNCH -LA("H+"), LA("Ag+"), TOT("Ag"), MU, TOT("water")
"""


def main():
    with open(sys.argv[1], encoding="utf-8") as handle:
        data = json.load(handle)
    tables = data["tables"]
    engines = {}
    worst = {"ph": (0.0, None), "dissolved": (0.0, None), "trace": (0.0, None), "ionic_strength": (0.0, None)}
    every = {k: [] for k in worst}
    compared = gave_up = 0
    seconds = 0.0
    for index, mix in enumerate(data["mixtures"]):
        kind = (mix["ideal"], mix["metal"] in ("Cu", "Zn", "Fe"))
        if kind not in engines:
            engine = phreeqc.Phreeqc()
            engine.LoadDatabaseString(database(tables, *kind))
            if engine.GetErrorString().strip():
                print(engine.GetErrorString())
                return 2
            engines[kind] = engine
        engine = engines[kind]
        row = None
        for knobs in ("KNOBS\n -convergence_tolerance 1e-12\n -iterations 400\n", "KNOBS\n -convergence_tolerance 1e-10\n -iterations 800\n -step_size 10\n -pe_step_size 5\n",
                      "KNOBS\n -convergence_tolerance 1e-8\n -iterations 400\n -step_size 100\n -pe_step_size 10\n"):
            began = time.perf_counter()
            try:
                engine.RunString(HEAD + knobs + program(tables, mix))
                failed = bool(engine.GetErrorString().strip())
            except Exception:  # the binding raises what PHREEQC reports
                failed = True
            seconds += time.perf_counter() - began
            if not failed:
                out = engine.GetSelectedOutput()
                row = {k: v[-1] for k, v in out.items() if v}
                if len(row) == 5:
                    break
                row = None
        if row is None:
            gave_up += 1
            continue
        ours = mix["ours"]
        compared += 1
        off = {"ph": abs(row["pH"] - ours["ph"]), "ionic_strength": abs(row["mu"] / ours["ionic_strength"] - 1)}
        if ours["dissolved"] > 0 and row["mAg"] > 0:
            # Over a metal, PHREEQC closes its electron balance to an absolute amount: a trace of
            # silver below it is compared apart.
            trace = mix["metal"] in ("Cu", "Zn", "Fe") and ours["dissolved"] < 1e-12
            off["trace" if trace else "dissolved"] = abs(row["mAg"] / ours["dissolved"] - 1)
        for k, v in off.items():
            every[k].append(v)
            if v > worst[k][0]:
                worst[k] = (v, index)
    print(json.dumps({
        "compared": compared, "gave_up": gave_up,
        "worst": {k: v[0] for k, v in worst.items()},
        "worst_at": {k: v[1] for k, v in worst.items()},
        "median": {k: sorted(v)[len(v) // 2] if v else 0.0 for k, v in every.items()},
        "above_1e-5": {k: sum(x > 1e-5 for x in v) for k, v in every.items()},
        "phreeqc_us_each": 1e6 * seconds / max(1, compared),
    }))
    if len(sys.argv) > 2:
        for k, (v, i) in worst.items():
            if i is not None:
                print(k, v, i, json.dumps(data["mixtures"][i]))
                print(program(tables, data["mixtures"][i]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
