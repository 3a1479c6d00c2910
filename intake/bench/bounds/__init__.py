"""Moments before which no plan can end, and the weights of batteries that tell them."""
