"""Strains of the `curvature` solver from its unknowns, and its adjoint: forces on the strains onto the unknowns.

κ = κ_ref + Φ q, integrated over the intervals (`curvature_tables`); the stresses do stiffness · (q + viscosity q̇).
"""

from __future__ import annotations

from .compiled import piece


@piece
def integrate_strains(model, q, q_rate, q_acceleration, strain):
    """Strains and their two time derivatives, integrated over the intervals, section axes: strain (2J, 9)."""
    twists = model.twist.shape[1]
    bends = model.bend_y.shape[1]
    qy = q[twists:]
    qz = q[twists + bends :]
    ry = q_rate[twists:]
    rz = q_rate[twists + bends :]
    ay = q_acceleration[twists:]
    az = q_acceleration[twists + bends :]
    twist = model.twist
    bend_y = model.bend_y
    bend_z = model.bend_z
    cosine = model.spine[0]
    sine = model.spine[1]
    for k in range(strain.shape[0]):
        x = model.rest[k, 0]
        x_rate = 0.0
        x_acceleration = 0.0
        for a in range(twists):
            value = twist[k, a]
            x += value * q[a]
            x_rate += value * q_rate[a]
            x_acceleration += value * q_acceleration[a]
        y = 0.0
        y_rate = 0.0
        y_acceleration = 0.0
        z = 0.0
        z_rate = 0.0
        z_acceleration = 0.0
        for a in range(bends):
            value = bend_y[k, a]
            y += value * qy[a]
            y_rate += value * ry[a]
            y_acceleration += value * ay[a]
            value = bend_z[k, a]
            z += value * qz[a]
            z_rate += value * rz[a]
            z_acceleration += value * az[a]
        strain[k, 0] = x
        strain[k, 1] = cosine * y - sine * z + model.rest[k, 1]
        strain[k, 2] = sine * y + cosine * z + model.rest[k, 2]
        strain[k, 3] = x_rate
        strain[k, 4] = cosine * y_rate - sine * z_rate
        strain[k, 5] = sine * y_rate + cosine * z_rate
        strain[k, 6] = x_acceleration
        strain[k, 7] = cosine * y_acceleration - sine * z_acceleration
        strain[k, 8] = sine * y_acceleration + cosine * z_acceleration


@piece
def project(model, q, q_rate, general, out):
    """out (n,) = Φᵀ (inertial moments) + stiffness (q + viscosity q̇)."""
    twists = model.twist.shape[1]
    bends = model.bend_y.shape[1]
    width = general.shape[0]
    cosine = model.spine[0]
    sine = model.spine[1]
    twist = model.twist
    bend_y = model.bend_y
    bend_z = model.bend_z
    for a in range(twists):
        value = 0.0
        stiffness = model.stiffness[a]
        for i in range(twists):
            value += stiffness[i] * (q[i] + model.viscosity[1] * q_rate[i])
        for k in range(width):
            value += twist[k, a] * general[k, 0]
        out[a] = value
    for k in range(width):
        along = general[k, 1]
        across = general[k, 2]
        general[k, 1] = cosine * along + sine * across
        general[k, 2] = -sine * along + cosine * across
    half = width // 2
    qy = q[twists:]
    qz = q[twists + bends :]
    ry = q_rate[twists:]
    rz = q_rate[twists + bends :]
    out_y = out[twists:]
    out_z = out[twists + bends :]
    viscosity = model.viscosity[0]
    for a in range(bends):
        # Four sums that do not wait for each other: both planes, even and odd rows.
        y = 0.0
        z = 0.0
        y_odd = 0.0
        z_odd = 0.0
        for k in range(half):
            y += bend_y[2 * k, a] * general[2 * k, 1]
            z += bend_z[2 * k, a] * general[2 * k, 2]
            y_odd += bend_y[2 * k + 1, a] * general[2 * k + 1, 1]
            z_odd += bend_z[2 * k + 1, a] * general[2 * k + 1, 2]
        y += y_odd
        z += z_odd
        stiffness_y = model.stiffness[twists + a, twists:]
        stiffness_z = model.stiffness[twists + bends + a, twists + bends :]
        for i in range(bends):
            y += stiffness_y[i] * (qy[i] + viscosity * ry[i])
            z += stiffness_z[i] * (qz[i] + viscosity * rz[i])
        out_y[a] = y
        out_z[a] = z
