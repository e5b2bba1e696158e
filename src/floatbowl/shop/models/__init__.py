"""The shop's tables: the reference, what changed in it, the people, the enquiries, and their photographs."""

from floatbowl.shop.models.enquiry import Enquiry, EnquiryChange, Evidence, InHand, ReadBack
from floatbowl.shop.models.log import Change, Person, ReferenceVersion
from floatbowl.shop.models.photograph import Photograph, PhotoSet
from floatbowl.shop.models.tables import ROWS, Row

__all__ = [
    "ROWS",
    "Change",
    "Enquiry",
    "EnquiryChange",
    "Evidence",
    "InHand",
    "Person",
    "PhotoSet",
    "Photograph",
    "ReadBack",
    "ReferenceVersion",
    "Row",
]
