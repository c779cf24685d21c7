"""`calotte measure fit` on many doubtful campaigns: what it answered, beside what is true.

The one place that knows the keys of the program's document. Kinds of campaigns:

mixed: one to four faults at once and whatever makes a campaign doubtful.
sound: nothing beyond tolerance, nothing unmodelled, full range.
single: the same with one fault of four least standard errors or more.
held: sound, and a user asks to hold two parameters.
drifting: the tracker drifts by two standard deviations of the noise in 100 rows.
"""

from __future__ import annotations

import json
import subprocess
import tempfile
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

import numpy as np

from doubtful_campaigns import LINKAGES, SHIFTS, DoubtfulCampaign, doubtful_campaign, part_of, tolerance

#: Processes that run campaigns beside each other.
PROCESSES = 2


# ---------------------------------------------------------------- campaigns of each kind


def anything(random):
    """A linkage, and options that every kind of campaign shares."""
    noise = 0.03 * 10.0 ** random.uniform(0.0, 1.0)
    outliers = random.choice([0.0, random.uniform(0.0, 0.2)])
    options = {
        "rows": int(random.integers(60, 201)),
        "noise_mm": round(float(noise), 3),
        "order": str(random.choice(["raster", "random"])),
        "repeats": str(random.choice(["", "returned", "scattered", "standing"])),
        "outlier_share": round(float(outliers), 3),
    }
    return LINKAGES[random.integers(len(LINKAGES))], options


def mixed(seed):
    """One to four faults; a quarter narrow, a quarter drifting, a third with shifts unmodelled."""
    random = np.random.default_rng([seed, 1])
    linkage, options = anything(random)
    options |= {"faults": int(random.integers(1, 5)), "narrow": bool(random.uniform() < 0.25)}
    size = round(float(random.uniform(0.3, 3.0)), 2)
    which = random.choice(["", "drift", "wandering", "shift"], p=[0.42, 0.15, 0.1, 0.33])
    if which in ("drift", "wandering"):
        options[str(which)] = size
    elif which == "shift":
        options |= {"shift": str(random.choice(SHIFTS)), "shift_size": size}
    if random.uniform() < 0.15:
        options["held"] = int(random.integers(1, 3))
    return doubtful_campaign(seed, *linkage, **options)


def sound(seed, planted=None):
    """A prototype within tolerance, measured as one should; `planted` errors all the same."""
    linkage, options = anything(np.random.default_rng([seed, 2]))
    return doubtful_campaign(seed, *linkage, **options, planted=planted)


def single(seed):
    """One fault of four least standard errors or more."""
    linkage, options = anything(np.random.default_rng([seed, 3]))
    return doubtful_campaign(seed, *linkage, **options, faults=1, errors_min=4.0)


def held(seed):
    """A sound campaign whose user asks to hold two parameters that are off within tolerance."""
    linkage, options = anything(np.random.default_rng([seed, 6]))
    return doubtful_campaign(seed, *linkage, **options, held=2)


def drifting(seed):
    """A drift of two standard deviations of the noise in 100 rows, 100 rows or more."""
    random = np.random.default_rng([seed, 4])
    linkage, options = anything(random)
    options |= {"rows": int(random.integers(100, 201)), "faults": int(random.integers(0, 3))}
    return doubtful_campaign(seed, *linkage, **options, drift=2.0)


KINDS = {"mixed": mixed, "sound": sound, "single": single, "held": held, "drifting": drifting}


# ---------------------------------------------------------------- what the program answered


@dataclass
class Found:
    """One parameter of an answer, in its own unit."""

    value: float
    #: the printed error; None where nothing is said
    error: float | None
    identifiable: bool
    #: the least fault that is said would have been seen
    seen: float | None


@dataclass
class Answer:
    """A fit's document, as far as it is judged here."""

    outcome: str
    exit_status: int
    words: str
    #: sets of parts of which each is said to explain the points, and its probability
    explanations: list
    lack_found: bool
    #: names of tests that found a lack of fit, as the whole of them judges
    tests: list
    parameters: dict
    noise_mm: float


def answer(document, exit_status):
    """What the program says, from its document."""
    verdict, lack = document["verdict"], document["lack_of_fit"]
    return Answer(
        outcome=verdict["outcome"],
        exit_status=exit_status,
        words=verdict["words"],
        explanations=[(set(one["parts"]), one["probability"]) for one in verdict["explanations"]],
        lack_found=lack["found"],
        tests=[one["name"] for one in lack["tests"] if one["found"]],
        parameters={
            one["name"]: Found(
                one["value"], one["standard_error"], one["identifiable"], one.get("minimum_fault_seen")
            )
            for one in document["parameters"]
        },
        noise_mm=document["after"]["noise_mm"],
    )


