"""A second engine in processes of its own, which must agree and never decides."""
