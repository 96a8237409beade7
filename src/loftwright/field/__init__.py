"""The ground: its shapes, and what landings mean against them."""