def fitted(binary, made, read=answer):
    """The program's answer for a campaign."""
    with tempfile.TemporaryDirectory() as name:
        design, points = Path(name) / "design.toml", Path(name) / "points.csv"
        design.write_text(made.design, encoding="utf-8")
        points.write_text(made.points, encoding="utf-8")
        command = [binary, "measure", "fit", str(design), str(points), "--json"]
        command += ["--hold", ",".join(made.held)] if made.held else []
        run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if run.returncode not in (0, 1):
        raise RuntimeError(f"exit {run.returncode}: {run.stderr}\n{made.options}")
    return read(json.loads(run.stdout), run.returncode)


# ---------------------------------------------------------------- held against the truth


@dataclass
class Judged:
    """One campaign's answer held against its truth."""

    kind: str
    seed: int
    options: dict
    faulty: dict
    faulty_parts: list
    answer: Answer
    #: (found - true) / printed error, printed error / least standard error; by name
    deviations: dict = field(default_factory=dict)
    over_bound: dict = field(default_factory=dict)
    #: parameters whose true error is beyond three printed errors and beyond tolerance
    missed: list = field(default_factory=list)

    @property
    def unmodelled(self):
        """Whether the points hold something that no linkage does."""
        return any(self.options[name] for name in ("drift", "wandering", "shift_size"))

    @property
    def agrees(self):
        """Whether agreement with the design is said."""
        return self.answer.outcome == "agrees"

    @property
    def blamed(self):
        """Every part that some explanation blames."""
        return set().union(*(parts for parts, _ in self.answer.explanations))

    @property
    def right(self):
        """Whether every faulty part is among those blamed."""
        return set(self.faulty_parts) <= self.blamed

    @property
    def alone_wrong(self):
        """Whether one explanation is given, and no part of it is faulty."""
        sets = [parts for parts, _ in self.answer.explanations]
        return len(sets) == 1 and bool(sets[0]) and not sets[0] & set(self.faulty_parts)

    @property
    def certain_wrong(self):
        """Faultless parts that every explanation given blames."""
        sets = [parts for parts, _ in self.answer.explanations]
        return set.intersection(*sets) - set(self.faulty_parts) if sets else set()


def judged(kind, seed, made: DoubtfulCampaign, given: Answer):
    """An answer held against the truth."""
    true, designed = made.linkage.parameters, made.designed
    one = Judged(
        kind,
        seed,
        made.options,
        {name: (true[name] - designed[name]) / tolerance(name) for name in made.faulty},
        made.faulty_parts,
        given,
    )
    least = made.bound()
    for name, found in given.parameters.items():
        if name not in least or name in made.held:
            continue
        if found.identifiable:
            one.deviations[name] = (found.value - true[name]) / found.error
            one.over_bound[name] = found.error / least[name]
        # Where no error is printed nothing warns of one.
        beyond = max(3.0 * (found.error or 0.0), tolerance(name) * (1.0 + 1e-9))
        if part_of(name) != "sensor" and abs(true[name] - designed[name]) > beyond:
            one.missed.append(name)
    return one


def run_one(kind, binary, read, seed):
    """A campaign of a kind, fitted and judged."""
    made = KINDS[kind](seed)
    return judged(kind, seed, made, fitted(binary, made, read))


def run(binary, kind, seeds, read=answer):
    """Campaigns of a kind, fitted and judged, in the order of their seeds."""
    with ProcessPoolExecutor(PROCESSES) as pool:
        return list(pool.map(partial(run_one, kind, binary, read), seeds, chunksize=4))


def plant_what_is_seen(binary, read, each, seed):
    """A sound campaign that agrees, with faults of just the size said to be seen, one at a time:
    seed, parameter, size and answer of each."""
    still = sound(seed)
    before = fitted(binary, still, read)
    seen = [(name, found.seen) for name, found in before.parameters.items() if found.seen is not None]
    if before.outcome != "agrees" or not seen:
        return []
    random = np.random.default_rng([seed, 5])
    answers = []
    for number in random.permutation(len(seen))[:each]:
        name, size = seen[number]
        sign = 1.0 if name.endswith("backlash_deg") else random.choice([-1.0, 1.0])
        made = sound(seed, {name: float(sign * size)})
        if made.design == still.design:  # otherwise its bars did not meet, and others were drawn
            answers.append((seed, name, float(sign * size), fitted(binary, made, read)))
    return answers


def planted(binary, seeds, each=2, read=answer):
    """All answers of `plant_what_is_seen`."""
    with ProcessPoolExecutor(PROCESSES) as pool:
        parts = pool.map(partial(plant_what_is_seen, binary, read, each), seeds, chunksize=4)
        return [one for part in parts for one in part]
