"""The shop: a thin Django layer that carries evidence in and advice out."""
