"""`calotte measure fit` must doubt itself where it should, and only there: statistics over many
campaigns whose truth is known.

Campaigns and the Cramér–Rao bound are those of doubtful_campaigns.py and fit_bound.py, which
share nothing with the program. Limits hold for the long form as they stand; the short form runs
a fixed part of the campaigns, and three binomial standard errors of that number are allowed on
top, no more.

Run: CALOTTE_BIN=target/checked/calotte python -m pytest oracles/test_doubtful_fits.py -s
CALOTTE_LONG=1 runs 400 campaigns of each kind instead of 40.
"""

from __future__ import annotations

import os
from collections import Counter

import numpy as np
import pytest

from doubtful_fits import KINDS, planted, run
from program import LONG_FORM

#: Campaigns of each kind.
COUNT = 400 if LONG_FORM else 40


def slack(limit, count):
    """What chance may take from a share in the short form."""
    return 0.0 if LONG_FORM else 3.0 * np.sqrt(limit * (1.0 - limit) / max(count, 1))


def say(text):
    """A figure for the log."""
    print(f"\n{text}", end="")


def at_least(what, hits, count, limit):
    """Asserts a share, printed with its numbers."""
    share = hits / max(count, 1)
    say(f"{what}: {hits} of {count}, {100 * share:.1f} % (at least {100 * limit:.0f} %)")
    assert count and share >= limit - slack(limit, count), what


def at_most(what, hits, count, limit):
    """Asserts a share, printed with its numbers."""
    share = hits / max(count, 1)
    say(f"{what}: {hits} of {count}, {100 * share:.1f} % (at most {100 * limit:.0f} %)")
    assert count and share <= limit + slack(limit, count), what


@pytest.fixture(scope="module")
def binary():
    """The program to be checked."""
    path = os.environ.get("CALOTTE_BIN")
    if not path:
        pytest.fail("set the environment variable CALOTTE_BIN to the calotte binary to be checked")
    return path


@pytest.fixture(scope="module")
def answers(binary):
    """COUNT campaigns of every kind, judged."""
    return {kind: run(binary, kind, range(COUNT)) for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS)
def test_printed_errors_mean_what_they_say(answers, kind):
    """Where no lack of fit is found: deviations by the printed error, and that by its bound."""
    trusted = [one for one in answers[kind] if not one.answer.lack_found]
    if kind == "drifting":  # nearly all are found out
        say(f"drifting: {len(trusted)} of {COUNT} campaigns are not found out")
        return
    off = np.array([value for one in trusted for value in one.deviations.values()])
    # What is asked to be held costs more than the bound, which holds nothing.
    own = [one for one in trusted if not one.options["held"]] or trusted
    ratios = np.array([value for one in own for value in one.over_bound.values()])
    within, rms = np.mean(np.abs(off) <= 3.0), np.sqrt(np.mean(off**2))
    high = np.quantile(ratios, 0.95)
    say(
        f"{kind}: {len(trusted)} of {COUNT} campaigns, {len(off)} parameters, "
        f"{100 * within:.2f} % within three printed errors, rms {rms:.3f}; printed over bound: "
        f"median {np.median(ratios):.2f}, 95 % {high:.2f}, greatest {ratios.max():.2f}"
    )
    # Parameters of one campaign hang together: chance is counted by campaigns.
    assert within >= 0.95 - slack(0.95, len(trusted))
    spare = 0.0 if LONG_FORM else 3.0 * rms / np.sqrt(2 * len(trusted))
    assert 0.7 - spare <= rms <= 1.3 + spare
    assert kind == "held" or high <= 1.5 and np.sqrt(np.mean(ratios**2)) <= 1.5


def test_drift_is_found(answers):
    found = [one for one in answers["drifting"] if one.answer.lack_found]
    say(f"tests that found it: {dict(Counter(name for one in found for name in one.answer.tests))}")
    at_least("drift found", len(found), COUNT, 0.90)


def test_no_false_alarms(answers):
    """Lack of fit where the points hold nothing but a linkage, noise and outliers."""
    still = [one for kind in answers.values() for one in kind if not one.unmodelled]
    alarms = [one for one in still if one.answer.lack_found]
    say(f"tests that gave them: {dict(Counter(name for one in alarms for name in one.answer.tests))}")
    say(f"in {dict(Counter(one.kind for one in alarms))}, seeds {[one.seed for one in alarms]}")
    at_most("false alarms", len(alarms), len(still), 0.03)


