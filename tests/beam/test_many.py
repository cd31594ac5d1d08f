"""Models and starts of many beams, compiled, against the readable ones."""

from __future__ import annotations

import numpy as np
import pytest

from swingbeam.beam import ElasticRoot, Motion, natural_frequencies
from swingbeam.beam.curvature import prepare, start
from swingbeam.beam.curvature_tables import mass_rule, tables
from swingbeam.beam.errors import InputError, SimulationError
from swingbeam.beam.history import ROW_LENGTH
from swingbeam.beam.many import (
    Stations,
    TableStore,
    bending_frequencies,
    prepare_many,
    start_many,
    stations_of,
    tables_of,
)
from swingbeam.beam.model import Profile, TipBody
from swingbeam.beam.root import RootPath

# Both are exact but for rounding, in sums of some hundred terms and systems of six equations.
RELATIVE = 1e-12
GRAVITY = np.array([0.0, 0.0, -9.80665])
HEAD = TipBody(0.2, [0.05, -0.018, 0.034], np.diag([3e-4, 4e-4, 2.5e-4]))


def drawn(seed: int, *, stations: int = 9, planes: bool = True) -> Profile:
    """A profile of made-up stiffness with a step, none of it smooth."""
    rng = np.random.default_rng(seed)
    s = np.sort(np.concatenate([[0.0, 1.05], rng.uniform(0.02, 1.0, stations - 2)]))
    s[4] = s[3]
    ei = rng.uniform(5.0, 90.0, (stations, 2))
    return Profile(
        s,
        ei if planes else ei[:, 0],
        rng.uniform(2.0, 40.0, stations),
        rng.uniform(0.03, 0.12, stations),
        rotary=rng.uniform(1e-6, 1e-5, stations),
        spine_angle=float(rng.uniform(-1.0, 1.0)) if planes else 0.0,
    )


PROFILES = {
    "two stations": Profile([0.0, 1.0], [70.0, 30.0], [30.0, 10.0], [0.08, 0.05], rotary=2e-5),
    "uniform": Profile([0.0, 1.1], 50.0, 20.0, 0.06),
    "thirtyfold": Profile([0.0, 0.1, 1.1], [150.0, 5.0, 5.0], [40.0, 1.0, 1.0], 0.06),
    "massless": Profile([0.0, 0.5, 1.0], [50.0, 40.0, 20.0], 10.0, 0.0),
    "mass at one end": Profile([0.0, 0.2, 0.2, 1.0], 50.0, 10.0, [1.0, 1.0, 1e-6, 1e-6]),
    **{f"drawn {seed}": drawn(seed, planes=seed % 2 == 0, stations=6 + 5 * seed) for seed in range(5)},
}


def same_tables(found, expected) -> None:
    for name, wanted in expected._asdict().items():
        size = max(float(np.abs(wanted).max()), 1e-300)
        np.testing.assert_allclose(getattr(found, name), wanted, rtol=0.0, atol=RELATIVE * size, err_msg=name)


@pytest.mark.parametrize("functions", [(4, 1), (1, 1), (3, 5), (8, 4)])
def test_tables_are_those_of_the_readable_way(functions):
    profiles = list(PROFILES.values())
    made = tables_of([stations_of(p) for p in profiles], [p.spine_angle for p in profiles], functions)
    for profile, found in zip(profiles, made, strict=True):
        same_tables(found, tables(profile, mass_rule(profile, max(5, max(functions) + 2)), functions))


def test_a_factor_on_the_stiffness_leaves_the_strain_functions_alone():
    base = drawn(2)
    scaled = Profile(base.s, 1.3 * base.ei, 0.7 * base.gj, base.mass, rotary=base.rotary, spine_angle=base.spine_angle)
    one, other = tables_of([stations_of(base), stations_of(scaled)], [base.spine_angle] * 2)
    for name in ("twist", "bend_y", "bend_z", "length", "mass", "rotary"):
        np.testing.assert_allclose(getattr(other, name), getattr(one, name), rtol=0.0, atol=1e-14)
    np.testing.assert_allclose(other.stiffness[1:, 1:], 1.3 * one.stiffness[1:, 1:], rtol=1e-13, atol=1e-12)
    np.testing.assert_allclose(other.stiffness[0, 0], 0.7 * one.stiffness[0, 0], rtol=1e-13)


