"""A document's title, and that it can be read aloud, in XML (XMP, ISO 16684-1 [memory])."""

from tagmaker.files.template import escaped

__all__ = ["metadata"]

PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<pdfuaid:part>1</pdfuaid:part>
<xmp:CreatorTool>tagmaker</xmp:CreatorTool>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>{identifier}
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""


def metadata(title: str, author: str, identifier: str = "") -> bytes:
    """The packet of a document; characters that XML cannot hold are left out."""
    named = f"\n<dc:identifier>{escaped(identifier, quotes=False)}</dc:identifier>" if identifier else ""
    names = {"title": title, "author": author}
    plain = {key: "".join(filter(str.isprintable, name)) for key, name in names.items()}
    texts = {key: escaped(name, quotes=False) for key, name in plain.items()}
    return PACKET.format(**texts, identifier=named).encode()
