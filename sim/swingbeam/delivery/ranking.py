"""Rank clubs by half-unload, say how sure the order is, and compare it with static orders."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import kendalltau

LEAST_RESOLUTION = 0.1e-3
"""s: two clubs closer than this share a rank whatever the damping does; no bench damping is known better."""


def resolution(half: float, reference: float, others: Sequence[tuple[float | None, float | None]]) -> float | None:
    """How well a club's half-unload relative to the reference is known, s.

    Parameters
    ----------
    half, reference : float, s
        Half-unload of the club and of the reference club.
    others : ((club, reference), ...) in s
        The same pair when the damping ratio of all clubs is halved, and when it is doubled.

    Returns
    -------
    float or None
        The largest change of (club − reference), at least `LEAST_RESOLUTION`; None when a pair is missing.
    """
    changes = [LEAST_RESOLUTION]
    for club, other in others:
        if club is None or other is None:
            return None
        changes.append(abs((club - other) - (half - reference)))
    return max(changes)


def rank_by(keys: Sequence[float | None], resolutions: Sequence[float | None]) -> list[int | None]:
    """Ranks 1, 1, 3, … by increasing key; a club joins the group of its leader within the larger resolution.

    Parameters
    ----------
    keys : s, or None for a club that has none (its rank is None)
    resolutions : s, or None (taken as `LEAST_RESOLUTION`)
    """
    known = [k if k is not None and np.isfinite(k) else None for k in keys]
    sure = [LEAST_RESOLUTION if r is None else r for r in resolutions]
    order = sorted((k, i) for i, k in enumerate(known) if k is not None)
    ranks: list[int | None] = [None] * len(keys)
    leader_key, leader, leader_rank = -np.inf, -1, 0
    for place, (key, i) in enumerate(order, start=1):
        if leader < 0 or key - leader_key > max(sure[i], sure[leader]):
            leader_key, leader, leader_rank = key, i, place
        ranks[i] = leader_rank
    return ranks


@dataclass(frozen=True)
class Agreement:
    """Kendall's τ-b of a static figure with an order of the swing.

    Attributes
    ----------
    figure, order : str
        What is compared with what, in words.
    tau : float or None
        τ-b, −1 … +1.
    words : str
        The sign, and how strong, in words; the reason where there is no τ.
    """

    figure: str
    order: str
    tau: float | None
    words: str


def agreement(
    figure: str,
    values: Sequence[float | None],
    order: str,
    keys: Sequence[float | None],
    more: str,
    less: str,
) -> Agreement:
    """Compare a static figure with an order, clubs without either left out.

    Parameters
    ----------
    figure : str
        Name of the static figure ("frequency").
    values : one per club
    order : str
        Name of the order ("timing").
    keys : one per club
        Ranks or values of that order; equal ones are ties, which τ-b allows for.
    more, less : str
        What a positive and a negative τ mean ("higher frequency unloads later").

    Notes
    -----
    Kendall 1945, The treatment of ties in ranking problems, Biometrika 33:239.
    """
    pairs = np.array([(v, k) for v, k in zip(values, keys, strict=True) if v is not None and k is not None])
    if len(pairs) < 3:
        return Agreement(figure, order, None, "fewer than three clubs to compare")
    if np.ptp(pairs[:, 0]) == 0.0 or np.ptp(pairs[:, 1]) == 0.0:
        equal = figure if np.ptp(pairs[:, 0]) == 0.0 else order
        return Agreement(figure, order, None, f"all clubs are equal in {equal}")
    tau = float(kendalltau(pairs[:, 0], pairs[:, 1], variant="b").statistic)
    return Agreement(figure, order, tau, _in_words(tau, more, less))


def _in_words(tau: float, more: str, less: str) -> str:
    size = abs(tau)
    if size < 0.2:
        return "no common order"
    strength = "always" if size > 0.999 else "mostly" if size >= 0.6 else "loosely"
    return f"{strength}: {more if tau > 0.0 else less}"


def reversals(ranks: Sequence[int | None], other: Sequence[int | None]) -> list[tuple[int, int]]:
    """Pairs (i, j) of clubs that `ranks` puts in one order and `other` in the opposite one; ties agree."""
    found = []
    for i, (a, p) in enumerate(zip(ranks, other, strict=True)):
        for j in range(i + 1, len(ranks)):
            b, q = ranks[j], other[j]
            if a is None or b is None or p is None or q is None:
                continue
            if (a - b) * (p - q) < 0:
                found.append((i, j))
    return found


def order_statement(
    chosen: str,
    ranks: Mapping[str, Sequence[int | None]],
    lags: Mapping[str, Sequence[float | None]] | None = None,
) -> str:
    """Whether the timing order of the chosen hand mode holds under the others, and the order in size beside it.

    Parameters
    ----------
    chosen : the hand mode the table is ordered by
    ranks : hand mode → ranks by half-unload, one per club
    lags : hand mode → deepest bend, m, one per club; millimetres that are equal are ties
    """
    sentences = [f"Timing order under {chosen}: {_comparison(chosen, ranks)}."]
    others = [mode for mode in ranks if mode != chosen]
    if any(reversals(ranks[chosen], ranks[mode]) for mode in others):
        sentences.append("It belongs to shaft and hands together.")
    if lags is not None:
        sizes = {mode: [None if v is None else round(1e3 * v) for v in values] for mode, values in lags.items()}
        sentences.append(f"Order of lag under {chosen}: {_comparison(chosen, sizes)}.")
    return " ".join(sentences)


def _comparison(chosen: str, orders: Mapping[str, Sequence[int | None]]) -> str:
    """In words, how many pairs each of the other hand modes puts the other way round."""
    parts = []
    for mode, other in orders.items():
        if mode == chosen:
            continue
        first = orders[chosen]
        comparable = sum(
            first[i] != first[j]
            for i in range(len(first))
            for j in range(i + 1, len(first))
            if None not in (first[i], first[j], other[i], other[j])
        )
        changed = len(reversals(first, other))
        if not comparable:
            parts.append(f"under {mode} there is nothing to compare")
        elif not changed:
            parts.append(f"it holds under {mode}")
        else:
            parts.append(f"under {mode} {changed} of {comparable} pairs change places")
    return "; ".join(parts)
