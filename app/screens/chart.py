"""The one chart: what both paths have cost by the end of each year."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

if TYPE_CHECKING:
    from app.views.customer_chart import Chart

# Dash and marker tell the lines apart where color does not: in sun, in print, in gray.
LOOKS: dict[str, dict[str, Any]] = {
    "repair": {
        "dash": "solid",
        "symbol": "circle",
        "light": "#0f5c57",
        "dark": "#7fd1c4",
        "band": "rgba(64, 150, 140, 0.16)",
    },
    "replace": {
        "dash": "dash",
        "symbol": "square-open",
        "light": "#17211f",
        "dark": "#eef2ef",
        "band": "rgba(128, 128, 128, 0.16)",
    },
}


def show(chart: Chart) -> None:
    """Draw the chart; it does not move under the finger."""
    from plotly.graph_objects import Figure  # noqa: PLC0415 - slow to import, wanted here only

    shade = "dark" if st.context.theme.type == "dark" else "light"
    ink, rule = ("#eef2ef", "#43504b") if shade == "dark" else ("#17211f", "#c9cec6")
    axis = {"gridcolor": rule, "linecolor": ink, "fixedrange": True, "automargin": True}
    figure = Figure()
    for line in chart.lines:
        look = LOOKS[line.key]
        edge = {"color": look[shade], "width": 1, "dash": "dot"}
        band = {"mode": "lines", "line": edge, "showlegend": False, "fillcolor": look["band"]}
        figure.add_scatter(y=list(line.low_usd), **band)
        figure.add_scatter(y=list(line.high_usd), fill="tonexty", **band)
        figure.add_scatter(
            x=list(range(len(line.cumulative_usd))),
            y=list(line.cumulative_usd),
            name=line.label,
            mode="lines+markers",
            line={"color": look[shade], "width": 3, "dash": look["dash"]},
            marker={"symbol": look["symbol"], "size": 8, "color": look[shade]},
        )
    for year in chart.crosses_years:
        figure.add_vline(x=year, line={"color": ink, "width": 1, "dash": "dot"})
    figure.update_layout(
        height=300,
        margin={"l": 8, "r": 16, "t": 8, "b": 8},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font={"color": ink, "size": 14, "family": "Source Sans, sans-serif"},
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
        xaxis={"title": chart.years_label, "dtick": 2, **axis},
        yaxis={"tickprefix": "$", "tickformat": ",.0f", "rangemode": "tozero", **axis},
    )
    quiet = {"displayModeBar": False, "staticPlot": True}
    st.plotly_chart(figure, theme=None, config=quiet, alt=f"{chart.title}. {chart.description}")
