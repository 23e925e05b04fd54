"""The tables of `likelihood_table` as a small network, and what it makes of the readings.

One finding is the root; every reading hangs on it, and a few hang on another reading too
(a voltage on the flame it was taken in), so that what follows from one fault is not
counted twice. The sums are exact: there is nothing to sample.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from estimator import likelihood_table
from estimator.evidence_plate import plate_rules_out
from estimator.findings import Finding
from estimator.heater import Chamber, Ignition, RatingPlate

Floats = NDArray[np.float64]

FINDING_ORDER: tuple[Finding, ...] = tuple(Finding)
OTHERS = "every other"
WHEN = " when "
PERCENT = 100.0

IGNITION_COLUMN = {
    Ignition.PILOT_THERMOCOUPLE: "thermocouple",
    Ignition.PILOT_THERMOPILE: "thermopile",
    Ignition.INTERMITTENT_PILOT: "intermittent",
    Ignition.HOT_SURFACE: "surface",
}
YOUNG_YEARS, OLD_YEARS = 5.0, 10.0


class Node(NamedTuple):
    """A reading: its words, and how likely each is with each finding.

    `given` is (words of `parent`, or 1; words; findings), each column adding to 1 over
    the words [1].
    """

    name: str
    parent: str | None
    words: tuple[str, ...]
    given: Floats


class Network(NamedTuple):
    """All readings by name, and which hang on which."""

    nodes: dict[str, Node]
    children: dict[str, tuple[str, ...]]

    def root_of(self, reading: str) -> str:
        """Return the reading at the head of the chain that a reading stands in."""
        parent = self.nodes[reading].parent
        return reading if parent is None else self.root_of(parent)

    def weight(self, reading: str, told: Mapping[str, str]) -> Floats:
        """Return how well the findings explain what is told of a reading and those on it.

        Parameters
        ----------
        reading
            A reading of the network.
        told
            Reading → its word, for the readings that were taken.

        Returns
        -------
        Likelihood [1]; shape (words of the parent, or 1; findings).
        """
        node = self.nodes[reading]
        below = np.ones((len(node.words), len(FINDING_ORDER)))
        for child in self.children.get(reading, ()):
            below *= self.weight(child, told)
        if reading in told:
            seen = node.words.index(told[reading])
            return np.asarray(node.given[:, seen, :] * below[seen], dtype=np.float64)
        return np.asarray((node.given * below).sum(axis=1), dtype=np.float64)

    def likelihood(self, told: Mapping[str, str]) -> Floats:
        """Return how well each finding explains all that is told [1], shape (findings,)."""
        roots = dict.fromkeys(self.root_of(name) for name in self.nodes if name in told)
        product = np.ones(len(FINDING_ORDER))
        for root in roots:
            product *= self.weight(root, told)[0]
        return product


def posterior(prior: Floats, likelihood: Floats) -> Floats:
    """Return the probability of each finding, adding to 1, shape (findings,).

    Parameters
    ----------
    prior, likelihood
        Per finding [1]; at least one product is above zero.
    """
    joint = prior * likelihood
    return np.asarray(joint / joint.sum(), dtype=np.float64)


def prior_of(plate: RatingPlate, on: date | None = None) -> Floats:
    """Return how often each finding is met on such a heater, shape (findings,).

    Parameters
    ----------
    plate
        The rating plate: ignition, chamber, venting and date of manufacture.
    on
        The day of the visit, for the age; a middle age without it.

    Returns
    -------
    Probability [1], adding to 1; zero for what cannot be found on this heater.
    """
    table = _prior_table()
    age = _age_column(plate, on)
    column = IGNITION_COLUMN[plate.ignition]
    weights = np.array(
        [
            0.0
            if plate_rules_out(finding, plate)
            else table[finding, column]
            * table[finding, age]
            * (table[finding, "sealed"] if plate.chamber is Chamber.SEALED else 1.0)
            for finding in FINDING_ORDER
        ]
    )
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def _age_column(plate: RatingPlate, on: date | None) -> str:
    if on is None or on < plate.manufactured:
        return "to 10"
    age = plate.age_years(on)
    return "to 5" if age < YOUNG_YEARS else "to 10" if age <= OLD_YEARS else "over 10"


@cache
def network() -> Network:
    """Return the network of the tables, read once.

    Returns
    -------
    The network.

    Raises
    ------
    ValueError
        If a row of the tables does not add to 100, or a name in them is not known.
    """
    return network_from(likelihood_table.LIKELIHOODS)


def network_from(text: str) -> Network:
    """Read a text of blocks of likelihoods.

    Parameters
    ----------
    text
        Blocks apart by a blank line, as in `likelihood_table`.

    Returns
    -------
    The network.

    Raises
    ------
    ValueError
        If a row does not add to 100, a name is not known, or a block is missing.
    """
    nodes: dict[str, Node] = {}
    for block in text.strip().split("\n\n"):
        header, *rows = [_cells(line) for line in block.splitlines()]
        title, words = header[0], tuple(header[1:])
        columns = _columns(title, words, rows)
        name, _, condition = title.partition(WHEN)
        if not condition:
            nodes[name] = Node(name, None, words, columns[np.newaxis])
            continue
        parent, _, said = condition.partition(" is ")
        node = nodes.get(name) or _blank(name, parent, words, nodes)
        for word in said.split(" or "):
            node.given[nodes[parent].words.index(word)] = columns
        nodes[name] = node
    children: dict[str, tuple[str, ...]] = {}
    for node in nodes.values():
        if np.isnan(node.given).any():
            raise ValueError(f"{node.name}: a block for a word of {node.parent} is missing")
        if node.parent is not None:
            children[node.parent] = (*children.get(node.parent, ()), node.name)
    return Network(nodes, children)


def _blank(name: str, parent: str, words: tuple[str, ...], nodes: Mapping[str, Node]) -> Node:
    shape = (len(nodes[parent].words), len(words), len(FINDING_ORDER))
    return Node(name, parent, words, np.full(shape, np.nan))


def _columns(title: str, words: tuple[str, ...], rows: list[list[str]]) -> Floats:
    """Return the likelihood of each word with each finding; shape (words, findings)."""
    columns = np.full((len(words), len(FINDING_ORDER)), np.nan)
    for label, *numbers in rows:
        shares = np.array([float(number) for number in numbers])
        if len(shares) != len(words) or abs(shares.sum() - PERCENT) > 1e-9:
            raise ValueError(f"{title}, {label}: {len(words)} shares must add to 100")
        if shares.min() <= 0:
            raise ValueError(f"{title}, {label}: no reading is impossible; put 1 for 0")
        if label == OTHERS:
            columns[:] = shares[:, np.newaxis] / PERCENT
            continue
        for slug in label.split(", "):
            columns[:, FINDING_ORDER.index(Finding(slug))] = shares / PERCENT
    if np.isnan(columns).any():
        raise ValueError(f'{title}: the row "{OTHERS}" is missing')
    return columns


@cache
def _prior_table() -> dict[tuple[Finding, str], float]:
    """Return the weights and factors by finding and column."""
    return {
        (Finding(row["finding"]), column): 0.0 if cell == "-" else float(cell)
        for row in table_rows(likelihood_table.PRIORS)
        for column, cell in row.items()
        if column != "finding"
    }


def table_rows(text: str) -> Iterator[dict[str, str]]:
    """Read a text table: a line of headings, then rows; cells two spaces or more apart.

    Parameters
    ----------
    text
        The table.

    Yields
    ------
    Heading → cell, a row at a time.
    """
    heading, *lines = text.strip().splitlines()
    names = _cells(heading)
    for line in lines:
        yield dict(zip(names, _cells(line), strict=True))


def _cells(line: str) -> list[str]:
    return re.split(r"\s{2,}", line.strip())
