"""Runs every oracle: general-purpose libraries answer fresh random questions, and so does Tripoise.

The program that starts this answers on a pipe: each line on stdout is a question
{"kind": ..., "input": {...}}, and each line it writes to stdin is the answer as JSON, or
{"refused": "..."}. Reports go to stderr. The exit status is 0 when all agree, 1 when not.

    python3 tests/oracle/run.py --venv target/oracle [--seed N] [--only match]

The venv is made on the first run, from the pinned tests/oracle/requirements.txt, and is kept while that
file stays as it is. The seed is printed; giving it again asks the same questions.

What this does not do: compute any answer itself; each oracle is one file beside this, with
check(ask, rng), found by its name in ORACLES.
"""

import argparse
import fcntl
import hashlib
import importlib
import json
import os
import random
import subprocess
import sys
import time
import traceback
from pathlib import Path

HERE = Path(__file__).resolve().parent
ORACLES = [
    "flatness",
    "straightedge",
    "three_post",
    "match_sets",
    "own_limits",
    "keep",
    "stack",
    "life",
    "trend",
    "plate",
]


def say(text):
    print(text, file=sys.stderr, flush=True)


def prepare(venv):
    """Makes the venv if it is missing or of other requirements, and returns its python. One at a time: tests that
    run side by side share it."""
    venv.parent.mkdir(parents=True, exist_ok=True)
    with open(venv.with_suffix(".lock"), "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        return prepare_alone(venv)


def prepare_alone(venv):
    wanted = hashlib.sha256((HERE / "requirements.txt").read_bytes()).hexdigest()
    stamp, python = venv / "requirements.sha256", venv / "bin" / "python"
    if stamp.is_file() and stamp.read_text() == wanted:
        return python
    say(f"oracle: making {venv} (a minute or two, once)")
    made = subprocess.run([sys.executable, "-m", "venv", "--clear", str(venv)], stdout=sys.stderr)
    if made.returncode != 0:
        sys.exit("oracle: python could not make a venv; install python3-venv, then run this again")
    pip = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps"]
    installed = subprocess.run(pip + ["-r", str(HERE / "requirements.txt")], stdout=sys.stderr)
    if installed.returncode != 0:
        sys.exit("oracle: pip could not install tests/oracle/requirements.txt; its own lines above say why")
    stamp.write_text(wanted)
    return python


class Asker:
    """Asks the program at the other end of the pipe."""

    def __init__(self):
        self.n_questions = 0

    def __call__(self, kind, question):
        answer = self.or_refusal(kind, question)
        assert "refused" not in answer, f"{kind} refused {json.dumps(question)}: {answer['refused']}"
        return answer

    def or_refusal(self, kind, question):
        self.n_questions += 1
        sys.stdout.write(json.dumps({"kind": kind, "input": question}) + "\n")
        sys.stdout.flush()
        line = sys.stdin.readline()
        assert line, "the program at the other end of the pipe has stopped"
        return json.loads(line)


def run_all(seed, only):
    failed = []
    for name in ORACLES:
        if only and name not in only:
            continue
        ask, start = Asker(), time.monotonic()
        try:
            note = importlib.import_module(name).check(ask, random.Random(f"{seed} {name}"))
            seconds = time.monotonic() - start
            say(f"oracle {name}: {ask.n_questions} questions agree in {seconds:.1f} s, seed {seed}; {note}")
        except Exception:  # Each oracle reports by itself; the others still run.
            failed.append(name)
            say(f"oracle {name}: DISAGREES, seed {seed}\n{traceback.format_exc()}")
    return failed


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--venv", type=Path, default=Path("target/oracle"))
    parser.add_argument("--seed", type=int, default=None)
    parser.add_argument("--only", action="append")
    parser.add_argument("--prepare", action="store_true", help="make the venv and stop")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    args = parser.parse_args()
    if not args.inside:
        python = prepare(args.venv.absolute())
        if not args.prepare:
            os.execv(python, [str(python), str(HERE / "run.py"), "--inside", *sys.argv[1:]])
        return
    seed = random.SystemRandom().randrange(10**9) if args.seed is None else args.seed
    sys.dont_write_bytecode = True  # The work tree stays as it is.
    sys.path.insert(0, str(HERE))
    failed = run_all(seed, args.only)
    if failed:
        sys.exit(f"oracle: {', '.join(failed)} disagree; ask again with --seed {seed}")


if __name__ == "__main__":
    main()
