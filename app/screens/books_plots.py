"""The plots of the books, drawn from plain series."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import streamlit as st

from app.screens import blocks

if TYPE_CHECKING:
    from app.views.desk_book_plots import BarPlot

LOOKS = ("#0f5c57", "#6fae9f", "#8a1c17", "#b98a2f", "#9aa39f")
SHAPES = ("", "/", "x", ".", "-")


def show(plots: tuple[BarPlot, ...]) -> None:
    """Lay out the first plot, and the others behind a tap."""
    if not plots:
        return
    with blocks.card("card-months"):
        _plot(plots[0])
    with st.expander("**More plots**  \nby age, by finding, margins", key="books-plots"):
        for plot in plots[1:]:
            _plot(plot)


def _plot(plot: BarPlot) -> None:
    from plotly.graph_objects import Figure  # noqa: PLC0415 - slow to import, wanted here only

    dark = st.context.theme.type == "dark"
    ink, rule = ("#eef2ef", "#43504b") if dark else ("#17211f", "#c9cec6")
    figure = Figure()
    for (name, counts), color, shape in zip(plot.series, LOOKS, SHAPES, strict=False):
        look = {"color": color, "pattern": {"shape": shape, "fgopacity": 0.4, "size": 8}}
        figure.add_bar(x=list(plot.categories), y=list(counts), name=name, marker=look)
    if plot.line is not None:
        figure.add_hline(plot.line, line={"color": ink, "dash": "dash"})
    axis: dict[str, Any] = {"gridcolor": rule, "linecolor": ink, "fixedrange": True}
    shares = {} if plot.stacked else {"tickformat": ".0%"}
    figure.update_layout(
        barmode="stack" if plot.stacked else "group",
        height=300,
        margin={"l": 8, "r": 8, "t": 8, "b": 8},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font={"color": ink, "size": 14, "family": "Source Sans, sans-serif"},
        showlegend=len(plot.series) > 1,
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
        xaxis={"type": "category", "automargin": True, **axis},
        yaxis={"rangemode": "tozero", "automargin": True, **shares, **axis},
    )
    blocks.heading(plot.title)
    quiet = {"displayModeBar": False, "staticPlot": True}
    said = f"{plot.title}. {plot.description}"
    st.plotly_chart(figure, theme=None, config=quiet, alt=said, key=f"plot-{plot.title}")
    blocks.small(plot.description)
