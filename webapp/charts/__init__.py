"""Charts: plain data in, Plotly figures out."""
