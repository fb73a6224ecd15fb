#!/usr/bin/python3
"""R's survival fits the interval-censored data of checks/ripening anew: the committed
figures, which the likelihood of the ripening estimator is held to, are what it finds."""
import pathlib
import re
import shutil
import subprocess
import sys

VECTORS = pathlib.Path(__file__).resolve().parent.parent / "checks/ripening/interval_mle.def"
ROW = re.compile(r"^(CASE|OBS|FIT|DONE)\((.*)\)$", re.M)
TOLERANCE = 1e-5
SCRIPT = """
suppressPackageStartupMessages(library(survival))
f <- survreg(Surv(c({low}), c({high}), type = "interval2") ~ 1, dist = "lognormal",
             control = survreg.control(maxiter = 100, rel.tolerance = 1e-12))
cat(sprintf("%.8f %.8f %.8f\\n", f$coefficients[[1]], f$scale, f$loglik[2]))
"""


def cases():
    """(name, [(low, high)], [mu, sigma, log likelihood]) of each case."""
    name, obs, fit = "", [], []
    for word, inside in ROW.findall(VECTORS.read_text(encoding="utf-8")):
        parts = [p.strip() for p in inside.split(",")]
        if word == "CASE":
            name, obs = parts[0], []
        elif word == "OBS":
            obs.append(["NA" if p == "NONE" else p for p in parts])
        elif word == "FIT":
            fit = [float(p) for p in parts]
        else:
            yield name, obs, fit


def r_fits(obs):
    script = SCRIPT.format(low=", ".join(o[0] for o in obs), high=", ".join(o[1] for o in obs))
    done = subprocess.run(["Rscript", "--vanilla", "-"], input=script, text=True,
                          stdout=subprocess.PIPE, check=True)
    return [float(x) for x in done.stdout.split()]


def main():
    if shutil.which("Rscript") is None or subprocess.run(
            ["Rscript", "--vanilla", "-e", "library(survival)"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode != 0:
        print("no R with survival here")
        return 77
    found, off = list(cases()), 0
    for name, obs, fit in found:
        again = r_fits(obs)
        if len(again) != 3 or any(abs(a - b) > TOLERANCE for a, b in zip(again, fit)):
            print(f"{name}: committed {fit}, R finds {again}")
            off += 1
    if len(found) < 5:
        print(f"{VECTORS}: {len(found)} cases, expected 5 at least")
        off += 1
    return 1 if off else 0


if __name__ == "__main__":
    sys.exit(main())
