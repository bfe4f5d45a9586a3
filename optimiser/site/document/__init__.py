"""The parts of a site file as they are written; each knows how to become its SI value."""

from optimiser.site.document.quantity import Amount, Corner, Quantity
from optimiser.site.document.site import SiteDocument, site_schema

__all__ = ["Amount", "Corner", "Quantity", "SiteDocument", "site_schema"]
