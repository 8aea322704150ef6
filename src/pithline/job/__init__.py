"""The job's files: yards, kits and lists of timbers read, everything written; no other layer touches a file."""

from pithline.job.demo import demo_files, write_demo
from pithline.job.kitfile import default_kit_text, kit_from_text, read_kit
from pithline.job.textfile import make_folder, read_text, write_bytes, write_pdf, write_svg, write_text
from pithline.job.timbers import read_timbers, timbers_from_text
from pithline.job.yard import read_yard, yard_from_text

__all__ = [
    "default_kit_text",
    "demo_files",
    "kit_from_text",
    "make_folder",
    "read_kit",
    "read_text",
    "read_timbers",
    "read_yard",
    "timbers_from_text",
    "write_bytes",
    "write_demo",
    "write_pdf",
    "write_svg",
    "write_text",
    "yard_from_text",
]
