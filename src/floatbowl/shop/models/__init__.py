"""The shop's tables: the reference, what changed in it, the people, the enquiries, their photographs, and the jobs."""

from floatbowl.shop.models.buying import PurchaseLine, PurchaseOrder, StoppedLine, Supplier, SupplierPrice
from floatbowl.shop.models.enquiry import Enquiry, EnquiryChange, Evidence, InHand, ReadBack
from floatbowl.shop.models.job import Job, JobEntry, JobEvent, JobPhotograph, JobReading, WantedPart
from floatbowl.shop.models.log import Change, Person, ReferenceVersion
from floatbowl.shop.models.office import OfficePaper, OfficeSettings, Payment
from floatbowl.shop.models.photograph import Photograph, PhotoSet
from floatbowl.shop.models.shelf import Holding, Item, LedgerLine, Promise
from floatbowl.shop.models.tables import ROWS, Row
from floatbowl.shop.models.told import Counted, SentFile, ToldSale

__all__ = [
    "ROWS",
    "Change",
    "Counted",
    "Enquiry",
    "EnquiryChange",
    "Evidence",
    "Holding",
    "InHand",
    "Item",
    "Job",
    "JobEntry",
    "JobEvent",
    "JobPhotograph",
    "JobReading",
    "LedgerLine",
    "OfficePaper",
    "OfficeSettings",
    "Payment",
    "Person",
    "PhotoSet",
    "Photograph",
    "Promise",
    "PurchaseLine",
    "PurchaseOrder",
    "ReadBack",
    "ReferenceVersion",
    "Row",
    "SentFile",
    "StoppedLine",
    "Supplier",
    "SupplierPrice",
    "ToldSale",
    "WantedPart",
]
