"""What is held while something varies: said in words, and asked for where a change means nothing without it."""

from __future__ import annotations

from swingbeam.beam.errors import InputError
from swingbeam.study.held import HELD_OF_SHAFT_WEIGHT, HELD_OF_TEMPO

from .address import GOLFER
from .makers import Recipe
from .scales import SHAFT_MASS_SCALE, TEMPO_SCALE


def refuse_unheld(recipe: Recipe) -> None:
    """Refuse a scale that means nothing unless it is said what is held, and a hold of what does not vary.

    Raises
    ------
    InputError
    """
    keys = [address.key for address in recipe.addresses]
    for key, entry, stated, allowed in (
        (TEMPO_SCALE, "tempo", recipe.hold.tempo, HELD_OF_TEMPO),
        (SHAFT_MASS_SCALE, "shaft_weight", recipe.hold.shaft_weight, HELD_OF_SHAFT_WEIGHT),
    ):
        named = ", ".join(f'"{name}"' for name in allowed)
        if key in keys and stated is None:
            raise InputError(
                f'hold.{entry}: missing key; "{key}" means nothing unless it is said what is held: {named}'
            )
        if key not in keys and stated is not None:
            raise InputError(
                f'hold.{entry}: found "{stated}", and nothing that it holds; allowed: with "{key}" in [vary]'
            )
    varied = next((key for key in keys if key.startswith("hands")), None)
    if recipe.hold.shaft_weight == "motion" and varied is not None:
        raise InputError(
            f'vary."{varied}": found with hold.shaft_weight = "motion", for which the hands are a vice; allowed: '
            "another hold, or hands that do not vary"
        )


def held_words(recipe: Recipe) -> str:
    """What is held, in words; empty where nothing that varies asks for it."""
    words = []
    if recipe.hold.tempo is not None:
        words.append(f"tempo: {HELD_OF_TEMPO[recipe.hold.tempo]}")
    if recipe.hold.shaft_weight is not None:
        words.append(f"shaft weight: {HELD_OF_SHAFT_WEIGHT[recipe.hold.shaft_weight]}")
    golfers = [address for address in recipe.addresses if address.slow == GOLFER]
    if any(a.part == "swing" and a.path.startswith("delivery.") for a in golfers):
        words.append("every golfer is aimed anew, so that his reference club delivers what the case states")
    elif golfers and not words:
        words.append("every golfer is aimed anew, so that his reference club delivers what the swing states")
    elif not words:
        words.append("the golfer and his reference club stay: every club is swung by the same one")
    return "; ".join(words)
