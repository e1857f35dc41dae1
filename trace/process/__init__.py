"""Pure computations: is this batch in order? Values in, frozen dataclasses out."""
