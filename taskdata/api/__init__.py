"""The public functions: one call for one job, whatever the format."""

from taskdata.api.audit import check, make_receiver, rules
from taskdata.api.many import read_many
from taskdata.api.sets import Source, clean, compare, read, write
from taskdata.exchange.beside_sets import beside_sets
from taskdata.exchange.choosing import Choosing
from taskdata.exchange.convert import convert
from taskdata.exchange.covering import coverage
from taskdata.exchange.load import find_sets
from taskdata.exchange.mapping_making import make_mapping
from taskdata.exchange.merging import merge_sets as merge
from taskdata.exchange.passing import passes
from taskdata.exchange.rate_maps.mapping import ratemap
from taskdata.exchange.shifting import shift
from taskdata.exchange.surveying import survey, survey_of_several

__all__ = [
    "Choosing",
    "Source",
    "beside_sets",
    "check",
    "clean",
    "compare",
    "convert",
    "coverage",
    "find_sets",
    "make_mapping",
    "make_receiver",
    "merge",
    "passes",
    "ratemap",
    "read",
    "read_many",
    "rules",
    "shift",
    "survey",
    "survey_of_several",
    "write",
]
