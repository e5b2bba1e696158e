"""How an engine's carburettor works, in numbers: air, venturi, metering, fuels. Pure functions on floats in SI."""
