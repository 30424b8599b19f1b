"""XML as a file has it."""

from xml.etree import ElementTree as ET


def xml_text(root: ET.Element) -> str:
    """Give an element as the text of an XML file in UTF-8."""
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"
