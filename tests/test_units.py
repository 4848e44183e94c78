"""Lengths and angles as they are taped, spoken and printed."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earshed.model.units import (
    FOOT,
    INCH,
    MeasureError,
    format_angle,
    format_length,
    format_pitch,
    parse_angle,
    parse_length,
)
from tests.rooms import FRAMING_SQUARE

# Half of the last place printed, metres: 1/16 in on a tape, 1 mm in every metric unit.
HALF_STEP = {"ft-in": 0.0254 / 32, "mm": 0.0005, "cm": 0.0005, "m": 0.0005}

BLANKS = " \t\u00a0"


def test_inch_and_foot_are_exact():
    """International yard and pound agreement of 1959: 1 yd = 0.9144 m exactly, so 1 in = 25.4 mm."""
    assert Fraction(str(INCH)) * 36 == Fraction("0.9144")
    assert Fraction(str(FOOT)) * 3 == Fraction("0.9144")
    assert (parse_length("1in"), parse_length("1ft"), parse_length("25.4mm")) == (0.0254, 0.3048, 0.0254)
    assert parse_length("10000in") == 254.0


# --- round trips


@pytest.mark.parametrize("units", HALF_STEP)
@given(length=st.floats(-200, 200))
@example(length=0.0)
@example(length=-0.0)
@example(length=-0.0001)
@example(length=12 * 0.0254 - 0.0254 / 40)
def test_printed_length_reads_back_within_half_a_step(units, length):
    shown = format_length(length, units)
    read = parse_length(shown)
    assert abs(read - length) <= HALF_STEP[units] + 1e-12
    assert format_length(read, units) == shown, "what is printed prints the same again"


@pytest.mark.parametrize("units", HALF_STEP)
@given(length=st.floats(0.01, 200))
def test_minus_is_only_a_sign(units, length):
    assert format_length(-length, units) == "-" + format_length(length, units)
    assert parse_length(format_length(-length, units)) == -parse_length(format_length(length, units))


@pytest.mark.parametrize("units", HALF_STEP)
def test_nothing_is_printed_as_minus_nothing(units):
    assert "-" not in format_length(-1e-9, units)
    assert "-" not in format_length(-0.0, units)


@given(feet=st.integers(0, 99), inches=st.integers(0, 11), part=st.integers(0, 15))
def test_a_tape_reading_is_printed_as_it_is_read(feet, inches, part):
    """Marks of a tape: feet left out where there are none, fraction in lowest terms, exact sixteenths."""
    length = (feet * 12 + inches + part / 16) * INCH
    shown = format_length(length)
    assert shown.endswith('"')
    assert ("'" in shown) == (feet > 0)
    if part:
        fraction = Fraction(part, 16)
        assert f"{fraction.numerator}/{fraction.denominator}" in shown
    if feet:
        assert f"' {inches}" in shown, "inches are said after feet even where they are 0"
    assert parse_length(shown) == pytest.approx(length, abs=1e-12)


@pytest.mark.parametrize(
    ("length", "ft_in", "mm", "cm", "m"),
    [
        (0.0, '0"', "0 mm", "0.0 cm", "0.000 m"),
        (0.3048, "1' 0\"", "305 mm", "30.5 cm", "0.305 m"),
        (1.6891, "5' 6-1/2\"", "1689 mm", "168.9 cm", "1.689 m"),
        (0.0127, '1/2"', "13 mm", "1.3 cm", "0.013 m"),
        (-0.0254, '-1"', "-25 mm", "-2.5 cm", "-0.025 m"),
        (1.0, "3' 3-3/8\"", "1000 mm", "100.0 cm", "1.000 m"),
        (0.3047, "1' 0\"", "305 mm", "30.5 cm", "0.305 m"),
    ],
)
def test_printed_forms(length, ft_in, mm, cm, m):
    printed = [format_length(length, units) for units in ("ft-in", "mm", "cm", "m")]
    assert printed == [ft_in, mm, cm, m]


# --- what is read

FIVE_SIX_AND_A_HALF = [
    "5' 6-1/2\"", "5'-6 1/2\"", "5ft 6.5in", "66-1/2in", "5'6-1/2\"", "5' - 6 1/2\"", "5 ft 6 1/2 in", "66.5\"",
    "66 1/2 in", "5′ 6½″", "5’ 6½”", "5‘ 6½“", "5'6½\"", "5' 6.50 inches", "5 feet 6-1/2 inches", "5 foot 6.5 inch",
    "5FT 6.5IN", "5ft. 6.5in.", "5' 6.5''", "  5' 6-1/2\"  ", "5'\u00a06-1/2\"", "133/2in", "5' 13/2\"",
    "168.91cm", "1689.1mm", "1.6891m", "1.6891 m", "1.6891 M",
]  # fmt: skip


@pytest.mark.parametrize("text", FIVE_SIX_AND_A_HALF)
def test_spellings_of_one_length(text):
    assert parse_length(text) == pytest.approx(1.6891, abs=1e-12)


@pytest.mark.parametrize("minus", ["-", "- ", "−"])
@pytest.mark.parametrize("text", ["5' 6-1/2\"", "66½″", "1.6891m"])
def test_leading_minus(minus, text):
    assert parse_length(minus + text) == pytest.approx(-1.6891, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "eighths"), [("½in", 4), ("¼in", 2), ("¾in", 6), ("⅛in", 1), ("⅜in", 3), ("⅝in", 5), ("⅞in", 7)]
)
def test_vulgar_fractions(text, eighths):
    assert parse_length(text) == pytest.approx(eighths / 8 * 0.0254, abs=1e-15)
    assert parse_length("3" + text) == pytest.approx((3 + eighths / 8) * 0.0254, abs=1e-15)


@pytest.mark.parametrize("text", ["0", "0.0", "-0", " 0 ", "0in", "0' 0\""])
def test_zero_needs_no_unit(text):
    assert parse_length(text) == 0


@pytest.mark.parametrize(("bare", "metres"), [("in", 0.0254), ("ft", 0.3048), ("mm", 0.001), ("cm", 0.01), ("m", 1.0)])
def test_bare_numbers_are_read_in_the_unit_of_the_file(bare, metres):
    assert parse_length("12", bare=bare) == pytest.approx(12 * metres, rel=1e-15)
    assert parse_length("-1/2", bare=bare) == pytest.approx(-metres / 2, rel=1e-15)
    assert parse_length("3-3/4", bare=bare) == pytest.approx(3.75 * metres, rel=1e-15)
    assert parse_length("12mm", bare=bare) == 0.012, "a unit that is written wins"


@given(
    feet=st.integers(0, 400),
    inches=st.integers(0, 11),
    over=st.integers(0, 31),
    under=st.sampled_from([2, 4, 8, 16, 32]),
)
def test_feet_inches_and_fraction_are_added_exactly(feet, inches, over, under):
    exact = (Fraction(feet * 12 + inches) + Fraction(over % under, under)) * Fraction(254, 10000)
    assert parse_length(f"{feet}' {inches}-{over % under}/{under}\"") == float(exact)


# --- what is refused

REFUSED = [
    ("12", "no unit"), ("66.5", "bare_lengths"), ("1/2", "no unit"),
    ("5' 6", 'inch mark, as in 5\' 6"'), ("5ft 6-1/2", "inch mark"), ("5'6", "inch mark"),
    ("5' 12\"", "less than 12"), ("5' 13\"", "less than 12"), ("1' 12.0in", "less than 12"),
    ("5.5' 6\"", "feet must be whole"), ("5-1/2' 6\"", "feet must be whole"),
    ("1,69m", "comma"), ("1,690mm", "comma"), ("5,6", "comma"),
    ("1/0in", "divides by zero"), ("3-1/0 in", "divides by zero"), ("1/0", "divides by zero"),
    ("", "not a length"), (" ", "not a length"), ("in", "not a length"), ("'", "not a length"), ("\"", "not a length"),
    ("five feet", "not a length"), ("1e3mm", "not a length"), ("nan", "not a length"), ("inf", "not a length"),
    ("infm", "not a length"), ("1_000mm", "not a length"), ("0x10mm", "not a length"), ("5' 6\" 7", "not a length"),
    ("6\" 5'", "not a length"), ("5m 6cm", "not a length"), ("5' 6cm", "not a length"), ("--5in", "not a length"),
    ("+5in", "not a length"), ("5' +6\"", "not a length"), ("1.69km", "not a length"), ("1.69 yd", "not a length"),
    ("1.5/2in", "not a length"), ("1/2/3in", "not a length"), ("5..5in", "not a length"),
    ("1.69m tall", "not a length"),
    ("1 690mm", "not a length"), ("9" * 61 + "mm", "too long"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "why"), REFUSED)
def test_what_is_refused_says_why(text, why):
    with pytest.raises(MeasureError) as refusal:
        parse_length(text)
    message = str(refusal.value)
    assert why in message
    assert text[:40] in message, "it shows what was written"
    if why in ("not a length", "no unit", "comma", "too long"):
        assert "5' 6-1/2\"" in message, "it says how to write it"


TEXTS = st.text(max_size=70) | st.text(alphabet="0123456789'\"-/. ,ftinchmde½¼′″−" + BLANKS, max_size=20)


@given(text=TEXTS, bare=st.sampled_from([None, "in", "ft", "mm", "cm", "m"]))
def test_any_text_is_a_finite_length_or_a_measure_error(text, bare):
    try:
        length = parse_length(text, bare=bare)
    except MeasureError:
        return
    assert isinstance(length, float)
    assert math.isfinite(length)


# --- angles


@pytest.mark.parametrize(
    "text", ["35deg", "35 deg", "35", "35.0", "35°", "35 °", "35 degrees", "35degree", " 35 DEG ", "+35", "35."]
)
def test_spellings_of_one_angle(text):
    assert parse_angle(text) == pytest.approx(math.radians(35), rel=1e-15)


@pytest.mark.parametrize(
    "text", ["", "deg", "35 rad", "35'", "1e2", "35,5", "nan", "inf", "--5", "35deg left", "9" * 61]
)
def test_refused_angles(text):
    with pytest.raises(MeasureError, match="is not an angle; write it like 25deg"):
        parse_angle(text)


@given(text=TEXTS)
def test_any_text_is_a_finite_angle_or_a_measure_error(text):
    try:
        angle = parse_angle(text)
    except MeasureError:
        return
    assert math.isfinite(angle)


@given(degrees=st.floats(-360, 360))
@example(degrees=-0.01)
def test_printed_angle_reads_back_within_half_a_tenth(degrees):
    shown = format_angle(math.radians(degrees))
    assert abs(math.degrees(parse_angle(shown)) - degrees) <= 0.05 + 1e-9
    assert shown != "-0.0°"


# --- pitch


@pytest.mark.parametrize(("rise", "degrees"), [row[:2] for row in FRAMING_SQUARE])
def test_pitch_of_a_framing_square(rise, degrees):
    assert format_pitch(math.radians(degrees)) == f"{rise} in 12"


@pytest.mark.parametrize(
    ("eighths", "words"), [(0, "0 in 12"), (1, "1/8 in 12"), (4, "1/2 in 12"), (33, "4-1/8 in 12"), (38, "4-3/4 in 12")]
)
def test_pitch_to_an_eighth(eighths, words):
    assert format_pitch(math.atan(eighths / 8 / 12)) == words


@given(slope=st.floats(0, math.radians(80)))
def test_printed_pitch_is_within_half_an_eighth(slope):
    rise = parse_length(format_pitch(slope).removesuffix(" in 12"), bare="in") / INCH
    assert abs(rise - 12 * math.tan(slope)) <= 1 / 16 + 1e-9