def test_what_is_unmodelled_is_found_more_the_greater_it_is(answers):
    """Shifts: no share is promised, but found more often than by chance, and more with size."""
    shares = []
    for low, high in ((0.3, 1.2), (1.2, 2.1), (2.1, 3.01)):
        sizes = {
            one.seed: max(one.options[name] for name in ("drift", "wandering", "shift_size"))
            for one in answers["mixed"]
        }
        some = [one for one in answers["mixed"] if low <= sizes[one.seed] < high]
        hits = sum(one.answer.lack_found for one in some)
        shares.append(hits / max(len(some), 1))
        say(f"unmodelled by {low} to {high:.1f} deviations of the noise: {hits} of {len(some)} found")
    assert shares[-1] > 0.1 and shares[-1] > shares[0]


def test_agreement_is_said_where_it_is_true(answers):
    say(f"sound: {dict(Counter(one.answer.outcome for one in answers['sound']))}")
    at_least("agreement of sound campaigns", sum(one.agrees for one in answers["sound"]), COUNT, 0.90)


def test_agreement_is_hardly_ever_wrong(answers):
    """Of all campaigns that agree: a true error beyond three printed errors and tolerance."""
    said = [one for kind in answers.values() for one in kind if one.agrees]
    wrong = [one for one in said if one.missed]
    unseen = [one for one in said if one.faulty]
    say(f"wrong: {[(one.kind, one.seed, one.missed) for one in wrong]}")
    say(f"agreement over any fault: {len(unseen)} of {sum(bool(one.faulty) for k in answers.values() for one in k)}")
    at_most("agreement that is wrong", len(wrong), len(said), 0.02)


def test_a_single_fault_is_blamed_on_the_right_part(answers):
    singles = answers["single"]
    say(f"single: {dict(Counter(one.answer.outcome for one in singles))}")
    missed = [one for one in singles if not one.right]
    say(f"not blamed: {[(one.seed, one.faulty_parts, one.answer.outcome) for one in missed]}")
    at_least("right part among those blamed", len(singles) - len(missed), COUNT, 0.90)
    at_most("a faultless part alone", sum(one.alone_wrong for one in singles), COUNT, 0.01)


def test_no_faultless_part_is_blamed_for_certain(answers):
    """By every explanation given, where no lack of fit warns of them.

    Explanations account for 95 % of what is probable: with several faults at once, and shifts too
    small to be found, no more than the rest may be wrong.
    """
    for kind, all_of_kind in answers.items():
        some = [one for one in all_of_kind if not one.answer.lack_found]
        wrong = [one for one in some if one.certain_wrong]
        say(f"{kind}: {[(one.seed, sorted(one.certain_wrong), one.faulty_parts) for one in wrong]}")
        if kind != "drifting":  # hardly any is left
            limit = 0.05 if kind == "mixed" else 0.01
            at_most(f"{kind}: a faultless part in every explanation", len(wrong), len(some), limit)


def test_several_faults_are_blamed(answers):
    """No share is promised for two to four at once; what is blamed is printed."""
    for count in (2, 3, 4):
        some = [one for one in answers["mixed"] if one.options["faults"] == count]
        alone = sum(one.alone_wrong for one in some)
        say(
            f"{count} faults: all blamed {sum(one.right for one in some)}, some "
            f"{sum(bool(set(one.faulty_parts) & one.blamed) for one in some)} of {len(some)}; "
            f"{dict(Counter(one.answer.outcome for one in some))}"
        )
        assert alone <= 0.05 * len(some) + 1


def test_exit_status_follows_the_verdict(answers):
    for some in answers.values():
        for one in some:
            assert (one.answer.exit_status == 0) == one.agrees, (one.kind, one.seed)
            assert not (one.agrees and one.answer.lack_found), (one.kind, one.seed)


def test_faults_said_to_be_seen_are_seen(binary):
    """Sound campaigns that agree, each with a fault of just the size that would have been seen."""
    tried = planted(binary, range(1000, 1000 + COUNT // 2))
    missed = [(seed, name, round(size, 4)) for seed, name, size, given in tried if given.outcome == "agrees"]
    say(f"agreed all the same: {missed}")
    at_least("faults of the size stated that are seen", len(tried) - len(missed), len(tried), 0.85)