def test_a_profile_has_the_same_bits_whatever_it_is_made_beside():
    blocks = [stations_of(p) for p in PROFILES.values()]
    spines = [p.spine_angle for p in PROFILES.values()]
    together = tables_of(blocks, spines)
    for block, spine, expected in zip(blocks, spines, together, strict=True):
        (alone,) = tables_of([block], [spine])
        for found, wanted in zip(alone, expected, strict=True):
            np.testing.assert_array_equal(found, wanted)


@pytest.mark.parametrize("tip_mass", [0.0, 0.205])
def test_frequencies_are_those_of_the_linearised_beam(tip_mass):
    profiles = [p for name, p in PROFILES.items() if name != "massless"]
    found = bending_frequencies([stations_of(p) for p in profiles], tip_mass)
    tip = TipBody(tip_mass)
    expected = [natural_frequencies(p, tip, count=1, solver="curvature")[0] for p in profiles]
    # The linearised stiffness is made by differences: rounding over a step of 1e-3.
    np.testing.assert_allclose(found, expected, rtol=1e-10)


def test_the_store_makes_what_is_equal_once():
    base = drawn(0)
    again = Profile(base.s, base.ei, base.gj, base.mass, rotary=base.rotary, spine_angle=base.spine_angle)
    turned = Profile(base.s, base.ei, base.gj, base.mass, rotary=base.rotary, spine_angle=0.3)
    store = TableStore(most=2)
    a, b, c = store.get([base, again, turned])
    assert a is b
    assert c is not a
    assert store.get([again])[0] is a
    store.get([drawn(1), drawn(3)])
    assert store.get([base])[0] is not a  # no more than two are kept


def test_a_profile_in_numbers_is_the_same_profile():
    base = drawn(0)
    (wanted,) = TableStore().get([base])
    store = TableStore()
    (found,) = store.get([Stations(stations_of(base), base.spine_angle)])
    for a, b in zip(found, wanted, strict=True):
        np.testing.assert_array_equal(a, b)
    assert store.get([base])[0] is found


def test_a_curved_profile_is_made_the_readable_way():
    base = drawn(2)
    bent = Profile(base.s, base.ei, base.gj, base.mass, reference_curvature=np.full((base.s.size, 3), 0.02))
    straight, curved = TableStore().get([base, bent])
    same_tables(curved, tables(bent, mass_rule(bent, 6), (4, 1)))
    assert not np.any(straight.rest)


def hanging(seed: int, *, soft: bool = True) -> RootPath:
    """A root that starts at rest, tilted anyhow, and either yields in three axes or not at all."""
    rng = np.random.default_rng(seed)
    quaternion = rng.normal(size=4)
    quaternion /= np.linalg.norm(quaternion)
    x, y, z = quaternion[1:]
    w = quaternion[0]
    turn = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )
    motion = Motion.still(0.1, rotation=turn)
    root = ElasticRoot([12.0, 20.0, 40.0], [1.0, 0.1, 2.0], [3e-3, 1e-3, 3e-3]) if soft else None
    return RootPath(motion, root, GRAVITY)


def tip_row(tip: TipBody) -> np.ndarray:
    return np.concatenate([[tip.mass], tip.offset, tip.inertia.ravel()])


def several(path: RootPath, profiles, heads):
    viscosities = np.linspace([1e-3, 2e-3], [2e-3, 3e-3], len(profiles))
    stacks = prepare_many(
        profiles,
        np.array([tip_row(head) for head in heads]),
        viscosities,
        root_inertia=path.inertia_tensor(),
        gravity=GRAVITY,
    )
    return stacks, viscosities


