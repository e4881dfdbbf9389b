"""Reads damaged files by the thousand and tells what came of it: ``python -m tests.fuzz --count 1000 --seed 1``."""

from __future__ import annotations

import argparse
import signal
import sys
import time
import traceback
from collections import Counter
from pathlib import Path
from random import Random

from calgen.problems import InputError
from tests.fuzz.built import built_files
from tests.fuzz.garden import site_file
from tests.fuzz.kinds import kinds
from tests.fuzz.mutate import damaged

LIMIT_S = 2.0
WHOLE_BUILD_S = 6.0


class TooLong(BaseException):
    """More computing than an input may cost."""


def _stop(*_: object) -> None:
    raise TooLong


def unprintable(text: str) -> bool:
    """Whether lines hold what a terminal would act on; hard blanks and joiners (Zs, Cf without direction) are none."""
    return not "".join(sign for sign in text if sign not in "\n\u00a0\u202f\u200c\u200d").isprintable()


def one(kind: str, seed: str, limit_s: float = 0.0) -> tuple[bytes, str, str]:
    """One input, what came of it (``taken``, ``refused`` or ``found``), and the last lines of the finding.

    Args:
        limit_s: computing time after which a reader hangs; none when 0. [s]
    """
    chance = Random(seed)
    if kind == "garden":
        data, read = site_file(chance), built_files
    else:
        known = kinds()[kind]
        data, read = damaged(chance.choice(known.texts), chance, known.texts), known.read
    signal.setitimer(signal.ITIMER_PROF, limit_s)
    try:
        read(data)
    except InputError as refusal:
        told = str(refusal)
        if not refusal.problems or unprintable(told):
            return data, "found", f"refused in unprintable words: {told!r}"
        return data, "refused", ""
    except (Exception, TooLong):
        return data, "found", traceback.format_exc(limit=-3)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    return data, "taken", ""


def main() -> int:
    """Run; exit status 1 when anything was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kinds", nargs="*", default=["garden", *kinds()],
                        help="garden (whole builds), " + ", ".join(kinds()))
    parser.add_argument("--count", type=int, default=1000, help="inputs of each kind")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="folder for the inputs that found something")
    args = parser.parse_args()
    signal.signal(signal.SIGPROF, _stop)
    status = 0
    for kind in args.kinds:
        begun, came, seen = time.process_time(), Counter[str](), Counter[str]()
        limit_s = WHOLE_BUILD_S if kind == "garden" else LIMIT_S
        for number in range(args.count):
            data, what, words = one(kind, f"{args.seed}/{kind}/{number}", limit_s)
            came[what] += 1
            if what == "found":
                status = 1
                sign = "\n".join(line for line in words.splitlines()[-6:])
                seen[sign] += 1
                if seen[sign] == 1:
                    print(f"{kind} {number}: {words}", file=sys.stderr, flush=True)
                    if args.keep:
                        args.keep.mkdir(parents=True, exist_ok=True)
                        (args.keep / f"{kind}-{number}").write_bytes(data)
        spent = time.process_time() - begun
        print(f"{kind}: {came['taken']} taken, {came['refused']} refused, {came['found']} found; "
              f"{args.count / spent:.0f} a second", flush=True)
    return status


if __name__ == "__main__":
    sys.exit(main())
