"""A mixture does not say how much its parts make.

What it checks
    That a mixture with components (PRN) gives its quantity DDI and the amount of its recipe. The standard words this in
    two places differently; the reading used here is judged, hence only a warning.
Why it matters
    Without the amount of the whole a receiver cannot work out what share of the mixture each component is.
Example
    Bad: <PDT A="PDT5" B="Broth" C="PGP3" F="2"><PRN .../></PDT>
    Good: <PDT A="PDT5" B="Broth" C="PGP3" E="0048" F="2" G="3000000"><PRN .../></PDT>
How to fix
    Give the mixture its quantity and the amount that the recipe yields.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.product._mixtures import is_mixture
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="product.mixture-without-recipe",
    severity=Severity.WARNING,
    message="The mixture {element} has components, but does not give its {what}.",
    remedy="Add the quantity DDI of the mixture and the amount that the recipe yields.",
    clause="D.42, D.45",
    covers=("R-086",),
    since=4,
)
WANTED = {"QuantityDDI": "quantity DDI", "MixtureRecipeQuantity": "amount"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each mixture without quantity or amount."""
    for element in subject.tagged("PDT"):
        if is_mixture(element) and any(element.elements("PRN")):
            missing = [words for name, words in WANTED.items() if element.get(name) is None]
            if missing:
                yield RULE.at(subject.place(element), element=spoken(element), what=" and ".join(missing))
