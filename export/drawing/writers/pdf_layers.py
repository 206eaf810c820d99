"""Layers of a PDF (optional content, ISO 32000-1, 8.11) and its metadata as XMP (14.3.2).

The library that writes the pages has neither; both are dictionaries that its objects can hold.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from palewright.export.drawing.draft.style import Layer

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>
<dc:language><rdf:Bag><rdf:li>en</rdf:li></rdf:Bag></dc:language>
<xmp:CreatorTool>palewright</xmp:CreatorTool>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""


class PdfLayers:
    """The layers of a document while its pages are written.

    layers : that are used, in the order in which readers list them.
    """

    def __init__(self, canvas: Canvas, layers: Iterable[Layer]) -> None:
        self._canvas = canvas
        self._names = {layer.name: f"OC{number}" for number, layer in enumerate(layers)}
        self._groups = {layer.name: _group(canvas, layer) for layer in layers}
        self._open = ""

    def enter(self, layer: Layer | None) -> None:
        """Begin what is on a layer, or on none, unless that is begun already."""
        name = layer.name if layer is not None else ""
        if name == self._open:
            return
        self.leave()
        if name:
            self._canvas._code.append(f"/OC /{self._names[name]} BDC")
            self._open = name

    def leave(self) -> None:
        """End what is begun."""
        if self._open:
            self._canvas._code.append("EMC")
            self._open = ""

    def on_page(self) -> None:
        """Give the page that was shown last the names of the layers."""
        from reportlab.pdfbase import pdfdoc

        page = self._canvas._doc.Pages.pages[-1]
        resources = pdfdoc.PDFResourceDictionary()
        resources.basicFonts()
        resources.allProcs()
        if page.XObjects:
            resources.XObject = page.XObjects
        resources.Properties = {
            self._names[name]: group for name, group in self._groups.items()
        }  # fmt: skip
        page.Resources = resources

    def close(self) -> None:
        """List the layers, all shown, for readers."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFString

        groups = list(self._groups.values())
        if not groups:
            return
        shown = PDFDictionary(
            {"Name": PDFString("layers"), "Order": PDFArray(groups), "ON": PDFArray(groups)}
        )
        listed = PDFDictionary({"OCGs": PDFArray(groups), "D": shown})
        _in_catalog(self._canvas, "OCProperties", listed)


def _group(canvas: Canvas, layer: Layer) -> Any:
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFString

    name = f"{layer.name} {layer.note}".rstrip()
    group = PDFDictionary({"Type": PDFName("OCG"), "Name": PDFString(name)})
    return canvas._doc.Reference(group, f"layer{layer.name}")


def _in_catalog(canvas: Canvas, key: str, value: object) -> None:
    """Put an entry into the catalog, whose writer knows a list of names."""
    catalog = canvas._doc.Catalog
    if key not in catalog.__NoDefault__:
        catalog.__NoDefault__ = [*catalog.__NoDefault__, key]
    setattr(catalog, key, value)


def write_metadata(canvas: Canvas, title: str, author: str) -> None:
    """Give a document its title and author as XMP, plain for programs that read no PDF."""
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream

    text = XMP.format(title=escape(title), author=escape(author))
    stream = PDFStream(
        dictionary=PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")}),
        content=text.encode("utf-8"),
        filters=None,
    )
    _in_catalog(canvas, "Metadata", canvas._doc.Reference(stream, "metadata"))
