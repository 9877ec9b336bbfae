"""The dialog a card is printed from: what is printed, on which paper, why all the same, and how it will look."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.faces.web.markup import Markup, el

PAPERS = (("A5", "A5"), ("half-letter", "Half letter"), ("A4", "A4"))
SHEETS = (("card", "Card for the kneeboard"), ("instructor", "Instructor sheet"))


def card_dialog(cautions: Markup) -> Markup:
    """The dialog, closed; `cautions` is what asks for a reason."""
    wishes = el(
        "div",
        el("h2", "Print", id="card-title"),
        el("div", cautions, id="cautions"),
        _choices("Sheet", "sheet", SHEETS),
        _choices("Paper", "paper", PAPERS),
        el("label", "Trainee, if wanted", class_="label", for_="card-trainee"),
        el("input", id="card-trainee", name="trainee", maxlength=60, autocomplete="off"),
        el("p", class_="telling", id="card-progress", role="status"),
        el("div", class_="trouble", id="card-trouble", role="alert", hidden=True),
        el(
            "div",
            el("button", "Back", type="button", id="card-close"),
            el("button", "Look at it", type="button", id="card-look"),
            el("button", "Save the PDF", type="submit", class_="first"),
            class_="row",
        ),
        class_="wishes",
    )
    look = el("div", id="card-preview", class_="preview", role="group", aria_label="How it will look", tabindex="0")
    return el("dialog", el("form", wishes, look, method="dialog"), id="card", aria_labelledby="card-title")


def _choices(legend: str, name: str, choices: Sequence[tuple[str, str]]) -> Markup:
    return el(
        "fieldset",
        el("legend", legend),
        [
            el("label", el("input", type="radio", name=name, value=value, checked=index == 0), words, class_="choice")
            for index, (value, words) in enumerate(choices)
        ],
    )
