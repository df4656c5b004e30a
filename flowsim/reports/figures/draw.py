"""The one way from a picture's numbers to SVG."""

from flowsim.document.pictures import (
    Bands,
    Flow,
    Head,
    Margin,
    Picture,
    Pressure,
    Ranking,
    Scheme,
)
from flowsim.reports.figures.charts import draw_bands, draw_flow, draw_margin, draw_ranking
from flowsim.reports.figures.drawing import Drawing
from flowsim.reports.figures.heads import draw_head, draw_pressure
from flowsim.reports.figures.layouts import draw_scheme, draw_view


def draw(picture: Picture) -> Drawing:
    """Draw a picture.

    Parameters
    ----------
    picture : Picture
        Its numbers.

    Returns
    -------
    Drawing
    """
    if isinstance(picture, Bands):
        return draw_bands(picture)
    if isinstance(picture, Flow):
        return draw_flow(picture)
    if isinstance(picture, Margin):
        return draw_margin(picture)
    if isinstance(picture, Head):
        return draw_head(picture)
    if isinstance(picture, Pressure):
        return draw_pressure(picture)
    if isinstance(picture, Scheme):
        return draw_scheme(picture)
    return draw_ranking(picture) if isinstance(picture, Ranking) else draw_view(picture)
