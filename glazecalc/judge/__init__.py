"""Estimates and limits in, a verdict in one plain sentence out. Imports ``values`` only."""
