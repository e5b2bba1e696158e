"""Rates and shares learnt from enquiries whose carburettor was confirmed."""
