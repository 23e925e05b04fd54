"""Two plots for the technician: what moves the answer, and price today against cost in all.

Filled, hatched and open shapes tell what color tells, so that gray print and bright sun do.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

import streamlit as st

from app.screens import blocks

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

    from app.views.challenger_plots import FrontierPlot, FrontierPoint, Tornado

QUIET = {"displayModeBar": False, "staticPlot": True}
BAR_HEIGHT_PX = 62


def _colors() -> tuple[str, str, str]:
    """Return ink, rule and accent, light or dark as the reader has it."""
    dark = st.context.theme.type == "dark"
    return ("#eef2ef", "#43504b", "#7fd1c4") if dark else ("#17211f", "#c9cec6", "#0f5c57")


def _blank(height: int, ink: str, **axes: Any) -> Figure:
    from plotly.graph_objects import Figure  # noqa: PLC0415 - slow to import, wanted here only

    figure = Figure()
    figure.update_layout(
        height=height,
        margin={"l": 8, "r": 16, "t": 8, "b": 8},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font={"color": ink, "size": 13, "family": "Source Sans, sans-serif"},
        showlegend=False,
        **axes,
    )
    return figure


def tornado(view: Tornado) -> None:
    """Draw what repairing saves at the low and the high value of each input, widest first."""
    ink, rule, accent = _colors()
    places = list(range(len(view.bars), 0, -1))
    axis = {"gridcolor": rule, "fixedrange": True, "automargin": True}
    ends = [bar.saves_at_low_usd for bar in view.bars]
    ends += [bar.saves_at_high_usd for bar in view.bars] + [0.0]
    room = 0.22 * (max(ends) - min(ends) or 1.0)
    figure = _blank(
        BAR_HEIGHT_PX * len(places) + 60,
        ink,
        barmode="overlay",
        xaxis={
            "tickprefix": "$",
            "tickformat": ",.0f",
            "nticks": 5,
            "title": "← replacing saves · repairing saves →",
            "range": [min(ends) - room, max(ends) + room],
            **axis,
        },
        yaxis={"visible": False, "range": [0.4, len(places) + 0.75], "fixedrange": True},
    )
    for low in (True, False):
        saves = [bar.saves_at_low_usd if low else bar.saves_at_high_usd for bar in view.bars]
        figure.add_bar(
            y=places,
            x=[usd - view.saves_as_quoted_usd for usd in saves],
            base=view.saves_as_quoted_usd,
            orientation="h",
            width=0.4,
            text=[bar.low if low else bar.high for bar in view.bars],
            textposition="outside",
            cliponaxis=False,
            marker={
                "color": "rgba(0,0,0,0)" if low else accent,
                "line": {"color": accent, "width": 2},
                "pattern": {"shape": "/" if low else "", "fgcolor": accent, "size": 6},
            },
        )
    figure.add_vline(x=0, line={"color": ink, "width": 2}, layer="below")
    figure.add_vline(x=view.saves_as_quoted_usd, line={"color": ink, "width": 1, "dash": "dot"})
    card = "#18211f" if st.context.theme.type == "dark" else "#ffffff"
    for place, bar in zip(places, view.bars, strict=True):
        name = f"{bar.name[:1].upper()}{bar.name[1:]}"
        figure.add_annotation(
            {"x": 0, "xref": "paper", "y": place + 0.42, "text": name, "xanchor": "left"},
            showarrow=False,
            bgcolor=card,
        )
    said = " ".join(f"{bar.name}: {bar.said}" for bar in view.bars)
    st.plotly_chart(
        figure, theme=None, config=QUIET, alt=f"{view.title}. {view.description} {said}"
    )


def frontier(view: FrontierPlot) -> None:
    """Draw each choice as a numbered point; the list below says what each is."""
    ink, rule, accent = _colors()
    axis = {
        "gridcolor": rule,
        "linecolor": ink,
        "fixedrange": True,
        "automargin": True,
        "tickprefix": "$",
        "tickformat": ",.0f",
    }
    figure = _blank(
        300,
        ink,
        xaxis={"title": view.price_label, "nticks": 5, "rangemode": "tozero", **axis},
        yaxis={"title": view.lcc_label, "nticks": 6, **axis},
    )
    figure.add_scatter(
        x=[price for price, _ in view.line],
        y=[lcc for _, lcc in view.line],
        mode="lines",
        line={"color": accent, "width": 2, "dash": "dash"},
    )
    figure.add_scatter(
        x=[point.price_usd for point in view.points],
        y=[point.lcc_usd for point in view.points],
        mode="markers+text",
        text=[f"<b>{number}</b>" for number, _ in enumerate(view.points, start=1)],
        textposition="top center",
        cliponaxis=False,
        marker={
            "size": 12,
            "color": accent,
            "symbol": [_symbol(point) for point in view.points],
            "line": {"color": ink, "width": 1},
        },
    )
    st.plotly_chart(figure, theme=None, config=QUIET, alt=f"{view.title}. {view.description}")
    listed = "".join(f"<li>{escape(point.label)}{_standing(point)}</li>" for point in view.points)
    blocks.write(f'<ol class="points">{listed}</ol>')


def _symbol(point: FrontierPoint) -> str:
    if point.is_repair:
        return "circle"
    return "square" if point.on_frontier else "square-open"


def _standing(point: FrontierPoint) -> str:
    return "" if point.is_repair or point.on_frontier else " (beaten on both)"
