"""What must hold between the rows of different source files, and replaced-by chains."""

from __future__ import annotations

from typing import TYPE_CHECKING

from catalog.numbers import fold
from catalog.part_rows import PartRow
from catalog.reading import Rejected
from catalog.rows import FAMILY_AT, PART_FILES
from estimator.findings import Remedy
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from catalog.fit_rules import FitRules
    from catalog.source import Source


def broken_relations(source: Source, rules: FitRules) -> list[Rejected]:
    """Find every row that does not agree with the rows of other files.

    Parameters
    ----------
    source
        The validated rows.
    rules
        The fit rules; they hold the words that features may take.

    Returns
    -------
    A rejection for each such row.
    """
    parts = source.parts()
    return [
        *_numbers_read_alike(source),
        *_unknown_words(source, rules),
        *_chain_faults(source, parts),
        *_wrong_references(source, parts),
        *_operation_faults(source),
    ]


def last_parts(replaced_by: Mapping[str, str | None], sold: set[str]) -> dict[str, str | None]:
    """Follow every replaced-by chain to the part that is sold today.

    Parameters
    ----------
    replaced_by
        The next number of each number, or ``None``. Free of loops.
    sold
        Numbers sold today.

    Returns
    -------
    For each number the one sold today, itself where it is; ``None`` where the chain
    ends in a part that is no longer sold.
    """
    last: dict[str, str | None] = {}
    for start in replaced_by:
        path = []
        number: str | None = start
        while number is not None and number not in last and number not in sold:
            path.append(number)
            number = replaced_by.get(number)
        end = last[number] if number is not None and number in last else number
        for passed in path:
            last[passed] = end
        if number is not None and number in sold:
            last[number] = number
    return last


def loops(replaced_by: Mapping[str, str | None]) -> list[tuple[str, ...]]:
    """Find the loops among replaced-by relations.

    Parameters
    ----------
    replaced_by
        The next number of each number, or ``None``.

    Returns
    -------
    Each loop once, as the numbers on it in order.
    """
    state: dict[str, int] = {}
    found = []
    for start in replaced_by:
        path = []
        number: str | None = start
        while number is not None and number in replaced_by and number not in state:
            state[number] = 1
            path.append(number)
            number = replaced_by[number]
        if number is not None and state.get(number) == 1:
            found.append(tuple(path[path.index(number) :]))
        for passed in path:
            state[passed] = 2
    return found


def _numbers_read_alike(source: Source) -> Iterator[Rejected]:
    seen: dict[str, str] = {}
    for file in PART_FILES:
        for row, part in source.rows_of(file.name, PartRow):
            folded = fold(part.number)
            if folded in seen:
                yield Rejected(
                    f"{file.name}.csv",
                    row,
                    f"number {part.number} reads the same as {seen[folded]} once case, dashes, "
                    "O/0 and I/1 are set aside; keep one",
                )
            else:
                seen[folded] = part.number


def _unknown_words(source: Source, rules: FitRules) -> Iterator[Rejected]:
    for file in PART_FILES:
        family = PartFamily(file.name)
        checked = [r for r in rules.families[family].features if r.values is not None]
        for row, part in source.rows_of(file.name, PartRow):
            for rule in checked:
                word = getattr(part, rule.feature)
                known = rules.values[rule.values or ""]
                if word is not None and str(word) not in known:
                    yield Rejected(
                        f"{file.name}.csv",
                        row,
                        f'{rule.feature} "{word}" is not among the values of the fit rules '
                        f"({', '.join(known)}); correct it or add it there",
                    )


def _chain_faults(source: Source, parts: Mapping[str, PartRow]) -> Iterator[Rejected]:
    replaced_by = {number: part.replaced_by for number, part in parts.items()}
    where = source.rows_by_part()
    for number, after in replaced_by.items():
        if after is None:
            continue
        file, row = where[number]
        if after not in parts and after not in source.refused_keys:
            yield Rejected(
                file, row, f"{number} is replaced by {after}, which is not in the catalog"
            )
        elif after in parts and parts[after].family is not parts[number].family:
            yield Rejected(
                file,
                row,
                f"{number} is a {parts[number].family.value} and is replaced by {after}, "
                f"a {parts[after].family.value}; a part is replaced by one of its own family",
            )
    for loop in loops(replaced_by):
        file, row = where[loop[0]]
        shown = " → ".join((*loop, loop[0]))
        yield Rejected(file, row, f"the replaced-by chain runs in a loop: {shown}")


def _wrong_references(source: Source, parts: Mapping[str, PartRow]) -> Iterator[Rejected]:
    heaters = {heater.slug for _, heater in source.heater_families} | source.refused_keys
    known = set(parts) | source.refused_keys
    for row, listed in source.listed:
        wanted = FAMILY_AT.get(listed.position) or PartFamily(listed.position)
        if listed.heater_family not in heaters:
            yield Rejected(
                "listed.csv", row, f'heater family "{listed.heater_family}" is not in the catalog'
            )
        if listed.part not in known:
            yield Rejected("listed.csv", row, f"part {listed.part} is not in the catalog")
        elif listed.part in parts and parts[listed.part].family is not wanted:
            found = parts[listed.part].family.value
            yield Rejected(
                "listed.csv",
                row,
                f"part {listed.part} is a {found}, position {listed.position} "
                f"takes a {wanted.value}",
            )
    for row, pair in source.alike:
        both = (pair.part, pair.alike)
        missing = [number for number in both if number not in known]
        for number in missing:
            yield Rejected("alike.csv", row, f"part {number} is not in the catalog")
        families = {parts[number].family for number in both if number in parts}
        if len(families) > 1:
            yield Rejected(
                "alike.csv", row, f"{pair.part} and {pair.alike} are of different families"
            )
    naming = (
        ("offer.csv", source.offers),
        ("other_number.csv", source.other_numbers),
        ("stock.csv", source.stock),
    )
    for name, rows in naming:
        for row, held in rows:
            if held.part not in known:
                yield Rejected(name, row, f"part {held.part} is not in the catalog")


def _operation_faults(source: Source) -> Iterator[Rejected]:
    remedies = {remedy.value for remedy in Remedy}
    kinds = {op.slug: op.kind for _, op in source.operations}
    for row, op in source.operations:
        if op.kind == "remedy" and op.slug not in remedies:
            yield Rejected("operation.csv", row, f'"{op.slug}" is not a remedy')
        for remedy in filter(None, op.goes_with.split("|")):
            if remedy not in remedies:
                yield Rejected(
                    "operation.csv", row, f'goes_with names "{remedy}", which is not a remedy'
                )
    for remedy in Remedy:
        if remedy is not Remedy.REPLACE_HEATER and kinds.get(remedy.value) != "remedy":
            yield Rejected("operation.csv", 0, f'the remedy "{remedy.value}" has no operation')
    for row, heater in source.replacement_heaters:
        if kinds.get(heater.install_operation) != "install":
            yield Rejected(
                "replacement_heater.csv",
                row,
                f'install_operation "{heater.install_operation}" is not an operation of '
                "kind install",
            )