HEADS = [TipBody(m, HEAD.offset * k, HEAD.inertia) for m, k in ((0.2, 1.0), (0.25, 0.5), (0.15, 1.5))]


def test_models_are_those_of_the_readable_way():
    path = hanging(0)
    profiles = [p for p in PROFILES.values() for _ in HEADS]
    heads = HEADS * len(PROFILES)
    stacks, viscosities = several(path, profiles, heads)
    assert len(stacks) > 1  # profiles whose mass sits at one end have more intervals
    assert sorted(np.concatenate([stack.cases for stack in stacks])) == list(range(len(profiles)))
    for stack in stacks:
        for place, case in enumerate(stack.cases):
            expected = prepare(
                profiles[case],
                heads[case],
                tuple(viscosities[case]),
                root_inertia=path.inertia_tensor(),
                gravity=GRAVITY,
            )
            same_tables(type(expected)(*(a[place] for a in stack.model))._replace(links=np.ones(1)),
                        expected._replace(links=np.ones(1)))  # fmt: skip


@pytest.mark.parametrize("soft", [True, False], ids=["yielding", "held"])
@pytest.mark.parametrize("seed", range(3))
def test_starts_are_those_of_the_readable_way(soft, seed):
    path = hanging(seed, soft=soft)
    profiles = [PROFILES[name] for name in ("two stations", "uniform", "drawn 1", "drawn 2", "drawn 3")]
    heads = (HEADS * 2)[: len(profiles)]
    stacks, viscosities = several(path, profiles, heads)
    inputs = path.inputs(np.zeros(1))
    for stack in stacks:
        x, found = start_many(stack.model, inputs)
        assert found.all()
        for place, case in enumerate(stack.cases):
            model = prepare(
                profiles[case],
                heads[case],
                tuple(viscosities[case]),
                root_inertia=path.inertia_tensor(),
                gravity=GRAVITY,
            )
            state = start(model, inputs, "equilibrium", np.zeros(ROW_LENGTH))
            # Both stop at changes below 1e-12 rad.
            np.testing.assert_allclose(x[place], state.x, rtol=0.0, atol=5e-12)


def test_loads_that_newton_does_not_take_at_once_grow_step_by_step():
    """A shaft as soft as a whip: the readable way is taken, or it is said that there is no equilibrium."""
    path = hanging(1, soft=False)
    soft = Profile([0.0, 1.0], [0.5, 0.2], [0.5, 0.2], 0.06)
    (stack,), _ = several(path, [soft, PROFILES["uniform"]], HEADS[:2])
    inputs = path.inputs(np.zeros(1))
    x, found = start_many(stack.model, inputs)
    model = prepare(soft, HEADS[0], (1e-3, 2e-3), root_inertia=path.inertia_tensor(), gravity=GRAVITY)
    try:
        expected = start(model, inputs, "equilibrium", np.zeros(ROW_LENGTH)).x
    except SimulationError:
        assert not found[0]
        assert np.isnan(x[0]).all()
    else:
        assert found[0]
        np.testing.assert_allclose(x[0], expected, rtol=0.0, atol=1e-9)
    assert found[1]


def test_no_equilibrium_is_said_and_harms_no_neighbour():
    path = hanging(0, soft=False)
    (stack,), _ = several(path, [PROFILES["uniform"]] * 3, HEADS)
    inputs = path.inputs(np.zeros(1))
    alone, _ = start_many(stack.model, inputs)
    broken = inputs._replace(acceleration=np.full((1, 3), np.nan))
    x, found = start_many(stack.model, [inputs, broken, inputs])
    assert list(found) == [True, False, True]
    assert np.isnan(x[1]).all()
    np.testing.assert_array_equal(x[[0, 2]], alone[[0, 2]])


def test_shapes_that_do_not_belong_together_are_refused():
    with pytest.raises(InputError, match="2 profiles need tips"):
        prepare_many(
            [drawn(0)] * 2, np.zeros((1, 13)), np.zeros((2, 2)), root_inertia=np.zeros((3, 3)), gravity=GRAVITY
        )
