"""Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning."""

__all__ = ["__version__"]

__version__ = "0.1.0"
