"""swingbeam: how a golf shaft loads and unloads in a swing, and what it does to the delivery of the head."""

__version__ = "0.1.0"
