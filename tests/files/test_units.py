"""The number grammar and the closed unit lists."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swingbeam.units import KINDS, InputError, Quantity, parse_number, parse_quantity, show

# Exact factors and their sources: Thompson & Taylor, NIST Special Publication 811 (2008), appendix B.8, where
# the value is exact; the others are products of exact ones (1 ft = 0.3048 m, 1 lb = 0.45359237 kg, 1 lbf = 1
# lb · g_n). rtol 2e-15: a product of two correctly rounded factors.
FACTORS = [
    ("1 in", "length", 0.0254),
    ("1 ft", "length", 0.3048),
    ("1 yd", "length", 0.9144),
    ("1 lb", "mass", 0.45359237),
    ("1 oz", "mass", 0.028349523125),
    ("1 mph", "speed", 0.44704),
    ("3.6 km/h", "speed", 1.0),
    ("1 lbf", "force", 4.4482216152605),
    ("1 ft*lbf", "torque", 1.3558179483314004),
    ("12 in*lbf", "torque", 1.3558179483314004),
    ("60 cpm", "frequency", 1.0),
    ("60 rpm", "angular_rate", 2 * math.pi),
    ("180 deg", "angle", math.pi),
    ("7000 gr/in", "mass_per_length", 0.45359237 / 0.0254),
    ("1 g/cm^3", "density", 1000.0),
    ("1e7 g*cm^2", "inertia", 1.0),
    ("50 %", "ratio", 0.5),
    ("20 degC", "temperature", 293.15),
    ("-40 degF", "temperature", 233.15),  # where both scales meet
    ("1013.25 hPa", "pressure", 101325.0),
]


@pytest.mark.parametrize(("text", "kind", "si"), FACTORS)
def test_factors_are_the_exact_ones(text: str, kind: str, si: float) -> None:
    assert parse_quantity(text, kind) == pytest.approx(si, rel=2e-15, abs=0.0)


def test_rounded_factors_of_the_guide() -> None:
    # NIST SP 811, appendix B.8, printed to seven figures: psi 6.894757 E+03 Pa; rtol 1e-7 is its last figure.
    assert parse_quantity("1 psi", "modulus") == pytest.approx(6.894757e3, rel=1e-7)
    assert parse_quantity("1 Msi", "modulus") == pytest.approx(6.894757e9, rel=1e-7)
    # 1 lbf·in² = 4.448222 N · 6.4516e-4 m² = 2.869815e-3 N·m² (both factors printed there).
    assert parse_quantity("1 lbf*in^2", "stiffness") == pytest.approx(2.869815e-3, rel=2e-7)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("45.5 in", 45.5 * 0.0254),
        ("45.5in", 45.5 * 0.0254),
        ("  45.5\tin ", 45.5 * 0.0254),
        ("+2 m", 2.0),
        ("-2 m", -2.0),
        ("2e-1 m", 0.2),
        ("2E1 m", 20.0),
        ("0 m", 0.0),
    ],
)
def test_grammar_accepts(text: str, value: float) -> None:
    assert parse_quantity(text, "length") == pytest.approx(value, rel=1e-15, abs=0.0)


@pytest.mark.parametrize("unit", ["N·m^2", "N*m²", "N⋅m²", "N*m^2"])
def test_typographic_unit_signs_are_unambiguous(unit: str) -> None:
    assert parse_quantity(f"42 {unit}", "stiffness") == 42.0


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("45 kg", "length", "a mass; allowed: a length in mm, cm, m, in, ft or yd"),
        ("45", "length", "without a unit"),
        (45, "length", "a bare number; a unit is needed"),
        (45.5, "length", "a bare number; a unit is needed"),
        (math.inf, "length", "a bare number"),
        (True, "length", "found true"),
        (None, "length", "allowed: a length"),
        ("1,5 in", "length", 'write a point, "1.5 in"'),
        ("1,500 in", "length", "no thousands separators"),
        ("−5 deg", "angle", 'type "-"'),
        ("–5 deg", "angle", 'type "-"'),
        ("-5 °", "angle", 'did you mean "deg"?'),
        ("2 ft 3 in", "length", "sums are not read"),
        ("2ft 3in", "length", "sums are not read"),
        ("1e400 m", "length", "too large to be finite"),
        ("nan m", "length", "does not start with a number"),
        ("inf m", "length", "does not start with a number"),
        ("1e300 m", "length", "out of all proportion"),
        ("1e-300 m", "length", "out of all proportion"),
        (".5 m", "length", 'write a digit before the point: "0.5 m"'),
        ("5. m", "length", "a decimal point with digits after it"),
        ("1_000 m", "length", "a number is digits"),
        ("- 5 m", "length", "no space after the sign"),
        ("--5 m", "length", "does not start with a number"),
        ("0x10 m", "length", "not known"),
        ("٣ m", "length", "ARABIC-INDIC DIGIT THREE"),
        ("5\u00a0m", "length", "NO-BREAK SPACE"),
        ("5 inches", "length", 'did you mean "in"?'),
        ("5 IN", "length", 'did you mean "in"?'),
        ('5"', "length", 'did you mean "in"?'),
        ("5 Nm", "torque", 'did you mean "N*m"?'),
        ("5 ft-lbs", "torque", 'did you mean "ft*lbf"?'),
        ("5 m/s/s", "speed", "not known"),
        ("-500 degC", "temperature", "between -123.15 and 126.85 degC"),
        ("20 °C", "temperature", 'did you mean "degC"?'),
        ("", "length", "does not start with a number"),
        ("in", "length", "does not start with a number"),
        ("5 m\n", "length", "type plain characters"),
    ],
)
def test_refusals_say_what_to_do(text: object, kind: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_quantity(text, kind)
    message = str(caught.value)
    assert says in message
    assert "\n" not in message
    assert "allowed: " in message


def test_unicode_minus_never_becomes_plus() -> None:
    for dash in "−–—‐‑‒―﹣－":
        with pytest.raises(InputError):
            parse_quantity(f"{dash}5 deg", "angle")
        with pytest.raises(InputError):
            parse_number(f"{dash}5")


def test_bounds_name_the_limit_in_the_users_unit() -> None:
    positive = Quantity("length", above=0.0, at_most=0.0254)
    assert positive.read("1 in") == 0.0254
    for text, says in (("0 in", "above 0"), ("-1 in", "above 0"), ("2 in", "of at most 1 in")):
        with pytest.raises(InputError, match=says):
            positive.read(text)


def test_units_belong_to_one_kind_only() -> None:
    units = [unit for kind in KINDS.values() for unit in kind.units]
    assert len(units) == len(set(units))


@given(st.sampled_from(sorted(KINDS)), st.floats(1e-3, 1e3), st.booleans(), st.data())
def test_what_is_shown_reads_back(kind: str, number: float, negative: bool, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(KINDS[kind].units)))
    value = -number if negative else number
    si = KINDS[kind].to_si(value, unit)
    if not KINDS[kind].smallest <= (si if KINDS[kind].zero else abs(si)) <= KINDS[kind].largest:
        return
    # rtol 5e-6: six significant digits are shown.
    assert parse_quantity(show(si, unit), kind) == pytest.approx(si, rel=5e-6)


@given(st.text(max_size=30), st.sampled_from(sorted(KINDS)))
def test_any_text_is_a_finite_number_or_an_input_error(text: str, kind: str) -> None:
    try:
        value = parse_quantity(text, kind)
    except InputError:
        return
    assert math.isfinite(value)


def test_show() -> None:
    assert show(1.1557, "in", 2) == "45.50 in"
    assert show(-1e-9, "mm", 1) == "0.0 mm"
    with pytest.raises(InputError):
        show(1.0, "furlong")
