"""Finds the packages: the rooms stand at the top and install as palewright.model and so on."""

from setuptools import find_packages, setup

ROOMS = ("model", "export", "cli")

found = [name for room in ROOMS for name in (room, *(f"{room}.{p}" for p in find_packages(room)))]
setup(
    packages=["palewright", *(f"palewright.{name}" for name in found)],
    package_dir={f"palewright.{room}": room for room in ROOMS},
)
