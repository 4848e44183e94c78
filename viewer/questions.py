"""What a first scene is asked, in the order in which one walks a room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from earshed.model.layout import LAYOUTS
from earshed.model.scene_file.answers import Answers, Refused
from earshed.model.scene_file.drafting import CEILING_KEYS, SHAPES
from earshed.model.units import PRINT_UNITS

MOST_IN_A_LINE = 5


def _always(answers: Answers) -> bool:
    return True


@dataclass(frozen=True)
class Question:
    """One question: its words, what it may be answered with (anything without `choices`), and when it is asked.

    `key` names the answer, and the option of the command that gives it beforehand. Steps are what is walked at once;
    a sketch follows each. `unasked` is what to say to an answer where the question does not arise.
    """

    step: str
    key: str
    words: str
    has_usual: bool = False
    or_none: bool = False
    choices: tuple[str, ...] = ()
    asked: Callable[[Answers], bool] = _always
    unasked: str = "a ceiling of that shape has no such figure"
    option_name: str = ""

    @property
    def option(self) -> str:
        """The option that answers it."""
        return "--" + (self.option_name or self.key.replace("_", "-"))

    def prompt(self, usual: str | None) -> str:
        """The question as it stands before its answer, with the choices and with what Enter alone answers."""
        answer = f" [{usual}]" if usual else ""
        if not self.numbered:
            choices = f" ({', '.join(self.choices)})" if self.choices else ""
            return f"{self.words}{choices}{answer}: "
        listed = "".join(f"\n  {number} {choice}" for number, choice in enumerate(self.choices, start=1))
        return f"{self.words}:{listed}\nby number or name{answer}: "

    @property
    def numbered(self) -> bool:
        """Whether its choices are too many for one line, and so have numbers."""
        return len(self.choices) > MOST_IN_A_LINE

    def read(self, text: str) -> str:
        """An answer; of choices the one that it begins or numbers. Raises Refused for no choice, and for nothing."""
        if not text:
            raise Refused("this needs an answer")
        if not self.choices:
            return "none" if self.or_none and text.lower() == "none" else text
        said = text.lower()
        if self.numbered and said in map(str, range(1, len(self.choices) + 1)):
            return self.choices[int(said) - 1]
        begun = [choice for choice in self.choices if choice.startswith(said)]
        if said in self.choices or len(begun) == 1:
            return said if said in self.choices else begun[0]
        raise Refused(f"must be {', '.join(self.choices[:-1])} or {self.choices[-1]}, not {text}")


def _of_shape(key: str) -> Callable[[Answers], bool]:
    return lambda answers: key in CEILING_KEYS.get(answers.get("shape", ""), ())


def _has_picture(answers: Answers) -> bool:
    return answers.get("screen", "none") != "none"


def _two_rows(answers: Answers) -> bool:
    return answers.get("rows") == "2"


_NO_PICTURE = "there is no picture to place; --screen gives one"
_ONE_ROW = "there is one row of seats; --rows 2 makes another"
QUESTIONS = (
    Question("the plan", "title", "What is the room called", has_usual=True),
    Question("the plan", "width", "Width, left to right, facing the screen wall"),
    Question("the plan", "length", "Length, screen wall to rear wall"),
    Question("the ceiling", "shape", "Shape of the ceiling", choices=SHAPES, option_name="ceiling"),
    Question("the ceiling", "height", "Height of the ceiling (of the border of a tray)", asked=_of_shape("height")),
    Question(
        "the ceiling",
        "ridge",
        "Which way the ridge runs",
        choices=("front-to-back", "side-to-side"),
        asked=_of_shape("ridge"),
    ),
    Question(
        "the ceiling", "low", "Height of the low wall (of the left or front one under a ridge)", asked=_of_shape("low")
    ),
    Question("the ceiling", "high", "Height of the high wall, or the pitch, as 6 in 12", asked=_of_shape("high")),
    Question(
        "the ceiling",
        "rises",
        "Which side is the high one",
        choices=("left", "right", "front", "rear"),
        asked=_of_shape("rises"),
    ),
    Question("the ceiling", "peak", "Height of the ridge, or the pitch, as 6 in 12", asked=_of_shape("peak")),
    Question(
        "the ceiling",
        "ridge_at",
        "Where the ridge is, from the left wall (from the front if it runs side-to-side)",
        has_usual=True,
        asked=_of_shape("ridge_at"),
    ),
    Question(
        "the ceiling", "far_low", "Height of the wall beyond the ridge", has_usual=True, asked=_of_shape("far_low")
    ),
    Question("the ceiling", "rise", "How much higher the middle of the tray is", asked=_of_shape("rise")),
    Question("the ceiling", "inset", "How wide the border of the tray is", asked=_of_shape("inset")),
    Question("the picture", "screen", "Diagonal of the picture, 16:9, or none", has_usual=True, or_none=True),
    Question(
        "the picture",
        "screen_bottom",
        "Height of its lower edge",
        has_usual=True,
        asked=_has_picture,
        unasked=_NO_PICTURE,
    ),
    Question("the seats", "rows", "Rows of seats, 1 or 2", has_usual=True),
    Question("the seats", "seats", "Seats in a row", has_usual=True),
    Question("the seats", "front_row", "From the screen wall to the ears of the front row", has_usual=True),
    Question("the seats", "seat_spacing", "From seat to seat", has_usual=True),
    Question("the seats", "ear_height", "Height of the ears above what one stands on", has_usual=True),
    Question(
        "the seats",
        "row_spacing",
        "From the front row back to the second",
        has_usual=True,
        asked=_two_rows,
        unasked=_ONE_ROW,
    ),
    Question(
        "the seats",
        "riser",
        "Height of the riser under the second row, or none",
        has_usual=True,
        or_none=True,
        asked=_two_rows,
        unasked=_ONE_ROW,
    ),
    Question("the speakers", "layout", "Which speakers to propose", has_usual=True, choices=("none", *LAYOUTS)),
    Question("the speakers", "print_units", "Units to print in", has_usual=True, choices=PRINT_UNITS),
)
