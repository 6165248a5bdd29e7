"""Tables with unit, source and status in every row, and the invented demonstration shelf."""
