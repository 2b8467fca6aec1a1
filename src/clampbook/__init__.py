"""Guides a person through tightening a joint bolt by bolt, and leaves a record that anybody can check."""

__version__ = "0.1.0"
