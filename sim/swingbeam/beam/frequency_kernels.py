"""First bending frequencies of clamped beams, compiled, from the tables of `table_kernels`."""

from __future__ import annotations

import math

from .compiled import kernel, piece


@piece
def _largest(n, mass, stiffness, vector, image, factors):
    """Largest μ of M x = μ K x: K = L Lᵀ, then x ← K⁻¹ M x. The next μ is some fortieth of it (the second frequency
    of a clamped beam is six times the first), so every pass gains three digits of μ."""
    for i in range(n):
        for j in range(i + 1):
            total = stiffness[i, j]
            for k in range(j):
                total -= factors[i, k] * factors[j, k]
            factors[i, j] = math.sqrt(total) if i == j else total / factors[j, j]
        vector[i] = 1.0 if i == 0 else 0.0
    found = 0.0
    for _ in range(200):
        for i in range(n):
            image[i] = 0.0
            for j in range(n):
                image[i] += mass[i, j] * vector[j]
        kinetic = 0.0
        for i in range(n):
            kinetic += vector[i] * image[i]
        elastic = 0.0
        for i in range(n):
            # (L ᵀ x) once more, for Rayleigh's quotient
            total = 0.0
            for j in range(i, n):
                total += factors[j, i] * vector[j]
            elastic += total * total
        before = found
        found = kinetic / elastic
        if abs(found - before) <= 1e-15 * found:
            break
        size = 0.0
        for i in range(n):
            total = image[i]
            for k in range(i):
                total -= factors[i, k] * vector[k]
            vector[i] = total / factors[i, i]
        for i in range(n - 1, -1, -1):
            total = vector[i]
            for k in range(i + 1, n):
                total -= factors[k, i] * vector[k]
            vector[i] = total / factors[i, i]
            size = max(size, abs(vector[i]))
        for i in range(n):
            vector[i] /= size
    return found


@piece
def _plane_mass(rule, nodes, moments, at, n, tip_mass, mass, place, slope):
    """Mass matrix (n, n) of small bending in one plane: nodes that move across and turn, a point mass at the tip."""
    for k in range(n):
        place[k] = 0.0
        slope[k] = 0.0
        for m in range(n):
            mass[k, m] = 0.0
    before = 0.0
    for j in range(nodes):
        length = rule[j, 0] - before
        before = rule[j, 0]
        for k in range(n):
            # ∫ (end − s) φ ds over the interval, from its integral and its moment about the middle.
            turn = moments[j, at + k]
            place[k] += length * (slope[k] + 0.5 * turn - moments[nodes + j, at + k])
            slope[k] += turn
        own = rule[j, 1] + (tip_mass if j == nodes - 1 else 0.0)
        across = 0.5 * rule[j, 2]
        for k in range(n):
            for m in range(n):
                mass[k, m] += own * place[k] * place[m] + across * slope[k] * slope[m]


@kernel
def fill_frequencies(first, twists, bends, tip_mass, rule, nodes, moments, stiffness, room, frequencies):
    """(profiles,) Hz: lowest bending frequency of straight beams clamped at their roots with a point mass (kg) at the
    tip; of the two principal planes the softer one's. room (4, bends, bends)."""
    for p in range(first.shape[0] - 1):
        longest = 0.0
        for plane in range(2):
            at = twists + plane * bends
            _plane_mass(rule[p], nodes[p], moments[p], at, bends, tip_mass, room[0], room[1, 0], room[1, 1])
            for i in range(bends):
                for j in range(bends):
                    room[2, i, j] = stiffness[p, at + i, at + j]
            longest = max(longest, _largest(bends, room[0], room[2], room[1, 0], room[1, 1], room[3]))
        frequencies[p] = 1.0 / (2.0 * math.pi * math.sqrt(longest))
