"""``stillwall sources``: every limit that the tool knows."""

from __future__ import annotations

from stillwall.cli.options import AsJson, Out


def sources(as_json: AsJson = False, out: Out = None) -> None:
    """List every limit, its source and how it was checked."""
    from stillwall.cli.output import emit
    from stillwall.reference.library import load_library
    from stillwall.reference.listing import listing_document, listing_text

    library = load_library()
    emit(listing_text(library), listing_document(library), as_json=as_json, out=out)
