"""Commands that run the arithmetic on numbers given outright."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from app.commands.output import JsonFlag, print_json, print_pairs
from estimator.heater import DrawBin


def compare(
    case_file: Annotated[Path, typer.Argument(metavar="CASE.toml", help="The comparison.")],
    draws: Annotated[
        int | None, typer.Option(min=100, max=100_000, help="Draw random futures too.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the random futures.")] = 1,
    as_json: JsonFlag = False,
) -> None:
    """Compare repair and replacement on numbers given outright."""
    from app.compare_case import CompareCase, compare_case
    from app.files import read_toml
    from app.formatting import money
    from estimator.errors import checked

    case = checked(CompareCase, read_toml(case_file), str(case_file))
    found = compare_case(case, draws, seed)
    if as_json:
        print_json(found)
        return
    pairs: dict[str, object] = {"Repair, over the study": money(found["repair_lcc"])}
    for each in found["challengers"]:
        pairs[f"{each['name']}, over the study"] = money(each["lcc"])
    pairs["Repair price at which both are equal"] = money(found["break_even_repair_price"])
    if found["best_planned_year"] is not None:
        when = f"end of year {found['best_planned_year']}"
        pairs["Best planned replacement"] = f"{when}, {money(found['best_planned_lcc'])}"
    print_pairs(pairs)
    if "how_sure" in found:
        _tell_how_sure(found)


def _tell_how_sure(found: dict[str, Any]) -> None:
    """Say how often repairing costs less, where each path may end, and what moves the answer."""
    from app.formatting import number, whole_money

    sure = found["how_sure"]
    tenths = round(10 * sure["chance_repair_cheaper"])
    typer.echo(f"\nIn about {tenths} of 10 futures, repairing costs less.")
    bands = {"Repair": sure["repair_lcc"], **sure["replacement_lcc"]}
    typer.echo("Over the study, 8 of 10 futures lie within")
    print_pairs(
        {
            f"  {name}": f"{whole_money(band['low'])} to {whole_money(band['high'])}"
            for name, band in bands.items()
        }
    )
    typer.echo("\nWhat moves the answer most, and where it turns")
    turns = {point["name"]: point for point in found["turning_points"]}
    for swing in found["moves_most"]:
        low, high = (_saves(swing[f"saves_at_{end}"]) for end in ("low", "high"))
        point = turns.get(swing["name"], {"value": None})
        turn = "does not turn within five times"
        if point["value"] is not None:
            turn = f"turns at {number(point['value'], 2)} {point['unit']}"
        typer.echo(f"  {swing['name']}: {swing['low']} {low}, {swing['high']} {high}; {turn}")


def _saves(usd: float) -> str:
    from app.formatting import whole_money

    return f"{'repairing' if usd >= 0 else 'replacing'} saves {whole_money(abs(usd))}"


def energy(
    recovery: Annotated[float, typer.Option(help="Recovery efficiency, 0.5 to 1.")],
    input_btu_per_h: Annotated[float, typer.Option("--input", help="Burner input, Btu/h.")],
    gallons_per_day: Annotated[float, typer.Option(help="Hot water drawn, gal/day.")],
    ef: Annotated[float | None, typer.Option(help="Energy factor from the label.")] = None,
    uef: Annotated[float | None, typer.Option(help="Uniform energy factor.")] = None,
    draw_bin: Annotated[DrawBin | None, typer.Option(help="Draw bin of the UEF.")] = None,
    setpoint_f: Annotated[float, typer.Option("--setpoint", help="Set point, °F.")] = 125.0,
    inlet_f: Annotated[float, typer.Option("--inlet", help="Inlet water, °F.")] = 58.0,
    ambient_f: Annotated[float, typer.Option("--ambient", help="Air around, °F.")] = 67.5,
    as_json: JsonFlag = False,
) -> None:
    """Work out the energy of a gas tank heater from its rating."""
    from app.energy_case import EnergyCase, energy_case
    from estimator.errors import checked

    given = {
        "ef": ef,
        "uef": uef,
        "draw_bin": draw_bin,
        "recovery": recovery,
        "input": input_btu_per_h,
        "gallons_per_day": gallons_per_day,
        "setpoint": setpoint_f,
        "inlet": inlet_f,
        "ambient": ambient_f,
    }
    found = energy_case(checked(EnergyCase, given, "the options"))
    if as_json:
        print_json(found)
        return
    print_pairs(
        {
            "Fuel UA, Btu/(h·°F)": f"{found['ua_btu_per_h_f']:.4f}",
            "Energy, Btu/day": f"{found['btu_per_day']:,.2f}",
            "Energy, therm/yr": f"{found['therms_per_year']:.3f}",
        }
    )
